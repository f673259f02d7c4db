package energy

import (
	"fmt"

	"underlap/physics/internal/check"
)

// ExtraHeat returns the heat in kWh a year that is lost because the insulation is
// wet or bypassed: U-values of the sound roof and as it is, in W/m2K, over area m2
// and degree hours in K h a year. It fails when the roof as it is loses less.
//
// Source: definition, Q = (U - U_sound) A x degree hours.
func ExtraHeat(soundU, u, area, degreeHours float64) (float64, error) {
	if err := check.First("energy: extra heat",
		check.NotNegative("U-value of the sound roof", soundU), check.NotNegative("U-value", u),
		check.NotNegative("area", area), check.NotNegative("degree hours", degreeHours),
	); err != nil {
		return 0, err
	}
	if u < soundU {
		return 0, fmt.Errorf("energy: extra heat: U-value is %v, want no less than the %v of the sound roof", u, soundU)
	}
	return (u - soundU) * area * degreeHours / 1000, nil
}

// Heating is what turns fuel into heat. All of it is the user's to give.
type Heating struct {
	Efficiency float64 // heat for each unit of fuel: 0.9 for a boiler, 3 for a heat pump
	Price      float64 // of 1 kWh of fuel, in any money
	CO2        float64 // kg for each kWh of fuel
}

// Bill is what an amount of heat takes.
type Bill struct {
	Fuel float64 // kWh
	Cost float64 // in the money of Heating.Price
	CO2  float64 // kg
}

// For returns what heat in kWh takes. It fails for an efficiency of 0 or less, or
// above 10.
//
// Source: definition.
func (h Heating) For(heat float64) (Bill, error) {
	if err := check.First("energy: heating",
		check.NotNegative("heat", heat), check.Positive("efficiency", h.Efficiency), check.Within("efficiency", h.Efficiency, 0, 10),
		check.NotNegative("price", h.Price), check.NotNegative("carbon dioxide", h.CO2),
	); err != nil {
		return Bill{}, err
	}
	fuel := heat / h.Efficiency
	return Bill{Fuel: fuel, Cost: fuel * h.Price, CO2: fuel * h.CO2}, nil
}
