// Package drainage gives the water a flat roof has to shed, what its outlets, pipes
// and gutters carry, and what standing water does: how deep it gets behind a
// blocked outlet, what it weighs, how much runs through a hole or a crack and how far
// it creeps into a lap.
//
// Capacities follow BS EN 12056-3. Its formulas are from memory of it, in litres a
// second and millimetres there; here everything is in m and m3/s.
package drainage

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

const (
	litre = 1e-3 // m3
	mm    = 1e-3 // m
	g     = 9.81 // m/s2
	water = 1000 // kg/m3
)

// IntensityFromMMPerHour converts rain in mm/h into m3/s on each m2; 75 mm/h is
// 0.0208 litres a second on a square metre.
//
// Source: unit conversion.
func IntensityFromMMPerHour(mmPerHour float64) (float64, error) {
	if err := check.First("drainage", check.NotNegative("rain", mmPerHour)); err != nil {
		return 0, err
	}
	return mmPerHour * mm / 3600, nil
}

// MMPerHour converts an intensity in m3/s on each m2 into mm/h.
//
// Source: unit conversion.
func MMPerHour(intensity float64) (float64, error) {
	if err := check.First("drainage", check.NotNegative("intensity", intensity)); err != nil {
		return 0, err
	}
	return intensity / mm * 3600, nil
}

// Category is the standard of protection against heavy rain.
type Category int

// The four categories of BS EN 12056-3. The first three were read in trade
// summaries, the fourth is from memory of it.
const (
	Shedding Category = 1 // eaves gutters and flat roofs that can spill: once in a year
	Normal   Category = 2 // no safe spill: 1.5 times the life of the building
	Higher   Category = 3 // sensitive use: 4.5 times the life of the building
	Highest  Category = 4 // the greatest probable rain
)

// ReturnPeriod returns the years between storms to design for, given the life of the
// building in years: 90 for a life of 60 in category 2. It fails for category 4,
// which has no return period.
//
// Source: BS EN 12056-3 as summarised by the trade.
func (c Category) ReturnPeriod(life float64) (float64, error) {
	if err := check.First("drainage", check.Positive("life of the building", life)); err != nil {
		return 0, err
	}
	switch c {
	case Shedding:
		return 1, nil
	case Normal:
		return 1.5 * life, nil
	case Higher:
		return 4.5 * life, nil
	}
	return 0, fmt.Errorf("drainage: category %d has no return period", c)
}

// EffectiveArea returns the area in m2 that collects rain: the plan of the roof and
// half of one wall face above it, the largest one exposed.
//
// Source: BS EN 12056-3, from memory of it.
func EffectiveArea(plan, wallFace float64) (float64, error) {
	if err := check.First("drainage", check.NotNegative("plan area", plan), check.NotNegative("wall face", wallFace)); err != nil {
		return 0, err
	}
	return plan + wallFace/2, nil
}

// RunOff returns the flow in m3/s from an effective area in m2 at an intensity in
// m3/s on each m2. A flat roof loses nothing.
//
// Source: BS EN 12056-3, Q = r A C with C = 1.
func RunOff(area, intensity float64) (float64, error) {
	if err := check.First("drainage", check.NotNegative("area", area), check.NotNegative("intensity", intensity)); err != nil {
		return 0, err
	}
	return area * intensity, nil
}

// Fall returns the ratio of drop to run from heights at two points run m apart: 0.0125
// is 1 in 80.
//
// Source: definition.
func Fall(high, low, run float64) (float64, error) {
	if err := check.First("drainage", check.Finite("high side", high), check.Finite("low side", low), check.Positive("distance", run)); err != nil {
		return 0, err
	}
	return (high - low) / run, nil
}

// Falls of BS 6229:2018 as reported by the trade.
const (
	DesignFall   = 1.0 / 40 // to draw
	FinishedFall = 1.0 / 80 // to have everywhere when finished
)

// pow32 and its inverse appear in all weirs.
func pow32(h float64) float64 { return h * math.Sqrt(h) }
