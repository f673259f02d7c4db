package rules

import (
	"math"
	"slices"
	"strings"
)

// guards looks for questions that no caller can ever be asked: they wait for each
// other, or for answers that exclude one another.
func (l *linter) guards() {
	for i := range l.p.Questions {
		q := &l.p.Questions[i]
		at := entry("question", q.ID, i, len(l.p.Questions))
		if circle := l.p.waitsFor(q.ID, q.ID, nil); len(circle) > 1 {
			l.say(at, "when", "when: it can never be asked, because each waits for the next: %s", strings.Join(append([]string{q.ID}, circle...), " waits for "))
			continue
		}
		chain := l.p.chain(q, map[string]bool{})
		if !l.p.consistent(chain) {
			key := "when"
			if l.p.consistent(q.When) {
				l.say(at, key, "when: it can never be asked: it waits for questions whose own conditions exclude it (%s)", strings.Join(chain, "; "))
			}
			continue
		}
		for _, s := range q.Unless {
			if c, err := ParseCondition(s); err == nil && uses(chain, c.Question) && !l.p.consistent(append(slices.Clone(chain), negated(c)...)) {
				l.say(at, "unless", "unless: %q holds whenever it could be asked (%s), so it never is", s, strings.Join(chain, "; "))
			}
		}
	}
}

// waitsFor is the way from a question, over what it waits for, to target; nil when
// there is none.
func (p *Pack) waitsFor(id, target string, seen []string) []string {
	q, ok := p.Question(id)
	if !ok || slices.Contains(seen, id) {
		return nil
	}
	for _, s := range q.When {
		c, err := ParseCondition(s)
		if err != nil || c.Known && c.Not || p.follows(c.Question) {
			continue // not to be known, or known from another answer without being asked
		}
		if c.Question == target {
			return []string{target}
		}
		if way := p.waitsFor(c.Question, target, append(seen, id)); way != nil {
			return append([]string{c.Question}, way...)
		}
	}
	return nil
}

// follows tells whether the answer to a question can follow from another.
func (p *Pack) follows(question string) bool {
	return slices.ContainsFunc(p.Implied, func(m Implied) bool { return m.Question == question })
}

// chain is all that must hold before a question is asked: its own conditions, and
// those of the questions it waits for.
func (p *Pack) chain(q *Question, seen map[string]bool) []string {
	out := slices.Clone(q.When)
	seen[q.ID] = true
	for _, s := range q.When {
		c, err := ParseCondition(s)
		if err != nil || c.Known && c.Not || p.follows(c.Question) || seen[c.Question] {
			continue
		}
		if before, ok := p.Question(c.Question); ok {
			out = append(out, p.chain(before, seen)...)
		}
	}
	return out
}

// negated is a condition that holds when c does not, of a question that is answered.
func negated(c Condition) []string {
	rest, _ := strings.CutPrefix(c.Text, c.Question+" ")
	switch {
	case c.Known && c.Not:
		return []string{c.Question + " is known"}
	case c.Known:
		return []string{c.Question + " is not known"}
	case c.Under, c.Over:
		return nil // one value can always be the other side
	case c.Not:
		return []string{c.Question + " is " + strings.TrimPrefix(rest, "is not ")}
	}
	return []string{c.Question + " is not " + strings.TrimPrefix(rest, "is ")}
}

// consistent tells whether all the conditions can hold of one roof.
func (p *Pack) consistent(lines []string) bool {
	by := map[string][]Condition{}
	for _, s := range lines {
		if c, err := ParseCondition(s); err == nil {
			by[c.Question] = append(by[c.Question], c)
		}
	}
	for id, list := range by {
		if q, ok := p.Question(id); ok && !canAllHold(q, list) {
			return false
		}
	}
	return true
}

// canAllHold tells whether conditions on one question can all hold of one answer.
func canAllHold(q *Question, list []Condition) bool {
	low, high := math.Inf(-1), math.Inf(1)
	known, unknown := false, false
	var banned []string
	var wanted [][]string
	for _, c := range list {
		unknown = unknown || c.Known && c.Not
		known = known || !(c.Known && c.Not)
		switch {
		case c.Under:
			high = math.Min(high, c.Value)
		case c.Over:
			low = math.Max(low, c.Value)
		case c.Known:
		case c.Not:
			banned = append(banned, c.Answers...)
		default:
			wanted = append(wanted, c.Answers)
		}
	}
	if known && unknown || low >= high {
		return false
	}
	if len(wanted) == 0 && len(banned) == 0 {
		return true
	}
	fits := func(a string) bool {
		return !slices.Contains(banned, a) && !slices.ContainsFunc(wanted, func(w []string) bool { return !slices.Contains(w, a) })
	}
	if q.Kind != KindSeveral {
		return slices.ContainsFunc(q.Answers, func(a Answer) bool { return fits(a.ID) })
	}
	// Of several answers each wish may be met by another one.
	return !slices.ContainsFunc(wanted, func(w []string) bool {
		return !slices.ContainsFunc(w, func(a string) bool { return !slices.Contains(banned, a) })
	})
}
