package infer

import (
	"math"
	"math/bits"
	"strings"
	"testing"
)

type networkFile struct {
	header
	Node []struct {
		Name            string
		States, Parents []string
		CPT             [][]float64
	}
	Case []networkCase
}

type networkCase struct {
	ID, Note  string
	Hard      map[string]string
	Virtual   map[string][]float64
	PEvidence float64  `toml:"p_evidence"`
	Conflict  *float64 `toml:"conflict_bits"`
	Posterior map[string][]float64
	Published map[string]float64
}

// network is the file's network as the enumerator takes it.
func (f *networkFile) network() network {
	var nw network
	for _, n := range f.Node {
		own := node{name: n.Name, states: n.States, cpt: n.CPT}
		for _, p := range n.Parents {
			own.parents = append(own.parents, nw.index(p))
		}
		nw = append(nw, own)
	}
	return nw
}

// evidence is what the case reports, by node.
func (c *networkCase) evidence(nw network) map[int][]float64 {
	evidence := map[int][]float64{}
	for name, state := range c.Hard {
		i := nw.index(name)
		lambda := make([]float64, len(nw[i].states))
		for s, id := range nw[i].states {
			if id == state {
				lambda[s] = 1
			}
		}
		evidence[i] = lambda
	}
	for name, lambda := range c.Virtual {
		evidence[nw.index(name)] = lambda
	}
	return evidence
}

// testNetwork checks the oracle, not the kernel, against published networks.
func testNetwork(t *testing.T, path string) {
	var f networkFile
	load(t, path, &f)
	nw := f.network()
	for _, c := range f.Case {
		evidence := c.evidence(nw)
		p, posterior := nw.solve(evidence)
		near(t, c.ID+" p_evidence", p, c.PEvidence, f.Tolerance)
		if len(c.Posterior)+len(c.Hard) != len(nw) {
			t.Errorf("%s: %d posteriors and %d hard answers for %d nodes", c.ID, len(c.Posterior), len(c.Hard), len(nw))
		}
		for name, want := range c.Posterior {
			nearAll(t, c.ID+" "+name, posterior[nw.index(name)], want, f.Tolerance)
		}
		if c.Conflict != nil {
			bits := -math.Log2(p)
			for i, lambda := range evidence {
				alone, _ := nw.solve(map[int][]float64{i: lambda})
				bits += math.Log2(alone)
			}
			near(t, c.ID+" conflict", bits, *c.Conflict, f.Tolerance)
		}
		for key, want := range c.Published {
			if key == "published_tolerance" {
				continue
			}
			name, state, _ := strings.Cut(key, "_")
			i := nw.index(name)
			for s, id := range nw[i].states {
				if id == state {
					near(t, c.ID+" published "+key, posterior[i][s], want, c.Published["published_tolerance"])
				}
			}
		}
	}
}

// testNoisyOr checks the oracle over all cause sets and the kernel over sets of
// at most two and three. The kernel has no empty set, so its share is added
// here from the leaks alone.
func testNoisyOr(t *testing.T, path string) {
	var f struct {
		header
		Prior, Leak []float64
		Links       [][3]float64
		Case        []struct {
			ID                 string
			Positive, Negative []int
			Virtual            []struct {
				Finding    int
				Likelihood []float64 // present, absent
			}
			PEvidence float64 `toml:"p_evidence"`
			Marginals []float64
			NonEmpty  []float64 `toml:"marginals_given_nonempty"`
			AtMost3   []float64 `toml:"marginals_at_most_3"`
			AtMost2   []float64 `toml:"marginals_at_most_2"`
			Dropped3  float64   `toml:"mass_dropped_at_3"`
		}
	}
	load(t, path, &f)
	for _, c := range f.Case {
		t.Run(c.ID, func(t *testing.T) {
			lambda := map[int][]float64{} // absent, present
			for _, i := range c.Positive {
				lambda[i] = []float64{0, 1}
			}
			for _, i := range c.Negative {
				lambda[i] = []float64{1, 0}
			}
			for _, v := range c.Virtual {
				lambda[v.Finding] = []float64{v.Likelihood[1], v.Likelihood[0]}
			}

			var nw network
			for _, p := range f.Prior {
				nw = append(nw, node{states: []string{"absent", "present"}, cpt: [][]float64{{1 - p, p}}})
			}
			evidence := map[int][]float64{}
			for i, leak := range f.Leak {
				if lambda[i] == nil {
					continue // a leaf without evidence sums to 1
				}
				n := node{states: []string{"absent", "present"}}
				rows := [][]float64{{1 - leak, leak}}
				for _, l := range f.Links {
					if int(l[0]) != i {
						continue
					}
					n.parents = append(n.parents, int(l[1]))
					var wider [][]float64
					for _, row := range rows {
						quiet := row[0] * (1 - l[2])
						wider = append(wider, row, []float64{quiet, 1 - quiet})
					}
					rows = wider
				}
				n.cpt = rows
				evidence[len(nw)] = lambda[i]
				nw = append(nw, n)
			}
			causes := len(f.Prior)
			total, empty, large := 0.0, 0.0, 0.0
			marginals, nonEmpty := make([]float64, causes), make([]float64, causes)
			nw.enumerate(evidence, func(state []int, p float64) {
				set := uint(0)
				for i := range causes {
					set |= uint(state[i]) << i
					marginals[i] += p * float64(state[i])
				}
				total += p
				if set == 0 {
					empty += p
				}
				if bits.OnesCount(set) > 3 {
					large += p
				}
			})
			for i := range marginals {
				nonEmpty[i] = marginals[i] / (total - empty)
				marginals[i] /= total
			}
			near(t, "p_evidence", total, c.PEvidence, f.Tolerance)
			nearAll(t, "marginals", marginals, c.Marginals, f.Tolerance)
			nearAll(t, "given nonempty", nonEmpty, c.NonEmpty, f.Tolerance)
			near(t, "dropped", large/total, c.Dropped3, f.Tolerance)

			for largest, want := range map[int][]float64{2: c.AtMost2, 3: c.AtMost3} {
				m, share := productPrior(f.Prior, largest)
				for i, leak := range f.Leak {
					finding := Finding{ID: string(rune('a' + i)), Answers: []string{"absent", "present"}, Over: OverCauses, Form: Max, Background: []float64{1 - leak, leak}}
					for _, l := range f.Links {
						if int(l[0]) == i {
							finding.Rows = append(finding.Rows, Row{Parent: int(l[1]), P: []float64{1 - l[2], l[2]}})
						}
					}
					m.Findings = append(m.Findings, finding)
				}
				post := update(t, compile(t, m), Evidence{Likelihood: lambda})
				none := 1.0
				for i, v := range lambda {
					none *= float64(v[0]*(1-f.Leak[i])) + v[1]*f.Leak[i]
				}
				some := share * math.Exp(post.LogEvidence())
				for i := range want {
					near(t, "kernel", post.Cause(i)*some/(some+none), want[i], f.Tolerance)
				}
			}
		})
	}
}

// productPrior writes independent priors as weights and a size prior. share is
// the mass of all sets of one to largest causes, the empty set counting 1.
func productPrior(prior []float64, largest int) (m Model, share float64) {
	elementary := make([]float64, largest+1) // symmetric polynomials of the odds
	elementary[0] = 1
	for i, p := range prior {
		odds := p / (1 - p)
		m.Causes = append(m.Causes, Cause{ID: string(rune('a' + i)), Weight: odds})
		for k := largest; k > 0; k-- {
			elementary[k] += odds * elementary[k-1]
		}
	}
	m.SizePrior = make([]float64, largest+1)
	for k := 1; k <= largest; k++ {
		share += elementary[k]
	}
	for k := 1; k <= largest; k++ {
		m.SizePrior[k] = elementary[k] / share
	}
	return m, share
}
