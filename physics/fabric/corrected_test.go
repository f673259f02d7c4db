package fabric

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

// An inverted roof by hand, ISO 6946 Annex D (formulas from memory): R 4 in all, 3.5 of
// it insulation with gaps of level 1 and five steel fixings of 4.8 mm through 120 mm.
//
//	gaps     0.01 x (3.5/4)^2                                     = 0.007656
//	fixings  0.8 x 50 x 18.0956e-6 x 5 / 0.12 x (3.5/4)^2         = 0.023091
//	inverted 2 x 0.04 x (3/4)^2                                   = 0.045
//	U        0.25 + 0.075747                                      = 0.325747
func TestCorrectionsInOrder(t *testing.T) {
	c := Corrections{
		Insulation: 3.5, GapLevel: 1,
		Fasteners: &Fasteners{Lambda: 50, Area: math.Pi / 4 * 4.8e-3 * 4.8e-3, PerM2: 5, Insulation: 0.12, Depth: 0.12},
		Inverted:  &Inverted{Rain: 2, FX: 0.04, Insulation: 3},
	}
	got, err := c.Apply(4)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.Near(t, "gaps", got.Gaps, 0.00765625, 1e-12)
	vectortest.Near(t, "fixings", got.Fasteners, 0.023090706, 1e-8)
	vectortest.Near(t, "inverted", got.Inverted, 0.045, 1e-12)
	vectortest.Near(t, "U", got.U, 0.325746956, 1e-8)
	if !got.Applied {
		t.Error("30 % is said not to count")
	}
	// 3 % of 0.25 is 0.0075: gaps alone in R 3.46 of 4 just do not count, in 3.47 they do.
	for r1, counts := range map[float64]bool{3.46: false, 3.47: true} {
		got, err := Corrections{Insulation: r1, GapLevel: 1}.Apply(4)
		if err != nil {
			t.Fatal(err)
		}
		if got.Applied != counts || (got.U > 0.25) != counts {
			t.Errorf("R1 %v: %+v, counts %v", r1, got, counts)
		}
	}
	none, err := Corrections{}.Apply(4)
	if err != nil || none.U != 0.25 || none.Applied {
		t.Errorf("no corrections: %+v, %v", none, err)
	}
}

func TestCorrectionsOnlyAdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		total := rapid.Float64Range(0.3, 10).Draw(t, "total")
		share := rapid.Float64Range(0, 1)
		c := Corrections{Insulation: total * share.Draw(t, "r1"), GapLevel: rapid.IntRange(0, 2).Draw(t, "level")}
		if rapid.Bool().Draw(t, "fixed") {
			c.Fasteners = &Fasteners{rapid.Float64Range(0, 60).Draw(t, "lambda"), 2e-5, rapid.Float64Range(0, 12).Draw(t, "n"), 0.12, 0.12 * share.Draw(t, "depth"), false}
		}
		if rapid.Bool().Draw(t, "inverted") {
			c.Inverted = &Inverted{rapid.Float64Range(0, 6).Draw(t, "rain"), 0.04, total * share.Draw(t, "above")}
		}
		got, err := c.Apply(total)
		if err != nil {
			t.Fatal(err)
		}
		sum := got.Gaps + got.Fasteners + got.Inverted
		switch {
		case got.Applied && !(got.U > 1.03/total && math.Abs(got.U-1/total-sum) < 1e-12):
			t.Fatalf("applied: %+v, total %v", got, total)
		case !got.Applied && !(got.U == 1/total && sum <= 0.03/total):
			t.Fatalf("not applied: %+v, total %v", got, total)
		}
	})
}

// Textbook layers, by hand: 12.5 mm of board at 0.21, 100 mm of quilt at 0.04, 50 mm of
// still air (0.16), 18 mm of deck at 0.13. Well ventilated, only board and quilt are
// left, with 0.10 on both sides (ISO 6946, from memory).
func TestVentilatedTotal(t *testing.T) {
	layers := []Layer{
		{Thickness: 0.0125, Lambda: 0.21},
		{Thickness: 0.1, Lambda: 0.04},
		{R: 0.16},
		{Thickness: 0.018, Lambda: 0.13},
	}
	closed := 0.10 + 0.0125/0.21 + 2.5 + 0.16 + 0.018/0.13 + 0.04
	open := 0.10 + 0.0125/0.21 + 2.5 + 0.10
	for av, want := range map[float64]float64{0: closed, 0.0005: closed, 0.001: (closed + open) / 2, 0.0015: open, 0.05: open} {
		got, err := VentilatedTotal(layers, 2, av, RsiUp, Rse)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, "total", got, want, 1e-12)
	}
}

// ISO 6946 leaves metal through insulation to a calculation in two or three dimensions
// (from memory of it).
func TestMetalBridgeIsFlagged(t *testing.T) {
	for lambda, metal := range map[float64]bool{0.13: false, 0.18: false, 2.3: false, 17: true, 50: true, 160: true} {
		r := uOf(t, []Layer{{R: 0.1}, {Thickness: 0.1, Lambda: 0.04, Bridge: &Bridge{Fraction: 0.002, Lambda: lambda}}}, RsiUp, Rse)
		if r.MetalBridge != metal {
			t.Errorf("bridge of %v W/mK: metal %v", lambda, r.MetalBridge)
		}
	}
	if uOf(t, []Layer{{Thickness: 0.1, Lambda: 0.04, Bridge: &Bridge{Fraction: 0, Lambda: 50}}}, RsiUp, Rse).MetalBridge {
		t.Error("a bridge that takes no room is flagged")
	}
}

// A void broken up by battens keeps more heat than an open one, and is the same as an
// open one when the battens are far apart.
func TestAirLayerProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := AirLayer{
			rapid.Float64Range(0.001, 0.29).Draw(t, "d"), rapid.SampledFrom([]Direction{Up, Horizontal, Down}).Draw(t, "direction"),
			rapid.Float64Range(0.02, 1).Draw(t, "e1"), rapid.Float64Range(0.02, 1).Draw(t, "e2"), rapid.Float64Range(-20, 40).Draw(t, "t"), 5,
		}
		r, err := a.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		if !(r > 0 && r <= a.Thickness/0.025) {
			t.Fatalf("%+v: %v is more than air at rest", a, r)
		}
		thicker, brighter := a, a
		thicker.Thickness += 0.01
		brighter.EmissivityA *= 0.9
		for _, b := range []AirLayer{thicker, brighter} {
			more, err := b.Resistance()
			if err != nil {
				t.Fatal(err)
			}
			if more < r*(1-1e-12) {
				t.Fatalf("%+v has %v, %+v has %v", a, r, b, more)
			}
		}
		last := math.Inf(1)
		for _, width := range []float64{0.01, 0.1, 1, 1000} {
			divided, err := a.DividedResistance(width)
			if err != nil {
				t.Fatal(err)
			}
			if divided > last*(1+1e-12) || divided < r*(1-1e-12) {
				t.Fatalf("%+v: %v with battens %v apart, open %v", a, divided, width, r)
			}
			last = divided
		}
		if math.Abs(last-r) > 1e-3*r {
			t.Fatalf("%+v: battens a kilometre apart %v, open %v", a, last, r)
		}
	})
}
