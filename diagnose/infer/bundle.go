package infer

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
)

// Look is one open finding in a bundle, and the reliability with which its answer
// would come. See Reliable.
type Look struct {
	Finding     int
	Reliability float64
}

// BundleValue is what several open findings together are worth.
type BundleValue struct {
	// EVSI is the expected loss saved by knowing all the answers, in pounds, and SE
	// the standard error of that mean.
	EVSI, SE float64
	// SameDecision is the share of the draws that leave the scope as it is.
	SameDecision float64
}

// Bundle values a visit: all its findings are answered at once, for one price. The
// answers work together, so they cannot be valued one by one. The value is a mean over
// draws from the posterior, the same for the same seed. It fails like Values, and if a
// look does not fit the model.
func (e *Engine) Bundle(p *Posterior, looks []Look, scopes []Scope, damage []float64, draws int, seed uint64) (BundleValue, error) {
	ch, err := e.newChoice(scopes, damage)
	if err != nil {
		return BundleValue{}, err
	}
	if draws < 2 {
		return BundleValue{}, errors.New("a bundle needs two draws at least")
	}
	looks = slices.Clone(looks)
	slices.SortFunc(looks, func(a, b Look) int { return a.Finding - b.Finding })
	for _, l := range looks {
		if l.Finding < 0 || l.Finding >= len(e.model.Findings) || p.seen.finding[l.Finding] != nil {
			return BundleValue{}, fmt.Errorf("finding %d of a bundle is not an open one", l.Finding)
		}
		if !(l.Reliability > 0 && l.Reliability <= 1) {
			return BundleValue{}, fmt.Errorf("finding %d of a bundle: reliability %g is not over 0 and up to 1", l.Finding, l.Reliability)
		}
	}
	w := newWorlds(p, seed)
	loss := ch.expected(p.cause, nil)
	best := ch.best(loss, -1)
	v := BundleValue{}
	square := 0.0
	for range draws {
		set, state := w.draw()
		o := p.seen
		for _, l := range looks {
			n := len(e.model.Findings[l.Finding].Answers)
			o = o.with(e, l.Finding, Reliable(n, w.hear(l, set, state), l.Reliability))
		}
		after, err := e.update(o)
		if err != nil {
			return BundleValue{}, err
		}
		loss = ch.expected(after.cause, loss)
		choose := ch.best(loss, -1)
		saved := loss[best] - loss[choose]
		v.EVSI += saved
		square += saved * saved
		if choose == best {
			v.SameDecision++
		}
	}
	n := float64(draws)
	v.EVSI /= n
	v.SE = math.Sqrt(max(0, square/n-v.EVSI*v.EVSI) / (n - 1))
	v.SameDecision /= n
	return v, nil
}

// worlds draws sets and mechanism states from a posterior.
type worlds struct {
	p      *Posterior
	random *rand.Rand
	upTo   []float64 // running sum of the mass
}

func newWorlds(p *Posterior, seed uint64) *worlds {
	w := &worlds{p: p, random: rand.New(rand.NewPCG(seed, 0)), upTo: make([]float64, len(p.mass))}
	sum := 0.0
	for s, m := range p.mass {
		sum += m
		w.upTo[s] = sum
	}
	return w
}

// draw takes a set of causes, and a joint state of the mechanisms that goes with it and
// with all evidence.
func (w *worlds) draw() (causes []int, state int) {
	e := w.p.engine
	s, _ := slices.BinarySearch(w.upTo, w.random.Float64()*w.upTo[len(w.upTo)-1])
	causes = e.sets.members(min(s, len(w.upTo)-1), nil)
	weight := make([]float64, e.states)
	total := 0.0
	for x := range weight {
		weight[x] = w.p.state[x]
		for j, m := range e.model.Mechanisms {
			quiet := 1 - m.Leak
			for _, l := range m.Links {
				if slices.Contains(causes, l.Cause) {
					quiet *= 1 - l.Lambda
				}
			}
			on := m.Gate * (1 - quiet)
			if x>>j&1 == 0 {
				on = 1 - on
			}
			weight[x] *= on
		}
		total += weight[x]
	}
	at := w.random.Float64() * total
	for x, v := range weight {
		if at -= v; at < 0 && v > 0 {
			return causes, x
		}
	}
	return causes, len(weight) - 1
}

// hear draws the answer to a finding as it would be heard.
func (w *worlds) hear(l Look, causes []int, state int) int {
	f := &w.p.engine.model.Findings[l.Finding]
	row := make([]float64, len(f.Answers))
	var present []int
	for k, parent := range f.parentList() {
		if f.Over == OverCauses && slices.Contains(causes, parent) || f.Over == OverMechanisms && state>>parent&1 == 1 {
			present = append(present, k)
		}
	}
	f.conditional(present, row)
	if w.random.Float64() >= l.Reliability {
		return w.random.IntN(len(row))
	}
	at := w.random.Float64()
	for a, q := range row {
		if at -= q; at < 0 && q > 0 {
			return a
		}
	}
	return len(row) - 1
}
