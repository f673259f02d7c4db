package infer

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
)

// ErrImpossible says that the evidence has probability zero under the model.
var ErrImpossible = errors.New("the evidence has probability zero under the model")

// Evidence is what has been reported so far.
//
// Evidence items are numbered: item f below the number of findings is the
// likelihood of finding f, and the item after the last finding is Joint[0].
type Evidence struct {
	// Likelihood[f][a] is P(what was reported | the true answer of finding f
	// is a), up to a constant. A finding without an entry is open. A vector of
	// equal numbers ("do not know") moves nothing, but the finding counts as
	// asked and is not proposed again.
	Likelihood map[int][]float64
	Joint      []JointEvidence
}

// JointEvidence bears directly on one or two mechanisms, for example a
// measurement compared with a physical prediction.
type JointEvidence struct {
	Mechanisms []int
	// Lambda has one entry per joint state, last mechanism fastest, each
	// running off, on.
	Lambda []float64
}

// With returns a copy of the evidence in which finding f has the given
// likelihood. A nil vector makes the finding open again.
func (ev Evidence) With(f int, lambda []float64) Evidence {
	likelihood := maps.Clone(ev.Likelihood)
	if likelihood == nil {
		likelihood = map[int][]float64{}
	}
	if lambda == nil {
		delete(likelihood, f)
	} else {
		likelihood[f] = lambda
	}
	return Evidence{Likelihood: likelihood, Joint: ev.Joint}
}

// Reliable is the likelihood of an answer from a source that is right with
// probability rho and otherwise picks any answer: rho*[a=said] + (1-rho)/n.
// If said is not an answer ("do not know"), all entries are 1.
func Reliable(answers, said int, rho float64) []float64 {
	lambda := make([]float64, answers)
	for a := range lambda {
		switch {
		case said < 0 || said >= answers:
			lambda[a] = 1
		case a == said:
			lambda[a] = rho + (1-rho)/float64(answers)
		default:
			lambda[a] = (1 - rho) / float64(answers)
		}
	}
	return lambda
}

// Multiply joins independent reports of the same fact. The result does not
// depend on the order of the vectors, not even in the last bit. It fails if
// their lengths differ or if there are none.
func Multiply(vectors ...[]float64) ([]float64, error) {
	if len(vectors) == 0 {
		return nil, errors.New("no likelihood vectors to multiply")
	}
	product := make([]float64, len(vectors[0]))
	factors := make([]float64, len(vectors))
	for a := range product {
		for i, v := range vectors {
			if len(v) != len(product) {
				return nil, fmt.Errorf("likelihood vectors of %d and %d answers cannot be multiplied", len(product), len(v))
			}
			factors[i] = v[a]
		}
		slices.Sort(factors) // floating-point products depend on the order
		product[a] = 1
		for _, x := range factors {
			product[a] *= x
		}
	}
	return product, nil
}

// flat says whether a likelihood vector moves nothing.
func flat(lambda []float64) bool {
	for _, x := range lambda[1:] {
		if x != lambda[0] {
			return false
		}
	}
	return true
}

func checkLikelihood(lambda []float64, want int) error {
	if len(lambda) != want {
		return fmt.Errorf("%d likelihoods, want %d", len(lambda), want)
	}
	top := 0.0
	for a, x := range lambda {
		if !finite(x) || x < 0 {
			return fmt.Errorf("likelihood %d is %g, want a number from 0 up", a, x)
		}
		top = max(top, x)
	}
	if top == 0 {
		return ErrImpossible
	}
	return nil
}

// observed is checked evidence in the engine's own layout.
type observed struct {
	finding [][]float64 // by finding, raised to the power of the model, nil if open
	heard   [][]float64 // the same as it was reported
	joint   []jointItem // in an order that does not depend on arrival
}

type jointItem struct {
	item  int                // evidence item number
	state [maxStates]float64 // likelihood by mechanism state
	mass  []float64          // Lambda as given
	at    [maxStates]uint8   // index into mass by mechanism state
}

// observe checks the evidence and copies it.
func (e *Engine) observe(ev Evidence) (*observed, error) {
	o := &observed{finding: make([][]float64, len(e.model.Findings)), heard: make([][]float64, len(e.model.Findings))}
	for _, f := range slices.Sorted(maps.Keys(ev.Likelihood)) {
		lambda := ev.Likelihood[f]
		if f < 0 || f >= len(e.model.Findings) {
			return nil, fmt.Errorf("evidence on finding %d, want 0 to %d", f, len(e.model.Findings)-1)
		}
		if lambda == nil {
			continue
		}
		if err := checkLikelihood(lambda, len(e.model.Findings[f].Answers)); err != nil {
			return nil, fmt.Errorf("evidence on finding %q: %w", e.model.Findings[f].ID, err)
		}
		o.heard[f] = slices.Clone(lambda)
		o.finding[f] = e.powered(lambda)
	}
	for k, j := range ev.Joint {
		item, err := e.jointItem(len(e.model.Findings)+k, j)
		if err != nil {
			return nil, fmt.Errorf("joint evidence %d: %w", k, err)
		}
		o.joint = append(o.joint, item)
	}
	slices.SortStableFunc(o.joint, func(a, b jointItem) int {
		return cmp.Or(slices.Compare(a.at[:], b.at[:]), slices.Compare(a.mass, b.mass))
	})
	return o, nil
}

func (e *Engine) jointItem(item int, j JointEvidence) (jointItem, error) {
	out := jointItem{item: item}
	if len(j.Mechanisms) < 1 || len(j.Mechanisms) > 2 {
		return out, fmt.Errorf("bears on %d mechanisms, want 1 or 2", len(j.Mechanisms))
	}
	for i, m := range j.Mechanisms {
		if m < 0 || m >= len(e.model.Mechanisms) {
			return out, fmt.Errorf("mechanism %d, want 0 to %d", m, len(e.model.Mechanisms)-1)
		}
		if i == 1 && m == j.Mechanisms[0] {
			return out, fmt.Errorf("mechanism %d is named twice", m)
		}
	}
	if err := checkLikelihood(j.Lambda, 1<<len(j.Mechanisms)); err != nil {
		return out, err
	}
	out.mass = slices.Clone(j.Lambda)
	powered := e.powered(j.Lambda)
	for x := range e.states {
		at := 0
		for _, m := range j.Mechanisms {
			at = at<<1 | x>>m&1
		}
		out.at[x] = uint8(at)
		out.state[x] = powered[at]
	}
	return out, nil
}

// items lists the numbers of all evidence items present, lowest first.
func (e *Engine) items(o *observed) []int {
	var list []int
	for f, lambda := range o.finding {
		if lambda != nil {
			list = append(list, f)
		}
	}
	for k := range o.joint {
		list = append(list, len(o.finding)+k)
	}
	return list
}

// powered is a likelihood raised to the power of the model.
func (e *Engine) powered(lambda []float64) []float64 {
	out := slices.Clone(lambda)
	if power := e.model.Power; power != 0 && power != 1 {
		for a, x := range out {
			out[a] = math.Pow(x, power)
		}
	}
	return out
}

// likelihood gives the vector of an evidence item as it was reported, nil if there is
// none.
func (o *observed) likelihood(item int) []float64 {
	if item < len(o.finding) {
		return o.heard[item]
	}
	return o.jointByItem(item).mass
}

func (o *observed) jointByItem(item int) *jointItem {
	for k := range o.joint {
		if o.joint[k].item == item {
			return &o.joint[k]
		}
	}
	return nil
}
