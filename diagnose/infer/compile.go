package infer

import (
	"slices"
	"sync"
)

// Engine is a compiled model. It never changes after Compile and may be used
// from several goroutines at once.
type Engine struct {
	model  Model
	states int   // joint states of all mechanisms
	order  []int // findings in the order of their ids

	sets      *layout
	together  []float64   // factors of pairs of causes, by a*causes+b, symmetrical
	prior     []float64   // by set
	byVariant [][]float64 // the same, by variant

	lattice *lattice
	kinds   *kinds

	finding []findingTable // by finding

	startOnce sync.Once
	start     *Posterior
}

// Prior is what holds before any answer. It is worked out once.
func (e *Engine) Prior() *Posterior {
	e.startOnce.Do(func() {
		p, err := e.Update(Evidence{})
		if err != nil {
			panic(err) // no evidence is never impossible
		}
		e.start = p
	})
	return e.start
}

// findingTable holds the distinct answer distributions of one finding. For a
// finding over causes, at maps each set to its distribution, unless it is a
// mixture, which needs no table. For a finding over mechanisms, state maps each
// joint mechanism state.
type findingTable struct {
	answers int
	mixture *mixture
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
	e.sets = newLayout(len(m.Causes), m.SizePrior)
	if err := e.weighSets(); err != nil {
		return nil, err
	}
	e.buildMechanisms()
	e.finding = make([]findingTable, len(m.Findings))
	for f := range m.Findings {
		if m.Findings[f].Over == OverCauses {
			e.tabulateOverCauses(f)
		} else {
			e.tabulateOverMechanisms(f)
		}
	}
	return e, nil
}

// cloneModel copies what the engine reads after Compile.
func cloneModel(m Model) Model {
	m.Causes = slices.Clone(m.Causes)
	m.Mechanisms = slices.Clone(m.Mechanisms)
	m.Findings = slices.Clone(m.Findings)
	m.SizePrior = slices.Clone(m.SizePrior)
	m.Pairs = slices.Clone(m.Pairs)
	m.Variants = slices.Clone(m.Variants)
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

// tabulateOverCauses stores one row per set of present parents. Many cause
// sets share a row, since most findings are linked to few causes.
func (e *Engine) tabulateOverCauses(f int) {
	finding := &e.model.Findings[f]
	t := &e.finding[f]
	t.answers = len(finding.Answers)
	if finding.Form == Mixture {
		t.mixture = newMixture(finding, len(e.model.Causes))
		return
	}
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
	t.at = make([]int32, e.sets.sets)
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		for s := r.from; s < r.to; s++ {
			var present [MaxSetSize]int
			count := 0
			for i := range r.size() {
				c := r.last + s - r.from
				if i < r.leads {
					c = r.lead[i]
				}
				if k := position[c]; k > 0 {
					present[count] = k - 1
					count++
				}
			}
			slices.Sort(present[:count])
			t.at[s] = int32(rank(len(parents), present[:count]))
		}
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
