package transport

import (
	"fmt"
	"math"

	"underlap/physics/fabric"
)

// FromFabric returns the material of that entry of the table of materials. It fails
// for sheets, air and others that have no moisture storage there.
//
// Source: the table of package fabric. The rise of conductivity is that of ISO 10456
// taken as a straight line up to 100 kg/m3.
func FromFabric(m fabric.Material) (Material, error) {
	out := Material{
		Name: m.Name, HeatCapacity: m.Density * m.HeatCapacity, Lambda: m.Lambda,
		LambdaRise: m.Lambda * math.Expm1(m.FPsi*0.1) / 100,
		MuDry:      m.MuDry, MuWet: m.MuWet,
		Water80: m.Moisture80, WaterFree: m.MoistureFree, Absorption: m.Absorption,
	}
	if m.Sd > 0 {
		return Material{}, fmt.Errorf("transport: %s has its vapour resistance in its faces: give them as films round a body", m.Name)
	}
	return out, out.check()
}
