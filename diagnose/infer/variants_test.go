package infer

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A model with variants is the mean of models without: each weighed by how well it
// foretold the evidence. This holds by Bayes' rule and takes another way through the
// kernel.
func TestVariantsAreAMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawModel(t)
		ev, _ := drawEvidence(t, &m)
		p, err := compile(t, m).Update(ev)
		if err != nil || len(m.Variants) == 0 {
			return
		}
		total := 0.0
		weight, cause := make([]float64, len(m.Variants)), make([]float64, len(m.Causes))
		for v, x := range m.Variants {
			alone := m
			alone.Variants = nil
			alone.Causes = append([]Cause(nil), m.Causes...)
			for c := range x.Times {
				alone.Causes[c].Weight *= x.Times[c]
			}
			q, err := compile(t, alone).Update(ev)
			if err != nil {
				continue
			}
			weight[v] = x.P * math.Exp(q.LogEvidence()-p.LogEvidence())
			total += weight[v]
			for c := range cause {
				cause[c] += weight[v] * q.Cause(c)
			}
		}
		near(t, "the weights sum to one", total, 1, 1e-9)
		nearAll(t, "variants", p.Variants(), weight, 1e-9)
		nearAll(t, "causes", p.Causes(), cause, 1e-9)
	})
}
