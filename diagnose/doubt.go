package diagnose

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"underlap/diagnose/explain"
	"underlap/diagnose/infer"
	"underlap/diagnose/robust"
	"underlap/rules"
)

// The knowledge is varied this often, always by the same draws.
const (
	variations    = 200
	variationSeed = 4021
)

// robustFrom is the share of the variations from which a conclusion is called robust;
// a judgement.
const robustFrom = 0.70

// tipped is how many numbers that would tip the conclusion are named, and rivals how
// many causes and repairs beside the chosen.
const (
	tipped = 4
	rivals = 3
)

// Doubts is what may be asked of a reading beside the keys: whether it would be the same
// by other numbers. It changes nothing in the reading, and may run beside anything.
type Doubts struct {
	pack   *rules.Pack
	spec   infer.Model    // with no findings but those that were answered
	heard  []finding      // what they stand for
	ev     infer.Evidence // on them
	said   map[int]int
	scopes []infer.Scope
	damage []float64
	now    robust.Outcome
	ranked []int
	visits *visits
}

// Doubts is what may be asked of the reading beside the keys, nil while it is too early.
func (r *Reading) Doubts() *Doubts { return r.doubts }

// Robust says how far the conclusion hangs on the numbers of the knowledge.
type Robust struct {
	Runs    int     `json:"runs"`
	Cause   float64 `json:"cause"`  // share of the variations with the same first cause
	Repair  float64 `json:"repair"` // and with the same repair
	Causes  []Share `json:"causes"` // what comes first, most often first
	Repairs []Share `json:"repairs"`
	Robust  bool    `json:"robust"` // both hold in seven of ten and more
	Text    string  `json:"text"`
	Tips    []Tip   `json:"tips"` // single numbers that would change the conclusion
}

// Share is how often something comes first.
type Share struct {
	ID   string  `json:"id"`
	Name string  `json:"name"`
	P    float64 `json:"p"`
}

// Tip is one number of the knowledge that, doubled or halved in its odds, would change
// the conclusion.
type Tip struct {
	Rule string  `json:"rule"` // cause or mechanism, and the question it looks at
	Was  float64 `json:"was"`  // of 100
	Is   float64 `json:"is"`
	Text string  `json:"text"`
}

func (w *work) doubts() *Doubts {
	if w.r.Answered < Early {
		return nil
	}
	d := &Doubts{
		pack: w.pack, spec: w.model.spec, ev: infer.Evidence{Likelihood: map[int][]float64{}, Joint: w.ev.Joint}, said: map[int]int{},
		scopes: w.scopes, damage: w.damage, ranked: w.post.Ranked(),
	}
	d.spec.Findings = nil
	for f, fd := range w.model.findings {
		lambda, ok := w.ev.Likelihood[f]
		if !ok {
			continue
		}
		at := len(d.heard)
		d.spec.Findings = append(d.spec.Findings, w.model.spec.Findings[f])
		d.heard = append(d.heard, fd)
		d.ev.Likelihood[at] = lambda
		if a, ok := w.said[f]; ok {
			d.said[at] = a
		}
	}
	d.now = d.judge(w.post)
	d.visits = w.visits()
	return d
}

func (d *Doubts) judge(p *infer.Posterior) robust.Outcome {
	loss, err := p.Losses(d.scopes, d.damage)
	if err != nil {
		panic(err) // they were weighed once already
	}
	best, _ := honest(d.pack, p, d.scopes, loss)
	return robust.Outcome{Cause: p.Ranked()[0], Repair: best}
}

// Doubted is what Doubts found.
type Doubted struct {
	Robust        *Robust
	Visits        []Visit
	Contributions []Contribution
}

// Run varies the knowledge, turns its numbers one by one, values what could be bought
// beyond the call, and shares out the weight of the answers. It takes a second or two.
// It fails when ctx ends.
func (d *Doubts) Run(ctx context.Context) (*Doubted, error) {
	r, err := d.robust(ctx)
	if err != nil {
		return nil, err
	}
	v, err := d.visits.value(ctx)
	if err != nil {
		return nil, err
	}
	c, err := d.contributions()
	if err != nil {
		return nil, err
	}
	return &Doubted{r, v, c}, nil
}

func (d *Doubts) robust(ctx context.Context) (*Robust, error) {
	spread := d.spread()
	all, err := robust.Repeat(ctx, &d.spec, &spread, d.ev, d.judge, variations, variationSeed)
	if err != nil {
		return nil, fmt.Errorf("varying the knowledge: %w", err)
	}
	r := &Robust{Runs: len(all), Tips: []Tip{}}
	causes, repairs := map[int]int{}, map[int]int{}
	for _, o := range all {
		causes[o.Cause]++
		repairs[o.Repair]++
	}
	r.Cause = float64(causes[d.now.Cause]) / variations
	r.Repair = float64(repairs[d.now.Repair]) / variations
	r.Causes = shares(causes, func(i int) (string, string) { return d.pack.Causes[i].ID, d.pack.Causes[i].Name })
	r.Repairs = shares(repairs, d.repair)
	r.Robust = r.Cause >= robustFrom && r.Repair >= robustFrom
	r.Text = d.words(r)
	tips, err := robust.Tips(ctx, &d.spec, d.ev, d.judge, d.now, d.numbers())
	if err != nil {
		return nil, fmt.Errorf("turning the numbers of the knowledge: %w", err)
	}
	for _, t := range tips {
		if x := d.tip(t); len(r.Tips) < tipped && !slices.ContainsFunc(r.Tips, func(y Tip) bool { return y.Rule == x.Rule }) {
			r.Tips = append(r.Tips, x)
		}
	}
	return r, nil
}

func (d *Doubts) repair(i int) (id, name string) {
	if i < 0 {
		return "", "none"
	}
	id = d.scopes[i].ID
	for _, x := range d.pack.Repairs {
		if x.ID == id {
			return id, x.Name
		}
	}
	return id, id
}

func shares(count map[int]int, name func(int) (string, string)) []Share {
	var out []Share
	for i, n := range count {
		s := Share{P: float64(n) / variations}
		s.ID, s.Name = name(i)
		out = append(out, s)
	}
	slices.SortFunc(out, func(a, b Share) int { return cmp.Or(cmp.Compare(b.P, a.P), strings.Compare(a.ID, b.ID)) })
	return out[:min(len(out), rivals)]
}

// words puts the result in a sentence. A conclusion that does not hold is said to be not
// robust, with what else comes out.
func (d *Doubts) words(r *Robust) string {
	first, _ := d.nameOf(d.now)
	if r.Robust {
		return fmt.Sprintf("Holds in %.0f %% of %d variations of the knowledge's numbers (the repair in %.0f %%).", r.Cause*100, r.Runs, r.Repair*100)
	}
	text := fmt.Sprintf("Not robust: %s comes first in %.0f %% of %d variations of the knowledge's numbers, the same repair in %.0f %%.", first, r.Cause*100, r.Runs, r.Repair*100)
	if r.Cause < robustFrom {
		if other := without(r.Causes, d.pack.Causes[d.now.Cause].ID); other != nil {
			text += fmt.Sprintf(" Instead %s in %.0f %%.", explain.LowerFirst(other.Name), other.P*100)
		}
	}
	if id, _ := d.repair(d.now.Repair); r.Repair < robustFrom {
		if other := without(r.Repairs, id); other != nil {
			text += fmt.Sprintf(" The other repair is: %s, in %.0f %%.", explain.LowerFirst(other.Name), other.P*100)
		}
	}
	return text
}

func without(list []Share, id string) *Share {
	for i := range list {
		if list[i].ID != id {
			return &list[i]
		}
	}
	return nil
}

func (d *Doubts) nameOf(o robust.Outcome) (cause, repair string) {
	_, repair = d.repair(o.Repair)
	return explain.LowerFirst(d.pack.Causes[o.Cause].Name), explain.LowerFirst(repair)
}

// spread takes the confidence of every entry of the knowledge as the width of its
// numbers.
func (d *Doubts) spread() robust.Spread {
	spec, pack := &d.spec, d.pack
	sd := func(word string) float64 {
		if v, ok := pack.Words.Confidence[word]; ok {
			return v
		}
		return pack.Words.Confidence["medium"]
	}
	var s robust.Spread
	for i := range pack.Causes {
		s.Cause = append(s.Cause, sd(pack.Causes[i].Confidence))
	}
	for range spec.Mechanisms {
		s.Leak = append(s.Leak, sd("medium"))
		s.Link = append(s.Link, sd("medium"))
	}
	for f, x := range spec.Findings {
		fd := &d.heard[f]
		word := "medium"
		if fd.question != nil {
			word = fd.question.Sure
		}
		s.Background = append(s.Background, sd(word))
		var of []float64
		for _, row := range x.Rows {
			word := "medium"
			if l := fd.links[row.Parent]; len(l) > 0 {
				word = l[0].Confidence
			}
			of = append(of, sd(word))
		}
		s.Row = append(s.Row, of)
	}
	return s
}

// turned is how many of the first causes have their numbers turned one by one.
const turned = 6

// numbers are those worth turning: how often the first causes are met, and what they
// and the mechanisms say of the answers given.
func (d *Doubts) numbers() []robust.Number {
	var out []robust.Number
	first := d.ranked[:min(turned, len(d.ranked))]
	for _, c := range first {
		out = append(out, robust.Number{Finding: -1, Cause: c})
	}
	for f, fd := range d.heard {
		a, ok := d.said[f]
		if !ok || fd.question == nil {
			continue
		}
		for k, row := range d.spec.Findings[f].Rows {
			if fd.over == infer.OverMechanisms || slices.Contains(first, row.Parent) {
				out = append(out, robust.Number{Finding: f, Row: k, Answer: a})
			}
		}
	}
	return out
}

func (d *Doubts) tip(t robust.Tip) Tip {
	cause, repair := d.nameOf(t.Outcome)
	then := cause + " would come first"
	if t.Outcome.Cause == d.now.Cause {
		then = "the repair would be: " + repair
	}
	if t.Finding < 0 {
		c := &d.pack.Causes[t.Cause]
		half := "half"
		if t.Times > 1 {
			half = "twice"
		}
		return Tip{
			Rule: c.ID, Was: c.PerCalls, Is: c.PerCalls * t.Times,
			Text: fmt.Sprintf("%s, were it met %s as often: %s.", c.Name, half, then),
		}
	}
	fd := &d.heard[t.Finding]
	row := d.spec.Findings[t.Finding].Rows[t.Row]
	var id, name string
	if fd.over == infer.OverCauses {
		id, name = d.pack.Causes[row.Parent].ID, d.pack.Causes[row.Parent].Name
	} else {
		id, name = d.pack.Mechanisms[row.Parent].ID, d.pack.Mechanisms[row.Parent].Name
	}
	return Tip{
		Rule: id + " / " + fd.question.ID, Was: t.Was * 100, Is: t.Is * 100,
		Text: fmt.Sprintf("%s, of 100 such roofs %.0f give the answer heard on %q; were it %.0f, %s.", name, t.Was*100, explain.LowerFirst(fd.question.Short), t.Is*100, then),
	}
}

// WithDoubts returns the reading with what its Doubts found. The reading itself stays as
// it is.
func (r *Reading) WithDoubts(d *Doubted) *Reading {
	out := *r
	found := d.Robust
	out.Robust, out.Visits, out.Contributions = found, d.Visits, d.Contributions
	why := explain.Why{
		ID: "robust", Title: "How far it hangs on the knowledge's numbers", Result: fmt.Sprintf("%.0f %% of %d", found.Cause*100, found.Runs),
		Formula: "every number's log-odds (the logarithm of a share) moved by a normal of its confidence, all at once; counted how often the same cause comes first and the same repair is chosen",
		Source:  "the width for each word of confidence stands in words.toml; common practice, no source",
		Note:    "The draws are the same each time, so the same answers give the same figure.",
	}
	for _, s := range found.Causes {
		why.Inputs = append(why.Inputs, explain.Input{Name: "Comes first: " + explain.LowerFirst(s.Name), Value: explain.Percent(s.P), From: "variations"})
	}
	for _, s := range found.Repairs {
		why.Inputs = append(why.Inputs, explain.Input{Name: "Repair: " + explain.LowerFirst(s.Name), Value: explain.Percent(s.P), From: "variations"})
	}
	for _, t := range found.Tips {
		why.Inputs = append(why.Inputs, explain.Input{Name: "One number alone would tip it", Value: t.Text, From: "knowledge: " + t.Rule})
	}
	out.Whys = append(slices.Clone(r.Whys), why)
	for i := range out.Visits {
		out.Whys = append(out.Whys, out.Visits[i].explain(r.Scope.Symbol))
	}
	for i := range out.Contributions {
		c := &out.Contributions[i]
		out.Whys = append(out.Whys, c.explain(nameOf(r.Causes, c.Cause)))
	}
	return &out
}

// WithoutDoubts returns the reading with a word on why its Doubts found nothing.
func (r *Reading) WithoutDoubts(err error) *Reading {
	out := *r
	out.doubts = nil
	out.Recheck = append(slices.Clone(r.Recheck), Recheck{Questions: []string{}, Kind: "reading", Text: "Whether the reading hangs on the numbers of the knowledge could not be worked out: " + err.Error() + "."})
	return &out
}

func nameOf(list []Cause, id string) string {
	for _, c := range list {
		if c.ID == id {
			return c.Name
		}
	}
	return id
}
