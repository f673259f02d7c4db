package airflow

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
	"underlap/physics/moistair"
)

// Independent references used here: the clear-night temperatures of a published
// balance, Void.Balance and ThawTime at rest, and a second algorithm: explicit
// steps of one second with a rule for each change of phase.

func leakyVoid() ColdVoid {
	return ColdVoid{
		Area: 20, Tight: 2e-4, PerWind: 1e-3, Gaps: 2e-4, Height: 2.4, CeilingU: 0.4, CeilSd: 0.3,
		RoomC: 20, RoomPa: 0.55 * moistair.PSat(20), Transfer: 2,
		DeckR: 0.18, DeckHeat: 25e3, Absorptance: 0.9, Emissivity: 0.9, Holds: BeadLimit,
	}
}

// coldSpell is ten overcast days of hard frost, with little sun, and one mild sunny
// day after them, made for these tests.
func coldSpell() []VoidHour {
	hours := make([]VoidHour, 11*24)
	for i := range hours {
		// Coldest at 6, warmest at 18 o'clock; the sun is up from 8 to 16.
		day := math.Sin(2 * math.Pi * (float64(i%24) - 12) / 24)
		sun := math.Max(0, math.Sin(math.Pi*(float64(i%24)-8)/8))
		w := VoidHour{OutC: -9 + 3*day, Wind: 0.5 + 0.5*sun, Sun: 40 * sun, Sky: 225}
		if i >= 10*24 {
			w = VoidHour{OutC: -1 + 4*day, Wind: 1, Sun: 300 * sun, Sky: 230}
		}
		w.OutPa = 0.85 * moistair.PSat(w.OutC)
		hours[i] = w
	}
	return hours
}

func follow(t testing.TB, v ColdVoid, start DeckState, hours []VoidHour) FrostCourse {
	t.Helper()
	c, err := v.Course(start, hours)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func steady(w VoidHour, hours int) []VoidHour {
	out := make([]VoidHour, hours)
	for i := range out {
		out[i] = w
	}
	return out
}

// explicit is the second algorithm. It gives the frost at the end of each hour and
// what drips in it, kg/m2.
func explicit(v ColdVoid, s DeckState, hours []VoidHour) (frost, dripped []float64) {
	const dt, vapourHeat, iceHeat = 1.0, 2501e3, 2835e3
	half := v.DeckHeat / 2
	for _, w := range hours {
		drips := 0.0
		out := v.Tight + v.PerWind*w.Wind
		room := 0.6 * v.Gaps * math.Sqrt(2*math.Max(0, 0.0342*v.Height*101325*(1/(w.OutC+273.15)-1/(v.RoomC+273.15)))/1.2)
		for range int(3600 / dt) {
			toDeck := v.Transfer * v.Area
			toRoom := 1207.2*room + v.CeilingU*v.Area
			air := (1207.2*out*w.OutC + toRoom*v.RoomC + toDeck*s.UndersideC) / (1207.2*out + toRoom + toDeck)
			// Vapour: what comes with air and by diffusion, against a film of the deck.
			perPa := 1 / (461.5 * (air + 273.15))
			in := out*perPa*w.OutPa + (room*perPa+2e-10/v.CeilSd*v.Area)*v.RoomPa
			away := out*perPa + room*perPa + 2e-10/v.CeilSd*v.Area
			film := v.Transfer / 1207.2 * perPa * v.Area
			face := moistair.PSat(s.UndersideC)
			gain := film * ((in+film*face)/(away+film) - face) / v.Area * dt
			latent := vapourHeat
			if s.Frost > 0 || s.UndersideC < 0 {
				latent = iceHeat
				gain = math.Max(gain, -s.Frost)
				s.Frost += gain
			} else {
				gain = math.Max(gain, -s.Water)
				s.Water += gain
			}
			through := (s.OuterC - s.UndersideC) / v.DeckR
			k := s.OuterC + 273.15
			s.OuterC += dt / half * (v.Absorptance*w.Sun + v.Emissivity*(w.Sky-5.67e-8*k*k*k*k) + (4+4*w.Wind)*(w.OutC-s.OuterC) - through)
			s.UndersideC += (dt*(through+v.Transfer*(air-s.UndersideC)) + latent*gain) / half
			if s.UndersideC > 0 && s.Frost > 0 {
				melt := math.Min(s.Frost, s.UndersideC*half/334e3)
				s.Frost, s.Water, s.UndersideC = s.Frost-melt, s.Water+melt, s.UndersideC-melt*334e3/half
			}
			if s.UndersideC < 0 && s.Water > 0 {
				freeze := math.Min(s.Water, -s.UndersideC*half/334e3)
				s.Frost, s.Water, s.UndersideC = s.Frost+freeze, s.Water-freeze, s.UndersideC+freeze*334e3/half
			}
			if s.Water > v.Holds {
				drips += s.Water - v.Holds
				s.Water = v.Holds
			}
		}
		frost = append(frost, s.Frost)
		dripped = append(dripped, drips)
	}
	return frost, dripped
}

func TestCourseAgainstSecondAlgorithm(t *testing.T) {
	v, hours := leakyVoid(), coldSpell()
	start := DeckState{UndersideC: 1, OuterC: -1}
	c := follow(t, v, start, hours)
	frost, dripped := explicit(v, start, hours)
	peak, most, total := 0, 0, 0.0
	for i := range hours {
		if frost[i] > frost[peak] {
			peak = i
		}
		if dripped[i] > dripped[most] {
			most = i
		}
		total += dripped[i]
		vectortest.Near(t, "frost", c.Hours[i].Frost, frost[i], 0.01*frost[peak]+0.002)
	}
	if c.PeakHour != peak {
		t.Errorf("peak at hour %d, the second algorithm has it at %d", c.PeakHour, peak)
	}
	vectortest.NearRel(t, "peak", c.PeakFrost, frost[peak], 0.005)
	vectortest.NearRel(t, "litres", c.PeakLitres, frost[peak]*v.Area, 0.005)
	thaw, ok := c.Largest()
	if !ok || thaw.Most != most || len(c.Thaws) != 1 {
		t.Fatalf("thaws %+v, the second algorithm drips most in hour %d", c.Thaws, most)
	}
	vectortest.NearRel(t, "litres of the thaw", thaw.Litres, total*v.Area, 0.02)
	vectortest.NearRel(t, "litres in the worst hour", thaw.Rate, dripped[most]*v.Area, 0.03)
	if dripped[thaw.Start] == 0 || dripped[thaw.Start-1] > 0 {
		t.Errorf("the thaw starts at hour %d, the second algorithm drips %v kg/m2 before and %v in it", thaw.Start, dripped[thaw.Start-1], dripped[thaw.Start])
	}
	// The case is worth something: much frost, and it comes down in daylight after the spell.
	if c.PeakFrost < 0.3 || thaw.Start < 10*24+8 || thaw.End > 10*24+16 || thaw.Litres < 0.5*c.PeakLitres {
		t.Errorf("peak %v kg/m2, thaw %+v", c.PeakFrost, thaw)
	}
}

// How much the length of the steps is worth, as Course tells it.
func TestCourseStepsAreShortEnough(t *testing.T) {
	v, hours := leakyVoid(), coldSpell()
	c := follow(t, v, DeckState{}, hours)
	fine, err := v.course(DeckState{}, hours, 10*stepsPerHour)
	if err != nil {
		t.Fatal(err)
	}
	a, _ := c.Largest()
	b, _ := fine.Largest()
	vectortest.NearRel(t, "peak", c.PeakFrost, fine.PeakFrost, 0.005)
	vectortest.NearRel(t, "litres of the thaw", a.Litres, b.Litres, 0.02)
	if a.Start != b.Start || a.Most != b.Most || a.End != b.End {
		t.Errorf("thaw %+v, with fine steps %+v", a, b)
	}
}

// Water and heat: what came in is there or has dripped.
func TestCourseBalances(t *testing.T) {
	v := leakyVoid()
	start := DeckState{UndersideC: -2, OuterC: -4, Frost: 0.1}
	c := follow(t, v, start, coldSpell())
	was, in, out := start, 0.0, 0.0
	for i, h := range c.Hours {
		stored := v.DeckHeat/2*(h.UndersideC-was.UndersideC+h.OuterC-was.OuterC) + latentFusion*(h.Water-was.Water)
		heat := 3600*(h.SunHeat+h.SkyHeat+h.WindHeat+h.VoidHeat) + (2501e3+334e3)*h.Condensed - 334e3*h.Dripped
		vectortest.Near(t, "heat", stored, heat, 1e-4) // of some 1e5 J/m2
		in += h.Condensed
		out += h.Dripped
		vectortest.Near(t, "water", start.Frost+in-out, h.Frost+h.Water, 1e-12)
		if i > 0 && h.Frost < was.Frost-1e-12 && h.UndersideC < 0 && h.Condensed > 0 {
			t.Errorf("hour %d: frost goes from %v to %v below 0 degC", i, was.Frost, h.Frost)
		}
		was = h.DeckState
	}
	litres, melted := 0.0, 0.0
	for _, x := range c.Thaws {
		litres += x.Litres
		melted += x.Melted
	}
	// The rest condensed and dripped as it came when no frost was left.
	if total := out * v.Area; litres > total || litres < 0.99*total || melted < litres {
		t.Errorf("%v L drip in thaws, %v L in all, %v L of frost melt", litres, total, melted)
	}
}

// In steady cold the deck takes what Void.Balance says, and its own temperature
// stays where the heat flows cancel.
func TestCourseAtRestIsVoidBalance(t *testing.T) {
	v := leakyVoid()
	w := VoidHour{OutC: -6, OutPa: 0.8 * moistair.PSat(-6), Wind: 1.5, Sky: 210}
	c := follow(t, v, DeckState{}, steady(w, 120))
	h := c.Hours[119]
	dp, err := Stack(v.Height, w.OutC, v.RoomC)
	room, err2 := Orifice(SharpEdge, v.Gaps, need(t, dp, err), 1.2)
	s, err3 := Void{
		Area: v.Area, OutFlow: v.Tight + v.PerWind*w.Wind, RoomFlow: need(t, room, err2), CeilingU: v.CeilingU, CeilSd: v.CeilSd,
		RoomC: v.RoomC, RoomPa: v.RoomPa, OutC: w.OutC, OutPa: w.OutPa, DeckC: h.UndersideC, Transfer: v.Transfer,
	}.Balance()
	if err3 != nil || !s.Frost {
		t.Fatalf("%+v, %v", s, err3)
	}
	vectortest.NearRel(t, "rate", h.Condensed/3600, s.Condensing, 1e-9)
	vectortest.Near(t, "air", h.AirC, s.AirC, 1e-9)
	vectortest.Near(t, "vapour", h.VapourPa, s.VapourPa, 1e-6)
	vectortest.Near(t, "heat", h.SunHeat+h.SkyHeat+h.WindHeat+h.VoidHeat+2835e3*h.Condensed/3600, 0, 1e-6)
	// StoredFrost sums the same over days.
	f, err := StoredFrost(Void{
		Area: v.Area, OutFlow: v.Tight + v.PerWind*w.Wind, RoomFlow: room, CeilingU: v.CeilingU, CeilSd: v.CeilSd,
		RoomC: v.RoomC, RoomPa: v.RoomPa, OutC: w.OutC, OutPa: w.OutPa, DeckC: h.UndersideC, Transfer: v.Transfer,
	}, 5, 1)
	vectortest.NearRel(t, "stored", c.PeakFrost, need(t, f.KgPerM2, err), 0.02) // the first hours cool down
}

// Without water the covering takes the temperature of a clear night as worked out
// apart from this project's deck: sky emissivity 0.75, U 0.2 to the room.
func TestCourseOnAClearNight(t *testing.T) {
	var n struct {
		Night []struct {
			Air      float64 `toml:"t_air"`
			Eps      float64
			Hc       float64 `toml:"h_c"`
			U        float64 `toml:"u_to_room"`
			Room     float64 `toml:"t_room"`
			EpsSky   float64 `toml:"eps_sky"`
			SurfaceC float64 `toml:"t_surface"`
		} `toml:"clear_night_balance"`
		Tolerance struct{ Abs float64 }
	}
	vectortest.Load(t, "sol_air.toml", &n)
	if len(n.Night) == 0 {
		t.Fatal("no clear night in the vector file")
	}
	for _, c := range n.Night {
		v := leakyVoid()
		v.Tight, v.PerWind, v.Gaps, v.CeilSd = 0, 0, 0, 0
		v.RoomC, v.Emissivity = c.Room, c.Eps
		v.CeilingU = 1 / (1/c.U - v.DeckR - 1/v.Transfer)
		k := c.Air + 273.15
		w := VoidHour{OutC: c.Air, Wind: (c.Hc - 4) / 4, Sky: c.EpsSky * 5.67e-8 * k * k * k * k}
		x := follow(t, v, DeckState{}, steady(w, 72)).Hours[71]
		vectortest.Near(t, "covering", x.OuterC, c.SurfaceC, n.Tolerance.Abs)
	}
}

// Under a steady flow of heat the frost is gone after ThawTime, and all of it but
// the beads drips.
func TestCourseReproducesThawTime(t *testing.T) {
	v := leakyVoid()
	v.Tight, v.PerWind, v.Gaps, v.CeilSd = 0, 0, 0, 0 // no vapour comes or goes
	// The covering keeps its temperature while frost pins the underside at 0 degC.
	w := VoidHour{OutC: 4, Wind: 1, Sky: 320}
	start := DeckState{Frost: 4}
	c := follow(t, v, start, steady(w, 60))
	// Heat to the frost at rest, from two hours that only melt.
	h := c.Hours[10]
	heat := h.SunHeat + h.SkyHeat + h.WindHeat + h.VoidHeat
	if h.UndersideC != 0 || h.Frost <= 0 {
		t.Fatalf("not melting: %+v", h)
	}
	vectortest.Near(t, "vapour over melting ice in a shut void", h.VapourPa, 610.5, 1e-9)
	left, err := ThawTime(h.Frost, heat)
	gone := need(t, left, err)/3600 + 11
	vectortest.NearRel(t, "melting", h.Melted, heat*3600/334e3, 1e-6)
	for i, x := range c.Hours {
		if (x.Frost == 0) != (float64(i+1) >= gone) {
			t.Errorf("frost of %v kg/m2 after hour %d, it should be gone after %.2f", x.Frost, i, gone)
		}
	}
	thaw, ok := c.Largest()
	if !ok || thaw.End != int(math.Ceil(gone)) {
		t.Errorf("thaw %+v, should end in hour %.2f", thaw, gone)
	}
	vectortest.NearRel(t, "litres", thaw.Litres, (4-BeadLimit)*v.Area, 1e-9)
}

// Frost needs damp air and frost.
func TestCourseWithoutCause(t *testing.T) {
	dry := leakyVoid()
	dry.Gaps, dry.CeilSd = 0, 0
	hours := coldSpell()
	for i := range hours {
		hours[i].OutPa = 60 // dew point of -36 degC
	}
	none := func(name string, c FrostCourse) {
		t.Helper()
		for i, h := range c.Hours {
			if h.Frost != 0 || h.Melted != 0 {
				t.Fatalf("%s: hour %d: %+v", name, i, h)
			}
		}
		if c.PeakHour != -1 || c.PeakFrost != 0 || len(c.Thaws) != 0 {
			t.Errorf("%s: %+v", name, c.Thaws)
		}
		if x, ok := c.Largest(); ok {
			t.Errorf("%s: thaw %+v", name, x)
		}
	}
	none("no damp", follow(t, dry, DeckState{}, hours))
	shut := dry
	shut.Tight, shut.PerWind = 0, 0
	c := follow(t, shut, DeckState{}, hours)
	none("shut", c)
	vectortest.Near(t, "vapour in a shut dry void", c.Hours[9].VapourPa, hours[9].OutPa, 1e-12)
	mild := coldSpell()
	for i := range mild {
		mild[i].OutC += 14
		mild[i].Sky += 80
	}
	c = follow(t, leakyVoid(), DeckState{UndersideC: 8, OuterC: 6}, mild)
	none("no frost", c)
	wet := 0.0
	for _, h := range c.Hours {
		wet += h.Condensed
		if h.UndersideC < 0 {
			t.Fatal("the mild spell freezes the deck: it shows nothing")
		}
	}
	if wet <= 0 {
		t.Error("the mild spell does not condense: it shows nothing")
	}
}

// Dry wind takes frost away without a drop.
func TestCourseDriesByAir(t *testing.T) {
	v := leakyVoid()
	v.Gaps, v.CeilSd = 0, 0
	w := VoidHour{OutC: -5, OutPa: 100, Wind: 3, Sky: 260}
	frost := DeckState{UndersideC: -5, OuterC: -5, Frost: 0.2}
	c := follow(t, v, frost, steady(w, 600))
	last := c.Hours[599]
	if last.Frost != 0 || last.Condensed != 0 || len(c.Thaws) != 0 {
		t.Errorf("after 25 days of dry wind: %+v", last)
	}
	v.PerWind = 0
	if still := follow(t, v, frost, steady(w, 600)).Hours[599]; still.Frost <= last.Frost {
		t.Errorf("without air crossing the frost goes as fast: %v", still.Frost)
	}
}

// A course cut in two is the same course.
func TestCourseGoesOn(t *testing.T) {
	v, hours := leakyVoid(), coldSpell()
	whole := follow(t, v, DeckState{}, hours)
	first := follow(t, v, DeckState{}, hours[:250])
	second := follow(t, v, first.Hours[249].DeckState, hours[250:])
	both := append(append([]DeckHour{}, first.Hours...), second.Hours...)
	if d := cmp.Diff(whole.Hours, both, cmpopts.EquateApprox(1e-7, 1e-9)); d != "" {
		t.Error(d)
	}
	if c := follow(t, v, DeckState{}, nil); len(c.Hours) != 0 || c.PeakHour != -1 {
		t.Errorf("no hours: %+v", c)
	}
}

func TestCourseStaysSane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		v := ColdVoid{
			Area: r("area", 1, 200), Tight: r("tight", 0, 0.1), PerWind: r("by wind", 0, 0.05), Gaps: r("gaps", 0, 0.01), Height: r("height", 0, 5),
			CeilingU: r("u", 0, 4), CeilSd: r("sd", 0, 100), RoomC: r("room", -5, 35), RoomPa: r("room pa", 0, 4000),
			Transfer: r("transfer", 0.1, 20), DeckR: r("deck", 0.001, 5), DeckHeat: r("capacity", 500, 500e3),
			Absorptance: r("absorptance", 0, 1), Emissivity: r("emissivity", 0.7, 1), Holds: r("holds", 0, 0.2),
		}
		hours := make([]VoidHour, rapid.IntRange(1, 30).Draw(t, "hours"))
		for i := range hours {
			hours[i] = VoidHour{OutC: r("out", -40, 35), OutPa: r("out pa", 0, 3000), Wind: r("wind", 0, 30), Sun: r("sun", 0, 600), Sky: r("sky", 100, 500)}
		}
		start := DeckState{Frost: r("frost", 0, 2), Water: r("water", 0, 0.1)}
		c, err := v.Course(start, hours)
		if err != nil {
			t.Fatal(err)
		}
		stock, was := start.Frost+start.Water, start
		for i, h := range c.Hours {
			stock += h.Condensed - h.Dripped
			heat := 3600*(h.SunHeat+h.SkyHeat+h.WindHeat+h.VoidHeat) + latentFrost*h.Condensed - latentFusion*h.Dripped
			stored := v.DeckHeat/2*(h.UndersideC-was.UndersideC+h.OuterC-was.OuterC) + latentFusion*(h.Water-was.Water)
			scale := 3600 * (1000 + math.Abs(h.WindHeat) + math.Abs(h.VoidHeat))
			switch {
			case !(math.Abs(stock-h.Frost-h.Water) <= 1e-11*(1+stock)):
				t.Fatalf("hour %d: %v kg/m2 came and stayed, %+v is there", i, stock, h)
			case !(math.Abs(heat-stored) <= 1e-7*scale):
				t.Fatalf("hour %d: %v J/m2 came, %v is stored", i, heat, stored)
			case h.Frost < 0 || h.Water < 0 || h.Dripped < 0 || h.Melted < 0 || h.Water > v.Holds*(1+1e-9) && h.Water > v.Holds+1e-12:
				t.Fatalf("hour %d: %+v", i, h)
			case h.Frost > 0 && h.UndersideC > 0, h.Water > 0 && h.UndersideC < 0:
				t.Fatalf("hour %d: the wrong phase: %+v", i, h)
			case math.IsNaN(h.AirC + h.VapourPa + h.OuterC):
				t.Fatalf("hour %d: %+v", i, h)
			}
			was = h.DeckState
		}
	})
}

// A leakier ceiling never leaves less frost.
func TestCourseGrowsWithGaps(t *testing.T) {
	v, last := leakyVoid(), -1.0
	for _, gaps := range []float64{0, 5e-5, 2e-4, 1e-3} {
		v.Gaps = gaps
		c := follow(t, v, DeckState{}, coldSpell())
		if c.PeakFrost <= last {
			t.Errorf("gaps of %v m2: %v kg/m2, with less %v", gaps, c.PeakFrost, last)
		}
		last = c.PeakFrost
	}
}

func TestCourseRefusesBadData(t *testing.T) {
	hours := coldSpell()[:3]
	for name, spoil := range map[string]func(*ColdVoid, *DeckState, []VoidHour){
		"area":          func(v *ColdVoid, _ *DeckState, _ []VoidHour) { v.Area = 0 },
		"transfer":      func(v *ColdVoid, _ *DeckState, _ []VoidHour) { v.Transfer = 0 },
		"deck":          func(v *ColdVoid, _ *DeckState, _ []VoidHour) { v.DeckR = 0 },
		"capacity":      func(v *ColdVoid, _ *DeckState, _ []VoidHour) { v.DeckHeat = math.NaN() },
		"absorptance":   func(v *ColdVoid, _ *DeckState, _ []VoidHour) { v.Absorptance = 1.1 },
		"holds":         func(v *ColdVoid, _ *DeckState, _ []VoidHour) { v.Holds = -1 },
		"warm frost":    func(_ *ColdVoid, s *DeckState, _ []VoidHour) { s.Frost, s.UndersideC = 1, 0.1 },
		"cold water":    func(_ *ColdVoid, s *DeckState, _ []VoidHour) { s.Water, s.UndersideC = 0.01, -0.1 },
		"start":         func(_ *ColdVoid, s *DeckState, _ []VoidHour) { s.OuterC = math.NaN() },
		"outdoor":       func(_ *ColdVoid, _ *DeckState, w []VoidHour) { w[2].OutC = -61 },
		"vapour":        func(_ *ColdVoid, _ *DeckState, w []VoidHour) { w[2].OutPa = -1 },
		"wind":          func(_ *ColdVoid, _ *DeckState, w []VoidHour) { w[2].Wind = math.NaN() },
		"sun":           func(_ *ColdVoid, _ *DeckState, w []VoidHour) { w[2].Sun = -1 },
		"sky":           func(_ *ColdVoid, _ *DeckState, w []VoidHour) { w[2].Sky = 701 },
		"furnace":       func(v *ColdVoid, _ *DeckState, w []VoidHour) { v.Emissivity, w[0] = 0, VoidHour{OutC: 60, Sun: 1500} },
		"height is nan": func(v *ColdVoid, _ *DeckState, _ []VoidHour) { v.Height = math.NaN() },
	} {
		v, s, w := leakyVoid(), DeckState{}, append([]VoidHour{}, hours...)
		spoil(&v, &s, w)
		if name == "furnace" {
			w = steady(w[0], 100)
		}
		if _, err := v.Course(s, w); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

// The crossing is found exactly and soon: far off, across a bend, and where the
// function is all but flat on one side.
func TestFalling(t *testing.T) {
	for _, x := range []struct {
		name string
		f    func(float64) float64
		b    float64
		root float64
	}{
		{"straight", func(t float64) float64 { return 3 - t }, 1, 3},
		{"far off", func(t float64) float64 { return 700 - t }, 1, 700},
		{"below", func(t float64) float64 { return -20 - t }, -1, -20},
		{"bent", func(t float64) float64 { return 5 - t - 1000*math.Max(0, t-2) }, 1, 2 + 3.0/1001},
		{"steep", func(t float64) float64 { return 1e3 - math.Exp(t) }, 40, math.Log(1e3)},
		{"with no curve beyond", func(t float64) float64 {
			if t > 200 {
				return math.NaN()
			}
			return 100 - math.Exp(t/3)
		}, 1, 3 * math.Log(100)},
		{"at the end", func(t float64) float64 { return 1 - t }, 1, 1},
	} {
		calls := 0
		got := falling(func(v float64) float64 { calls++; return x.f(v) }, 0, x.b)
		vectortest.Near(t, x.name, got, x.root, 1e-11*(1+math.Abs(x.root)))
		if calls > 70 {
			t.Errorf("%s: %d calls", x.name, calls)
		}
	}
}

func BenchmarkCourseOfAMonth(b *testing.B) {
	v, hours := leakyVoid(), append(append(coldSpell(), coldSpell()...), coldSpell()[:216]...)
	for b.Loop() {
		if _, err := v.Course(DeckState{}, hours); err != nil {
			b.Fatal(err)
		}
	}
}
