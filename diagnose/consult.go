package diagnose

import (
	"fmt"
	"reflect"
	"slices"
	"sort"

	"underlap/diagnose/buildup"
	"underlap/diagnose/calc"
	"underlap/diagnose/casefile"
	"underlap/diagnose/explain"
	"underlap/diagnose/facts"
	"underlap/diagnose/infer"
	"underlap/diagnose/scope"
	"underlap/physics/climate"
	"underlap/rules"
)

// Consult turns the log of a case into a Reading. It is deterministic: no clock,
// no chance. It fails only when the knowledge itself is at odds, never because of
// an answer.
func Consult(c *casefile.Case, pack *rules.Pack) (*Reading, error) {
	state := c.State()
	return consult(c, state, facts.From(state, pack), pack, &memory{})
}

// memory keeps the build-up and the sums from one answer to the next. Most answers
// are about signs, and leave what those two looked at as it was.
type memory struct {
	year    *climate.Hourly // weather to run the sums in, or nil for that of the place
	reads   facts.Reads
	buildup *buildup.Result
	sums    *calc.Result
	days    daysMemory
	spec    infer.Model
	engine  *infer.Engine // of spec
}

// compile gives the engine of the model, the last one when it is of the same model: most
// answers change what is heard, not what is believed.
func (m *memory) compile(spec infer.Model) (*infer.Engine, error) {
	if m.engine != nil && reflect.DeepEqual(m.spec, spec) {
		return m.engine, nil
	}
	engine, err := infer.Compile(spec)
	if err != nil {
		return nil, err
	}
	m.engine, m.spec = engine, spec
	return engine, nil
}

func (m *memory) recall(c *casefile.Case, f *facts.Set, pack *rules.Pack) error {
	if m.reads.Same(f) {
		return nil
	}
	reads, err := f.Watch(func() (err error) {
		m.buildup = buildup.Infer(f, &pack.BuildUp, calc.JoistHabit(f))
		m.sums, err = calc.Run(f, pack, m.buildup, calc.Where{Place: c.Place, Year: m.year})
		return err
	})
	if err != nil {
		m.reads = facts.Reads{}
		return fmt.Errorf("working out the sums: %w", err)
	}
	m.reads = reads
	return nil
}

func consult(c *casefile.Case, state casefile.State, f *facts.Set, pack *rules.Pack, mem *memory) (*Reading, error) {
	if err := mem.recall(c, f, pack); err != nil {
		return nil, err
	}
	b, sums := mem.buildup, mem.sums
	m := newModel(pack, f, b, sums)
	engine, err := mem.compile(m.spec)
	if err != nil {
		return nil, fmt.Errorf("the knowledge does not compile: %w", err)
	}
	ev, said := m.evidence(f)
	days := mem.days.recall(state)
	m.joinDays(days, &ev)
	post, err := engine.Update(ev)
	if err != nil {
		return nil, fmt.Errorf("weighing the answers: %w", err)
	}
	alone := b
	b = m.joined(b, post)
	w := &work{
		pack: pack, state: state, facts: f, alone: alone, buildup: b, sums: sums, model: m, engine: engine, ev: ev, said: said, post: post,
		r: &Reading{Case: c.ID, Title: c.Title, Knowledge: pack.Hash, Place: sums.Place, BuildUp: b, Findings: sums.Findings, Whys: slices.Clone(sums.Whys), Hourly: "none", course: sums.Course},
	}
	if w.r.course != nil {
		w.r.Hourly = "waiting"
	}
	w.addDays(days)
	if err := w.fill(); err != nil {
		return nil, err
	}
	return w.r, nil
}

// work is one consultation under way: the pieces that the parts of a reading are
// drawn from.
type work struct {
	pack    *rules.Pack
	state   casefile.State
	facts   *facts.Set
	alone   *buildup.Result // by readings and looks alone
	buildup *buildup.Result // with what the wet tells of it
	sums    *calc.Result
	model   *model
	engine  *infer.Engine
	ev      infer.Evidence
	said    map[int]int
	post    *infer.Posterior
	review  *infer.Review
	values  map[int]infer.QuestionValue // by open finding
	scopes  []infer.Scope
	damage  []float64
	r       *Reading
}

func (w *work) fill() error {
	w.r.Closed = w.closed()
	w.told()
	w.cautions()
	w.recheck()
	if err := w.ladder(); err != nil {
		return err
	}
	if err := w.causes(); err != nil {
		return err
	}
	if err := w.entryMap(); err != nil {
		return err
	}
	w.buildUpWhys()
	w.statements()
	w.test()
	if err := w.questions(); err != nil {
		return err
	}
	if err := w.changes(); err != nil {
		return err
	}
	w.r.doubts = w.doubts()
	w.r.noNulls()
	return nil
}

// told lists the facts in the order of the interview.
func (w *work) told() {
	for _, id := range w.facts.Questions() {
		f, _ := w.facts.Get(id)
		if f.Implied {
			continue
		}
		w.r.Answered++
		w.r.Facts = append(w.r.Facts, Told{Question: id, Branch: f.Question.Branch, Short: f.Question.Short, Says: f.Says(), Known: f.Known, Note: f.Answer.Note})
	}
	for _, n := range w.state.Notes {
		text := n.Note
		if q, ok := w.pack.Question(n.Question); ok {
			text = q.Short + ": " + text
		}
		w.r.Notes = append(w.r.Notes, text)
	}
	for _, q := range w.pack.Questions {
		if a, ok := w.state.Answers[q.ID]; ok && a.Asked() {
			text := q.Ask
			if text == "" {
				text = q.Say
			}
			w.r.Pending = append(w.r.Pending, Request{Question: q.ID, Text: text, Asked: a.At.Format("2006-01-02")})
		}
	}
}

// cautions puts the safety lines in order of urgency.
func (w *work) cautions() {
	calls := map[string]bool{}
	for _, c := range w.pack.Cautions {
		if !c.Always && rules.All(c.When, w.facts) != rules.Yes {
			continue
		}
		w.r.Cautions = append(w.r.Cautions, Caution{ID: c.ID, Rank: c.Rank, Says: c.Says, Source: c.Source})
		for _, who := range c.Call {
			if !calls[who] {
				calls[who] = true
				w.r.Call = append(w.r.Call, who)
			}
		}
	}
	if w.sums.Engineer && !calls["structural engineer"] {
		w.r.Call = append(w.r.Call, "structural engineer")
	}
	sort.SliceStable(w.r.Cautions, func(i, j int) bool { return w.r.Cautions[i].Rank < w.r.Cautions[j].Rank })
}

// ladder prices the repairs and weighs them against the causes.
func (w *work) ladder() error {
	res := scope.Price(w.facts, w.pack)
	for i := range w.pack.Causes {
		w.damage = append(w.damage, w.pack.Causes[i].Damage)
	}
	var allowed []int
	for i, o := range res.Options {
		if o.Barred != "" {
			continue
		}
		s := infer.Scope{ID: o.ID, Cost: (o.Low + o.High) / 2, Fix: make([]float64, len(w.pack.Causes))}
		for c := range w.pack.Causes {
			s.Fix[c] = scope.FixOf(&w.pack.Repairs[i], &w.pack.Causes[c])
		}
		w.scopes = append(w.scopes, s)
		allowed = append(allowed, i)
	}
	d, err := w.engine.Decide(w.post, w.scopes, w.damage)
	if err != nil {
		return fmt.Errorf("weighing the repairs: %w", err)
	}
	total := 0.0
	for _, p := range w.post.Causes() {
		total += p
	}
	for k, i := range allowed {
		o := &res.Options[i]
		o.Loss = d.Loss[k]
		for c, p := range w.post.Causes() {
			o.Cures += p * w.scopes[k].Fix[c] / total
		}
	}
	best, second := honest(w.pack, w.post, w.scopes, d.Loss)
	if best < 0 { // a pack without making safe, and nothing that touches the first suspect
		best = d.Best
	}
	res.Best = res.Options[allowed[best]].ID
	if second >= 0 {
		res.RunnerUp = res.Options[allowed[second]].ID
		res.Margin = d.Loss[second] - d.Loss[best]
	}
	res.EVPI, res.Ideal = d.EVPI, d.Ideal[best]
	for _, o := range res.Options {
		w.r.Whys = append(w.r.Whys, res.Explain(o))
	}
	sort.SliceStable(res.Options, func(i, j int) bool {
		a, b := res.Options[i], res.Options[j]
		if a.Rung != b.Rung {
			return a.Rung < b.Rung
		}
		if (a.Barred != "") != (b.Barred != "") {
			return b.Barred != ""
		}
		return a.Loss < b.Loss
	})
	w.r.Scope = res
	return nil
}

// touches is the least chance of curing the first suspect with which a repair may be
// named at all; a judgement. Money alone would sell a cheap patch that cures nothing.
const touches = 0.3

// honest picks the repair of least expected loss among those that touch the first
// suspect, making safe always among them, and the runner-up.
func honest(pack *rules.Pack, post *infer.Posterior, scopes []infer.Scope, loss []float64) (best, second int) {
	top := post.Ranked()[0]
	best, second = -1, -1
	for k, s := range scopes {
		if s.Cost > 0 && s.Fix[top] < touches && pack.Causes[top].ID != rules.OtherCause {
			continue
		}
		switch {
		case best < 0 || loss[k] < loss[best]-1e-9:
			best, second = k, best
		case second < 0 || loss[k] < loss[second]-1e-9:
			second = k
		}
	}
	return best, second
}

// recheck gathers what cannot be and what does not go together. What is merely
// surprising is added once the causes are weighed.
func (w *work) recheck() {
	for _, id := range w.facts.LeftOut() {
		q, _ := w.pack.Question(id)
		w.r.Recheck = append(w.r.Recheck, Recheck{Questions: []string{id}, Kind: "reading", Text: q.Short + ": the figure in the file cannot be, so it is left out. Ask for it again."})
	}
	for _, text := range w.sums.LeftOut {
		w.r.Recheck = append(w.r.Recheck, Recheck{Text: text, Kind: "reading"})
	}
	for _, p := range w.buildup.Problems {
		w.r.Recheck = append(w.r.Recheck, Recheck{Questions: p.Questions, Text: p.Text, Kind: "reading"})
	}
	if j := w.buildup.Joined; j != nil && !w.buildup.Closes {
		var ids []string
		for _, u := range w.buildup.Used {
			ids = append(ids, u.Question)
			if u.Question == "kerb-inside" {
				ids = append(ids, "kerb-outside")
			}
		}
		w.r.Recheck = append(w.r.Recheck, Recheck{
			Questions: append(ids, "joist-depth"), Kind: "reading",
			Text: fmt.Sprintf("%.0f mm fits no build-up within %.0f mm. Do not round it to fit: ask for the joist size, or a second pair of readings.", j.M*1000, w.buildup.Closure*1000),
		})
	}
	w.knowledge()
	for _, c := range w.pack.Checks {
		if rules.All(c.When, w.facts) == rules.Yes {
			w.r.Recheck = append(w.r.Recheck, Recheck{Questions: c.Questions, Text: c.Says + ". Ask both again, in other words.", Kind: "pair"})
		}
	}
}

// why adds an explanation.
func (w *work) why(x explain.Why) { w.r.Whys = append(w.r.Whys, x) }
