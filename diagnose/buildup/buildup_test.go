package buildup_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"underlap/diagnose/buildup"
	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/rules"
)

// known makes facts from choices and from numbers in metres.
func known(choices map[string]string, numbers map[string]float64) *facts.Set {
	s := casefile.State{Answers: map[string]casefile.Answer{}}
	for q, a := range choices {
		s.Answers[q] = casefile.Answer{Question: q, Choices: []string{a}, Known: casefile.KnownTold}
	}
	for q, v := range numbers {
		s.Answers[q] = casefile.Answer{Question: q, Value: &v, Known: casefile.KnownMeasured}
	}
	return facts.From(s, rules.Built())
}

func infer(choices map[string]string, numbers map[string]float64) *buildup.Result {
	return buildup.Infer(known(choices, numbers), &rules.Built().BuildUp, nil)
}

// Shares are shares, the stacks kept are stacks, and their layers add up to what
// they say, whatever was read off the tape.
func TestAnyReadingGivesSoundShares(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		numbers := map[string]float64{}
		if rapid.Bool().Draw(rt, "measured") {
			numbers["kerb-inside"] = rapid.Float64Range(0.05, 1.5).Draw(rt, "inside")
			numbers["kerb-outside"] = rapid.Float64Range(0, 1.2).Draw(rt, "outside")
		}
		choices := map[string]string{}
		for _, q := range []string{"built-when", "insulation-seen", "vents", "sold-as", "covering", "deck-seen"} {
			if rapid.Bool().Draw(rt, q+"?") {
				question, _ := rules.Built().Question(q)
				choices[q] = rapid.SampledFrom(question.Answers).Draw(rt, q).ID
			}
		}
		r := infer(choices, numbers)
		sum := r.NotListed
		for _, s := range r.Types {
			if s.P < 0 || s.P > 1 || math.IsNaN(s.P) {
				rt.Fatalf("share %+v", s)
			}
			sum += s.P
		}
		if math.Abs(sum-1) > 1e-9 {
			rt.Fatalf("shares sum to %v", sum)
		}
		if r.Measured == nil && len(r.Problems) == 0 && len(numbers) == 2 {
			rt.Fatalf("a pair of readings gave neither a thickness nor a problem")
		}
		for i, s := range r.Stacks {
			total := 0.0
			for _, l := range s.Layers {
				if l.M < 0 {
					rt.Fatalf("layer %+v of %+v", l, s)
				}
				if l.Role != "vapour-layer" { // below what a tape can tell
					total += l.M
				}
			}
			if math.Abs(total-s.Total) > 1e-9 {
				rt.Fatalf("layers of %s add up to %v, it says %v", s.Type, total, s.Total)
			}
			if r.Measured != nil && math.Abs(s.Gap-(r.Measured.M-s.Total)) > 1e-12 {
				rt.Fatalf("gap %v", s.Gap)
			}
			if i > 0 && s.Type == r.Stacks[i-1].Type && s.P > r.Stacks[i-1].P {
				rt.Fatalf("stack %d is likelier than the one before it", i)
			}
		}
	})
}

// Posterior of the joist by hand: with everything else the same, a known joist
// depth must carry nearly all the weight of its own size.
func TestKnownJoistIsUsed(t *testing.T) {
	r := infer(map[string]string{"covering": "felt", "deck-seen": "ply-osb"}, map[string]float64{"kerb-inside": 0.40, "kerb-outside": 0.15, "joist-depth": 0.170})
	share, all := 0.0, 0.0
	for _, s := range r.Stacks {
		all += s.P
		if math.Abs(s.Joist-0.170) < 1e-9 {
			share += s.P
		}
	}
	if share < 0.95*all {
		t.Errorf("170 mm joists carry %.2f of %.2f", share, all)
	}
}

// A thickness that nothing on the market reaches is not rounded to fit.
func TestNothingFits(t *testing.T) {
	r := infer(nil, map[string]float64{"kerb-inside": 0.95, "kerb-outside": 0.10})
	if r.Closes {
		t.Errorf("850 mm closes with %+v", r.Stacks[0])
	}
	if r.NotListed < 0.5 {
		t.Errorf("not listed has %.2f", r.NotListed)
	}
}

// Every thickness that is taken gives a whole result, however far from anything on the
// market; nothing downstream may find it empty.
func TestEveryThicknessGivesAResult(t *testing.T) {
	for mm := 5; mm <= 1200; mm += 5 {
		r := infer(nil, map[string]float64{"kerb-inside": float64(mm)/1000 + 0.150, "kerb-outside": 0.150})
		if r.Measured == nil {
			if len(r.Problems) == 0 {
				t.Fatalf("%d mm: neither thickness nor problem", mm)
			}
			continue
		}
		sum := r.NotListed
		for _, s := range r.Types {
			sum += s.P
		}
		if len(r.Stacks) == 0 || math.Abs(sum-1) > 1e-9 || math.IsNaN(r.NotListed) {
			t.Fatalf("%d mm: %d stacks, shares sum to %v", mm, len(r.Stacks), sum)
		}
	}
}

// With nothing but the era known the shares are the era's own.
func TestEraAloneGivesItsShares(t *testing.T) {
	b := rules.Built().BuildUp
	for _, e := range b.Eras {
		s := casefile.State{Answers: map[string]casefile.Answer{"built-when": {Question: "built-when", Choices: []string{e.ID}, Known: casefile.KnownOpened}}}
		r := buildup.Infer(facts.From(s, rules.Built()), &b, nil)
		all := 0.0
		for _, v := range e.Types {
			all += v
		}
		for _, x := range r.Types {
			if want := e.Types[x.Type] / all; math.Abs(x.P/(1-r.NotListed)-want) > 0.012 { // one in a hundred answers is noise
				t.Errorf("%s %s: %.3f, the table says %.3f", e.ID, x.Type, x.P/(1-r.NotListed), want)
			}
		}
	}
}

// More looking never makes the looks that would settle it worth less than nothing,
// and what has been looked at is not asked for again.
func TestSettle(t *testing.T) {
	r := infer(map[string]string{"built-when": "2003-2010"}, nil)
	if len(r.Settle) < 3 || r.Settle[0].Question != "insulation-seen" || r.Settle[1].Question != "kerb-inside" {
		t.Fatalf("looks %+v: seeing the insulation settles more than a thickness over unknown joists", r.Settle)
	}
	if r := infer(map[string]string{"built-when": "2003-2010", "rooflight": "none"}, nil); strings.Contains(fmt.Sprint(r.Settle), "kerb") {
		t.Errorf("tape readings at a skylight that is not there: %+v", r.Settle)
	}
	for _, l := range r.Settle {
		if l.Bits < 0 {
			t.Errorf("%+v", l)
		}
	}
	r = infer(map[string]string{"built-when": "2003-2010", "vents": "none"}, map[string]float64{"kerb-inside": 0.45, "kerb-outside": 0.15})
	for _, l := range r.Settle {
		if l.Question == "vents" || l.Question == "kerb-inside" {
			t.Errorf("asked again: %+v", l)
		}
	}
}

// The usual totals of the trade: what a roofer expects by type and era, at mid-fall.
// Source: common practice, no source (ranges a roofer goes by).
func TestUsualTotals(t *testing.T) {
	for _, x := range []struct {
		kind, era     string
		lowMM, highMM float64
	}{
		{"uninsulated", "before-1976", 130, 260},
		{"cold", "1976-1989", 150, 310},
		{"cold", "1990-2002", 180, 330},
		{"warm", "2003-2010", 250, 420},
		{"warm", "2011-2021", 270, 450},
		{"warm", "since-2022", 300, 460},
	} {
		r := infer(map[string]string{"built-when": x.era}, nil)
		found := false
		for _, e := range r.Expected {
			if e.Type != x.kind {
				continue
			}
			found = true
			if e.Mid*1000 < x.lowMM || e.Mid*1000 > x.highMM || e.Low > e.Mid || e.Mid > e.High {
				t.Errorf("%s %s: %.0f (%.0f to %.0f) mm, want the middle within %.0f to %.0f", x.era, x.kind, e.Mid*1000, e.Low*1000, e.High*1000, x.lowMM, x.highMM)
			}
		}
		if !found {
			t.Errorf("no total for %s", x.kind)
		}
	}
}

func BenchmarkInfer(b *testing.B) {
	f := known(nil, map[string]float64{"kerb-inside": 0.42, "kerb-outside": 0.15})
	for b.Loop() {
		buildup.Infer(f, &rules.Built().BuildUp, nil)
	}
}

// measured reads one pair or two, each with the tolerance given in metres.
func measured(t *testing.T, tolerance float64, numbers map[string]float64) (*buildup.Thickness, []buildup.Problem) {
	t.Helper()
	s := casefile.State{Answers: map[string]casefile.Answer{}}
	for q, v := range numbers {
		s.Answers[q] = casefile.Answer{Question: q, Value: &v, Tolerance: tolerance, Known: casefile.KnownMeasured}
	}
	return buildup.Measure(facts.From(s, rules.Built()), rules.Built().BuildUp)
}

// A stated tolerance is two standard deviations; the errors of the readings are
// independent, so two pairs halve the variance of the mean.
func TestToleranceOfTheTape(t *testing.T) {
	one, _ := measured(t, 0.010, map[string]float64{"kerb-inside": 0.480, "kerb-outside": 0.150})
	if want := 0.005 * math.Sqrt2; one == nil || math.Abs(one.SD-want) > 1e-9 {
		t.Fatalf("%+v, want sd %v", one, want)
	}
	two, _ := measured(t, 0.010, map[string]float64{"kerb-inside": 0.480, "kerb-outside": 0.150, "second-inside": 0.490, "second-outside": 0.150})
	if two == nil || math.Abs(two.SD-0.005) > 1e-9 || math.Abs(two.M-0.335) > 1e-9 {
		t.Fatalf("%+v, want 0.335 with sd 0.005", two)
	}
}

func TestASwappedPairIsCalledSwapped(t *testing.T) {
	for _, in := range []float64{0.150, 0.140} {
		m, p := measured(t, 0, map[string]float64{"kerb-inside": in, "kerb-outside": 0.150})
		if m != nil || len(p) != 1 || !strings.Contains(p[0].Text, "swapped") {
			t.Errorf("inside %v: %+v, %+v", in, m, p)
		}
	}
}

// BenchmarkInferAll is a roof with every kind of reading.
func BenchmarkInferAll(b *testing.B) {
	f := known(map[string]string{"built-when": "2003-2010", "edge-depth": "deep", "insulation-seen": "board-above"}, map[string]float64{
		"kerb-inside": 0.492, "kerb-outside": 0.15, "second-inside": 0.467, "second-outside": 0.15, "head-depth": 0.33, "hole-depth": 0.215, "insulation-depth": 0.1,
	})
	for b.Loop() {
		buildup.Infer(f, &rules.Built().BuildUp, nil)
	}
}

// BenchmarkInferNothing is a roof of which nothing is known.
func BenchmarkInferNothing(b *testing.B) {
	f := known(nil, nil)
	for b.Loop() {
		buildup.Infer(f, &rules.Built().BuildUp, nil)
	}
}
