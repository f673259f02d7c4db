package infer

import (
	"cmp"
	"errors"
	"fmt"
	"math"
)

// Scope is a possible repair.
type Scope struct {
	ID   string
	Cost float64 // pounds
	// Fix[c] is the probability that the scope cures cause c if it is present.
	Fix []float64
}

// Decision compares scopes by expected loss in pounds,
// cost + sum over causes of (1-fix)*damage*P(cause).
type Decision struct {
	Loss []float64 // by scope
	Best int
	// RunnerUp is the second best scope, -1 if there is only one.
	RunnerUp int
	// Margin is the loss of the runner-up less the loss of the best.
	Margin float64
	// EVPI is the expected value of knowing the true set: nothing that could
	// still be asked is worth more.
	EVPI float64
	// MassWhereBestIsIdeal is the probability that the chosen scope is the one
	// that would be chosen if the true set were known.
	MassWhereBestIsIdeal float64
	// Ideal is, by scope, the probability that it is one that would be chosen if
	// the true set were known.
	Ideal []float64
}

// tie is the difference in pounds below which two scopes count as equally good
// for a known set.
const tie = 1e-9

// choice is a set of scopes with their losses prepared.
type choice struct {
	scopes []Scope
	loss   [][]float64 // (1-fix)*damage by scope and cause
}

func (e *Engine) newChoice(scopes []Scope, damage []float64) (*choice, error) {
	if len(scopes) == 0 {
		return nil, errors.New("no scopes to choose from")
	}
	n := len(e.model.Causes)
	if len(damage) != n {
		return nil, fmt.Errorf("%d damages for %d causes", len(damage), n)
	}
	for c, d := range damage {
		if !finite(d) || d < 0 {
			return nil, fmt.Errorf("damage of cause %q: %g is not a sum of money", e.model.Causes[c].ID, d)
		}
	}
	ch := &choice{scopes: scopes, loss: make([][]float64, len(scopes))}
	seen := map[string]bool{}
	for r, s := range scopes {
		if seen[s.ID] {
			return nil, fmt.Errorf("scope %q appears twice", s.ID)
		}
		seen[s.ID] = true
		if !finite(s.Cost) {
			return nil, fmt.Errorf("scope %q: cost %g is not a sum of money", s.ID, s.Cost)
		}
		if len(s.Fix) != n {
			return nil, fmt.Errorf("scope %q: %d fix probabilities for %d causes", s.ID, len(s.Fix), n)
		}
		ch.loss[r] = make([]float64, n)
		for c, fix := range s.Fix {
			if !(fix >= 0 && fix <= 1) {
				return nil, fmt.Errorf("scope %q: fix %g of cause %q is not in 0 to 1", s.ID, fix, e.model.Causes[c].ID)
			}
			ch.loss[r][c] = (1 - fix) * damage[c]
		}
	}
	return ch, nil
}

// expected fills out with the expected loss of every scope.
func (ch *choice) expected(cause, out []float64) []float64 {
	out = out[:0]
	for r, s := range ch.scopes {
		sum := s.Cost
		for c, p := range cause {
			sum += float64(ch.loss[r][c] * p)
		}
		out = append(out, sum)
	}
	return out
}

// less orders scopes by loss, and by id where losses agree to 1e-9.
func (ch *choice) less(loss []float64, a, b int) bool {
	return cmp.Or(cmp.Compare(rounded(loss[a]), rounded(loss[b])), cmp.Compare(ch.scopes[a].ID, ch.scopes[b].ID)) < 0
}

// best is the scope of least loss other than skip, -1 if there is none.
func (ch *choice) best(loss []float64, skip int) int {
	best := -1
	for r := range loss {
		if r != skip && (best < 0 || ch.less(loss, r, best)) {
			best = r
		}
	}
	return best
}

// Decide compares the scopes under the posterior. It fails if scopes or damages
// do not fit the causes. damage is in pounds by cause.
func (e *Engine) Decide(p *Posterior, scopes []Scope, damage []float64) (Decision, error) {
	ch, err := e.newChoice(scopes, damage)
	if err != nil {
		return Decision{}, err
	}
	return e.decide(p, ch), nil
}

func (e *Engine) decide(p *Posterior, ch *choice) Decision {
	d := Decision{Loss: ch.expected(p.cause, nil), Ideal: make([]float64, len(ch.scopes))}
	d.Best = ch.best(d.Loss, -1)
	d.RunnerUp = ch.best(d.Loss, d.Best)
	if d.RunnerUp >= 0 {
		d.Margin = d.Loss[d.RunnerUp] - d.Loss[d.Best]
	}
	informed := 0.0
	n := len(ch.scopes)
	byCause := make([]float64, len(p.cause)*n) // (1-fix)*damage by cause and scope
	for r := range n {
		for c := range p.cause {
			byCause[c*n+r] = ch.loss[r][c]
		}
	}
	lead, loss := make([]float64, n), make([]float64, n)
	for i := range e.sets.runs {
		run := &e.sets.runs[i]
		for r := range lead {
			lead[r] = ch.scopes[r].Cost
			for _, c := range run.lead[:run.leads] {
				lead[r] += byCause[c*n+r]
			}
		}
		for k, m := range p.mass[run.from:run.to] {
			if m == 0 {
				continue
			}
			own := byCause[(run.last+k)*n:][:n]
			least := math.Inf(1)
			for r, l := range lead {
				l += own[r]
				loss[r] = l
				if l < least {
					least = l
				}
			}
			informed += float64(m * least)
			for r, l := range loss {
				if l <= least+tie {
					d.Ideal[r] += m
				}
			}
		}
	}
	for r, m := range d.Ideal {
		d.Ideal[r] = min(1, m) // above one by rounding only
	}
	d.MassWhereBestIsIdeal = d.Ideal[d.Best]
	d.EVPI = max(0, d.Loss[d.Best]-informed) // below zero by rounding only
	return d
}

// Stage is a repair that is watched: do First now and see whether the trouble
// comes back.
type Stage struct {
	First int // scope
	// Notice is the probability that the weather that triggers the trouble
	// comes within the window and a recurrence is noticed.
	Notice float64
	// WaitDamage in pounds is suffered if the trouble recurs.
	WaitDamage float64
}

// StagedValue is the worth of a Stage.
type StagedValue struct {
	FailSeen       float64   // probability that a failure is seen
	CauseAfterFail []float64 // cause marginals after a failure was seen
	Then           int       // best other scope after a failure was seen
	LossThen       float64   // its expected loss in pounds
	// Value is the expected loss of the whole plan in pounds:
	// cost + FailSeen*(WaitDamage+LossThen) + the damage of failures not seen.
	Value float64
}

// Staged values a staged repair. The first scope cures a set only if it cures
// all its causes; partial cures are ignored, which is slightly pessimistic. If
// no failure can be seen, Then is -1. It fails on unfit scopes or probabilities.
func (e *Engine) Staged(p *Posterior, scopes []Scope, damage []float64, st Stage) (StagedValue, error) {
	ch, err := e.newChoice(scopes, damage)
	if err != nil {
		return StagedValue{}, err
	}
	if st.First < 0 || st.First >= len(scopes) || len(scopes) < 2 {
		return StagedValue{}, fmt.Errorf("a stage needs its first scope and another one, got scope %d of %d", st.First, len(scopes))
	}
	if !(st.Notice >= 0 && st.Notice <= 1) || !finite(st.WaitDamage) {
		return StagedValue{}, fmt.Errorf("stage: notice %g or wait damage %g is out of range", st.Notice, st.WaitDamage)
	}
	fix := scopes[st.First].Fix
	failed := make([]float64, len(p.mass))
	fails, unseenDamage := 0.0, 0.0
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		lead, leadHarm := 1.0, 0.0
		for _, c := range r.lead[:r.leads] {
			lead *= fix[c]
			leadHarm += damage[c]
		}
		for s := r.from; s < r.to; s++ {
			c := r.last + s - r.from
			failed[s] = p.mass[s] * (1 - lead*fix[c])
			fails += failed[s]
			unseenDamage += float64(failed[s] * (leadHarm + damage[c]))
		}
	}
	v := StagedValue{FailSeen: st.Notice * fails, CauseAfterFail: make([]float64, len(p.cause)), Then: -1}
	v.Value = scopes[st.First].Cost + float64((1-st.Notice)*unseenDamage)
	if v.FailSeen == 0 {
		return v, nil
	}
	for s := range failed {
		failed[s] /= fails
	}
	e.sets.sumByCause(failed, v.CauseAfterFail)
	loss := ch.expected(v.CauseAfterFail, nil)
	v.Then = ch.best(loss, st.First)
	v.LossThen = loss[v.Then]
	v.Value += float64(v.FailSeen * (st.WaitDamage + v.LossThen))
	return v, nil
}
