package drainage

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

func need(t testing.TB, v float64, err error) float64 {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func circular(t testing.TB, diameter, k float64) Outlet {
	t.Helper()
	o, err := Circular(diameter, k)
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestTradeDrainage(t *testing.T) {
	var v struct {
		Outlet struct {
			Diameter, Head []float64
			Flow           [][]float64
			Tolerance      float64
		} `toml:"open_outlet"`
		Pipe struct {
			Diameter, Flow []float64
			Tol            float64 `toml:"tolerance_rel"`
		}
		Gutter struct {
			Width, Flow []float64
			Tol         float64 `toml:"tolerance_rel"`
		}
		Head []struct {
			Area, Intensity, Diameter, Head, Tolerance float64
			Guarded                                    bool
		}
		Wedge []struct{ Litres, Edge, Depth, Reach float64 }
		Load  struct {
			Depth, KN []float64
			Tolerance float64
		}
		Hole []struct {
			Area  float64 `toml:"area_mm2"`
			Depth float64
			LPerH float64 `toml:"litres_per_hour"`
		}
		Upstand []struct {
			Height, Overlay, Left float64
			Door, OK              bool
		}
		Fall []struct {
			High, Low, Run float64
			OneIn          float64 `toml:"one_in"`
		}
	}
	vectortest.Load(t, "trade_drainage.toml", &v)
	if len(v.Outlet.Diameter) == 0 || len(v.Pipe.Flow) == 0 || len(v.Gutter.Flow) == 0 || len(v.Head) == 0 ||
		len(v.Wedge) == 0 || len(v.Load.KN) == 0 || len(v.Hole) == 0 || len(v.Upstand) == 0 || len(v.Fall) == 0 {
		t.Fatal("part of the vector file is missing")
	}
	for i, d := range v.Outlet.Diameter {
		o := circular(t, d*mm, Open)
		for j, h := range v.Outlet.Head {
			q, err := o.Flow(h * mm)
			vectortest.Near(t, "outlet", need(t, q, err)/litre, v.Outlet.Flow[i][j], v.Outlet.Tolerance)
		}
	}
	for i, d := range v.Pipe.Diameter {
		q, err := Pipe(d*mm, PipeFilling)
		vectortest.NearRel(t, "pipe", need(t, q, err)/litre, v.Pipe.Flow[i], v.Pipe.Tol)
	}
	for i, w := range v.Gutter.Width {
		q, err := HalfRoundGutter(w * mm)
		vectortest.NearRel(t, "gutter", need(t, q, err)/litre, v.Gutter.Flow[i], v.Gutter.Tol)
	}
	for _, c := range v.Head {
		k := Open
		if c.Guarded {
			k = Guarded
		}
		q, err := RunOff(c.Area, c.Intensity*litre)
		h, err2 := circular(t, c.Diameter*mm, k).Head(need(t, q, err))
		vectortest.Near(t, "head", need(t, h, err2)/mm, c.Head, c.Tolerance)
	}
	for _, c := range v.Wedge {
		w, err := Blocked(c.Litres*litre, c.Edge, FinishedFall)
		vectortest.Near(t, "depth", need(t, w.Depth, err)/mm, c.Depth, 0.1)
		vectortest.Near(t, "reach", w.Reach, c.Reach, 0.01)
	}
	for i, d := range v.Load.Depth {
		p, err := PondLoad(d * mm)
		vectortest.Near(t, "load", need(t, p, err)/1000, v.Load.KN[i], v.Load.Tolerance)
	}
	for _, c := range v.Hole {
		q, err := HoleFlow(c.Area*mm*mm, c.Depth*mm)
		vectortest.NearRel(t, "hole", need(t, q, err)/litre*3600, c.LPerH, 0.003)
	}
	for _, c := range v.Upstand {
		u, err := CheckUpstand(c.Height*mm, c.Overlay*mm, c.Door)
		vectortest.Near(t, "upstand left", need(t, u.Left, err)/mm, c.Left, 1e-9)
		if u.OK != c.OK || (u.Short == 0) != c.OK {
			t.Errorf("upstand %+v, want OK %v", u, c.OK)
		}
	}
	for _, c := range v.Fall {
		f, err := Fall(c.High*mm, c.Low*mm, c.Run)
		vectortest.Near(t, "fall", 1/need(t, f, err), c.OneIn, 1e-9)
	}
}

// The weir and the orifice must meet, or the formulas were remembered wrongly.
func TestBranchesMeet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.SampledFrom([]float64{Open, Guarded}).Draw(t, "k")
		d := rapid.Float64Range(0.03, 0.3).Draw(t, "d")
		round, err := Circular(d, k)
		if err != nil {
			t.Fatal(err)
		}
		slot, err := Slot(rapid.Float64Range(0.05, 1).Draw(t, "length"), rapid.Float64Range(0.02, 0.2).Draw(t, "height"), k)
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range []Outlet{round, slot} {
			weir, orifice := o.weir*pow32(o.change), o.orifice*math.Sqrt(o.change)
			if math.Abs(weir-orifice) > 1e-9*weir {
				t.Fatalf("weir %v, orifice %v at the change", weir, orifice)
			}
		}
	})
}

func TestOutletsAreMonotoneAndInvertible(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o, err := Circular(rapid.Float64Range(0.03, 0.3).Draw(t, "d"), rapid.Float64Range(0.1, 1).Draw(t, "k"))
		if err != nil {
			t.Fatal(err)
		}
		h := rapid.Float64Range(0, 0.5).Draw(t, "h")
		q, err := o.Flow(h)
		if err != nil {
			t.Fatal(err)
		}
		more, err := o.Flow(h + 0.001)
		if err != nil {
			t.Fatal(err)
		}
		if !(more > q) {
			t.Fatalf("flow %v at head %v, %v a millimetre higher", q, h, more)
		}
		back, err := o.Head(q)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(back-h) > 1e-9 {
			t.Fatalf("head %v gives %v back", h, back)
		}
	})
}

func TestRainUnitsAndCategories(t *testing.T) {
	i, err := IntensityFromMMPerHour(75)
	vectortest.Near(t, "75 mm/h", need(t, i, err)/litre, 0.0208333, 1e-6)
	back, err := MMPerHour(i)
	vectortest.Near(t, "and back", need(t, back, err), 75, 1e-9)
	for c, want := range map[Category]float64{Shedding: 1, Normal: 90, Higher: 270} {
		years, err := c.ReturnPeriod(60)
		vectortest.Near(t, "return period", need(t, years, err), want, 1e-9)
	}
	if _, err := Highest.ReturnPeriod(60); err == nil {
		t.Error("category 4 has a return period")
	}
	area, err := EffectiveArea(20, 12)
	vectortest.Near(t, "with a wall", need(t, area, err), 26, 1e-12)
	slot, err := Slot(0.3, 0.05, Open)
	if err != nil {
		t.Fatal(err)
	}
	q, err := slot.Flow(0.025)
	// 300 x 25^1.5 / 24000 (BS EN 12056-3 from memory, calculation).
	vectortest.Near(t, "scupper", need(t, q, err)/litre, 1.5625, 1e-9)
	load, err := PondLoad(0.07645)
	vectortest.Near(t, "depth of the whole allowance", need(t, load, err), MaintenanceLoad, 1)
}

// Sums that trade guidance does by hand, each from its own figures.
func TestSumsOfTheTrade(t *testing.T) {
	// 1 in 80, 60 and 40 are 12.5, 16.7 and 25 mm in a metre.
	for oneIn, want := range map[float64]float64{80: 12.5, 60: 16.7, 40: 25} {
		f, err := Fall(1/oneIn, 0, 1)
		vectortest.Near(t, "mm in a metre", 1000*need(t, f, err), want, 0.05)
	}
	vectortest.Near(t, "finished fall", FinishedFall, 0.0125, 0)
	vectortest.Near(t, "design fall", DesignFall, 0.025, 0)
	// 150 mm/h is 0.042 l/s on a square metre; a millimetre of rain is a litre.
	i, err := IntensityFromMMPerHour(150)
	vectortest.Near(t, "150 mm/h", need(t, i, err)/litre, 0.042, 0.0005)
	hour, err := IntensityFromMMPerHour(1)
	vectortest.Near(t, "1 mm in an hour", need(t, hour, err)*3600/litre, 1, 1e-12)
	// 30 m2 under 0.022 and 0.042 l/s m2.
	for intensity, want := range map[float64]float64{0.022: 0.66, 0.042: 1.26} {
		q, err := RunOff(30, intensity*litre)
		vectortest.Near(t, "run-off", need(t, q, err)/litre, want, 1e-9)
	}
	// 25 m2, outlet blocked, 75 mm/h for 10 and 20 minutes: 312 and 625 litres.
	i, err = IntensityFromMMPerHour(75)
	q, err2 := RunOff(25, need(t, i, err))
	vectortest.Near(t, "10 minutes", need(t, q, err2)*600/litre, 312.5, 1e-9)
	vectortest.Near(t, "20 minutes", q*1200/litre, 625, 1e-9)
	// Areas and flows of half-round gutters go together at 75 mm/h (Approved Document H3
	// table 2: 37 m2 and 0.78 l/s read, the rest from memory).
	for area, want := range map[float64]float64{18: 0.38, 37: 0.78, 53: 1.11, 65: 1.37, 103: 2.16} {
		q, err := RunOff(area, i)
		vectortest.NearRel(t, "gutter's area", need(t, q, err)/litre, want, 0.015)
	}
	// A scupper drowned: 300 x 50 x sqrt(150) / 12000 (BS EN 12056-3 from memory); with a
	// grating half of it, above as below.
	for k, share := range map[float64]float64{Open: 1, Guarded: 0.5} {
		slot, err := Slot(0.3, 0.05, k)
		if err != nil {
			t.Fatal(err)
		}
		q, err := slot.Flow(0.15)
		vectortest.Near(t, "drowned scupper", need(t, q, err)/litre, share*15.309, 0.001)
		q, err = slot.Flow(0.025)
		vectortest.Near(t, "scupper", need(t, q, err)/litre, share*1.5625, 1e-9)
	}
	// Water of 100 mm is more than the whole allowance, 76 mm just about it.
	for depth, over := range map[float64]bool{0.1: true, 0.076: false} {
		p, err := PondLoad(depth)
		if (need(t, p, err) > MaintenanceLoad) != over {
			t.Errorf("%v m of water, %v Pa: over the allowance %v", depth, p, !over)
		}
	}
}

func TestBadDataIsRefused(t *testing.T) {
	nan := math.NaN()
	o := circular(t, 0.068, Open)
	errs := map[string]error{}
	_, errs["rain"] = IntensityFromMMPerHour(-1)
	_, errs["mm"] = MMPerHour(nan)
	_, errs["life"] = Normal.ReturnPeriod(0)
	_, errs["area"] = EffectiveArea(-1, 0)
	_, errs["run-off"] = RunOff(1, nan)
	_, errs["fall"] = Fall(1, 0, 0)
	_, errs["circular"] = Circular(0, 1)
	_, errs["factor"] = Circular(0.1, 0)
	_, errs["slot"] = Slot(1, nan, 1)
	_, errs["flow"] = o.Flow(-1)
	_, errs["head"] = o.Head(nan)
	_, errs["empty outlet"] = Outlet{}.Head(1)
	_, errs["pipe"] = Pipe(0.1, 2)
	_, errs["gutter"] = HalfRoundGutter(nan)
	_, errs["wedge"] = Blocked(1, 6, 0)
	_, errs["load"] = PondLoad(-1)
	_, errs["hole"] = HoleFlow(nan, 1)
	_, errs["upstand"] = CheckUpstand(-1, 0, false)
	for name, err := range errs {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
