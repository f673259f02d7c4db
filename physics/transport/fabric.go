package transport

import (
	"fmt"
	"math"

	"underlap/physics/fabric"
	"underlap/physics/timber"
)

// wood are the materials whose sorption has the shape of that of wood: a curve through two
// points alone would have them far too dry below 80 % and far too wet above 90.
var wood = map[string]bool{"softwood": true, "softwood-light": true, "hardwood": true, "osb": true, "plywood": true, "plywood-dense": true, "chipboard": true}

// sorptionC is the temperature in degC at which sorption is taken; it goes little with it.
const sorptionC = 20

// FromFabric returns the material of that entry of the table of materials. It fails
// for sheets, air and others that have no moisture storage there.
//
// Source: the table of package fabric. The rise of conductivity is that of ISO 10456
// taken as a straight line up to 100 kg/m3. Wood and boards of wood take the shape of the
// sorption curve of wood in the Wood Handbook, brought to their own content at 80 %.
func FromFabric(m fabric.Material) (Material, error) {
	out := Material{
		Name: m.Name, HeatCapacity: m.Density * m.HeatCapacity, Lambda: m.Lambda,
		LambdaRise: m.Lambda * math.Expm1(m.FPsi*0.1) / 100,
		MuDry:      m.MuDry, MuWet: m.MuWet,
		Water80: m.Moisture80, WaterFree: m.MoistureFree, Absorption: m.Absorption,
	}
	if wood[m.ID] {
		at80, err := timber.Equilibrium(sorptionC, 0.8)
		if err != nil {
			return Material{}, err
		}
		for _, rh := range []float64{0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.85, 0.9, 0.95} {
			u, err := timber.Equilibrium(sorptionC, rh)
			if err != nil {
				return Material{}, err
			}
			out.Isotherm = append(out.Isotherm, Sorption{rh, u / at80 * m.Moisture80})
		}
	}
	if m.Sd > 0 {
		return Material{}, fmt.Errorf("transport: %s has its vapour resistance in its faces: give them as films round a body", m.Name)
	}
	return out, out.check()
}
