package transport

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Constants of the equations.
const (
	delta0    = 2e-10  // vapour permeability of still air, kg/(m s Pa), EN ISO 13788
	latent    = 2.5e6  // heat of evaporation, J/kg, EN 15026
	waterHeat = 4187.0 // heat capacity of water, J/(kg K), EN 15026
)

// Point is what a material does at one water content and temperature.
type Point struct {
	RH, RHByWater, RHByTemp float64 // relative humidity in the pores, and its slopes in 1/(kg/m3) and 1/K
	Psi, PsiByWater         float64 // potential that drives liquid, and its slope
	Liquid                  float64 // conductivity for that potential, kg/(m s) for each unit of it
	Permeability            float64 // for vapour, kg/(m s Pa)
	Lambda                  float64 // W/(m K)
}

// Curves describes a material whose storage is not of the usual form. Liquid passes
// between neighbours only when both have the same Curves or none has.
type Curves interface {
	// At returns the state at water kg/m3 and tC degrees Celsius.
	At(water, tC float64) Point
	// WaterAt returns the water content in kg/m3 in balance with air of relative
	// humidity rh at tC degrees Celsius.
	WaterAt(rh, tC float64) float64
}

// Material is a body that stores heat and water.
type Material struct {
	Name         string
	HeatCapacity float64 // dry, by volume, J/(m3 K)
	Lambda       float64 // dry, W/(m K)
	LambdaRise   float64 // what each kg/m3 of water adds to Lambda, W m2/(K kg)
	MuDry, MuWet float64 // vapour resistance factors
	Water80      float64 // water content at 80 % relative humidity, kg/m3
	WaterFree    float64 // free saturation: what it takes up standing in water, kg/m3
	Absorption   float64 // water absorption coefficient, kg/(m2 s^0.5); 0 for no liquid flow
	// Isotherm, when it has points, is what the material holds in air of rising relative
	// humidity, and takes the place of the curve through Water80; the last point joins on
	// to WaterFree at 1.
	Isotherm []Sorption
	Curves   Curves // in place of Lambda, mu and the four below it, or nil
}

// Sorption is one point of a sorption isotherm.
type Sorption struct {
	RH    float64 // 0 to 1
	Water float64 // kg/m3
}

func (m Material) check() error {
	if err := check.First("transport: "+m.Name, check.Positive("heat capacity", m.HeatCapacity)); err != nil || m.Curves != nil {
		return err
	}
	last := Sorption{}
	for i, p := range m.Isotherm {
		if !(p.RH > last.RH && p.Water > last.Water && p.RH < 1 && p.Water < m.WaterFree) {
			return fmt.Errorf("transport: %s: point %d of the isotherm does not rise, or not below 1 and free saturation", m.Name, i+1)
		}
		last = p
	}
	return check.First("transport: "+m.Name,
		check.Positive("conductivity", m.Lambda), check.NotNegative("rise of conductivity", m.LambdaRise),
		check.Within("mu of the wet side", m.MuWet, 1, 1e7), check.Within("mu of the dry side", m.MuDry, m.MuWet, 1e7),
		check.Positive("water content at 80 %", m.Water80), check.Positive("free saturation", m.WaterFree),
		check.Within("water content at 80 %, as a share of free saturation", m.Water80/m.WaterFree, 1e-6, 0.7),
		check.NotNegative("water absorption", m.Absorption),
	)
}

// porous is a Material made ready: relative humidity phi = b w/(a + w), the usual
// approximation of a sorption isotherm through 80 % and free saturation, with a =
// w_f (b - 1).
//
// Source: Kuenzel, Simultaneous Heat and Moisture Transport in Building Components,
// Fraunhofer IRB 1995 (from memory), both for the isotherm and for the liquid
// diffusivity 3.8 (A/w_f)^2 1000^(w/w_f - 1).
type porous struct {
	a, b       float64
	free       float64
	lambda     float64
	lambdaRise float64
	permDry    float64
	permRise   float64 // permeability gained from the dry to the wet test
	liquid     float64 // 3.8 (A/w_f)^2, m2/s
	curves     Curves
	table      *isotherm // in place of a and b, or nil
}

// The dry and wet cup tests stand between 0 and 50 % and between 50 and 93 %: their
// results are taken to hold at the middle of each.
//
// Source: EN ISO 12572 test conditions, from memory.
const (
	dryCup = 0.25
	wetCup = 0.715
)

// overfull is how steeply vapour pressure rises in a body that holds more than free
// saturation: such water would run off, so it is pushed out.
const overfull = 1.0

func newPorous(m Material) porous {
	if m.Curves != nil {
		return porous{curves: m.Curves}
	}
	b := 0.8 * (m.WaterFree - m.Water80) / (0.8*m.WaterFree - m.Water80)
	ratio := m.Absorption / m.WaterFree
	var table *isotherm
	if len(m.Isotherm) > 0 {
		table = newIsotherm(m.Isotherm, m.WaterFree)
	}
	return porous{
		table: table, a: m.WaterFree * (b - 1), b: b, free: m.WaterFree,
		lambda: m.Lambda, lambdaRise: m.LambdaRise,
		permDry: delta0 / m.MuDry, permRise: delta0/m.MuWet - delta0/m.MuDry,
		liquid: 3.8 * ratio * ratio,
	}
}

// at puts the state at water w, kg/m3, and tC degrees Celsius into out.
func (p *porous) at(w, tC float64, out *Point) {
	if p.curves != nil {
		*out = p.curves.At(w, tC)
		return
	}
	var rh, slope float64
	if p.table != nil {
		rh, slope = p.table.at(w)
	} else {
		inv := 1 / (p.a + w)
		rh, slope = p.b*w*inv, p.b*p.a*inv*inv
	}
	out.Liquid = 0
	if p.liquid > 0 {
		const ln1000 = 6.907755278982137
		out.Liquid = p.liquid * math.Exp(ln1000*min(w/p.free-1, 0)) / slope
	}
	if w > p.free {
		over := (w - p.free) / p.free
		rh += overfull * over * over
		slope += 2 * overfull * over / p.free
	}
	out.RH, out.RHByWater, out.RHByTemp = rh, slope, 0
	out.Psi, out.PsiByWater = rh, slope
	share := (rh - dryCup) / (wetCup - dryCup)
	out.Permeability = p.permDry + p.permRise*min(1, max(0, share))
	out.Lambda = p.lambda + p.lambdaRise*w
}

func (p *porous) waterAt(rh, tC float64) float64 {
	if p.curves != nil {
		return p.curves.WaterAt(rh, tC)
	}
	if p.table != nil {
		return p.table.waterAt(rh)
	}
	return p.a * rh / (p.b - rh)
}
