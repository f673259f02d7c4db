package diagnose

import (
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/calc"
	"underlap/diagnose/facts"
	"underlap/diagnose/infer"
	"underlap/rules"
)

// model is the knowledge in numbers for one roof: priors after context, gates
// from physics, one finding for each question that is evidence.
type model struct {
	pack     *rules.Pack
	spec     infer.Model
	findings []finding
	at       map[string][]int // question -> its findings
	// stays is what is left of an answer that says where or when it shows: over a vapour
	// layer water walks.
	stays float64
}

// finding ties a finding of the kernel to the question it stands for.
type finding struct {
	question *rules.Question
	option   string               // for a several-question: the answer this finding is about
	links    map[int][]rules.Link // by cause or mechanism index
	over     infer.Parents
}

// floor keeps every answer possible under every cause: strange things happen.
const floor = 0.002

func newModel(pack *rules.Pack, f *facts.Set, b *buildup.Result, c *calc.Result) *model {
	m := &model{pack: pack, at: map[string][]int{}, stays: 1 - 0.5*(b.Type("warm")+b.Type("hybrid"))}
	m.causes(f)
	m.variants(b)
	m.mechanisms(c)
	m.makeFindings(f, c)
	for _, t := range pack.Together {
		m.spec.Pairs = append(m.spec.Pairs, infer.Pair{A: causeIndex(pack, t.Causes[0]), B: causeIndex(pack, t.Causes[1]), Factor: t.Times})
	}
	m.spec.Power = pack.Words.Temper()
	m.spec.SizePrior = append([]float64{0}, pack.Words.CauseCount...)
	return m
}

func causeIndex(pack *rules.Pack, id string) int {
	for i := range pack.Causes {
		if pack.Causes[i].ID == id {
			return i
		}
	}
	panic("diagnose: cause " + id + " passed the lint and is not there")
}

// mix moves a factor towards 1 by what the answer behind it may be worth.
func mix(factor, reliability float64) float64 {
	return reliability*factor + (1 - reliability)
}

// weakest is the reliability of the least sure answer behind some conditions.
func weakest(lines []string, f *facts.Set) float64 {
	rel := 1.0
	for _, s := range lines {
		if c, err := rules.ParseCondition(s); err == nil {
			if x, ok := f.Get(c.Question); ok && x.Reliability < rel {
				rel = x.Reliability
			}
		}
	}
	return rel
}

func (m *model) causes(f *facts.Set) {
	var active []rules.Context
	for _, x := range m.pack.Contexts {
		if rules.All(x.When, f) == rules.Yes {
			active = append(active, x)
		}
	}
	for i := range m.pack.Causes {
		c := &m.pack.Causes[i]
		w := c.PerCalls
		for _, x := range active {
			factor, ok := x.Times[c.ID]
			if !ok {
				factor, ok = x.Times["group:"+c.Group]
			}
			if ok {
				w *= mix(factor, weakest(x.When, f))
			}
		}
		for _, line := range c.Needs {
			if rules.All([]string{line}, f) == rules.No {
				w *= wrong(line, m.pack, f)
			}
		}
		m.spec.Causes = append(m.spec.Causes, infer.Cause{ID: c.ID, Weight: w})
	}
}

// variants are the ways the roof may be built: what can go wrong depends on the type,
// and what did go wrong tells of it.
func (m *model) variants(b *buildup.Result) {
	total := b.NotListed
	for _, t := range b.Types {
		total += t.P
	}
	add := func(id string, p float64) {
		v := infer.Variant{ID: id, P: p / total}
		for i := range m.pack.Causes {
			factor, ok := m.pack.Causes[i].ByType[id]
			if !ok {
				factor = 1
			}
			v.Times = append(v.Times, factor)
		}
		m.spec.Variants = append(m.spec.Variants, v)
	}
	for _, t := range b.Types {
		add(t.Type, t.P)
	}
	add(buildup.NotListed, b.NotListed)
}

// joined is the build-up with what the wet tells of it: some types go wrong in ways that
// others cannot. The sums and the gates keep to the readings and looks alone, so that
// nothing is counted in a circle.
func (m *model) joined(b *buildup.Result, post *infer.Posterior) *buildup.Result {
	p := map[string]float64{}
	for i, x := range post.Variants() {
		p[m.spec.Variants[i].ID] = x
	}
	return b.Reweighed(p)
}

// wrong is what is left of a cause that cannot be, by construction, if the answer that
// says so is right: how likely that answer would be heard all the same, against how
// likely when it is true. It is the noise of any answer, no more. Never nought.
func wrong(line string, pack *rules.Pack, f *facts.Set) float64 {
	c, err := rules.ParseCondition(line)
	if err != nil {
		panic(err) // the lint has read it
	}
	q, _ := pack.Question(c.Question)
	n := float64(max(len(q.Answers), 2))
	rho := weakest([]string{line}, f)
	noise := (1 - rho) / n
	return noise / (rho + noise)
}

func (m *model) mechanisms(c *calc.Result) {
	for _, x := range m.pack.Mechanisms {
		gate := 1.0
		if g, ok := c.Gates[x.Gate]; ok && x.Gate != "" {
			gate = g
		}
		im := infer.Mechanism{ID: x.ID, Leak: x.Leak, Gate: gate}
		for i := range m.pack.Causes {
			for _, a := range m.pack.Causes[i].Acts {
				if a.Mechanism == x.ID {
					im.Links = append(im.Links, infer.Link{Cause: i, Lambda: m.pack.Words.Strength[a.Strength]})
				}
			}
		}
		m.spec.Mechanisms = append(m.spec.Mechanisms, im)
	}
}

// linksTo gathers the links to each question, by parent index. A cause may have
// two links to one question (one answer likelier, another rarer); they are kept
// in order.
func linksTo(pack *rules.Pack) map[string]*looks {
	out := map[string]*looks{}
	add := func(parent int, over infer.Parents, links []rules.Link) {
		for _, l := range links {
			x := out[l.Question]
			if x == nil {
				x = &looks{over: over, by: map[int][]rules.Link{}}
				out[l.Question] = x
			}
			if x.over == over {
				x.by[parent] = append(x.by[parent], l)
			}
		}
	}
	for i := range pack.Mechanisms {
		add(i, infer.OverMechanisms, pack.Mechanisms[i].Links)
	}
	for i := range pack.Causes {
		add(i, infer.OverCauses, pack.LinksOf(&pack.Causes[i]))
	}
	return out
}

// looks are the links to one question.
type looks struct {
	over infer.Parents
	by   map[int][]rules.Link // by mechanism or cause
}

func (m *model) makeFindings(f *facts.Set, c *calc.Result) {
	all := linksTo(m.pack)
	for qi := range m.pack.Questions {
		q := &m.pack.Questions[qi]
		if !q.Evidence() {
			continue
		}
		over, links := infer.OverCauses, map[int][]rules.Link(nil)
		if x := all[q.ID]; x != nil {
			over, links = x.over, x.by
		}
		if q.Kind == rules.KindSeveral {
			for _, a := range q.Answers {
				m.addOption(q, a, over, links, m.reliability(q, f))
			}
			continue
		}
		m.addQuestion(q, over, links, c, m.reliability(q, f))
	}
	m.addWater()
}

// waterID is the finding that says that water comes at all. It is no question: it
// follows from any answer about the wet.
const waterID = "(water comes)"

// What is heard of water when no mechanism is at work, and when one is: a judgement.
const (
	waterFromNothing = 0.03
	waterFromOne     = 0.97
)

// addWater ties the mechanisms to the plain fact that something is wet. Without it a
// cause whose mechanism cannot act would lose nothing: the sums would shut a door that
// nobody has to go through.
func (m *model) addWater() {
	fi := infer.Finding{
		ID: waterID, Answers: []string{"no", "yes"}, Cost: 1, Reliability: 1, Over: infer.OverMechanisms, Form: infer.Max,
		Background: []float64{1 - waterFromNothing, waterFromNothing},
	}
	for j := range m.pack.Mechanisms {
		fi.Rows = append(fi.Rows, infer.Row{Parent: j, P: []float64{1 - waterFromOne, waterFromOne}})
	}
	m.findings = append(m.findings, finding{over: fi.Over})
	m.spec.Findings = append(m.spec.Findings, fi)
}

// wet tells whether the answers say that water comes, and how far that is to be relied
// on. That nothing is wet, "litres" says for itself.
func wet(f *facts.Set) (comes bool, reliability float64) {
	take := func(q string, says bool) {
		if x, ok := f.Get(q); ok && says {
			comes, reliability = true, math.Max(reliability, x.Reliability)
		}
	}
	take("seen", f.Is("seen", "drip"))
	take("weather-pattern", f.Choice("weather-pattern") != "")
	take("litres", f.Choice("litres") != "" && !f.Is("litres", "nothing"))
	take("dry-spell", f.Is("dry-spell", "yes"))
	take("frosty-morning", f.Is("frosty-morning", "wet"))
	take("use-link", f.Is("use-link", "yes"))
	take("ceiling-feel", f.Is("ceiling-feel", "wet") || f.Is("ceiling-feel", "damp"))
	return comes, reliability
}

// reliability with which an answer to q is, or is going to be, entered.
func (m *model) reliability(q *rules.Question, f *facts.Set) float64 {
	rel := facts.Reliability(m.pack, q, "")
	if x, ok := f.Get(q.ID); ok {
		rel = x.Reliability
	}
	if q.Travel {
		rel *= m.stays
	}
	return rel
}

func (m *model) add(q *rules.Question, option string, fi infer.Finding, kept map[int][]rules.Link) {
	m.at[q.ID] = append(m.at[q.ID], len(m.spec.Findings))
	m.findings = append(m.findings, finding{question: q, option: option, links: kept, over: fi.Over})
	m.spec.Findings = append(m.spec.Findings, fi)
}

// addOption makes a yes/no finding for one answer of a several-question.
func (m *model) addOption(q *rules.Question, a rules.Answer, over infer.Parents, links map[int][]rules.Link, rel float64) {
	fi := infer.Finding{
		ID: q.ID + "/" + a.ID, Answers: []string{"no", "yes"}, Cost: q.Cost / float64(len(q.Answers)), Reliability: rel,
		Over: over, Form: infer.Mixture, Background: []float64{1 - a.Background/100, a.Background / 100},
	}
	kept := map[int][]rules.Link{}
	for i := 0; i < max(len(m.pack.Causes), len(m.pack.Mechanisms)); i++ {
		for _, l := range links[i] {
			if len(l.Answer) == 1 && l.Answer[0] == a.ID {
				p := m.pack.Words.Strength[l.Strength]
				fi.Rows = append(fi.Rows, infer.Row{Parent: i, P: []float64{1 - p, p}})
				kept[i] = []rules.Link{l}
			}
		}
	}
	m.add(q, a.ID, fi, kept)
}

func (m *model) addQuestion(q *rules.Question, over infer.Parents, links map[int][]rules.Link, c *calc.Result, rel float64) {
	fi := infer.Finding{ID: q.ID, Cost: q.Cost, Reliability: rel, Over: over, Form: infer.Mixture}
	if q.Form == "max" {
		fi.Form = infer.Max
	}
	for _, a := range q.Answers {
		fi.Answers = append(fi.Answers, a.ID)
		fi.Background = append(fi.Background, a.Background/100)
	}
	kept := map[int][]rules.Link{}
	n := len(m.pack.Causes)
	if over == infer.OverMechanisms {
		n = len(m.pack.Mechanisms)
	}
	for i := range n {
		var row []float64
		switch l := links[i]; {
		case len(l) > 0:
			row = m.row(q, l)
			kept[i] = l
		case q.Range != "" && over == infer.OverCauses && m.pack.Causes[i].ID != rules.OtherCause:
			row = rangeRow(q, rangeOf(q.Range, &m.pack.Causes[i], c))
		default:
			continue
		}
		fi.Rows = append(fi.Rows, infer.Row{Parent: i, P: softened(row)})
	}
	m.add(q, "", fi, kept)
}

// row turns links into a row over the answers: the share stated for the answers
// named, spread among them and among the rest as in the background.
func (m *model) row(q *rules.Question, links []rules.Link) []float64 {
	out := make([]float64, len(q.Answers))
	if of := links[0].Of100; len(of) > 0 {
		for i, a := range q.Answers {
			out[i] = of[a.ID] / 100
		}
		return out
	}
	named := make([]bool, len(q.Answers))
	total := 0.0
	for _, l := range links {
		sum := 0.0
		for i, a := range q.Answers {
			if has(l.Answer, a.ID) {
				named[i] = true
				sum += a.Background
			}
		}
		p := math.Min(m.pack.Words.Strength[l.Strength], 0.98-total)
		total += p
		for i, a := range q.Answers {
			if has(l.Answer, a.ID) {
				out[i] = p * a.Background / sum
			}
		}
	}
	rest := 0.0
	for i, a := range q.Answers {
		if !named[i] {
			rest += a.Background
		}
	}
	for i, a := range q.Answers {
		if !named[i] {
			out[i] = (1 - total) * a.Background / rest
		}
	}
	normalise(out)
	return out
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func normalise(v []float64) {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	for i := range v {
		v[i] /= sum
	}
}

func softened(row []float64) []float64 {
	for i := range row {
		row[i] = math.Max(row[i], floor)
	}
	normalise(row)
	return row
}

// rangeOf is the 5 and 95 % range of a cause's lag in hours or volume in litres;
// physics gives the volume where the water is breath of the room.
func rangeOf(what string, c *rules.Cause, sums *calc.Result) []float64 {
	if what == "lag" {
		return c.LagHours
	}
	switch c.LitresFrom {
	case "vapour":
		return sums.VapourL[:]
	case "frost":
		return sums.FrostL[:]
	}
	return c.Litres
}

// rangeRow spreads a log-normal range over the answers of an amount question. A
// cause without a range gives the answer that has none ("no link with rain",
// "nothing wet").
func rangeRow(q *rules.Question, r []float64) []float64 {
	out := make([]float64, len(q.Answers))
	const (
		plain = 0.04 // share of the background in any row: callers guess
		none  = 0.85 // of causes without a range, those reported as having none
	)
	rest := 0.0
	for _, a := range q.Answers {
		if a.From != nil {
			rest += a.Background
		}
	}
	if len(r) != 2 {
		for i, a := range q.Answers {
			if a.From == nil {
				out[i] = none
			} else {
				out[i] = (1 - none) * a.Background / rest
			}
		}
		return out
	}
	mu := (math.Log(r[0]) + math.Log(r[1])) / 2
	sigma := math.Max(0.3, (math.Log(r[1])-math.Log(r[0]))/(2*1.645))
	for i, a := range q.Answers {
		p := 0.0
		if a.From != nil {
			p = normalCDF((math.Log(*a.To)-mu)/sigma) - normalCDF((math.Log(*a.From)-mu)/sigma)
		}
		out[i] = (1-plain)*p + plain*a.Background/100
	}
	normalise(out)
	return out
}

func normalCDF(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// evidence enters the facts as likelihoods. said is the index of the answer given
// for findings that were answered with one of their answers.
func (m *model) evidence(f *facts.Set) (ev infer.Evidence, said map[int]int) {
	ev.Likelihood, said = map[int][]float64{}, map[int]int{}
	for i, fd := range m.findings {
		if fd.question == nil {
			if comes, rel := wet(f); comes {
				ev.Likelihood[i] = infer.Reliable(2, 1, rel)
			}
			continue
		}
		x, ok := f.Get(fd.question.ID)
		if !ok {
			continue
		}
		spec := &m.spec.Findings[i]
		rel := spec.Reliability
		if fd.option != "" {
			if x.Implied {
				continue // what follows from another answer is not a second sign
			}
			a := 0
			if has(x.Choices, fd.option) {
				a = 1
			} else if !has(x.Answer.Choices, rules.NoneChosen) {
				rel *= 0.8 // what was not mentioned is less sure than what was denied
			}
			ev.Likelihood[i], said[i] = infer.Reliable(2, a, rel), a
			continue
		}
		if len(x.Choices) == 0 {
			continue
		}
		a := indexOf(spec.Answers, x.Choices[0])
		if a < 0 {
			continue
		}
		if x.HasValue && x.Tolerance > 0 {
			ev.Likelihood[i] = about(fd.question, x.Value, x.Tolerance, rel)
		} else {
			ev.Likelihood[i] = infer.Reliable(len(spec.Answers), a, rel)
		}
		said[i] = a
	}
	return ev, said
}

func indexOf(list []string, s string) int {
	for i, x := range list {
		if x == s {
			return i
		}
	}
	return -1
}

// about spreads a number with a tolerance over the bins of an amount question:
// the integral of a normal over each bin, divided by the bin's width on a log
// scale, because wide bins would otherwise win.
func about(q *rules.Question, v, tolerance, rel float64) []float64 {
	out := make([]float64, len(q.Answers))
	sd := math.Max(tolerance/2, 0.02*v)
	for i, a := range q.Answers {
		if a.From == nil {
			continue
		}
		p := normalCDF((*a.To-v)/sd) - normalCDF((*a.From-v)/sd)
		out[i] = p / math.Log(*a.To/math.Max(*a.From, *a.To/100))
	}
	sum := 0.0
	for _, p := range out {
		sum += p
	}
	for i := range out {
		if sum > 0 {
			out[i] /= sum
		}
		out[i] = rel*out[i] + (1-rel)/float64(len(out))
	}
	return out
}
