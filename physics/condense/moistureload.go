package condense

import (
	"math"

	"underlap/physics/internal/check"
)

// MoistureLoad is room air that follows the outdoor temperature: relative humidity rises in a
// straight line between -10 and 20 degC outdoors and stays level beyond them, and the
// room is at 20 degC up to 10 degC outdoors, rising to 25 degC at 20. It may be used
// with daily or monthly means. Make it with NormalMoistureLoad, HighMoistureLoad or NewMoistureLoad: the zero
// value is refused by the balance.
type MoistureLoad struct {
	low, high float64 // relative humidity at -10 degC and below, at 20 degC and above
}

// DesignMargin is the relative humidity that may be added to a MoistureLoad for design.
//
// Source: EN ISO 13788, from memory of it.
const DesignMargin = 0.05

// NormalMoistureLoad is a room of normal moisture load, 30 to 60 % relative humidity.
//
// Source: EN 15026, figures read in public texts; which annex of EN 15026 or EN ISO
// 13788 they stand in is from memory. For 35 to 65 %, which also circulates, add
// DesignMargin.
func NormalMoistureLoad() MoistureLoad { return MoistureLoad{0.3, 0.6} }

// HighMoistureLoad is a room of high moisture load, 40 to 70 % relative humidity.
//
// Source: EN 15026, from memory of it, and as NormalMoistureLoad; with DesignMargin it is the
// 45 to 75 % that also circulates.
func HighMoistureLoad() MoistureLoad { return MoistureLoad{0.4, 0.7} }

// NewMoistureLoad returns room air of relative humidity low at -10 degC outdoors and high at
// 20, both 0 to 1. It fails unless 0 <= low <= high <= 1 and high is above 0.
//
// Source: form of EN 15026 and of EN ISO 13788; the levels are the caller's.
func NewMoistureLoad(low, high float64) (MoistureLoad, error) {
	if err := check.First("condense: load", check.Within("relative humidity in the cold", low, 0, 1), check.Within("relative humidity in the warm", high, low, 1), check.Positive("relative humidity in the warm", high)); err != nil {
		return MoistureLoad{}, err
	}
	return MoistureLoad{low, high}, nil
}

// WithMargin returns the load with margin added to the relative humidity throughout:
// DesignMargin, or the caller's. It fails when that leaves the range 0 to 1.
//
// Source: EN ISO 13788, from memory of it.
func (l MoistureLoad) WithMargin(margin float64) (MoistureLoad, error) {
	if err := check.First("condense: load", check.Within("margin", margin, -1, 1)); err != nil {
		return MoistureLoad{}, err
	}
	return NewMoistureLoad(l.low+margin, l.high+margin)
}

// RH returns the relative humidity of the room, 0 to 1, at an outdoor temperature in
// degC.
//
// Source: as NewMoistureLoad.
func (l MoistureLoad) RH(outC float64) float64 {
	return l.low + (l.high-l.low)*math.Min(1, math.Max(0, (outC+10)/30))
}

// Room implements Indoor. The room temperature is 20 + (outdoors - 10) / 2 between 10
// and 20 degC outdoors.
//
// Source: EN 15026, read in public texts.
func (l MoistureLoad) Room(outC, _ float64) (tempC, vapourPa float64) {
	if l.high <= 0 {
		return 20, math.NaN()
	}
	tempC = 20 + math.Min(5, math.Max(0, (outC-10)/2))
	return tempC, l.RH(outC) * saturation(tempC)
}
