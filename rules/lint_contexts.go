package rules

import (
	"fmt"
	"strings"
)

func (l *linter) contexts() {
	seen := map[string]bool{}
	for i, c := range l.p.Contexts {
		at := entry("context", fmt.Sprintf("number %d (%s)", i+1, c.Says), i, len(l.p.Contexts))
		l.needsWhen(at, c.When)
		if when := strings.Join(c.When, "; "); seen[when] {
			l.say(at, "when", "another context has the same when; write one entry, for a firm's own knowledge finds it by its when")
		} else {
			seen[when] = true
		}
		l.filled(at, "says", c.Says)
		l.source(at, c.Source)
		l.confidence(at, c.Confidence)
		if len(c.Times) == 0 {
			l.say(at, "times", "times must be filled in")
		}
		for name, v := range c.Times {
			l.causeOrGroup(at, "times", name)
			if !factor(v) {
				l.say(at, "times", "factor %v for %q must lie from 0.001 to 1000; nothing is impossible", v, name)
			}
		}
		l.countedTwice(at, c)
	}
}

// needsWhen checks conditions that may not be left out.
func (l *linter) needsWhen(at place, when []string) {
	if len(when) == 0 {
		l.say(at, "when", "when must be filled in")
	}
	l.conditions(at, "when", when)
}

// countedTwice looks for an answer that is both context and sign of a cause.
func (l *linter) countedTwice(at place, c Context) {
	for name := range c.Times {
		for _, cause := range l.p.Causes {
			if cause.ID != name && "group:"+cause.Group != name {
				continue
			}
			for _, k := range cause.Links {
				if uses(c.When, k.Question) {
					l.say(at, "when", "cause %q is raised here by %q and also linked to it: the answer would count twice", cause.ID, k.Question)
				}
			}
		}
	}
}

func (l *linter) cautions() {
	seen := map[string]bool{}
	for i, c := range l.p.Cautions {
		at := entry("caution", c.ID, i, len(l.p.Cautions))
		l.once(at, c.ID, seen)
		l.conditions(at, "when", c.When)
		l.source(at, c.Source)
		if c.Says == "" || !c.Always && len(c.When) == 0 {
			l.say(at, "says", "says and when must be filled in")
		}
	}
}

func (l *linter) together() {
	for i, g := range l.p.Together {
		at := entry("together", strings.Join(g.Causes, " and "), i, len(l.p.Together))
		l.source(at, g.Source)
		l.confidence(at, g.Confidence)
		if !factor(g.Times) {
			l.say(at, "times", "times %v must lie from 0.001 to 1000", g.Times)
		}
		if len(g.Causes) != 2 || g.Causes[0] == g.Causes[1] {
			l.say(at, "causes", "causes must be two different causes")
			continue
		}
		for _, c := range g.Causes {
			if _, ok := l.p.Cause(c); !ok {
				l.say(at, "causes", "cause %q does not exist", c)
			}
		}
	}
}

func (l *linter) implied() {
	for i, m := range l.p.Implied {
		at := entry("implied", m.Question, i, len(l.p.Implied))
		l.needsWhen(at, m.When)
		if q, ok := l.p.Question(m.Question); !ok || q.Kind != KindSeveral {
			l.say(at, "question", "question must be one that takes several answers")
		} else if _, ok := q.Answer(m.Answer); !ok {
			l.say(at, "answer", "answer %q does not exist", m.Answer)
		}
	}
}

func (l *linter) checks() {
	seen := map[string]bool{}
	for i, c := range l.p.Checks {
		at := entry("check", c.ID, i, len(l.p.Checks))
		l.once(at, c.ID, seen)
		l.needsWhen(at, c.When)
		l.filled(at, "says", c.Says)
		l.source(at, c.Source)
		if len(c.Questions) == 0 {
			l.say(at, "questions", "questions must be filled in")
		}
		for _, q := range c.Questions {
			if _, ok := l.p.Question(q); !ok {
				l.say(at, "questions", "question %q does not exist", q)
			}
		}
	}
}

// factor tells whether a number may multiply how often a cause is met: far enough from
// nought and from the sky that all causes can still be told apart.
func factor(v float64) bool { return finite(v) && v >= 1e-3 && v <= 1e3 }
