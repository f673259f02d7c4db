package drainage

import (
	"math"

	"underlap/physics/internal/check"
)

// Factors k of the outlet formulas (BS EN 12056-3, from memory of it).
const (
	Open    = 1.0 // nothing over the outlet
	Guarded = 0.5 // a grating or leaf guard over it
)

// Outlet is a hole through which a roof drains. Make one with Circular or Slot.
type Outlet struct {
	weir    float64 // m3/s for each m^1.5 of head
	orifice float64 // m3/s for each m^0.5 of head
	change  float64 // head at which the one gives way to the other, m
}

// Circular returns an outlet of diameter m with factor k: Open or Guarded. Water runs
// over its rim up to a head of half the diameter and through its throat above; both
// formulas give the same flow there.
//
// Source: BS EN 12056-3, from memory of it: Q = k D h^1.5 / 7500, then
// k D^2 h^0.5 / 15000 in l/s and mm.
func Circular(diameter, k float64) (Outlet, error) {
	if err := check.First("drainage: outlet", check.Positive("diameter", diameter), check.Positive("factor", k), check.Within("factor", k, 0, 1)); err != nil {
		return Outlet{}, err
	}
	d := diameter / mm
	return Outlet{
		weir:    k * d / 7500 * litre * pow32(1/mm),
		orifice: k * d * d / 15000 * litre * math.Sqrt(1/mm),
		change:  diameter / 2,
	}, nil
}

// Slot returns a slot or a scupper through a parapet, of the given length along the
// edge and height, both in m, with factor k. It carries the lesser of what it
// would as a weir and as a full opening; they are equal at twice the height.
//
// Source: BS EN 12056-3, from memory of it: Q = k L h^1.5 / 24000, then
// k A h^0.5 / 12000 in l/s and mm.
func Slot(length, height, k float64) (Outlet, error) {
	if err := check.First("drainage: slot", check.Positive("length", length), check.Positive("height", height), check.Positive("factor", k), check.Within("factor", k, 0, 1)); err != nil {
		return Outlet{}, err
	}
	l, h := length/mm, height/mm
	return Outlet{
		weir:    k * l / 24000 * litre * pow32(1/mm),
		orifice: k * l * h / 12000 * litre * math.Sqrt(1/mm),
		change:  2 * height,
	}, nil
}

// Flow returns the flow in m3/s at a head in m over the rim.
//
// Source: as Circular and Slot.
func (o Outlet) Flow(head float64) (float64, error) {
	if err := check.First("drainage: outlet", check.NotNegative("head", head)); err != nil {
		return 0, err
	}
	if head <= o.change {
		return o.weir * pow32(head), nil
	}
	return o.orifice * math.Sqrt(head), nil
}

// Head returns the head in m over the rim at which the outlet carries flow m3/s.
//
// Source: inverse of Flow.
func (o Outlet) Head(flow float64) (float64, error) {
	if err := check.First("drainage: outlet", check.NotNegative("flow", flow), check.Positive("capacity", o.weir)); err != nil {
		return 0, err
	}
	if h := math.Cbrt(flow / o.weir * flow / o.weir); h <= o.change {
		return h, nil
	}
	x := flow / o.orifice
	return x * x, nil
}

// Pipe returns the flow in m3/s of a vertical rainwater pipe of inside diameter m
// filled to the given share of its section; the standard takes 0.33.
//
// Source: BS EN 12056-3, from memory of it: Q = 2.5e-4 kb^-0.167 d^2.667 f^1.667 in
// l/s and mm with kb = 0.25 mm.
func Pipe(diameter, filling float64) (float64, error) {
	if err := check.First("drainage: pipe", check.Positive("diameter", diameter), check.Within("filling", filling, 0, 1)); err != nil {
		return 0, err
	}
	return 2.5e-4 * math.Pow(0.25, -0.167) * math.Pow(diameter/mm, 2.667) * math.Pow(filling, 1.667) * litre, nil
}

// PipeFilling is the filling of a rainwater pipe taken by BS EN 12056-3, from memory of it.
const PipeFilling = 0.33

// HalfRoundGutter returns the design flow in m3/s of a level half-round eaves gutter of
// the given width in m: 0.9 of what it carries when full, with a free outlet at one end.
//
// Source: BS EN 12056-3, from memory of it: Q = 2.78e-5 A^1.25 in l/s and mm2.
func HalfRoundGutter(width float64) (float64, error) {
	if err := check.First("drainage: gutter", check.Positive("width", width)); err != nil {
		return 0, err
	}
	area := math.Pi / 8 * (width / mm) * (width / mm)
	return 0.9 * 2.78e-5 * math.Pow(area, 1.25) * litre, nil
}
