package fabric

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

func drawPart(t *rapid.T) TaperedPart {
	size := rapid.SampledFrom([]float64{0, 1e-14, 1e-9, 1e-6, 1e-3, 0.05, 0.5, 5, 1e3})
	p := TaperedPart{
		Shape: rapid.SampledFrom([]TaperShape{TaperRectangle, TaperThickApex, TaperThinApex, TaperThreeCornered}).Draw(t, "shape"),
		Area:  rapid.Float64Range(0.1, 100).Draw(t, "area"),
		R0:    rapid.SampledFrom([]float64{1e-3, 0.14, 1, 6}).Draw(t, "r0") * rapid.Float64Range(0.5, 1).Draw(t, "f0"),
		R2:    size.Draw(t, "r2") * rapid.Float64Range(0.5, 1).Draw(t, "f2"),
	}
	if p.Shape == TaperThreeCornered {
		p.R1 = size.Draw(t, "r1") * rapid.Float64Range(0.5, 1).Draw(t, "f1")
	}
	return p
}

func TestTaperedPartsKeepTheirLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPart(t)
		u, err := p.U()
		if err != nil {
			t.Fatal(err)
		}
		most, least := 1/p.R0, 1/(p.R0+math.Max(p.R1, p.R2))
		if !(u <= most*(1+1e-12) && u >= least*(1-1e-12)) {
			t.Fatalf("%+v: %v is not within %v to %v", p, u, least, most)
		}
		// More of any of the three never lets more heat through.
		for _, more := range []TaperedPart{
			{p.Shape, p.Area, p.R0 * 1.01, p.R1, p.R2},
			{p.Shape, p.Area, p.R0, p.R1, p.R2*1.01 + 1e-3},
			{p.Shape, p.Area, p.R0, p.R1*1.01 + 1e-3, p.R2},
		} {
			if more.Shape != TaperThreeCornered {
				more.R1 = 0
			}
			v, err := more.U()
			if err != nil {
				t.Fatal(err)
			}
			if v > u*(1+1e-12) {
				t.Fatalf("%+v has %v, %+v has %v", p, u, more, v)
			}
		}
	})
}

// The standard's own formula for three corners divides 0 by 0 where corners meet. Across
// that line the answer may move only as the input does: a step of d in one corner moves
// the mean of 1/R by no more than d/R0^2.
func TestTaperedTriangleIsContinuousWhereCornersMeet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r0 := rapid.Float64Range(0.1, 5).Draw(t, "r0")
		r2 := rapid.SampledFrom([]float64{0, 1e-9, 1e-3, 0.04, 0.06, 1, 20}).Draw(t, "r2")
		step := rapid.SampledFrom([]float64{0, 1e-15, 1e-12, 1e-9, 1e-6, 1e-4}).Draw(t, "step")
		at, err := TaperedTriangle(r0, r2, r2)
		if err != nil {
			t.Fatal(err)
		}
		for _, r1 := range []float64{r2 + step, math.Max(0, r2-step)} {
			u, err := TaperedTriangle(r0, r1, r2)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(u-at) > step/(r0*r0)+1e-12*at {
				t.Fatalf("r0 %v: R1 = R2 = %v gives %v, R1 %v gives %v", r0, r2, at, r1, u)
			}
		}
	})
}

// A rectangle cut along its diagonal is two triangles.
func TestTwoTrianglesMakeARectangle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPart(t)
		p.Shape, p.R1 = TaperRectangle, 0
		whole, err := TaperedRoof([]TaperedPart{p})
		if err != nil {
			t.Fatal(err)
		}
		thick, thin := p, p
		thick.Shape, thin.Shape = TaperThickApex, TaperThinApex
		cut, err := TaperedRoof([]TaperedPart{thick, thin})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(cut-whole) > 1e-11*whole {
			t.Fatalf("%+v: whole %v, cut %v", p, whole, cut)
		}
	})
}

// A roof of 8 by 5 m falling from all four edges to a valley along its middle: two end
// triangles and, along the sides, rectangles with a triangle at either end. Against a
// fine grid over the plan.
func TestRoofOfManyPartsAgainstAGrid(t *testing.T) {
	const length, width, r0, perM = 8.0, 5.0, 1.2, 0.9 // m, m, m2K/W, m2K/W gained in a metre
	half := width / 2
	got, err := TaperedRoof([]TaperedPart{
		{Shape: TaperRectangle, Area: 2 * (length - width) * half, R0: r0, R2: perM * half},
		{Shape: TaperThinApex, Area: 2 * half * half, R0: r0, R2: perM * half},     // ends, thin at the valley's end
		{Shape: TaperThinApex, Area: 4 * half * half / 2, R0: r0, R2: perM * half}, // beside them, the same slope
	})
	if err != nil {
		t.Fatal(err)
	}
	const n = 800
	sum := 0.0
	for i := range n {
		for j := range n {
			x, y := (float64(i)+0.5)/n*length, (float64(j)+0.5)/n*width
			edge := math.Min(math.Min(x, length-x), math.Min(y, width-y)) // distance from the nearest edge
			sum += 1 / (r0 + perM*(half-edge))
		}
	}
	vectortest.NearRel(t, "four falls to a valley", got, sum/(n*n), 1e-5)
}
