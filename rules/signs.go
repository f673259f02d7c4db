package rules

import (
	"math"
	"slices"
)

// A Sign is a belief about one question in numbers: how its answers fall where only
// this cause or mechanism is at work, beside how they fall where nothing linked is.
// It is what a reader of the pack means by its words; diagnose weighs the same.
type Sign struct {
	Question *Question
	// Option is the answer that a several-question is asked about; Share and
	// Background are then of "not said" and "said".
	Option     string
	Links      []Link    // what it follows from; none when it follows from a range
	Share      []float64 // 0-1, in the order of the question's answers
	Background []float64 // 0-1, likewise
}

// Signs turns links into signs: one for each question, or for each answer of a
// several-question. A link that the lint refuses may be left out.
func (p *Pack) Signs(links []Link) []Sign {
	var out []Sign
	var done []string
	for _, k := range links {
		q, ok := p.Question(k.Question)
		if !ok || slices.Contains(done, q.ID) {
			continue
		}
		if q.Kind == KindSeveral {
			if s := p.option(q, k); s.Background != nil {
				out = append(out, s)
			}
			continue
		}
		done = append(done, q.ID)
		s := Sign{Question: q, Background: q.background()}
		for _, other := range links {
			if other.Question == q.ID {
				s.Links = append(s.Links, other)
			}
		}
		s.Share = p.row(q, s.Links)
		out = append(out, s)
	}
	return out
}

// option is a link to one answer of a several-question.
func (p *Pack) option(q *Question, k Link) Sign {
	said := p.Words.Strength[k.Strength]
	s := Sign{Question: q, Links: []Link{k}, Share: []float64{1 - said, said}}
	if len(k.Answer) > 0 {
		s.Option = k.Answer[0]
		if a, ok := q.Answer(s.Option); ok {
			s.Background = []float64{1 - a.Background/100, a.Background / 100}
		}
	}
	return s
}

// background is the share of each answer where no linked cause is at work.
func (q *Question) background() []float64 {
	out := make([]float64, len(q.Answers))
	for i, a := range q.Answers {
		out[i] = a.Background / 100
	}
	return out
}

// row spreads what links to one question say over its answers: the share of a word
// over the answers it names, what is left over the others, both as in the background.
func (p *Pack) row(q *Question, links []Link) []float64 {
	out := make([]float64, len(q.Answers))
	if of := links[0].Of100; len(of) > 0 {
		for i, a := range q.Answers {
			out[i] = of[a.ID] / 100
		}
		return out
	}
	left, named := 1.0, map[string]bool{}
	spread := func(share float64, in func(id string) bool) {
		sum := 0.0
		for _, a := range q.Answers {
			if in(a.ID) {
				sum += a.Background
			}
		}
		for i, a := range q.Answers {
			if in(a.ID) && sum > 0 {
				out[i] = share * a.Background / sum
			}
		}
	}
	for _, k := range links {
		share := p.Words.Strength[k.Strength]
		left -= share
		spread(share, func(id string) bool { return slices.Contains(k.Answer, id) })
		for _, a := range k.Answer {
			named[a] = true
		}
	}
	spread(left, func(id string) bool { return !named[id] })
	return out
}

// What stands in for the litres that physics works out, when causes are compared
// without a roof: 5 and 95 % of a cold month, and of a hard frost let go at once.
// A judgement; common practice, no source.
var standIn = map[string][]float64{"vapour": {0.02, 2}, "frost": {0.5, 20}}

// ranges are the signs that follow from the cause's own lag and litres, for the
// questions that it has no link to.
func (p *Pack) ranges(c *Cause) []Sign {
	var out []Sign
	for i := range p.Questions {
		q := &p.Questions[i]
		if q.Range == "" || c.ID == OtherCause || slices.ContainsFunc(c.Links, func(k Link) bool { return k.Question == q.ID }) {
			continue
		}
		r := c.LagHours
		if q.Range == "litres" {
			r = c.Litres
			if s, ok := standIn[c.LitresFrom]; ok {
				r = s
			}
		}
		out = append(out, Sign{Question: q, Share: spreadRange(q, r), Background: q.background()})
	}
	return out
}

// spreadRange lays a log-normal with 5 and 95 % at the ends of r over the answers. A
// cause without a range has the answer without one ("no link with rain").
func spreadRange(q *Question, r []float64) []float64 {
	const none = 0.85 // of causes without a range, those reported as having none
	out := make([]float64, len(q.Answers))
	sum := 0.0
	for i, a := range q.Answers {
		if len(r) != 2 {
			out[i] = (1 - none) * a.Background / 100
			if a.From == nil {
				out[i] = none
			}
		} else {
			out[i] = 0.04 * a.Background / 100 // callers guess
			if a.From != nil && a.To != nil {
				mu := (math.Log(r[0]) + math.Log(r[1])) / 2
				sigma := math.Max(0.3, (math.Log(r[1])-math.Log(r[0]))/(2*1.645))
				out[i] += below((math.Log(*a.To)-mu)/sigma) - below((math.Log(*a.From)-mu)/sigma)
			}
		}
		sum += out[i]
	}
	for i := range out {
		out[i] /= sum
	}
	return out
}

// below is the share of a standard normal below z.
func below(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// Said tells how many of 100 give one of the answers, where the cause or mechanism is
// alone at work and where nothing linked is.
func (s Sign) Said(answers []string) (of100, background float64) {
	if s.Option != "" {
		return 100 * s.Share[1], 100 * s.Background[1]
	}
	for i, a := range s.Question.Answers {
		if slices.Contains(answers, a.ID) {
			of100 += 100 * s.Share[i]
			background += 100 * s.Background[i]
		}
	}
	return of100, background
}

// A sign says something when an answer moves the odds by a decibel, a quarter.
const decibel = 1.2589

// speaks tells whether some answer raises the odds of the cause by a decibel, and
// whether some answer lowers them.
func (s Sign) speaks() (forIt, against bool) {
	for i, share := range s.Share {
		forIt = forIt || share >= decibel*s.Background[i]
		against = against || share*decibel <= s.Background[i]
	}
	return forIt, against
}
