package infer

import (
	"math"
	"slices"
)

// mixture is a finding over causes whose row is the mean of the rows of the parents
// present. Its likelihood is the mean of theirs, so no table by set is needed.
type mixture struct {
	answers    int
	background []float64
	parents    []int     // ascending
	rows       []float64 // by parent, in that order
	salience   []float64
	others     []int // causes that are no parents
}

func newMixture(f *Finding, causes int) *mixture {
	m := &mixture{answers: len(f.Answers), background: f.Background}
	rows := slices.Clone(f.Rows)
	slices.SortFunc(rows, func(a, b Row) int { return a.Parent - b.Parent })
	for _, r := range rows {
		s := r.Salience
		if s == 0 {
			s = 1
		}
		m.parents = append(m.parents, r.Parent)
		m.rows = append(m.rows, r.P...)
		m.salience = append(m.salience, s)
	}
	for c := range causes {
		if _, ok := slices.BinarySearch(m.parents, c); !ok {
			m.others = append(m.others, c)
		}
	}
	return m
}

func (m *mixture) row(parent int) []float64 {
	return m.rows[parent*m.answers : (parent+1)*m.answers]
}

// heardAs is the likelihood of what was reported without any parent, and with each
// alone.
func (m *mixture) heardAs(lambda []float64) (background float64, alone []float64) {
	alone = make([]float64, len(m.parents))
	for a, x := range lambda {
		background += float64(x * m.background[a])
		for i := range alone {
			alone[i] += float64(x * m.rows[i*m.answers+a])
		}
	}
	return background, alone
}

// mean of the likelihoods of two or three parents.
func (m *mixture) mean(alone []float64, present ...int) float64 {
	sum, total := 0.0, 0.0
	for _, i := range present {
		sum += float64(m.salience[i] * alone[i])
		total += m.salience[i]
	}
	return sum / total
}

// factors multiplies up mixtures in a form in which a set costs no more for many
// answers than for one: a factor for each cause, one for each pair of causes that
// share a finding, and one for each such three. All are relative to the background.
type factors struct {
	layout *layout
	one    []float64
	two    []float64 // symmetrical
	three  []factor
	// bits bounds how far the products above may be from 1, as a power of two.
	bits float64
}

type factor struct {
	set   int
	times float64
}

const (
	// Beyond so many bits the factors are multiplied into the sets and start anew:
	// three of them must not leave the range of float64.
	mostBits = 300
	// A finding with more parents than this is multiplied set by set: the number of
	// threes grows too fast.
	mostParents = 28
)

func newFactors(l *layout) *factors {
	return &factors{layout: l, one: ones(l.causes), two: ones(l.causes * l.causes)}
}

// fits says whether a finding can be added, and by how many bits it may move a set.
func (f *factors) fits(m *mixture, background float64, alone []float64) (bits float64, ok bool) {
	if len(m.parents) > mostParents || background <= 0 {
		return 0, false
	}
	for _, x := range alone {
		if x <= 0 {
			return 0, false
		}
		bits = max(bits, math.Abs(math.Log2(x/background)))
	}
	return bits, bits < mostBits
}

// add multiplies one finding in, less its background.
func (f *factors) add(m *mixture, background float64, alone []float64, bits float64) {
	n := f.layout.causes
	f.bits += bits
	for i, a := range m.parents {
		f.one[a] *= alone[i] / background
	}
	if !f.layout.has[2] && !f.layout.has[3] {
		return
	}
	for j, b := range m.parents {
		for i, a := range m.parents[:j] {
			two := m.mean(alone, i, j) * background / (alone[i] * alone[j])
			f.two[a*n+b] *= two
			f.two[b*n+a] = f.two[a*n+b]
		}
	}
	if !f.layout.has[3] {
		return
	}
	for k, c := range m.parents {
		for j, b := range m.parents[:k] {
			for i, a := range m.parents[:j] {
				times := m.mean(alone, i, j, k) * alone[i] * alone[j] * alone[k] /
					(m.mean(alone, i, j) * m.mean(alone, i, k) * m.mean(alone, j, k) * background)
				f.three = append(f.three, factor{f.layout.triple[a*n+b] + c, times})
			}
		}
	}
}

// multiply multiplies the factors into value, one number per set.
func (f *factors) multiply(value []float64) {
	n := f.layout.causes
	for i := range f.layout.runs {
		r := &f.layout.runs[i]
		v := value[r.from:r.to]
		one := f.one[r.last:][:len(v)]
		switch r.leads {
		case 0:
			for k := range v {
				v[k] *= one[k]
			}
		case 1:
			lead := f.one[r.lead[0]]
			a := f.two[r.lead[0]*n+r.last:][:len(v)]
			for k := range v {
				v[k] *= lead * one[k] * a[k]
			}
		case 2:
			lead := f.one[r.lead[0]] * f.one[r.lead[1]] * f.two[r.lead[0]*n+r.lead[1]]
			a, b := f.two[r.lead[0]*n+r.last:][:len(v)], f.two[r.lead[1]*n+r.last:][:len(v)]
			for k := range v {
				v[k] *= lead * one[k] * a[k] * b[k]
			}
		}
	}
	for _, t := range f.three {
		value[t.set] *= t.times
	}
}

// multiplyMixture multiplies value, one number per set, by the likelihood of one
// finding, set by set.
func (l *layout) multiplyMixture(m *mixture, background float64, alone, value []float64) {
	weight, weighed := make([]float64, l.causes), make([]float64, l.causes)
	for i, c := range m.parents {
		weight[c] = m.salience[i]
		weighed[c] = m.salience[i] * alone[i]
	}
	for i := range l.runs {
		r := &l.runs[i]
		w, x := 0.0, 0.0
		for _, c := range r.lead[:r.leads] {
			w += weight[c]
			x += weighed[c]
		}
		v := value[r.from:r.to]
		ownWeight, own := weight[r.last:][:len(v)], weighed[r.last:][:len(v)]
		for k := range v {
			if total := w + ownWeight[k]; total > 0 {
				v[k] *= (x + own[k]) / total
			} else {
				v[k] *= background
			}
		}
	}
}

// crossMixture is the cross table of a finding that is a mixture, from the mass of
// the sets. If the mass already holds the likelihood of what was reported on the
// finding, background and alone are that likelihood, all above zero, and the table
// is of the other evidence; otherwise alone is nil.
func (e *Engine) crossMixture(m *mixture, mass []float64, s *shared, background float64, alone []float64) cross {
	n, parents := len(e.model.Causes), len(m.parents)
	if alone == nil {
		background, alone = 1, ones(parents)
	}
	if len(m.parents) > mostShares {
		return e.crossByShares(m, mass, background, alone)
	}
	// by holds, for every cause and for all together, the mass of the sets with it, by
	// the parent that answers for them; touched is the mass of those with any parent.
	by, touched := make([]float64, (n+1)*parents), make([]float64, n+1)
	for c := range n {
		own := s.two[c*n : (c+1)*n]
		for i, a := range m.parents {
			by[c*parents+i] = own[a] / alone[i]
			touched[c] += own[a]
		}
	}
	for i, a := range m.parents {
		by[n*parents+i] = s.one[a] / alone[i]
		touched[n] += s.one[a]
	}
	e.shareOut(m, mass, alone, by, touched)
	t := cross{answers: m.answers, joint: make([]float64, (n+1)*m.answers)}
	for c := range n + 1 {
		all := s.total
		if c < n {
			all = s.one[c]
		}
		none := max(0, all-touched[c]) / background // below zero by rounding only
		row := t.row(c)
		for a, q := range m.background {
			row[a] = none * q
		}
		for i, w := range by[c*parents : (c+1)*parents] {
			for a, q := range m.row(i) {
				row[a] += float64(w * q)
			}
		}
		for a := range row {
			row[a] = max(0, row[a])
		}
	}
	return t
}

// mostShares is how many parents a finding may have before it is quicker to go through
// all sets than through pairs and threes.
const mostShares = 24

// crossByShares is crossMixture for a finding with many parents: the mass of every set
// is shared equally among the parents present, set by set.
func (e *Engine) crossByShares(m *mixture, mass []float64, background float64, alone []float64) cross {
	n := len(e.model.Causes)
	weight, weighed := make([]float64, n), make([]float64, n)
	for i, c := range m.parents {
		weight[c] = m.salience[i]
		weighed[c] = m.salience[i] * alone[i]
	}
	// A parent's part of a set is its salience over the sum of salience times likelihood:
	// one and two are the sums of these, as in shared. untouched is the mass of the sets
	// without any parent.
	one, two, untouched, total := make([]float64, n), make([]float64, n*n), make([]float64, n), 0.0
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		w, x := 0.0, 0.0
		for _, c := range r.lead[:r.leads] {
			w += weight[c]
			x += weighed[c]
		}
		v := mass[r.from:r.to]
		own, ownWeight := weighed[r.last:][:len(v)], weight[r.last:][:len(v)]
		parts, none := 0.0, 0.0
		last := one[r.last:][:len(v)]
		var first, second []float64
		if r.leads > 0 {
			first = two[r.lead[0]*n+r.last:][:len(v)]
		}
		if r.leads > 1 {
			second = two[r.lead[1]*n+r.last:][:len(v)]
		}
		for k, m := range v {
			if w == 0 && ownWeight[k] == 0 {
				m /= background
				untouched[r.last+k] += m
				none += m
				continue
			}
			m /= x + own[k]
			last[k] += m
			parts += m
			if first != nil {
				first[k] += m
			}
			if second != nil {
				second[k] += m
			}
		}
		if r.leads == 2 {
			two[r.lead[0]*n+r.lead[1]] += parts
		}
		for _, c := range r.lead[:r.leads] {
			one[c] += parts
			untouched[c] += none
		}
		total += none
	}
	for a := range n {
		two[a*n+a] = one[a]
		for b := a + 1; b < n; b++ {
			two[b*n+a] = two[a*n+b]
		}
	}
	t := cross{answers: m.answers, joint: make([]float64, (n+1)*m.answers)}
	for c := range n + 1 {
		row, of, rest := t.row(c), one, total
		if c < n {
			of, rest = two[c*n:(c+1)*n], untouched[c]
		}
		for a, q := range m.background {
			row[a] = rest * q
		}
		for i, parent := range m.parents {
			w := of[parent] * m.salience[i]
			for a, q := range m.row(i) {
				row[a] += float64(w * q)
			}
		}
	}
	return t
}

// shareOut corrects the mass in by and touched, which counts a set with several
// parents once for each of them: they answer for it together.
func (e *Engine) shareOut(m *mixture, mass, alone, by, touched []float64) {
	n, parents, sets := len(e.model.Causes), len(m.parents), e.sets
	move := func(c, i int, amount float64) { by[c*parents+i] += amount }
	for j, b := range m.parents {
		for i, a := range m.parents[:j] {
			mean := m.mean(alone, i, j)
			of := m.salience[i] + m.salience[j]
			ofI, ofJ := m.salience[i]/of/mean-1/alone[i], m.salience[j]/of/mean-1/alone[j]
			both := 0.0 // mass of the sets with exactly these two parents
			if sets.has[2] {
				both = mass[sets.pair[a*n+b]+b]
			}
			if sets.has[3] {
				for _, d := range m.others {
					v := mass[sets.tripleSet(a, b, d)]
					at := by[d*parents : (d+1)*parents]
					at[i] += float64(v * ofI)
					at[j] += float64(v * ofJ)
					touched[d] -= v
					both += v
				}
			}
			for _, c := range [3]int{a, b, n} {
				move(c, i, both*ofI)
				move(c, j, both*ofJ)
				touched[c] -= both
			}
			if !sets.has[3] {
				continue
			}
			base := sets.triple[a*n+b]
			for k := j + 1; k < parents; k++ {
				c := m.parents[k]
				v := mass[base+c]
				mean := m.mean(alone, i, j, k)
				of := of + m.salience[k]
				for _, p := range [3]int{i, j, k} {
					amount := v * (m.salience[p]/of/mean - 1/alone[p])
					for _, x := range [4]int{a, b, c, n} {
						move(x, p, amount)
					}
				}
				for _, x := range [4]int{a, b, c, n} {
					touched[x] -= 2 * v
				}
			}
		}
	}
}
