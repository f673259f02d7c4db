package rules

import (
	"slices"
)

// links checks the links of one cause or mechanism, each by itself and then
// those to one question together.
func (l *linter) links(at place, links []Link) {
	var order []string
	by := map[string][]int{}
	for i, k := range links {
		l.link(at.linkAt(links, i), k)
		if by[k.Question] == nil {
			order = append(order, k.Question)
		}
		by[k.Question] = append(by[k.Question], i)
	}
	for _, id := range order {
		if q, ok := l.p.Question(id); ok {
			l.sameQuestion(at, q, links, by[id])
		}
	}
}

func (l *linter) link(at place, k Link) {
	q, ok := l.p.Question(k.Question)
	if !ok {
		l.say(at, "question", "question %q, which does not exist", k.Question)
		return
	}
	if !q.Evidence() {
		l.say(at, "question", "the answers of question %q have no background", q.ID)
	}
	l.source(at, k.Source)
	l.confidence(at, k.Confidence)
	l.filled(at, "says", k.Says)
	if len(k.Of100) > 0 {
		l.wholeRow(at, q, k)
		return
	}
	if _, ok := l.p.Words.Strength[k.Strength]; !ok {
		l.say(at, "strength", "strength %q is not in words.toml", k.Strength)
	}
	if len(k.Answer) == 0 {
		l.say(at, "answer", "answer must name some of the answers")
	}
	if q.Kind == KindSeveral && len(k.Answer) != 1 {
		l.say(at, "answer", "name one answer; each is a sign of its own")
	}
	for _, a := range k.Answer {
		if _, ok := q.Answer(a); !ok {
			l.say(at, "answer", "answer %q does not exist", a)
		}
	}
}

func (l *linter) wholeRow(at place, q *Question, k Link) {
	if q.Kind == KindSeveral {
		l.say(at, "of_100", "of_100 does not fit a question that takes several answers; write answer and strength")
		return
	}
	if len(k.Answer) > 0 || k.Strength != "" {
		l.say(at, "of_100", "of_100 is the whole row; leave out answer and strength")
	}
	sum := 0.0
	for a, v := range k.Of100 {
		if _, ok := q.Answer(a); !ok {
			l.say(at, "of_100", "answer %q does not exist", a)
		}
		if !inside(v, 0, 100) {
			l.say(at, "of_100", "%q is %v of 100; nothing is impossible or certain", a, v)
		}
		sum += v
	}
	if len(k.Of100) != len(q.Answers) || !sumsTo(sum, 100) {
		l.say(at, "of_100", "of_100 must name all %d answers and sum to 100; it sums to %v", len(q.Answers), sum)
	}
}

// sameQuestion checks that the links which look at one question can be one row:
// no answer twice, something left for the answers that none of them names, and
// at least one such answer.
func (l *linter) sameQuestion(at place, q *Question, links []Link, which []int) {
	named := map[string]bool{}
	share := 0.0
	for _, i := range which {
		k, here := links[i], at.linkAt(links, i)
		if len(k.Of100) > 0 && len(which) > 1 {
			l.say(here, "of_100", "of_100 is the whole row; it may be the only link to %q", q.ID)
			return
		}
		for _, a := range k.Answer {
			if named[a] {
				l.say(here, "answer", "answer %q is named twice by links to %q; name it once", a, q.ID)
			}
			named[a] = true
		}
		share += l.p.Words.Strength[k.Strength]
	}
	if q.Kind == KindSeveral || len(links[which[0]].Of100) > 0 {
		return // each answer is a sign of its own; a whole row is checked by itself
	}
	last := at.linkAt(links, which[len(which)-1])
	if !slices.ContainsFunc(q.Answers, func(a Answer) bool { return !named[a.ID] }) {
		l.say(last, "answer", "answer must name some of the answers, not all; leave one out or write of_100")
	}
	if len(which) > 1 && !(share < 1) {
		l.say(last, "strength", "the strengths of the links to %q sum to %v; they must leave something for the other answers", q.ID, share)
	}
}
