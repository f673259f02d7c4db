package robust_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"underlap/diagnose/infer"
	"underlap/diagnose/robust"
)

// two is a model of two causes and one sign of the first.
func two() (infer.Model, robust.Spread) {
	m := infer.Model{
		SizePrior: []float64{0, 1},
		Causes:    []infer.Cause{{ID: "a", Weight: 1}, {ID: "b", Weight: 1}},
		Mechanisms: []infer.Mechanism{
			{ID: "m", Leak: 0.01, Gate: 1, Links: []infer.Link{{Cause: 0, Lambda: 0.9}, {Cause: 1, Lambda: 0.9}}},
		},
		Findings: []infer.Finding{{
			ID: "sign", Answers: []string{"no", "yes"}, Over: infer.OverCauses, Form: infer.Mixture,
			Background: []float64{0.9, 0.1}, Rows: []infer.Row{{Parent: 0, P: []float64{0.4, 0.6}}, {Parent: 1, P: []float64{0.5, 0.5}}},
		}},
	}
	return m, robust.Spread{Cause: []float64{0, 0}, Leak: []float64{0}, Link: []float64{0}, Background: []float64{0}, Row: [][]float64{{0, 0}}}
}

func first(p *infer.Posterior) robust.Outcome {
	return robust.Outcome{Cause: p.Ranked()[0], Repair: -1}
}

var yes = infer.Evidence{Likelihood: map[int][]float64{0: {0, 1}}}

// Without spread nothing moves.
func TestNoSpreadHolds(t *testing.T) {
	m, s := two()
	got, err := robust.Repeat(context.Background(), &m, &s, yes, first, 50, 1)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range got {
		if o.Cause != 0 {
			t.Fatal("the first cause moved without any spread")
		}
	}
}

// With only the two weights unsure, the share that holds has a closed form: the
// logarithm of the odds is normal about log(0.6/0.5) with variance 2 sd^2.
func TestShareThatHolds(t *testing.T) {
	m, s := two()
	const sd, runs = 0.7, 4000
	s.Cause = []float64{sd, sd}
	got, err := robust.Repeat(context.Background(), &m, &s, yes, first, runs, 2)
	if err != nil {
		t.Fatal(err)
	}
	held := 0.0
	for _, o := range got {
		if o.Cause == 0 {
			held++
		}
	}
	z := math.Log(0.6/0.5) / (sd * math.Sqrt2)
	want := 0.5 * math.Erfc(-z/math.Sqrt2)
	if d := math.Abs(held/runs - want); d > 4*math.Sqrt(want*(1-want)/runs) {
		t.Errorf("held in %.3f, the normal gives %.3f", held/runs, want)
	}
	again, err := robust.Repeat(context.Background(), &m, &s, yes, first, runs, 2)
	if err != nil {
		t.Fatal(err)
	}
	for i := range got {
		if got[i] != again[i] {
			t.Fatal("the same seed gave another run")
		}
	}
}

// Every varied model is still a model, and its numbers keep their middle.
func TestVariedModelsAreModels(t *testing.T) {
	m, s := two()
	s = robust.Spread{Cause: []float64{1.4, 0.3}, Leak: []float64{1.4}, Link: []float64{0.7}, Background: []float64{0.7}, Row: [][]float64{{1.4, 0.3}}}
	random := rand.New(rand.NewPCG(3, 0))
	below := 0
	const runs = 2000
	for range runs {
		v := robust.Vary(&m, &s, random)
		if err := v.Validate(); err != nil {
			t.Fatal(err)
		}
		if l := v.Mechanisms[0].Links; l[0].Lambda != l[1].Lambda || l[0].Lambda == 0.9 {
			t.Fatalf("one word became %g and %g", l[0].Lambda, l[1].Lambda)
		}
		if v.Findings[0].Rows[0].P[1] < 0.6 {
			below++
		}
	}
	if m.Findings[0].Rows[0].P[1] != 0.6 || m.Causes[0].Weight != 1 {
		t.Error("the model itself was changed")
	}
	if share := float64(below) / runs; math.Abs(share-0.5) > 0.05 {
		t.Errorf("%.2f of the shares fell; half should", share)
	}
}

// 0.6 against 0.5: halving the odds of the first to 0.43, or doubling those of the
// second to 0.67, puts the other first; the other two turns do not.
func TestTips(t *testing.T) {
	m, _ := two()
	numbers := []robust.Number{{Finding: 0, Row: 0, Answer: 1}, {Finding: 0, Row: 1, Answer: 1}, {Finding: -1, Cause: 0}}
	got, err := robust.Tips(context.Background(), &m, yes, first, robust.Outcome{Cause: 0, Repair: -1}, numbers)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 3 {
		t.Fatalf("%d tips, want 3: %+v", len(got), got)
	}
	for i, want := range []struct{ times, is float64 }{{0.5, 0.75 / 1.75}, {2, 2.0 / 3}, {0.5, 0.5}} {
		if g := got[i]; g.Times != want.times || math.Abs(g.Is-want.is) > 1e-12 || g.Outcome.Cause != 1 {
			t.Errorf("tip %d: %+v, want times %g to %.3f", i, g, want.times, want.is)
		}
	}
}

func TestStops(t *testing.T) {
	m, s := two()
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := robust.Repeat(ctx, &m, &s, yes, first, 5, 1); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
	if _, err := robust.Tips(ctx, &m, yes, first, robust.Outcome{}, []robust.Number{{Finding: -1}}); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}
