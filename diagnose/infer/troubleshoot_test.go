package infer

import (
	"cmp"
	"errors"
	"maps"
	"math"
	"slices"
	"testing"
)

// repairs is a trouble with one fault present, and actions that may each cure some. The
// kernel says how likely it is still there: an action that failed is a sign.
type repairs struct {
	t      *testing.T
	engine *Engine
	cost   []float64
}

func newRepairs(t *testing.T, p, cost []float64, fix [][]float64) *repairs {
	t.Helper()
	m := Model{SizePrior: []float64{0, 1}, AllowHard: true}
	for i, w := range p {
		m.Causes = append(m.Causes, Cause{ID: string(rune('a' + i)), Weight: w})
	}
	for k := range cost {
		f := Finding{ID: string(rune('A' + k)), Answers: []string{"worked", "failed"}, Over: OverCauses, Form: Mixture, Background: []float64{0, 1}}
		for i, x := range fix[k] {
			f.Rows = append(f.Rows, Row{Parent: i, P: []float64{x, 1 - x}})
		}
		m.Findings = append(m.Findings, f)
	}
	return &repairs{t, compile(t, m), cost}
}

// broken is the probability that the trouble is still there after these actions.
func (r *repairs) broken(done []int) float64 {
	ev := Evidence{}
	for _, k := range done {
		ev = ev.With(k, []float64{0, 1})
	}
	p, err := r.engine.Update(ev)
	if errors.Is(err, ErrImpossible) {
		return 0
	}
	if err != nil {
		r.t.Fatal(err)
	}
	return math.Exp(p.LogEvidence())
}

// expected is what a sequence costs: each action as often as it is reached.
func (r *repairs) expected(sequence []int) float64 {
	sum := 0.0
	for i, k := range sequence {
		sum += r.cost[k] * r.broken(sequence[:i])
	}
	return sum
}

// ranked gives all sequences that surely end the trouble, cheapest first. An action
// after the end is left off.
func (r *repairs) ranked() (all [][]int) {
	var walk func(sequence []int)
	walk = func(sequence []int) {
		if r.broken(sequence) < 1e-12 {
			all = append(all, slices.Clone(sequence))
			return
		}
		for k := range r.cost {
			if !slices.Contains(sequence, k) {
				walk(append(slices.Clone(sequence), k))
			}
		}
	}
	walk(nil)
	slices.SortStableFunc(all, func(a, b []int) int { return cmp.Compare(r.expected(a), r.expected(b)) })
	return all
}

// greedy takes the action of best chance for its cost, and weighs anew after each.
func (r *repairs) greedy() (sequence []int) {
	for {
		still := r.broken(sequence)
		if still < 1e-12 {
			return sequence
		}
		best, worth := -1, 0.0
		for k, c := range r.cost {
			if x := (still - r.broken(append(slices.Clone(sequence), k))) / c; !slices.Contains(sequence, k) && (best < 0 || x > worth) {
				best, worth = k, x
			}
		}
		sequence = append(sequence, best)
	}
}

type namedRepairs struct {
	Note, Source string
	Fault        []string
	P            []float64
	Cost         map[string]float64
	Fix          map[string][]float64
	Optimal      []string `toml:"optimal_sequence"`
	ECROptimal   float64  `toml:"ecr_optimal"`
	Second       []string `toml:"second_best"`
	ECRSecond    float64  `toml:"ecr_second"`
	Greedy       []string `toml:"greedy_sequence"`
	ECRGreedy    float64  `toml:"ecr_greedy"`
}

func (n *namedRepairs) repairs(t *testing.T) (r *repairs, places func(names []string) []int) {
	names := slices.Sorted(maps.Keys(n.Cost))
	var cost []float64
	var fix [][]float64
	for _, name := range names {
		cost, fix = append(cost, n.Cost[name]), append(fix, n.Fix[name])
	}
	return newRepairs(t, n.P, cost, fix), func(list []string) (out []int) {
		for _, name := range list {
			out = append(out, slices.Index(names, name))
		}
		return out
	}
}

// testTroubleshoot checks the kernel's probabilities of failures one after another on
// published and made-up orders of repair, and its plan of watching a repair.
func testTroubleshoot(t *testing.T, path string) {
	var f struct {
		header
		Independent struct {
			P, Cost    []float64
			Order      []int   `toml:"optimal_order"`
			ECROptimal float64 `toml:"ecr_optimal"`
			ByP        float64 `toml:"ecr_by_p"`
			ByCost     float64 `toml:"ecr_by_cost"`
			Worst      float64 `toml:"ecr_worst"`
		}
		Reboot  namedRepairs
		Greedy  namedRepairs `toml:"greedy_fails"`
		Observe struct {
			P, Cost  []float64
			Accuracy float64 `toml:"test_accuracy"`
			TestCost float64 `toml:"test_cost"`
			Without  float64 `toml:"ecr_without"`
			With     float64 `toml:"eco_with"`
			Observe  bool
		} `toml:"observe_first"`
		Shared map[string]any `toml:"shared_setup"` // read by testSharedSetup
	}
	load(t, path, &f)
	testSharedSetup(t, path)
	same := func(what string, got, want []int) {
		t.Helper()
		if !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}

	one := f.Independent
	var perfect [][]float64
	for i := range one.P {
		perfect = append(perfect, Reliable(len(one.P), i, 1))
	}
	r := newRepairs(t, one.P, one.Cost, perfect)
	all := r.ranked()
	same("independent", all[0], one.Order)
	near(t, "independent, greedy", r.expected(r.greedy()), one.ECROptimal, f.Tolerance) // with ties in the order
	near(t, "independent", r.expected(all[0]), one.ECROptimal, f.Tolerance)
	near(t, "worst", r.expected(all[len(all)-1]), one.Worst, 1e-11)
	byP, byCost := []int{0, 1, 2, 3, 4}, []int{0, 1, 2, 3, 4}
	slices.SortFunc(byP, func(a, b int) int { return cmp.Compare(one.P[b], one.P[a]) })
	slices.SortFunc(byCost, func(a, b int) int { return cmp.Compare(one.Cost[a], one.Cost[b]) })
	near(t, "by probability", r.expected(byP), one.ByP, f.Tolerance)
	near(t, "by cost", r.expected(byCost), one.ByCost, f.Tolerance)

	r, places := f.Reboot.repairs(t)
	all = r.ranked()
	same("reboot", all[0], places(f.Reboot.Optimal))
	near(t, "reboot", r.expected(all[0]), f.Reboot.ECROptimal, 1e-11)
	same("reboot, second", all[1], places(f.Reboot.Second))
	near(t, "reboot, second", r.expected(all[1]), f.Reboot.ECRSecond, 1e-11)

	r, places = f.Greedy.repairs(t)
	all = r.ranked()
	// With the same cost stands the same sequence with an idle action left off.
	near(t, "greedy fails", r.expected(all[0]), f.Greedy.ECROptimal, f.Tolerance)
	near(t, "greedy fails, as given", r.expected(places(f.Greedy.Optimal)), f.Greedy.ECROptimal, f.Tolerance)
	near(t, "greedy", r.expected(places(f.Greedy.Greedy)), f.Greedy.ECRGreedy, f.Tolerance)
	same("greedy", r.greedy(), places(f.Greedy.Greedy))

	two := f.Observe
	m := Model{SizePrior: []float64{0, 1}, AllowHard: true, Causes: []Cause{{"a", two.P[0]}, {"b", two.P[1]}}}
	m.Findings = []Finding{{
		ID: "test", Answers: []string{"a", "b"}, Cost: two.TestCost, Over: OverCauses, Form: Mixture, Background: []float64{0.5, 0.5},
		Rows: []Row{{Parent: 0, P: []float64{two.Accuracy, 1 - two.Accuracy}}, {Parent: 1, P: []float64{1 - two.Accuracy, two.Accuracy}}},
	}}
	scopes := []Scope{{ID: "a", Cost: two.Cost[0], Fix: []float64{1, 0}}, {ID: "b", Cost: two.Cost[1], Fix: []float64{0, 1}}}
	damage := []float64{1000, 1000} // never suffered: a failure is always noticed, and the other repair cures it
	e := compile(t, m)
	plan := func(ev Evidence) float64 {
		post := update(t, e, ev)
		best := math.Inf(1)
		for first := range scopes {
			best = min(best, must(e.Staged(post, scopes, damage, Stage{First: first, Notice: 1})).Value)
		}
		return best
	}
	without := plan(Evidence{})
	near(t, "without the test", without, two.Without, 1e-11)
	with := two.TestCost
	for a, p := range update(t, e, Evidence{}).Predict(0) {
		with += p * plan(Evidence{}.With(0, Reliable(2, a, 1)))
	}
	near(t, "with the test", with, two.With, 1e-11)
	if (with < without) != two.Observe {
		t.Errorf("test first: %v, want %v", with < without, two.Observe)
	}
}
