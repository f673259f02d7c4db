package diagnose

import (
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"underlap/diagnose/infer"
	"underlap/diagnose/sightings"
	"underlap/rules"
)

// The days are multiplied with what was told of the weather, blur what was told of the same
// days in other words, and leave the rest alone.
func TestJoinDays(t *testing.T) {
	answers := []string{"any-rain", "cold-dry", "no-pattern"}
	m := &model{
		findings: []finding{{question: &rules.Question{ID: patternQuestion}}, {question: &rules.Question{ID: "dry-spell"}}, {question: &rules.Question{ID: "lichen"}}, {}},
		at:       map[string][]int{patternQuestion: {0}, "dry-spell": {1}, "lichen": {2}},
	}
	m.spec.Findings = []infer.Finding{{Answers: answers}, {Answers: []string{"yes", "no"}}, {Answers: []string{"yes", "no"}}, {Answers: []string{"no", "yes"}}}

	var h sightings.History
	first := sightings.DayOf(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))
	for d := range 40 {
		w := sightings.NewWeather(first + sightings.Day(d))
		l := sightings.Look{Day: w.Day, Saw: sightings.Dry}
		w.Rain, w.Mean = 0, 6
		if d%4 == 0 {
			w.Rain, l.Saw = 12, sightings.Drip
		}
		h.Weather = append(h.Weather, w)
		if d > 3 {
			h.Looks = append(h.Looks, l)
		}
	}
	days := sightings.Compare(h)
	seen := days.Pattern(answers)
	if seen[0] < 0.9 {
		t.Fatalf("the days say %v", seen)
	}
	told := map[int][]float64{0: {0.9, 0.05, 0.05}, 1: {0.9, 0.1}, 2: {0.7, 0.3}}
	ev := infer.Evidence{Likelihood: map[int][]float64{0: told[0], 1: told[1], 2: told[2]}}
	m.joinDays(days, &ev)
	near := cmpopts.EquateApprox(1e-12, 0)
	if d := cmp.Diff([]float64{0.9 * seen[0], 0.05 * seen[1], 0.05 * seen[2]}, ev.Likelihood[0], near); d != "" {
		t.Errorf("both together: %s", d)
	}
	// Entropy by its definition, in shares of the most that three answers can have.
	entropy := 0.0
	for _, p := range seen {
		entropy -= p * math.Log(p) / math.Log(3)
	}
	share := (1 - entropy) / 3
	if d := cmp.Diff([]float64{0.9 - 0.4*share, 0.1 + 0.4*share}, ev.Likelihood[1], near); d != "" || share < 0.15 {
		t.Errorf("the dry spell, blurred by %.3f: %s", share, d)
	}
	if d := cmp.Diff(told[2], ev.Likelihood[2]); d != "" {
		t.Errorf("another question: %s", d)
	}
	if v := ev.Likelihood[3]; len(v) != 2 || v[1] < 20*v[0] {
		t.Errorf("that it has been wet: %v", v)
	}

	// Too few days say only that it has been wet.
	h.Looks = h.Looks[:3]
	ev = infer.Evidence{Likelihood: map[int][]float64{1: told[1]}}
	m.joinDays(sightings.Compare(h), &ev)
	if d := cmp.Diff(told[1], ev.Likelihood[1]); d != "" || len(ev.Likelihood) != 2 || ev.Likelihood[3] == nil {
		t.Errorf("too few days: %v", ev.Likelihood)
	}
	ev = infer.Evidence{Likelihood: map[int][]float64{}}
	m.joinDays(nil, &ev)
	if len(ev.Likelihood) != 0 {
		t.Errorf("no days: %v", ev.Likelihood)
	}
}
