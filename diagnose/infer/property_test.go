package infer

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawRow draws a distribution; with hard it may hold zeros.
func drawRow(t *rapid.T, n int, hard bool) []float64 {
	least := 1
	if hard {
		least = 0
	}
	row := make([]float64, n)
	sum := 0.0
	for a := range row {
		row[a] = float64(rapid.IntRange(least, 12).Draw(t, "part"))
		sum += row[a]
	}
	if sum == 0 {
		row[0], sum = 1, 1
	}
	for a := range row {
		row[a] /= sum
	}
	return row
}

// drawModel draws a small model with all forms over causes and mechanisms.
func drawModel(t *rapid.T) Model {
	m := Model{AllowHard: rapid.IntRange(0, 4).Draw(t, "hard") == 0}
	n := rapid.IntRange(1, 4).Draw(t, "causes")
	for i := range n {
		m.Causes = append(m.Causes, Cause{ID: fmt.Sprintf("c%d", i), Weight: rapid.Float64Range(0.05, 5).Draw(t, "weight")})
	}
	k := rapid.IntRange(1, min(3, n)).Draw(t, "largest set")
	m.SizePrior = append([]float64{0}, drawRow(t, k, true)...)
	for a := range n {
		for b := range a {
			if rapid.IntRange(0, 3).Draw(t, "pair") == 0 {
				m.Pairs = append(m.Pairs, Pair{A: a, B: b, Factor: rapid.Float64Range(0.2, 4).Draw(t, "factor")})
			}
		}
	}
	if worlds := rapid.IntRange(0, 3).Draw(t, "variants"); worlds > 0 {
		for i, p := range drawRow(t, worlds, true) {
			v := Variant{ID: fmt.Sprintf("v%d", i), P: p}
			if i > 0 {
				for range n {
					v.Times = append(v.Times, rapid.Float64Range(0.05, 5).Draw(t, "times"))
				}
			}
			m.Variants = append(m.Variants, v)
		}
	}
	probability := func(label string) float64 {
		if m.AllowHard {
			return rapid.Float64Range(0, 1).Draw(t, label)
		}
		return rapid.Float64Range(0.001, 0.999).Draw(t, label)
	}
	for j := range rapid.IntRange(0, 3).Draw(t, "mechanisms") {
		mech := Mechanism{ID: fmt.Sprintf("m%d", j), Leak: probability("leak"), Gate: rapid.SampledFrom([]float64{1, 0.35, 0.9, 0.02}).Draw(t, "gate")}
		for c := range n {
			if rapid.Bool().Draw(t, "link") {
				mech.Links = append(mech.Links, Link{Cause: c, Lambda: probability("lambda")})
			}
		}
		m.Mechanisms = append(m.Mechanisms, mech)
	}
	for i := range rapid.IntRange(1, 4).Draw(t, "findings") {
		m.Findings = append(m.Findings, drawFinding(t, &m, i))
	}
	return m
}

func drawFinding(t *rapid.T, m *Model, i int) Finding {
	f := Finding{ID: fmt.Sprintf("f%d", i), Cost: float64(rapid.IntRange(0, 20).Draw(t, "cost"))}
	f.Answers = []string{"none", "slight", "severe"}[:rapid.IntRange(2, 3).Draw(t, "answers")]
	f.Reliability = rapid.SampledFrom([]float64{0, 0, 0.85, 1}).Draw(t, "reliability")
	f.Over = rapid.SampledFrom([]Parents{OverMechanisms, OverCauses}).Draw(t, "over")
	f.Form = rapid.SampledFrom([]Form{Table, Mixture, Max}).Draw(t, "form")
	count := len(m.Mechanisms)
	if f.Over == OverCauses {
		count = len(m.Causes)
	}
	candidates := make([]int, count)
	for p := range candidates {
		candidates[p] = p
	}
	parents := rapid.Permutation(candidates).Draw(t, "parents")
	parents = parents[:rapid.IntRange(0, count).Draw(t, "how many")]
	n := len(f.Answers)
	if f.Form == Table {
		f.Parents = parents[:min(2, len(parents))]
		for range 1 << len(f.Parents) {
			f.TableRows = append(f.TableRows, drawRow(t, n, m.AllowHard))
		}
		return f
	}
	f.Background = drawRow(t, n, m.AllowHard)
	for _, p := range parents {
		f.Rows = append(f.Rows, Row{Parent: p, P: drawRow(t, n, m.AllowHard), Salience: rapid.SampledFrom([]float64{0, 0.5, 2}).Draw(t, "salience")})
	}
	return f
}

func drawEvidence(t *rapid.T, m *Model) (Evidence, map[int]int) {
	ev := Evidence{Likelihood: map[int][]float64{}}
	said := map[int]int{}
	for f := range m.Findings {
		n := len(m.Findings[f].Answers)
		answer := rapid.IntRange(0, n-1).Draw(t, "said")
		switch rapid.IntRange(0, 5).Draw(t, "kind of answer") {
		case 0:
			ev.Likelihood[f] = Reliable(n, answer, 1)
			said[f] = answer
		case 1:
			ev.Likelihood[f] = Reliable(n, answer, 0.85)
			said[f] = answer
		case 2:
			ev.Likelihood[f] = Reliable(n, -1, 1)
		case 3:
			ev.Likelihood[f] = drawRow(t, n, false)
			said[f] = answer
		}
	}
	if len(m.Mechanisms) > 0 {
		for range rapid.IntRange(0, 2).Draw(t, "joint items") {
			j := JointEvidence{Mechanisms: []int{rapid.IntRange(0, len(m.Mechanisms)-1).Draw(t, "mechanism")}}
			if other := rapid.IntRange(0, len(m.Mechanisms)-1).Draw(t, "other"); other != j.Mechanisms[0] {
				j.Mechanisms = append(j.Mechanisms, other)
			}
			j.Lambda = drawRow(t, 1<<len(j.Mechanisms), false)
			ev.Joint = append(ev.Joint, j)
		}
	}
	return ev, said
}

func drawScopes(t *rapid.T, m *Model) ([]Scope, []float64) {
	var scopes []Scope
	for r := range rapid.IntRange(1, 4).Draw(t, "scopes") {
		s := Scope{ID: fmt.Sprintf("s%d", r), Cost: float64(rapid.IntRange(0, 800).Draw(t, "scope cost"))}
		for range m.Causes {
			s.Fix = append(s.Fix, float64(rapid.IntRange(0, 20).Draw(t, "fix"))/20)
		}
		scopes = append(scopes, s)
	}
	var damage []float64
	for range m.Causes {
		damage = append(damage, float64(rapid.IntRange(0, 2000).Draw(t, "damage")))
	}
	return scopes, damage
}

func compile(t fataler, m Model) *Engine {
	t.Helper()
	e, err := Compile(m)
	if err != nil {
		t.Fatalf("compile: %v", err)
	}
	return e
}

func update(t fataler, e *Engine, ev Evidence) *Posterior {
	t.Helper()
	p, err := e.Update(ev)
	if err != nil {
		t.Fatalf("update: %v", err)
	}
	return p
}

// possible draws a model and evidence that the oracle does not rule out.
func possible(t *rapid.T) (Model, *oracle, *Engine, Evidence, map[int]int, answer) {
	m := drawModel(t)
	o := newOracle(m)
	e := compile(t, m)
	ev, said := drawEvidence(t, &m)
	truth := o.solve(ev)
	if truth.p == 0 {
		if _, err := e.Update(ev); !errors.Is(err, ErrImpossible) {
			t.Fatalf("impossible evidence: got error %v", err)
		}
		t.Skip("impossible evidence")
	}
	return m, o, e, ev, said, truth
}

func TestPosteriorAgainstOracle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, o, e, ev, _, want := possible(t)
		p := update(t, e, ev)
		near(t, "log evidence", p.LogEvidence(), math.Log(want.p), 1e-10)
		nearAll(t, "causes", p.Causes(), want.cause, 1e-10)
		for j := range m.Mechanisms {
			near(t, m.Mechanisms[j].ID, p.Mechanism(j), want.mechanism[j], 1e-10)
		}
		for f := range m.Findings {
			nearAll(t, m.Findings[f].ID, p.Predict(f), want.finding[f], 1e-10)
		}
		near(t, "entropy", p.EntropyBits(), binaryEntropies(want.cause), 1e-9)
		sets := p.Sets(len(o.sets))
		if len(sets) != len(o.sets) {
			t.Fatalf("%d sets, want %d", len(sets), len(o.sets))
		}
		for i, s := range sets {
			mask := uint(0)
			for _, c := range s.Causes {
				mask |= 1 << c
			}
			near(t, fmt.Sprint(s.IDs), s.P, want.set[slices.Index(o.sets, mask)], 1e-10)
			if i > 0 && s.P > sets[i-1].P+1e-9 {
				t.Fatalf("sets are not sorted")
			}
		}
	})
}

// expectedLosses is the loss of every scope from the definition.
func expectedLosses(scopes []Scope, damage, cause []float64) []float64 {
	var out []float64
	for _, s := range scopes {
		sum := s.Cost
		for c, p := range cause {
			sum += (1 - s.Fix[c]) * damage[c] * p
		}
		out = append(out, sum)
	}
	return out
}

func TestDecisionsAndValuesAgainstOracle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, o, e, ev, _, now := possible(t)
		scopes, damage := drawScopes(t, &m)
		p := update(t, e, ev)
		d, err := e.Decide(p, scopes, damage)
		if err != nil {
			t.Fatalf("decide: %v", err)
		}
		loss := expectedLosses(scopes, damage, now.cause)
		nearAll(t, "loss", d.Loss, loss, 1e-8)
		least := slices.Min(loss)
		near(t, "best loss", d.Loss[d.Best], least, 1e-8)
		informed, ideal := 0.0, 0.0
		for i, set := range o.sets {
			in := make([]float64, len(m.Causes))
			for c := range in {
				in[c] = float64(set >> c & 1)
			}
			own := expectedLosses(scopes, damage, in)
			informed += now.set[i] * slices.Min(own)
			if own[d.Best] <= slices.Min(own)+1e-9 {
				ideal += now.set[i]
			}
		}
		near(t, "EVPI", d.EVPI, least-informed, 1e-8)
		near(t, "ideal", d.MassWhereBestIsIdeal, ideal, 1e-9)

		values, err := e.Values(p, scopes, damage)
		if err != nil {
			t.Fatalf("values: %v", err)
		}
		open := 0
		for f := range m.Findings {
			if ev.Likelihood[f] == nil {
				open++
			}
		}
		if len(values) != open {
			t.Fatalf("%d values for %d open findings", len(values), open)
		}
		for _, q := range values {
			finding := m.Findings[q.Finding]
			rho := finding.Reliability
			if rho == 0 {
				rho = 1
			}
			evsi, gain, same, sum := least, binaryEntropies(now.cause), 0.0, 0.0
			for a := range finding.Answers {
				then := o.solve(ev.With(q.Finding, Reliable(len(finding.Answers), a, rho)))
				near(t, "prediction", q.Predicted[a], then.p/now.p, 1e-10)
				sum += q.Predicted[a]
				if then.p == 0 {
					continue
				}
				after := expectedLosses(scopes, damage, then.cause)
				evsi -= then.p / now.p * slices.Min(after)
				gain -= then.p / now.p * binaryEntropies(then.cause)
				near(t, "loss after", after[q.DecisionPerAnswer[a]], slices.Min(after), 1e-7)
				if q.DecisionPerAnswer[a] == d.Best {
					same += then.p / now.p
				}
			}
			near(t, "sum of predictions", sum, 1, 1e-12)
			near(t, "EVSI", q.EVSI, evsi, 1e-8)
			near(t, "net", q.Net, evsi-finding.Cost, 1e-8)
			near(t, "entropy gain", q.EntropyGainBits, gain, 1e-9)
			near(t, "same decision", q.SameDecision, same, 1e-9)
			if evsi < -1e-8 || q.EVSI < 0 || q.SameDecision < 0 || q.SameDecision > 1 {
				t.Fatalf("out of range: %+v", q)
			}
		}
	})
}

// leave returns the evidence without one item.
func leave(m *Model, ev Evidence, item int) Evidence {
	if item < len(m.Findings) {
		return ev.With(item, nil)
	}
	k := item - len(m.Findings)
	return Evidence{Likelihood: ev.Likelihood, Joint: slices.Delete(slices.Clone(ev.Joint), k, k+1)}
}

func TestExplanationsAgainstOracle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, o, e, ev, said, now := possible(t)
		weights, err := e.Weights(ev)
		if err != nil {
			t.Fatalf("weights: %v", err)
		}
		surprises, err := e.Surprise(ev)
		if err != nil {
			t.Fatalf("surprise: %v", err)
		}
		conflict, err := e.Conflict(ev)
		if err != nil {
			t.Fatalf("conflict: %v", err)
		}
		wantConflict := -math.Log2(now.p)
		next := 0
		for item := range len(m.Findings) + len(ev.Joint) {
			only := Evidence{}
			if item < len(m.Findings) {
				if ev.Likelihood[item] == nil {
					if weights[item] != nil {
						t.Fatalf("weights for a finding not asked")
					}
					continue
				}
				only = only.With(item, ev.Likelihood[item])
			} else {
				only.Joint = []JointEvidence{ev.Joint[item-len(m.Findings)]}
			}
			wantConflict += math.Log2(o.solve(only).p)
			rest := o.solve(leave(&m, ev, item))
			for c := range m.Causes {
				if math.Min(now.cause[c], rest.cause[c]) < 1e-6 || math.Max(now.cause[c], rest.cause[c]) > 1-1e-6 {
					continue // odds of certainties are all rounding
				}
				w := 10 * math.Log10(now.cause[c]/(1-now.cause[c])/(rest.cause[c]/(1-rest.cause[c])))
				near(t, "weight", weights[item][c], w, 1e-8)
			}
			s := surprises[next]
			next++
			if s.Item != item {
				t.Fatalf("surprise of item %d, want %d", s.Item, item)
			}
			near(t, "surprise", s.Bits, -math.Log2(now.p/rest.p), 1e-9)
			near(t, "excess", s.Excess, s.Bits-s.Expected, 0)
			if item < len(m.Findings) && !flat(ev.Likelihood[item]) {
				// The answer as it would be heard from that source.
				lambda, rho := ev.Likelihood[item], 1.0
				if sorted := slices.Sorted(slices.Values(lambda)); math.Abs(sum(lambda)-1) < 1e-9 && sorted[len(sorted)-2]-sorted[0] < 1e-12 {
					rho = sorted[len(sorted)-1] - sorted[0]
				}
				mean, square := 0.0, 0.0
				for _, q := range rest.finding[item] {
					if q = rho*q + (1-rho)/float64(len(lambda)); q > 0 {
						mean -= q * math.Log2(q)
						square += q * math.Log2(q) * math.Log2(q)
					}
				}
				near(t, "expected surprise", s.Expected, mean, 1e-9)
				near(t, "its variance", s.Variance, square-mean*mean, 1e-8)
			}
		}
		near(t, "conflict", conflict, wantConflict, 1e-9)

		flips, err := e.Flips(ev, said)
		if err != nil {
			t.Fatalf("flips: %v", err)
		}
		for _, f := range flips {
			given := said[f.Finding]
			lambda := slices.Clone(ev.Likelihood[f.Finding])
			lambda[given], lambda[f.Answer] = lambda[f.Answer], lambda[given]
			then := o.solve(ev.With(f.Finding, lambda))
			near(t, "flip", f.P, then.cause[f.TopCause], 1e-10)
			near(t, "flip top", f.P, slices.Max(then.cause), 1e-8)
		}
	})
}

// TestShapley checks the shares against the definition: the mean gain over all
// orders of arrival.
func TestShapley(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, o, e, ev, _, _ := possible(t)
		if m.AllowHard {
			t.Skip("odds may be zero")
		}
		present := e.items(must(e.observe(ev)))
		cause := rapid.IntRange(0, len(m.Causes)-1).Draw(t, "cause")
		if len(present) == 0 || len(present) > 4 || len(m.Causes) == 1 {
			t.Skip("too few or too many items")
		}
		groups := make([][]int, 2)
		items := map[int]int{}
		for _, item := range present {
			g := rapid.IntRange(0, 2).Draw(t, "group")
			items[item] = g
			if g < 2 {
				groups[g] = append(groups[g], item)
			}
		}
		value := func(groups ...int) float64 {
			sub := Evidence{}
			for _, item := range present {
				if !slices.Contains(append(groups, 2), items[item]) {
					continue
				}
				if item < len(m.Findings) {
					sub = sub.With(item, ev.Likelihood[item])
				} else {
					sub.Joint = append(sub.Joint, ev.Joint[item-len(m.Findings)])
				}
			}
			p := o.solve(sub).cause[cause]
			if p < 1e-6 || p > 1-1e-6 {
				t.Skip("odds of a certainty")
			}
			return 10 * math.Log10(p/(1-p))
		}
		got, err := e.Shapley(ev, []int{cause}, groups)
		if err != nil {
			t.Fatalf("shapley: %v", err)
		}
		none, first, second, both := value(), value(0), value(1), value(0, 1)
		if len(got) != 1 {
			t.Fatalf("%d causes shared out, want 1", len(got))
		}
		near(t, "group 0", got[0].Group[0], ((first-none)+(both-second))/2, 1e-8)
		near(t, "group 1", got[0].Group[1], ((second-none)+(both-first))/2, 1e-8)
		near(t, "total", got[0].Total, both-none, 1e-8)
	})
}

// TestNextTwo checks two steps against two single steps, which the tests above
// check against the oracle.
func TestNextTwo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, _, e, ev, _, _ := possible(t)
		scopes, damage := drawScopes(t, &m)
		p := update(t, e, ev)
		single := map[int]QuestionValue{}
		var first []int
		for _, q := range must(e.Values(p, scopes, damage)) {
			single[q.Finding] = q
			first = append(first, q.Finding)
		}
		list := must(e.NextTwo(p, first, scopes, damage))
		if len(list) != len(first) {
			t.Fatalf("%d results for %d questions", len(list), len(first))
		}
		for i, two := range list {
			if i > 0 && two.Net > list[i-1].Net+1e-8 {
				t.Fatalf("not sorted")
			}
			net, gross := single[two.First].Net, single[two.First].EVSI
			rho := m.Findings[two.First].Reliability
			if rho == 0 {
				rho = 1
			}
			for a, predicted := range single[two.First].Predicted {
				if predicted == 0 {
					continue
				}
				lambda := Reliable(len(m.Findings[two.First].Answers), a, rho)
				best := QuestionValue{Finding: -1}
				var then QuestionValue
				for _, q := range must(e.Values(update(t, e, ev.With(two.First, lambda)), scopes, damage)) {
					if q.Net > best.Net+1e-8 {
						best = q
					}
					if q.Finding == two.Then[a] {
						then = q
					}
				}
				near(t, "net of the second", then.Net, best.Net, 1e-7)
				net += predicted * then.Net
				gross += predicted * then.EVSI
			}
			near(t, "net", two.Net, net, 1e-7)
			near(t, "gross", two.Gross, gross, 1e-7)
		}
	})
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// TestOrderDoesNotMatter: the same answers in another order, on a model whose
// findings stand in another order, give the same bits.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, _, e, ev, _, _ := possible(t)
		place := make([]int, len(m.Findings))
		for i := range place {
			place[i] = i
		}
		place = rapid.Permutation(place).Draw(t, "order of findings")
		other := m
		other.Findings = nil
		moved := Evidence{}
		for to, from := range place {
			other.Findings = append(other.Findings, m.Findings[from])
			moved = moved.With(to, ev.Likelihood[from])
		}
		moved.Joint = rapid.Permutation(ev.Joint).Draw(t, "order of joint items")
		a, b := update(t, e, ev), update(t, compile(t, other), moved)
		if !slices.Equal(a.mass, b.mass) || !slices.Equal(a.cause, b.cause) || !slices.Equal(a.mechanism, b.mechanism) || a.evidence != b.evidence {
			t.Fatalf("the order of answers changed the result")
		}
	})
}

// TestNoInformation: "do not know" and an untrusted source change no bit.
func TestNoInformation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, _, e, ev, _, _ := possible(t)
		f := rapid.IntRange(0, len(m.Findings)-1).Draw(t, "finding")
		n := len(m.Findings[f].Answers)
		open := update(t, e, ev.With(f, nil))
		for _, lambda := range [][]float64{Reliable(n, -1, 1), Reliable(n, 0, 0)} {
			p := update(t, e, ev.With(f, lambda))
			if !slices.Equal(p.mass, open.mass) || !slices.Equal(p.cause, open.cause) {
				t.Fatalf("%v moved the posterior", lambda)
			}
		}
		// Reliability falling towards 0 comes arbitrarily near.
		p := update(t, e, ev.With(f, Reliable(n, 0, 1e-9)))
		nearAll(t, "rho near 0", p.cause, open.cause, 1e-6)
	})
}

// TestMonotone: one cause more never makes a sign or a mechanism less likely.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawModel(t)
		e := compile(t, m)
		setOf := func(causes []int) int {
			for s := range e.sets.sets {
				if slices.Equal(e.sets.members(s, nil), causes) {
					return s
				}
			}
			return -1
		}
		for s := range e.sets.sets {
			causes := e.sets.members(s, nil)
			for drop := range causes {
				less := setOf(slices.Delete(slices.Clone(causes), drop, drop+1))
				if less < 0 {
					continue
				}
				for f := range m.Findings {
					if m.Findings[f].Form != Max || m.Findings[f].Over != OverCauses {
						continue
					}
					big, small := e.finding[f].row(e.finding[f].at[s]), e.finding[f].row(e.finding[f].at[less])
					for a := 1; a < len(big); a++ {
						if sum(big[a:]) < sum(small[a:])-1e-12 {
							t.Fatalf("%s: adding a cause lowered P(answer >= %d)", m.Findings[f].ID, a)
						}
					}
				}
				for j := range m.Mechanisms {
					if e.on(s, j) < e.on(less, j)-1e-12 {
						t.Fatalf("%s: adding a cause lowered the probability", m.Mechanisms[j].ID)
					}
				}
			}
		}
	})
}

// on reads P(x_j=1|S) back out of the tables.
func (e *Engine) on(s, j int) float64 {
	classes := [2]int{}
	members := e.sets.members(s, nil)
	for i, c := range members[:len(members)-1] {
		classes[i] = e.kinds.class[c]
	}
	k := e.kinds.list[e.kinds.row(classes[0], classes[1])[e.kinds.class[members[len(members)-1]]]]
	mask := e.lattice.nodes[k.node].mask
	if mask>>j&1 == 0 {
		return e.model.Mechanisms[j].Gate * e.model.Mechanisms[j].Leak
	}
	bit := 0
	for k := range j {
		bit += mask >> k & 1
	}
	p := 0.0
	for t, w := range e.kinds.weight[k.start:k.end] {
		if t>>bit&1 == 1 {
			p += w
		}
	}
	return p
}

func sum(v []float64) float64 {
	total := 0.0
	for _, x := range v {
		total += x
	}
	return total
}

func TestMultiplyIgnoresOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 5).Draw(t, "answers")
		var vectors [][]float64
		for range rapid.IntRange(1, 5).Draw(t, "sources") {
			vectors = append(vectors, drawRow(t, n, false))
		}
		a := must(Multiply(vectors...))
		b := must(Multiply(rapid.Permutation(vectors).Draw(t, "order")...))
		if !slices.Equal(a, b) {
			t.Fatalf("order changed %v to %v", a, b)
		}
		for i := range a {
			want := 1.0
			for _, v := range vectors {
				want *= v[i]
			}
			near(t, "product", a[i], want, 1e-15)
		}
	})
}
