package transport_test

import (
	"math"
	"testing"

	"underlap/physics/internal/vectortest"
	"underlap/physics/transport"
)

// stiff is the reference of general-purpose solvers, written by testdata/stiff/solve.py.
type stiff struct {
	StartC      float64 `toml:"start_c"`
	StartRH     float64 `toml:"start_rh"`
	Hours       int
	Air         [][]float64
	Water       []float64
	Temperature []float64
	Solver      []struct {
		Method           string
		RTol             float64
		WaterError       float64 `toml:"water_error"`
		TemperatureError float64 `toml:"temperature_error"`
		Seconds          float64
		Evaluations      int
	}
}

func (s *stiff) run(t testing.TB, acc transport.Accuracy) *transport.Run {
	t.Helper()
	roof, err := transport.NewRoof([]transport.Part{
		transport.Film(0, 0.1), transport.Body(board, 0.0125, 4), transport.Body(wool, 0.150, 12), transport.Body(osb, 0.018, 8), transport.Film(0.035, 400),
	}, 0.10, dark)
	if err != nil {
		t.Fatal(err)
	}
	run, err := transport.NewRun(roof, transport.Start{TempC: s.StartC, RH: s.StartRH}, acc)
	if err != nil {
		t.Fatal(err)
	}
	at := func(i int) transport.Air {
		a := s.Air[i]
		return transport.Air{RoomC: a[0], RoomPa: a[1], OutC: a[2], OutPa: a[3], SunWM2: a[4], SkyWM2: a[5], OutsideH: a[6]}
	}
	for h := range s.Hours {
		if err := run.Advance(3600, at(h), at(h+1)); err != nil {
			t.Fatal(err)
		}
	}
	return run
}

func (s *stiff) errors(run *transport.Run) (water, temp float64) {
	w, c := run.Contents()
	for i := range w {
		water = math.Max(water, math.Abs(w[i]-s.Water[i]))
		temp = math.Max(temp, math.Abs(c[i]-s.Temperature[i]))
	}
	return water, temp
}

func atTolerance(rtol float64) transport.Accuracy {
	return transport.Accuracy{Share: rtol, Water: 0.1 * rtol, TempK: 10 * rtol}
}

// The same equations by the general-purpose solvers of SciPy (Radau and BDF), written
// again in another language with the balance at the sheet solved exactly. With tighter
// steps the program must come to their answer, and at the usual accuracy stay near it.
func TestAgainstGeneralPurposeSolvers(t *testing.T) {
	var v stiff
	vectortest.Load(t, "transport_stiff.toml", &v)
	for _, c := range []struct {
		acc         transport.Accuracy
		water, temp float64
	}{
		{transport.Usual(), 0.3, 0.3},
		{atTolerance(1e-2), 0.005, 0.02},
		{atTolerance(1e-3), 5e-4, 0.002},
		{atTolerance(1e-4), 5e-5, 2e-4},
	} {
		run := v.run(t, c.acc)
		water, temp := v.errors(run)
		t.Logf("share %g: water off by %.2e kg/m3, temperature by %.2e K, %d steps", c.acc.Share, water, temp, run.Steps)
		if water > c.water || temp > c.temp {
			t.Errorf("share %g: water off by %g, temperature by %g; want %g and %g", c.acc.Share, water, temp, c.water, c.temp)
		}
	}
}

// BenchmarkStiffProblem is the three days of the reference at equal tolerance; the times
// and errors of the general-purpose solvers stand in the vector file.
func BenchmarkStiffProblem(b *testing.B) {
	var v stiff
	vectortest.Load(b, "transport_stiff.toml", &v)
	for _, c := range []struct {
		name string
		rtol float64
	}{{"1e-2", 1e-2}, {"1e-3", 1e-3}, {"1e-4", 1e-4}} {
		b.Run("rtol="+c.name, func(b *testing.B) {
			var run *transport.Run
			for b.Loop() {
				run = v.run(b, atTolerance(c.rtol))
			}
			water, temp := v.errors(run)
			b.ReportMetric(water*1e3, "g/m3-water-error")
			b.ReportMetric(temp*1e3, "mK-error")
			b.ReportMetric(float64(run.Steps), "steps")
		})
	}
}
