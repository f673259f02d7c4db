package infer

import (
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
)

const vectorFolder = "../../testdata/vectors"

// vectorTests names the test of each vector file. Every file states its own
// source.
var vectorTests = map[string]func(*testing.T, string){
	"bayes-asia.toml":         testNetwork,
	"bayes-burglary.toml":     testNetwork,
	"bayes-cancer.toml":       testNetwork,
	"bayes-carstart.toml":     testNetwork,
	"bayes-causesets.toml":    testCauseSets,
	"bayes-decision-oil.toml": testOil,
	"bayes-noisyor.toml":      testNoisyOr,
	"bayes-scoring.toml":      testScoring,
	"bayes-sensitivity.toml":  testSensitivity,
	"bayes-sprinkler.toml":    testNetwork,
	"bayes-staged.toml":       testStaged,
	"bayes-troubleshoot.toml": testTroubleshoot,
	"bayes-virtual.toml":      testNetwork,
	"bayes-voi-plateau.toml":  testPlateau,
}

// TestVectors runs every bayes file in the folder and fails on one that no test
// uses.
func TestVectors(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(vectorFolder, "bayes-*.toml"))
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, path := range files {
		name := filepath.Base(path)
		found = append(found, name)
		test, ok := vectorTests[name]
		if !ok {
			t.Errorf("%s is used by no test", name)
			continue
		}
		t.Run(name, func(t *testing.T) { test(t, path) })
	}
	if want := slices.Sorted(maps.Keys(vectorTests)); !slices.Equal(found, want) {
		t.Errorf("vector files %v, want %v", found, want)
	}
}

// header is what all vector files share.
type header struct {
	ID, Title, Source, Status, Note string
	Tolerance                       float64
}

// load decodes a file whole: a field that the struct does not take is an error,
// so no number goes unchecked unnoticed.
func load(t *testing.T, path string, into any) {
	t.Helper()
	meta := loadPart(t, path, into)
	for _, key := range meta.Undecoded() {
		if slices.Contains(key, "evidence_value") {
			continue // a mixed table read as it stands; its test counts what is left
		}
		t.Errorf("%s: field %v is not read", path, key)
	}
}

// loadPart decodes the fields that the struct takes.
func loadPart(t *testing.T, path string, into any) toml.MetaData {
	t.Helper()
	meta, err := toml.DecodeFile(path, into)
	if err != nil {
		t.Fatal(err)
	}
	return meta
}

type causeSetFile struct {
	header
	Causes      []string
	Weight      []float64
	SizePrior   []float64 `toml:"size_prior"`
	Association []struct {
		A, B   string
		Factor float64
	}
	Mechanisms       []string
	MechanismLeak    []float64 `toml:"mechanism_leak"`
	MechanismFinding []struct {
		Name            string
		States, Parents []string
		Table           [][]float64
		Cost            float64
	} `toml:"mechanism_finding"`
	DirectFinding []struct {
		Name   string
		States []string
		Leak   []float64
		Link   map[string][]float64
		Cost   float64
	} `toml:"direct_finding"`
	Scope []struct {
		Name string
		Cost float64
		Fix  map[string]float64
	}
	Damage map[string]float64
	Case   []causeSetCase
	Links  []mechanismLink `toml:"mechanism_link"`
}

type mechanismLink struct {
	Cause, Mechanism string
	Lambda           float64
}

type causeSetCase struct {
	ID, Note          string
	ContextMultiplier map[string]float64   `toml:"context_multiplier"`
	UseAssociation    bool                 `toml:"use_association"`
	PhysicsGate       map[string]float64   `toml:"physics_gate"`
	Evidence          map[string][]float64 `toml:"evidence"`
	PEvidence         float64              `toml:"p_evidence"`
	Cause             map[string]float64
	Mechanism         map[string]float64
	TopSets           map[string]float64 `toml:"top_sets"`
	ExpectedLoss      map[string]float64 `toml:"expected_loss"`
	Decision          struct {
		Best  string
		EVPI  float64
		Ideal float64 `toml:"mass_where_best_is_ideal"`
	}
	EvidenceValue map[string]any `toml:"evidence_value"`
	Conflict      *struct {
		Bits float64 `toml:"conf_bits"`
	}
	NextQuestion map[string]struct {
		Predicted    []float64
		EVSI, Net    float64
		EntropyGain  float64  `toml:"entropy_gain_bits"`
		PerAnswer    []string `toml:"decision_per_answer"`
		SameDecision float64  `toml:"same_decision_probability"`
	} `toml:"next_question"`
	Shapley map[string]float64
}

// problem is a case of the file as the kernel takes it.
type problem struct {
	engine   *Engine
	evidence Evidence
	scopes   []Scope
	damage   []float64
	finding  map[string]int
}

func (f *causeSetFile) problem(t *testing.T, c *causeSetCase) problem {
	t.Helper()
	cause := places(f.Causes)
	mechanism := places(f.Mechanisms)
	m := Model{SizePrior: f.SizePrior}
	for i, id := range f.Causes {
		w := f.Weight[i]
		if x, ok := c.ContextMultiplier[id]; ok {
			w *= x
		}
		m.Causes = append(m.Causes, Cause{ID: id, Weight: w})
	}
	if c.UseAssociation {
		for _, p := range f.Association {
			m.Pairs = append(m.Pairs, Pair{A: cause[p.A], B: cause[p.B], Factor: p.Factor})
		}
	}
	for j, id := range f.Mechanisms {
		gate := 1.0
		if g, ok := c.PhysicsGate[id]; ok {
			gate = g
		}
		mech := Mechanism{ID: id, Leak: f.MechanismLeak[j], Gate: gate}
		for _, l := range f.Links {
			if l.Mechanism == id {
				mech.Links = append(mech.Links, Link{Cause: cause[l.Cause], Lambda: l.Lambda})
			}
		}
		m.Mechanisms = append(m.Mechanisms, mech)
	}
	p := problem{finding: map[string]int{}, evidence: Evidence{Likelihood: map[int][]float64{}}}
	for _, q := range f.MechanismFinding {
		finding := Finding{ID: q.Name, Answers: q.States, Cost: q.Cost, TableRows: q.Table}
		for _, parent := range q.Parents {
			finding.Parents = append(finding.Parents, mechanism[parent])
		}
		m.Findings = append(m.Findings, finding)
	}
	for _, q := range f.DirectFinding {
		finding := Finding{ID: q.Name, Answers: q.States, Cost: q.Cost, Over: OverCauses, Form: Max, Background: q.Leak}
		for _, id := range slices.Sorted(maps.Keys(q.Link)) {
			finding.Rows = append(finding.Rows, Row{Parent: cause[id], P: q.Link[id]})
		}
		m.Findings = append(m.Findings, finding)
	}
	for i, finding := range m.Findings {
		p.finding[finding.ID] = i
	}
	for id, lambda := range c.Evidence {
		p.evidence.Likelihood[p.finding[id]] = lambda
	}
	for _, s := range f.Scope {
		scope := Scope{ID: s.Name, Cost: s.Cost, Fix: make([]float64, len(f.Causes))}
		for id, x := range s.Fix {
			scope.Fix[cause[id]] = x
		}
		p.scopes = append(p.scopes, scope)
	}
	for _, id := range f.Causes {
		p.damage = append(p.damage, f.Damage[id])
	}
	p.engine = compile(t, m)
	return p
}

func places(ids []string) map[string]int {
	out := map[string]int{}
	for i, id := range ids {
		out[id] = i
	}
	return out
}

func testCauseSets(t *testing.T, path string) {
	var f causeSetFile
	load(t, path, &f)
	for i := range f.Case {
		c := &f.Case[i]
		t.Run(c.ID, func(t *testing.T) {
			p := f.problem(t, c)
			post := update(t, p.engine, p.evidence)
			f.checkPosterior(t, c, post)
			f.checkDecision(t, c, p, post)
			f.checkQuestions(t, c, p, post)
			f.checkExplanation(t, c, p, post)
		})
	}
}

func (f *causeSetFile) checkPosterior(t *testing.T, c *causeSetCase, post *Posterior) {
	near(t, "p_evidence", math.Exp(post.LogEvidence()), c.PEvidence, f.Tolerance)
	for i, id := range f.Causes {
		near(t, id, post.Cause(i), c.Cause[id], f.Tolerance)
	}
	for j, id := range f.Mechanisms {
		near(t, id, post.Mechanism(j), c.Mechanism[id], f.Tolerance)
	}
	for _, s := range post.Sets(len(c.TopSets)) {
		want, ok := c.TopSets[strings.Join(s.IDs, "+")]
		if !ok {
			t.Errorf("set %v is not among the top sets", s.IDs)
		}
		near(t, strings.Join(s.IDs, "+"), s.P, want, f.Tolerance)
	}
}

func (f *causeSetFile) checkDecision(t *testing.T, c *causeSetCase, p problem, post *Posterior) {
	d := must(p.engine.Decide(post, p.scopes, p.damage))
	for r, s := range p.scopes {
		near(t, "loss of "+s.ID, d.Loss[r], c.ExpectedLoss[s.ID], f.Tolerance)
	}
	if got := p.scopes[d.Best].ID; got != c.Decision.Best {
		t.Errorf("best scope %s, want %s", got, c.Decision.Best)
	}
	near(t, "margin", d.Margin, d.Loss[d.RunnerUp]-d.Loss[d.Best], 0)
	near(t, "evpi", d.EVPI, c.Decision.EVPI, f.Tolerance)
	near(t, "mass where best is ideal", d.MassWhereBestIsIdeal, c.Decision.Ideal, f.Tolerance)
}

func (f *causeSetFile) checkQuestions(t *testing.T, c *causeSetCase, p problem, post *Posterior) {
	values := must(p.engine.Values(post, p.scopes, p.damage))
	if len(values) != len(c.NextQuestion) {
		t.Errorf("%d open questions, want %d", len(values), len(c.NextQuestion))
	}
	for _, q := range values {
		id := p.engine.model.Findings[q.Finding].ID
		want, ok := c.NextQuestion[id]
		if !ok {
			t.Errorf("%s should not be open", id)
			continue
		}
		nearAll(t, id, q.Predicted, want.Predicted, f.Tolerance)
		near(t, id+" evsi", q.EVSI, want.EVSI, f.Tolerance)
		near(t, id+" net", q.Net, want.Net, f.Tolerance)
		near(t, id+" gain", q.EntropyGainBits, want.EntropyGain, f.Tolerance)
		near(t, id+" same decision", q.SameDecision, want.SameDecision, f.Tolerance)
		for a, r := range q.DecisionPerAnswer {
			if p.scopes[r].ID != want.PerAnswer[a] {
				t.Errorf("%s answer %d: scope %s, want %s", id, a, p.scopes[r].ID, want.PerAnswer[a])
			}
		}
	}
}

func (f *causeSetFile) checkExplanation(t *testing.T, c *causeSetCase, p problem, post *Posterior) {
	lead := post.Ranked()[0]
	if f.Causes[lead] != c.EvidenceValue["leading_cause"] {
		t.Errorf("leading cause %s, want %v", f.Causes[lead], c.EvidenceValue["leading_cause"])
	}
	weights := must(p.engine.Weights(p.evidence))
	for _, s := range must(p.engine.Surprise(p.evidence)) {
		id := p.engine.model.Findings[s.Item].ID
		want, ok := c.EvidenceValue[id].(map[string]any)
		if !ok {
			t.Errorf("%s should have no evidence", id)
			continue
		}
		near(t, id+" surprise", s.Bits, want["surprise_bits"].(float64), f.Tolerance)
		near(t, id+" weight", weights[s.Item][lead], want["loo_decibans"].(float64), f.Tolerance)
		delete(c.EvidenceValue, id)
	}
	if len(c.EvidenceValue) != 1 {
		t.Errorf("evidence values left over: %v", c.EvidenceValue)
	}
	if c.Conflict != nil {
		near(t, "conflict", must(p.engine.Conflict(p.evidence)), c.Conflict.Bits, f.Tolerance)
	}
	if c.Shapley == nil {
		return
	}
	shares := must(p.engine.Shapley(p.evidence, []int{lead}, nil))[0]
	near(t, "shapley total", shares.Total, c.Shapley["total"], f.Tolerance)
	items := p.engine.items(post.seen)
	if len(items) != len(c.Shapley)-1 {
		t.Errorf("%d shares, want %d", len(items), len(c.Shapley)-1)
	}
	for g, item := range items {
		id := p.engine.model.Findings[item].ID
		near(t, id+" share", shares.Group[g], c.Shapley[id], f.Tolerance)
	}
}

func testStaged(t *testing.T, path string) {
	var f struct {
		header
		BaseCase    string             `toml:"base_case"`
		OneShot     map[string]float64 `toml:"one_shot"`
		OneShotBest string             `toml:"one_shot_best"`
		Stage       []struct {
			First      string
			Q          float64
			WaitDamage float64            `toml:"wait_damage"`
			FailSeen   float64            `toml:"p_fail_seen"`
			Cause      map[string]float64 `toml:"cause_after_fail"`
			Then       string
			LossThen   float64 `toml:"loss_then"`
			Value      float64
		}
	}
	load(t, path, &f)
	var base causeSetFile
	load(t, filepath.Join(vectorFolder, "bayes-causesets.toml"), &base)
	at := slices.IndexFunc(base.Case, func(c causeSetCase) bool { return c.ID == f.BaseCase })
	p := base.problem(t, &base.Case[at])
	post := update(t, p.engine, p.evidence)
	d := must(p.engine.Decide(post, p.scopes, p.damage))
	place := map[string]int{}
	for r, s := range p.scopes {
		place[s.ID] = r
		near(t, s.ID, d.Loss[r], f.OneShot[s.ID], f.Tolerance)
	}
	if d.Best != place[f.OneShotBest] {
		t.Errorf("best %s, want %s", p.scopes[d.Best].ID, f.OneShotBest)
	}
	for _, s := range f.Stage {
		v := must(p.engine.Staged(post, p.scopes, p.damage, Stage{First: place[s.First], Notice: s.Q, WaitDamage: s.WaitDamage}))
		near(t, "p_fail_seen", v.FailSeen, s.FailSeen, f.Tolerance)
		for c, id := range base.Causes {
			near(t, id, v.CauseAfterFail[c], s.Cause[id], f.Tolerance)
		}
		if v.Then != place[s.Then] {
			t.Errorf("then %s, want %s", p.scopes[v.Then].ID, s.Then)
		}
		near(t, "loss_then", v.LossThen, s.LossThen, f.Tolerance)
		near(t, "value", v.Value, s.Value, f.Tolerance)
	}
}

// testOil puts the oil wildcatter's states in as single causes. The kernel
// minimises losses from 0 up, so a loss is the largest utility less the
// utility, written as (1-fix)*damage.
func testOil(t *testing.T, path string) {
	var f struct {
		header
		States   []string
		Prior    []float64
		Drill    []float64 `toml:"drill_utility"`
		NoDrill  []float64 `toml:"no_drill_utility"`
		TestCost float64   `toml:"test_cost"`
		Result   []oilResult
		Expected struct {
			NoTest     float64 `toml:"eu_no_test"`
			BeforeCost float64 `toml:"eu_with_test_before_cost"`
			WithTest   float64 `toml:"eu_with_test"`
			EVSI       float64
			NetEVSI    float64 `toml:"net_evsi"`
			EVPI       float64
		} `toml:"expected"`
	}
	load(t, path, &f)
	top := slices.Max(f.Drill)
	damage := make([]float64, len(f.States))
	drill, leave := Scope{ID: "drill"}, Scope{ID: "leave"}
	m := Model{SizePrior: []float64{0, 1}}
	test := Finding{ID: "test", Over: OverCauses, Form: Mixture, Cost: f.TestCost, Background: []float64{0.3, 0.3, 0.4}}
	for c, id := range f.States {
		m.Causes = append(m.Causes, Cause{ID: id, Weight: f.Prior[c]})
		damage[c] = top - slices.Min(f.Drill)
		drill.Fix = append(drill.Fix, 1-(top-f.Drill[c])/damage[c])
		leave.Fix = append(leave.Fix, 1-(top-f.NoDrill[c])/damage[c])
		row := Row{Parent: c}
		for _, r := range f.Result {
			row.P = append(row.P, r.Likelihood[c])
		}
		test.Rows = append(test.Rows, row)
	}
	for _, r := range f.Result {
		test.Answers = append(test.Answers, r.Name)
	}
	m.Findings = []Finding{test}
	e := compile(t, m)
	scopes := []Scope{drill, leave}
	post := update(t, e, Evidence{})
	d := must(e.Decide(post, scopes, damage))
	// The arithmetic runs on losses of some hundreds, hence the wider tolerance.
	const tolerance = 1e-10
	near(t, "eu_no_test", top-d.Loss[d.Best], f.Expected.NoTest, tolerance)
	near(t, "evpi", d.EVPI, f.Expected.EVPI, tolerance)
	q := must(e.Values(post, scopes, damage))[0]
	near(t, "evsi", q.EVSI, f.Expected.EVSI, tolerance)
	near(t, "net", q.Net, f.Expected.NetEVSI, tolerance)
	near(t, "eu before cost", top-d.Loss[d.Best]+q.EVSI, f.Expected.BeforeCost, tolerance)
	near(t, "eu with test", top-d.Loss[d.Best]+q.Net, f.Expected.WithTest, tolerance)
	for a, r := range f.Result {
		near(t, "p "+r.Name, q.Predicted[a], r.P, tolerance)
		after := update(t, e, Evidence{}.With(0, Reliable(len(f.Result), a, 1)))
		nearAll(t, "posterior "+r.Name, after.Causes(), r.Posterior, tolerance)
		near(t, "eu_drill "+r.Name, top-must(e.Decide(after, scopes, damage)).Loss[0], r.Drill, tolerance)
		if (q.DecisionPerAnswer[a] == 0) != r.DoDrill {
			t.Errorf("%s: scope %d, drill %v", r.Name, q.DecisionPerAnswer[a], r.DoDrill)
		}
	}
}

type oilResult struct {
	Name       string
	Likelihood []float64
	P          float64
	Posterior  []float64
	Drill      float64 `toml:"eu_drill"`
	DoDrill    bool    `toml:"drill"`
}

// testPlateau takes the hypotheses as single causes. The answers are certain,
// so the rows hold zeros and ones.
func testPlateau(t *testing.T, path string) {
	var f struct {
		header
		Hypotheses []string
		Prior      []float64
		Loss       map[string][]float64
		Questions  map[string][][]float64
		Expected   struct {
			Now      float64 `toml:"expected_loss_now"`
			EVSI1    float64 `toml:"evsi_q1"`
			EVSI2    float64 `toml:"evsi_q2"`
			TwoStep  float64 `toml:"evsi_q1_then_q2"`
			EVPI     float64
			Entropy  float64 `toml:"entropy_gain_q1_bits"`
			GiniGain float64 `toml:"decision_class_gini_gain_q1"`
		}
	}
	load(t, path, &f)
	m := Model{SizePrior: []float64{0, 1}, AllowHard: true}
	damage := make([]float64, len(f.Hypotheses))
	for c, id := range f.Hypotheses {
		m.Causes = append(m.Causes, Cause{ID: id, Weight: f.Prior[c]})
		damage[c] = 100
	}
	for _, id := range slices.Sorted(maps.Keys(f.Questions)) {
		q := Finding{ID: id, Answers: []string{"0", "1"}, Over: OverCauses, Form: Mixture, Background: []float64{0.5, 0.5}}
		for c, row := range f.Questions[id] {
			q.Rows = append(q.Rows, Row{Parent: c, P: row})
		}
		m.Findings = append(m.Findings, q)
	}
	var scopes []Scope
	for _, id := range slices.Sorted(maps.Keys(f.Loss)) {
		s := Scope{ID: id}
		for c, loss := range f.Loss[id] {
			s.Fix = append(s.Fix, 1-loss/damage[c])
		}
		scopes = append(scopes, s)
	}
	e := compile(t, m)
	post := update(t, e, Evidence{})
	d := must(e.Decide(post, scopes, damage))
	near(t, "loss now", d.Loss[d.Best], f.Expected.Now, f.Tolerance)
	near(t, "evpi", d.EVPI, f.Expected.EVPI, f.Tolerance)
	values := must(e.Values(post, scopes, damage))
	near(t, "evsi q1", values[0].EVSI, f.Expected.EVSI1, f.Tolerance)
	near(t, "evsi q2", values[1].EVSI, f.Expected.EVSI2, f.Tolerance)
	if values[0].EntropyGainBits <= 0 {
		t.Errorf("the entropy does not see q1 either")
	}
	for _, two := range must(e.NextTwo(post, []int{0, 1}, scopes, damage)) {
		near(t, "two steps", two.Gross, f.Expected.TwoStep, f.Tolerance)
		if two.Then[0] != 1-two.First || two.Then[1] != 1-two.First {
			t.Errorf("after %d comes %v", two.First, two.Then)
		}
	}
	// The file's entropy is that of the hypotheses; its class masses are the
	// probabilities that each scope is right.
	hypotheses := func(p *Posterior) (entropy, gini float64) {
		classes := map[int]float64{}
		for _, s := range p.Sets(len(f.Hypotheses)) {
			entropy += plogp(s.P)
			classes[slices.IndexFunc(scopes, func(r Scope) bool { return r.Fix[s.Causes[0]] == 1 })] += s.P
		}
		for _, x := range classes {
			gini += x * x
		}
		return entropy, gini
	}
	entropy, gini := hypotheses(post)
	gain, giniGain := entropy, -gini
	for a, p := range values[0].Predicted {
		h, g := hypotheses(update(t, e, Evidence{}.With(0, Reliable(2, a, 1))))
		gain -= p * h
		giniGain += p * g
	}
	near(t, "entropy gain", gain, f.Expected.Entropy, f.Tolerance)
	near(t, "gini gain", giniGain, f.Expected.GiniGain, f.Tolerance)
}

// testSharedSetup uses the part on a visit valued as a bundle; testTroubleshoot the
// rest.
func testSharedSetup(t *testing.T, path string) {
	var f struct {
		header
		Shared struct {
			Hypotheses, Scopes int
			VisitCost          float64 `toml:"visit_cost"`
			CheckCost          float64 `toml:"check_cost"`
			Now                float64 `toml:"expected_loss_now"`
			One                float64 `toml:"evsi_one_check"`
			NetOne             float64 `toml:"net_one_check_with_visit"`
			Three              float64 `toml:"evsi_three_checks"`
			NetThree           float64 `toml:"net_three_checks_with_visit"`
		} `toml:"shared_setup"`
	}
	loadPart(t, path, &f)
	s := f.Shared
	const loss = 400 // for the wrong scope, as the file's note says
	m := Model{SizePrior: []float64{0, 1}, AllowHard: true}
	one := Finding{ID: "one", Answers: []string{"0", "1"}, Over: OverCauses, Form: Mixture, Background: []float64{0.5, 0.5}, Cost: s.VisitCost + s.CheckCost}
	three := Finding{ID: "three", Over: OverCauses, Form: Mixture, Cost: s.VisitCost + 3*s.CheckCost}
	var scopes []Scope
	damage := make([]float64, s.Hypotheses)
	for h := range s.Hypotheses {
		id := string(rune('a' + h))
		m.Causes = append(m.Causes, Cause{ID: id, Weight: 1})
		damage[h] = loss
		one.Rows = append(one.Rows, Row{Parent: h, P: Reliable(2, h&1, 1)})
		three.Answers = append(three.Answers, id)
		three.Background = append(three.Background, 1/float64(s.Hypotheses))
		three.Rows = append(three.Rows, Row{Parent: h, P: Reliable(s.Hypotheses, h, 1)})
	}
	for r := range s.Scopes {
		scopes = append(scopes, Scope{ID: string(rune('A' + r)), Fix: Reliable(s.Hypotheses, r, 1)})
	}
	m.Findings = []Finding{one, three}
	e := compile(t, m)
	post := update(t, e, Evidence{})
	d := must(e.Decide(post, scopes, damage))
	near(t, "loss now", d.Loss[d.Best], s.Now, 1e-10)
	values := must(e.Values(post, scopes, damage))
	near(t, "one check", values[0].EVSI, s.One, 1e-10)
	near(t, "net of one", values[0].Net, s.NetOne, 1e-10)
	near(t, "three checks", values[1].EVSI, s.Three, 1e-10)
	near(t, "net of three", values[1].Net, s.NetThree, 1e-10)
}

// testWeightOfEvidence uses the part on decibans; testScoring the rest.
func testWeightOfEvidence(t *testing.T, path string) {
	var f struct {
		header
		Weight struct {
			Ratio     []float64 `toml:"likelihood_ratio"`
			Decibans  []float64
			Prior     float64
			Posterior float64 `toml:"posterior_after_all"`
		} `toml:"weight_of_evidence"`
	}
	loadPart(t, path, &f)
	w := f.Weight
	m := Model{SizePrior: []float64{0, 1}, Causes: []Cause{{"it", w.Prior}, {"not", 1 - w.Prior}}}
	ev := Evidence{}
	for i, ratio := range w.Ratio {
		least := 0.5 / max(1, ratio)
		m.Findings = append(m.Findings, Finding{
			ID: string(rune('a' + i)), Answers: []string{"no", "yes"}, Over: OverCauses, Form: Table, Parents: []int{0},
			TableRows: [][]float64{{1 - least, least}, {1 - ratio*least, ratio * least}},
		})
		ev = ev.With(i, Reliable(2, 1, 1))
	}
	e := compile(t, m)
	near(t, "posterior", update(t, e, ev).Cause(0), w.Posterior, f.Tolerance)
	for i, row := range must(e.Weights(ev)) {
		// One less a probability near 1 loses some digits.
		near(t, "decibans", row[0], w.Decibans[i], 1e-11)
		near(t, "decibans against", row[1], -w.Decibans[i], 1e-11)
	}
}
