package transport_test

import (
	"math"
	"testing"

	"underlap/physics/internal/vectortest"
	"underlap/physics/transport"
)

// benchmarkWall is the material of EN 15026 Annex A. Its storage is a function of
// suction alone, so relative humidity at one water content moves with temperature.
type benchmarkWall struct{}

const (
	wallFull  = 146.0
	wallScale = 8e-8
	wallN     = 1.6
	wallM     = 0.375
	rhoRv     = 1000 * 461.5
)

func (benchmarkWall) suction(w float64) (ps, slope float64) {
	u := math.Pow(wallFull/w, 1/wallM) // 1 + (a ps)^n
	v := math.Max(u-1, 1e-12)
	ps = math.Pow(v, 1/wallN) / wallScale
	// dps/dw = ps/n 1/v du/dw, du/dw = -u/(m w)
	return ps, -ps / wallN / v * u / (wallM * w)
}

func (b benchmarkWall) At(w, tC float64) transport.Point {
	t := tC + 273.15
	ps, slope := b.suction(math.Min(w, wallFull*(1-1e-9)))
	rh := math.Exp(-ps / (rhoRv * t))
	z := w - 73
	k := math.Exp(-39.2619 + 0.0704*z - 1.7420e-4*z*z - 2.7953e-6*z*z*z - 1.1566e-7*z*z*z*z + 2.5969e-9*z*z*z*z*z)
	x := 1 - w/wallFull
	return transport.Point{
		RH: rh, RHByWater: -rh * slope / (rhoRv * t), RHByTemp: rh * ps / (rhoRv * t * t),
		Psi: -ps, PsiByWater: -slope, Liquid: k,
		Permeability: 0.018 / (8.314 * t) * 26.1e-6 / 200 * x / (0.503*x*x + 0.497),
		Lambda:       1.5 + 0.0158*w,
	}
}

func (benchmarkWall) WaterAt(rh, tC float64) float64 {
	ps := -rhoRv * (tC + 273.15) * math.Log(rh)
	return wallFull / math.Pow(1+math.Pow(wallScale*ps, wallN), wallM)
}

type semiInfinite struct {
	Conditions struct {
		TInitial  float64 `toml:"t_initial"`
		RHInitial float64 `toml:"rh_initial"`
		TSurface  float64 `toml:"t_surface"`
		RHSurface float64 `toml:"rh_surface"`
		WInitial  float64 `toml:"w_initial"`
		WSurface  float64 `toml:"w_surface"`
	}
	Uptake struct {
		KgM2 []float64 `toml:"kg_m2_at_7_30_365_days"`
	}
	Tolerance struct {
		WRel float64 `toml:"w_rel_of_range"`
		TAbs float64 `toml:"t_abs"`
	}
	Profile []struct {
		Days float64
		XW   []float64 `toml:"x_w"`
		W    []float64
		XT   []float64 `toml:"x_t"`
		T    []float64
	}
}

// at reads a profile off cell values by straight lines.
func at(x float64, centres, values []float64) float64 {
	for i := 1; i < len(centres); i++ {
		if x <= centres[i] {
			f := (x - centres[i-1]) / (centres[i] - centres[i-1])
			return values[i-1] + f*(values[i]-values[i-1])
		}
	}
	return values[len(values)-1]
}

// Uptake of a semi-infinite wall: the problem of EN 15026 Annex A, against its
// similarity solution in x/sqrt t. That solution was worked out independently of this
// program (self-made: boundary value problem and a separate transient run agree); the
// tables printed in the standard were not to be had.
func TestSemiInfiniteWall(t *testing.T) {
	var v semiInfinite
	vectortest.Load(t, "en15026_semi_infinite.toml", &v)
	wall := transport.Material{Name: "benchmark wall", HeatCapacity: 1.824e6, Curves: benchmarkWall{}}
	roof, err := transport.NewRoof([]transport.Part{{Material: &wall, Thickness: 20, Cells: 340, Stretch: 2e6}}, 0, transport.Outside{})
	if err != nil {
		t.Fatal(err)
	}
	c := v.Conditions
	vectortest.NearRel(t, "water at the start", benchmarkWall{}.WaterAt(c.RHInitial, c.TInitial), c.WInitial, 1e-6)
	run, err := transport.NewRun(roof, transport.Start{TempC: c.TInitial, RH: c.RHInitial}, transport.Accuracy{Share: 0.002, Water: 0.02, TempK: 0.02, MaxStep: 86400, FirstStep: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	sat := func(tC float64) float64 { return 610.5 * math.Exp(17.269*tC/(237.3+tC)) }
	air := transport.Air{
		RoomC: c.TSurface, RoomPa: c.RHSurface * sat(c.TSurface),
		OutC: c.TInitial, OutPa: c.RHInitial * sat(c.TInitial),
	}
	day := 0.0
	for i, p := range v.Profile {
		if err := run.Advance((p.Days-day)*86400, air, air); err != nil {
			t.Fatal(err)
		}
		day = p.Days
		water, temp := run.Contents()
		x := roof.Centres()
		for k, xw := range p.XW {
			if xw == 0 {
				continue // the surface itself is given
			}
			vectortest.Near(t, "water", at(xw, x, water), p.W[k], v.Tolerance.WRel*(c.WSurface-c.WInitial))
		}
		for k, xt := range p.XT {
			if xt > 0 {
				vectortest.Near(t, "temperature", at(xt, x, temp), p.T[k], v.Tolerance.TAbs)
			}
		}
		b := run.Balance()
		vectortest.NearRel(t, "uptake", b.WaterIn-b.WaterOut, v.Uptake.KgM2[i], 0.01)
		vectortest.Near(t, "water balance", b.WaterHeld-(b.WaterIn-b.WaterOut), 0, 1e-10)
		vectortest.Near(t, "heat balance", (b.HeatHeld-(b.HeatIn-b.HeatOut))/(1+math.Abs(b.HeatHeld)), 0, 1e-9)
		t.Logf("%v days: uptake %.4f, steps %d, rejected %d", p.Days, b.WaterIn-b.WaterOut, run.Steps, run.Rejected)
	}
}
