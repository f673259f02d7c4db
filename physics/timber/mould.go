package timber

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Mould is a surface on which mould may grow: the VTT model. M, the mould index, runs
// from 0 (none) over 1 (seen through a microscope) and 3 (seen by eye) to 6 (dense).
//
// The published formulas hold traps. The polynomial for the critical humidity dips
// below 80 % near 17 degC, so it is held there. The logarithm of the temperature ends
// at 0 degC, so nothing grows there. One source prints a digit too few in the first
// rate of decline: 0.00133 an hour is right, as 0.032 a day is.
type Mould struct {
	name         string
	wood         float64 // 0 pine, 1 spruce, as the original model has it
	surface      float64 // 0 sawn, 1 kiln dried
	below, above float64 // growth factors for M below 1 and from 1 up; 0: the original rule
	a, b, c      float64 // of the largest index
	rhMin        float64 // per cent
	decline      float64 // factor on the decline
}

// The sensitivity classes. Pine is the original model for sawn pine sapwood (Hukka and
// Viitanen 1999). The others are those of Ojanen and others (2011) and ASHRAE 160, with
// coefficients from memory of both; a, b, c, the least humidity and the factor below 1
// were also met in another public implementation of the model. No index worked out by
// others for a class was found, so their growth over time is checked by calculation only.
var (
	pine      = Mould{name: "pine sapwood, sawn", a: 1, b: 7, c: 2, rhMin: 80, decline: 1}
	classList = [...]Mould{
		{name: "very sensitive", below: 1, above: 2, a: 1, b: 7, c: 2, rhMin: 80, decline: 1},
		{name: "sensitive", below: 0.578, above: 0.386, a: 0.3, b: 6, c: 1, rhMin: 80, decline: 0.5},
		{name: "medium resistant", below: 0.072, above: 0.097, a: 0, b: 5, c: 1.5, rhMin: 85, decline: 0.25},
		{name: "resistant", below: 0.033, above: 0.014, a: 0, b: 3, c: 1, rhMin: 85, decline: 0.1},
	}
)

// Sensitivity is a class of material.
type Sensitivity int

// The four classes: raw wood; planed wood, wood boards and paper-faced board; concrete,
// aerated concrete, glass wool and polyester wool; polyurethane with a polished surface
// (from memory of Ojanen and others 2011).
const (
	VerySensitive Sensitivity = iota
	Sensitive
	MediumResistant
	Resistant
)

// String returns the name of the class.
func (s Sensitivity) String() string {
	if s < 0 || int(s) >= len(classList) {
		return "unknown sensitivity"
	}
	return classList[s].name
}

// OriginalPine returns the model for sawn pine sapwood.
//
// Source: Hukka and Viitanen, Wood Science and Technology 33 (1999) 475-485.
func OriginalPine() Mould { return pine }

// OriginalWood returns the original model for pine or spruce, sawn or kiln dried.
//
// Source: Hukka and Viitanen (1999).
func OriginalWood(spruce, kilnDried bool) Mould {
	m := pine
	if spruce {
		m.wood, m.name = 1, "spruce"
	}
	if kilnDried {
		m.surface = 1
	}
	return m
}

// MouldClass returns the model for a sensitivity class.
//
// Source: Ojanen and others (2011), ASHRAE 160; coefficients from memory of both.
func MouldClass(s Sensitivity) (Mould, error) {
	if s < 0 || int(s) >= len(classList) {
		return Mould{}, fmt.Errorf("timber: sensitivity %d is not known", s)
	}
	return classList[s], nil
}

// CriticalRH returns the relative humidity, 0 to 1, above which mould grows at tC
// degrees Celsius. At 0 degC and below it is 1: nothing grows.
//
// Source: Hukka and Viitanen (1999), held at the least humidity of the class.
func (m Mould) CriticalRH(tC float64) (float64, error) {
	if err := check.First("timber", check.Finite("temperature", tC)); err != nil {
		return 0, err
	}
	return m.critical(tC) / 100, nil
}

func (m Mould) critical(tC float64) float64 {
	switch {
	case tC <= 0:
		return 100
	case tC > 20:
		return m.rhMin
	default:
		return math.Max(m.rhMin, -0.00267*tC*tC*tC+0.160*tC*tC-3.13*tC+100)
	}
}

// weeks returns the time to the first growth seen through a microscope and to growth
// seen by eye, in weeks, at tC above 0 degC and rh per cent.
func (m Mould) weeks(tC, rh float64) (micro, visible float64) {
	micro = math.Exp(-0.68*math.Log(tC) - 13.9*math.Log(rh) + 0.14*m.wood - 0.33*m.surface + 66.02)
	visible = math.Exp(-0.74*math.Log(tC) - 12.72*math.Log(rh) + 0.06*m.wood + 61.50)
	return micro, visible
}

// MaxIndex returns the index that growth comes up to in the long run at tC degrees
// Celsius and relative humidity rh, 0 to 1: 0 where nothing grows.
//
// Source: Hukka and Viitanen (1999), coefficients by class.
func (m Mould) MaxIndex(tC, rh float64) (float64, error) {
	if err := checkAir(tC, rh); err != nil {
		return 0, err
	}
	return m.most(tC, 100*rh), nil
}

func (m Mould) most(tC, rh float64) float64 {
	crit := m.critical(tC)
	if rh <= crit || crit >= 100 {
		return 0
	}
	x := (crit - rh) / (crit - 100)
	return math.Max(0, m.a+m.b*x-m.c*x*x)
}

// rate is the growth of the index in an hour.
func (m Mould) rate(index, tC, rh float64) float64 {
	micro, visible := m.weeks(tC, rh)
	k1 := m.below
	if k1 == 0 {
		k1 = 1
	}
	if index >= 1 {
		k1 = m.above
		if k1 == 0 && visible > micro {
			k1 = 2 / (visible/micro - 1)
		}
	}
	k2 := math.Max(0, 1-math.Exp(2.3*(index-m.most(tC, rh))))
	return k1 * k2 / (7 * 24 * micro)
}

// Growth is the state of a surface. The zero value is clean.
type Growth struct {
	Index    float64 // mould index, 0 to 6
	DryHours float64 // length of the present dry spell
}

// Acceptable is the index below which a construction is usually accepted: 3, growth
// seen by eye (ASHRAE 160, from memory of it).
const Acceptable = 3.0

// Advance returns the state after an hour at tC degrees Celsius and relative humidity
// rh, 0 to 1. Below the critical humidity, and at 0 degC and below, the index falls:
// 0.00133 an hour for the first 6 hours of a dry spell, not at all up to 24, 0.000667
// an hour after, each times the factor of the class.
//
// Source: Hukka and Viitanen (1999); Ojanen and others (2011).
func (m Mould) Advance(g Growth, tC, rh float64) (Growth, error) {
	if err := check.First("timber", checkAir(tC, rh), check.Within("mould index", g.Index, 0, 6), check.NotNegative("dry hours", g.DryHours)); err != nil {
		return g, err
	}
	if tC > 0 && 100*rh > m.critical(tC) {
		g.DryHours = 0
		g.Index = math.Min(6, g.Index+m.rate(g.Index, tC, 100*rh))
		return g, nil
	}
	loss := 0.0
	switch {
	case g.DryHours < 6:
		loss = 0.032 / 24
	case g.DryHours >= 24:
		loss = 0.016 / 24
	}
	g.DryHours++
	g.Index = math.Max(0, g.Index-loss*m.decline)
	return g, nil
}

// Constant returns the index after a number of days at constant tC degrees Celsius and
// relative humidity rh, 0 to 1, from a clean surface, by hourly steps. It fails for
// more than 36,500 days.
//
// Source: as Advance.
func (m Mould) Constant(tC, rh float64, days int) (float64, error) {
	if days < 0 || days > 36500 {
		return 0, fmt.Errorf("timber: %d days, want 0 to 36500", days)
	}
	var g Growth
	var err error
	for range 24 * days {
		if g, err = m.Advance(g, tC, rh); err != nil {
			return 0, err
		}
	}
	return g.Index, nil
}

func checkAir(tC, rh float64) error {
	return check.First("timber", check.Within("temperature", tC, -60, 100), check.Within("relative humidity", rh, 0, 1))
}
