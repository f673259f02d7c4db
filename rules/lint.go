package rules

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
)

// BuildTypes are the six ways of stacking that knowledge may name.
var BuildTypes = []string{"cold", "warm", "hybrid", "on-joists", "uninsulated", "inverted"}

// OtherCause is the id of the cause that stands for all that are not listed.
const OtherCause = "something-else"

// linter gathers complaints.
type linter struct {
	p     *Pack
	loc   locator
	lines []line // of the pack files, read at the first complaint
	errs  []error
}

// say complains about a key at a place; an empty key means the entry as a whole.
func (l *linter) say(at place, key, format string, a ...any) {
	if l.lines == nil {
		l.lines = l.loc.lines()
	}
	text := at.name() + ": " + fmt.Sprintf(format, a...)
	if where := l.loc.find(l.lines, at, key, text); where != "" {
		text = where + ": " + text
	}
	l.errs = append(l.errs, fmt.Errorf("%s", text))
}

// Lint checks a pack and returns one error for each fault: unknown names,
// rows that do not sum to 100, noughts and certainties, numbers that are none,
// missing sources, orphans, gate inputs also used as signs of the same mechanism,
// causes with nothing for or nothing against them, conditions that cannot be read or
// cannot hold together, and questions that can never be asked. An error names file,
// line and key where the entry can be found.
func Lint(p *Pack, loc locator) []error {
	l := &linter{p: p, loc: loc}
	l.words()
	l.groups()
	l.topics()
	l.visits()
	l.questions()
	l.mechanisms()
	l.causes()
	l.contexts()
	l.cautions()
	l.together()
	l.implied()
	l.checks()
	l.repairs()
	l.prices()
	l.orphans()
	l.guards()
	l.buildUp()
	l.moisture()
	l.travel()
	sort.SliceStable(l.errs, func(i, j int) bool { return l.errs[i].Error() < l.errs[j].Error() })
	return l.errs
}

// once complains about an id that is empty or used before.
func (l *linter) once(at place, id string, seen map[string]bool) {
	switch {
	case id == "":
		l.say(at, "id", "id must be filled in")
	case seen[id]:
		l.say(at, "id", "the id is used twice")
	}
	seen[id] = true
}

// filled complains about each key without words; pairs are key and value.
func (l *linter) filled(at place, pairs ...string) {
	for i := 0; i < len(pairs); i += 2 {
		if strings.TrimSpace(pairs[i+1]) == "" {
			l.say(at, pairs[i], "%s must be filled in", pairs[i])
		}
	}
}

func (l *linter) source(at place, source string) {
	if strings.TrimSpace(source) == "" {
		l.say(at, "source", "source is missing; name the document, or write \"common practice, no source\"")
	}
}

func (l *linter) confidence(at place, c string) {
	if _, ok := l.p.Words.Confidence[c]; !ok {
		l.say(at, "confidence", "confidence %q is not high, medium or low", c)
	}
}

// conditions checks the lines under a key.
func (l *linter) conditions(at place, key string, lines []string) {
	for _, s := range lines {
		c, err := ParseCondition(s)
		if err != nil {
			l.say(at, key, "%s: %v", key, err)
			continue
		}
		q, ok := l.p.Question(c.Question)
		if !ok {
			l.say(at, key, "%s: condition %q names question %q, which does not exist", key, s, c.Question)
			continue
		}
		l.condition(at, key, c, q)
	}
	if !l.p.consistent(lines) {
		l.say(at, key, "%s: the conditions exclude one another: %s", key, strings.Join(lines, "; "))
	}
}

// condition checks that the question can give what the condition asks of it.
func (l *linter) condition(at place, key string, c Condition, q *Question) {
	if c.Under || c.Over {
		if !takesNumber(q.Kind) {
			l.say(at, key, "%s: condition %q compares a number, but question %q is not a length, number or amount; write is", key, c.Text, q.ID)
		}
		if !finite(c.Value) {
			l.say(at, key, "%s: condition %q needs a finite number", key, c.Text)
		}
		return
	}
	if len(c.Answers) > 0 && !takesAnswers(q.Kind) {
		l.say(at, key, "%s: condition %q names an answer, but question %q is a %s and has none; write is known, under or over", key, c.Text, q.ID, q.Kind)
		return
	}
	for _, a := range c.Answers {
		if _, ok := q.Answer(a); !ok {
			l.say(at, key, "%s: condition %q names answer %q, which question %q does not have", key, c.Text, a, q.ID)
		}
	}
}

func takesNumber(kind string) bool {
	return kind == KindLength || kind == KindNumber || kind == KindAmount
}

func takesAnswers(kind string) bool {
	return kind == KindChoice || kind == KindSeveral || kind == KindAmount
}

// The comparisons below are all false of a number that is none (NaN).

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func positive(v float64) bool { return v > 0 && !math.IsInf(v, 1) }

// inside tells whether v lies between low and high and is neither.
func inside(v, low, high float64) bool { return v > low && v < high }

// sumsTo tells whether v is the sum wanted, but for rounding.
func sumsTo(v, want float64) bool { return math.Abs(v-want) <= 1e-9*math.Max(want, 1) }

// ofQuestion tells whether the question exists and has the answer.
func (l *linter) ofQuestion(question, answer string) bool {
	q, ok := l.p.Question(question)
	if !ok {
		return false
	}
	_, ok = q.Answer(answer)
	return ok
}

func (l *linter) causeOrGroup(at place, key, name string) {
	g, isGroup := strings.CutPrefix(name, "group:")
	if !isGroup {
		if _, ok := l.p.Cause(name); !ok {
			l.say(at, key, "%s: cause %q does not exist", key, name)
		}
		return
	}
	if !slices.ContainsFunc(l.p.Causes, func(c Cause) bool { return c.Group == g }) {
		l.say(at, key, "%s: group %q has no causes", key, g)
	}
}
