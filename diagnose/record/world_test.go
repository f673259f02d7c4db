package record

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"underlap/diagnose/casefile"
	"underlap/rules"
)

// world makes closed cases: a cause drawn by how often it is met there, then answers
// drawn by its links and those of the mechanism it acts through. It does not use the
// engine.
type world struct {
	rng   *rand.Rand
	times map[string]float64 // how much oftener than in the pack a cause is met
	noise float64            // share of answers that mean nothing
}

func newWorld(seed uint64) *world {
	return &world{rng: rand.New(rand.NewPCG(seed, 1)), times: map[string]float64{}, noise: 0.15}
}

// asked are the questions of a call in this world: plain choices that need no other
// answer first.
func asked(p *rules.Pack) []*rules.Question {
	var out []*rules.Question
	for i := range p.Questions {
		q := &p.Questions[i]
		if q.Kind == rules.KindChoice && q.Evidence() && len(q.When) == 0 && len(q.Unless) == 0 {
			out = append(out, q)
		}
	}
	return out
}

func (w *world) draw(weights []float64) int {
	sum := 0.0
	for _, x := range weights {
		sum += x
	}
	r := w.rng.Float64() * sum
	for i, x := range weights {
		if r -= x; r < 0 {
			return i
		}
	}
	return len(weights) - 1
}

func (w *world) cases(p *rules.Pack, n int) []Closed {
	weights := make([]float64, len(p.Causes))
	for i, c := range p.Causes {
		weights[i] = c.PerCalls
		if x, ok := w.times[c.ID]; ok {
			weights[i] *= x
		}
	}
	var out []Closed
	for k := range n {
		c := &p.Causes[w.draw(weights)]
		kase := &casefile.Case{Head: casefile.Head{ID: fmt.Sprintf("case-%d", k), Title: "Invented"}}
		add := func(e casefile.Event) {
			e.ID = fmt.Sprintf("%04d-aaaa", len(kase.Events)+1)
			e.At = time.Date(2026, 1, 1, 9, 0, len(kase.Events), 0, time.UTC)
			kase.Events = append(kase.Events, e)
		}
		for _, q := range asked(p) {
			if w.rng.Float64() < 0.35 {
				continue // not every call asks everything
			}
			add(casefile.Event{Kind: casefile.KindAnswered, Question: q.ID, Answers: []string{q.Answers[w.answer(p, c, q)].ID}, Known: casefile.KnownTold})
		}
		add(casefile.Event{Kind: casefile.KindOutcome, Answers: []string{c.ID}, Known: casefile.KnownOpened})
		closed, ok := Close(kase.ID, kase)
		if !ok {
			panic("it has an outcome")
		}
		out = append(out, closed)
	}
	return out
}

// answer draws one answer of a roof with only this cause at work.
func (w *world) answer(p *rules.Pack, c *rules.Cause, q *rules.Question) int {
	row := make([]float64, len(q.Answers))
	for i, a := range q.Answers {
		row[i] = a.Background / 100
	}
	links := c.Links
	for _, m := range p.Mechanisms {
		if m.ID == c.Acts[0].Mechanism {
			links = slices.Concat(links, m.Links)
		}
	}
	for _, l := range links {
		if l.Question != q.ID {
			continue
		}
		if len(l.Of100) > 0 {
			for i, a := range q.Answers {
				row[i] = l.Of100[a.ID] / 100
			}
			continue
		}
		share, in := p.Words.Strength[l.Strength], 0.0
		for _, a := range q.Answers {
			if slices.Contains(l.Answer, a.ID) {
				in += a.Background / 100
			}
		}
		for i, a := range q.Answers {
			if slices.Contains(l.Answer, a.ID) {
				row[i] = share * (a.Background / 100) / in
			} else {
				row[i] = (1 - share) * (a.Background / 100) / (1 - in)
			}
		}
	}
	if w.rng.Float64() < w.noise {
		return w.rng.IntN(len(row))
	}
	return w.draw(row)
}

func learn(t testing.TB, cases []Closed, p *rules.Pack) *Lesson {
	t.Helper()
	l, err := Learn(cases, p)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func (l *Lesson) share(t testing.TB, id string) Share {
	t.Helper()
	for _, s := range l.Causes {
		if s.ID == id {
			return s
		}
	}
	t.Fatalf("no cause %q in the lesson", id)
	return Share{}
}
