package moistair

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// WetBulb returns the thermodynamic wet bulb temperature in degrees Celsius of air at tC
// degrees Celsius, relative humidity rh, 0 to 1, and total pressure p Pa: what air comes
// to as it takes up water of that temperature until it is saturated. Where the wick
// would freeze it is the ice bulb. Just about 0 degC both are possible and water is
// taken. It fails for tC outside -100 to 200, for rh outside 0 to 1, and where
// saturation pressure would exceed the total.
//
// Source: ASHRAE Handbook Fundamentals chapter 1, adiabatic saturation over water and
// over ice, from memory of it, with PSat; the tests check it against the library
// psychrolib 1.1.1.
func WetBulb(tC, rh, p float64) (float64, error) {
	pv, err := VapourPressure(tC, rh)
	if err != nil {
		return 0, err
	}
	if !(PSat(tC) < p) || math.IsInf(p, 0) {
		return 0, fmt.Errorf("moistair: total pressure is %v Pa, want more than the %v Pa of saturation", p, PSat(tC))
	}
	return wetBulb(tC, massRatio*pv/(p-pv), p, PSat), nil
}

// wetBulb finds the wet bulb of air of humidity ratio w with any saturation curve.
func wetBulb(tC, w, p float64, psat func(tC float64) float64) float64 {
	saturated := func(wet float64) float64 {
		ps := psat(wet)
		return massRatio * ps / (p - ps)
	}
	// The humidity ratio of air at tC that has such a wet bulb; it rises with it.
	overWater := func(wet float64) float64 {
		return ((2501-2.326*wet)*saturated(wet) - 1.006*(tC-wet)) / (2501 + 1.86*tC - 4.186*wet)
	}
	overIce := func(wet float64) float64 {
		return ((2830-0.24*wet)*saturated(wet) - 1.006*(tC-wet)) / (2830 + 1.86*tC - 2.1*wet)
	}
	ratio, lo, hi := overIce, coldest, math.Min(tC, 0)
	if tC >= 0 && overWater(0) <= w {
		ratio, lo, hi = overWater, 0, tC
	}
	for range 60 {
		mid := (lo + hi) / 2
		if ratio(mid) < w {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Enthalpy returns the enthalpy of moist air in J per kg of dry air at tC degrees
// Celsius with humidity ratio w kg/kg, from dry air and liquid water at 0 degC. It fails
// for tC outside -100 to 200 and for a negative ratio.
//
// Source: ASHRAE Handbook Fundamentals chapter 1, 1006 t + w (2501000 + 1860 t).
func Enthalpy(tC, w float64) (float64, error) {
	if err := check.First("moistair", check.Within("temperature", tC, coldest, hottest), check.NotNegative("humidity ratio", w)); err != nil {
		return 0, err
	}
	return 1006*tC + w*(2501e3+1860*tC), nil
}
