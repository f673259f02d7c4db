package fabric

import (
	"math"

	"underlap/physics/internal/check"
)

// MoistLambda converts a conductivity lambda in W/(m K) at moisture content from
// to the one at moisture content to. With contents in m3/m3 the coefficient is
// f_psi, in kg/kg f_u. The conversion leaves out vapour moving through the
// material and the heat it carries: wet open fibre does worse.
//
// Source: ISO 10456 clause 7.3, lambda exp(f (to - from)).
func MoistLambda(lambda, coefficient, from, to float64) (float64, error) {
	if err := check.First("fabric",
		check.Positive("conductivity", lambda),
		check.NotNegative("moisture coefficient", coefficient),
		check.NotNegative("moisture content", from),
		check.NotNegative("moisture content", to),
	); err != nil {
		return 0, err
	}
	return lambda * math.Exp(coefficient*(to-from)), nil
}

// VolumeMoisture returns the moisture content in m3/m3 of a layer of the given
// thickness in m that holds kgPerM2 of water.
//
// Source: definition in ISO 10456, water at 1000 kg/m3.
func VolumeMoisture(kgPerM2, thickness float64) (float64, error) {
	if err := check.First("fabric", check.NotNegative("water", kgPerM2), check.Positive("thickness", thickness)); err != nil {
		return 0, err
	}
	return kgPerM2 / (1000 * thickness), nil
}
