package infer

import (
	"math/bits"
	"slices"
)

// Engine is a compiled model. It never changes after Compile and may be used
// from several goroutines at once.
type Engine struct {
	model  Model
	states int   // joint states of all mechanisms
	order  []int // findings in the order of their ids

	members []member  // by set
	runs    []run     // all sets, grouped by their leading causes
	prior   []float64 // by set

	lattice *lattice
	node    []int32   // by set: lattice node of the mechanisms it touches
	weight  []float64 // P(state of the touched mechanisms | set), all sets in a row
	start   []int32   // by set: place in weight

	finding []findingTable // by finding

	start0 *Posterior // before any answer
}

// member is one set of causes, ascending.
type member struct {
	cause [MaxSetSize]int32
	size  int
}

func (m *member) causes() []int32 { return m.cause[:m.size] }

// run is a stretch of sets that share all members but the last. The last
// member rises by one from set to set.
type run struct {
	lead     [MaxSetSize - 1]int32
	leads    int
	last     int32 // last member of the first set
	from, to int   // sets
}

// findingTable holds the distinct answer distributions of one finding. For a
// finding over causes, at maps each set to its distribution. For a finding
// over mechanisms, state maps each joint mechanism state.
type findingTable struct {
	answers int
	rows    []float64
	at      []int32
	state   [maxStates]uint8
}

func (t *findingTable) row(k int32) []float64 {
	return t.rows[int(k)*t.answers : (int(k)+1)*t.answers]
}

// Compile checks the model and builds the tables. The error joins all faults
// found. The engine keeps no reference to slices of the model that the caller
// might change, except the strings and answer lists.
func Compile(m Model) (*Engine, error) {
	if err := m.Validate(); err != nil {
		return nil, err
	}
	e := &Engine{model: cloneModel(m), states: 1 << len(m.Mechanisms)}
	e.orderFindings()
	e.enumerateSets()
	e.weighSets()
	e.buildMechanisms()
	e.finding = make([]findingTable, len(m.Findings))
	for f := range m.Findings {
		if m.Findings[f].Over == OverCauses {
			e.tabulateOverCauses(f)
		} else {
			e.tabulateOverMechanisms(f)
		}
	}
	start, err := e.Update(Evidence{})
	if err != nil {
		return nil, err
	}
	e.start0 = start
	return e, nil
}

// cloneModel copies what the engine reads after Compile.
func cloneModel(m Model) Model {
	m.Causes = slices.Clone(m.Causes)
	m.Mechanisms = slices.Clone(m.Mechanisms)
	m.Findings = slices.Clone(m.Findings)
	m.SizePrior = slices.Clone(m.SizePrior)
	m.Pairs = slices.Clone(m.Pairs)
	return m
}

// orderFindings fixes the order of multiplication, so that the order of the
// findings in the model does not matter either.
func (e *Engine) orderFindings() {
	e.order = make([]int, len(e.model.Findings))
	for i := range e.order {
		e.order[i] = i
	}
	slices.SortFunc(e.order, func(a, b int) int {
		if e.model.Findings[a].ID < e.model.Findings[b].ID {
			return -1
		}
		return 1
	})
}

func (e *Engine) enumerateSets() {
	n := int32(len(e.model.Causes))
	add := func(first int32, lead ...int32) {
		if first >= n {
			return
		}
		r := run{leads: len(lead), last: first, from: len(e.members)}
		copy(r.lead[:], lead)
		for c := first; c < n; c++ {
			m := member{size: len(lead) + 1}
			copy(m.cause[:], lead)
			m.cause[len(lead)] = c
			e.members = append(e.members, m)
		}
		r.to = len(e.members)
		e.runs = append(e.runs, r)
	}
	for size, p := range e.model.SizePrior {
		if p == 0 {
			continue
		}
		switch size {
		case 1:
			add(0)
		case 2:
			for a := range n {
				add(a+1, a)
			}
		case 3:
			for a := range n {
				for b := a + 1; b < n; b++ {
					add(b+1, a, b)
				}
			}
		}
	}
}

// weighSets computes P(S), normalised within each size.
func (e *Engine) weighSets() {
	top := 0.0
	for _, c := range e.model.Causes {
		top = max(top, c.Weight)
	}
	factor := map[[2]int32]float64{}
	for _, p := range e.model.Pairs {
		factor[[2]int32{int32(min(p.A, p.B)), int32(max(p.A, p.B))}] = p.Factor
	}
	e.prior = make([]float64, len(e.members))
	var total [MaxSetSize + 1]float64
	for s := range e.members {
		w := 1.0
		causes := e.members[s].causes()
		for i, c := range causes {
			w *= e.model.Causes[c].Weight / top
			for _, d := range causes[:i] {
				if f, ok := factor[[2]int32{d, c}]; ok {
					w *= f
				}
			}
		}
		e.prior[s] = w
		total[len(causes)] += w
	}
	for s := range e.prior {
		size := e.members[s].size
		e.prior[s] *= e.model.SizePrior[size] / total[size]
	}
}

// buildMechanisms tabulates P(x|S) over the mechanisms each set touches.
func (e *Engine) buildMechanisms() {
	mechanisms := e.model.Mechanisms
	idle := make([]float64, len(mechanisms))
	touches := make([]uint8, len(e.model.Causes))
	fails := make([][MaxMechanisms]float64, len(e.model.Causes)) // 1-lambda
	for c := range fails {
		for j := range fails[c] {
			fails[c][j] = 1
		}
	}
	for j, m := range mechanisms {
		idle[j] = m.Gate * (1 - (1 - m.Leak))
		for _, l := range m.Links {
			touches[l.Cause] |= 1 << j
			fails[l.Cause][j] = 1 - l.Lambda
		}
	}
	touched := make([]uint8, len(e.members))
	for s := range e.members {
		for _, c := range e.members[s].causes() {
			touched[s] |= touches[c]
		}
	}
	e.lattice = newLattice(len(mechanisms), touched, idle)
	e.node = make([]int32, len(e.members))
	e.start = make([]int32, len(e.members)+1)
	for s, t := range touched {
		e.node[s] = int32(e.lattice.index[t])
		e.start[s+1] = e.start[s] + 1<<bits.OnesCount8(t)
	}
	e.weight = make([]float64, e.start[len(touched)])
	for s, t := range touched {
		w := e.weight[e.start[s]:e.start[s+1]]
		w[0] = 1
		filled := 1
		for j, m := range mechanisms {
			if t>>j&1 == 0 {
				continue
			}
			quiet := 1 - m.Leak
			for _, c := range e.members[s].causes() {
				quiet *= fails[c][j]
			}
			on := m.Gate * (1 - quiet)
			for k := range filled {
				w[filled+k] = w[k] * on
				w[k] *= 1 - on
			}
			filled *= 2
		}
	}
}

// tabulateOverCauses stores one row per set of present parents. Many cause
// sets share a row, since most findings are linked to few causes.
func (e *Engine) tabulateOverCauses(f int) {
	finding := &e.model.Findings[f]
	t := &e.finding[f]
	t.answers = len(finding.Answers)
	parents := finding.parentList()
	largest := len(e.model.SizePrior) - 1
	add := func(present ...int) {
		row := make([]float64, t.answers)
		finding.conditional(present, row)
		t.rows = append(t.rows, row...)
	}
	// The order of rows is the one rank counts in.
	add()
	for a := range parents {
		add(a)
	}
	for b := 0; b < len(parents) && largest >= 2; b++ {
		for a := range b {
			add(a, b)
		}
	}
	for c := 0; c < len(parents) && largest >= 3; c++ {
		for b := range c {
			for a := range b {
				add(a, b, c)
			}
		}
	}
	position := make([]int, len(e.model.Causes))
	for k, p := range parents {
		position[p] = k + 1
	}
	t.at = make([]int32, len(e.members))
	for s := range e.members {
		var present [MaxSetSize]int
		count := 0
		for _, c := range e.members[s].causes() {
			if k := position[c]; k > 0 {
				present[count] = k - 1
				count++
			}
		}
		slices.Sort(present[:count])
		t.at[s] = int32(rank(len(parents), present[:count]))
	}
}

// rank is the place of an ascending subset of parents among all subsets, first
// by size, then by the highest member.
func rank(parents int, present []int) int {
	switch len(present) {
	case 0:
		return 0
	case 1:
		return 1 + present[0]
	case 2:
		a, b := present[0], present[1]
		return 1 + parents + b*(b-1)/2 + a
	default:
		a, b, c := present[0], present[1], present[2]
		return 1 + parents + parents*(parents-1)/2 + c*(c-1)*(c-2)/6 + b*(b-1)/2 + a
	}
}

func (e *Engine) tabulateOverMechanisms(f int) {
	finding := &e.model.Findings[f]
	t := &e.finding[f]
	t.answers = len(finding.Answers)
	parents := finding.parentList()
	t.rows = make([]float64, t.answers<<len(parents))
	present := make([]int, 0, len(parents))
	for u := range 1 << len(parents) {
		present = present[:0]
		for k := range parents {
			if u>>k&1 == 1 {
				present = append(present, k)
			}
		}
		finding.conditional(present, t.row(int32(u)))
	}
	for x := range e.states {
		for k, p := range parents {
			t.state[x] |= uint8(x >> p & 1 << k)
		}
	}
}
