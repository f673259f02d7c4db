package diagnose

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/rules"
)

// Log is where a call's answers go. A *casefile.Store is one; so is the
// in-memory log that shows an example without a file.
type Log interface {
	Case() *casefile.Case
	Append(casefile.Event) (casefile.Event, error)
}

// Call is one consultation in progress: a case on disk, the knowledge, and the
// reading as it stands. Every answer is in the log before Answer returns.
// A Call is not for use from several goroutines at once.
type Call struct {
	log    Log
	pack   *rules.Pack
	author string
	now    func() time.Time

	state   casefile.State
	facts   *facts.Set
	reading *Reading
	memory  memory
}

// NewCall opens a consultation on a log. author is written into each event; now
// is the clock (only cmd owns a real one).
func NewCall(log Log, pack *rules.Pack, author string, now func() time.Time) (*Call, error) {
	c := &Call{log: log, pack: pack, author: author, now: now}
	c.refresh()
	var err error
	c.reading, err = consult(c.log.Case(), c.state, c.facts, c.pack, &c.memory)
	return c, err
}

// refresh brings the answers up to date. The reading follows when it is asked for:
// a script that gives seventy answers wants one reading, not seventy.
func (c *Call) refresh() {
	c.state = c.log.Case().State()
	c.facts = facts.From(c.state, c.pack)
	c.reading = nil
}

// Reading is the reading as it stands.
func (c *Call) Reading() *Reading {
	if c.reading == nil {
		r, err := consult(c.log.Case(), c.state, c.facts, c.pack, &c.memory)
		if err != nil {
			// The pack passed its lint and NewCall consulted on it, so this is a
			// slip in code. The answers are safe on disk.
			panic(err)
		}
		c.reading = r
	}
	return c.reading
}

// Pack is the knowledge in use.
func (c *Call) Pack() *rules.Pack { return c.pack }

// Case is the log so far.
func (c *Call) Case() *casefile.Case { return c.log.Case() }

// Year is the year it is now, for ages given as a date.
func (c *Call) Year() int { return c.now().Year() }

// Given lists the questions that have an answer, in the order they were first given.
func (c *Call) Given() []string { return slices.Clone(c.state.Order) }

// Answer writes an answer, or a new answer to a question already answered. The old
// answer stays in the log. The reading is worked out anew when it is next asked for.
func (c *Call) Answer(question string, in Input) error {
	q, ok := c.pack.Question(question)
	if !ok {
		return &InputError{Question: question, Text: fmt.Sprintf("there is no question %q; run \"underlap questions\" for the list", question)}
	}
	if len(in.Choices) == 0 && in.Value == nil && in.Typed == "" {
		return inputError(q, "no answer was given; give %s", Expects(q))
	}
	kind := casefile.KindAnswered
	if _, before := c.state.Answers[question]; before {
		kind = casefile.KindRevised
	}
	known := in.Known
	if known == "" {
		known = DefaultKnown
	}
	return c.write(casefile.Event{
		Kind: kind, Question: question, Answers: in.Choices, Value: in.Value, Tolerance: in.Tolerance,
		Typed: in.Typed, Known: known, Note: in.Note,
	})
}

// DefaultKnown is how an answer is known when nobody says: it was told on the phone,
// a tape reading too, for the tape was in the owner's hand.
const DefaultKnown = casefile.KnownTold

// Know changes how the standing answer to a question is known.
func (c *Call) Know(question, known string) error {
	a, ok := c.state.Answers[question]
	if !ok {
		return errors.New("there is no answer yet to mark")
	}
	return c.Answer(question, Input{Choices: a.Choices, Value: a.Value, Tolerance: a.Tolerance, Typed: a.Typed, Known: known, Note: a.Note})
}

// Note puts a note beside the standing answer to a question, or to the case as
// a whole when question is empty.
func (c *Call) Note(question, text string) error {
	if question != "" {
		if a, ok := c.state.Answers[question]; ok {
			return c.Answer(question, Input{Choices: a.Choices, Value: a.Value, Tolerance: a.Tolerance, Typed: a.Typed, Known: a.Known, Note: text})
		}
	}
	return c.write(casefile.Event{Kind: casefile.KindNoted, Question: question, Note: text})
}

// Withdraw takes back the answer to a question; the log keeps it.
func (c *Call) Withdraw(question string) error {
	if _, ok := c.state.Answers[question]; !ok {
		return &InputError{Question: question, Text: fmt.Sprintf("there is no answer to %q to take back", question)}
	}
	return c.write(casefile.Event{Kind: casefile.KindWithdrawn, Question: question})
}

// Issued writes down that a letter was made from this reading.
func (c *Call) Issued(what string) error {
	return c.write(casefile.Event{Kind: casefile.KindIssued, Pack: c.pack.Hash, Note: what})
}

func (c *Call) write(e casefile.Event) error {
	e.At, e.By = c.now(), c.author
	_, err := c.log.Append(e)
	if err != nil && !errors.Is(err, casefile.ErrUnflushed) {
		return err
	}
	c.refresh()
	return err
}

// Step is one question's place in the interview.
type Step struct {
	Question *rules.Question
	State    string // "open", "answered", "asked" (awaited), "unknown", "skipped", "later" (does not apply, or not yet)
	Answer   string // the answer in words, when there is one
	Known    string
	Note     string
	Choices  []string
	Typed    string
	Revised  int
}

// Steps lists all questions in the guided order with what stands for each.
func (c *Call) Steps() []Step {
	out := make([]Step, len(c.pack.Questions))
	for i := range c.pack.Questions {
		out[i] = c.step(&c.pack.Questions[i])
	}
	return out
}

// Step returns one question's place.
func (c *Call) Step(question string) (Step, bool) {
	q, ok := c.pack.Question(question)
	if !ok {
		return Step{}, false
	}
	return c.step(q), true
}

func (c *Call) step(q *rules.Question) Step {
	s := Step{Question: q, State: "open"}
	a, ok := c.state.Answers[q.ID]
	if !ok {
		if !applies(q, c.facts, c.state) {
			s.State = "later"
		}
		return s
	}
	s.Known, s.Note, s.Choices, s.Typed, s.Revised = a.Known, a.Note, a.Choices, a.Typed, a.Revised
	switch {
	case a.Asked():
		s.State, s.Answer = "asked", "asked them for it"
	case a.Unknown():
		s.State, s.Answer = "unknown", "don't know"
	case a.Skipped():
		s.State, s.Answer = "skipped", "skipped"
	default:
		s.State = "answered"
		if f, ok := c.facts.Get(q.ID); ok {
			s.Answer = f.Says()
		} else {
			s.Answer = a.Typed
		}
	}
	return s
}

// applies tells whether a question can be asked now. A condition on a question
// that was answered "don't know" lets it be asked: it may apply.
func applies(q *rules.Question, f *facts.Set, state casefile.State) bool {
	if q.Test {
		return false // it is filled in when the test was done
	}
	for _, line := range q.Unless {
		if rules.All([]string{line}, f) == rules.Yes {
			return false
		}
	}
	for _, line := range q.When {
		switch rules.All([]string{line}, f) {
		case rules.No:
			return false
		case rules.NotKnown:
			c, err := rules.ParseCondition(line)
			if err != nil {
				return false
			}
			if a, ok := state.Answers[c.Question]; !ok || !a.Unknown() && !a.Skipped() && !a.Asked() {
				return false
			}
		}
	}
	return true
}

// Following is the next open question in the guided order after the given one,
// from the start again when the end is reached; "" when none is open.
func (c *Call) Following(question string) string {
	steps := c.Steps()
	at := -1
	for i, s := range steps {
		if s.Question.ID == question {
			at = i
		}
	}
	for k := 1; k <= len(steps); k++ {
		if s := steps[(at+k)%len(steps)]; s.State == "open" {
			return s.Question.ID
		}
	}
	return ""
}

// MemoryLog is a log that is kept nowhere: for a look at an example.
type MemoryLog struct{ c casefile.Case }

// NewMemoryLog starts from a copy of a case.
func NewMemoryLog(c *casefile.Case) *MemoryLog {
	m := &MemoryLog{c: *c}
	m.c.Events = append([]casefile.Event(nil), c.Events...)
	return m
}

// Case returns the case so far.
func (m *MemoryLog) Case() *casefile.Case { return &m.c }

// Append adds an event; it is gone when the program ends.
func (m *MemoryLog) Append(e casefile.Event) (casefile.Event, error) {
	e.ID = fmt.Sprintf("%04d-memo", len(m.c.Events)+1)
	next := m.c
	next.Events = append(append([]casefile.Event(nil), m.c.Events...), e)
	m.c = next
	return e, nil
}
