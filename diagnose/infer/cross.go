package infer

// cross is the joint mass of one finding's true answer and each cause, up to a
// constant: joint[c*answers+a] = P(c in S, answer a, evidence). The row after
// the last cause is the total over all sets. The evidence may leave out what
// was reported on the finding itself.
type cross struct {
	answers int
	joint   []float64
}

func (c *cross) row(cause int) []float64 {
	return c.joint[cause*c.answers : (cause+1)*c.answers]
}

func (c *cross) total() []float64 { return c.joint[len(c.joint)-c.answers:] }

// heard replaces the true answer by the answer heard from a source of
// reliability rho. See Reliable.
func (c *cross) heard(rho float64) {
	for k := 0; k < len(c.joint); k += c.answers {
		row := c.joint[k : k+c.answers]
		sum := 0.0
		for _, m := range row {
			sum += m
		}
		for a := range row {
			row[a] = float64(rho*row[a]) + float64((1-rho)*sum/float64(c.answers))
		}
	}
}

// marginals fills out with P(cause | evidence, likelihood lambda on the true
// answer) and returns P(lambda | evidence). With probability zero, out is not
// changed.
func (c *cross) marginals(lambda, out []float64) float64 {
	all, weighed := 0.0, 0.0
	for a, m := range c.total() {
		all += m
		weighed += float64(lambda[a] * m)
	}
	if weighed == 0 {
		return 0
	}
	for i := range out {
		sum := 0.0
		for a, m := range c.row(i) {
			sum += float64(lambda[a] * m)
		}
		out[i] = min(1, sum/weighed)
	}
	return weighed / all
}

// crossSets is the cross table of a cause finding over the given set masses.
func (e *Engine) crossSets(f int, mass []float64) cross {
	t := &e.finding[f]
	n := t.answers
	c := cross{answers: n, joint: make([]float64, (len(e.model.Causes)+1)*n)}
	sum := make([]float64, n)
	total := c.total()
	for i := range e.runs {
		r := &e.runs[i]
		clear(sum)
		at := t.at[r.from:r.to]
		tail := c.joint[int(r.last)*n:]
		for k, m := range mass[r.from:r.to] {
			row := t.rows[int(at[k])*n:][:n]
			cell := tail[k*n:][:n]
			for a, q := range row {
				v := float64(m * q)
				cell[a] += v
				sum[a] += v
			}
		}
		for _, lead := range r.lead[:r.leads] {
			for a, v := range c.row(int(lead)) {
				c.joint[int(lead)*n+a] = v + sum[a]
			}
		}
		for a, v := range sum {
			total[a] += v
		}
	}
	return c
}

// statesByCause is the mass of (cause in S, joint mechanism state) without any
// evidence on mechanisms, one row of states per cause and a last row of totals. It
// is worked out once for each posterior.
func (e *Engine) statesByCause(p *Posterior) [][]float64 {
	p.byCauseOnce.Do(func() { p.byCause = e.makeStatesByCause(p) })
	return p.byCause
}

func (e *Engine) makeStatesByCause(p *Posterior) [][]float64 {
	n := len(e.model.Causes)
	size := e.lattice.size
	tables := make([]float64, (n+1)*size)
	nodes := len(e.lattice.nodes)
	used := make([]bool, (n+1)*nodes)
	var product [maxStates]float64
	for s, d := range p.direct {
		if d == 0 {
			continue
		}
		at := int(e.node[s])
		node := &e.lattice.nodes[at]
		w := e.weight[e.start[s]:e.start[s+1]]
		v := product[:len(w)]
		for t, x := range w {
			v[t] = d * x
		}
		for _, c := range e.members[s].causes() {
			addTo(tables[int(c)*size+node.start:], v)
			used[int(c)*nodes+at] = true
		}
		addTo(tables[n*size+node.start:], v)
		used[n*nodes+at] = true
	}
	rows := make([][]float64, n+1)
	for c := range rows {
		own := tables[c*size : (c+1)*size]
		e.lattice.spread(own, used[c*nodes:(c+1)*nodes])
		rows[c] = own[:e.states]
	}
	return rows
}

func addTo(to, v []float64) {
	to = to[:len(v)]
	for t, x := range v {
		to[t] += x
	}
}

// crossStates is the cross table of a mechanism finding. state is E(x) of the
// evidence to be taken into account.
func (e *Engine) crossStates(f int, byCause [][]float64, state []float64) cross {
	t := &e.finding[f]
	n := t.answers
	c := cross{answers: n, joint: make([]float64, len(byCause)*n)}
	var row [maxStates]float64
	for i, mass := range byCause {
		byRow := row[:len(t.rows)/n]
		clear(byRow)
		for x, m := range mass {
			byRow[t.state[x]] += float64(m * state[x])
		}
		cell := c.row(i)
		for k, m := range byRow {
			for a, q := range t.row(int32(k)) {
				cell[a] += float64(m * q)
			}
		}
	}
	return c
}
