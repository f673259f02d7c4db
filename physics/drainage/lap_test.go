package drainage

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

// Surface tension: a handbook table of 0.0756, 0.0727, 0.0696 and 0.0679 N/m at 0, 20, 40
// and 50 degC (read), and the NBS/NRC Steam Tables, page 267 (read in a public list of
// test values). Viscosity: 1.792, 1.306, 1.002, 0.798, 0.653 mPa s at 0, 10, 20, 30 and
// 40 degC (handbook values, from memory).
func TestPropertiesOfWater(t *testing.T) {
	for tC, want := range map[float64]float64{0: 0.0756, 20: 0.0727, 40: 0.0696, 50: 0.0679} {
		vectortest.Near(t, "surface tension, handbook", surfaceTension(tC), want, 0.0001)
	}
	for tC, want := range map[float64]float64{10: 74.22e-3, 20: 72.74e-3, 30: 71.20e-3, 40: 69.60e-3, 50: 67.95e-3, 100: 58.92e-3} {
		vectortest.Near(t, "surface tension, steam tables", surfaceTension(tC), want, 0.015e-3)
	}
	for tC, want := range map[float64]float64{0: 1.792e-3, 10: 1.306e-3, 20: 1.002e-3, 30: 0.798e-3, 40: 0.653e-3} {
		vectortest.NearRel(t, "viscosity", viscosity(tC), want, 0.025)
	}
}

// By hand at 20 degC, sheets that wet: 2 x 0.07274 / (1000 x 9.81 x gap).
func TestLapRise(t *testing.T) {
	for gap, want := range map[float64]float64{0.1: 148.3, 0.2: 74.1, 0.5: 29.7, 1: 14.8} {
		h, err := Lap{gap * mm, 0, 20}.Rise()
		vectortest.Near(t, "rise in mm", need(t, h, err)/mm, want, 0.05)
	}
	// At 60 degrees half of it; at 90 none; at 120 as much head is wanted.
	for angle, share := range map[float64]float64{60: 0.5, 90: 0, 120: -0.5, 180: -1} {
		h, err := Lap{0.2 * mm, angle, 20}.Rise()
		vectortest.Near(t, "rise in mm", need(t, h, err)/mm, share*74.15, 0.01)
	}
}

func TestLapCross(t *testing.T) {
	lap := Lap{0.2 * mm, 0, 20}
	cross := func(l Lap, width, slope, head float64) Crossing {
		t.Helper()
		c, err := l.Cross(width, slope, head)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	// A 100 mm lap stands upright against 74 mm of rise, but not on a roof of 1 in 80.
	if c := cross(lap, 0.1, 1, 0); c.Crosses || math.Abs(c.Reach-0.0741) > 1e-4 {
		t.Errorf("upright: %+v", c)
	}
	if c := cross(lap, 0.1, FinishedFall, 0); !c.Crosses || math.Abs(c.Reach-80*0.0741) > 0.01 {
		t.Errorf("1 in 80: %+v", c)
	}
	// Head helps: 30 mm of pond carry it over the upright lap.
	if c := cross(lap, 0.1, 1, 0.03); !c.Crosses || math.Abs(c.Reach-0.1041) > 1e-4 {
		t.Errorf("upright with a pond: %+v", c)
	}
	// Level, Washburn by hand: t = 3 mu l^2 / (gap sigma) = 3 x 1.005e-3 x 0.01 /
	// (0.2e-3 x 0.07274) = 2.07 s.
	vectortest.Near(t, "level, s", cross(lap, 0.1, 0, 0).Seconds, 2.07, 0.01)
	// Sheets that repel keep a film out, and let in what stands over them by more than
	// 37 mm.
	repels := Lap{0.2 * mm, 120, 20}
	if c := cross(repels, 0.1, 0, 0.03); c.Crosses || c.Reach != 0 {
		t.Errorf("repelled: %+v", c)
	}
	if c := cross(repels, 0.1, 0, 0.04); !c.Crosses {
		t.Errorf("under head: %+v", c)
	}
	// A tight lap pulls harder but lets water in more slowly.
	if a, b := cross(Lap{0.05 * mm, 0, 20}, 0.1, 0, 0), cross(lap, 0.1, 0, 0); !(a.Seconds > b.Seconds) {
		t.Errorf("tight %v s, wide %v s", a.Seconds, b.Seconds)
	}
}

// The equation of Lucas and Washburn with gravity, stepped through: v = gap^2/(12 mu)
// (rho g) (pull - slope l)/l.
func TestCrossingTimeAgainstSteps(t *testing.T) {
	for _, c := range []struct{ width, slope, head float64 }{
		{0.1, 0, 0}, {0.1, 0.0125, 0}, {0.05, 0.5, 0}, {0.07, 1, 0}, {0.1, 1, 0.05}, {0.1, -0.3, 0.01}, {0.15, -1, 0},
	} {
		lap := Lap{0.2 * mm, 20, 10}
		got, err := lap.Cross(c.width, c.slope, c.head)
		if err != nil || !got.Crosses {
			t.Fatalf("%+v: %+v, %v", c, got, err)
		}
		h, err := lap.Rise()
		pull := need(t, h, err) + c.head
		const n = 200000
		sum := 0.0
		for i := range n {
			l := (float64(i) + 0.5) / n * c.width
			sum += l / (pull - c.slope*l) * c.width / n
		}
		want := sum * 12 * viscosity(10) / (1000 * 9.81 * lap.Gap * lap.Gap)
		vectortest.NearRel(t, "seconds", got.Seconds, want, 1e-6)
	}
	for _, x := range []float64{0.00999, -0.00999} {
		vectortest.NearRel(t, "where series and closed form meet", slowing(x), (-math.Log1p(-x)-x)/(x*x), 1e-10)
	}
}

// A slit 50 x 0.2 mm under 20 mm: as a hole 13.53 l/h (trade check value). In a sheet of
// 4 mm plates alone would give, by hand, w gap^3 rho g h / (12 mu t) = 0.05 x 8e-12 x
// 196.2 / (12 x 1.005e-3 x 0.004) = 1.627e-6 m3/s = 5.86 l/h.
func TestSlitFlow(t *testing.T) {
	flow := func(length, gap, thickness, depth, tC float64) float64 {
		q, err := SlitFlow(length, gap, thickness, depth, tC)
		return need(t, q, err) / litre * 3600
	}
	hole, err := HoleFlow(0.05*0.2*mm, 0.02)
	vectortest.NearRel(t, "no thickness", flow(0.05, 0.2*mm, 0, 0.02, 20), need(t, hole, err)/litre*3600, 1e-12)
	vectortest.Near(t, "no thickness", flow(0.05, 0.2*mm, 0, 0.02, 20), 13.53, 0.01)
	if q := flow(0.05, 0.2*mm, 0.004, 0.02, 20); q > 5.86 || q < 4.5 {
		t.Errorf("4 mm sheet: %v l/h, want somewhat less than 5.86", q)
	}
	vectortest.NearRel(t, "hair crack, plates alone", flow(0.05, 0.02*mm, 0.004, 0.02, 20), 5.86e-3, 0.005)
	if cold, warm := flow(0.05, 0.1*mm, 0.004, 0.02, 2), flow(0.05, 0.1*mm, 0.004, 0.02, 25); !(warm > 1.5*cold) {
		t.Errorf("cold %v, warm %v: viscosity should nearly halve", cold, warm)
	}
	vectortest.Near(t, "no water", flow(0.05, 0.2*mm, 0, 0, 20), 0, 0)
}

func TestLapsAreMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := Lap{rapid.Float64Range(0.02, 2).Draw(t, "gap") * mm, rapid.Float64Range(0, 180).Draw(t, "angle"), rapid.Float64Range(0, 60).Draw(t, "t")}
		width := rapid.Float64Range(0.02, 0.3).Draw(t, "width")
		slope := rapid.Float64Range(-1, 1).Draw(t, "slope")
		head := rapid.Float64Range(0, 0.2).Draw(t, "head")
		a, err := l.Cross(width, slope, head)
		if err != nil {
			t.Fatal(err)
		}
		if a.Crosses != (a.Reach > width) || a.Seconds < 0 || math.IsNaN(a.Seconds) || math.IsInf(a.Seconds, 0) || (a.Seconds > 0) != a.Crosses {
			t.Fatalf("%+v", a)
		}
		b, err := l.Cross(width, slope, head+0.01)
		if err != nil {
			t.Fatal(err)
		}
		if b.Reach < a.Reach || (a.Crosses && !(b.Crosses && b.Seconds <= a.Seconds*(1+1e-12))) {
			t.Fatalf("%+v, with more head %+v", a, b)
		}
		c, err := l.Cross(width*1.1, slope, head)
		if err != nil {
			t.Fatal(err)
		}
		if c.Crosses && (!a.Crosses || c.Seconds <= a.Seconds) {
			t.Fatalf("%+v, wider %+v", a, c)
		}
		q, err := SlitFlow(0.05, l.Gap, width/50, head, l.WaterC)
		if err != nil {
			t.Fatal(err)
		}
		hole, err := HoleFlow(0.05*l.Gap, head)
		if err != nil {
			t.Fatal(err)
		}
		if q > hole*(1+1e-12) || q < 0 {
			t.Fatalf("slit %v, hole %v", q, hole)
		}
	})
}

func TestLapRefusesBadData(t *testing.T) {
	nan := math.NaN()
	good := Lap{0.2 * mm, 0, 20}
	errs := map[string]error{}
	for name, l := range map[string]Lap{"no gap": {0, 0, 20}, "too wide": {0.01, 0, 20}, "angle": {0.2 * mm, 200, 20}, "ice": {0.2 * mm, 0, -1}, "NaN": {nan, 0, 20}} {
		_, errs[name] = l.Rise()
		_, errs["crossing, "+name] = l.Cross(0.1, 0, 0)
	}
	_, errs["width"] = good.Cross(0, 0, 0)
	_, errs["slope"] = good.Cross(0.1, 2, 0)
	_, errs["head"] = good.Cross(0.1, 0, -1)
	_, errs["head NaN"] = good.Cross(0.1, 0, nan)
	_, errs["slit gap"] = SlitFlow(0.05, 0, 0, 0.02, 20)
	_, errs["slit gap over length"] = SlitFlow(0.001, 0.002, 0, 0.02, 20)
	_, errs["slit depth"] = SlitFlow(0.05, 1e-4, 0, nan, 20)
	_, errs["slit ice"] = SlitFlow(0.05, 1e-4, 0, 0.02, -3)
	for name, err := range errs {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
