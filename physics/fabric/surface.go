package fabric

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// SolAir returns the sol-air temperature of a roof surface in degrees Celsius:
// the air temperature that would give the same heat flow. Air at tC degC, solar
// absorptance and emissivity 0 to 1, sun in W/m2, ho the outside coefficient in
// W/m2K and skyDeficit the long-wave loss to the sky of a black surface in W/m2
// (63 with ho 17 for horizontal surfaces under a clear sky).
//
// Source: ASHRAE Handbook Fundamentals, from memory of it with both defaults.
func SolAir(tC, absorptance, sun, ho, emissivity, skyDeficit float64) (float64, error) {
	if err := check.First("fabric: sol-air",
		check.Finite("air temperature", tC),
		check.Within("absorptance", absorptance, 0, 1),
		check.NotNegative("sun", sun),
		check.Positive("outside coefficient", ho),
		check.Within("emissivity", emissivity, 0, 1),
		check.NotNegative("loss to the sky", skyDeficit),
	); err != nil {
		return 0, err
	}
	return tC + (absorptance*sun-emissivity*skyDeficit)/ho, nil
}

// NightRoof is a roof surface on a still night.
type NightRoof struct {
	AirC          float64 // outdoor air, degC
	RoomC         float64 // room below, degC
	U             float64 // from room air to the outside surface, W/m2K
	Convection    float64 // from outdoor air to the surface, W/m2K
	Emissivity    float64 // of the surface, 0 to 1
	SkyEmissivity float64 // of the sky against air temperature: 0.75 clear, 0.95 overcast
}

// SurfaceTemperature returns the temperature of the surface in degrees Celsius
// where heat from room and air balances radiation to the sky.
//
// Source: Stefan-Boltzmann balance; the sky emissivities are from memory of
// ASHRAE Handbook Fundamentals.
func (n NightRoof) SurfaceTemperature() (float64, error) {
	if err := check.First("fabric: night roof",
		check.Within("outdoor temperature", n.AirC, -100, 100),
		check.Within("room temperature", n.RoomC, -100, 100),
		check.NotNegative("U-value", n.U),
		check.NotNegative("convection", n.Convection),
		check.Within("emissivity", n.Emissivity, 0, 1),
		check.Within("sky emissivity", n.SkyEmissivity, 0, 1),
	); err != nil {
		return 0, err
	}
	if n.U+n.Convection == 0 && n.Emissivity == 0 {
		return 0, fmt.Errorf("fabric: night roof: the surface exchanges no heat")
	}
	air := n.AirC + 273.15
	sky := n.SkyEmissivity * air * air * air * air
	gain := func(t float64) float64 {
		k := t + 273.15
		return n.Convection*(n.AirC-t) + n.U*(n.RoomC-t) + n.Emissivity*stefanBoltzmann*(sky-k*k*k*k)
	}
	// The gain falls steadily with the surface temperature, so halving finds it.
	lo, hi := -273.15, math.Max(n.AirC, n.RoomC)
	for range 100 {
		mid := (lo + hi) / 2
		if gain(mid) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, nil
}
