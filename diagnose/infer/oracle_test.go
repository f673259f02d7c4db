package infer

import (
	"math"
	"math/bits"
	"slices"
	"testing"
)

// network is a general discrete network, solved by plain enumeration. It
// shares no code with the kernel and is its oracle. Nodes stand after their
// parents.
type network []node

type node struct {
	name    string
	states  []string
	parents []int
	cpt     [][]float64 // a row per joint parent state, last parent fastest
}

func (nw network) index(name string) int {
	return slices.IndexFunc(nw, func(n node) bool { return n.name == name })
}

// enumerate visits every joint state with its probability times the
// likelihood of the evidence, which may be missing for a node.
func (nw network) enumerate(evidence map[int][]float64, visit func(state []int, p float64)) {
	state := make([]int, len(nw))
	var walk func(i int, p float64)
	walk = func(i int, p float64) {
		if i == len(nw) {
			visit(state, p)
			return
		}
		row := 0
		for _, parent := range nw[i].parents {
			row = row*len(nw[parent].states) + state[parent]
		}
		for s, q := range nw[i].cpt[row] {
			if lambda := evidence[i]; lambda != nil {
				q *= lambda[s]
			}
			if q > 0 {
				state[i] = s
				walk(i+1, p*q)
			}
		}
	}
	walk(0, 1)
}

// solve returns P(evidence) and the posterior of every node.
func (nw network) solve(evidence map[int][]float64) (float64, [][]float64) {
	posterior := make([][]float64, len(nw))
	for i := range nw {
		posterior[i] = make([]float64, len(nw[i].states))
	}
	total := 0.0
	nw.enumerate(evidence, func(state []int, p float64) {
		total += p
		for i, s := range state {
			posterior[i][s] += p
		}
	})
	for i := range posterior {
		for s := range posterior[i] {
			posterior[i][s] /= total
		}
	}
	return total, posterior
}

// oracle is a kernel model written out as a general network: one node for the
// set, then mechanisms, findings, and a two-state node per joint item.
type oracle struct {
	model Model
	sets  []uint // bit masks of causes
	net   network
}

func newOracle(m Model) *oracle {
	o := &oracle{model: m}
	for set := uint(1); set < 1<<len(m.Causes); set++ {
		if k := bits.OnesCount(set); k < len(m.SizePrior) && m.SizePrior[k] > 0 {
			o.sets = append(o.sets, set)
		}
	}
	prior := make([]float64, len(o.sets))
	worlds := m.Variants
	if len(worlds) == 0 {
		worlds = []Variant{{P: 1}}
	}
	for _, world := range worlds {
		own, total := make([]float64, len(o.sets)), make([]float64, len(m.SizePrior))
		for i, set := range o.sets {
			own[i] = 1
			for c, cause := range m.Causes {
				if set>>c&1 == 1 {
					own[i] *= cause.Weight
					if world.Times != nil {
						own[i] *= world.Times[c]
					}
				}
			}
			for _, p := range m.Pairs {
				if set>>p.A&1 == 1 && set>>p.B&1 == 1 {
					own[i] *= p.Factor
				}
			}
			total[bits.OnesCount(set)] += own[i]
		}
		for i, set := range o.sets {
			k := bits.OnesCount(set)
			prior[i] += world.P * m.SizePrior[k] * own[i] / total[k]
		}
	}
	o.net = network{{name: "set", states: make([]string, len(o.sets)), cpt: [][]float64{prior}}}
	for _, mech := range m.Mechanisms {
		n := node{name: mech.ID, states: []string{"off", "on"}, parents: []int{0}}
		for _, set := range o.sets {
			quiet := 1 - mech.Leak
			for _, l := range mech.Links {
				if set>>l.Cause&1 == 1 {
					quiet *= 1 - l.Lambda
				}
			}
			on := mech.Gate * (1 - quiet)
			n.cpt = append(n.cpt, []float64{1 - on, on})
		}
		o.net = append(o.net, n)
	}
	for i := range m.Findings {
		f := &m.Findings[i]
		n := node{name: f.ID, states: f.Answers}
		if f.Over == OverCauses {
			n.parents = []int{0}
			for _, set := range o.sets {
				n.cpt = append(n.cpt, plainConditional(f, func(c int) bool { return set>>c&1 == 1 }))
			}
		} else {
			for j := range m.Mechanisms {
				n.parents = append(n.parents, 1+j)
			}
			for x := range 1 << len(m.Mechanisms) {
				on := func(j int) bool { return x>>(len(m.Mechanisms)-1-j)&1 == 1 }
				n.cpt = append(n.cpt, plainConditional(f, on))
			}
		}
		o.net = append(o.net, n)
	}
	return o
}

// plainConditional is P(answer | parents) from the definition of each form. The
// noisy-MAX is summed over all outcomes of its independent contributions.
func plainConditional(f *Finding, present func(int) bool) []float64 {
	out := make([]float64, len(f.Answers))
	switch f.Form {
	case Table:
		row := 0
		for _, p := range f.Parents {
			row *= 2
			if present(p) {
				row++
			}
		}
		copy(out, f.TableRows[row])
	case Mixture:
		weight := 0.0
		for _, r := range f.Rows {
			if !present(r.Parent) {
				continue
			}
			s := r.Salience
			if s == 0 {
				s = 1
			}
			weight += s
			for a := range out {
				out[a] += s * r.P[a]
			}
		}
		if weight == 0 {
			return slices.Clone(f.Background)
		}
		for a := range out {
			out[a] /= weight
		}
	case Max:
		contributions := [][]float64{f.Background}
		for _, r := range f.Rows {
			if present(r.Parent) {
				contributions = append(contributions, r.P)
			}
		}
		var walk func(i, worst int, p float64)
		walk = func(i, worst int, p float64) {
			if i == len(contributions) {
				out[worst] += p
				return
			}
			for a, q := range contributions[i] {
				walk(i+1, max(worst, a), p*q)
			}
		}
		walk(0, 0, 1)
	}
	return out
}

// answer is everything the oracle says about one state of the evidence.
type answer struct {
	p                float64
	set              []float64 // as oracle.sets
	cause, mechanism []float64
	finding          [][]float64
}

func (o *oracle) solve(ev Evidence) answer {
	nw := slices.Clone(o.net)
	evidence := map[int][]float64{}
	first := 1 + len(o.model.Mechanisms)
	for f, lambda := range ev.Likelihood {
		evidence[first+f] = lambda
	}
	scale := 1.0
	for _, j := range ev.Joint {
		top := slices.Max(j.Lambda)
		n := node{name: "joint", states: []string{"seen", "unseen"}}
		for _, m := range j.Mechanisms {
			n.parents = append(n.parents, 1+m)
		}
		for _, x := range j.Lambda {
			n.cpt = append(n.cpt, []float64{x / top, 1 - x/top})
		}
		evidence[len(nw)] = []float64{1, 0}
		nw = append(nw, n)
		scale *= top
	}
	p, posterior := nw.solve(evidence)
	out := answer{p: p * scale, set: posterior[0], cause: make([]float64, len(o.model.Causes))}
	for i, set := range o.sets {
		for c := range out.cause {
			if set>>c&1 == 1 {
				out.cause[c] += posterior[0][i]
			}
		}
	}
	for j := range o.model.Mechanisms {
		out.mechanism = append(out.mechanism, posterior[1+j][1])
	}
	out.finding = posterior[first : first+len(o.model.Findings)]
	return out
}

func binaryEntropies(p []float64) float64 {
	sum := 0.0
	for _, x := range p {
		for _, y := range []float64{x, 1 - x} {
			if y > 0 {
				sum -= y * math.Log2(y)
			}
		}
	}
	return sum
}

type fataler interface {
	Helper()
	Fatalf(format string, args ...any)
}

var _ fataler = (*testing.T)(nil)

func near(t fataler, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Fatalf("%s: got %.15g, want %.15g, differ by %.2g", what, got, want, got-want)
	}
}

func nearAll(t fataler, what string, got, want []float64, tolerance float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: got %d numbers, want %d", what, len(got), len(want))
	}
	for i := range got {
		if !(math.Abs(got[i]-want[i]) <= tolerance) {
			t.Fatalf("%s [%d]: got %.15g, want %.15g, differ by %.2g", what, i, got[i], want[i], got[i]-want[i])
		}
	}
}

// TestEightMechanisms checks a model of full width against plain sums over all
// sets and all 256 mechanism states, with the tables of the oracle.
func TestEightMechanisms(t *testing.T) {
	m := benchModel(12, []float64{0, 0.68, 0.24, 0.08})
	m.Findings = m.Findings[:40]
	ev := Evidence{Likelihood: map[int][]float64{}}
	for f := range 25 {
		n := len(m.Findings[f].Answers)
		ev.Likelihood[f] = Reliable(n, f%n, 0.85)
	}
	ev.Joint = []JointEvidence{{Mechanisms: []int{6, 1}, Lambda: []float64{0.2, 0.7, 0.4, 0.9}}}
	o := newOracle(m)
	mechanisms := o.net[1 : 1+MaxMechanisms]
	findings := o.net[1+MaxMechanisms:]
	likelihood := func(f, row int) float64 {
		sum := 0.0
		for a, lambda := range ev.Likelihood[f] {
			sum += lambda * findings[f].cpt[row][a]
		}
		return sum
	}
	total := 0.0
	cause, on := make([]float64, len(m.Causes)), make([]float64, MaxMechanisms)
	for s, set := range o.sets {
		direct := o.net[0].cpt[0][s]
		for f := range ev.Likelihood {
			if m.Findings[f].Over == OverCauses {
				direct *= likelihood(f, s)
			}
		}
		for x := range 1 << MaxMechanisms { // first mechanism in the highest bit
			p := direct
			bit := func(j int) int { return x >> (MaxMechanisms - 1 - j) & 1 }
			for j := range mechanisms {
				p *= mechanisms[j].cpt[s][bit(j)]
			}
			for f := range ev.Likelihood {
				if m.Findings[f].Over == OverMechanisms {
					p *= likelihood(f, x)
				}
			}
			p *= ev.Joint[0].Lambda[2*bit(6)+bit(1)]
			total += p
			for j := range on {
				on[j] += p * float64(bit(j))
			}
			for c := range cause {
				cause[c] += p * float64(set>>c&1)
			}
		}
	}
	post := update(t, compile(t, m), ev)
	near(t, "log evidence", post.LogEvidence(), math.Log(total), 1e-10)
	for c := range cause {
		near(t, m.Causes[c].ID, post.Cause(c), cause[c]/total, 1e-12)
	}
	for j := range on {
		near(t, m.Mechanisms[j].ID, post.Mechanism(j), on[j]/total, 1e-12)
	}
}
