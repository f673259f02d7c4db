package airflow_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/airflow"
	"underlap/physics/fabric"
	"underlap/physics/internal/vectortest"
)

// Independent references used here: hand sums, a published constant, ISO 6946 as
// package fabric has it, and a numerical integration along the path of the air.

func balance(t testing.TB, b airflow.Bypassed) airflow.BypassState {
	t.Helper()
	s, err := b.Balance()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestBypassByHand(t *testing.T) {
	var v struct {
		Roof struct {
			Area, Inside, Ceiling, Void, Insulation, Others float64

			RoomC float64 `toml:"room_c"`
			OutC  float64 `toml:"out_c"`
			UFull float64 `toml:"u_full"`
			UNone float64 `toml:"u_none"`
		}
		Case []struct {
			Mixed         bool
			Flow, U, Kept float64

			AirC      float64 `toml:"air_c"`
			OutletC   float64 `toml:"outlet_c"`
			CeilingC  float64 `toml:"ceiling_c"`
			ColdestC  float64 `toml:"coldest_c"`
			DeckC     float64 `toml:"deck_c"`
			AirHeat   float64 `toml:"air_heat"`
			CoverHeat float64 `toml:"cover_heat"`
			ActsAs    float64 `toml:"acts_as"`
		}
		Half struct {
			UnitsMixed   float64 `toml:"units_mixed"`
			UnitsPassing float64 `toml:"units_passing"`
			FlowMixed    float64 `toml:"flow_mixed"`
			FlowPassing  float64 `toml:"flow_passing"`
		}
		Tolerance struct{ Rel float64 }
	}
	vectortest.Load(t, "bypassed_insulation.toml", &v)
	if len(v.Case) == 0 {
		t.Fatal("the vector file is empty")
	}
	r, rel := v.Roof, v.Tolerance.Rel
	roof := airflow.Bypassed{
		Area: r.Area, Inside: r.Inside, Ceiling: r.Ceiling, Void: r.Void, Insulation: r.Insulation, Others: r.Others,
		RoomC: r.RoomC, OutC: r.OutC,
	}
	for _, c := range v.Case {
		roof.Flow, roof.Mixed = c.Flow, c.Mixed
		s := balance(t, roof)
		vectortest.NearRel(t, "U", s.U, c.U, rel)
		vectortest.NearRel(t, "U without air", s.UFull, r.UFull, rel)
		vectortest.NearRel(t, "U well ventilated", s.UNone, r.UNone, rel)
		vectortest.NearRel(t, "kept", s.Kept, c.Kept, rel)
		vectortest.NearRel(t, "air", s.AirC, c.AirC, rel)
		vectortest.NearRel(t, "outlet", s.OutletC, c.OutletC, rel)
		vectortest.NearRel(t, "ceiling", s.CeilingC, c.CeilingC, rel)
		vectortest.NearRel(t, "coldest ceiling", s.ColdestC, c.ColdestC, rel)
		vectortest.NearRel(t, "deck", s.DeckC, c.DeckC, rel)
		vectortest.NearRel(t, "heat by air", s.AirHeat, c.AirHeat, rel)
		vectortest.NearRel(t, "heat upwards", s.CoverHeat, c.CoverHeat, rel)
		vectortest.Near(t, "acts as", s.ActsAs, c.ActsAs, 10*rel)
	}
	for _, h := range []struct {
		mixed       bool
		flow, units float64
	}{{true, v.Half.FlowMixed, v.Half.UnitsMixed}, {false, v.Half.FlowPassing, v.Half.UnitsPassing}} {
		roof.Mixed = h.mixed
		flow, err := roof.HalfFlow()
		if err != nil {
			t.Fatal(err)
		}
		vectortest.NearRel(t, "half flow", flow, h.flow, rel)
		vectortest.NearRel(t, "transfer units there", 42.5/(1207.2*flow), h.units, rel)
		roof.Flow = flow
		vectortest.Near(t, "kept there", balance(t, roof).Kept, 0.5, 1e-12)
	}
}

func someRoof(t *rapid.T) airflow.Bypassed {
	r := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	return airflow.Bypassed{
		Area: r("area", 1, 100), Inside: r("inside", 0, 0.2), Ceiling: r("ceiling", 0, 3), Void: r("void", 0.10, 0.25),
		Insulation: r("insulation", 0, 8), Others: r("others", 0.02, 1),
		Flow:  math.Exp(r("log flow", -20, 5)),
		RoomC: r("room", -10, 30), OutC: r("out", -30, 40), Mixed: rapid.Bool().Draw(t, "mixed"),
	}
}

func within(t *rapid.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Fatalf("%s: got %v, want %v within %v", what, got, want, tol)
	}
}

// What leaves the room goes with the air or through the covering, and what the air
// takes is what it has gained at the outlet.
func TestBypassHeatCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := someRoof(t)
		s, err := b.Balance()
		if err != nil {
			t.Fatal(err)
		}
		scale := math.Max(1, s.UNone*math.Abs(b.RoomC-b.OutC))
		within(t, "room", s.RoomHeat, s.AirHeat+s.CoverHeat, 1e-12*scale)
		carried := 1.2 * 1006 * b.Flow / b.Area
		within(t, "outlet", carried*(s.OutletC-b.OutC), s.AirHeat, 1e-12*scale+1e-13*60*carried)
		// Each resistance passes the heat that its ends ask for.
		within(t, "inside surface", (b.RoomC-s.CeilingC)-s.RoomHeat*b.Inside, 0, 1e-11)
		within(t, "ceiling", (s.CeilingC-s.AirC)-s.RoomHeat*(b.Ceiling+fabric.RsiUp), 0, 1e-11)
		within(t, "covering", (s.DeckC-b.OutC)-s.CoverHeat*(b.Insulation+b.Others), 0, 1e-11)
		if s.U < s.UFull*(1-1e-12) || s.U > s.UNone*(1+1e-12) || s.Kept < 0 || s.Kept > 1 || s.ActsAs > b.Insulation*(1+1e-9)+1e-9 {
			t.Fatalf("%+v", s)
		}
		// Air that passes never saves more than air that is mixed throughout.
		p, m := b, b
		p.Mixed, m.Mixed = false, true
		sp, err1 := p.Balance()
		sm, err2 := m.Balance()
		if err1 != nil || err2 != nil || sp.Kept > sm.Kept+1e-12 {
			t.Fatalf("passing keeps %v, mixed %v", sp.Kept, sm.Kept)
		}
	})
}

// The limits are U-values that package fabric works out from layers: no air, and a
// void well ventilated with outdoor air.
func TestBypassLimits(t *testing.T) {
	const board, deck, foam = 0.0125, 0.018, 0.120
	layers := []fabric.Layer{{Thickness: board, Lambda: 0.21}, {R: 0.16}, {Thickness: deck, Lambda: 0.13}, {Thickness: foam, Lambda: 0.022}}
	u := func(list []fabric.Layer, rse float64) float64 {
		r, err := fabric.CombinedMethod(list, fabric.RsiUp, rse)
		if err != nil {
			t.Fatal(err)
		}
		return r.U
	}
	b := airflow.Bypassed{
		Area: 20, Inside: fabric.RsiUp, Ceiling: board / 0.21, Void: 0.16, Insulation: foam / 0.022, Others: deck/0.13 + fabric.Rse,
		RoomC: 20, OutC: -3,
	}
	for _, mixed := range []bool{true, false} {
		b.Mixed = mixed
		b.Flow = 0
		s := balance(t, b)
		vectortest.NearRel(t, "no air", s.U, u(layers, fabric.Rse), 1e-12)
		vectortest.NearRel(t, "acts as", s.ActsAs, b.Insulation, 1e-12)
		vectortest.Near(t, "coldest ceiling", s.ColdestC, s.CeilingC, 1e-12)
		for _, flow := range []float64{1e15, math.MaxFloat64} {
			b.Flow = flow
			s = balance(t, b)
			vectortest.NearRel(t, "much air", s.U, u(layers[:1], fabric.RsiUp), 1e-12)
			vectortest.Near(t, "outlet", s.OutletC, b.OutC, 1e-9)
			vectortest.Near(t, "deck", s.DeckC, b.OutC, 1e-9)
		}
		b.Flow = math.SmallestNonzeroFloat64
		vectortest.NearRel(t, "next to no air", balance(t, b).U, u(layers, fabric.Rse), 1e-12)
	}
}

// march follows the air through the void with the classical Runge-Kutta method, from
// the temperatures of room and outside and one resistance after the other, and
// integrates with Simpson's rule. It knows no exponential.
func march(b airflow.Bypassed, n int) (airC, outletC, roomHeat float64) {
	slope := func(t float64) float64 {
		up := (b.RoomC - t) / (b.Inside + b.Ceiling + 0.10)
		away := (t - b.OutC) / (b.Void - 0.10 + b.Insulation + b.Others)
		return (up - away) * b.Area / (1.2 * 1006 * b.Flow) // K for the whole path
	}
	t, h := b.OutC, 1/float64(n)
	for range n {
		k1 := slope(t)
		k2 := slope(t + h/2*k1)
		k3 := slope(t + h/2*k2)
		k4 := slope(t + h*k3)
		next := t + h/6*(k1+2*k2+2*k3+k4)
		// Midpoint by the cubic that fits both ends and both slopes.
		mid := (t+next)/2 + h/8*(k1-slope(next))
		airC += h / 6 * (t + 4*mid + next)
		t = next
	}
	return airC, t, (b.RoomC - airC) / (b.Inside + b.Ceiling + 0.10)
}

func TestBypassAgainstIntegration(t *testing.T) {
	for _, flow := range []float64{0.002, 0.01, 0.035, 0.2, 3} {
		b := airflow.Bypassed{Area: 12, Inside: 0.1, Ceiling: 0.06, Void: 0.16, Insulation: 4.5, Others: 0.2, Flow: flow, RoomC: 21, OutC: -4}
		s := balance(t, b)
		air, outlet, heat := march(b, 20000)
		vectortest.Near(t, "air", s.AirC, air, 1e-9)
		vectortest.Near(t, "outlet", s.OutletC, outlet, 1e-9)
		vectortest.NearRel(t, "heat from the room", s.RoomHeat, heat, 1e-10)
		// The share kept by its definition, with the heat marched.
		vectortest.Near(t, "kept", s.Kept, (s.UNone-heat/25)/(s.UNone-s.UFull), 1e-9)
	}
}

// More air never helps, and FlowAt finds back the flow.
func TestBypassFlowAt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := someRoof(t)
		b.Flow = b.Area * math.Exp(rapid.Float64Range(-11, 0).Draw(t, "log flow by area"))
		s, err := b.Balance()
		if err != nil {
			t.Fatal(err)
		}
		flow, err := b.FlowAt(s.U)
		if err != nil {
			t.Fatal(err)
		}
		// U has lost digits of the flow where hardly anything changes any more.
		slack := 1e-14 / math.Min(s.Kept, 1-s.Kept) * s.UNone / (s.UNone - s.UFull)
		within(t, "flow", flow, b.Flow, (1e-9+10*slack)*b.Flow)
		b.Flow *= 1.5
		more, err := b.Balance()
		if err != nil {
			t.Fatal(err)
		}
		if more.U < s.U {
			t.Fatalf("U %v with more air, %v before", more.U, s.U)
		}
	})
}

func TestBypassRefusesBadData(t *testing.T) {
	good := airflow.Bypassed{Area: 10, Inside: 0.1, Ceiling: 0.06, Void: 0.16, Insulation: 4, Others: 0.2, Flow: 0.01, RoomC: 20, OutC: 0}
	balance(t, good)
	for name, spoil := range map[string]func(*airflow.Bypassed){
		"area":       func(b *airflow.Bypassed) { b.Area = 0 },
		"inside":     func(b *airflow.Bypassed) { b.Inside = -0.1 },
		"ceiling":    func(b *airflow.Bypassed) { b.Ceiling = math.NaN() },
		"void":       func(b *airflow.Bypassed) { b.Void = 0.09 },
		"insulation": func(b *airflow.Bypassed) { b.Insulation = math.Inf(1) },
		"others":     func(b *airflow.Bypassed) { b.Others = 0 },
		"flow":       func(b *airflow.Bypassed) { b.Flow = -1 },
		"room":       func(b *airflow.Bypassed) { b.RoomC = 61 },
		"out":        func(b *airflow.Bypassed) { b.OutC = -61 },
	} {
		b := good
		spoil(&b)
		if _, err := b.Balance(); err == nil {
			t.Errorf("%s: no error", name)
		}
		if _, err := b.FlowAt(1); err == nil {
			t.Errorf("%s: no error from the inverse", name)
		}
		if _, err := b.HalfFlow(); err == nil {
			t.Errorf("%s: no error from half the flow", name)
		}
	}
	s := balance(t, good)
	for _, u := range []float64{s.UFull, s.UNone, 0, math.NaN()} {
		if flow, err := good.FlowAt(u); err == nil {
			t.Errorf("a flow of %v for U %v", flow, u)
		}
	}
}
