package fabric

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// Constants of the band of moist conductivity.
const (
	waterLambda  = 0.60  // W/(m K) at 10 degC, ISO 10456 (from memory)
	iceLambda    = 2.30  // W/(m K) at -10 degC, ISO 10456 (from memory)
	permeability = 2e-10 // vapour permeability of still air, kg/(m s Pa), EN ISO 13788
	// spread is how far the moisture coefficient is let stray either way. The contents
	// at which boards lost a fifth of their resistance in wetting tests lie within
	// about twice or half of what ISO 10456 has, for most kinds.
	spread = 2.0
	// steady is the content in m3/m3 from which water is taken to go round in the
	// pores for good: evaporating on the warm side, running back from the cold one.
	steady = 0.01
)

// MoistBand returns the conductivity in W/(m K) of a layer of a material that holds
// kgPerM2 of water in a thickness in m, at a mean temperature of meanC: a low, a middle
// and a high value. It fails for a material without a moisture coefficient, such as
// timber or a membrane, for more water than the layer has room for, and outside -40 to
// 60 degC.
//
// The middle is ISO 10456. No document was found that gives a band, so this is a rule
// made here, to be taken as one:
//   - the coefficient f_psi may be half or twice what the standard has, and further
//     where the material's own wetting test (Wet80) lay outside that;
//   - nothing conducts better than dry material and water side by side;
//   - below 0 degC the high value takes the water as ice, which conducts four times as
//     well; the others stay as they are, as the ice lies in drops more than in bridges;
//   - the high value adds the heat that vapour carries through the pores left, delta_0 L
//     (dp_sat/dT) / mu, in full from 1 % of the volume up. In open fibre at 20 degC that
//     is 0.07 W/(m K), more than the dry wool itself; in foam next to nothing. It comes
//     about only while there is water at the warm side.
//
// For concrete and screed the table's conductivity already holds the water of an
// ordinary room, so only what is over Moisture80 counts, and no more than MoistureFree.
//
// Source: ISO 10456 for the middle; Tobiasson and others 1991 for the spread, from
// memory of it; the rest as above.
func MoistBand(m Material, kgPerM2, thickness, meanC float64) (low, mid, high float64, err error) {
	content, err := VolumeMoisture(kgPerM2, thickness)
	if err != nil {
		return 0, 0, 0, err
	}
	if err := check.First("fabric: moist "+m.ID,
		check.Positive("conductivity", m.Lambda),
		check.Within("moisture content in m3/m3", content, 0, 1),
		check.Within("mean temperature", meanC, -40, 60),
	); err != nil {
		return 0, 0, 0, err
	}
	if status, _ := m.From("f_psi"); status == "" {
		return 0, 0, 0, fmt.Errorf("fabric: material %s has no moisture coefficient", m.ID)
	}
	if m.Kind == Structure {
		content = math.Max(0, math.Min(content, m.MoistureFree/1000)-m.Moisture80/1000)
	}
	least, most := m.FPsi/spread, m.FPsi*spread
	if m.Wet80 > 0 {
		tested := math.Log(1/0.8) / m.Wet80
		least, most = math.Min(least, tested), math.Max(most, tested)
	}
	moist := func(f float64) float64 {
		lambda := m.Lambda * math.Exp(f*content)
		if m.Lambda < waterLambda {
			return math.Min(lambda, m.Lambda+content*(waterLambda-m.Lambda))
		}
		return lambda
	}
	low, mid, high = moist(least), moist(m.FPsi), moist(most)
	if meanC < 0 && m.Lambda < waterLambda {
		high = m.Lambda + (high-m.Lambda)*(iceLambda-m.Lambda)/(waterLambda-m.Lambda)
	}
	if m.MuWet > 0 {
		high += vapourLambda(meanC) / m.MuWet * math.Min(1, content/steady) * (1 - content)
	}
	return low, mid, high, nil
}

// vapourLambda is the conductivity in W/(m K) that vapour moving between wet faces adds
// to still air at tC degrees Celsius: what diffuses for a kelvin times its latent heat.
func vapourLambda(tC float64) float64 {
	latent := 2.501e6 - 2361*tC // J/kg, evaporation
	if tC < 0 {
		latent = 2.83e6 // sublimation
	}
	perKelvin := moistair.PSat(tC+0.5) - moistair.PSat(tC-0.5)
	return permeability * latent * perKelvin
}
