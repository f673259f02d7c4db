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

// predicted is P(what was reported | evidence), lambda its likelihood.
func (c *cross) predicted(lambda []float64) float64 {
	all, weighed := 0.0, 0.0
	for a, m := range c.total() {
		all += m
		weighed += float64(lambda[a] * m)
	}
	return weighed / all
}

// marginals fills out with P(cause | evidence, likelihood lambda on the true
// answer) and returns P(lambda | evidence). With probability zero, out is not
// changed.
func (c *cross) marginals(lambda, out []float64) float64 {
	weighed := 0.0
	for a, m := range c.total() {
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
	return c.predicted(lambda)
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
