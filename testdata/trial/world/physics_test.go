package world

import (
	"math"
	"sort"
	"testing"

	"underlap/physics/climate"
)

// house is a roof of a given type with nothing odd about it.
func house(t *testing.T, seed uint64, roof string) (dice, *House) {
	t.Helper()
	list, err := places()
	if err != nil {
		t.Fatal(err)
	}
	d := newDice(seed, 1)
	h := makeHouse(d, list)
	h.Type, h.Quilt, h.VapourLayer, h.Hollow, h.Fall = roof, false, "none", 0, 0.0125
	if roof == "warm" {
		h.VapourLayer = "sheet"
	}
	return d, h
}

func autumn(d dice, h *House) *Weather { return makeWeather(d, h.Place, 60, 330) }

// rainless takes rain and snow out of a weather.
func rainless(w *Weather) *Weather {
	for i := range w.Rain {
		w.Rain[i], w.Melt[i], w.Snow[i] = 0, 0, 0
	}
	return w
}

// leak is the water of one hole of so many mm2, and the hours from the first rain to
// the first water.
func leak(t *testing.T, seed uint64, roof string, mm2, rain float64) (litres, lag float64) {
	d, h := house(t, seed, roof)
	w := autumn(d, h)
	for i := range w.Rain {
		w.Rain[i], w.Melt[i], w.Snow[i] = w.Rain[i]*rain, 0, 0
	}
	x := rainHole(d, h, "puncture", 1, 1)
	x.pours = opening{roundHole(mm2 * 1e-6), false, 1e3, 0.15}.pours
	x.simulate(d, newScene(d, h, w))
	first, wet := -1, -1
	for i, q := range x.flow {
		if first < 0 && w.Rain[i] > 0.2 {
			first = i
		}
		if wet < 0 && q > 1e-3 {
			wet = i
		}
	}
	if wet < 0 {
		return x.litres, math.Inf(1)
	}
	return x.litres, float64(wet-first) * stepH
}

func TestNoRainNoRainWater(t *testing.T) {
	for seed := range uint64(20) {
		if l, _ := leak(t, seed, "cold", 20, 0); l != 0 {
			t.Errorf("seed %d: %.3f L without rain", seed, l)
		}
	}
}

// What can wet a ceiling when it never rains: breath, pipes, and water that was there
// before. Everything else must stay dry.
func TestWithoutRainOnlyBreathPipesAndOldWater(t *testing.T) {
	needsNoRain := map[string]bool{}
	for _, part := range [][]kindOf{airKinds(), pipeKinds()} {
		for _, k := range part {
			needsNoRain[k.id] = true
		}
	}
	needsNoRain["rained-in"], needsNoRain["reservoir-after-repair"] = true, true
	wet := map[string]bool{}
	for seed := range uint64(14) {
		for _, k := range kinds() {
			d, h := house(t, seed, []string{"cold", "warm"}[seed%2])
			h.Pipes = []string{"boiler", "wet-room"}[seed/2%2]
			if k.rate(h) == 0 {
				continue
			}
			x := k.build(d, h)
			x.simulate(d, newScene(d, h, rainless(makeWeather(d, h.Place, 60, 40))))
			if x.litres > 0 {
				wet[k.id] = true
				if !needsNoRain[k.id] {
					t.Errorf("%s brings %.3f L in weather without rain", k.id, x.litres)
				}
			}
		}
	}
	for _, id := range []string{"cold-roof-condensation", "downlight-air-leak", "rooflight-condensation", "pressure-pipe", "wet-room-above", "boiler-condensate", "reservoir-after-repair"} {
		if !wet[id] {
			t.Errorf("%s never brought water in a dry winter", id)
		}
	}
}

// Every cause of the list can bring water, or shows itself without any.
func TestEveryKindCanHappen(t *testing.T) {
	happens := map[string]bool{}
	for seed := range uint64(300) {
		for _, k := range kinds() {
			if happens[k.id] {
				continue
			}
			list, err := places()
			if err != nil {
				t.Fatal(err)
			}
			d := newDice(seed, 77)
			h := makeHouse(d, list)
			if k.rate(h) == 0 {
				continue
			}
			x := k.build(d, h)
			w := makeWeather(d, h.Place, 60, []int{20, 50, 340, 200}[seed%4])
			if k.id == "great-storm" {
				storm(d, w)
			}
			x.simulate(d, newScene(d, h, w))
			happens[k.id] = x.noWater || x.litres > leastLitres
		}
	}
	for _, id := range Listed() {
		if !happens[id] {
			t.Errorf("%s brought no water in any of 300 houses", id)
		}
	}
}

func TestTwiceTheHoleIsMoreWater(t *testing.T) {
	for seed := range uint64(20) {
		one, _ := leak(t, seed, "cold", 20, 1)
		two, _ := leak(t, seed, "cold", 40, 1)
		// Twice the hole, less what the way drinks either time.
		if one == 0 || two <= one {
			t.Errorf("seed %d: %.2f L through 20 mm2, %.2f L through 40", seed, one, two)
		}
	}
}

func TestWarmRoofsLagLonger(t *testing.T) {
	var cold, warm []float64
	for seed := range uint64(31) {
		_, a := leak(t, seed, "cold", 25, 1)
		_, b := leak(t, seed, "warm", 25, 1)
		cold, warm = append(cold, a), append(warm, b)
	}
	sort.Float64s(cold)
	sort.Float64s(warm)
	if cold[15]*2 > warm[15] {
		t.Errorf("median lag of a cold roof %.1f h, of a warm one %.1f h", cold[15], warm[15])
	}
}

// A way gives back no more than it was given, and all of it when it soaks up nothing
// and has time.
func TestWayKeepsWater(t *testing.T) {
	in := make([]float64, 40*stepsDay)
	for i := 100; i < 140; i++ {
		in[i] = 0.5
	}
	for _, y := range []way{{0, 5, 0}, {3, 5, 0}, {3, 20, 0.5}, {30, 1, 0}} {
		out := y.through(in)
		got := sumOf(out)
		if got > 20+1e-9 {
			t.Errorf("%+v: 20 L in, %.3f L out", y, got)
		}
		if y.dries == 0 {
			if want := math.Max(0, 20-y.soak); math.Abs(got-want) > 1e-6 {
				t.Errorf("%+v: %.4f L out, want %.4f", y, got, want)
			}
		}
		if sumOf(out[:100]) != 0 {
			t.Errorf("%+v: water before any came in", y)
		}
	}
}

// An opening in a hollow takes no more than fell on what drains to it.
func TestPuddleIsNotASpring(t *testing.T) {
	d, h := house(t, 5, "cold")
	h.Hollow = 30
	w := autumn(d, h)
	s := newScene(d, h, w)
	fell := (sumOf(w.Rain) + sumOf(w.Melt)) * stepH
	got := sumOf(opening{roundHole(1e-3), true, 1, 1}.pours(s))
	if most := fell * (1 + 3*hollowM2); got > most || got < 0.2*fell {
		t.Errorf("%.0f mm fell, %.0f L went in, at most %.0f", fell, got, most)
	}
}

// Vapour: more leak more water, more outside air less, none in summer, and frost is
// what comes down after a hard night.
func TestSweat(t *testing.T) {
	d, h := house(t, 9, "cold")
	h.RoomC, h.ExtraPa, h.Use = 20, 700, "living"
	w := rainless(makeWeather(d, h.Place, 60, 40))
	run1 := func(leakM2, vent, outC, swing float64) (float64, float64) {
		for i := range w.TempC {
			w.TempC[i] = outC - swing*math.Cos(2*math.Pi*(math.Mod(float64(i)*stepH, 24)-3)/24)
			w.Vapour[i] = 500
		}
		s := newScene(d, h, w)
		v := sweat{area: 10, leak: leakM2, sd: 1, vent: vent, holds: 0.12, coldC: func(i int) float64 { return w.TempC[i] }}
		out, frost := v.run(s)
		return sumOf(out), frost
	}
	base, frost := run1(0.003, 0.001, 3, 1)
	if base <= 0 || frost != 0 {
		t.Errorf("at 3 degrees: %.2f L, frost share %.2f", base, frost)
	}
	if more, _ := run1(0.006, 0.001, 3, 1); more <= base {
		t.Errorf("twice the leak: %.2f L, before %.2f", more, base)
	}
	if less, _ := run1(0.003, 0.05, 3, 1); less >= base {
		t.Errorf("fifty times the outside air: %.2f L, before %.2f", less, base)
	}
	if summer, _ := run1(0.003, 0.001, 22, 3); summer != 0 {
		t.Errorf("%.2f L in summer", summer)
	}
	if hard, _ := run1(0.003, 0.001, -6, 1); hard != 0 {
		t.Errorf("%.2f L dripped in a frost that never broke", hard)
	}
	if thaw, share := run1(0.003, 0.001, -1, 4); thaw <= 0 || share < 0.5 {
		t.Errorf("frost by night and thaw by day: %.2f L, frost share %.2f", thaw, share)
	}
}

// Rain of a year of windows against the place's months, and snow that is not lost.
func TestWeatherKeepsToThePlace(t *testing.T) {
	p, err := climate.ByName("Leeds")
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for _, mm := range p.RainMM {
		want += mm
	}
	got, cold, hot := 0.0, 0.0, 0.0
	const years = 12
	for k := range uint64(years * 4) {
		w := makeWeather(newDice(4, k), &p, 91, int(k%4)*91+90)
		snowEnd := w.Snow[w.Steps()-1]
		got += (sumOf(w.Rain)+sumOf(w.Melt))*stepH + snowEnd
		for i, c := range w.TempC {
			cold, hot = math.Min(cold, c), math.Max(hot, c)
			if w.Rain[i] < 0 || w.Melt[i] < 0 || w.Wind[i] < 0 {
				t.Fatal("less than none of something")
			}
		}
	}
	if got /= years; got < 0.8*want || got > 1.25*want {
		t.Errorf("%.0f mm a year, the place has %.0f", got, want)
	}
	if cold < -15 || cold > -1 || hot < 20 || hot > 38 {
		t.Errorf("from %.0f to %.0f degrees", cold, hot)
	}
}

func TestDrivenRain(t *testing.T) {
	w := &Weather{Rain: []float64{4}, Wind: []float64{8}, From: []float64{1}}
	full := w.onWall(0, 1, 1)
	if want := 0.222 * 8 * math.Pow(4, 0.88); math.Abs(full-want) > 1e-12 {
		t.Errorf("head on %.4f, want %.4f", full, want)
	}
	if w.onWall(0, 1+math.Pi, 1) != 0 || w.onWall(0, 1+math.Pi/3, 1) > full*0.51 {
		t.Error("a wall in the lee gets as wet")
	}
}

// A blocked outlet stands deeper than a free one, never above its kerb.
func TestBlockedOutletStandsDeeper(t *testing.T) {
	d, h := house(t, 3, "cold")
	h.Drainage, h.OutletMM, h.Guard = "outlet", 68, false
	w := autumn(d, h)
	deepest := func(flow float64) float64 {
		h.Flow = flow
		m := 0.0
		for _, x := range newScene(newDice(1, 1), h, w).low {
			m = math.Max(m, x)
		}
		return m
	}
	free, choked, shut := deepest(1), deepest(0.05), deepest(0)
	if !(free < choked && choked < shut) || free > 0.05 || shut > 0.16 {
		t.Errorf("free %.3f m, choked %.3f m, shut %.3f m", free, choked, shut)
	}
}
