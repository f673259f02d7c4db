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
	pending  int
	possible bool
}

func newProduct(value []float64) *product { return &product{value: value, possible: true} }

func (p *product) multiplied() {
	p.pending++
	if p.pending == rescaleEvery {
		p.settle()
	}
}

func (p *product) settle() {
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

// applyToSets multiplies value, one number per set, by the likelihood of all
// cause findings for which use is true.
func (e *Engine) applyToSets(o *observed, value []float64, use func(item int) bool) *product {
	p := newProduct(value)
	var likelihood []float64
	for _, f := range e.order {
		if !e.moves(o, f, OverCauses) || !use(f) {
			continue
		}
		t := &e.finding[f]
		likelihood = t.rowLikelihood(o.finding[f], likelihood)
		for s, k := range t.at {
			value[s] *= likelihood[k]
		}
		p.multiplied()
	}
	p.settle()
	return p
}

// applyToStates multiplies value, one number per joint mechanism state, by the
// likelihood of all mechanism findings and joint items for which use is true.
func (e *Engine) applyToStates(o *observed, value []float64, use func(item int) bool) *product {
	p := newProduct(value)
	var likelihood []float64
	for _, f := range e.order {
		if !e.moves(o, f, OverMechanisms) || !use(f) {
			continue
		}
		t := &e.finding[f]
		likelihood = t.rowLikelihood(o.finding[f], likelihood)
		for x := range value {
			value[x] *= likelihood[t.state[x]]
		}
		p.multiplied()
	}
	for k := range o.joint {
		j := &o.joint[k]
		if flat(j.mass) || !use(j.item) {
			continue
		}
		for x := range value {
			value[x] *= j.state[x]
		}
		p.multiplied()
	}
	p.settle()
	return p
}

func ones(n int) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = 1
	}
	return v
}

func all(int) bool { return true }

// mechanismLikelihood fills out with sum_x P(x|S) E(x) for every set. tables is
// scratch of the lattice's size.
func (e *Engine) mechanismLikelihood(state, tables, out []float64) {
	copy(tables, state)
	e.lattice.fold(tables)
	for s := range out {
		out[s] = dot(e.weight[e.start[s]:e.start[s+1]], tables[e.lattice.nodes[e.node[s]].start:])
	}
}

// dot is the sum of v[i]*w[i] over the length of v. Four separate sums spare
// the processor waiting for each addition.
func dot(v, w []float64) float64 {
	w = w[:len(v)]
	sum := 0.0
	if len(v) >= 4 {
		var s0, s1, s2, s3 float64
		for len(v) >= 4 && len(w) >= 4 {
			s0 += float64(v[0] * w[0])
			s1 += float64(v[1] * w[1])
			s2 += float64(v[2] * w[2])
			s3 += float64(v[3] * w[3])
			v, w = v[4:], w[4:]
		}
		sum = (s0 + s1) + (s2 + s3)
	}
	for i, x := range v {
		sum += float64(x * w[i])
	}
	return sum
}

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
	p.mass = make([]float64, len(e.prior))
	e.mechanismLikelihood(p.state, tables, p.mass)
	total := 0.0
	for s, m := range p.mass {
		p.mass[s] = p.direct[s] * m
		total += p.mass[s]
	}
	if total == 0 {
		return nil, ErrImpossible
	}
	for s := range p.mass {
		p.mass[s] /= total
		p.direct[s] /= total
	}
	p.evidence = math.Log(total) + float64(float64(direct.exponent+state.exponent)*math.Ln2)
	for _, item := range e.items(o) {
		if lambda := o.likelihood(item); flat(lambda) {
			p.evidence += math.Log(lambda[0])
		}
	}
	p.cause = make([]float64, len(e.model.Causes))
	e.sumByCause(p.mass, p.cause)
	e.fillStates(p, tables)
	return p, nil
}

// sumByCause adds the mass of every set to each of its causes.
func (e *Engine) sumByCause(mass, cause []float64) {
	for i := range e.runs {
		r := &e.runs[i]
		sum := 0.0
		for k, m := range mass[r.from:r.to] {
			cause[int(r.last)+k] += m
			sum += m
		}
		for _, c := range r.lead[:r.leads] {
			cause[c] += sum
		}
	}
}

// fillStates computes P(x|e) and the mechanism marginals.
func (e *Engine) fillStates(p *Posterior, tables []float64) {
	clear(tables)
	used := make([]bool, len(e.lattice.nodes))
	for s, d := range p.direct {
		used[e.node[s]] = true
		w := e.weight[e.start[s]:e.start[s+1]]
		table := tables[e.lattice.nodes[e.node[s]].start:][:len(w)]
		for t, x := range w {
			table[t] += float64(d * x)
		}
	}
	e.lattice.spread(tables, used)
	p.byState = make([]float64, e.states)
	p.mechanism = make([]float64, len(e.model.Mechanisms))
	for x := range p.byState {
		p.byState[x] = tables[x] * p.state[x]
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

// LogEvidence is the natural logarithm of P(evidence).
func (p *Posterior) LogEvidence() float64 { return p.evidence }

// Size is P(exactly k causes are present | evidence).
func (p *Posterior) Size(k int) float64 {
	sum := 0.0
	for s := range p.mass {
		if p.engine.members[s].size == k {
			sum += p.mass[s]
		}
	}
	return sum
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
	for _, c := range p.engine.members[s].causes() {
		set.Causes = append(set.Causes, int(c))
		set.IDs = append(set.IDs, p.engine.model.Causes[c].ID)
	}
	return set
}

// Predict is the distribution of the true answer of finding f given all
// evidence, what was reported on f itself included.
func (p *Posterior) Predict(f int) []float64 {
	t := &p.engine.finding[f]
	byRow := make([]float64, len(t.rows)/t.answers)
	if t.at != nil {
		for s, k := range t.at {
			byRow[k] += p.mass[s]
		}
	} else {
		for x, m := range p.byState {
			byRow[t.state[x]] += m
		}
	}
	lambda := p.seen.finding[f]
	if lambda == nil || flat(lambda) {
		lambda = ones(t.answers)
	}
	likelihood := t.rowLikelihood(lambda, nil)
	out := make([]float64, t.answers)
	for k, m := range byRow {
		if m == 0 {
			continue // also where the likelihood is zero
		}
		for a, q := range t.row(int32(k)) {
			out[a] += float64(m * lambda[a] * q / likelihood[k])
		}
	}
	return out
}
