package infer

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// smallModel is a sound model with every kind of entry.
func smallModel() Model {
	return Model{
		Causes:     []Cause{{"seam", 3}, {"outlet", 2}, {"other", 0.5}},
		Mechanisms: []Mechanism{{ID: "rain", Leak: 0.02, Gate: 1, Links: []Link{{0, 0.9}, {2, 0.3}}}, {ID: "pond", Leak: 0.05, Gate: 0.8, Links: []Link{{1, 0.95}}}},
		Findings: []Finding{
			{ID: "timing", Answers: []string{"rain", "dry"}, Cost: 0.5, Form: Table, Parents: []int{0, 1}, TableRows: [][]float64{{0.2, 0.8}, {0.3, 0.7}, {0.8, 0.2}, {0.9, 0.1}}},
			{ID: "split", Answers: []string{"none", "slight", "open"}, Over: OverCauses, Form: Max, Background: []float64{0.9, 0.05, 0.05}, Rows: []Row{{Parent: 0, P: []float64{0.2, 0.4, 0.4}}}},
			{ID: "place", Answers: []string{"edge", "field"}, Over: OverCauses, Form: Mixture, Background: []float64{0.5, 0.5}, Rows: []Row{{Parent: 1, P: []float64{0.1, 0.9}, Salience: 2}}},
		},
		SizePrior: []float64{0, 0.7, 0.3},
		Pairs:     []Pair{{A: 0, B: 1, Factor: 1.5}},
	}
}

func smallScopes() ([]Scope, []float64) {
	return []Scope{{ID: "patch", Cost: 150, Fix: []float64{0.85, 0, 0}}, {ID: "clear", Cost: 120, Fix: []float64{0, 0.9, 0}}}, []float64{900, 700, 1000}
}

func TestCompileNamesTheFault(t *testing.T) {
	if _, err := Compile(smallModel()); err != nil {
		t.Fatalf("the sound model: %v", err)
	}
	cases := []struct {
		want  string
		spoil func(m *Model)
	}{
		{"no causes", func(m *Model) { *m = Model{SizePrior: []float64{0, 1}} }},
		{`cause "seam" appears twice`, func(m *Model) { m.Causes[1].ID = "seam" }},
		{"cause 2 has no id", func(m *Model) { m.Causes[2].ID = "" }},
		{`cause "seam": weight 0`, func(m *Model) { m.Causes[0].Weight = 0 }},
		{`cause "seam": weight NaN`, func(m *Model) { m.Causes[0].Weight = math.NaN() }},
		{"size prior: 5 entries", func(m *Model) { m.SizePrior = []float64{0, 0.4, 0.3, 0.2, 0.1} }},
		{"size prior: entry 0 is 0.1", func(m *Model) { m.SizePrior = []float64{0.1, 0.9} }},
		{"size prior: entry 2 is -0.2", func(m *Model) { m.SizePrior = []float64{0, 1.2, -0.2} }},
		{"size prior sums to 0.9", func(m *Model) { m.SizePrior = []float64{0, 0.7, 0.2} }},
		{"only 3 causes", func(m *Model) { m.Causes = m.Causes[:1]; m.Causes[0].ID = "x"; m.SizePrior = []float64{0, 0.5, 0.5} }},
		{"pair 0: causes 0 and 3", func(m *Model) { m.Pairs[0].B = 3 }},
		{`pair 0: cause "seam" is paired with itself`, func(m *Model) { m.Pairs[0].B = 0 }},
		{"are paired twice", func(m *Model) { m.Pairs = append(m.Pairs, Pair{1, 0, 2}) }},
		{"pair 0: factor -1", func(m *Model) { m.Pairs[0].Factor = -1 }},
		{"9 mechanisms", func(m *Model) { m.Mechanisms = make([]Mechanism, 9) }},
		{`mechanism "rain": leak 0 `, func(m *Model) { m.Mechanisms[0].Leak = 0 }},
		{`mechanism "rain": gate 1.5`, func(m *Model) { m.Mechanisms[0].Gate = 1.5 }},
		{`mechanism "rain": link 0: cause 7`, func(m *Model) { m.Mechanisms[0].Links[0].Cause = 7 }},
		{`mechanism "rain": cause "other" is linked twice`, func(m *Model) { m.Mechanisms[0].Links[0].Cause = 2 }},
		{`mechanism "rain": link from "seam": 1 `, func(m *Model) { m.Mechanisms[0].Links[0].Lambda = 1 }},
		{`finding "timing" appears twice`, func(m *Model) { m.Findings[1].ID = "timing" }},
		{`finding "split": 1 answers`, func(m *Model) { m.Findings[1].Answers = []string{"none"} }},
		{`finding "split": cost -1`, func(m *Model) { m.Findings[1].Cost = -1 }},
		{`finding "split": reliability 2`, func(m *Model) { m.Findings[1].Reliability = 2 }},
		{`finding "split": unknown form 9`, func(m *Model) { m.Findings[1].Form = 9 }},
		{`finding "split": unknown kind of parents 9`, func(m *Model) { m.Findings[1].Over = 9 }},
		{`finding "split": parent 3, want 0 to 2`, func(m *Model) { m.Findings[1].Rows[0].Parent = 3 }},
		{`finding "timing": parent 0 appears twice`, func(m *Model) { m.Findings[0].Parents[1] = 0 }},
		{`finding "timing": a table over 3 parents`, func(m *Model) { m.Findings[0].Parents = []int{0, 1, 2} }},
		{`finding "timing": 3 table rows, want 4`, func(m *Model) { m.Findings[0].TableRows = m.Findings[0].TableRows[:3] }},
		{`finding "timing": table row 2 sums to 1.1`, func(m *Model) { m.Findings[0].TableRows[2][1] = 0.3 }},
		{`finding "timing": table row 2: number 1 is 0,`, func(m *Model) { m.Findings[0].TableRows[2] = []float64{1, 0} }},
		{`finding "timing": a table takes no rows`, func(m *Model) { m.Findings[0].Background = []float64{0.5, 0.5} }},
		{`finding "split": parents and table rows`, func(m *Model) { m.Findings[1].Parents = []int{0} }},
		{`finding "split": background: 2 numbers for 3 answers`, func(m *Model) { m.Findings[1].Background = []float64{0.5, 0.5} }},
		{`finding "split": row 0 sums to NaN`, func(m *Model) { m.Findings[1].Rows[0].P[0] = math.NaN() }},
		{`finding "place": row 0: salience -2`, func(m *Model) { m.Findings[2].Rows[0].Salience = -2 }},
		{"more than 250000", func(m *Model) {
			for range 120 {
				m.Causes = append(m.Causes, Cause{ID: strings.Repeat("x", len(m.Causes)), Weight: 1})
			}
			m.SizePrior = []float64{0, 0.5, 0.3, 0.2}
		}},
	}
	for _, c := range cases {
		m := smallModel()
		c.spoil(&m)
		want := strings.Replace(c.want, "only 3 causes", "only 1 causes", 1)
		if _, err := Compile(m); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error with %q, got %v", want, err)
		}
	}
}

func TestAllowHard(t *testing.T) {
	m := smallModel()
	m.Mechanisms[0].Leak = 0
	m.Findings[0].TableRows[0] = []float64{0, 1}
	m.Findings[0].TableRows[1] = []float64{0, 1}
	if _, err := Compile(m); err == nil {
		t.Error("zeros were accepted")
	}
	m.AllowHard = true
	e := compile(t, m)
	// Without rain there is no answer "rain", so the mechanism is certain.
	p := update(t, e, Evidence{}.With(0, Reliable(2, 0, 1)))
	near(t, "rain", p.Mechanism(0), 1, 1e-12)
}

func TestUnfitInput(t *testing.T) {
	e := compile(t, smallModel())
	joint := func(lambda []float64, mechanisms ...int) Evidence {
		return Evidence{Joint: []JointEvidence{{Mechanisms: mechanisms, Lambda: lambda}}}
	}
	evidence := map[string]Evidence{
		"evidence on finding 9":                   Evidence{}.With(9, []float64{1, 1}),
		`"timing": 3 likelihoods, want 2`:         Evidence{}.With(0, []float64{1, 1, 1}),
		`"timing": likelihood 1 is -1`:            Evidence{}.With(0, []float64{1, -1}),
		`"timing": likelihood 0 is NaN`:           Evidence{}.With(0, []float64{math.NaN(), 1}),
		`"timing": likelihood 0 is +Inf`:          Evidence{}.With(0, []float64{math.Inf(1), 1}),
		"0 mechanisms, want 1 or 2":               joint(nil),
		"mechanism 5, want 0 to 1":                joint([]float64{1, 1}, 5),
		"mechanism 1 is named twice":              joint([]float64{1, 1, 1, 1}, 1, 1),
		"joint evidence 0: 2 likelihoods, want 4": joint([]float64{1, 1}, 0, 1),
	}
	for want, ev := range evidence {
		if _, err := e.Update(ev); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error with %q, got %v", want, err)
		}
	}
	if _, err := e.Update(Evidence{}.With(0, []float64{0, 0})); !errors.Is(err, ErrImpossible) {
		t.Errorf("all zero: %v", err)
	}
	if _, err := Multiply(); err == nil {
		t.Error("nothing was multiplied")
	}
	if _, err := Multiply([]float64{1, 1}, []float64{1}); err == nil {
		t.Error("unequal vectors were multiplied")
	}

	p := update(t, e, Evidence{})
	scopes, damage := smallScopes()
	spoiled := map[string]func(s []Scope, d []float64) ([]Scope, []float64){
		"no scopes":                    func(_ []Scope, d []float64) ([]Scope, []float64) { return nil, d },
		"2 damages for 3 causes":       func(s []Scope, d []float64) ([]Scope, []float64) { return s, d[:2] },
		`damage of cause "outlet": -1`: func(s []Scope, _ []float64) ([]Scope, []float64) { return s, []float64{1, -1, 1} },
		`scope "patch": cost NaN`: func(s []Scope, d []float64) ([]Scope, []float64) {
			return []Scope{{"patch", math.NaN(), s[0].Fix}}, d
		},
		`scope "patch": 1 fix`: func(_ []Scope, d []float64) ([]Scope, []float64) { return []Scope{{"patch", 1, []float64{1}}}, d },
		`fix 2 of cause "seam"`: func(_ []Scope, d []float64) ([]Scope, []float64) {
			return []Scope{{"patch", 1, []float64{2, 0, 0}}}, d
		},
		`scope "patch" appears twice`: func(s []Scope, d []float64) ([]Scope, []float64) { return []Scope{s[0], s[0]}, d },
	}
	for want, spoil := range spoiled {
		s, d := spoil(scopes, damage)
		if _, err := e.Decide(p, s, d); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("want an error with %q, got %v", want, err)
		}
		if _, err := e.Values(p, s, d); err == nil {
			t.Errorf("values took %q", want)
		}
	}
	for _, st := range []Stage{{First: -1}, {First: 2}, {Notice: 1.1}, {Notice: math.NaN()}} {
		if _, err := e.Staged(p, scopes, damage, st); err == nil {
			t.Errorf("stage %+v was accepted", st)
		}
	}

	ev := Evidence{}.With(0, Reliable(2, 0, 0.85))
	shares := []struct {
		cause  int
		groups [][]int
	}{{9, nil}, {0, [][]int{{0}, {0}}}, {0, [][]int{{1}}}, {0, make([][]int, 11)}}
	for _, s := range shares {
		if _, err := e.Shapley(ev, []int{s.cause}, s.groups); err == nil {
			t.Errorf("shapley took %+v", s)
		}
	}
	for _, said := range []map[int]int{{1: 0}, {0: 5}, {-1: 0}} {
		if _, err := e.Flips(ev, said); err == nil {
			t.Errorf("flips took %v", said)
		}
	}
}

// TestManyUnlikelyAnswers goes far below the smallest float64.
func TestManyUnlikelyAnswers(t *testing.T) {
	const count, tiny = 300, 1e-6
	m := smallModel()
	m.Findings = nil
	ev := Evidence{Likelihood: map[int][]float64{}}
	for i := range count {
		f := Finding{ID: strings.Repeat("f", i+1), Answers: []string{"no", "yes"}, Over: Parents(i % 2), Parents: []int{0}, TableRows: [][]float64{{1 - tiny, tiny}, {1 - tiny, tiny}}}
		m.Findings = append(m.Findings, f)
		ev.Likelihood[i] = Reliable(2, 1, 1)
	}
	p := update(t, compile(t, m), ev)
	near(t, "log evidence", p.LogEvidence(), count*math.Log(tiny), 1e-8)
	nearAll(t, "causes", p.Causes(), update(t, compile(t, smallModel()), Evidence{}).Causes(), 1e-12)
}

// TestUnseenFailure: where no failure can be seen, only the unseen damage counts.
func TestUnseenFailure(t *testing.T) {
	e := compile(t, smallModel())
	scopes, damage := smallScopes()
	p := update(t, e, Evidence{})
	v := must(e.Staged(p, scopes, damage, Stage{First: 0, Notice: 0, WaitDamage: 60}))
	want := scopes[0].Cost
	for _, s := range p.Sets(6) {
		cured, harm := 1.0, 0.0
		for _, c := range s.Causes {
			cured *= scopes[0].Fix[c]
			harm += damage[c]
		}
		want += s.P * (1 - cured) * harm
	}
	if v.Then != -1 || v.FailSeen != 0 {
		t.Errorf("got %+v", v)
	}
	near(t, "value", v.Value, want, 1e-9)
}

func TestSizes(t *testing.T) {
	p := update(t, compile(t, smallModel()), Evidence{})
	near(t, "one", p.Size(1), 0.7, 1e-12)
	near(t, "two", p.Size(2), 0.3, 1e-12)
	if got := p.Sets(0); len(got) != 0 {
		t.Errorf("asked for no sets, got %v", got)
	}
}

// TestTies: equal losses and equal probabilities go by id, whatever the order.
func TestTies(t *testing.T) {
	m := Model{SizePrior: []float64{0, 1}, Causes: []Cause{{"b", 1}, {"a", 1}}}
	e := compile(t, m)
	p := update(t, e, Evidence{})
	if p.Ranked()[0] != 1 || p.Sets(1)[0].IDs[0] != "a" {
		t.Errorf("equal causes stand as %v, sets as %v", p.Ranked(), p.Sets(2))
	}
	scopes := []Scope{{"y", 10, []float64{0, 0}}, {"x", 10, []float64{0, 0}}}
	if d := must(e.Decide(p, scopes, []float64{100, 100})); d.Best != 1 || d.RunnerUp != 0 || d.Margin != 0 {
		t.Errorf("equal scopes: %+v", d)
	}
}
