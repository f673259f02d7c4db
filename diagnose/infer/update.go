package infer

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"sync"
)

// rescaleEvery is the number of factors multiplied between two rescalings. No
// product of so few probabilities leaves the range of float64.
const rescaleEvery = 4

// rescale divides all numbers by the power of two just above the largest and
// returns the exponent. Dividing by a power of two is exact. It reports false
// if all numbers are zero.
func rescale(v []float64) (exponent int, ok bool) {
	top := 0.0
	for _, x := range v {
		top = max(top, x)
	}
	if top == 0 {
		return 0, false
	}
	_, exponent = math.Frexp(top)
	scale := math.Ldexp(1, -exponent)
	for i := range v {
		v[i] *= scale
	}
	return exponent, true
}

// product multiplies one factor after another and rescales on the way.
type product struct {
	value    []float64
	exponent int
	constant float64 // multiplies all, beside the exponent
	pending  int
	settled  bool // rescaled once at least
	possible bool
}

func newProduct(value []float64) *product { return &product{value: value, constant: 1, possible: true} }

func (p *product) multiplied() {
	p.pending++
	if p.pending == rescaleEvery {
		p.settle()
	}
}

// scale multiplies all by one number above zero, without touching each.
func (p *product) scale(x float64) {
	mantissa, k := math.Frexp(p.constant * x)
	p.constant = mantissa
	p.exponent += k
}

func (p *product) settle() {
	if p.settled && p.pending == 0 {
		return
	}
	p.settled = true
	k, ok := rescale(p.value)
	p.exponent += k
	p.possible = p.possible && ok
	p.pending = 0
}

// rowLikelihood fills out with sum_a lambda(a) P(a|row) for every row.
func (t *findingTable) rowLikelihood(lambda, out []float64) []float64 {
	out = out[:0]
	for k := 0; k < len(t.rows); k += t.answers {
		sum := 0.0
		for a, x := range lambda {
			sum += float64(x * t.rows[k+a])
		}
		out = append(out, sum)
	}
	return out
}

// moves says whether the vector of a finding changes anything and belongs to
// the given kind of parents.
func (e *Engine) moves(o *observed, f int, over Parents) bool {
	return o.finding[f] != nil && e.model.Findings[f].Over == over && !flat(o.finding[f])
}

func ones(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = 1
	}
	return v
}

func all(int) bool { return true }

// Posterior is the result of Update. It never changes.
type Posterior struct {
	engine *Engine
	seen   *observed

	mass      []float64 // P(S|e) by set
	direct    []float64 // P(S) * likelihood of the cause findings, in units of total
	state     []float64 // E(x), scaled
	byState   []float64 // P(x|e)
	cause     []float64
	mechanism []float64
	evidence  float64

	byCauseOnce sync.Once
	byCause     [][]float64 // see statesByCause
	sharedOnce  sync.Once
	shared      *shared
}

// shares is how the mass lies on causes and pairs. It is worked out once.
func (p *Posterior) shares() *shared {
	p.sharedOnce.Do(func() { p.shared = p.engine.sets.share(p.mass) })
	return p.shared
}

// Update computes the posterior from the prior and all evidence. It fails if
// the evidence does not fit the model, and with ErrImpossible if it has
// probability zero.
func (e *Engine) Update(ev Evidence) (*Posterior, error) {
	o, err := e.observe(ev)
	if err != nil {
		return nil, err
	}
	return e.update(o)
}

func (e *Engine) update(o *observed) (*Posterior, error) {
	p := &Posterior{engine: e, seen: o}
	p.direct = slices.Clone(e.prior)
	direct := e.applyToSets(o, p.direct, all)
	p.state = ones(e.states)
	state := e.applyToStates(o, p.state, all)
	if !direct.possible || !state.possible {
		return nil, ErrImpossible
	}
	tables := make([]float64, e.lattice.size)
	byKind := make([]float64, len(e.kinds.list))
	e.mechanismLikelihood(p.state, tables, byKind)
	p.mass = make([]float64, len(p.direct))
	massOf := make([]float64, len(byKind)) // P(S) and its cause findings, by kind
	total := e.joinKinds(p.direct, byKind, p.mass, massOf)
	if !(total > 0) {
		return nil, ErrImpossible
	}
	scale := 1 / total
	for s := range p.mass {
		p.mass[s] *= scale
	}
	for s := range p.direct {
		p.direct[s] *= scale
	}
	for k := range massOf {
		massOf[k] *= scale
	}
	p.evidence = math.Log(total) + math.Log(direct.constant) + float64(float64(direct.exponent+state.exponent)*math.Ln2)
	for _, item := range e.items(o) {
		if lambda := o.likelihood(item); flat(lambda) {
			p.evidence += math.Log(e.powered(lambda)[0])
		}
	}
	p.cause = make([]float64, len(e.model.Causes))
	e.sets.sumByCause(p.mass, p.cause)
	e.fillStates(p, e.spreadKinds(massOf, tables))
	return p, nil
}

// fillStates computes P(x|e) and the mechanism marginals.
func (e *Engine) fillStates(p *Posterior, mass []float64) {
	p.byState = make([]float64, e.states)
	p.mechanism = make([]float64, len(e.model.Mechanisms))
	for x := range p.byState {
		p.byState[x] = mass[x] * p.state[x]
		for j := range p.mechanism {
			if x>>j&1 == 1 {
				p.mechanism[j] += p.byState[x]
			}
		}
	}
}

// Cause is P(cause i is present | evidence).
func (p *Posterior) Cause(i int) float64 { return p.cause[i] }

// Causes are all cause marginals. They sum to the expected number of causes,
// not to 1.
func (p *Posterior) Causes() []float64 { return slices.Clone(p.cause) }

// Mechanism is P(mechanism j is on | evidence).
func (p *Posterior) Mechanism(j int) float64 { return p.mechanism[j] }

// LogEvidence is the natural logarithm of P(evidence), each item raised to the power of
// the model.
func (p *Posterior) LogEvidence() float64 { return p.evidence }

// Size is P(exactly k causes are present | evidence).
func (p *Posterior) Size(k int) float64 {
	sum := 0.0
	for i := range p.engine.sets.runs {
		if r := &p.engine.sets.runs[i]; r.size() == k {
			for _, m := range p.mass[r.from:r.to] {
				sum += m
			}
		}
	}
	return sum
}

// Alone splits all sets by the labels, one for each cause from 0 up, of their members:
// the probability that all causes present have a label, and last that they differ.
func (p *Posterior) Alone(label []int, labels int) []float64 {
	out := make([]float64, labels+1)
	for i := range p.engine.sets.runs {
		r := &p.engine.sets.runs[i]
		lead := -1
		for _, c := range r.lead[:r.leads] {
			if lead >= 0 && label[c] != lead {
				lead = labels
				break
			}
			lead = label[c]
		}
		for k, m := range p.mass[r.from:r.to] {
			own := label[r.last+k]
			if lead >= 0 && own != lead {
				own = labels
			}
			out[own] += m
		}
	}
	return out
}

// EntropyBits is the sum of the binary entropies of the cause marginals.
func (p *Posterior) EntropyBits() float64 { return entropyOfMarginals(p.cause) }

func entropyOfMarginals(cause []float64) float64 {
	sum := 0.0
	for _, x := range cause {
		sum += plogp(x) + plogp(1-x)
	}
	return sum
}

// plogp is -x log2 x, and 0 at and below 0.
func plogp(x float64) float64 {
	if x <= 0 {
		return 0
	}
	return -x * math.Log2(x)
}

// rounded makes numbers that differ by rounding only compare equal.
func rounded(x float64) float64 { return math.Round(x * 1e9) }

// Ranked lists all causes, the most probable first. Causes that agree to 1e-9
// stand in the order of their ids.
func (p *Posterior) Ranked() []int {
	list := make([]int, len(p.cause))
	for i := range list {
		list[i] = i
	}
	slices.SortFunc(list, func(a, b int) int { return p.engine.compareCauses(p.cause, a, b) })
	return list
}

func (e *Engine) compareCauses(probability []float64, a, b int) int {
	return cmp.Or(cmp.Compare(rounded(probability[b]), rounded(probability[a])),
		cmp.Compare(e.model.Causes[a].ID, e.model.Causes[b].ID))
}

func (e *Engine) topCause(probability []float64) int {
	top := 0
	for c := 1; c < len(probability); c++ {
		if e.compareCauses(probability, c, top) < 0 {
			top = c
		}
	}
	return top
}

// CauseSet is a set of causes with its probability.
type CauseSet struct {
	Causes []int
	IDs    []string
	P      float64
}

// Sets returns the n most probable cause sets. Sets that agree to 1e-9 stand in
// the order of their ids.
func (p *Posterior) Sets(n int) []CauseSet {
	var best []CauseSet
	for s, m := range p.mass {
		if len(best) == n && (n == 0 || rounded(m) < rounded(best[n-1].P)) {
			continue
		}
		candidate := p.causeSet(s)
		at, _ := slices.BinarySearchFunc(best, candidate, compareSets)
		best = slices.Insert(best, at, candidate)
		best = best[:min(len(best), n)]
	}
	return best
}

func compareSets(a, b CauseSet) int {
	return cmp.Or(cmp.Compare(rounded(b.P), rounded(a.P)), strings.Compare(strings.Join(a.IDs, "\x00"), strings.Join(b.IDs, "\x00")))
}

func (p *Posterior) causeSet(s int) CauseSet {
	set := CauseSet{P: p.mass[s]}
	set.Causes = p.engine.sets.members(s, nil)
	for _, c := range set.Causes {
		set.IDs = append(set.IDs, p.engine.model.Causes[c].ID)
	}
	return set
}

// Predict is the distribution of the true answer of finding f given all
// evidence, what was reported on f itself included.
func (p *Posterior) Predict(f int) []float64 {
	e := p.engine
	var total []float64 // of the true answer, given the other evidence
	if e.model.Findings[f].Over == OverCauses {
		joint := e.crossOthers(p, f)
		total = joint.total()
	} else {
		t := &e.finding[f]
		byRow := make([]float64, len(t.rows)/t.answers)
		for x, m := range p.byState {
			byRow[t.state[x]] += m
		}
		lambda := p.seen.finding[f]
		if lambda == nil {
			lambda = ones(t.answers)
		}
		total = make([]float64, t.answers)
		for k, l := range t.rowLikelihood(lambda, nil) {
			if byRow[k] == 0 {
				continue // also where the likelihood is zero
			}
			for a, q := range t.row(int32(k)) {
				total[a] += float64(byRow[k] * q / l)
			}
		}
	}
	out := slices.Clone(total)
	sum := 0.0
	for a := range out {
		if lambda := p.seen.finding[f]; lambda != nil {
			out[a] *= lambda[a]
		}
		sum += out[a]
	}
	for a := range out {
		out[a] /= sum
	}
	return out
}
