package transport_test

import (
	"math"
	"math/cmplx"
	"testing"

	"underlap/physics/internal/vectortest"
	"underlap/physics/transport"
)

// dryBody conducts heat and next to no water.
func dryBody(lambda, volumeHeat float64) transport.Material {
	return transport.Material{Name: "dry body", HeatCapacity: volumeHeat, Lambda: lambda, MuDry: 1e7, MuWet: 1e7, Water80: 1e-3, WaterFree: 1}
}

var fine = transport.Accuracy{Share: 0.01, Water: 1, TempK: 0.002, FirstStep: 1e-3, MaxStep: 86400}

type conduction struct {
	Step struct {
		Lambda   float64 `toml:"lambda_"`
		Rho, C   float64
		T0       float64
		TSurface float64 `toml:"t_surface"`
		X        []float64
		Hours    []float64
		T        [][]float64
		Flux     []float64 `toml:"surface_flux_1h_24h"`
	} `toml:"semi_infinite_step"`
	Convective struct {
		Lambda   float64 `toml:"lambda_"`
		Rho, C   float64
		H        float64
		T0       float64
		TAmbient float64 `toml:"t_ambient"`
		X        []float64
		Hours    []float64
		T        [][]float64
	} `toml:"semi_infinite_convective"`
	Depth []struct {
		Material  string
		Lambda    float64 `toml:"lambda_"`
		Rho, C    float64
		PeriodH   []float64 `toml:"period_h"`
		Depth     []float64
		Amplitude []float64 `toml:"amplitude_ratio_at_0_1_m"`
		LagH      []float64 `toml:"lag_h_at_0_1_m"`
	} `toml:"penetration_depth"`
	Matrix []struct {
		ID        string
		Rsi       float64     `toml:"r_si"`
		Rse       float64     `toml:"r_se"`
		Layers    [][]float64 `toml:"layers_inside_to_outside"`
		U         float64
		Y12       float64
		Y12LeadH  float64 `toml:"y12_lead_h"`
		Y22       float64
		Y22LeadH  float64 `toml:"y22_lead_h"`
		Y11       float64
		Y11LeadH  float64 `toml:"y11_lead_h"`
		Decrement float64
		TolRel    float64 `toml:"tolerance_rel"`
	} `toml:"iso13786"`
}

// profileAt reads a profile by a parabola through three cells, so that the reading adds
// no error of its own.
func profileAt(x float64, c, v []float64) float64 {
	k := 1
	for k < len(c)-2 && c[k+1] < x {
		k++
	}
	a, b, d := k-1, k, k+1
	return v[a]*(x-c[b])*(x-c[d])/((c[a]-c[b])*(c[a]-c[d])) +
		v[b]*(x-c[a])*(x-c[d])/((c[b]-c[a])*(c[b]-c[d])) +
		v[d]*(x-c[a])*(x-c[b])/((c[d]-c[a])*(c[d]-c[b]))
}

// A step of surface temperature on a thick wall: Carslaw and Jaeger, closed form with
// erfc, and the heat that has passed.
func TestStepOnThickWall(t *testing.T) {
	var v conduction
	vectortest.Load(t, "conduction_analytic.toml", &v)
	s := v.Step
	m := dryBody(s.Lambda, s.Rho*s.C)
	for name, c := range map[string]struct {
		rsi   float64
		x     []float64
		hours []float64
		want  [][]float64
	}{
		"held surface":    {0, s.X, s.Hours, s.T},
		"with convection": {1 / v.Convective.H, v.Convective.X, v.Convective.Hours, v.Convective.T},
	} {
		roof, err := transport.NewRoof([]transport.Part{{Material: &m, Thickness: 8, Cells: 600, Stretch: 300}}, c.rsi, transport.Outside{})
		if err != nil {
			t.Fatal(err)
		}
		run, err := transport.NewRun(roof, transport.Start{TempC: s.T0, RH: 0.5}, fine)
		if err != nil {
			t.Fatal(err)
		}
		air := transport.Air{RoomC: s.TSurface, RoomPa: 300, OutC: s.T0, OutPa: 1000}
		at, heat := 0.0, map[float64]float64{}
		for i, h := range c.hours {
			if err := run.Advance((h-at)*3600, air, air); err != nil {
				t.Fatal(err)
			}
			at = h
			heat[h] = run.Balance().HeatIn
			_, temp := run.Contents()
			for k, x := range c.x {
				if x == 0 {
					// The face itself: half a cell and a surface resistance further in.
					q := (temp[0] - s.TSurface) / (c.rsi + roof.Centres()[0]/s.Lambda)
					vectortest.Near(t, name+", face", s.TSurface+q*c.rsi, c.want[i][k], 0.002)
					continue
				}
				vectortest.Near(t, name, profileAt(x, roof.Centres(), temp), c.want[i][k], 0.003)
			}
		}
		if name == "held surface" {
			// The flux falls with the root of time, so the heat passed is twice the flux now
			// times the time.
			for i, h := range []float64{1, 24} {
				vectortest.NearRel(t, "flux at the face", -heat[h]/(2*h*3600), s.Flux[i], 0.003)
			}
		}
	}
}

// transferMatrix is the heat transfer matrix of ISO 13786 in its complex form, worked
// out here as an algorithm of another kind.
func transferMatrix(layers [][]float64, rsi, rse, period float64) [2][2]complex128 {
	z := [2][2]complex128{{1, complex(-rsi, 0)}, {0, 1}}
	mul := func(a, b [2][2]complex128) (c [2][2]complex128) {
		for i := range 2 {
			for j := range 2 {
				c[i][j] = a[i][0]*b[0][j] + a[i][1]*b[1][j]
			}
		}
		return c
	}
	for _, l := range layers {
		d, lambda, c := l[0], l[1], l[2]*l[3]
		g := cmplx.Sqrt(complex(0, 2*math.Pi/period*c/lambda)) * complex(d, 0)
		k := g * complex(lambda/d, 0)
		z = mul([2][2]complex128{{cmplx.Cosh(g), -cmplx.Sinh(g) / k}, {-cmplx.Sinh(g) * k, cmplx.Cosh(g)}}, z)
	}
	return mul([2][2]complex128{{1, complex(-rse, 0)}, {0, 1}}, z)
}

// A day's wave of outdoor temperature through four walls and roofs: the heat reaching
// the room and that taken up outside, against the matrices of ISO 13786 (method of the
// standard; values worked out by its complex and its printed form, which agree).
func TestDailyWave(t *testing.T) {
	var v conduction
	vectortest.Load(t, "conduction_analytic.toml", &v)
	const period = 86400.0
	for _, c := range v.Matrix {
		z := transferMatrix(c.Layers, c.Rsi, c.Rse, period)
		y12, y22 := -1/z[0][1], -z[1][1]/z[0][1]
		vectortest.NearRel(t, c.ID+": |Y12| of the matrix", cmplx.Abs(y12), c.Y12, c.TolRel)
		vectortest.NearRel(t, c.ID+": |Y22| of the matrix", cmplx.Abs(y22), c.Y22, c.TolRel)
		vectortest.NearRel(t, c.ID+": |Y11| of the matrix", cmplx.Abs(z[0][0]/z[0][1]), c.Y11, c.TolRel)
		var parts []transport.Part
		for _, l := range c.Layers {
			parts = append(parts, transport.Body(dryBody(l[1], l[2]*l[3]), l[0], 40))
		}
		roof, err := transport.NewRoof(append(parts, transport.Film(c.Rse, 0)), c.Rsi, transport.Outside{})
		if err != nil {
			t.Fatal(err)
		}
		acc := transport.Accuracy{Share: 1, Water: 1, TempK: 1, FirstStep: 120, Fixed: true}
		run, err := transport.NewRun(roof, transport.Start{TempC: 20, RH: 0.5}, acc)
		if err != nil {
			t.Fatal(err)
		}
		const days, amplitude = 12, 10.0
		var in, out complex128
		last := run.Balance()
		for i := range days * 720 {
			at := func(k int) transport.Air {
				return transport.Air{RoomC: 20, RoomPa: 1000, OutC: 20 + amplitude*math.Cos(2*math.Pi*float64(k)*120/period), OutPa: 1000}
			}
			if err := run.Advance(120, at(i), at(i+1)); err != nil {
				t.Fatal(err)
			}
			b := run.Balance()
			if i >= (days-1)*720 {
				// First harmonic of the flow in the last day.
				e := cmplx.Exp(complex(0, -2*math.Pi*(float64(i)+0.5)*120/period)) * complex(2/period, 0)
				in += e * complex(b.HeatIn-last.HeatIn, 0)
				out += e * complex(b.HeatOut-last.HeatOut, 0)
			}
			last = b
		}
		in, out = -in/amplitude, -out/amplitude // heat to the room; heat into the outer face
		vectortest.NearRel(t, c.ID+": heat to the room", cmplx.Abs(in), c.Y12, 0.004)
		vectortest.NearRel(t, c.ID+": heat into the outer face", cmplx.Abs(out), c.Y22, 0.004)
		lag := func(x complex128) float64 { return cmplx.Phase(x) * 24 / (2 * math.Pi) }
		vectortest.Near(t, c.ID+": lag, h", lag(in), c.Y12LeadH, 0.03)
		vectortest.Near(t, c.ID+": lead, h", lag(out), c.Y22LeadH, 0.03)
		vectortest.NearRel(t, c.ID+": decrement", cmplx.Abs(in)/c.U, c.Decrement, 0.004)
	}
}

// How far a day's and a year's wave goes into a thick body: amplitude and lag at 0.1 m,
// closed form exp(-x/depth). Where the wave has died away the lag says nothing.
func TestWaveInThickBody(t *testing.T) {
	var v conduction
	vectortest.Load(t, "conduction_analytic.toml", &v)
	for _, c := range v.Depth {
		m := dryBody(c.Lambda, c.Rho*c.C)
		for k, hours := range c.PeriodH {
			if c.Amplitude[k] < 0.01 {
				continue
			}
			period := hours * 3600
			depth := math.Sqrt(c.Lambda / (c.Rho * c.C) * period / math.Pi)
			roof, err := transport.NewRoof([]transport.Part{{Material: &m, Thickness: 10 * depth, Cells: 160, Stretch: 30}}, 0, transport.Outside{})
			if err != nil {
				t.Fatal(err)
			}
			step := period / 500
			run, err := transport.NewRun(roof, transport.Start{TempC: 10, RH: 0.5}, transport.Accuracy{Share: 1, Water: 1, TempK: 1, FirstStep: step, MaxStep: step, Fixed: true})
			if err != nil {
				t.Fatal(err)
			}
			var wave complex128
			const periods = 4
			for i := range periods * 500 {
				at := func(k int) transport.Air {
					return transport.Air{RoomC: 10 + 5*math.Cos(2*math.Pi*float64(k)/500), RoomPa: 600, OutC: 10, OutPa: 600}
				}
				if err := run.Advance(step, at(i), at(i+1)); err != nil {
					t.Fatal(err)
				}
				if i >= (periods-1)*500 {
					_, temp := run.Contents()
					wave += cmplx.Exp(complex(0, -2*math.Pi*float64(i+1)/500)) * complex(2*profileAt(0.1, roof.Centres(), temp)/500, 0)
				}
			}
			vectortest.NearRel(t, c.Material+": depth", depth, c.Depth[k], 1e-6)
			vectortest.NearRel(t, c.Material+": amplitude", cmplx.Abs(wave)/5, c.Amplitude[k], 0.005)
			vectortest.Near(t, c.Material+": lag, h", -cmplx.Phase(wave)*hours/(2*math.Pi), c.LagH[k], 0.002*hours)
		}
	}
}
