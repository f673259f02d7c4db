package buildup

import (
	"math"
	"sort"

	"underlap/rules"
)

// enumeration walks all stacks and keeps the best. The readings of the whole roof
// see a stack only through its sum, so the coverings, and the ways a roof may grow
// along its fall, are summed in tables and not stack by stack.
type enumeration struct {
	b   *rules.BuildUpTables
	ev  *evidence
	w   weights
	era string

	density [growths]*table   // of the readings of the whole, by step of a stack's sum; nil when there are none
	sums    [growths][]topped // by step of a sum without its covering, worked out when asked for
	thick   int               // the thickest covering, in steps
	types   []float64         // weight by type
	joists  [][]float64       // by type and joist
	before  [][growths]spread // by type and growth: sums without covering, before the readings of the whole
	lower   [][growths]spread // the layers below the deck, after all readings; without firring they are steady
	layers  [][]layerWeight   // by type: insulation that may be the one seen, after all readings
	top     []parts           // min-heap by weight
}

// topped is a sum with every covering put on it.
type topped struct {
	known     bool
	all, best float64 // sum over the coverings of weight x density, and the largest of its terms
}

// layerWeight is the weight of a pair of insulation layers of a type.
type layerWeight struct{ main, under, weight float64 }

// spread counts weight by length, one bin a millimetre.
type spread [1200]float64

// add shares w between the two bins next to m metres, so that the mean is kept.
func (s *spread) add(m, w float64) {
	at := m * 1000
	i := int(at)
	if i < 0 || i+1 >= len(s) {
		return
	}
	part := at - float64(i)
	s[i] += w * (1 - part)
	s[i+1] += w * part
}

func newEnumeration(b *rules.BuildUpTables, ev *evidence, w weights, era string) *enumeration {
	e := &enumeration{b: b, ev: ev, w: w, era: era}
	for _, o := range b.Coverings {
		e.thick = max(e.thick, step(o.MM/1000)+1)
	}
	for c := range growths {
		if e.density[c] = ev.density(c); e.density[c] != nil {
			e.sums[c] = make([]topped, len(e.density[c].v)+e.thick)
		}
	}
	return e
}

// on is a sum of layers with all coverings on it, for one way of growing.
func (e *enumeration) on(sum float64, class int) topped {
	t := e.density[class]
	if t == nil {
		return topped{all: 1, best: 1}
	}
	at := step(sum) - t.from + e.thick
	if at < 0 || at >= len(e.sums[class]) {
		return topped{}
	}
	s := &e.sums[class][at]
	if !s.known {
		s.known = true
		for v, wv := range e.w.covering {
			d := wv * t.at(step(sum+e.b.Coverings[v].MM/1000))
			s.all += d
			s.best = max(s.best, d)
		}
	}
	return *s
}

// walk goes through all stacks: weight is the prior times how likely all readings are.
func (e *enumeration) walk(prior []float64) {
	e.types, e.joists = make([]float64, len(prior)), make([][]float64, len(prior))
	e.before, e.lower = make([][growths]spread, len(prior)), make([][growths]spread, len(prior))
	e.layers = make([][]layerWeight, len(prior))
	for k := range prior {
		e.joists[k] = make([]float64, len(e.b.Joists))
		e.kind(k, prior[k])
	}
}

// kind walks the stacks of one type.
func (e *enumeration) kind(k int, prior float64) {
	t := &e.b.Types[k]
	main, under := make([]float64, len(t.Thickness)), make([]float64, len(t.Under))
	for i, o := range t.Thickness {
		main[i] = o.Weight * inEra(o, e.era)
	}
	for i, o := range t.Under {
		under[i] = o.Weight * inEra(o, e.era)
	}
	normalise(main)
	normalise(under)
	// Insulation that does not fit between the joists drops out; what does fit shares
	// the type's whole prior, so that the era's shares stand until something is seen.
	fits := 0.0
	for j, wj := range e.w.joist {
		for m, wm := range main {
			for u, wu := range under {
				if _, ok := zone(t, e.b.Joists[j].MM, t.Thickness[m].MM, t.Under[u].MM); ok {
					fits += wj * wm * wu
				}
			}
		}
	}
	if fits == 0 {
		return
	}
	boards := hasBoards(t)
	lower := make([][growths]float64, len(e.w.ceiling))
	for m, wm := range main {
		for u, wu := range under {
			pair := prior / fits * wm * wu * e.ev.layerSeen(t, t.Thickness[m].MM/1000, t.Under[u].MM/1000)
			all, below := adds(t, t.Thickness[m].MM, t.Under[u].MM)
			was := e.types[k]
			for j, wj := range e.w.joist {
				if _, ok := zone(t, e.b.Joists[j].MM, t.Thickness[m].MM, t.Under[u].MM); !ok {
					continue
				}
				for g, wg := range e.w.firring {
					up := e.b.Joists[j].MM + e.b.Firrings[g].MM
					c := core{parts: parts{kind: k, joist: j, firring: g, insulation: m, under: u}, below: (up + below) / 1000, firring: e.b.Firrings[g].MM > 0, like: lower}
					c.grows = e.grows(c.firring, boards)
					for i, o := range e.b.Ceilings {
						for class := range growths {
							lower[i][class] = e.ev.lowerPart(c.below+o.MM/1000, c.firring, class)
						}
					}
					for d, wd := range e.w.deck {
						if base := pair * wj * wd * wg; base >= negligible {
							c.deck, c.sum = d, (up+all+e.b.Decks[d].MM)/1000
							e.ceilings(&c, base)
						}
					}
				}
			}
			e.layers[k] = append(e.layers[k], layerWeight{t.Thickness[m].MM / 1000, t.Under[u].MM / 1000, e.types[k] - was})
		}
	}
}

// core is a choice of layers, ceiling and covering still open.
type core struct {
	parts
	sum     float64 // metres
	below   float64 // metres of it below the deck
	firring bool
	grows   float64            // share of such roofs whose thickness grows along the fall
	like    [][growths]float64 // by ceiling: how likely the reading up to the deck is
}

// negligible is the prior weight under which a choice of layers, ceiling and covering
// still open, is not looked at: all of them together would not move a share by a
// thousandth.
const negligible = 2e-8

// ceilings puts each ceiling below and each covering on top of a choice of layers.
func (e *enumeration) ceilings(c *core, base float64) {
	before, joist := &e.before[c.kind], &e.joists[c.kind][c.joist]
	for i, wi := range e.w.ceiling {
		c.ceiling = i
		thick := e.b.Ceilings[i].MM / 1000
		x := c.sum + thick
		var most, after float64
		var part, held [growths]float64
		for class, share := range [growths]float64{1 - c.grows, c.grows} {
			w := base * wi * share * c.like[i][class]
			on := e.on(x, class)
			before[class].add(x, w)
			part[class], held[class] = w, w*on.all
			after += w * on.all
			most += w * on.best
		}
		e.types[c.kind] += after
		*joist += after
		if c.firring {
			for class, w := range held {
				e.lower[c.kind][class].add(c.below+thick, w)
			}
		} else {
			e.lower[c.kind][steady].add(c.below+thick, after)
		}
		if most == 0 || len(e.top) == keep && most <= e.top[0].weight {
			continue // none of its coverings can be among the best
		}
		for v, wv := range e.w.covering {
			c.covering, c.total = v, x+e.b.Coverings[v].MM/1000
			c.weight = 0
			for class, w := range part {
				if t := e.density[class]; t != nil {
					w *= t.at(step(c.total))
				}
				c.weight += w * wv
			}
			if c.weight > 0 {
				e.offer(c.parts)
			}
		}
	}
}

// grows is the share of such roofs whose thickness grows along the fall.
func (e *enumeration) grows(firring, boards bool) float64 {
	switch {
	case firring:
		return e.b.Growth.Firring
	case boards:
		return e.b.Growth.Boards
	}
	return e.b.Growth.Bare
}

func hasBoards(t *rules.BuildType) bool {
	for _, role := range t.Order {
		if role == "board" {
			return true
		}
	}
	return false
}

// offer keeps the best stacks in a small heap.
func (e *enumeration) offer(c parts) {
	if len(e.top) < keep {
		e.top = append(e.top, c)
		for i := len(e.top) - 1; i > 0 && e.top[i].weight < e.top[(i-1)/2].weight; i = (i - 1) / 2 {
			e.top[i], e.top[(i-1)/2] = e.top[(i-1)/2], e.top[i]
		}
		return
	}
	if c.weight <= e.top[0].weight {
		return
	}
	e.top[0] = c
	for i := 0; ; {
		l := 2*i + 1
		if l >= len(e.top) {
			break
		}
		if l+1 < len(e.top) && e.top[l+1].weight < e.top[l].weight {
			l++
		}
		if e.top[i].weight <= e.top[l].weight {
			break
		}
		e.top[i], e.top[l] = e.top[l], e.top[i]
		i = l
	}
}

func (e *enumeration) best() []parts {
	sort.SliceStable(e.top, func(i, j int) bool {
		a, b := e.top[i], e.top[j]
		if a.weight != b.weight {
			return a.weight > b.weight
		}
		return less(a, b)
	})
	return e.top
}

// less breaks ties by position in the tables, so that the order is always the same.
func less(a, b parts) bool {
	x := [8]int{a.kind, a.joist, a.insulation, a.under, a.deck, a.firring, a.ceiling, a.covering}
	y := [8]int{b.kind, b.joist, b.insulation, b.under, b.deck, b.firring, b.ceiling, b.covering}
	for i := range x {
		if x[i] != y[i] {
			return x[i] < y[i]
		}
	}
	return false
}

// covered are the sums of each type with coverings on, before the readings of the
// whole roof.
func (e *enumeration) covered() [][growths]spread {
	out := make([][growths]spread, len(e.before))
	for k := range e.before {
		for c := range growths {
			e.cover(&out[k][c], &e.before[k][c])
		}
	}
	return out
}

// totals adds both ways of growing up.
func totals(covered [][growths]spread) []spread {
	out := make([]spread, len(covered))
	for k := range covered {
		for i := range out[k] {
			out[k][i] = covered[k][steady][i] + covered[k][growing][i]
		}
	}
	return out
}

// cover puts each covering on a spread of sums.
func (e *enumeration) cover(out, s *spread) {
	for v, wv := range e.w.covering {
		at := e.b.Coverings[v].MM
		whole := int(at)
		part := at - math.Floor(at)
		for i, w := range s[:len(s)-whole-1] {
			if w != 0 {
				out[i+whole] += w * wv * (1 - part)
				out[i+whole+1] += w * wv * part
			}
		}
	}
}

// expected gives the usual totals before the readings of the whole roof.
func expected(b *rules.BuildUpTables, totals []spread) []Expect {
	var out []Expect
	for k := range totals {
		by := &totals[k]
		all := sumOf(by[:])
		if all <= 0 {
			continue
		}
		x := Expect{Type: b.Types[k].ID}
		run := 0.0
		for i, w := range by {
			before := run / all
			run += w
			now := run / all
			mark := func(q float64, at *float64) {
				if before < q && now >= q {
					*at = float64(i) / 1000
				}
			}
			mark(0.10, &x.Low)
			mark(0.50, &x.Mid)
			mark(0.90, &x.High)
		}
		out = append(out, x)
	}
	return out
}
