package rules

import "slices"

// mostTopics is how many headings the weights of answers can be shared out among.
const mostTopics = 9

func (l *linter) topics() {
	seen, of := map[string]bool{}, map[string]string{}
	if n := len(l.p.Topics); n > mostTopics {
		l.say(missing("topic", ""), "", "there are %d topics; at most %d are possible", n, mostTopics)
	}
	for i, t := range l.p.Topics {
		at := entry("topic", t.ID, i, len(l.p.Topics))
		l.once(at, t.ID, seen)
		l.filled(at, "name", t.Name)
		for _, b := range t.Branches {
			if of[b] != "" {
				l.say(at, "branches", "branch %q belongs to topic %q already", b, of[b])
			}
			of[b] = t.ID
			if !slices.ContainsFunc(l.p.Questions, func(q Question) bool { return q.Branch == b }) {
				l.say(at, "branches", "there is no question of branch %q", b)
			}
		}
	}
	for i, q := range l.p.Questions {
		if q.Evidence() && of[q.Branch] == "" {
			l.say(entry("question", q.ID, i, len(l.p.Questions)), "branch", "branch %q belongs to no topic; name it in topics.toml", q.Branch)
		}
	}
}

func (l *linter) visits() {
	seen := map[string]bool{}
	for i := range l.p.Visits {
		v := &l.p.Visits[i]
		at := entry("visit", v.ID, i, len(l.p.Visits))
		l.once(at, v.ID, seen)
		l.filled(at, "name", v.Name)
		l.source(at, v.Source)
		if !slices.ContainsFunc(l.p.Words.Known, func(k Known) bool { return k.ID == v.Known }) {
			l.say(at, "known", "known %q is not in words.toml", v.Known)
		}
		if !(v.Days >= 0 && finite(v.Days)) {
			l.say(at, "days", "days must be a number from 0 up")
		}
		if !(v.Pounds >= 0 && finite(v.Pounds)) || v.Pounds == 0 && len(v.Prices) == 0 {
			l.say(at, "pounds", "pounds must be over 0, or prices be named")
		}
		for _, p := range v.Prices {
			if _, ok := l.p.Prices.Price(p); !ok {
				l.say(at, "prices", "price %q is not in the price book", p)
			}
		}
		for _, id := range v.Questions {
			if q, ok := l.p.Question(id); !ok || !q.Evidence() {
				l.say(at, "questions", "question %q does not exist or is no evidence", id)
			}
		}
		if !slices.ContainsFunc(l.p.Questions, func(q Question) bool { return q.Evidence() && v.Covers(&q) }) {
			l.say(at, "questions", "it answers no question that is evidence")
		}
	}
	for i, q := range l.p.Questions {
		if q.Test && !slices.ContainsFunc(l.p.Visits, func(v Visit) bool { return v.Covers(&q) }) {
			l.say(entry("question", q.ID, i, len(l.p.Questions)), "test", "no visit brings its answer")
		}
	}
}
