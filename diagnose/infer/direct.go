package infer

// applyToSets multiplies value, one number per set, by the likelihood of all
// cause findings for which use is true.
func (e *Engine) applyToSets(o *observed, value []float64, use func(item int) bool) *product {
	p := newProduct(value)
	var waiting *factors
	flush := func() {
		if waiting != nil {
			waiting.multiply(value)
			p.pending++
			p.settle()
		}
		waiting = nil
	}
	for _, f := range e.order {
		if !e.moves(o, f, OverCauses) || !use(f) {
			continue
		}
		t := &e.finding[f]
		if t.mixture == nil {
			t.multiply(e.sets, o.finding[f], value)
			p.multiplied()
			continue
		}
		background, alone := t.mixture.heardAs(o.finding[f])
		if waiting == nil {
			waiting = newFactors(e.sets)
		}
		bits, ok := waiting.fits(t.mixture, background, alone)
		if !ok {
			e.sets.multiplyMixture(t.mixture, background, alone, value)
			p.multiplied()
			continue
		}
		if waiting.bits+bits > mostBits {
			flush()
			waiting = newFactors(e.sets)
		}
		p.scale(background)
		waiting.add(t.mixture, background, alone, bits)
	}
	flush()
	p.settle()
	return p
}

// applyToStates multiplies value, one number per joint mechanism state, by the
// likelihood of all mechanism findings and joint items for which use is true.
func (e *Engine) applyToStates(o *observed, value []float64, use func(item int) bool) *product {
	p := newProduct(value)
	var likelihood []float64
	for _, f := range e.order {
		if !e.moves(o, f, OverMechanisms) || !use(f) {
			continue
		}
		t := &e.finding[f]
		likelihood = t.rowLikelihood(o.finding[f], likelihood)
		for x := range value {
			value[x] *= likelihood[t.state[x]]
		}
		p.multiplied()
	}
	for k := range o.joint {
		j := &o.joint[k]
		if flat(j.mass) || !use(j.item) {
			continue
		}
		for x := range value {
			value[x] *= j.state[x]
		}
		p.multiplied()
	}
	p.settle()
	return p
}

// massWithout is the mass of the sets by the prior and all evidence but one finding over
// causes.
func (e *Engine) massWithout(p *Posterior, item int) []float64 {
	mass := append([]float64(nil), e.prior...)
	e.applyToSets(p.seen, mass, func(i int) bool { return i != item })
	byKind := make([]float64, len(e.kinds.list))
	e.mechanismLikelihood(p.state, make([]float64, e.lattice.size), byKind)
	e.multiplyKinds(mass, byKind)
	return mass
}

// crossOthers is the cross table of a finding over causes and all evidence but what
// was reported on the finding itself.
func (e *Engine) crossOthers(p *Posterior, f int) cross {
	if !e.moves(p.seen, f, OverCauses) {
		return e.crossSets(f, p.mass, p.shares())
	}
	if m := e.finding[f].mixture; m != nil {
		background, alone := m.heardAs(p.seen.finding[f])
		if least := min(background, leastOf(alone)); least > 0 {
			return e.crossMixture(m, p.mass, p.shares(), background, alone)
		}
	}
	mass := e.massWithout(p, f)
	return e.crossSets(f, mass, e.sets.share(mass))
}

func leastOf(v []float64) float64 {
	least := 1.0
	for _, x := range v {
		least = min(least, x)
	}
	return least
}

// crossSets is the cross table of a cause finding over the given set masses.
func (e *Engine) crossSets(f int, mass []float64, s *shared) cross {
	t := &e.finding[f]
	if t.mixture != nil {
		return e.crossMixture(t.mixture, mass, s, 1, nil)
	}
	n := t.answers
	c := cross{answers: n, joint: make([]float64, (len(e.model.Causes)+1)*n)}
	sum := make([]float64, n)
	total := c.total()
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		clear(sum)
		at := t.at[r.from:r.to]
		tail := c.joint[r.last*n:]
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
			for a, v := range c.row(lead) {
				c.joint[lead*n+a] = v + sum[a]
			}
		}
		for a, v := range sum {
			total[a] += v
		}
	}
	return c
}

// multiply multiplies value, one number per set, by the likelihood of what was
// reported.
func (t *findingTable) multiply(sets *layout, lambda, value []float64) {
	likelihood := t.rowLikelihood(lambda, nil)
	for s, k := range t.at {
		value[s] *= likelihood[k]
	}
}
