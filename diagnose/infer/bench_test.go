package infer

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// benchModel is a synthetic model of n causes, 8 mechanisms and 85 findings, 45
// of them over mechanisms. The last cause is linked to everything, as a cause
// "something else" would be. Its numbers mean nothing.
func benchModel(n int, size []float64) Model {
	r := rand.New(rand.NewPCG(1, 2))
	row := func(answers int) []float64 {
		p := make([]float64, answers)
		sum := 0.0
		for a := range p {
			p[a] = 0.05 + r.Float64()
			sum += p[a]
		}
		for a := range p {
			p[a] /= sum
		}
		return p
	}
	m := Model{SizePrior: size}
	for i := range n {
		m.Causes = append(m.Causes, Cause{ID: fmt.Sprintf("c%02d", i), Weight: 0.2 + r.Float64()})
	}
	for j := range MaxMechanisms {
		m.Mechanisms = append(m.Mechanisms, Mechanism{ID: fmt.Sprintf("m%d", j), Leak: 0.03, Gate: 0.9, Links: []Link{{Cause: n - 1, Lambda: 0.3}}})
	}
	for c := range n - 1 {
		for _, j := range r.Perm(MaxMechanisms)[:1+r.IntN(3)] {
			m.Mechanisms[j].Links = append(m.Mechanisms[j].Links, Link{Cause: c, Lambda: 0.3 + 0.6*r.Float64()})
		}
	}
	names := []string{"none", "slight", "clear", "severe"}
	for i := range 85 {
		f := Finding{ID: fmt.Sprintf("f%02d", i), Answers: names[:2+r.IntN(3)], Cost: 0.5}
		if i%2 == 0 || i > 80 {
			f.Form = Table
			f.Parents = r.Perm(MaxMechanisms)[:1+r.IntN(2)]
			for range 1 << len(f.Parents) {
				f.TableRows = append(f.TableRows, row(len(f.Answers)))
			}
		} else {
			f.Over, f.Form = OverCauses, Max
			f.Background = row(len(f.Answers))
			for _, c := range append(r.Perm(n - 1)[:5], n-1) {
				f.Rows = append(f.Rows, Row{Parent: c, P: row(len(f.Answers))})
			}
		}
		m.Findings = append(m.Findings, f)
	}
	return m
}

// benchCase is a compiled model with 25 soft answers and 60 findings open.
type benchCase struct {
	engine   *Engine
	evidence Evidence
	post     *Posterior
	scopes   []Scope
	damage   []float64
}

func newBenchCase(b *testing.B, n int, size []float64) benchCase {
	b.Helper()
	r := rand.New(rand.NewPCG(3, 4))
	m := benchModel(n, size)
	c := benchCase{engine: must(Compile(m)), evidence: Evidence{Likelihood: map[int][]float64{}}}
	for _, f := range r.Perm(len(m.Findings))[:25] {
		answers := len(m.Findings[f].Answers)
		c.evidence.Likelihood[f] = Reliable(answers, r.IntN(answers), 0.85)
	}
	c.post = must(c.engine.Update(c.evidence))
	for i := range 10 {
		s := Scope{ID: fmt.Sprintf("s%d", i), Cost: 100 * float64(i)}
		for range n {
			s.Fix = append(s.Fix, r.Float64())
		}
		c.scopes = append(c.scopes, s)
	}
	for range n {
		c.damage = append(c.damage, 500+500*r.Float64())
	}
	return c
}

var benchSizes = []struct {
	name string
	n    int
	size []float64
}{
	{"n30K2", 30, []float64{0, 0.74, 0.26}},
	{"n40K2", 40, []float64{0, 0.74, 0.26}},
	{"n61K2", 61, []float64{0, 0.74, 0.26}},
	{"n40K3", 40, []float64{0, 0.68, 0.24, 0.08}},
	{"n62K3", 62, []float64{0, 0.68, 0.24, 0.08}},
}

func benchEach(b *testing.B, run func(c benchCase) error) {
	for _, s := range benchSizes {
		b.Run(s.name, func(b *testing.B) {
			c := newBenchCase(b, s.n, s.size)
			b.ReportAllocs()
			for b.Loop() {
				if err := run(c); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkCompile(b *testing.B) {
	for _, s := range benchSizes {
		b.Run(s.name, func(b *testing.B) {
			m := benchModel(s.n, s.size)
			for b.Loop() {
				must(Compile(m))
			}
		})
	}
}

func BenchmarkUpdate(b *testing.B) {
	benchEach(b, func(c benchCase) error {
		_, err := c.engine.Update(c.evidence)
		return err
	})
}

func BenchmarkDecide(b *testing.B) {
	benchEach(b, func(c benchCase) error {
		_, err := c.engine.Decide(c.post, c.scopes, c.damage)
		return err
	})
}

func BenchmarkValues(b *testing.B) {
	benchEach(b, func(c benchCase) error {
		_, err := c.engine.Values(c.post, c.scopes, c.damage)
		return err
	})
}

func BenchmarkWeights(b *testing.B) {
	benchEach(b, func(c benchCase) error {
		_, err := c.engine.Weights(c.evidence)
		return err
	})
}

func BenchmarkFlips(b *testing.B) {
	benchEach(b, func(c benchCase) error {
		said := map[int]int{}
		for f := range c.evidence.Likelihood {
			said[f] = 0
		}
		_, err := c.engine.Flips(c.evidence, said)
		return err
	})
}

func BenchmarkShapleyTenGroups(b *testing.B) {
	benchEach(b, func(c benchCase) error {
		groups := make([][]int, MaxShapleyGroups)
		for i, item := range c.engine.items(c.post.seen) {
			groups[i%len(groups)] = append(groups[i%len(groups)], item)
		}
		_, err := c.engine.Shapley(c.evidence, []int{0}, groups)
		return err
	})
}

func BenchmarkNextTwoOfSix(b *testing.B) {
	benchEach(b, func(c benchCase) error {
		var first []int
		for f := range c.engine.model.Findings {
			if c.evidence.Likelihood[f] == nil && len(first) < 6 {
				first = append(first, f)
			}
		}
		_, err := c.engine.NextTwo(c.post, first, c.scopes, c.damage)
		return err
	})
}
