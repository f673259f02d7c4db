package moistair

import (
	"math"

	"underlap/physics/internal/check"
)

// PressureAt returns the pressure in Pa of the standard atmosphere at a height in m
// above the sea, -5000 to 11000. Strictly the height is the geopotential one, which at
// 5000 m is 4 m less than by tape.
//
// Source: ISO 2533 and ASHRAE Handbook Fundamentals chapter 1, 101325 (1 - 2.25577e-5
// z)^5.2559, from memory of both.
func PressureAt(height float64) (float64, error) {
	if err := check.First("moistair", check.Within("height", height, -5000, 11000)); err != nil {
		return 0, err
	}
	return StandardPressure * math.Pow(1-2.25577e-5*height, 5.2559), nil
}
