package timber

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Rot is judged here by exposure only: for how long wood was wet and warm enough. A
// model of the mass lost (VTT, Viitanen and others 2010) is left out on purpose, as its
// coefficients could not be checked in a document.

// Air is the state of the air in the pores of wood, or next to it.
type Air struct {
	C  float64 // temperature, degC
	RH float64 // relative humidity, 0 to 1
}

// The limits of the simplified check for solid timber, WTA 6-8 (both ends read in texts
// that quote it; the straight line between them from memory).
const (
	rotAtZero   = 0.95 // at 0 degC and below
	rotAtThirty = 0.86 // at 30 degC and above
)

// RotLimit returns the relative humidity, 0 to 1, that the daily mean in the pores of
// solid timber may not exceed at a daily mean temperature of tC degrees Celsius: 95 % at
// 0 degC falling in a straight line to 86 % at 30 degC, and no further outside. It fails
// outside -60 to 100 degC.
//
// Source: WTA 6-8, simplified check; the line between the ends from memory of it, the
// limits outside them are taken here.
func RotLimit(tC float64) (float64, error) {
	if err := check.First("timber", check.Within("temperature", tC, -60, 100)); err != nil {
		return 0, err
	}
	warm := math.Min(1, math.Max(0, tC/30))
	return rotAtZero + (rotAtThirty-rotAtZero)*warm, nil
}

// RotDays is the outcome of the simplified rot check over a run of days.
type RotDays struct {
	Over    int     // days over the limit
	Longest int     // the most of them in a row
	Worst   float64 // the furthest over the limit, as relative humidity 0 to 1; 0 when never
}

// CheckRot compares daily means with RotLimit. The standard asks that no day be over. It
// fails for a temperature outside -60 to 100 degC or a humidity outside 0 to 1.
//
// Source: WTA 6-8, simplified check, as RotLimit.
func CheckRot(days []Air) (RotDays, error) {
	var out RotDays
	run := 0
	for i, d := range days {
		if err := checkAir(d.C, d.RH); err != nil {
			return RotDays{}, fmt.Errorf("day %d: %w", i, err)
		}
		limit, err := RotLimit(d.C)
		if err != nil {
			return RotDays{}, err
		}
		if d.RH <= limit {
			run = 0
			continue
		}
		run++
		out.Over++
		out.Longest = max(out.Longest, run)
		out.Worst = math.Max(out.Worst, d.RH-limit)
	}
	return out, nil
}

// DailyMeans returns the means of each 24 hours. It fails when the hours do not make
// whole days and for a temperature or humidity out of range.
//
// Source: definition.
func DailyMeans(hours []Air) ([]Air, error) {
	if len(hours)%24 != 0 {
		return nil, fmt.Errorf("timber: %d hours are not whole days", len(hours))
	}
	out := make([]Air, len(hours)/24)
	for i, h := range hours {
		if err := checkAir(h.C, h.RH); err != nil {
			return nil, fmt.Errorf("hour %d: %w", i, err)
		}
		out[i/24].C += h.C / 24
		out[i/24].RH += h.RH / 24
	}
	for i := range out {
		out[i].RH = math.Min(1, out[i].RH) // rounding
	}
	return out, nil
}

// Between these temperatures in degrees Celsius the fungi live on; outside they rest
// (Wood Handbook chapter 14, which also has them slow below 10 and above 35).
const (
	RotColdest = 2.0
	RotHottest = 38.0
)

// Working limits of moisture content as kg of water per kg of dry wood, beside Safe and
// FibreSaturation. Between them decay is likely if it lasts (trade guidance, from memory).
const (
	RotPossible = 0.25
	RotLikely   = 0.28
)

// Wood is the state of a piece of wood in one hour.
type Wood struct {
	C        float64 // temperature, degC
	Moisture float64 // kg of water per kg of dry wood
}

// WetHours counts the hours that wood was over each limit of moisture while it was from
// RotColdest to RotHottest. Each count holds the ones after it.
type WetHours struct {
	OverSafe      int // over 20 %
	OverPossible  int // over 25 %
	OverLikely    int // over 28 %
	OverSaturated int // over fibre saturation, 30 %
}

// CountWetHours counts the hours of exposure to rot in an hourly series. It fails for a
// temperature that is no number and for a moisture content below 0.
//
// Source: the limits as named; that exposure is counted in hours is common practice.
func CountWetHours(series []Wood) (WetHours, error) {
	var out WetHours
	for i, w := range series {
		if err := check.First("timber", check.Finite("temperature", w.C), check.NotNegative("moisture content", w.Moisture)); err != nil {
			return WetHours{}, fmt.Errorf("hour %d: %w", i, err)
		}
		if w.C < RotColdest || w.C > RotHottest {
			continue
		}
		for _, limit := range []struct {
			moisture float64
			hours    *int
		}{{Safe, &out.OverSafe}, {RotPossible, &out.OverPossible}, {RotLikely, &out.OverLikely}, {FibreSaturation, &out.OverSaturated}} {
			if w.Moisture > limit.moisture {
				*limit.hours++
			}
		}
	}
	return out, nil
}
