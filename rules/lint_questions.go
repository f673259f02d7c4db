package rules

import (
	"slices"
	"strings"
)

// feedWords say what else a question may be used for, besides gate:NAME.
var feedWords = []string{"buildup", "physics", "scope", "letter", "safety", "opening", "entry"}

func (l *linter) questions() {
	seen := map[string]bool{}
	linked := l.linkedQuestions()
	for i := range l.p.Questions {
		q := &l.p.Questions[i]
		at := entry("question", q.ID, i, len(l.p.Questions))
		l.once(at, q.ID, seen)
		l.filled(at, "branch", q.Branch, "short", q.Short, "say", q.Say, "why", q.Why)
		l.source(at, q.Source)
		l.confidence(at, q.Sure)
		l.waits(at, q)
		l.askable(at, q)
		l.answers(at, q)
		l.backgrounds(at, q, linked[q.ID])
		l.feeds(at, q)
	}
}

// waits checks the conditions on asking it at all.
func (l *linter) waits(at place, q *Question) {
	l.conditions(at, "when", q.When)
	l.conditions(at, "unless", q.Unless)
	if uses(q.When, q.ID) {
		l.say(at, "when", "when: it waits for its own answer, so it can never be asked")
	}
	if uses(q.Unless, q.ID) {
		l.say(at, "unless", "unless: it hangs on its own answer, so its answer would take it away; name another question")
	}
}

// askable checks kind, limits and costs.
func (l *linter) askable(at place, q *Question) {
	if q.Told != 0 && !inside(q.Told, 0, 1) {
		l.say(at, "told_reliability", "told_reliability must lie between 0 and 1, and be neither")
	}
	if !positive(q.Cost) {
		l.say(at, "cost", "cost must be a number over 0")
	}
	switch q.Kind {
	case KindChoice, KindSeveral, KindAmount:
		if len(q.Answers) < 2 || len(q.Answers) > 9 {
			l.say(at, "answer", "needs two to nine answers, so that one key gives each; it has %d", len(q.Answers))
		}
		if (q.Low != nil || q.High != nil) && !ordered(q.Low, q.High) {
			l.say(at, "low", "low and high go together, low below high")
		}
	case KindLength, KindNumber:
		if !ordered(q.Low, q.High) || q.Unit == "" {
			l.say(at, "low", "needs low below high (SI) and a unit")
		}
	case KindPlace, KindText, KindSpots:
	default:
		l.say(at, "kind", "kind %q is not known", q.Kind)
	}
	if !slices.Contains([]string{"", "mixture", "max"}, q.Form) {
		l.say(at, "form", "form %q is not mixture or max", q.Form)
	}
	if !slices.Contains([]string{"", "lag", "litres"}, q.Range) {
		l.say(at, "range_of", "range_of %q is not lag or litres", q.Range)
	}
}

// ordered tells whether both ends are there, finite and in order.
func ordered(low, high *float64) bool {
	return low != nil && high != nil && finite(*low) && finite(*high) && *low < *high
}

func (l *linter) answers(at place, q *Question) {
	seen := map[string]bool{}
	for _, a := range q.Answers {
		row := at.rowAt("answer", "id", a.ID)
		if seen[a.ID] || a.ID == "" || a.Says == "" {
			l.say(row, "", "answer %q is empty or doubled", a.ID)
		}
		seen[a.ID] = true
		if slices.Contains([]string{"unknown", "ask", "skipped"}, a.ID) || a.ID == NoneChosen && q.Kind == KindSeveral {
			l.say(row, "", "answer %q is a word the program keeps for itself", a.ID)
		}
		if !(a.Background >= 0 && a.Background < 100) {
			l.say(row, "background", "background of %q must lie between 0 and 100, and be neither", a.ID)
		}
		if (a.From != nil || a.To != nil) && !ordered(a.From, a.To) {
			l.say(row, "from", "answer %q needs from below to, or neither", a.ID)
		}
	}
}

func (l *linter) backgrounds(at place, q *Question, linked bool) {
	sum, with := 0.0, 0
	for _, a := range q.Answers {
		sum += a.Background
		if a.Background > 0 {
			with++
		}
	}
	if with == 0 {
		if len(q.Feeds) == 0 && !l.usedInConditions(q.ID) {
			l.say(at, "", "orphan: nothing uses it")
		}
		return
	}
	if with != len(q.Answers) {
		l.say(at, "answer", "every answer needs a background when one has it; nothing is impossible")
	}
	if q.Kind != KindSeveral && !sumsTo(sum, 100) {
		l.say(at, "answer", "backgrounds sum to %v, not 100", sum)
	}
	if !linked && q.Range == "" {
		l.say(at, "", "orphan: it has backgrounds, but no cause or mechanism looks at it")
	}
}

func (l *linter) feeds(at place, q *Question) {
	for _, f := range q.Feeds {
		gate, isGate := strings.CutPrefix(f, "gate:")
		switch {
		case isGate && !slices.Contains(Gates, gate):
			l.say(at, "feeds", "feeds: gate %q is not one of %s", gate, strings.Join(Gates, ", "))
		case !isGate && !slices.Contains(feedWords, f):
			l.say(at, "feeds", "feeds: %q is not one of %s or gate:NAME", f, strings.Join(feedWords, ", "))
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
	for _, g := range l.p.Groups {
		for _, k := range g.Links {
			out[k.Question] = true
		}
	}
	return out
}

func (l *linter) usedInConditions(id string) bool {
	for _, q := range l.p.Questions {
		if uses(q.When, id) || uses(q.Unless, id) {
			return true
		}
	}
	for _, c := range l.p.Causes {
		if uses(c.Needs, id) {
			return true
		}
	}
	for _, c := range l.p.Contexts {
		if uses(c.When, id) {
			return true
		}
	}
	for _, c := range l.p.Cautions {
		if uses(c.When, id) {
			return true
		}
	}
	return false
}

// uses tells whether one of the conditions is about the question.
func uses(lines []string, id string) bool {
	return slices.ContainsFunc(lines, func(s string) bool {
		c, err := ParseCondition(s)
		return err == nil && c.Question == id
	})
}
