package condense

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// Limits of relative humidity at a surface (EN ISO 13788 clause 5).
const (
	MouldLimit        = 0.8 // monthly mean above which mould grows
	CondensationLimit = 1.0
)

// RequiredFRsi returns the surface temperature factor that keeps the relative
// humidity at a surface to limit, for room air of roomC degrees Celsius and
// vapour pressure roomPa and outdoor air of outC. It may be negative or above 1;
// above 1 no insulation helps. It fails unless the room is warmer than outdoors.
//
// Source: EN ISO 13788 clause 5: p_sat(theta_si) = p_i / limit, f = (theta_si -
// theta_e) / (theta_i - theta_e).
func RequiredFRsi(roomC, roomPa, outC, limit float64) (float64, error) {
	si, err := surfaceLimit(roomPa, limit)
	if err != nil {
		return 0, err
	}
	return SurfaceFactor(roomC, outC, si)
}

// LowestSurface returns the surface temperature in degC below which the relative
// humidity there passes limit, for room air of vapour pressure roomPa.
//
// Source: EN ISO 13788 clause 5.
func LowestSurface(roomPa, limit float64) (float64, error) {
	return surfaceLimit(roomPa, limit)
}

func surfaceLimit(roomPa, limit float64) (float64, error) {
	if err := check.First("condense", check.Positive("vapour pressure", roomPa), check.Positive("limit", limit), check.Within("limit", limit, 0, 1)); err != nil {
		return 0, err
	}
	return moistair.TSat(roomPa / limit)
}

// SurfaceFactor returns the factor of a surface at surfaceC degrees Celsius. It
// fails for temperatures outside -100 to 200 and unless the room is warmer than
// outdoors by a millionth of a kelvin.
//
// Source: EN ISO 13788, definition of f_Rsi.
func SurfaceFactor(roomC, outC, surfaceC float64) (float64, error) {
	if err := check.First("condense", check.Within("room temperature", roomC, -100, 200), check.Within("outdoor temperature", outC, -100, 200), check.Within("surface temperature", surfaceC, -100, 200)); err != nil {
		return 0, err
	}
	if !warmer(roomC, outC) {
		return 0, fmt.Errorf("condense: room at %v degC is not warmer than outdoors at %v", roomC, outC)
	}
	return (surfaceC - outC) / (roomC - outC), nil
}

// warmer reports whether the room is warmer than outdoors by more than rounding: a
// factor divides by the difference.
func warmer(roomC, outC float64) bool { return roomC-outC > 1e-6 }

// MaxRoomRH returns the highest relative humidity of room air, 0 to 1, at which a
// surface of factor f stays within limit.
//
// Source: EN ISO 13788 clause 5, solved for the room.
func MaxRoomRH(f, roomC, outC, limit float64) (float64, error) {
	if err := check.First("condense", check.Within("f_Rsi", f, 0, 1), check.Within("room temperature", roomC, -60, 60), check.Within("outdoor temperature", outC, -60, 60), check.Within("limit", limit, 0, 1)); err != nil {
		return 0, err
	}
	return math.Min(1, limit*moistair.PSat(outC+f*(roomC-outC))/moistair.PSat(roomC)), nil
}

// SurfaceYear is the need of a year. Arrays run by month, January first.
type SurfaceYear struct {
	Required [12]float64 // factor needed
	Counts   [12]bool    // the room is warmer than outdoors, so the factor means something
	Critical int         // month with the greatest need, -1 when none counts
	Worst    float64     // the need of that month
}

// RequiredByMonth returns the factor needed in each month to keep the relative
// humidity at room surfaces to limit: MouldLimit or CondensationLimit.
//
// Source: EN ISO 13788 clause 5.
func RequiredByMonth(c Climate, indoor Indoor, limit float64) (SurfaceYear, error) {
	res := SurfaceYear{Critical: -1}
	if indoor == nil {
		return res, fmt.Errorf("condense: no indoor air")
	}
	if err := c.check(); err != nil {
		return res, err
	}
	for m := range c.TempC {
		roomC, roomPa := indoor.Room(c.TempC[m], c.VapourPa[m])
		if !(roomC >= -20 && roomC <= 60) {
			return SurfaceYear{Critical: -1}, check.First("condense: indoor air", check.Within("temperature", roomC, -20, 60))
		}
		if !warmer(roomC, c.TempC[m]) {
			continue
		}
		f, err := RequiredFRsi(roomC, roomPa, c.TempC[m], limit)
		if err != nil {
			return SurfaceYear{Critical: -1}, err
		}
		res.Required[m], res.Counts[m] = f, true
		if res.Critical < 0 || f > res.Worst {
			res.Critical, res.Worst = m, f
		}
	}
	return res, nil
}

// Fails returns the months, 0 for January, in which a surface of factor f is not
// warm enough. A factor of NaN fails in all months that count.
func (s SurfaceYear) Fails(f float64) []int {
	var out []int
	for m, need := range s.Required {
		if s.Counts[m] && !(f >= need) {
			out = append(out, m)
		}
	}
	return out
}
