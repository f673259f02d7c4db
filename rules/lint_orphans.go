package rules

import "slices"

// orphans looks for families and answers that nothing uses. Orphan questions and
// mechanisms are found where they are checked, orphan prices by Notes: a firm's own
// price book may hold more than the repairs ask for.
func (l *linter) orphans() {
	for i, g := range l.p.Groups {
		if !slices.ContainsFunc(l.p.Causes, func(c Cause) bool { return c.Group == g.ID }) {
			l.say(entry("group", g.ID, i, len(l.p.Groups)), "id", "orphan: no cause belongs to it")
		}
	}
	for i := range l.p.Questions {
		q := &l.p.Questions[i]
		// Of one answer out of several the rest of the row says something too, and what
		// feeds the sums is read there. A tick nobody looks at says nothing.
		if q.Kind != KindSeveral || len(q.Feeds) > 0 {
			continue
		}
		at := entry("question", q.ID, i, len(l.p.Questions))
		for _, a := range q.Answers {
			if !l.p.looksAt(q.ID, a.ID) {
				l.say(at.rowAt("answer", "id", a.ID), "id", "orphan: no cause, mechanism or condition looks at answer %q", a.ID)
			}
		}
	}
}

// looksAt tells whether a link or a condition names the answer.
func (p *Pack) looksAt(question, answer string) bool {
	named := func(k Link) bool { return k.Question == question && slices.Contains(k.Answer, answer) }
	for _, m := range p.Mechanisms {
		if slices.ContainsFunc(m.Links, named) {
			return true
		}
	}
	for _, c := range p.Causes {
		if slices.ContainsFunc(c.Links, named) {
			return true
		}
	}
	return slices.ContainsFunc(p.conditions(), func(s string) bool {
		c, err := ParseCondition(s)
		return err == nil && c.Question == question && slices.Contains(c.Answers, answer)
	})
}

// conditions are all conditions of the pack.
func (p *Pack) conditions() []string {
	var out []string
	for _, q := range p.Questions {
		out = append(append(out, q.When...), q.Unless...)
	}
	for _, c := range p.Causes {
		out = append(out, c.Needs...)
	}
	for _, c := range p.Contexts {
		out = append(out, c.When...)
	}
	for _, c := range p.Cautions {
		out = append(out, c.When...)
	}
	for _, c := range p.Checks {
		out = append(out, c.When...)
	}
	for _, m := range p.Implied {
		out = append(out, m.When...)
	}
	for _, h := range p.BuildUp.Hints {
		out = append(out, h.When...)
	}
	for _, r := range p.Repairs {
		out = append(out, r.Needs...)
		for _, f := range r.Forbids {
			out = append(out, f.When...)
		}
	}
	return out
}
