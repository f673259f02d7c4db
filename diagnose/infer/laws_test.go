package infer

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"
)

// drawModelOf draws a model with sets of up to size causes and a finding of
// each form over causes and over mechanisms.
func drawModelOf(t *rapid.T, size int, hard bool) Model {
	m := Model{AllowHard: hard}
	n := rapid.IntRange(size, 5).Draw(t, "causes")
	for i := range n {
		m.Causes = append(m.Causes, Cause{ID: fmt.Sprintf("c%d", i), Weight: rapid.Float64Range(0.05, 5).Draw(t, "weight")})
	}
	for a := range n {
		for b := range a {
			if rapid.IntRange(0, 3).Draw(t, "pair") == 0 {
				m.Pairs = append(m.Pairs, Pair{A: a, B: b, Factor: rapid.Float64Range(0.2, 4).Draw(t, "factor")})
			}
		}
	}
	m.SizePrior = append([]float64{0}, drawRow(t, size, false)...)
	probability := func(label string) float64 {
		if hard {
			return rapid.SampledFrom([]float64{0, 0.3, 0.8, 1}).Draw(t, label)
		}
		return rapid.Float64Range(0.001, 0.999).Draw(t, label)
	}
	for j := range 2 {
		mech := Mechanism{ID: fmt.Sprintf("m%d", j), Leak: probability("leak"), Gate: rapid.SampledFrom([]float64{1, 0.35, 0.02}).Draw(t, "gate")}
		for c := range n {
			if rapid.Bool().Draw(t, "link") {
				mech.Links = append(mech.Links, Link{Cause: c, Lambda: probability("lambda")})
			}
		}
		m.Mechanisms = append(m.Mechanisms, mech)
	}
	for _, over := range []Parents{OverMechanisms, OverCauses} {
		for _, form := range []Form{Table, Mixture, Max} {
			f := Finding{ID: fmt.Sprintf("f%d%d", over, form), Over: over, Form: form, Answers: []string{"none", "slight", "severe"}[:rapid.IntRange(2, 3).Draw(t, "answers")]}
			f.Reliability = rapid.SampledFrom([]float64{0, 0.85}).Draw(t, "reliability")
			of := map[Parents]int{OverMechanisms: 2, OverCauses: n}[over]
			parents := make([]int, of)
			for p := range parents {
				parents[p] = p
			}
			parents = rapid.Permutation(parents).Draw(t, "parents")[:rapid.IntRange(1, of).Draw(t, "how many")]
			if form == Table {
				f.Parents = parents[:min(2, len(parents))]
				for range 1 << len(f.Parents) {
					f.TableRows = append(f.TableRows, drawRow(t, len(f.Answers), hard))
				}
			} else {
				f.Background = drawRow(t, len(f.Answers), hard)
				for _, p := range parents {
					f.Rows = append(f.Rows, Row{Parent: p, P: drawRow(t, len(f.Answers), hard), Salience: rapid.SampledFrom([]float64{0, 0.5, 2}).Draw(t, "salience")})
				}
			}
			m.Findings = append(m.Findings, f)
		}
	}
	return m
}

// TestEverySizeAndForm sets the kernel beside plain enumeration for sets of up to one,
// two and three causes, with zeros in the tables and without, all forms at once.
func TestEverySizeAndForm(t *testing.T) {
	for size := 1; size <= MaxSetSize; size++ {
		for _, hard := range []bool{false, true} {
			t.Run(fmt.Sprintf("sets of %d, zeros %v", size, hard), rapid.MakeCheck(func(t *rapid.T) {
				m := drawModelOf(t, size, hard)
				e := compile(t, m)
				ev, _ := drawEvidence(t, &m)
				want := newOracle(m).solve(ev)
				p, err := e.Update(ev)
				if want.p == 0 {
					if !errors.Is(err, ErrImpossible) {
						t.Fatalf("impossible evidence: got error %v", err)
					}
					return
				}
				if err != nil {
					t.Fatalf("update: %v", err)
				}
				near(t, "log evidence", p.LogEvidence(), math.Log(want.p), 1e-10)
				nearAll(t, "causes", p.Causes(), want.cause, 1e-10)
				for j := range m.Mechanisms {
					near(t, m.Mechanisms[j].ID, p.Mechanism(j), want.mechanism[j], 1e-10)
				}
				for f := range m.Findings {
					nearAll(t, m.Findings[f].ID, p.Predict(f), want.finding[f], 1e-10)
				}
				sized := make([]float64, size+1)
				for _, s := range p.Sets(len(want.set)) {
					sized[len(s.Causes)] += s.P
				}
				for k := 1; k <= size; k++ {
					near(t, "sets of a size", p.Size(k), sized[k], 1e-12)
				}
			}))
		}
	}
}

// TestLawsOfValues: what a question is worth is never negative, what it predicts sums to
// one, and its weights of evidence are what follows when the answer comes.
func TestLawsOfValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, _, e, ev, _, _ := possible(t)
		scopes, damage := drawScopes(t, &m)
		p := update(t, e, ev)
		odds := func(p float64) float64 { return 10 * math.Log10(p/(1-p)) }
		for _, q := range must(e.Values(p, scopes, damage)) {
			f := &m.Findings[q.Finding]
			near(t, "sum of predicted", sum(q.Predicted), 1, 1e-12)
			if q.EVSI < 0 || q.EntropyGainBits < 0 || q.SameDecision < 0 || q.SameDecision > 1 {
				t.Fatalf("out of range: %+v", q)
			}
			rho := f.Reliability
			if rho == 0 {
				rho = 1
			}
			for a, predicted := range q.Predicted {
				if predicted < 1e-6 {
					continue
				}
				after := update(t, e, ev.With(q.Finding, Reliable(len(q.Predicted), a, rho)))
				if q.TopPerAnswer[a] != after.Ranked()[0] {
					t.Fatalf("%s: cause %d first after answer %d, want %d", f.ID, q.TopPerAnswer[a], a, after.Ranked()[0])
				}
				for c := range m.Causes {
					before, then := p.Cause(c), after.Cause(c)
					if min(before, then) < 1e-6 || max(before, then) > 1-1e-6 {
						continue // odds of certainties are all rounding
					}
					near(t, "decibans", q.Decibans(c, a), odds(then)-odds(before), 1e-7)
				}
			}
		}
	})
}

// present is the model in which exactly these causes are there.
func present(m *Model, causes []int) Model {
	out := Model{AllowHard: m.AllowHard, SizePrior: make([]float64, len(causes)+1)}
	out.SizePrior[len(causes)] = 1
	at := map[int]int{}
	for i, c := range causes {
		at[c] = i
		out.Causes = append(out.Causes, Cause{ID: m.Causes[c].ID, Weight: 1})
	}
	for _, j := range m.Mechanisms {
		links := j.Links
		j.Links = nil
		for _, l := range links {
			if i, ok := at[l.Cause]; ok {
				j.Links = append(j.Links, Link{Cause: i, Lambda: l.Lambda})
			}
		}
		out.Mechanisms = append(out.Mechanisms, j)
	}
	for _, f := range m.Findings {
		if f.Form != Max {
			continue
		}
		if f.Over == OverCauses {
			rows := f.Rows
			f.Rows = nil
			for _, r := range rows {
				if i, ok := at[r.Parent]; ok {
					r.Parent = i
					f.Rows = append(f.Rows, r)
				}
			}
		}
		out.Findings = append(out.Findings, f)
	}
	return out
}

// TestOneCauseMore: with one cause more no mechanism and no ordered sign gets less likely,
// over causes or over mechanisms.
func TestOneCauseMore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawModelOf(t, rapid.IntRange(2, MaxSetSize).Draw(t, "size"), false)
		all := make([]int, len(m.Causes))
		for c := range all {
			all[c] = c
		}
		causes := rapid.Permutation(all).Draw(t, "causes there")[:len(m.SizePrior)-1]
		big, small := present(&m, causes), present(&m, causes[1:])
		more, less := update(t, compile(t, big), Evidence{}), update(t, compile(t, small), Evidence{})
		for j := range m.Mechanisms {
			if more.Mechanism(j) < less.Mechanism(j)-1e-12 {
				t.Fatalf("%s falls from %v to %v", m.Mechanisms[j].ID, less.Mechanism(j), more.Mechanism(j))
			}
		}
		for f := range big.Findings {
			a, b := more.Predict(f), less.Predict(f)
			for k := range a {
				if sum(a[k:]) < sum(b[k:])-1e-12 {
					t.Fatalf("%s: answers from %d up fall from %v to %v", big.Findings[f].ID, k, sum(b[k:]), sum(a[k:]))
				}
			}
		}
	})
}

// TestOrderOfFindings: a model whose findings stand in another order says the same of
// everything, to the last bit. Most findings are answered, for two factors may change
// places unseen and three may not.
func TestOrderOfFindings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawModelOf(t, rapid.IntRange(1, MaxSetSize).Draw(t, "size"), false)
		e := compile(t, m)
		ev, said := drawEvidence(t, &m)
		for f := range m.Findings {
			if n := len(m.Findings[f].Answers); rapid.IntRange(0, 7).Draw(t, "open") > 0 {
				said[f] = rapid.IntRange(0, n-1).Draw(t, "answer")
				ev.Likelihood[f] = drawRow(t, n, false)
			}
		}
		scopes, damage := drawScopes(t, &m)
		place := make([]int, len(m.Findings))
		for i := range place {
			place[i] = i
		}
		place = rapid.Permutation(place).Draw(t, "order of findings")
		other := m
		other.Findings = nil
		moved, movedSaid := Evidence{Joint: ev.Joint}, map[int]int{}
		to := map[int]int{}
		for i, from := range place {
			to[from] = i
			other.Findings = append(other.Findings, m.Findings[from])
			moved = moved.With(i, ev.Likelihood[from])
			if a, ok := said[from]; ok {
				movedSaid[i] = a
			}
		}
		e2 := compile(t, other)
		p, q := update(t, e, ev), update(t, e2, moved)
		same := func(what string, a, b any) {
			t.Helper()
			if !reflect.DeepEqual(a, b) {
				t.Fatalf("%s: %v, in another order %v", what, a, b)
			}
		}
		same("sets", p.Sets(100), q.Sets(100))
		same("evidence", p.LogEvidence(), q.LogEvidence())
		same("entropy", p.EntropyBits(), q.EntropyBits())
		same("decision", must(e.Decide(p, scopes, damage)), must(e2.Decide(q, scopes, damage)))
		for f := range m.Findings {
			same("prediction", p.Predict(f), q.Predict(to[f]))
		}
		values := map[int]QuestionValue{}
		for _, v := range must(e2.Values(q, scopes, damage)) {
			values[v.Finding] = v
		}
		for _, v := range must(e.Values(p, scopes, damage)) {
			w := values[to[v.Finding]]
			w.Finding = v.Finding
			same("value", v, w)
		}
		weights := must(e2.Weights(moved))
		for f, row := range must(e.Weights(ev))[:len(m.Findings)] {
			same("weights", row, weights[to[f]])
		}
		flips := map[[2]int]Flip{}
		for _, x := range must(e2.Flips(moved, movedSaid)) {
			flips[[2]int{x.Finding, x.Answer}] = x
		}
		for _, x := range must(e.Flips(ev, said)) {
			y := flips[[2]int{to[x.Finding], x.Answer}]
			y.Finding = x.Finding
			same("flip", x, y)
		}
	})
}
