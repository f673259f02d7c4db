package transport_test

import (
	"math"
	"testing"

	"underlap/physics/internal/vectortest"
	"underlap/physics/moistair"
	"underlap/physics/transport"
)

// smooth is air that goes up and down in an hour-long study without corners.
func smooth(s float64) transport.Air {
	wave := math.Sin(2 * math.Pi * s / 43200)
	return transport.Air{
		RoomC: 20, RoomPa: 1200 + 200*wave, OutC: 12 + 6*wave, OutPa: 700 + 50*wave,
		SunWM2: 200 + 200*wave, SkyWM2: 300, OutsideH: 18,
	}
}

func fixedRun(t *testing.T, roof *transport.Roof, step float64) (water, temp []float64) {
	t.Helper()
	run, err := transport.NewRun(roof, transport.Start{TempC: 12, RH: 0.6}, transport.Accuracy{Share: 1, Water: 1, TempK: 1, FirstStep: step, MaxStep: step, Fixed: true})
	if err != nil {
		t.Fatal(err)
	}
	const end = 14400.0
	for s := 0.0; s < end-1e-9; s += step {
		if err := run.Advance(step, smooth(s), smooth(s+step)); err != nil {
			t.Fatal(err)
		}
	}
	return run.Contents()
}

// even is a deck whose curves have no corners, and which is not so quick to follow the air
// that its own time is lost in the step.
var even = transport.Material{Name: "even deck", HeatCapacity: 1.1e6, Lambda: 0.13, LambdaRise: 0.0005, MuDry: 30, MuWet: 30, Water80: 60, WaterFree: 550, Absorption: 0.002}

func evenRoof(t *testing.T, cells int) *transport.Roof {
	t.Helper()
	roof, err := transport.NewRoof([]transport.Part{transport.Film(0, 0.1), transport.Body(even, 0.018, cells), transport.Film(0.035, 0.5)}, 0.1, dark)
	if err != nil {
		t.Fatal(err)
	}
	return roof
}

// The two-stage method is of order 2: half the step, a quarter of the error. The long
// waves at the sheet are linearised at each step about the last, so they are in it too.
func TestStepsConvergeAtSecondOrder(t *testing.T) {
	roof := evenRoof(t, 20)
	refW, refT := fixedRun(t, roof, 0.5)
	errs := map[float64][2]float64{}
	steps := []float64{64, 32, 16, 8}
	for _, dt := range steps {
		w, temp := fixedRun(t, roof, dt)
		var e [2]float64
		for i := range w {
			e[0] = math.Max(e[0], math.Abs(w[i]-refW[i]))
			e[1] = math.Max(e[1], math.Abs(temp[i]-refT[i]))
		}
		errs[dt] = e
	}
	for k, what := range []string{"water", "temperature"} {
		order := math.Log2(errs[16][k] / errs[8][k])
		t.Logf("%s: errors %.3g %.3g %.3g %.3g, order %.2f", what, errs[64][k], errs[32][k], errs[16][k], errs[8][k], order)
		if order < 1.8 || order > 2.4 {
			t.Errorf("%s: order %.2f in %v", what, order, errs)
		}
	}
}

// Volumes with values at their centres are of order 2 in their width.
func TestGridConvergesAtSecondOrder(t *testing.T) {
	total := func(n int) (water, temp float64) {
		roof := evenRoof(t, n)
		run, err := transport.NewRun(roof, transport.Start{TempC: 12, RH: 0.6}, transport.Accuracy{Share: 1e-4, Water: 1e-4, TempK: 1e-3, FirstStep: 0.01})
		if err != nil {
			t.Fatal(err)
		}
		for s := 0.0; s < 86400; s += 600 {
			if err := run.Advance(600, smooth(s), smooth(s+600)); err != nil {
				t.Fatal(err)
			}
		}
		b := run.Balance()
		return b.WaterIn, b.HeatIn
	}
	refW, refH := total(320)
	var errW, errH []float64
	for _, n := range []int{10, 20, 40} {
		w, h := total(n)
		errW, errH = append(errW, math.Abs(w-refW)), append(errH, math.Abs(h-refH))
	}
	for what, e := range map[string][]float64{"water": errW, "heat": errH} {
		order := math.Log2(e[1] / e[2])
		t.Logf("%s: errors %.3g, order %.2f", what, e, order)
		if order < 1.7 || order > 2.4 {
			t.Errorf("%s: order %.2f", what, order)
		}
	}
}

// The usual accuracy over a year of weather against a run with some thirty times the
// steps: a cold roof with a wet deck, and a warm roof with a litre to the square metre
// trapped in it.
func TestUsualAccuracy(t *testing.T) {
	for name, c := range map[string]struct {
		roof  *transport.Roof
		start transport.Start
	}{
		"cold roof": {coldRoof(t, 30), transport.Start{TempC: 20, RH: 0.7}},
		"warm roof": {foamRoof(t, 30, 5), transport.Start{TempC: 20, RH: 0.7, Trapped: map[int]float64{3: 1}}},
	} {
		usual := decade(t, c.roof, c.start, transport.Usual(), 1)
		tight := decade(t, c.roof, c.start, transport.Accuracy{Share: 0.003, Water: 0.03, TempK: 0.03}, 1)
		t.Logf("%s: %.5f in %d steps, %.5f in %d", name, usual.Total(), usual.Steps, tight.Total(), tight.Steps)
		vectortest.NearRel(t, name+": water", usual.Total(), tight.Total(), 0.002)
	}
}

// The saturation pressure used in the steps is that of package moistair.
func TestSaturationIsThatOfMoistAir(t *testing.T) {
	for tC := -40.0; tC <= 80; tC += 0.37 {
		p, slope := transport.Saturation(tC)
		vectortest.NearRel(t, "saturation", p, moistair.PSat(tC), 1e-14)
		if math.Abs(tC) > 0.1 {
			vectortest.NearRel(t, "its slope", slope, (moistair.PSat(tC+1e-4)-moistair.PSat(tC-1e-4))/2e-4, 1e-6)
		}
	}
}
