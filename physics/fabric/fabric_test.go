package fabric

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

// Independent references used here: a worked example and the air layer table of a
// building-physics textbook, a lecture-note example of moist conductivity, and
// numerical integration for tapered layers.

func uOf(t *testing.T, layers []Layer, rsi, rse float64) Result {
	t.Helper()
	r, err := CombinedMethod(layers, rsi, rse)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestCombinedMethod(t *testing.T) {
	var v struct {
		Tolerance struct {
			R        float64 `toml:"r_abs"`
			U        float64 `toml:"u_abs"`
			PrintedR float64 `toml:"printed_r_abs"`
			PrintedU float64 `toml:"printed_u_abs"`
		}
		Case []struct {
			ID       string
			Rsi      float64 `toml:"r_si"`
			Rse      float64 `toml:"r_se"`
			Fraction float64 `toml:"fraction_timber"`
			Upper    float64
			Lower    float64
			Total    float64 `toml:"r_total"`
			U        float64
			UpperP   float64 `toml:"upper_printed"`
			LowerP   float64 `toml:"lower_printed"`
			TotalP   float64 `toml:"r_total_printed"`
			UP       float64 `toml:"u_printed"`
		}
		Profile struct {
			ThetaI  float64 `toml:"theta_i"`
			ThetaE  float64 `toml:"theta_e"`
			R       []float64
			Printed []float64 `toml:"theta_printed"`
			Theta   []float64
			Tol     float64 `toml:"tolerance_abs"`
		} `toml:"temperature_profile"`
	}
	vectortest.Load(t, "iso6946_combined_method.toml", &v)
	// The layers the file describes in words.
	build := map[string][]Layer{
		"textbook": {
			{Thickness: 0.02, Lambda: 0.13},
			{Thickness: 0.18, Lambda: 0.04, Bridge: &Bridge{Lambda: 0.13}},
			{Thickness: 0.02, Lambda: 0.13},
		},
		"UK guidance style timber-frame wall (inputs from memory)": {
			{Thickness: 0.102, Lambda: 0.77},
			{R: 0.18},
			{Thickness: 0.01, Lambda: 0.13},
			{Thickness: 0.14, Lambda: 0.04, Bridge: &Bridge{Lambda: 0.13}},
			{Thickness: 0.0125, Lambda: 0.25},
		},
		"cold-deck flat roof 47 mm joists at 400 mm": {
			{Thickness: 0.0125, Lambda: 0.21},
			{Thickness: 0.15, Lambda: 0.04, Bridge: &Bridge{Lambda: 0.13}},
			{Thickness: 0.018, Lambda: 0.13},
			{Thickness: 0.008, Lambda: 0.23},
		},
	}
	if len(v.Case) != len(build) {
		t.Fatalf("%d cases in the file, %d known here", len(v.Case), len(build))
	}
	for _, c := range v.Case {
		layers := build[c.ID]
		for i := range layers {
			if layers[i].Bridge != nil {
				layers[i].Bridge.Fraction = c.Fraction
			}
		}
		r := uOf(t, layers, c.Rsi, c.Rse)
		vectortest.Near(t, c.ID+" upper", r.Upper, c.Upper, v.Tolerance.R)
		vectortest.Near(t, c.ID+" lower", r.Lower, c.Lower, v.Tolerance.R)
		vectortest.Near(t, c.ID+" total", r.Total, c.Total, v.Tolerance.R)
		vectortest.Near(t, c.ID+" U", r.U, c.U, v.Tolerance.U)
		if c.UP != 0 {
			vectortest.Near(t, c.ID+" printed upper", r.Upper, c.UpperP, v.Tolerance.PrintedR)
			vectortest.Near(t, c.ID+" printed lower", r.Lower, c.LowerP, v.Tolerance.PrintedR)
			vectortest.Near(t, c.ID+" printed total", r.Total, c.TotalP, v.Tolerance.PrintedR)
			vectortest.Near(t, c.ID+" printed U", r.U, c.UP, v.Tolerance.PrintedU)
		}
	}
	p := v.Profile
	theta, err := Temperatures(p.R, p.ThetaI, p.ThetaE)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Theta) == 0 {
		t.Fatal("no temperature profile in the vector file")
	}
	for i := range p.Theta {
		vectortest.Near(t, "theta", theta[i+1], p.Theta[i], 1e-4)
		vectortest.Near(t, "theta printed", theta[i+1], p.Printed[i], p.Tol)
	}
}

func TestAirLayers(t *testing.T) {
	var v struct {
		Tolerance struct {
			Table   float64 `toml:"table_abs"`
			Formula float64 `toml:"formula_abs"`
		}
		Layer []struct {
			D          float64 `toml:"d_mm"`
			TableUp    float64 `toml:"table_up"`
			TableHor   float64 `toml:"table_horizontal"`
			TableDown  float64 `toml:"table_down"`
			Up         float64 `toml:"formula_up"`
			Horizontal float64 `toml:"formula_horizontal"`
			Down       float64 `toml:"formula_down"`
			LowE005    float64 `toml:"low_e_005_up"`
			LowE02     float64 `toml:"low_e_02_up"`
		}
		Radiative struct {
			T       []float64
			H       []float64 `toml:"h_r0"`
			Printed []float64 `toml:"h_r0_printed"`
			Tol     float64   `toml:"tolerance_abs"`
		}
		Divided struct {
			D, B, R float64
		} `toml:"divided_airspace"`
		Slight struct {
			Av  float64 `toml:"a_v"`
			Rtu float64 `toml:"r_tu"`
			Rtv float64 `toml:"r_tv"`
			Rt  float64 `toml:"r_t"`
		} `toml:"slightly_ventilated"`
	}
	vectortest.Load(t, "iso6946_air_layers.toml", &v)
	if len(v.Layer) == 0 {
		t.Fatal("no layers in the vector file")
	}
	resistance := func(d float64, dir Direction, e float64) float64 {
		r, err := AirLayer{d / 1000, dir, 0.9, e, 10, 5}.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, l := range v.Layer {
		for _, c := range []struct {
			dir            Direction
			formula, table float64
		}{{Up, l.Up, l.TableUp}, {Horizontal, l.Horizontal, l.TableHor}, {Down, l.Down, l.TableDown}} {
			r := resistance(l.D, c.dir, 0.9)
			vectortest.Near(t, "formula", r, c.formula, v.Tolerance.Formula)
			vectortest.Near(t, "table", r, c.table, v.Tolerance.Table)
		}
		vectortest.Near(t, "one face 0.05", resistance(l.D, Up, 0.05), l.LowE005, v.Tolerance.Formula)
		vectortest.Near(t, "one face 0.2", resistance(l.D, Up, 0.2), l.LowE02, v.Tolerance.Formula)
	}
	for i, tC := range v.Radiative.T {
		vectortest.Near(t, "radiative", RadiativeCoefficient(tC), v.Radiative.H[i], 1e-6)
		vectortest.Near(t, "radiative printed", RadiativeCoefficient(tC), v.Radiative.Printed[i], v.Radiative.Tol)
	}
	got, err := AirLayer{v.Divided.D, Up, 0.9, 0.9, 10, 5}.DividedResistance(v.Divided.B)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.Near(t, "divided", got, v.Divided.R, v.Tolerance.Formula)
	s := v.Slight
	got, err = SlightlyVentilated(s.Av/1e6, s.Rtu, s.Rtv)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.Near(t, "slightly ventilated", got, s.Rt, 1e-9)
}

// ISO 6946 gives other coefficients above 5 K (from memory of it). They are close
// to the fixed ones at 5 K.
func TestAirLayerAbove5KJoinsOn(t *testing.T) {
	for _, dir := range []Direction{Up, Horizontal, Down} {
		a, err := AirLayer{0.1, dir, 0.9, 0.9, 10, 5}.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		b, err := AirLayer{0.1, dir, 0.9, 0.9, 10, 5.0001}.Resistance()
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, "at 5 K", a, b, 0.002)
	}
}

func TestCorrections(t *testing.T) {
	var v struct {
		Tolerance struct {
			Du float64 `toml:"du_abs"`
		}
		Air struct {
			R1    float64 `toml:"r1"`
			RT    float64 `toml:"r_total"`
			Level []int
			Du    []float64 `toml:"du_g"`
		} `toml:"air_gap"`
		Fastener struct {
			Diameter float64   `toml:"diameter_mm"`
			N        float64   `toml:"n_f"`
			D0       float64   `toml:"d0"`
			R1       float64   `toml:"r1"`
			RT       float64   `toml:"r_total"`
			Lambda   []float64 `toml:"lambda_f"`
			Through  []float64
			Recessed []float64 `toml:"recessed_d1_070"`
		}
		Inverted struct {
			P     float64
			R1    float64 `toml:"r1"`
			RT    float64 `toml:"r_total"`
			Fx    []float64
			Du    []float64 `toml:"du_r"`
			Limit float64   `toml:"limit_as_r1_grows_fx004"`
		} `toml:"inverted_roof"`
		DIN struct {
			Du []float64
		} `toml:"din4108_2_inverted"`
	}
	vectortest.Load(t, "iso6946_corrections.toml", &v)
	near := func(what string, got float64, err error, want float64) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, what, got, want, v.Tolerance.Du)
	}
	for i, level := range v.Air.Level {
		got, err := AirGapCorrection(level, v.Air.R1, v.Air.RT)
		near("air gap", got, err, v.Air.Du[i])
	}
	f := v.Fastener
	area := math.Pi / 4 * f.Diameter * f.Diameter * 1e-6
	for i, lambda := range f.Lambda {
		fix := Fasteners{lambda, area, f.N, f.D0, f.D0, false}
		got, err := FastenerCorrection(fix, f.R1, f.RT)
		near("fasteners through", got, err, f.Through[i])
		fix.Depth = 0.07
		got, err = FastenerCorrection(fix, f.R1, f.RT)
		near("fasteners recessed", got, err, f.Recessed[i])
	}
	got, err := FastenerCorrection(Fasteners{0.3, area, 5, 0.12, 0.12, false}, 3.5, 4)
	near("plastic fixings", got, err, 0)
	for i, fx := range v.Inverted.Fx {
		got, err := InvertedCorrection(v.Inverted.P, fx, v.Inverted.R1, v.Inverted.RT)
		near("inverted", got, err, v.Inverted.Du[i])
	}
	got, err = InvertedCorrection(v.Inverted.P, 0.04, 1e9, 1e9+0.5)
	near("inverted, thick", got, err, v.Inverted.Limit)
	got, err = InvertedCorrection(0.2, 0.04, 3.5, 4)
	near("inverted, below 0.01", got, err, 0)
	for i, share := range []float64{0.05, 0.3, 0.6} {
		got, err := InvertedCorrectionDIN(share)
		near("inverted by DIN", got, err, v.DIN.Du[i])
	}
	got, err = Corrected(0.2, 0.004, 0.001)
	near("below 3 %", got, err, 0.2)
	got, err = Corrected(0.2, 0.004, 0.003)
	near("above 3 %", got, err, 0.207)
}

func TestTapered(t *testing.T) {
	var v struct {
		Tolerance struct {
			U float64 `toml:"u_rel"`
		}
		Case []struct {
			R0        float64 `toml:"r0"`
			R1        float64 `toml:"r1"`
			R2        float64 `toml:"r2"`
			Rectangle float64
			Thick     float64 `toml:"thick_at_apex"`
			Thin      float64 `toml:"thin_at_apex"`
			Three     float64 `toml:"three_thicknesses"`
		}
	}
	vectortest.Load(t, "iso6946_tapered.toml", &v)
	if len(v.Case) == 0 {
		t.Fatal("no cases in the vector file")
	}
	near := func(what string, got float64, err error, want float64) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		// Printed to 8 decimals: below 0.4 that is one part in 1e8 by rounding alone.
		vectortest.Near(t, what, got, want, v.Tolerance.U*math.Max(want, 0.6))
	}
	for _, c := range v.Case {
		got, err := TaperedRectangle(c.R0, c.R2)
		near("rectangle", got, err, c.Rectangle)
		got, err = TaperedThickApex(c.R0, c.R2)
		near("thick apex", got, err, c.Thick)
		got, err = TaperedThinApex(c.R0, c.R2)
		near("thin apex", got, err, c.Thin)
		got, err = TaperedTriangle(c.R0, c.R1, c.R2)
		near("three", got, err, c.Three)
		got, err = TaperedTriangle(c.R0, c.R2, c.R1)
		near("three, turned", got, err, c.Three)
	}
}

// byIntegration is the area mean of 1/R by the midpoint rule on strips of equal
// distance from one corner; the mean along a strip is exact but for its own limit.
func byIntegration(a, b, c float64) float64 {
	const n = 4000
	sum := 0.0
	for i := range n {
		s := (float64(i) + 0.5) / n
		u, w := a+s*(b-a), a+s*(c-a)
		mean := 1 / ((u + w) / 2)
		if d := math.Abs(w-u) / u; d > 1e-5 {
			mean = math.Log(w/u) / (w - u)
		}
		sum += 2 * s * mean / n
	}
	return sum
}

func TestTaperedAgainstIntegrationEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r0 := rapid.Float64Range(0.1, 5).Draw(t, "r0")
		small := rapid.SampledFrom([]float64{0, 1e-15, 1e-12, 1e-9, 1e-6, 1e-4, 1e-2, 0.05, 0.3, 1, 10})
		r1 := small.Draw(t, "r1") * rapid.Float64Range(0.5, 1).Draw(t, "f1")
		r2 := r1 + small.Draw(t, "more")
		got, err := TaperedTriangle(r0, r1, r2)
		if err != nil {
			t.Fatal(err)
		}
		want := byIntegration(r0, r0+r1, r0+r2)
		if !(math.Abs(got-want) <= 2e-6*want) {
			t.Fatalf("got %v, by integration %v", got, want)
		}
		if got > (1+1e-12)/r0 || got < (1-1e-12)/(r0+r2) {
			t.Fatalf("%v is outside the bounds of the thinnest and thickest point", got)
		}
	})
}

func TestTaperedLimitsJoinSmoothly(t *testing.T) {
	// Either side of the change of method the answer may move only as the input does.
	for _, f := range []func(float64, float64) (float64, error){TaperedRectangle, TaperedThickApex, TaperedThinApex} {
		for _, x := range []float64{0.05, 0.01} {
			a, err := f(1, x*(1-1e-9))
			if err != nil {
				t.Fatal(err)
			}
			b, err := f(1, x*(1+1e-9))
			if err != nil {
				t.Fatal(err)
			}
			vectortest.Near(t, "join", a, b, 3e-9*x)
		}
		flat, err := f(2, 0)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, "no taper", flat, 0.5, 1e-15)
	}
	// Two corners alike must give the two-parameter shapes.
	a, _ := TaperedTriangle(1, 2, 2)
	b, _ := TaperedThinApex(1, 2)
	vectortest.Near(t, "R1 = R2", a, b, 1e-13)
	a, _ = TaperedTriangle(1, 0, 2)
	b, _ = TaperedThickApex(1, 2)
	vectortest.Near(t, "R1 = 0", a, b, 1e-13)
}

func TestMoistureConversion(t *testing.T) {
	var v struct {
		Example struct {
			U       float64 `toml:"u_kg_m2"`
			D       float64
			Lambda1 float64 `toml:"lambda_1"`
			F       float64 `toml:"f_psi"`
			Psi     float64 `toml:"psi_expected"`
			Rounded float64 `toml:"lambda_expected_rounded"`
			Lambda2 float64 `toml:"lambda_2"`
			DeltaR  float64 `toml:"delta_r"`
		}
		Material []struct {
			Material string
			F        float64   `toml:"f_psi"`
			Factor   []float64 `toml:"factor_at_1_2_5_10_vol_percent"`
		}
	}
	vectortest.Load(t, "iso10456_moisture_conversion.toml", &v)
	e := v.Example
	psi, err := VolumeMoisture(e.U, e.D)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.Near(t, "psi", psi, e.Psi, 1e-12)
	l2, err := MoistLambda(e.Lambda1, e.F, 0, psi)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.Near(t, "lambda", l2, e.Lambda2, 1e-8)
	vectortest.Near(t, "lambda printed", l2, e.Rounded, 0.0005)
	vectortest.Near(t, "loss of R", e.D/e.Lambda1-e.D/l2, e.DeltaR, 1e-7)
	ids := map[string]string{"EPS": "eps", "XPS": "xps", "PUR": "pir-foil", "mineral wool": "mineral-wool-quilt", "phenolic": "phenolic"}
	for _, m := range v.Material {
		f := m.F
		if id, ok := ids[m.Material]; ok {
			entry, err := FindMaterial(id)
			if err != nil {
				t.Fatal(err)
			}
			f = entry.FPsi
		}
		for i, psi := range []float64{0.01, 0.02, 0.05, 0.10} {
			got, err := MoistLambda(1, f, 0, psi)
			if err != nil {
				t.Fatal(err)
			}
			vectortest.Near(t, m.Material, got, m.Factor[i], 1e-7)
		}
	}
}

func TestSolAir(t *testing.T) {
	var v struct {
		Linear struct {
			Alpha float64
			Eps   float64
			Ho    float64   `toml:"h_o"`
			DR    float64   `toml:"d_r"`
			To    []float64 `toml:"t_o"`
			I     []float64
			Te    []float64 `toml:"t_e"`
		}
		Night []struct {
			Air    float64 `toml:"t_air"`
			Eps    float64
			Hc     float64 `toml:"h_c"`
			U      float64 `toml:"u_to_room"`
			Room   float64 `toml:"t_room"`
			EpsSky float64 `toml:"eps_sky"`
			Ts     float64 `toml:"t_surface"`
		} `toml:"clear_night_balance"`
		Tolerance struct{ Abs float64 }
	}
	vectortest.Load(t, "sol_air.toml", &v)
	l := v.Linear
	for i := range l.To {
		deficit := l.DR
		got, err := SolAir(l.To[i], l.Alpha, l.I[i], l.Ho, l.Eps, deficit)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, "sol-air", got, l.Te[i], v.Tolerance.Abs)
	}
	if len(v.Night) == 0 {
		t.Fatal("no night cases in the vector file")
	}
	for _, n := range v.Night {
		got, err := NightRoof{n.Air, n.Room, n.U, n.Hc, n.Eps, n.EpsSky}.SurfaceTemperature()
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, "clear night", got, n.Ts, v.Tolerance.Abs)
	}
}

func TestTradeInsulation(t *testing.T) {
	var v struct {
		Others       float64
		Plasterboard float64 `toml:"plasterboard_r"`
		Fraction     float64 `toml:"fraction_timber"`
		Timber       float64 `toml:"lambda_timber"`
		Tolerance    struct{ MM, U float64 }
		Thickness    []struct {
			Lambda float64 `toml:"lambda_"`
			U, MM  []float64
		}
		Between []struct {
			Lambda  float64 `toml:"lambda_"`
			Between float64 `toml:"between_mm"`
			Under   float64 `toml:"under_mm"`
			U       float64
		} `toml:"between_joists"`
	}
	vectortest.Load(t, "trade_insulation.toml", &v)
	if len(v.Thickness) == 0 || len(v.Between) == 0 {
		t.Fatal("no cases in the vector file")
	}
	for _, c := range v.Thickness {
		for i, u := range c.U {
			d, err := ThicknessForU(u, c.Lambda, v.Others)
			if err != nil {
				t.Fatal(err)
			}
			vectortest.Near(t, "thickness in mm", 1000*d, c.MM[i], v.Tolerance.MM)
		}
	}
	for _, c := range v.Between {
		layers := []Layer{
			{R: v.Plasterboard},
			{Thickness: c.Under / 1000, Lambda: c.Lambda},
			{Thickness: c.Between / 1000, Lambda: c.Lambda, Bridge: &Bridge{Fraction: v.Fraction, Lambda: v.Timber}},
		}
		vectortest.Near(t, "U between joists", uOf(t, layers, RsiUp, RsiUp).U, c.U, v.Tolerance.U)
	}
}

func TestUBetweenTheBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		layers := make([]Layer, n)
		for i := range layers {
			layers[i] = Layer{Thickness: rapid.Float64Range(0.001, 0.3).Draw(t, "d"), Lambda: rapid.Float64Range(0.02, 2).Draw(t, "lambda")}
			if rapid.Bool().Draw(t, "bridged") {
				layers[i].Bridge = &Bridge{Fraction: 0.1, Lambda: rapid.Float64Range(0.1, 2).Draw(t, "timber")}
				if rapid.Bool().Draw(t, "same member") {
					layers[i].Bridge.Member = "joist"
				}
			}
		}
		r, err := CombinedMethod(layers, RsiUp, Rse)
		if err != nil {
			t.Fatal(err)
		}
		if r.Upper < r.Lower*(1-1e-12) {
			t.Fatalf("upper limit %v below lower limit %v", r.Upper, r.Lower)
		}
		if r.U > 1/r.Lower*(1+1e-12) || r.U < 1/r.Upper*(1-1e-12) {
			t.Fatalf("U %v outside %v to %v", r.U, 1/r.Upper, 1/r.Lower)
		}
	})
}

// One joist through two layers is one path, not two: the two layers must give
// what one layer of their sum gives for the upper limit.
func TestOneMemberThroughTwoLayers(t *testing.T) {
	joist := func(d float64) Layer {
		return Layer{Thickness: d, Lambda: 0.04, Bridge: &Bridge{0.12, 0.13, "joist"}}
	}
	one := uOf(t, []Layer{joist(0.15)}, RsiUp, Rse)
	two := uOf(t, []Layer{joist(0.1), joist(0.05)}, RsiUp, Rse)
	vectortest.Near(t, "upper", two.Upper, one.Upper, 1e-12)
	vectortest.Near(t, "lower", two.Lower, one.Lower, 1e-12)
}

func TestBadDataIsRefused(t *testing.T) {
	nan := math.NaN()
	u := func(layers ...Layer) error { _, err := CombinedMethod(layers, RsiUp, Rse); return err }
	bridged := func(b Bridge) Layer { return Layer{Thickness: 0.1, Lambda: 0.04, Bridge: &b} }
	nine := make([]Layer, 9)
	for i := range nine {
		nine[i] = bridged(Bridge{Fraction: 0.1, Lambda: 0.13})
	}
	errs := map[string]error{
		"no layers":          u(),
		"negative thickness": u(Layer{Thickness: -0.1, Lambda: 0.04}),
		"NaN lambda":         u(Layer{Thickness: 0.1, Lambda: nan}),
		"no lambda":          u(Layer{Thickness: 0.1}),
		"fraction over 1":    u(bridged(Bridge{Fraction: 1.5, Lambda: 0.13})),
		"bridge of nothing":  u(bridged(Bridge{Fraction: 0.1})),
		"bridge, no depth":   u(Layer{R: 1, Bridge: &Bridge{Fraction: 0.1, Lambda: 0.13}}),
		"two shares":         u(bridged(Bridge{0.1, 0.13, "joist"}), bridged(Bridge{0.2, 0.13, "joist"})),
		"nine members":       u(nine...),
	}
	_, errs["no resistance"] = CombinedMethod([]Layer{{FixedR: true}}, 0, 0)
	_, errs["negative surface"] = CombinedMethod([]Layer{{R: 1}}, -1, 0)
	_, errs["no mu"] = Layer{Thickness: 0.1}.VapourResistance()
	_, errs["profile of nothing"] = Temperatures([]float64{0}, 20, 0)
	_, errs["profile NaN"] = Temperatures([]float64{1}, nan, 0)
	_, errs["air layer too thick"] = AirLayer{0.5, Up, 0.9, 0.9, 10, 5}.Resistance()
	_, errs["air layer, no emissivity"] = AirLayer{0.05, Up, 0, 0.9, 10, 5}.Resistance()
	_, errs["air layer, direction"] = AirLayer{0.05, 7, 0.9, 0.9, 10, 5}.Resistance()
	_, errs["divided, no width"] = AirLayer{0.05, Up, 0.9, 0.9, 10, 5}.DividedResistance(0)
	_, errs["slightly ventilated"] = SlightlyVentilated(nan, 1, 1)
	_, errs["air gap level"] = AirGapCorrection(3, 1, 2)
	_, errs["air gap share"] = AirGapCorrection(1, 3, 2)
	_, errs["metal to metal"] = FastenerCorrection(Fasteners{50, 1e-5, 5, 0.1, 0.1, true}, 1, 2)
	_, errs["fixing too deep"] = FastenerCorrection(Fasteners{50, 1e-5, 5, 0.1, 0.2, false}, 1, 2)
	_, errs["inverted rain"] = InvertedCorrection(-1, 0.04, 1, 2)
	_, errs["inverted share"] = InvertedCorrectionDIN(2)
	_, errs["corrected"] = Corrected(0, 0.1)
	_, errs["negative correction"] = Corrected(0.2, -0.1)
	_, errs["thickness"] = ThicknessForU(0, 0.022, 0.44)
	_, errs["taper"] = TaperedRectangle(0, 1)
	_, errs["negative taper"] = TaperedTriangle(1, -1, 1)
	_, errs["NaN taper"] = TaperedThinApex(1, nan)
	_, errs["moist"] = MoistLambda(0.04, 4, 0, -1)
	_, errs["volume"] = VolumeMoisture(1, 0)
	_, errs["no parts"] = TaperedRoof(nil)
	_, errs["part of no area"] = TaperedRoof([]TaperedPart{{R0: 1}})
	_, errs["part of no shape"] = TaperedRoof([]TaperedPart{{Shape: 9, Area: 1, R0: 1}})
	_, errs["R1 on a rectangle"] = TaperedRoof([]TaperedPart{{Area: 1, R0: 1, R1: 1, R2: 2}})
	_, errs["corrections of nothing"] = Corrections{}.Apply(0)
	_, errs["corrections, gap level"] = Corrections{GapLevel: 3}.Apply(2)
	_, errs["corrections, metal to metal"] = Corrections{Fasteners: &Fasteners{50, 1e-5, 5, 0.1, 0.1, true}}.Apply(2)
	_, errs["corrections, inverted"] = Corrections{Inverted: &Inverted{Rain: -1}}.Apply(2)
	_, errs["ventilated, nothing inside"] = VentilatedTotal([]Layer{{R: 0.16}, {R: 1}}, 0, 0.002, RsiUp, Rse)
	_, errs["ventilated, no such layer"] = VentilatedTotal([]Layer{{R: 0.16}, {R: 1}}, 2, 0.002, RsiUp, Rse)
	_, errs["sol-air"] = SolAir(20, 0.9, 100, 0, 0.9, 63)
	_, errs["night"] = NightRoof{0, 20, 0, 0, 0, 0.75}.SurfaceTemperature()
	for name, err := range errs {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
