package infer

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// MaxShapleyGroups bounds the work of Shapley, which doubles with every group.
const MaxShapleyGroups = 10

// oddsFloor bounds odds away from zero and infinity, so that weights of
// evidence stay finite when a cause is certain.
const oddsFloor = 1e-15

// decibans is 10 log10 of the odds.
func decibans(present, absent float64) float64 {
	floor := oddsFloor * (present + absent)
	return 10 * math.Log10(max(present, floor)/max(absent, floor))
}

// without is what the evidence says if one item is left out.
type without struct {
	item      int
	cause     []float64 // marginals without the item
	reported  float64   // P(item | the other evidence)
	predicted []float64 // the item's true answer given the other evidence
	joint     cross     // cause and true answer; empty for joint items
}

// leaveOneOut goes through the given items and hands each to visit. A joint
// item stands for its mechanism states in place of answers.
func (e *Engine) leaveOneOut(p *Posterior, items []int, visit func(*without)) {
	o := p.seen
	n := len(e.model.Causes)
	var byCause [][]float64
	state := make([]float64, e.states)
	for _, item := range items {
		w := &without{item: item, cause: make([]float64, n)}
		others := func(i int) bool { return i != item }
		if item < len(e.model.Findings) && e.model.Findings[item].Over == OverCauses {
			w.joint = e.crossOthers(p, item)
		} else {
			if byCause == nil {
				byCause = e.statesByCause(p)
			}
			for x := range state {
				state[x] = 1
			}
			e.applyToStates(o, state, others)
			if item < len(e.model.Findings) {
				w.joint = e.crossStates(item, byCause, state)
			} else {
				w.joint = crossJoint(o.jointByItem(item), byCause, state)
			}
		}
		lambda := o.likelihood(item)
		w.joint.marginals(ones(len(lambda)), w.cause)
		total := w.joint.total()
		all := 0.0
		for a, m := range total {
			w.reported += float64(lambda[a] * m)
			all += m
		}
		w.reported /= all
		w.predicted = slices.Clone(total)
		for a := range w.predicted {
			w.predicted[a] /= all
		}
		visit(w)
	}
}

// crossJoint is the cross table of a joint item, its states taken as answers.
func crossJoint(j *jointItem, byCause [][]float64, state []float64) cross {
	c := cross{answers: len(j.mass), joint: make([]float64, len(byCause)*len(j.mass))}
	for i, mass := range byCause {
		row := c.row(i)
		for x, m := range mass {
			row[j.at[x]] += float64(m * state[x])
		}
	}
	return c
}

// Weights gives for every evidence item and every cause the weight of evidence
// in decibans: 10 log10 of the cause's odds given everything over its odds
// given everything but this item. Rows of findings not asked are nil; joint
// items follow after the findings. Weights do not add up where answers
// overlap. Fails like Update.
func (e *Engine) Weights(ev Evidence) ([][]float64, error) {
	p, err := e.Update(ev)
	if err != nil {
		return nil, err
	}
	return p.Review().Weights(), nil
}

// Review is every evidence item of a posterior left out in turn. It is worked
// out once and serves the weights, the surprises and the flips.
type Review struct {
	p    *Posterior
	each []*without
}

// Review leaves out each evidence item in turn.
func (p *Posterior) Review() *Review {
	r := &Review{p: p}
	p.engine.leaveOneOut(p, p.engine.items(p.seen), func(w *without) { r.each = append(r.each, w) })
	return r
}

// Weights is Engine.Weights for the evidence of the posterior.
func (r *Review) Weights() [][]float64 {
	p, e := r.p, r.p.engine
	table := make([][]float64, len(e.model.Findings)+len(p.seen.joint))
	for _, w := range r.each {
		row := make([]float64, len(p.cause))
		if !flat(p.seen.likelihood(w.item)) {
			for c := range row {
				row[c] = decibans(p.cause[c], 1-p.cause[c]) - decibans(w.cause[c], 1-w.cause[c])
			}
		}
		table[w.item] = row
	}
	return table
}

// ByThemselves gives, for every finding in ev and every cause, the weight in decibans that its
// likelihood would have as the only news beside what p has seen. With the posterior of
// no evidence it is what each answer says by itself. Rows of other findings are nil.
// It fails like Update.
func (p *Posterior) ByThemselves(ev Evidence) ([][]float64, error) {
	e := p.engine
	o, err := e.observe(ev)
	if err != nil {
		return nil, err
	}
	table := make([][]float64, len(e.model.Findings))
	after := make([]float64, len(p.cause))
	for f, lambda := range o.finding {
		if lambda == nil {
			continue
		}
		table[f] = make([]float64, len(p.cause))
		if flat(lambda) {
			continue
		}
		var joint cross
		if e.model.Findings[f].Over == OverCauses {
			joint = e.crossSets(f, p.mass, p.shares())
		} else {
			joint = e.crossStates(f, e.statesByCause(p), p.state)
		}
		if joint.marginals(lambda, after) == 0 {
			continue
		}
		for c := range after {
			table[f][c] = decibans(after[c], 1-after[c]) - decibans(p.cause[c], 1-p.cause[c])
		}
	}
	return table, nil
}

// Surprise says how unexpected one evidence item is given all the others.
type Surprise struct {
	Item int // finding, or joint item counted after the last finding
	// Bits is -log2 P(item | the others).
	Bits float64
	// Expected is what Bits comes to on average, and Variance its variance, if the
	// others foretell the item rightly. For an answer from a source of some
	// reliability (see Reliable) it is the answer as it would be heard; otherwise the
	// true answer. Both are 0 for an item that says nothing.
	Expected, Variance float64
	// Excess is Bits - Expected.
	Excess float64
}

// Surprise measures every evidence item against the others, in item order.
// Fails like Update.
func (e *Engine) Surprise(ev Evidence) ([]Surprise, error) {
	p, err := e.Update(ev)
	if err != nil {
		return nil, err
	}
	return p.Review().Surprise(), nil
}

// Surprise is Engine.Surprise for the evidence of the posterior.
func (r *Review) Surprise() []Surprise {
	var list []Surprise
	for _, w := range r.each {
		s := Surprise{Item: w.item}
		lambda := r.p.seen.likelihood(w.item)
		if flat(lambda) {
			s.Bits = -math.Log2(lambda[0])
			s.Excess = s.Bits
			list = append(list, s)
			continue
		}
		s.Bits = -math.Log2(w.reported)
		rho := reliabilityOf(lambda)
		square := 0.0
		for _, q := range w.predicted {
			q = rho*q + (1-rho)/float64(len(lambda))
			bits := plogp(q)
			s.Expected += bits
			if q > 0 {
				square += bits * bits / q
			}
		}
		s.Variance = max(0, square-s.Expected*s.Expected)
		s.Excess = s.Bits - s.Expected
		list = append(list, s)
	}
	return list
}

// reliabilityOf is the rho that Reliable made a likelihood with, and 1 for one that it
// did not make.
func reliabilityOf(lambda []float64) float64 {
	sum, top := 0.0, 0
	for a, x := range lambda {
		sum += x
		if x > lambda[top] {
			top = a
		}
	}
	low := lambda[(top+1)%len(lambda)]
	for a, x := range lambda {
		if a != top && math.Abs(x-low) > 1e-12 {
			return 1
		}
	}
	if math.Abs(sum-1) > 1e-9 {
		return 1
	}
	return lambda[top] - low
}

// Strain is the sum of what all items say above expectation over its standard
// deviation. Honest answers that fit the model give about 0 with a spread of about 1;
// the spread is not exact, for the items foretell one another.
func Strain(list []Surprise) float64 {
	excess, variance := 0.0, 0.0
	for _, s := range list {
		excess += s.Excess
		variance += s.Variance
	}
	if variance == 0 {
		return 0
	}
	return excess / math.Sqrt(variance)
}

// Conflict is log2 of prod P(item) / P(evidence), in bits. Above 0 the items
// pull apart. As an alarm it is weak: it is often positive for honest answers.
// Fails like Update.
func (e *Engine) Conflict(ev Evidence) (float64, error) {
	p, err := e.Update(ev)
	if err != nil {
		return 0, err
	}
	sum := -p.evidence / math.Ln2
	for _, item := range e.items(p.seen) {
		lambda := p.seen.likelihood(item)
		reported := 0.0
		switch {
		case flat(lambda):
			reported = lambda[0]
		case item < len(e.model.Findings):
			for a, q := range e.Prior().Predict(item) {
				reported += float64(lambda[a] * q)
			}
		default:
			j := p.seen.jointByItem(item)
			for x, m := range e.Prior().byState {
				reported += float64(m * j.state[x])
			}
		}
		sum += math.Log2(reported)
	}
	return sum, nil
}

// Shares splits the change in the log-odds of one cause among groups of
// evidence.
type Shares struct {
	Group []float64 // decibans, by group
	Total float64   // decibans, the sum of the groups
}

// Shapley gives each group of evidence items its Shapley share of the decibans
// for each of the causes. Items in no group count as given from the start. With nil
// groups every item is a group of its own, in item order. It fails like Update,
// on more than MaxShapleyGroups groups, and if an item is in two groups or has
// no evidence.
func (e *Engine) Shapley(ev Evidence, causes []int, groups [][]int) ([]Shares, error) {
	o, err := e.observe(ev)
	if err != nil {
		return nil, err
	}
	for _, cause := range causes {
		if cause < 0 || cause >= len(e.model.Causes) {
			return nil, fmt.Errorf("cause %d, want 0 to %d", cause, len(e.model.Causes)-1)
		}
	}
	items := e.items(o)
	if groups == nil {
		for _, item := range items {
			groups = append(groups, []int{item})
		}
	}
	if len(groups) > MaxShapleyGroups {
		return nil, fmt.Errorf("%d groups, at most %d are possible", len(groups), MaxShapleyGroups)
	}
	groupOf := map[int]int{}
	for g, group := range groups {
		for _, item := range group {
			if _, twice := groupOf[item]; twice {
				return nil, fmt.Errorf("evidence item %d is in two groups", item)
			}
			if !slices.Contains(items, item) {
				return nil, fmt.Errorf("evidence item %d of group %d was not given", item, g)
			}
			groupOf[item] = g
		}
	}
	s := &shapley{engine: e, seen: o, causes: causes, groups: len(groups), value: make([][]float64, len(causes))}
	for i := range s.value {
		s.value[i] = make([]float64, 1<<len(groups))
	}
	s.inGroup = func(item, g int) bool {
		own, ok := groupOf[item]
		if !ok {
			own = -1
		}
		return own == g
	}
	s.tables = make([]float64, e.lattice.size)
	s.likelihood = make([]float64, len(e.kinds.list))
	direct, state := slices.Clone(e.prior), ones(e.states)
	if !s.extend(direct, state, -1) {
		return nil, ErrImpossible
	}
	if err := s.walk(0, 0, direct, state); err != nil {
		return nil, err
	}
	list := make([]Shares, len(causes))
	for i := range list {
		list[i] = s.shares(s.value[i])
	}
	return list, nil
}

// shapley evaluates the log-odds under every subset of groups.
type shapley struct {
	engine     *Engine
	seen       *observed
	causes     []int
	groups     int
	inGroup    func(item, group int) bool // group -1 holds the items in no group
	value      [][]float64                // decibans by cause and subset
	tables     []float64
	likelihood []float64
}

// extend multiplies one group in.
func (s *shapley) extend(direct, state []float64, group int) bool {
	use := func(item int) bool { return s.inGroup(item, group) }
	return s.engine.applyToSets(s.seen, direct, use).possible &&
		s.engine.applyToStates(s.seen, state, use).possible
}

// walk decides for one group after the other whether it is in the subset.
func (s *shapley) walk(group, subset int, direct, state []float64) error {
	if group < s.groups {
		if err := s.walk(group+1, subset, direct, state); err != nil {
			return err
		}
		direct, state = slices.Clone(direct), slices.Clone(state)
		if !s.extend(direct, state, group) {
			return ErrImpossible
		}
		return s.walk(group+1, subset|1<<group, direct, state)
	}
	s.engine.mechanismLikelihood(state, s.tables, s.likelihood)
	mass := slices.Clone(direct)
	s.engine.multiplyKinds(mass, s.likelihood)
	for i, cause := range s.causes {
		present, absent := 0.0, 0.0
		for i := range s.engine.sets.runs {
			r := &s.engine.sets.runs[i]
			leads := slices.Contains(r.lead[:r.leads], cause)
			for k, m := range mass[r.from:r.to] {
				if leads || r.last+k == cause {
					present += m
				} else {
					absent += m
				}
			}
		}
		if present+absent == 0 {
			return ErrImpossible
		}
		s.value[i][subset] = decibans(present, absent)
	}
	return nil
}

func (s *shapley) shares(value []float64) Shares {
	out := Shares{Group: make([]float64, s.groups), Total: value[len(value)-1] - value[0]}
	// weight[k] = k! (G-k-1)! / G!, the share of orders in which exactly a
	// given k groups stand before the one looked at.
	weight := make([]float64, s.groups)
	for k := range weight {
		weight[k] = 1 / (float64(s.groups) * binomial(s.groups-1, k))
	}
	for g := range out.Group {
		for subset, v := range value {
			if subset>>g&1 == 1 {
				continue
			}
			size := 0
			for k := range s.groups {
				size += subset >> k & 1
			}
			out.Group[g] += float64(weight[size] * (value[subset|1<<g] - v))
		}
	}
	return out
}

// Flip is what would follow if one answer had been another one.
type Flip struct {
	Finding, Answer int
	TopCause        int
	P               float64 // of TopCause
	ChangesTop      bool
}

// Flips changes every given answer in turn into each alternative. said names
// the answer given for each finding to be looked at. The likelihoods of the two
// answers change places, so the trust in the source stays. Alternatives that
// the rest of the evidence rules out are left out. The result is in the order
// of findings, then answers. It fails like Update, and if said does not fit the
// evidence.
func (e *Engine) Flips(ev Evidence, said map[int]int) ([]Flip, error) {
	p, err := e.Update(ev)
	if err != nil {
		return nil, err
	}
	return p.Review().Flips(said)
}

// Flips is Engine.Flips for the evidence of the posterior.
func (r *Review) Flips(said map[int]int) ([]Flip, error) {
	p, e := r.p, r.p.engine
	for f, a := range said {
		if f < 0 || f >= len(p.seen.finding) || p.seen.finding[f] == nil {
			return nil, fmt.Errorf("finding %d is said to be answered, but there is no evidence on it", f)
		}
		if a < 0 || a >= len(p.seen.finding[f]) {
			return nil, errors.New("finding " + e.model.Findings[f].ID + ": the answer given does not exist")
		}
	}
	top := e.topCause(p.cause)
	cause := make([]float64, len(p.cause))
	var list []Flip
	for _, w := range r.each {
		if _, ok := said[w.item]; !ok {
			continue
		}
		given := p.seen.finding[w.item]
		for a := range given {
			if a == said[w.item] {
				continue
			}
			lambda := slices.Clone(given)
			lambda[a], lambda[said[w.item]] = lambda[said[w.item]], lambda[a]
			if w.joint.marginals(lambda, cause) == 0 {
				continue
			}
			flip := Flip{Finding: w.item, Answer: a}
			flip.TopCause = e.topCause(cause)
			flip.P = cause[flip.TopCause]
			flip.ChangesTop = flip.TopCause != top
			list = append(list, flip)
		}
	}
	return list, nil
}
