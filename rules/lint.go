package rules

import (
	"bytes"
	"fmt"
	"math"
	"sort"
	"strings"
)

// BuildTypes are the six ways of stacking that knowledge may name.
var BuildTypes = []string{"cold", "warm", "hybrid", "on-joists", "uninsulated", "inverted"}

// locator finds the line an entry stands on, for error messages.
type locator struct {
	names []string
	texts [][]byte
}

func newLocator(names []string, texts [][]byte) locator { return locator{names, texts} }

// at returns "file:line" of the entry of that kind and id, or the kind and id
// alone when it cannot be found (an entry without an id).
func (l locator) at(kind, id string) string {
	want := []byte(`id = "` + id + `"`)
	for i, text := range l.texts {
		head := []byte("[[" + kind + "]]")
		for at := 0; ; {
			j := bytes.Index(text[at:], want)
			if j < 0 {
				break
			}
			line := bytes.Count(text[:at+j], []byte("\n")) + 1
			// The id belongs to this kind if the last table header above it is this kind's.
			if k := bytes.LastIndex(text[:at+j], []byte("\n[[")); k >= 0 && bytes.HasPrefix(text[k+1:], head) ||
				bytes.HasPrefix(text, head) && bytes.LastIndex(text[:at+j], []byte("\n[[")) < 0 {
				return fmt.Sprintf("%s:%d", l.names[i], line)
			}
			at += j + len(want)
		}
	}
	return kind + " " + id
}

// linter gathers complaints.
type linter struct {
	p    *Pack
	loc  locator
	errs []error
}

func (l *linter) say(kind, id, format string, a ...any) {
	l.errs = append(l.errs, fmt.Errorf("%s: %s %q: %s", l.loc.at(kind, id), kind, id, fmt.Sprintf(format, a...)))
}

// Lint checks a pack and returns one error for each fault: unknown names,
// rows that do not sum to 100, noughts and certainties, missing sources, orphans,
// gate inputs also used as signs of the same mechanism, causes with nothing for
// or nothing against them, and conditions that cannot be read.
func Lint(p *Pack, loc locator) []error {
	l := &linter{p: p, loc: loc}
	l.words()
	l.questions()
	l.mechanisms()
	l.causes()
	l.contexts()
	l.repairs()
	l.buildUp()
	return l.errs
}

func (l *linter) words() {
	w := l.p.Words
	if len(w.Strength) == 0 {
		l.say("words", "strength", "the table of strength words is missing")
	}
	for word, v := range w.Strength {
		if !(v > 0 && v < 1) {
			l.say("words", word, "strength %v must lie between 0 and 1, and be neither", v)
		}
	}
	for _, k := range w.Known {
		if !(k.Reliability > 0 && k.Reliability < 1) {
			l.say("words", k.ID, "reliability %v must lie between 0 and 1, and be neither", k.Reliability)
		}
	}
	sum := 0.0
	for _, v := range w.CauseCount {
		sum += v
	}
	if len(w.CauseCount) == 0 || len(w.CauseCount) > 3 || math.Abs(sum-1) > 1e-9 {
		l.say("words", "cause_count", "must be one to three shares that sum to 1")
	}
}

func (l *linter) source(kind, id, source string) {
	if strings.TrimSpace(source) == "" {
		l.say(kind, id, "source is missing; name the document, or write \"common practice, no source\"")
	}
}

func (l *linter) confidence(kind, id, c string) {
	if _, ok := l.p.Words.Confidence[c]; !ok {
		l.say(kind, id, "confidence %q is not high, medium or low", c)
	}
}

func (l *linter) conditions(kind, id string, lines []string) {
	for _, s := range lines {
		c, err := ParseCondition(s)
		if err != nil {
			l.say(kind, id, "%v", err)
			continue
		}
		q, ok := l.p.Question(c.Question)
		if !ok {
			l.say(kind, id, "condition %q names question %q, which does not exist", s, c.Question)
			continue
		}
		for _, a := range c.Answers {
			if _, ok := q.Answer(a); !ok {
				l.say(kind, id, "condition %q names answer %q, which question %q does not have", s, a, q.ID)
			}
		}
	}
}

func (l *linter) questions() {
	seen := map[string]bool{}
	linked := l.linkedQuestions()
	for _, q := range l.p.Questions {
		if q.ID == "" || q.Short == "" || q.Say == "" || q.Why == "" || q.Branch == "" {
			l.say("question", q.ID, "id, branch, short, say and why must all be filled in")
		}
		if seen[q.ID] {
			l.say("question", q.ID, "the id is used twice")
		}
		seen[q.ID] = true
		l.source("question", q.ID, q.Source)
		l.confidence("question", q.ID, q.Sure)
		l.conditions("question", q.ID, q.When)
		l.conditions("question", q.ID, q.Unless)
		for _, s := range q.When {
			if c, err := ParseCondition(s); err == nil && c.Question == q.ID {
				l.say("question", q.ID, "it waits for its own answer, so it can never be asked")
			}
		}
		if q.Told < 0 || q.Told >= 1 {
			l.say("question", q.ID, "told_reliability must lie between 0 and 1, and be neither")
		}
		if q.Cost <= 0 {
			l.say("question", q.ID, "cost must be over 0")
		}
		switch q.Kind {
		case KindChoice, KindSeveral, KindAmount:
			if len(q.Answers) < 2 || len(q.Answers) > 9 {
				l.say("question", q.ID, "needs two to nine answers, so that one key gives each; it has %d", len(q.Answers))
			}
		case KindLength, KindNumber:
			if q.Low == nil || q.High == nil || *q.Low >= *q.High || q.Unit == "" {
				l.say("question", q.ID, "needs low, high (SI) and a unit")
			}
		case KindPlace, KindText:
		default:
			l.say("question", q.ID, "kind %q is not known", q.Kind)
		}
		answers := map[string]bool{}
		sum, with := 0.0, 0
		for _, a := range q.Answers {
			if answers[a.ID] || a.ID == "" || a.Says == "" {
				l.say("question", q.ID, "answer %q is empty or doubled", a.ID)
			}
			if a.ID == "unknown" || a.ID == "ask" || a.ID == "skipped" || a.ID == NoneChosen && q.Kind == KindSeveral {
				l.say("question", q.ID, "answer %q is a word the program keeps for itself", a.ID)
			}
			answers[a.ID] = true
			sum += a.Background
			if a.Background > 0 {
				with++
			}
			if a.Background < 0 || a.Background >= 100 {
				l.say("question", q.ID, "background of %q must lie between 0 and 100, and be neither", a.ID)
			}
			if (a.From == nil) != (a.To == nil) || a.From != nil && *a.From >= *a.To {
				l.say("question", q.ID, "answer %q needs from below to, or neither", a.ID)
			}
		}
		if with > 0 {
			if with != len(q.Answers) {
				l.say("question", q.ID, "every answer needs a background when one has it; nothing is impossible")
			}
			if q.Kind != KindSeveral && math.Abs(sum-100) > 1e-6 {
				l.say("question", q.ID, "backgrounds sum to %v, not 100", sum)
			}
			if !linked[q.ID] && q.Range == "" {
				l.say("question", q.ID, "orphan: it has backgrounds, but no cause or mechanism looks at it")
			}
		} else if len(q.Feeds) == 0 && !l.usedInConditions(q.ID) {
			l.say("question", q.ID, "orphan: nothing uses it")
		}
		switch q.Form {
		case "", "mixture", "max":
		default:
			l.say("question", q.ID, "form %q is not mixture or max", q.Form)
		}
		if q.Range != "" && q.Range != "lag" && q.Range != "litres" {
			l.say("question", q.ID, "range_of %q is not lag or litres", q.Range)
		}
	}
}

func (l *linter) linkedQuestions() map[string]bool {
	out := map[string]bool{}
	for _, c := range l.p.Causes {
		for _, k := range c.Links {
			out[k.Question] = true
		}
	}
	for _, m := range l.p.Mechanisms {
		for _, k := range m.Links {
			out[k.Question] = true
		}
	}
	return out
}

func (l *linter) usedInConditions(id string) bool {
	uses := func(lines []string) bool {
		for _, s := range lines {
			if c, err := ParseCondition(s); err == nil && c.Question == id {
				return true
			}
		}
		return false
	}
	for _, q := range l.p.Questions {
		if uses(q.When) || uses(q.Unless) {
			return true
		}
	}
	for _, c := range l.p.Causes {
		if uses(c.Needs) {
			return true
		}
	}
	for _, c := range l.p.Contexts {
		if uses(c.When) {
			return true
		}
	}
	for _, c := range l.p.Cautions {
		if uses(c.When) {
			return true
		}
	}
	return false
}

func (l *linter) link(kind, id string, k Link) {
	q, ok := l.p.Question(k.Question)
	if !ok {
		l.say(kind, id, "link to question %q, which does not exist", k.Question)
		return
	}
	if !q.Evidence() {
		l.say(kind, id, "link to question %q, whose answers have no background", q.ID)
	}
	l.source(kind, id+" link "+k.Question, k.Source)
	if _, ok := l.p.Words.Confidence[k.Confidence]; !ok {
		l.say(kind, id, "link to %q: confidence %q is not high, medium or low", k.Question, k.Confidence)
	}
	if k.Says == "" {
		l.say(kind, id, "link to %q: says is missing", k.Question)
	}
	if len(k.Of100) > 0 {
		sum := 0.0
		for a, v := range k.Of100 {
			if _, ok := q.Answer(a); !ok {
				l.say(kind, id, "link to %q: answer %q does not exist", q.ID, a)
			}
			if v <= 0 || v >= 100 {
				l.say(kind, id, "link to %q: %q is %v of 100; nothing is impossible or certain", q.ID, a, v)
			}
			sum += v
		}
		if len(k.Of100) != len(q.Answers) || math.Abs(sum-100) > 1e-6 {
			l.say(kind, id, "link to %q: of_100 must name all %d answers and sum to 100; it sums to %v", q.ID, len(q.Answers), sum)
		}
		return
	}
	if _, ok := l.p.Words.Strength[k.Strength]; !ok {
		l.say(kind, id, "link to %q: strength %q is not in words.toml", q.ID, k.Strength)
	}
	if len(k.Answer) == 0 || len(k.Answer) >= len(q.Answers) && q.Kind != KindSeveral {
		l.say(kind, id, "link to %q: answer must name some of the answers, not all", q.ID)
	}
	if q.Kind == KindSeveral && len(k.Answer) != 1 {
		l.say(kind, id, "link to %q: name one answer; each is a sign of its own", q.ID)
	}
	for _, a := range k.Answer {
		if _, ok := q.Answer(a); !ok {
			l.say(kind, id, "link to %q: answer %q does not exist", q.ID, a)
		}
	}
}

func (l *linter) mechanisms() {
	if n := len(l.p.Mechanisms); n < 1 || n > 8 {
		l.say("mechanism", "", "there must be one to eight mechanisms; there are %d", n)
	}
	for _, m := range l.p.Mechanisms {
		if m.Name == "" || m.Says == "" {
			l.say("mechanism", m.ID, "name and says must be filled in")
		}
		if !(m.Leak > 0 && m.Leak < 1) {
			l.say("mechanism", m.ID, "leak must lie between 0 and 1, and be neither")
		}
		for _, k := range m.Links {
			l.link("mechanism", m.ID, k)
			if q, ok := l.p.Question(k.Question); ok && m.Gate != "" && q.FeedsInto("gate:"+m.Gate) {
				l.say("mechanism", m.ID, "question %q feeds its gate and is also its sign: the answer would count twice", q.ID)
			}
		}
		used := false
		for _, c := range l.p.Causes {
			for _, a := range c.Acts {
				used = used || a.Mechanism == m.ID
			}
		}
		if !used {
			l.say("mechanism", m.ID, "orphan: no cause acts through it")
		}
	}
}

func (l *linter) causes() {
	mech := map[string]bool{}
	gates := map[string]string{}
	overMech := map[string]bool{}
	for _, m := range l.p.Mechanisms {
		mech[m.ID] = true
		gates[m.ID] = m.Gate
		for _, k := range m.Links {
			overMech[k.Question] = true
		}
	}
	seen := map[string]bool{}
	for _, c := range l.p.Causes {
		if seen[c.ID] {
			l.say("cause", c.ID, "the id is used twice")
		}
		seen[c.ID] = true
		for key, v := range map[string]string{"id": c.ID, "name": c.Name, "short": c.Short, "group": c.Group, "where": c.Where, "how": c.How, "tell": c.Tell, "ruled_out_by": c.RuledOutBy, "test": c.Test, "first_aid": c.FirstAid, "repair": c.Repair} {
			if v == "" {
				l.say("cause", c.ID, "%s must be filled in", key)
			}
		}
		if len([]rune(c.Short)) > 26 {
			l.say("cause", c.ID, "short is %d characters; 26 is the most that fits", len([]rune(c.Short)))
		}
		l.source("cause", c.ID, c.Source)
		l.confidence("cause", c.ID, c.Confidence)
		l.conditions("cause", c.ID, c.Needs)
		if c.PerCalls <= 0 || c.Damage <= 0 {
			l.say("cause", c.ID, "calls_per_100 and damage must be over 0")
		}
		for what, r := range map[string][]float64{"lag_hours": c.LagHours, "litres": c.Litres} {
			if len(r) != 0 && (len(r) != 2 || r[0] <= 0 || r[0] >= r[1]) {
				l.say("cause", c.ID, "%s must be two numbers over 0, the smaller first", what)
			}
		}
		for t, v := range c.ByType {
			if !contains(BuildTypes, t) || v <= 0 {
				l.say("cause", c.ID, "by_type %q = %v: the type is one of %s and the factor over 0", t, v, strings.Join(BuildTypes, ", "))
			}
		}
		if len(c.Acts) == 0 {
			l.say("cause", c.ID, "it acts through no mechanism")
		}
		for _, a := range c.Acts {
			if !mech[a.Mechanism] {
				l.say("cause", c.ID, "acts through %q, which does not exist", a.Mechanism)
			}
			if _, ok := l.p.Words.Strength[a.Strength]; !ok {
				l.say("cause", c.ID, "acts: strength %q is not in words.toml", a.Strength)
			}
		}
		doubled := map[string]bool{}
		for _, k := range c.Links {
			l.link("cause", c.ID, k)
			at := k.Question
			if q, ok := l.p.Question(k.Question); ok && q.Kind == KindSeveral && len(k.Answer) == 1 {
				at += "/" + k.Answer[0]
			}
			if overMech[k.Question] {
				l.say("cause", c.ID, "question %q is weighed by mechanisms; a cause may not look at it too", k.Question)
			}
			if k.Question != "where-inside" && doubled[at] {
				l.say("cause", c.ID, "two links to %q", at)
			}
			doubled[at] = true
		}
		l.support(c)
	}
	if _, ok := l.p.Cause("something-else"); !ok {
		l.say("cause", "something-else", "the cause for what is not listed is missing")
	}
}

// support asks that each cause has signs for it and at least one that can speak
// against it, its mechanisms included.
func (l *linter) support(c Cause) {
	if c.ID == "something-else" {
		return
	}
	pro, con := 0, 0
	for _, a := range c.Acts {
		for _, m := range l.p.Mechanisms {
			if m.ID == a.Mechanism {
				pro += len(m.Links)
				con += len(m.Links)
			}
		}
	}
	pro += len(c.Links)
	if len(c.LagHours) > 0 || len(c.Litres) > 0 {
		con++
	}
	if pro < 2 || con < 1 {
		l.say("cause", c.ID, "has %d signs for it and %d against; two and one are the least", pro, con)
	}
}

func (l *linter) causeOrGroup(kind, id, name string) {
	if g, ok := strings.CutPrefix(name, "group:"); ok {
		for _, c := range l.p.Causes {
			if c.Group == g {
				return
			}
		}
		l.say(kind, id, "group %q has no causes", g)
		return
	}
	if _, ok := l.p.Cause(name); !ok {
		l.say(kind, id, "cause %q does not exist", name)
	}
}

func (l *linter) contexts() {
	for i, c := range l.p.Contexts {
		id := fmt.Sprintf("number %d (%s)", i+1, c.Says)
		l.conditions("context", id, c.When)
		l.source("context", id, c.Source)
		l.confidence("context", id, c.Confidence)
		if len(c.When) == 0 || len(c.Times) == 0 {
			l.say("context", id, "when and times must be filled in")
		}
		for name, v := range c.Times {
			l.causeOrGroup("context", id, name)
			if v <= 0 {
				l.say("context", id, "factor %v for %q must be over 0; nothing is impossible", v, name)
			}
		}
		// Context and evidence on the same question would weigh one answer twice.
		for _, s := range c.When {
			cond, err := ParseCondition(s)
			if err != nil {
				continue
			}
			for name := range c.Times {
				l.twice(id, cond.Question, name)
			}
		}
	}
	for _, c := range l.p.Cautions {
		l.conditions("caution", c.ID, c.When)
		l.source("caution", c.ID, c.Source)
		if c.Says == "" || !c.Always && len(c.When) == 0 {
			l.say("caution", c.ID, "says and when must be filled in")
		}
	}
	for _, g := range l.p.Together {
		id := strings.Join(g.Causes, " and ")
		l.source("together", id, g.Source)
		l.confidence("together", id, g.Confidence)
		if len(g.Causes) != 2 || g.Causes[0] == g.Causes[1] || g.Times <= 0 {
			l.say("together", id, "needs two different causes and a factor over 0")
			continue
		}
		for _, c := range g.Causes {
			if _, ok := l.p.Cause(c); !ok {
				l.say("together", id, "cause %q does not exist", c)
			}
		}
	}
	for _, m := range l.p.Implied {
		l.conditions("implied", m.Question, m.When)
		if q, ok := l.p.Question(m.Question); !ok || q.Kind != KindSeveral {
			l.say("implied", m.Question, "must name a question that takes several answers")
		} else if _, ok := q.Answer(m.Answer); !ok {
			l.say("implied", m.Question, "answer %q does not exist", m.Answer)
		}
	}
	for _, c := range l.p.Checks {
		l.conditions("check", c.ID, c.When)
		for _, q := range c.Questions {
			if _, ok := l.p.Question(q); !ok {
				l.say("check", c.ID, "question %q does not exist", q)
			}
		}
	}
}

func (l *linter) twice(id, question, name string) {
	for _, c := range l.p.Causes {
		if c.ID != name && "group:"+c.Group != name {
			continue
		}
		for _, k := range c.Links {
			if k.Question == question {
				l.say("context", id, "cause %q is raised here by %q and also linked to it: the answer would count twice", c.ID, question)
			}
		}
	}
}

func (l *linter) repairs() {
	rungs := map[int]bool{}
	for _, r := range l.p.Repairs {
		rungs[r.Rung] = true
		if r.Name == "" || r.What == "" || r.Life == "" || r.Leaves == "" {
			l.say("repair", r.ID, "name, what, life and leaves must be filled in")
		}
		l.source("repair", r.ID, r.Source)
		l.conditions("repair", r.ID, r.Needs)
		for _, f := range r.Forbids {
			l.conditions("repair", r.ID, f.When)
		}
		for name, v := range r.Fix {
			l.causeOrGroup("repair", r.ID, name)
			if v <= 0 || v >= 1 {
				l.say("repair", r.ID, "fix %q = %v must lie between 0 and 1, and be neither", name, v)
			}
		}
		for _, it := range r.Items {
			if _, ok := l.p.Prices.Price(it.Price); !ok {
				l.say("repair", r.ID, "price %q is not in the price book", it.Price)
			}
			switch it.Per {
			case "job", "roof_m2", "edge_m", "wall_m", "parapet_m", "tiled_m":
			default:
				l.say("repair", r.ID, "price %q: per %q is not job, roof_m2, edge_m, wall_m, parapet_m or tiled_m", it.Price, it.Per)
			}
		}
	}
	if len(rungs) < 6 {
		l.say("repair", "", "the ladder has %d rungs; six are the least", len(rungs))
	}
	for _, e := range l.p.Prices.Entries {
		if e.Low <= 0 || e.Low > e.High {
			l.say("prices", e.ID, "low must be over 0 and not over high")
		}
		l.source("prices", e.ID, e.Source)
	}
}

func (l *linter) buildUp() {
	b := l.p.BuildUp
	for _, t := range b.Types {
		if !contains(BuildTypes, t.ID) {
			l.say("buildup.type", t.ID, "is not one of %s", strings.Join(BuildTypes, ", "))
		}
		if len(t.Thickness) == 0 || len(t.Under) == 0 || len(t.Order) == 0 {
			l.say("buildup.type", t.ID, "order, insulation and under must be filled in")
		}
		l.source("buildup.type", t.ID, t.Source)
	}
	for _, e := range b.Eras {
		l.source("buildup.era", e.ID, e.Source)
		for _, t := range BuildTypes {
			if e.Types[t] <= 0 {
				l.say("buildup.era", e.ID, "type %q needs a share over 0", t)
			}
		}
	}
	for _, h := range b.Hints {
		l.conditions("buildup.hint", h.Says, h.When)
		l.source("buildup.hint", h.Says, h.Source)
		for _, t := range BuildTypes {
			if h.Times[t] <= 0 {
				l.say("buildup.hint", h.Says, "type %q needs a factor over 0", t)
			}
		}
	}
	for name, list := range map[string][]Option{"joist": b.Joists, "deck": b.Decks, "ceiling": b.Ceilings, "covering": b.Coverings, "firring": b.Firrings} {
		if len(list) == 0 {
			l.say("buildup", name, "the list is empty")
		}
		for _, o := range list {
			if o.Weight <= 0 || o.MM < 0 {
				l.say("buildup."+name, o.ID, "weight must be over 0 and mm not below")
			}
		}
	}
	sort.SliceStable(l.errs, func(i, j int) bool { return l.errs[i].Error() < l.errs[j].Error() })
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}
