package moistair

import (
	"fmt"

	"underlap/physics/internal/check"
)

// VapourPressure returns the partial pressure of water vapour in Pa in air at
// tC degrees Celsius and relative humidity rh, 0 to 1, with PSat as the
// saturation curve. It fails for rh outside 0 to 1 and for tC outside -100 to 200.
//
// Source: definition of relative humidity, EN ISO 13788.
func VapourPressure(tC, rh float64) (float64, error) {
	if err := check.First("moistair", check.Within("temperature", tC, coldest, hottest), check.Within("relative humidity", rh, 0, 1)); err != nil {
		return 0, err
	}
	return rh * PSat(tC), nil
}

// RelativeHumidity returns the relative humidity as a fraction of air at tC
// degrees Celsius with vapour pressure pv Pa. It may exceed 1. It fails for a
// negative pressure and for tC outside -100 to 200.
//
// Source: definition of relative humidity, EN ISO 13788.
func RelativeHumidity(tC, pv float64) (float64, error) {
	if err := check.First("moistair", check.Within("temperature", tC, coldest, hottest), check.NotNegative("vapour pressure", pv)); err != nil {
		return 0, err
	}
	return pv / PSat(tC), nil
}

// DewPoint returns the temperature in degrees Celsius at which air of tC degrees
// Celsius and relative humidity rh, over 0 to 1, begins to condense. Below 0
// degC it is the frost point. It fails for rh of 0 or outside that range.
//
// Source: EN ISO 13788 Annex E and its inverse.
func DewPoint(tC, rh float64) (float64, error) {
	pv, err := VapourPressure(tC, rh)
	if err != nil {
		return 0, err
	}
	return TSat(pv)
}

// AbsoluteHumidity returns the mass of water vapour in kg per m3 of air at tC
// degrees Celsius with vapour pressure pv Pa. It fails for a negative pressure
// and for tC outside -100 to 200.
//
// Source: ideal gas law with 461.5 J/(kg K), as EN ISO 13788.
func AbsoluteHumidity(tC, pv float64) (float64, error) {
	if !(tC >= coldest && tC <= hottest) {
		return 0, errRange
	}
	if err := check.First("moistair", check.NotNegative("vapour pressure", pv)); err != nil {
		return 0, err
	}
	return pv / (vapourGas * (tC + kelvin)), nil
}

// HumidityRatio returns the mass of water vapour in kg per kg of dry air, for a
// vapour pressure pv Pa in air of total pressure p Pa. It fails unless
// 0 <= pv < p.
//
// Source: ASHRAE Handbook Fundamentals chapter 1, 0.621945 pv/(p-pv).
func HumidityRatio(pv, p float64) (float64, error) {
	if !(pv >= 0 && pv < p) {
		return 0, fmt.Errorf("moistair: vapour pressure %v Pa must be from 0 to below the total pressure %v Pa", pv, p)
	}
	return massRatio * pv / (p - pv), nil
}

// Density returns the density of moist air in kg/m3 at tC degrees Celsius with
// vapour pressure pv Pa and total pressure p Pa. It fails unless 0 <= pv < p
// and for tC outside -100 to 200.
//
// Source: mixture of two ideal gases, ASHRAE Handbook Fundamentals chapter 1
// (287.042 J/(kg K) for dry air and the mass ratio 0.621945).
func Density(tC, pv, p float64) (float64, error) {
	if !(tC >= coldest && tC <= hottest) {
		return 0, errRange
	}
	if !(pv >= 0 && pv < p) {
		return 0, fmt.Errorf("moistair: vapour pressure %v Pa must be from 0 to below the total pressure %v Pa", pv, p)
	}
	return ((p - pv) + massRatio*pv) / (dryAirGas * (tC + kelvin)), nil
}
