package condense

import (
	"math"
	"math/rand/v2"
	"testing"

	"underlap/physics/fabric"
)

// task is one roof to be worked out from the beginning.
type task struct {
	layers   []fabric.Layer
	temp, rh [12]float64
	indoor   Indoor
}

// do makes the roof ready, turns the climate into vapour pressure and runs the year.
func (x *task) do(w *Workspace, roof *Roof, res *YearResult) error {
	if err := roof.Reset(x.layers, fabric.RsiUp, fabric.Rse); err != nil {
		return err
	}
	climate, err := ClimateFromRH(x.temp, x.rh)
	if err != nil {
		return err
	}
	return w.Year(res, roof, climate, x.indoor)
}

// draw makes an eight-layer flat roof: ceiling, vapour layer, quilt, void, deck, old
// felt, board, covering, all with figures of their kind, over rooms from dry to damp
// and in climates from mild to hard.
func draw(rnd *rand.Rand) task {
	between := func(lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }
	log := func(lo, hi float64) float64 { return lo * math.Pow(hi/lo, rnd.Float64()) }
	x := task{layers: []fabric.Layer{
		{Name: "plasterboard", Thickness: 0.0125, Lambda: between(0.18, 0.25), Mu: 10},
		{Name: "VCL", FixedR: true, Sd: log(0.05, 500)},
		{Name: "quilt", Thickness: between(0.05, 0.2), Lambda: between(0.032, 0.044), Mu: 1},
		{Name: "void", R: 0.16, Sd: 0.01},
		{Name: "deck", Thickness: 0.018, Lambda: 0.13, Mu: between(30, 220)},
		{Name: "old felt", Thickness: 0.008, Lambda: 0.23, Mu: log(50, 50000)},
		{Name: "board", Thickness: between(0.02, 0.15), Lambda: between(0.022, 0.04), Mu: log(1, 1000)},
		{Name: "covering", Thickness: 0.0015, Lambda: 0.25, Mu: log(20, 100000)},
	}}
	mean, swing, damp := between(6, 16), between(4, 14), between(0.6, 0.85)
	for m := range x.temp {
		season := math.Cos(2 * math.Pi * (float64(m) - 6.5) / 12)
		x.temp[m] = mean + swing*season
		x.rh[m] = damp - 0.1*season
	}
	switch rnd.IntN(3) {
	case 0:
		class, _ := NewClass(1+rnd.IntN(4), 20, 1.10)
		x.indoor = class
	case 1:
		x.indoor = Steady{20, between(0.3, 0.65)}
	default:
		x.indoor = NormalMoistureLoad()
	}
	return x
}

// BenchmarkYearEightLayers goes round 64 different roofs of each kind. One round
// includes making the roof ready from its layers, the climate, the room, the start
// rule and both years.
func BenchmarkYearEightLayers(b *testing.B) {
	kinds := []struct {
		name string
		is   func(*YearResult) bool
	}{
		{"none", func(r *YearResult) bool { return r.Outcome == None }},
		{"one", func(r *YearResult) bool { return r.Outcome == Dries && len(r.Interfaces) == 1 }},
		{"several", func(r *YearResult) bool { return r.Outcome == Dries && len(r.Interfaces) > 1 }},
		{"accumulating", func(r *YearResult) bool { return r.Outcome == Accumulates && len(r.Interfaces) == 1 }},
		{"accumulating in several", func(r *YearResult) bool { return r.Outcome == Accumulates && len(r.Interfaces) > 1 }},
		{"five or more", func(r *YearResult) bool { return len(r.Interfaces) >= 5 }},
		{"mixed", func(*YearResult) bool { return true }},
	}
	for _, kind := range kinds {
		b.Run(kind.name, func(b *testing.B) {
			rnd := rand.New(rand.NewPCG(1, 2))
			var w Workspace
			var roof Roof
			var res YearResult
			var tasks [64]task
			planes := 0
			for i := range tasks {
				for {
					tasks[i] = draw(rnd)
					if err := tasks[i].do(&w, &roof, &res); err != nil {
						b.Fatal(err)
					}
					if kind.is(&res) {
						break
					}
				}
				planes += len(res.Interfaces)
			}
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				if err := tasks[i%len(tasks)].do(&w, &roof, &res); err != nil {
					b.Fatal(err)
				}
				i++
			}
			b.ReportMetric(float64(i)/b.Elapsed().Seconds(), "roofs/s")
			b.ReportMetric(float64(planes)/float64(len(tasks)), "planes/roof")
		})
	}
}

func TestYearNeedsNoNewMemory(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	tasks := make([]task, 64)
	for i := range tasks {
		tasks[i] = draw(rnd)
	}
	var w Workspace
	var roof Roof
	var res YearResult
	wet := 0
	all := func() {
		for i := range tasks {
			if err := tasks[i].do(&w, &roof, &res); err != nil {
				t.Fatal(err)
			}
			wet += len(res.Interfaces)
		}
	}
	all()
	if wet == 0 {
		t.Fatal("all roofs stay dry, so nothing is tested")
	}
	if n := testing.AllocsPerRun(20, all); n != 0 {
		t.Errorf("%v allocations for %d roofs, want none", n, len(tasks))
	}
}
