package condense

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/fabric"
	"underlap/physics/internal/vectortest"
	"underlap/physics/moistair"
)

// twoPlanes is a roof with a membrane between two layers of wool: water gathers below
// the membrane and below a covering of s_d cover.
func twoPlanes(cover float64) []fabric.Layer {
	return fixedAll([]float64{0.1, 2, 0.01, 2, 0.01}, []float64{1, 0.1, 10, 0.1, cover})
}

// The planes and their rates by hand: temperature in proportion to resistance,
// saturation there, and the flow in less the flow out at each. Then each dries to its
// own side until the quicker is empty, and the other to both sides.
func TestPeriodMethodTwoPlanesByHand(t *testing.T) {
	const spell = 7776000.0
	total := 0.25 + 4.12 + 0.04
	p1 := moistair.PSat(20 - 25*(0.25+2.1)/total)
	p2 := moistair.PSat(20 - 25*(0.25+4.11)/total)
	for _, tt := range []struct {
		cover      float64
		innerFirst bool
	}{{400, true}, {2, false}} {
		res, err := PeriodMethod(twoPlanes(tt.cover), RoofPeriod())
		if err != nil {
			t.Fatal(err)
		}
		if len(res.Planes) != 2 || res.Planes[0].Plane != 1 || res.Planes[1].Plane != 3 {
			t.Fatalf("planes %+v", res.Planes)
		}
		g1 := 2e-10 * ((1168-p1)/1.1 - (p1-p2)/10.1)
		g2 := 2e-10 * ((p1-p2)/10.1 - (p2-321)/tt.cover)
		if wettest := 1; g2 > g1 || res.Plane != wettest {
			t.Errorf("wettest plane %d with rates %v and %v", res.Plane, g1, g2)
		}
		vectortest.NearRel(t, "inner rate", res.Planes[0].Rate, g1, 1e-12)
		vectortest.NearRel(t, "outer rate", res.Planes[1].Rate, g2, 1e-12)
		vectortest.NearRel(t, "rate", res.Rate, g1+g2, 1e-12)
		vectortest.NearRel(t, "condensate", res.Condensate, (g1+g2)*spell, 1e-12)
		in1, out1 := 2e-10*800/1.1, 2e-10*800/(10.1+tt.cover)
		in2, out2 := 2e-10*800/11.2, 2e-10*800/tt.cover
		vectortest.NearRel(t, "drying rate", res.DryingRate, in1+out2, 1e-12)
		turn1, turn2 := g1*spell/in1, g2*spell/out2
		if (turn1 < turn2) != tt.innerFirst || min(turn1, turn2) >= spell {
			t.Fatalf("inner dry after %v s, outer after %v s", turn1, turn2)
		}
		var capacity, left1, left2 float64
		if tt.innerFirst {
			capacity = g1*spell + out2*turn1 + (in2+out2)*(spell-turn1)
			left2 = max(0, g2*spell-out2*turn1-(in2+out2)*(spell-turn1))
		} else {
			capacity = g2*spell + in1*turn2 + (in1+out1)*(spell-turn2)
			left1 = max(0, g1*spell-in1*turn2-(in1+out1)*(spell-turn2))
		}
		vectortest.NearRel(t, "capacity", res.Capacity, capacity, 1e-12)
		vectortest.Near(t, "left at the inner plane", res.Planes[0].Left, left1, 1e-12)
		vectortest.Near(t, "left at the outer plane", res.Planes[1].Left, left2, 1e-12)
	}
}

// In an hour neither plane dries: nothing passes between them, and each counts to its
// own side.
func TestPeriodMethodTwoPlanesThatStayWet(t *testing.T) {
	p := RoofPeriod()
	p.Evaporating = 3600
	res, err := PeriodMethod(twoPlanes(400), p)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.NearRel(t, "capacity", res.Capacity, 2e-10*800*(1/1.1+1/400.0)*3600, 1e-12)
	for _, f := range res.Planes {
		if f.Left <= 0 {
			t.Errorf("plane %d is dry after an hour", f.Plane)
		}
	}
	vectortest.NearRel(t, "left", res.Planes[0].Left+res.Planes[1].Left, res.Condensate-res.Capacity, 1e-9)
}

// Two planes a hair apart are one plane.
func TestPeriodMethodPlanesRunTogether(t *testing.T) {
	one, err := PeriodMethod(fixedAll([]float64{0.1, 4, 0.1}, []float64{2, 0.2, 300}), RoofPeriod())
	if err != nil {
		t.Fatal(err)
	}
	two, err := PeriodMethod(fixedAll([]float64{0.1, 4, 0.0001, 0.0999}, []float64{2, 0.2, 0.001, 299.999}), RoofPeriod())
	if err != nil {
		t.Fatal(err)
	}
	if len(one.Planes) != 1 || len(two.Planes) != 2 {
		t.Fatalf("%d and %d planes, want 1 and 2", len(one.Planes), len(two.Planes))
	}
	vectortest.NearRel(t, "condensate", two.Condensate, one.Condensate, 1e-3)
	vectortest.NearRel(t, "capacity", two.Capacity, one.Capacity, 1e-3)
	vectortest.NearRel(t, "drying rate", two.DryingRate, one.DryingRate, 1e-3)
}

// What holds for any roof: what stays is the flow in from the room less the flow out
// to the open; the capacity is at least the condensate just when all planes dry;
// and as long as any plane is wet, no more leaves than is counted.
func TestPeriodMethodBalances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		layers := drawLayers(t)
		p := RoofPeriod()
		p.OutC = rapid.Float64Range(-20, 15).Draw(t, "outdoors")
		p.RoomPa = rapid.Float64Range(321, 2300).Draw(t, "room")
		p.Evaporating = rapid.Float64Range(0, 365*86400).Draw(t, "time")
		res, err := PeriodMethod(layers, p)
		if err != nil {
			t.Fatal(err)
		}
		sum, left := 0.0, 0.0
		before := -1
		for _, f := range res.Planes {
			if !(f.Rate > 0 && f.Condensate > 0 && f.Left >= 0 && f.Left <= f.Condensate && f.Plane > before) {
				t.Fatalf("planes %+v", res.Planes)
			}
			before = f.Plane
			sum += f.Condensate
			left += f.Left
		}
		near := 1e-9 * (sum + res.Capacity)
		if !(math.Abs(sum-res.Condensate) <= near) {
			t.Fatalf("planes hold %v, all %v", sum, res.Condensate)
		}
		if left > near != (res.Capacity < res.Condensate-near) {
			t.Fatalf("%v left with a capacity of %v for %v", left, res.Capacity, res.Condensate)
		}
		if left > near && !(math.Abs(res.Capacity-(sum-left)) <= near) {
			t.Fatalf("%v of %v left with a capacity of %v", left, sum, res.Capacity)
		}
		// The more time, the more capacity and the less water left.
		longer := p
		longer.Evaporating *= 1.5
		more, err := PeriodMethod(layers, longer)
		if err != nil {
			t.Fatal(err)
		}
		if more.Capacity < res.Capacity-near {
			t.Fatalf("capacity %v, and %v in half as much time again", res.Capacity, more.Capacity)
		}
		for i, f := range more.Planes {
			if f.Left > res.Planes[i].Left+near {
				t.Fatalf("plane %d: %v left, and %v in half as much time again", f.Plane, res.Planes[i].Left, f.Left)
			}
		}
	})
}
