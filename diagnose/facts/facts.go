// Package facts turns the answers of a case into what conditions, sums and the
// inference can read: which answers hold, which numbers, and how far each is to
// be relied on.
package facts

import (
	"math"
	"sort"
	"strings"

	"underlap/diagnose/casefile"
	"underlap/diagnose/measure"
	"underlap/rules"
)

// Fact is one answered question.
type Fact struct {
	Question    *rules.Question
	Answer      casefile.Answer
	Choices     []string // chosen answers; a typed amount is put in its bin
	Value       float64  // SI, when HasValue; amounts in the question's own unit (L, h, years)
	HasValue    bool
	Tolerance   float64 // half width, SI; 0 when none was given
	Known       string  // id of how it is known
	Reliability float64 // probability that it is not just noise
	Implied     bool    // it follows from another answer and was not asked
}

// Set is all that is known of a case. It implements rules.Facts.
type Set struct {
	pack *rules.Pack
	by   map[string]Fact
	left []string        // questions whose stored value cannot be, left out
	read map[string]bool // questions looked at, while Watch records
}

var _ rules.Facts = (*Set)(nil)

// From reads the answers of a case against the pack. Answers to questions that
// the pack does not have are left out: the case may come from other knowledge.
func From(state casefile.State, pack *rules.Pack) *Set {
	s := &Set{pack: pack, by: make(map[string]Fact, len(state.Answers))}
	for id, a := range state.Answers {
		q, ok := pack.Question(id)
		if !ok {
			continue
		}
		given := a.Given() ||
			typedOnly(q.Kind) && a.Typed != "" && !a.Unknown() && !a.Asked() && !a.Skipped()
		if !given {
			continue
		}
		if a.Value != nil && !believable(q, *a.Value) {
			s.left = append(s.left, id)
			continue
		}
		if q.Kind == rules.KindSpots {
			if _, err := measure.Spots(a.Typed); err != nil { // from a file that was edited by hand
				s.left = append(s.left, id)
				continue
			}
		}
		f := Fact{Question: q, Answer: a, Known: a.Known, Tolerance: a.Tolerance, Reliability: Reliability(pack, q, a.Known)}
		if a.Value != nil {
			f.Value, f.HasValue = *a.Value, true
			if q.Kind == rules.KindAmount {
				f.Value, f.Tolerance = f.Value*PerSI(q.Unit), f.Tolerance*PerSI(q.Unit)
			}
		}
		for _, c := range a.Choices {
			if _, ok := q.Answer(c); ok {
				f.Choices = append(f.Choices, c)
			}
		}
		if f.HasValue && q.Kind == rules.KindAmount {
			f.Choices = []string{Bin(q, f.Value)}
		}
		if f.HasValue || len(f.Choices) > 0 || q.Kind == rules.KindSeveral || a.Typed != "" {
			s.by[id] = f
		}
	}
	sort.Strings(s.left)
	s.imply()
	s.area()
	return s
}

// area is that of the plan, where both its sides were told and the area was not.
func (s *Set) area() {
	q, ok := s.pack.Question("roof-area")
	along, okA := s.by["plan-along"]
	out, okB := s.by["plan-out"]
	if _, told := s.by["roof-area"]; told || !ok || !okA || !okB || !believable(q, along.Value*out.Value) {
		return
	}
	less := along
	if out.Reliability < less.Reliability {
		less = out
	}
	s.by[q.ID] = Fact{
		Question: q, Answer: casefile.Answer{Known: less.Known}, Value: along.Value * out.Value, HasValue: true,
		Tolerance: along.Value*out.Tolerance + out.Value*along.Tolerance, Known: less.Known, Reliability: less.Reliability, Implied: true,
	}
}

// typedOnly tells whether an answer is what was typed and nothing else.
func typedOnly(kind string) bool {
	return kind == rules.KindPlace || kind == rules.KindText || kind == rules.KindSpots
}

// believable tells whether a stored number can be an answer: on a question that takes
// one, finite, and within what is asked for. A file may be older than the pack, or
// edited by hand; one bad value must not shut the case.
func believable(q *rules.Question, v float64) bool {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return false
	}
	switch q.Kind {
	case rules.KindLength, rules.KindNumber:
		return v >= *q.Low-1e-9 && v <= *q.High+1e-9
	case rules.KindAmount:
		return v >= 0
	}
	return false
}

// LeftOut lists the questions whose stored value cannot be and was left out.
func (s *Set) LeftOut() []string { return s.left }

// imply adds what follows from other answers. Rules are run once, in order:
// nothing implied implies anything else.
func (s *Set) imply() {
	for _, m := range s.pack.Implied {
		if rules.All(m.When, s) != rules.Yes {
			continue
		}
		f, ok := s.by[m.Question]
		if !ok {
			q, _ := s.pack.Question(m.Question)
			first, _ := rules.ParseCondition(m.When[0])
			from := s.by[first.Question]
			f = Fact{Question: q, Answer: from.Answer, Known: from.Known, Reliability: from.Reliability, Implied: true}
		}
		has := false
		for _, c := range f.Choices {
			has = has || c == m.Answer
		}
		if !has {
			f.Choices = append(append([]string(nil), f.Choices...), m.Answer)
		}
		s.by[m.Question] = f
	}
}

// Reliability is the probability that an answer to q is not just noise, by how it
// is known: the table's value, or the question's own for what was only told.
func Reliability(pack *rules.Pack, q *rules.Question, known string) float64 {
	if q.Told > 0 && (known == casefile.KnownTold || known == "") {
		return q.Told
	}
	for _, k := range pack.Words.Known {
		if k.ID == known {
			return k.Reliability
		}
	}
	// An answer with no mark of how it is known is as good as hearsay.
	return pack.Words.Known[0].Reliability
}

// PerSI turns the SI value of an amount into the unit its bins are in: litres
// from m3, hours from s, years as they are.
func PerSI(unit string) float64 {
	switch unit {
	case "L":
		return 1000
	case "h":
		return 1.0 / 3600
	default:
		return 1
	}
}

// Bin returns the answer of an amount question whose range holds v: below all
// ranges the first, above them the last, and for nothing the answer without one.
func Bin(q *rules.Question, v float64) string {
	best, gap := "", math.Inf(1)
	for _, a := range q.Answers {
		if a.From == nil {
			if v <= 0 {
				return a.ID // none of it
			}
			continue
		}
		d := 0.0
		if v < *a.From {
			d = *a.From - v
		} else if v >= *a.To {
			d = v - *a.To + 1e-12
		}
		if d < gap {
			best, gap = a.ID, d
		}
	}
	return best
}

// Choices implements rules.Facts.
func (s *Set) Choices(question string) ([]string, bool) {
	f, ok := s.Get(question)
	if !ok || f.HasValue && len(f.Choices) == 0 {
		return nil, false
	}
	return f.Choices, true
}

// Number implements rules.Facts.
func (s *Set) Number(question string) (float64, bool) {
	f, ok := s.Get(question)
	if !ok || !f.HasValue {
		return 0, false
	}
	return f.Value, true
}

// Get returns the fact about a question.
func (s *Set) Get(question string) (Fact, bool) {
	if s.read != nil {
		s.read[question] = true
	}
	f, ok := s.by[question]
	return f, ok
}

// Is reports that the question was answered, and with that choice.
func (s *Set) Is(question, choice string) bool {
	f, ok := s.Get(question)
	if !ok {
		return false
	}
	for _, c := range f.Choices {
		if c == choice {
			return true
		}
	}
	return false
}

// Choice returns the first chosen answer of a question, or "".
func (s *Set) Choice(question string) string {
	if f, ok := s.Get(question); ok && len(f.Choices) > 0 {
		return f.Choices[0]
	}
	return ""
}

// Typed returns what was typed for a question, or "".
func (s *Set) Typed(question string) string {
	f, _ := s.Get(question)
	return f.Answer.Typed
}

// Questions returns the ids of all questions with a fact, in pack order.
func (s *Set) Questions() []string {
	ids := make([]string, 0, len(s.by))
	for id := range s.by {
		ids = append(ids, id)
	}
	order := make(map[string]int, len(s.pack.Questions))
	for i := range s.pack.Questions {
		order[s.pack.Questions[i].ID] = i
	}
	sort.Slice(ids, func(i, j int) bool { return order[ids[i]] < order[ids[j]] })
	return ids
}

// Spots are the places on the plan that the fact names; none for other facts.
func (f Fact) Spots() []measure.Spot {
	if f.Question == nil || f.Question.Kind != rules.KindSpots {
		return nil
	}
	spots, _ := measure.Spots(f.Answer.Typed) // From took only what can be read
	return spots
}

// Says words a fact for a person: the answer as the question puts it.
func (f Fact) Says() string {
	if spots := f.Spots(); len(spots) > 0 {
		var out []string
		for _, s := range spots {
			out = append(out, s.Words())
		}
		return strings.Join(out, "; ")
	}
	if f.HasValue {
		return f.Number()
	}
	out := ""
	for _, c := range f.Choices {
		if a, ok := f.Question.Answer(c); ok {
			if out != "" {
				out += "; "
			}
			out += a.Says
		}
	}
	if out == "" && f.Question.Kind == rules.KindSeveral {
		return "None of these"
	}
	if out == "" {
		return f.Answer.Typed
	}
	return out
}
