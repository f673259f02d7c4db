// Package moistair gives the properties of moist air: saturation pressure, dew
// point, wet bulb, absolute humidity, humidity ratio, density and enthalpy, and the
// pressure of the air at a height.
//
// Saturation pressure comes in three formulations. PSat is the one of EN ISO
// 13788 and is used by every calculation here, because the standards' limits
// were set with it. PSatIAPWS and PSatASHRAE are independent and more exact;
// they show what the choice is worth: up to 0.2 % above 0 degC and 0.5 % at
// -20 degC.
package moistair

import (
	"errors"
	"math"

	"underlap/physics/internal/check"
)

// Constants of the saturation curve of EN ISO 13788 Annex E.
const (
	pZero     = 610.5  // Pa at 0 degC
	waterA    = 17.269 // over water
	waterB    = 237.3  // degC
	iceA      = 21.875 // over ice
	iceB      = 265.5  // degC
	kelvin    = 273.15
	coldest   = -100.0 // degC: below this the curves mean nothing
	hottest   = 200.0  // degC: same above
	stdPress  = 101325.0
	vapourGas = 461.5   // J/(kg K)
	dryAirGas = 287.042 // J/(kg K)
	massRatio = 0.621945
)

// StandardPressure is the standard atmospheric pressure at sea level, Pa
// (ISO 2533).
const StandardPressure = stdPress

// VapourGasConstant is the gas constant of water vapour, J/(kg K), as used with
// EN ISO 13788 (from memory of the standard's round value).
const VapourGasConstant = vapourGas

var errRange = errors.New("moistair: temperature outside -100 to 200 degC")

// PSat returns the saturation vapour pressure in Pa at tC degrees Celsius, over
// water from 0 degC up and over ice below. Outside -100 to 200 degC, and for
// NaN, it returns NaN.
//
// Source: EN ISO 13788 Annex E.
func PSat(tC float64) float64 {
	switch {
	case !(tC >= coldest && tC <= hottest):
		return math.NaN()
	case tC >= 0:
		return pZero * math.Exp(waterA*tC/(waterB+tC))
	default:
		return pZero * math.Exp(iceA*tC/(iceB+tC))
	}
}

// TSat returns the temperature in degrees Celsius at which PSat is p Pa. It is
// the dew point, or below 0 degC the frost point, of air with vapour pressure p.
// It fails when p is not the value of PSat for any temperature from -100 to 200.
//
// Source: inverse of EN ISO 13788 Annex E, from memory of the standard; the
// tests check it by going there and back.
func TSat(p float64) (float64, error) {
	if !(p >= PSat(coldest) && p <= PSat(hottest)) {
		return 0, check.First("moistair", check.Within("vapour pressure", p, PSat(coldest), PSat(hottest)))
	}
	l := math.Log(p / pZero)
	if p >= pZero {
		return waterB * l / (waterA - l), nil
	}
	return iceB * l / (iceA - l), nil
}

// PSatIAPWS returns the saturation vapour pressure in Pa at tC degrees Celsius:
// from 0 degC up the region 4 equation of IAPWS-IF97, below it the sublimation
// equation for ice Ih of IAPWS 2011. Outside -100 to 200 degC it is NaN.
//
// Source: IAPWS-IF97 (2007 revision) and IAPWS R14-08(2011), coefficients from
// memory of both; the tests check them at the points those documents publish.
func PSatIAPWS(tC float64) float64 {
	switch {
	case !(tC >= coldest && tC <= hottest):
		return math.NaN()
	case tC >= 0:
		return if97Region4(tC + kelvin)
	default:
		return iceSublimation(tC + kelvin)
	}
}

// if97Region4 is the saturation pressure in Pa at t kelvin, 273.15 to 647 K.
func if97Region4(t float64) float64 {
	const (
		n1  = 0.11670521452767e4
		n2  = -0.72421316703206e6
		n3  = -0.17073846940092e2
		n4  = 0.12020824702470e5
		n5  = -0.32325550322333e7
		n6  = 0.14915108613530e2
		n7  = -0.48232657361591e4
		n8  = 0.40511340542057e6
		n9  = -0.23855557567849
		n10 = 0.65017534844798e3
	)
	theta := t + n9/(t-n10)
	a := theta*theta + n1*theta + n2
	b := n3*theta*theta + n4*theta + n5
	c := n6*theta*theta + n7*theta + n8
	x := 2 * c / (-b + math.Sqrt(b*b-4*a*c))
	return 1e6 * x * x * x * x
}

// iceSublimation is the sublimation pressure of ice Ih in Pa at t kelvin, 50 to 273.16 K.
func iceSublimation(t float64) float64 {
	theta := t / 273.16
	sum := -0.212144006e2*math.Pow(theta, 0.333333333e-2) +
		0.273203819e2*math.Pow(theta, 0.120666667e1) -
		0.610598130e1*math.Pow(theta, 0.170333333e1)
	return 611.657 * math.Exp(sum/theta)
}

// PSatASHRAE returns the saturation vapour pressure in Pa at tC degrees Celsius
// by the Hyland and Wexler equations: over ice up to the triple point of 0.01
// degC, over water above it. Outside -100 to 200 degC it is NaN.
//
// Source: ASHRAE Handbook Fundamentals chapter 1, coefficients from memory of
// it; the tests check the values against the library psychrolib 1.1.1.
func PSatASHRAE(tC float64) float64 {
	if !(tC >= coldest && tC <= hottest) {
		return math.NaN()
	}
	t := tC + kelvin
	if tC <= 0.01 {
		return math.Exp(-5.6745359e3/t + 6.3925247 - 9.677843e-3*t + 6.2215701e-7*t*t +
			2.0747825e-9*t*t*t - 9.484024e-13*t*t*t*t + 4.1635019*math.Log(t))
	}
	return math.Exp(-5.8002206e3/t + 1.3914993 - 4.8640239e-2*t + 4.1764768e-5*t*t -
		1.4452093e-8*t*t*t + 6.5459673*math.Log(t))
}
