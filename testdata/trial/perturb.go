package main

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"underlap/rules"
)

// shaken is a copy of the pack in which every number of the beliefs is moved by up to a
// factor of two either way, evenly in the logarithm: shares in their odds, rates and
// factors as they are. Each link moves by itself, so each gets a word of its own.
func shaken(base *rules.Pack, r *rand.Rand) *rules.Pack {
	p := *base
	p.Words.Strength = maps.Clone(base.Words.Strength)
	shake := func() float64 { return math.Exp((2*r.Float64() - 1) * math.Ln2) }
	odds := func(x float64) float64 {
		o := x / (1 - x) * shake()
		return o / (1 + o)
	}
	n := 0
	word := func(w string) string {
		x, ok := base.Words.Strength[w]
		if !ok || x <= 0 || x >= 1 {
			return w
		}
		n++
		own := fmt.Sprintf("shaken-%d", n)
		p.Words.Strength[own] = odds(x)
		return own
	}
	row := func(m map[string]float64) map[string]float64 {
		out := maps.Clone(m)
		before, after := 0.0, 0.0
		for _, k := range slices.Sorted(maps.Keys(m)) {
			out[k] = m[k] * shake()
			before, after = before+m[k], after+out[k]
		}
		for k := range out {
			out[k] *= before / after
		}
		return out
	}
	links := func(list []rules.Link) []rules.Link {
		out := slices.Clone(list)
		for i := range out {
			if out[i].Of100 != nil {
				out[i].Of100 = row(out[i].Of100)
			} else {
				out[i].Strength = word(out[i].Strength)
			}
		}
		return out
	}
	factors := func(m map[string]float64) map[string]float64 {
		out := maps.Clone(m)
		for _, k := range slices.Sorted(maps.Keys(m)) {
			out[k] *= shake()
		}
		return out
	}
	scaled := func(v []float64) []float64 {
		out, f := slices.Clone(v), shake()
		for i := range out {
			out[i] *= f
		}
		return out
	}

	p.Words.Known = slices.Clone(base.Words.Known)
	for i := range p.Words.Known {
		p.Words.Known[i].Reliability = odds(p.Words.Known[i].Reliability)
	}
	p.Causes = slices.Clone(base.Causes)
	for i := range p.Causes {
		c := &p.Causes[i]
		c.PerCalls *= shake()
		c.ByType = factors(c.ByType)
		c.LagHours, c.Litres = scaled(c.LagHours), scaled(c.Litres)
		c.Acts = slices.Clone(c.Acts)
		for k := range c.Acts {
			c.Acts[k].Strength = word(c.Acts[k].Strength)
		}
		c.Links = links(c.Links)
	}
	p.Mechanisms = slices.Clone(base.Mechanisms)
	for i := range p.Mechanisms {
		p.Mechanisms[i].Leak = odds(p.Mechanisms[i].Leak)
		p.Mechanisms[i].Links = links(p.Mechanisms[i].Links)
	}
	p.Contexts = slices.Clone(base.Contexts)
	for i := range p.Contexts {
		p.Contexts[i].Times = factors(p.Contexts[i].Times)
	}
	p.Together = slices.Clone(base.Together)
	for i := range p.Together {
		p.Together[i].Times *= shake()
	}
	p.Questions = slices.Clone(base.Questions)
	for i := range p.Questions {
		q := &p.Questions[i]
		if q.Told > 0 {
			q.Told = odds(q.Told)
		}
		q.Answers = slices.Clone(q.Answers)
		several := q.Kind == rules.KindSeveral
		before, after := 0.0, 0.0
		for k := range q.Answers {
			a := &q.Answers[k]
			before += a.Background
			if several { // each tick a yes or no of its own, of 100
				if a.Background > 0 && a.Background < 100 {
					a.Background = 100 * odds(a.Background/100)
				}
			} else {
				a.Background *= shake()
			}
			after += a.Background
		}
		for k := range q.Answers {
			if !several && after > 0 {
				q.Answers[k].Background *= before / after
			}
		}
	}
	return &p
}
