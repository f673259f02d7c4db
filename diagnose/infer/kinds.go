package infer

import (
	"math/bits"
	"slices"
)

// Causes that act on the same mechanisms by the same strengths are one class. What a
// set does to the mechanisms depends only on the classes of its members, so it is
// worked out once for each combination of classes, a kind, and not once for each set.
type kinds struct {
	class   []int // by cause, from 1; 0 stands for no cause
	classes int   // highest class plus one
	at      []int32
	list    []kind
	weight  []float64 // P(state of the touched mechanisms | kind), all kinds in a row
}

type kind struct {
	class      [MaxSetSize]int // ascending, 0 for none
	node       int             // lattice node of the mechanisms that it touches
	start, end int             // place in weight
}

// size is how many causes the sets of the kind have.
func (k *kind) size() int {
	n := 0
	for _, c := range k.class {
		if c > 0 {
			n++
		}
	}
	return n
}

// row gives, by the class of one more cause, the kinds of sets with two other causes
// of the given classes.
func (k *kinds) row(a, b int) []int32 {
	at := (a*k.classes + b) * k.classes
	return k.at[at : at+k.classes]
}

// lead is the row of the kinds in a run, by the class of the last cause.
func (k *kinds) lead(r *run) []int32 {
	a, b := 0, 0
	if r.leads > 0 {
		b = k.class[r.lead[0]]
	}
	if r.leads > 1 {
		a, b = b, k.class[r.lead[1]]
	}
	return k.row(a, b)
}

// buildMechanisms tabulates P(x|S) over the mechanisms that each kind of set touches.
func (e *Engine) buildMechanisms() {
	mechanisms := e.model.Mechanisms
	idle := make([]float64, len(mechanisms))
	fails := make([][MaxMechanisms]float64, len(e.model.Causes)) // 1-lambda
	for c := range fails {
		for j := range fails[c] {
			fails[c][j] = 1
		}
	}
	for j, m := range mechanisms {
		idle[j] = m.Gate * (1 - (1 - m.Leak)) // as buildup of the kinds rounds it
		for _, l := range m.Links {
			fails[l.Cause][j] = 1 - l.Lambda
		}
	}
	k := &kinds{class: make([]int, len(fails)), classes: 1}
	own := [][MaxMechanisms]float64{{}} // 1-lambda by class
	for j := range own[0] {
		own[0][j] = 1
	}
	seen := map[[MaxMechanisms]float64]int{}
	for c, f := range fails {
		class, ok := seen[f]
		if !ok {
			class = k.classes
			seen[f] = class
			own = append(own, f)
			k.classes++
		}
		k.class[c] = class
	}
	k.at = make([]int32, k.classes*k.classes*k.classes)
	var touched []uint8
	largest := len(e.model.SizePrior) - 1
	for c := 1; c < k.classes; c++ {
		for b := range c + 1 {
			for a := range b + 1 {
				if largest < 3 && a > 0 || largest < 2 && b > 0 {
					continue
				}
				at := int32(len(k.list))
				k.list = append(k.list, kind{class: [MaxSetSize]int{a, b, c}})
				for _, x := range [][3]int{{a, b, c}, {a, c, b}, {b, a, c}, {b, c, a}, {c, a, b}, {c, b, a}} {
					k.at[(x[0]*k.classes+x[1])*k.classes+x[2]] = at
				}
				t := uint8(0)
				for j := range mechanisms {
					if own[a][j] < 1 || own[b][j] < 1 || own[c][j] < 1 {
						t |= 1 << j
					}
				}
				touched = append(touched, t)
			}
		}
	}
	e.lattice = newLattice(len(mechanisms), touched, idle)
	size := 0
	for i, t := range touched {
		k.list[i].node = e.lattice.index[t]
		k.list[i].start = size
		size += 1 << bits.OnesCount8(t)
		k.list[i].end = size
	}
	k.weight = make([]float64, size)
	for i, t := range touched {
		w := k.weight[k.list[i].start:k.list[i].end]
		w[0] = 1
		filled := 1
		for j, m := range mechanisms {
			if t>>j&1 == 0 {
				continue
			}
			quiet := 1 - m.Leak
			for _, class := range k.list[i].class {
				quiet *= own[class][j]
			}
			on := m.Gate * (1 - quiet)
			for x := range filled {
				w[filled+x] = w[x] * on
				w[x] *= 1 - on
			}
			filled *= 2
		}
	}
	e.kinds = k
}

// mechanismLikelihood fills out with sum_x P(x|S) E(x) for every kind of set. tables
// is scratch of the lattice's size.
func (e *Engine) mechanismLikelihood(state, tables, out []float64) {
	copy(tables, state)
	e.lattice.fold(tables)
	for i := range e.kinds.list {
		k := &e.kinds.list[i]
		out[i] = dot(e.kinds.weight[k.start:k.end], tables[e.lattice.nodes[k.node].start:])
	}
}

// multiplyKinds multiplies value, one number per set, by the number of its kind.
func (e *Engine) multiplyKinds(value, byKind []float64) {
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		row := e.kinds.lead(r)
		class := e.kinds.class[r.last:]
		v := value[r.from:r.to]
		class = class[:len(v)]
		for k := range v {
			v[k] *= byKind[row[class[k]]]
		}
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

// addMass adds times the weights of a kind to its table.
func (e *Engine) addMass(kind int32, times float64, tables []float64, used []bool) {
	k := &e.kinds.list[kind]
	used[k.node] = true
	w := e.kinds.weight[k.start:k.end]
	table := tables[e.lattice.nodes[k.node].start:][:len(w)]
	for t, x := range w {
		table[t] += float64(times * x)
	}
}

// joinKinds fills mass with value times the number of the kind of each set, adds value
// up by kind in of, and returns the sum of mass.
func (e *Engine) joinKinds(value, byKind, mass, of []float64) float64 {
	total := 0.0
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		row := e.kinds.lead(r)
		v := value[r.from:r.to]
		out := mass[r.from:r.to][:len(v)]
		class := e.kinds.class[r.last:][:len(v)]
		sum := 0.0
		for k, x := range v {
			kind := row[class[k]]
			of[kind] += x
			x *= byKind[kind]
			out[k] = x
			sum += x
		}
		total += sum
	}
	return total
}

// spreadKinds is P(x) times the mass of the sets, given by kind, without any evidence on
// mechanisms. tables is scratch of the lattice's size.
func (e *Engine) spreadKinds(byKind, tables []float64) []float64 {
	clear(tables)
	used := make([]bool, len(e.lattice.nodes))
	for k, m := range byKind {
		if m > 0 {
			e.addMass(int32(k), m, tables, used)
		}
	}
	e.lattice.spread(tables, used)
	return tables[:e.states]
}

// statesByCause is the mass of (cause in S, joint mechanism state) without any
// evidence on mechanisms, one row of states per cause and a last row of totals. It
// is worked out once for each posterior.
func (e *Engine) statesByCause(p *Posterior) [][]float64 {
	p.byCauseOnce.Do(func() { p.byCause = e.makeStatesByCause(p.direct) })
	return p.byCause
}

func (e *Engine) makeStatesByCause(mass []float64) [][]float64 {
	n, classes := len(e.model.Causes), e.kinds.classes
	others := make([][]float64, n) // by cause: mass by the classes of the other members
	for c := range others {
		others[c] = make([]float64, classes*classes)
	}
	class := e.kinds.class
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		value := mass[r.from:r.to]
		switch r.leads {
		case 0:
			for k, m := range value {
				others[r.last+k][0] += m
			}
		case 1:
			a := r.lead[0]
			for k, m := range value {
				others[r.last+k][class[a]] += m
				others[a][class[r.last+k]] += m
			}
		case 2:
			a, b := r.lead[0], r.lead[1]
			ofA, ofB := others[a][class[b]*classes:], others[b][class[a]*classes:]
			at := class[a]*classes + class[b]
			own := class[r.last:]
			for k, m := range value {
				x := own[k]
				ofA[x] += m
				ofB[x] += m
				others[r.last+k][at] += m
			}
		}
	}
	rows := make([][]float64, n+1)
	tables := make([]float64, e.lattice.size)
	used := make([]bool, len(e.lattice.nodes))
	for c, byOther := range others {
		clear(tables)
		clear(used)
		for a := range classes {
			for b := a; b < classes; b++ {
				m := byOther[a*classes+b]
				if b > a {
					m += byOther[b*classes+a]
				}
				if m > 0 {
					e.addMass(e.kinds.row(a, b)[class[c]], m, tables, used)
				}
			}
		}
		e.lattice.spread(tables, used)
		rows[c] = slices.Clone(tables[:e.states])
	}
	byKind := make([]float64, len(e.kinds.list))
	for a := range n {
		for x := range classes {
			for y := range classes {
				byKind[e.kinds.row(x, y)[class[a]]] += others[a][x*classes+y]
			}
		}
	}
	for k := range byKind {
		byKind[k] /= float64(e.kinds.list[k].size()) // once for each member
	}
	rows[n] = e.spreadKinds(byKind, tables)
	return rows
}
