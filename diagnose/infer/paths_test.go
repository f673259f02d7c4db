package infer

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// Findings with few parents, with many, and with a likelihood of nought take three
// ways through the kernel. Here every set of a larger model is weighed by the
// definition beside it.
func TestEverySetByDefinition(t *testing.T) {
	const n = 34
	r := rand.New(rand.NewPCG(5, 6))
	row := func() []float64 {
		p := []float64{0.02 + r.Float64(), 0.02 + r.Float64(), 0.02 + r.Float64()}
		total := p[0] + p[1] + p[2]
		for a := range p {
			p[a] /= total
		}
		return p
	}
	m := Model{SizePrior: []float64{0, 0.7, 0.2, 0.1}, AllowHard: true}
	for c := range n {
		m.Causes = append(m.Causes, Cause{ID: fmt.Sprintf("c%02d", c), Weight: 0.1 + r.Float64()})
	}
	m.Pairs = []Pair{{A: 3, B: 1, Factor: 4}, {A: 1, B: 33, Factor: 0.5}}
	for j := range 3 {
		x := Mechanism{ID: fmt.Sprintf("m%d", j), Leak: 0.02, Gate: 0.9}
		for c := range n {
			if c%4 == j {
				x.Links = append(x.Links, Link{Cause: c, Lambda: 0.3 + 0.1*float64(c%3)})
			}
		}
		m.Mechanisms = append(m.Mechanisms, x)
	}
	for k, parents := range []int{n, 12, 7, 29, 3} {
		f := Finding{ID: fmt.Sprintf("f%d", k), Answers: []string{"x", "y", "z"}, Over: OverCauses, Form: Mixture, Background: row()}
		for _, c := range r.Perm(n)[:parents] {
			x := Row{Parent: c, P: row()}
			if k == 2 {
				x.Salience = 0.5 + r.Float64()
			}
			f.Rows = append(f.Rows, x)
		}
		m.Findings = append(m.Findings, f)
	}
	m.Findings[4].Background = []float64{0, 0.5, 0.5} // a hard answer rules out most sets
	m.Findings = append(m.Findings, Finding{
		ID: "states", Answers: []string{"x", "y", "z"}, Form: Max, Background: row(),
		Rows: []Row{{Parent: 0, P: row()}, {Parent: 2, P: row()}},
	})
	e := must(Compile(m))
	for _, ev := range []Evidence{
		{Likelihood: map[int][]float64{0: {1, 0.2, 0.1}, 1: {0.3, 1, 1}, 2: {0.1, 0.1, 2}, 3: {1, 0.5, 0.1}, 5: {0.1, 0.2, 1}}},
		{Likelihood: map[int][]float64{1: {0.3, 1, 1}, 4: {1, 0, 0}, 5: {1, 0.2, 1}}},
	} {
		p := must(e.Update(ev))
		mass, total := make([]float64, e.sets.sets), 0.0
		for s := range mass {
			members := e.sets.members(s, nil)
			on := func(c int) bool {
				for _, x := range members {
					if x == c {
						return true
					}
				}
				return false
			}
			mass[s] = e.prior[s]
			for f := range m.Findings[:5] {
				if lambda := ev.Likelihood[f]; lambda != nil {
					mass[s] *= expect(lambda, plainConditional(&m.Findings[f], on))
				}
			}
			states := 0.0
			for x := range 1 << len(m.Mechanisms) {
				px := 1.0
				for j, mech := range m.Mechanisms {
					quiet := 1 - mech.Leak
					for _, l := range mech.Links {
						if on(l.Cause) {
							quiet *= 1 - l.Lambda
						}
					}
					if q := mech.Gate * (1 - quiet); x>>j&1 == 1 {
						px *= q
					} else {
						px *= 1 - q
					}
				}
				states += px * expect(ev.Likelihood[5], plainConditional(&m.Findings[5], func(j int) bool { return x>>j&1 == 1 }))
			}
			mass[s] *= states
			total += mass[s]
		}
		near(t, "log evidence", p.LogEvidence(), math.Log(total), 1e-12)
		for s := range mass {
			near(t, fmt.Sprint(e.sets.members(s, nil)), p.mass[s], mass[s]/total, 1e-13)
		}
	}
}

func expect(lambda, p []float64) float64 {
	total := 0.0
	for a, x := range lambda {
		total += x * p[a]
	}
	return total
}

// A finding with many parents is shared out set by set, one with few by pairs and
// threes. Both come to the same, with what was reported on it and without.
func TestTwoWaysToShareOut(t *testing.T) {
	const n, answers = 20, 3
	r := rand.New(rand.NewPCG(8, 9))
	row := func() []float64 {
		p := []float64{r.Float64(), r.Float64(), 0}
		p[2] = 3 - p[0] - p[1]
		return []float64{p[0] / 3, p[1] / 3, p[2] / 3}
	}
	f := Finding{ID: "f", Answers: []string{"x", "y", "z"}, Over: OverCauses, Form: Mixture, Background: row()}
	for _, c := range r.Perm(n)[:13] {
		f.Rows = append(f.Rows, Row{Parent: c, P: row(), Salience: 0.5 + r.Float64()})
	}
	m := Model{SizePrior: []float64{0, 0.7, 0.2, 0.1}, Findings: []Finding{f}}
	for c := range n {
		m.Causes = append(m.Causes, Cause{ID: fmt.Sprintf("c%02d", c), Weight: 0.1 + r.Float64()})
	}
	e := must(Compile(m))
	p := must(e.Update(Evidence{Likelihood: map[int][]float64{0: {1, 0.3, 0.1}}}))
	x := e.finding[0].mixture
	background, alone := x.heardAs(p.seen.finding[0])
	for _, reported := range []bool{false, true} {
		byPairs := e.crossMixture(x, p.mass, p.shares(), 1, nil)
		bySets := e.crossByShares(x, p.mass, 1, ones(len(x.parents)))
		if reported {
			byPairs = e.crossMixture(x, p.mass, p.shares(), background, alone)
			bySets = e.crossByShares(x, p.mass, background, alone)
		}
		nearAll(t, "cross table", bySets.joint, byPairs.joint, 1e-13)
	}
}

// A model with a power weighs each item as if it had been reported raised to it.
func TestPower(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawModel(t)
		ev, _ := drawEvidence(t, &m)
		power := rapid.SampledFrom([]float64{0.3, 0.9, 1, 1.5}).Draw(t, "power")
		raised := Evidence{Likelihood: map[int][]float64{}}
		raise := func(v []float64) []float64 {
			out := make([]float64, len(v))
			for a, x := range v {
				out[a] = math.Pow(x, power)
			}
			return out
		}
		for f, v := range ev.Likelihood {
			raised.Likelihood[f] = raise(v)
		}
		for _, j := range ev.Joint {
			raised.Joint = append(raised.Joint, JointEvidence{Mechanisms: j.Mechanisms, Lambda: raise(j.Lambda)})
		}
		with := m
		with.Power = power
		got, err1 := compile(t, with).Update(ev)
		want, err2 := compile(t, m).Update(raised)
		if (err1 == nil) != (err2 == nil) {
			t.Fatalf("%v, %v", err1, err2)
		}
		if err1 == nil {
			nearAll(t, "causes", got.Causes(), want.Causes(), 1e-12)
		}
	})
}

// Weights so far apart that larger sets vanish are refused, not weighed as nothing.
func TestWeightsTooFarApart(t *testing.T) {
	m := Model{SizePrior: []float64{0, 0.6, 0.3, 0.1}}
	for c, w := range []float64{1e300, 1, 1, 1} {
		m.Causes = append(m.Causes, Cause{ID: fmt.Sprint(c), Weight: w})
	}
	if _, err := Compile(m); err == nil {
		t.Error("it was taken")
	}
}
