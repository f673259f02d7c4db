package infer

import "slices"

// layout is the order in which all sets of causes are numbered: first those of one
// cause, then those of two, then those of three, as far as the size prior has them.
// It holds no numbers of the model.
type layout struct {
	causes int
	sets   int
	runs   []run
	has    [MaxSetSize + 1]bool // whether there are sets of that size
	single int                  // set {c} less c
	pair   []int                // by a*causes+b, a < b: set {a,b} less b
	triple []int                // by a*causes+b, a < b: set {a,b,c} less c
}

// run is a stretch of sets that share all members but the last. The last
// member rises by one from set to set.
type run struct {
	lead     [MaxSetSize - 1]int
	leads    int
	last     int // last member of the first set
	from, to int // sets
}

func newLayout(causes int, sizePrior []float64) *layout {
	l := &layout{causes: causes, pair: make([]int, causes*causes), triple: make([]int, causes*causes)}
	add := func(first int, lead ...int) int {
		r := run{leads: len(lead), last: first, from: l.sets, to: l.sets + causes - first}
		copy(r.lead[:], lead)
		if r.to > r.from {
			l.runs = append(l.runs, r)
			l.sets = r.to
		}
		return r.from - first
	}
	for size, p := range sizePrior {
		l.has[size] = p > 0
		switch {
		case p == 0:
		case size == 1:
			l.single = add(0)
		case size == 2:
			for a := range causes {
				base := add(a+1, a)
				for b := a + 1; b < causes; b++ {
					l.pair[a*causes+b] = base
				}
			}
		case size == 3:
			for a := range causes {
				for b := a + 1; b < causes; b++ {
					l.triple[a*causes+b] = add(b+1, a, b)
				}
			}
		}
	}
	return l
}

// tripleSet is the set {a,b,d}, for a < b and d neither of them.
func (l *layout) tripleSet(a, b, d int) int {
	switch {
	case d < a:
		return l.triple[d*l.causes+a] + b
	case d < b:
		return l.triple[a*l.causes+d] + b
	default:
		return l.triple[a*l.causes+b] + d
	}
}

// size of the set.
func (r *run) size() int { return r.leads + 1 }

// members fills out with the causes of a set, ascending.
func (l *layout) members(set int, out []int) []int {
	at, found := slices.BinarySearchFunc(l.runs, set, func(r run, s int) int { return r.from - s })
	if !found {
		at--
	}
	r := &l.runs[at]
	return append(append(out[:0], r.lead[:r.leads]...), r.last+set-r.from)
}

// sumByCause adds the mass of every set to each of its causes.
func (l *layout) sumByCause(mass, cause []float64) {
	for i := range l.runs {
		r := &l.runs[i]
		sum := 0.0
		for k, m := range mass[r.from:r.to] {
			cause[r.last+k] += m
			sum += m
		}
		for _, c := range r.lead[:r.leads] {
			cause[c] += sum
		}
	}
}

// shared is how mass lies on causes and on pairs of them.
type shared struct {
	total float64
	one   []float64 // mass of the sets with the cause
	two   []float64 // by a*causes+b, symmetrical: mass of the sets with both; with a = b that of one
}

// share adds up the mass of the sets by cause and by pair of causes.
func (l *layout) share(mass []float64) *shared {
	n := l.causes
	s := &shared{one: make([]float64, n), two: make([]float64, n*n)}
	for i := range l.runs {
		r := &l.runs[i]
		sum := 0.0
		last := s.one[r.last:]
		switch r.leads {
		case 0:
			for k, m := range mass[r.from:r.to] {
				last[k] += m
				sum += m
			}
		case 1:
			a := s.two[r.lead[0]*n+r.last:]
			for k, m := range mass[r.from:r.to] {
				last[k] += m
				a[k] += m
				sum += m
			}
		case 2:
			a, b := s.two[r.lead[0]*n+r.last:], s.two[r.lead[1]*n+r.last:]
			for k, m := range mass[r.from:r.to] {
				last[k] += m
				a[k] += m
				b[k] += m
				sum += m
			}
			s.two[r.lead[0]*n+r.lead[1]] += sum
		}
		for _, c := range r.lead[:r.leads] {
			s.one[c] += sum
		}
		s.total += sum
	}
	for a := range n {
		s.two[a*n+a] = s.one[a]
		for b := a + 1; b < n; b++ {
			s.two[b*n+a] = s.two[a*n+b]
		}
	}
	return s
}
