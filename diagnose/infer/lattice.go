package infer

import (
	"cmp"
	"math/bits"
	"slices"
)

// maxStates is the largest number of joint mechanism states.
const maxStates = 1 << MaxMechanisms

// lattice holds one table per set T of mechanisms that some cause set touches.
// A table has one entry per joint state of the mechanisms in T, lowest
// mechanism fastest. Mechanisms outside T are only driven by their leak, so
// their sum can be taken once per T and not once per cause set.
type lattice struct {
	nodes []latticeNode // the full set first, every parent before its children
	index [maxStates]int
	size  int // entries of all tables together
}

type latticeNode struct {
	mask       int
	start, end int // place of the table
	parent     int // node with one mechanism more; unused in the first node
	bit        int // place of that mechanism within the parent's mask
	on, off    float64
}

func newLattice(mechanisms int, touched []uint8, idle []float64) *lattice {
	full := 1<<mechanisms - 1
	needed := map[int]bool{full: true}
	for _, t := range touched {
		for m := int(t); !needed[m]; m |= 1 << highestMissing(m, full) {
			needed[m] = true
		}
	}
	masks := make([]int, 0, len(needed))
	for m := range needed {
		masks = append(masks, m)
	}
	slices.SortFunc(masks, func(a, b int) int {
		return cmp.Or(bits.OnesCount(uint(b))-bits.OnesCount(uint(a)), a-b)
	})
	l := &lattice{}
	for i, m := range masks {
		node := latticeNode{mask: m, start: l.size, end: l.size + 1<<bits.OnesCount(uint(m))}
		if m != full {
			missing := highestMissing(m, full)
			node.parent = l.index[m|1<<missing]
			node.bit = bits.OnesCount(uint(m) & (1<<missing - 1))
			node.on, node.off = idle[missing], 1-idle[missing]
		}
		l.index[m] = i
		l.size = node.end
		l.nodes = append(l.nodes, node)
	}
	return l
}

// highestMissing is the mechanism by which a parent exceeds its child. Taking
// the highest keeps the tables in long blocks.
func highestMissing(mask, full int) int { return bits.Len(uint(full&^mask)) - 1 }

// fold sums the untouched mechanisms out of the table of the full set, which
// stands first in tables, and fills all other tables.
func (l *lattice) fold(tables []float64) {
	for _, node := range l.nodes[1:] {
		from := tables[l.nodes[node.parent].start:l.nodes[node.parent].end]
		to := tables[node.start:node.end]
		block := 1 << node.bit
		for len(to) > 0 {
			off, on := from[:block], from[block:][:block]
			for t, x := range off {
				to[t] = float64(node.off*x) + float64(node.on*on[t])
			}
			to, from = to[block:], from[2*block:]
		}
	}
}

// spread is the reverse of fold. It hands the mass of every table on to the
// full set, which then holds the mass by joint state of all mechanisms. used says
// which nodes hold any mass, and grows by those that are handed some; the rest are
// passed over. The sets with one cause in them leave most tables empty.
func (l *lattice) spread(tables []float64, used []bool) {
	for i := len(l.nodes) - 1; i > 0; i-- {
		if !used[i] {
			continue
		}
		node := &l.nodes[i]
		used[node.parent] = true
		from := tables[node.start:node.end]
		to := tables[l.nodes[node.parent].start:l.nodes[node.parent].end]
		block := 1 << node.bit
		for len(from) > 0 {
			off, on := to[:block], to[block:][:block]
			for t, v := range from[:block] {
				off[t] += float64(node.off * v)
				on[t] += float64(node.on * v)
			}
			from, to = from[block:], to[2*block:]
		}
	}
}
