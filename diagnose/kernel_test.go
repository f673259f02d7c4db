package diagnose

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"underlap/diagnose/infer"
)

// roof is the knowledge in numbers for one roof, as a consultation builds it, with the
// evidence of a call on it.
type roof struct {
	spec     infer.Model
	engine   *infer.Engine
	evidence infer.Evidence
	scopes   []infer.Scope
	damage   []float64
}

// upToThree is a prior with sets of three causes in it, whatever the pack has.
var upToThree = []float64{0, 0.80, 0.15, 0.05}

// newRoof holds a made-up call until so many questions have a real answer, and builds
// its kernel.
func newRoof(t testing.TB, answers int, seed uint64) *roof {
	t.Helper()
	v := newInterview(nil, int(seed))
	r := rand.New(rand.NewPCG(9, seed))
	for given := 0; given < answers; {
		// First what can be asked, then anything: a person may tell what was not asked.
		id := pick(r, v.open())
		if id == "" {
			id = v.c.pack.Questions[r.IntN(len(v.c.pack.Questions))].ID
		}
		q, _ := v.c.pack.Question(id)
		text, in := randomAnswer(r, v.c.pack, q)
		if _, before := v.c.facts.Get(id); before {
			continue
		}
		told{q, text, in}.give(t, v.c)
		if x, ok := v.c.facts.Get(id); ok && !x.Implied {
			given++
		}
	}
	c := v.c
	if err := c.memory.recall(c.log.Case(), c.facts, c.pack); err != nil {
		t.Fatal(err)
	}
	m := newModel(c.pack, c.facts, c.memory.buildup, c.memory.sums)
	m.spec.SizePrior = upToThree
	engine, err := infer.Compile(m.spec)
	if err != nil {
		t.Fatal(err)
	}
	ev, _ := m.evidence(c.facts)
	post, err := engine.Update(ev)
	if err != nil {
		t.Fatal(err)
	}
	w := &work{pack: c.pack, state: c.state, facts: c.facts, buildup: c.memory.buildup, sums: c.memory.sums, model: m, engine: engine, ev: ev, post: post, r: &Reading{}}
	if err := w.ladder(); err != nil {
		t.Fatal(err)
	}
	return &roof{spec: m.spec, engine: engine, evidence: ev, scopes: w.scopes, damage: w.damage}
}

func (x *roof) update(t testing.TB, ev infer.Evidence) *infer.Posterior {
	t.Helper()
	p, err := x.engine.Update(ev)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// byDefinition is P(answer | parents) straight from the meaning of each form.
func byDefinition(f *infer.Finding, present func(int) bool) []float64 {
	out := make([]float64, len(f.Answers))
	switch f.Form {
	case infer.Table:
		row := 0
		for _, p := range f.Parents {
			row *= 2
			if present(p) {
				row++
			}
		}
		copy(out, f.TableRows[row])
	case infer.Mixture:
		weight := 0.0
		for _, r := range f.Rows {
			if present(r.Parent) {
				s := r.Salience
				if s == 0 {
					s = 1
				}
				weight += s
				for a, p := range r.P {
					out[a] += s * p
				}
			}
		}
		if weight == 0 {
			return f.Background
		}
		for a := range out {
			out[a] /= weight
		}
	case infer.Max:
		cdf := func(p []float64, a int) (sum float64) {
			for _, x := range p[:a+1] {
				sum += x
			}
			return sum
		}
		below := 0.0
		for a := range out {
			upTo := cdf(f.Background, a)
			for _, r := range f.Rows {
				if present(r.Parent) {
					upTo *= cdf(r.P, a)
				}
			}
			out[a] = upTo - below
			below = upTo
		}
	}
	return out
}

// TestWholePackByDefinition weighs every set of up to three causes of the whole pack by
// plain sums over its mechanisms. Only the prior of each set is the kernel's own.
func TestWholePackByDefinition(t *testing.T) {
	x := newRoof(t, 40, 1)
	mechanisms := len(x.spec.Mechanisms)
	heard := func(f int, row []float64) (sum float64) {
		for a, l := range x.evidence.Likelihood[f] {
			sum += math.Pow(l, x.spec.Power) * row[a]
		}
		return sum
	}
	byState := make([]float64, 1<<mechanisms)
	for s := range byState {
		byState[s] = 1
		for f := range x.evidence.Likelihood {
			if fd := &x.spec.Findings[f]; fd.Over == infer.OverMechanisms {
				byState[s] *= heard(f, byDefinition(fd, func(j int) bool { return s>>j&1 == 1 }))
			}
		}
	}
	prior := x.update(t, infer.Evidence{})
	n := len(x.spec.Causes)
	sets := prior.Sets(n * n * n)
	if want := n + n*(n-1)/2 + n*(n-1)*(n-2)/6; len(sets) != want {
		t.Fatalf("%d sets, want %d", len(sets), want)
	}
	total, cause, on := 0.0, make([]float64, n), make([]float64, mechanisms)
	for _, set := range sets {
		has := func(c int) bool { return slices.Contains(set.Causes, c) }
		direct := set.P
		for f := range x.evidence.Likelihood {
			if fd := &x.spec.Findings[f]; fd.Over == infer.OverCauses {
				direct *= heard(f, byDefinition(fd, has))
			}
		}
		p := make([]float64, mechanisms)
		for j, m := range x.spec.Mechanisms {
			quiet := 1 - m.Leak
			for _, l := range m.Links {
				if has(l.Cause) {
					quiet *= 1 - l.Lambda
				}
			}
			p[j] = m.Gate * (1 - quiet)
		}
		for s, e := range byState {
			mass := direct * e
			for j := range p {
				if s>>j&1 == 1 {
					mass *= p[j]
				} else {
					mass *= 1 - p[j]
				}
			}
			total += mass
			for _, c := range set.Causes {
				cause[c] += mass
			}
			for j := range on {
				on[j] += mass * float64(s>>j&1)
			}
		}
	}
	post := x.update(t, x.evidence)
	close := func(what string, got, want float64) {
		if !(math.Abs(got-want) <= 1e-10) {
			t.Errorf("%s: got %.15g, want %.15g", what, got, want)
		}
	}
	close("log of the evidence", post.LogEvidence()-prior.LogEvidence(), math.Log(total))
	for c := range cause {
		close(x.spec.Causes[c].ID, post.Cause(c), cause[c]/total)
	}
	for j := range on {
		close(x.spec.Mechanisms[j].ID, post.Mechanism(j), on[j]/total)
	}
}

// TestWholePackValues takes each open question's answers as given, one after the other,
// and compares what then follows with what the question was said to be worth.
func TestWholePackValues(t *testing.T) {
	x := newRoof(t, 20, 2)
	post := x.update(t, x.evidence)
	now, err := x.engine.Decide(post, x.scopes, x.damage)
	if err != nil {
		t.Fatal(err)
	}
	values, err := x.engine.Values(post, x.scopes, x.damage)
	if err != nil || len(values) < 40 {
		t.Fatalf("%d questions valued, %v", len(values), err)
	}
	odds := func(p float64) float64 { return 10 * math.Log10(p/(1-p)) }
	top := post.Ranked()[0]
	for k, q := range values {
		f := &x.spec.Findings[q.Finding]
		close := func(what string, got, want, within float64) {
			if !(math.Abs(got-want) <= within) {
				t.Errorf("%s, %s: got %.12g, want %.12g", f.ID, what, got, want)
			}
		}
		sum := 0.0
		for _, p := range q.Predicted {
			sum += p
		}
		close("sum of predicted", sum, 1, 1e-12)
		if q.EVSI < 0 || q.EntropyGainBits < 0 || q.SameDecision < 0 || q.SameDecision > 1 {
			t.Errorf("%s: out of range: %+v", f.ID, q)
		}
		if k%5 != 0 {
			continue // one in five in full: each answer is an update of the whole pack
		}
		rho := f.Reliability
		if rho == 0 {
			rho = 1
		}
		evsi, gain, same := now.Loss[now.Best], post.EntropyBits(), 0.0
		for a := range f.Answers {
			after := x.update(t, x.evidence.With(q.Finding, infer.Reliable(len(f.Answers), a, rho)))
			p := 0.0 // of the answer as it would be heard, before it is tempered
			for t, l := range infer.Reliable(len(f.Answers), a, rho) {
				p += l * post.Predict(q.Finding)[t]
			}
			then, err := x.engine.Decide(after, x.scopes, x.damage)
			if err != nil {
				t.Fatal(err)
			}
			close("predicted "+f.Answers[a], q.Predicted[a], p, 1e-10)
			evsi -= p * then.Loss[then.Best]
			gain -= p * after.EntropyBits()
			if then.Best == now.Best {
				same += p
			}
			if q.DecisionPerAnswer[a] != then.Best || q.TopPerAnswer[a] != after.Ranked()[0] {
				t.Errorf("%s, %s: repair %d and cause %d, want %d and %d", f.ID, f.Answers[a], q.DecisionPerAnswer[a], q.TopPerAnswer[a], then.Best, after.Ranked()[0])
			}
			close("decibans "+f.Answers[a], q.Decibans(top, a), odds(after.Cause(top))-odds(post.Cause(top)), 1e-7)
		}
		close("EVSI", q.EVSI, max(0, evsi), 1e-7)
		close("bits", q.EntropyGainBits, max(0, gain), 1e-9)
		close("same decision", q.SameDecision, same, 1e-9)
	}
}

// TestWholePackShares: what groups of answers speak for the first suspects adds up to
// what all of them do.
func TestWholePackShares(t *testing.T) {
	x := newRoof(t, 20, 3)
	groups := make([][]int, 4)
	n := 0
	for f := range x.spec.Findings {
		if x.evidence.Likelihood[f] != nil {
			groups[n%len(groups)] = append(groups[n%len(groups)], f)
			n++
		}
	}
	before, after := x.update(t, infer.Evidence{}), x.update(t, x.evidence)
	first := after.Ranked()[:3]
	shares, err := x.engine.Shapley(x.evidence, first, groups)
	if err != nil {
		t.Fatal(err)
	}
	odds := func(p float64) float64 { return 10 * math.Log10(p/(1-p)) }
	for i, c := range first {
		sum := 0.0
		for _, g := range shares[i].Group {
			sum += g
		}
		want := odds(after.Cause(c)) - odds(before.Cause(c))
		if math.Abs(sum-want) > 1e-8 || math.Abs(shares[i].Total-want) > 1e-8 {
			t.Errorf("%s: shares of %v decibans, total %v, want %v", x.spec.Causes[c].ID, sum, shares[i].Total, want)
		}
	}
}

// only is the model in which exactly these causes are present.
func only(m *infer.Model, causes ...int) infer.Model {
	out := infer.Model{SizePrior: make([]float64, len(causes)+1)}
	out.SizePrior[len(causes)] = 1
	at := map[int]int{}
	for i, c := range causes {
		at[c] = i
		out.Causes = append(out.Causes, infer.Cause{ID: m.Causes[c].ID, Weight: 1})
	}
	for _, j := range m.Mechanisms {
		links := j.Links
		j.Links = nil
		for _, l := range links {
			if i, ok := at[l.Cause]; ok {
				j.Links = append(j.Links, infer.Link{Cause: i, Lambda: l.Lambda})
			}
		}
		out.Mechanisms = append(out.Mechanisms, j)
	}
	for _, f := range m.Findings {
		if f.Form == infer.Max && f.Over == infer.OverMechanisms {
			out.Findings = append(out.Findings, f)
		}
	}
	return out
}

// TestOneCauseMore: with one cause more at work no mechanism gets less likely, nor does
// water. The pack has no other ordered sign.
func TestOneCauseMore(t *testing.T) {
	x := newRoof(t, 25, 4)
	prior := func(causes ...int) *infer.Posterior {
		e, err := infer.Compile(only(&x.spec, causes...))
		if err != nil {
			t.Fatal(err)
		}
		p, err := e.Update(infer.Evidence{})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	water := slices.IndexFunc(only(&x.spec, 0).Findings, func(f infer.Finding) bool { return f.ID == waterID })
	if water < 0 {
		t.Fatal("water is no ordered sign")
	}
	for a := range x.spec.Causes {
		alone := prior(a)
		for b := range x.spec.Causes {
			if a == b {
				continue
			}
			both := prior(min(a, b), max(a, b))
			name := fmt.Sprintf("%s with %s", x.spec.Causes[a].ID, x.spec.Causes[b].ID)
			for j, m := range x.spec.Mechanisms {
				if both.Mechanism(j) < alone.Mechanism(j)-1e-12 {
					t.Errorf("%s: %s falls from %v to %v", name, m.ID, alone.Mechanism(j), both.Mechanism(j))
				}
			}
			if both.Predict(water)[1] < alone.Predict(water)[1]-1e-12 {
				t.Errorf("%s: water falls from %v to %v", name, alone.Predict(water)[1], both.Predict(water)[1])
			}
		}
	}
}
