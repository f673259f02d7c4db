package condense

// tight is the tight string of one month: vapour pressure against s_d, straight
// between the nodes at which it bends.
type tight struct {
	node    []int     // at which it bends, with both ends
	rate    []float64 // net gain of each, kg/(m2 s); 0 at the ends, which are air
	in, out float64   // flow in from the room and out to the open, kg/(m2 s)
}

// pull draws the string below the bounds p in Pa at s_d values sd. The ends are
// fixed, and so are the nodes listed in wet: what holds water stays at saturation.
// Between two fixed nodes the string is the lower convex hull of the bounds.
func (t *tight) pull(p, sd []float64, wet []int) {
	t.node = append(t.node[:0], 0)
	from := 0
	for _, k := range wet {
		t.node = hull(t.node, p, sd, from, k)
		from = k
	}
	t.node = hull(t.node, p, sd, from, len(sd)-1)
	t.rate = append(t.rate[:0], 0)
	a, before := 0, 0.0
	for i, b := range t.node[1:] {
		g := delta0 * (p[a] - p[b]) / (sd[b] - sd[a])
		if i == 0 {
			t.in = g
		} else {
			t.rate = append(t.rate, before-g)
		}
		a, before = b, g
	}
	t.out = before
	t.rate = append(t.rate, 0)
}

// hull appends to chain the nodes at which the lower hull from a to b bends, and b.
// The node furthest below the straight line is on the hull; it parts the rest.
func hull(chain []int, p, sd []float64, a, b int) []int {
	for {
		k := lowest(p[a:b+1], sd[a:b+1])
		if k == 0 {
			return append(chain, b)
		}
		chain = hull(chain, p, sd, a, a+k)
		a += k
	}
}

// lowest returns the point furthest below the line from the first point to the last,
// or 0 when none is below it.
func lowest(p, sd []float64) int {
	last := len(p) - 1
	sd = sd[:len(p)]
	p0, sd0 := p[0], sd[0]
	slope := (p[last] - p0) / (sd[last] - sd0)
	at, low := 0, 0.0
	for k := 1; k < last; k++ {
		if below := p[k] - p0 - slope*(sd[k]-sd0); below < low {
			at, low = k, below
		}
	}
	return at
}

// holds reports whether the string is still right for the water now at each node,
// wet listing the nodes that have some: it must pass through all of those, and bend
// upwards only at them. Elsewhere it is pulled as far down as before.
func (t *tight) holds(water []float64, wet []int) bool {
	if len(t.node) == 0 {
		return false
	}
	last, met := len(t.node)-1, 0
	for i := 1; i < last; i++ {
		switch {
		case water[t.node[i]] > 0:
			met++
		case t.rate[i] < 0:
			return false
		}
	}
	return met == len(wet)
}
