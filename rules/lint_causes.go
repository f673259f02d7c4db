package rules

import (
	"slices"
	"strings"
	"unicode/utf8"
)

func (l *linter) groups() {
	seen := map[string]bool{}
	for i, g := range l.p.Groups {
		at := entry("group", g.ID, i, len(l.p.Groups))
		l.once(at, g.ID, seen)
		l.filled(at, "name", g.Name, "test", g.Test)
		l.source(at, g.Source)
		if _, ok := l.p.Prices.Price(g.Price); !ok {
			l.say(at, "price", "price %q is not in the price book", g.Price)
		}
		l.links(at, g.Links)
		for j, k := range g.Links {
			if slices.ContainsFunc(l.p.Mechanisms, func(m Mechanism) bool { return looksAt(m.Links, k.Question) }) {
				l.say(at.linkAt(g.Links, j), "question", "question %q is weighed by mechanisms; a group may not look at it too", k.Question)
			}
		}
	}
}

func (l *linter) mechanisms() {
	if n := len(l.p.Mechanisms); n < 1 || n > 8 {
		l.say(missing("mechanism", ""), "", "there must be one to eight mechanisms; there are %d", n)
	}
	seen := map[string]bool{}
	for i, m := range l.p.Mechanisms {
		at := entry("mechanism", m.ID, i, len(l.p.Mechanisms))
		l.once(at, m.ID, seen)
		l.filled(at, "name", m.Name, "says", m.Says)
		if !inside(m.Leak, 0, 1) {
			l.say(at, "leak", "leak must lie between 0 and 1, and be neither")
		}
		if !slices.Contains(Waters, m.Water) {
			l.say(at, "water", "water %q is not one of %s", m.Water, strings.Join(Waters, ", "))
		}
		if m.Gate != "" && !slices.Contains(Gates, m.Gate) {
			l.say(at, "gate", "gate %q is not one of %s", m.Gate, strings.Join(Gates, ", "))
		}
		l.links(at, m.Links)
		for j, k := range m.Links {
			if q, ok := l.p.Question(k.Question); ok && m.Gate != "" && q.FeedsInto("gate:"+m.Gate) {
				l.say(at.linkAt(m.Links, j), "question", "question %q feeds its gate and is also its sign: the answer would count twice", q.ID)
			}
		}
		if !slices.ContainsFunc(l.p.Causes, func(c Cause) bool { return actsThrough(c, m.ID) }) {
			l.say(at, "", "orphan: no cause acts through it")
		}
	}
}

func looksAt(links []Link, question string) bool {
	return slices.ContainsFunc(links, func(k Link) bool { return k.Question == question })
}

func actsThrough(c Cause, mechanism string) bool {
	return slices.ContainsFunc(c.Acts, func(a Act) bool { return a.Mechanism == mechanism })
}

func (l *linter) causes() {
	overMech := map[string]bool{}
	for _, m := range l.p.Mechanisms {
		for _, k := range m.Links {
			overMech[k.Question] = true
		}
	}
	seen := map[string]bool{}
	for i := range l.p.Causes {
		c := &l.p.Causes[i]
		at := entry("cause", c.ID, i, len(l.p.Causes))
		l.once(at, c.ID, seen)
		l.causeWords(at, c)
		l.causeNumbers(at, c)
		l.acts(at, c)
		l.links(at, c.Links)
		for j, k := range c.Links {
			if overMech[k.Question] {
				l.say(at.linkAt(c.Links, j), "question", "question %q is weighed by mechanisms; a cause may not look at it too", k.Question)
			}
		}
		l.support(at, c)
	}
	if !seen[OtherCause] {
		l.say(missing("cause", OtherCause), "", "the cause for what is not listed is missing")
	}
}

func (l *linter) causeWords(at place, c *Cause) {
	l.filled(at, "name", c.Name, "short", c.Short, "group", c.Group, "where", c.Where, "how", c.How, "tell", c.Tell,
		"ruled_out_by", c.RuledOutBy, "test", c.Test, "first_aid", c.FirstAid, "repair", c.Repair)
	if n := utf8.RuneCountInString(c.Short); n > 26 {
		l.say(at, "short", "short is %d characters; 26 is the most that fits", n)
	}
	if _, ok := l.p.Group(c.Group); c.Group != "" && !ok {
		l.say(at, "group", "group %q has no [[group]] entry", c.Group)
	}
	l.source(at, c.Source)
	l.confidence(at, c.Confidence)
	l.conditions(at, "needs", c.Needs)
}

func (l *linter) causeNumbers(at place, c *Cause) {
	if !factor(c.PerCalls) {
		l.say(at, "calls_per_100", "calls_per_100 must be a number over 0, from 0.001 to 1000")
	}
	if !positive(c.Damage) {
		l.say(at, "damage", "damage must be a number over 0")
	}
	l.between(at, "lag_hours", c.LagHours)
	l.between(at, "litres", c.Litres)
	if !slices.Contains([]string{"", "vapour", "frost"}, c.LitresFrom) {
		l.say(at, "litres_from", "litres_from %q is not vapour or frost", c.LitresFrom)
	}
	if c.Water != "" && !slices.Contains(Waters, c.Water) {
		l.say(at, "water", "water %q is not one of %s", c.Water, strings.Join(Waters, ", "))
	}
	for t, v := range c.ByType {
		if !slices.Contains(BuildTypes, t) || !factor(v) {
			l.say(at, "by_type", "by_type %q = %v: the type is one of %s and the factor from 0.001 to 1000", t, v, strings.Join(BuildTypes, ", "))
		}
	}
}

// between checks a range that may be left out.
func (l *linter) between(at place, key string, r []float64) {
	if len(r) != 0 && (len(r) != 2 || !positive(r[0]) || !positive(r[1]) || !(r[0] < r[1])) {
		l.say(at, key, "%s must be two numbers over 0, the smaller first", key)
	}
}

func (l *linter) acts(at place, c *Cause) {
	if len(c.Acts) == 0 {
		l.say(at, "acts", "it acts through no mechanism")
	}
	for _, a := range c.Acts {
		if !slices.ContainsFunc(l.p.Mechanisms, func(m Mechanism) bool { return m.ID == a.Mechanism }) {
			l.say(at, "acts", "acts through %q, which does not exist", a.Mechanism)
		}
		if _, ok := l.p.Words.Strength[a.Strength]; !ok {
			l.say(at, "acts", "acts: strength %q is not in words.toml", a.Strength)
		}
	}
}

// support asks that each cause has signs of its own: two at least with an answer that
// speaks for it, and one with an answer that speaks against it. What its mechanisms
// look at is shared with other causes and does not count.
func (l *linter) support(at place, c *Cause) {
	if c.ID == OtherCause {
		return
	}
	speakFor, against := 0, 0
	for _, s := range l.own(c) {
		f, a := s.speaks()
		if f {
			speakFor++
		}
		if a {
			against++
		}
	}
	if speakFor < 2 {
		l.say(at, "", "has %d signs of its own that speak for it (links, lag_hours, litres or litres_from whose answers raise its odds by a decibel); two are the least", speakFor)
	}
	if against < 1 {
		l.say(at, "", "nothing can speak against it: no link or range has an answer that lowers its odds by a decibel")
	}
}

// own are the signs of a cause: its links, and its ranges where it has them.
func (l *linter) own(c *Cause) []Sign {
	out := l.p.Signs(c.Links)
	for _, s := range l.p.ranges(c) {
		if s.Question.Range == "lag" && len(c.LagHours) > 0 || s.Question.Range == "litres" && (len(c.Litres) > 0 || c.LitresFrom != "") {
			out = append(out, s)
		}
	}
	return out
}
