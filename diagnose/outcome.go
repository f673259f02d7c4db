package diagnose

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"underlap/diagnose/explain"

	"underlap/diagnose/casefile"
)

// Hows are the ways in which it can be known what a cause was, surest first.
var Hows = []string{casefile.KnownOpened, casefile.KnownRepaired, casefile.KnownGuess}

// Outcome is how a case ended.
type Outcome struct {
	Found []string // ids of the causes found, empty: it was never found
	How   string   // one of Hows
	Note  string
	At    time.Time
	Event string // id of the event
}

// OutcomeOf is the outcome that stands; ok is false while the case is open.
func OutcomeOf(state casefile.State) (o Outcome, ok bool) {
	n := len(state.Outcomes)
	if n == 0 {
		return o, false
	}
	e := state.Outcomes[n-1]
	return Outcome{Found: e.Answers, How: e.Known, Note: e.Note, At: e.At, Event: e.ID}, true
}

// closed words how the case ended, empty while it is open.
func (w *work) closed() string {
	o, ok := OutcomeOf(w.state)
	if !ok {
		return ""
	}
	found := "the cause was not found"
	if len(o.Found) > 0 {
		var names []string
		for _, id := range o.Found {
			name := id
			if c, ok := w.pack.Cause(id); ok {
				name = explain.LowerFirst(c.Name)
			}
			names = append(names, name)
		}
		found = "found " + strings.Join(names, " and ")
	}
	return fmt.Sprintf("Closed on %s: %s (%s).", o.At.Format("2 January 2006"), found, strings.ReplaceAll(o.How, "-", " "))
}

// Outcome is how the case ended; ok is false while it is open.
func (c *Call) Outcome() (o Outcome, ok bool) { return OutcomeOf(c.state) }

// Close writes down what was found, no causes when nothing was. A later outcome stands
// in place of an earlier one. The knowledge in use is written beside it.
func (c *Call) Close(found []string, how, note string) error {
	if !slices.Contains(Hows, how) {
		return &InputError{Text: fmt.Sprintf("%q is not how a cause is known; write %s", how, strings.Join(Hows, ", "))}
	}
	seen := map[string]bool{}
	for _, id := range found {
		if _, ok := c.pack.Cause(id); !ok {
			return &InputError{Text: fmt.Sprintf("there is no cause %q; the causes are %s", id, c.causeIDs())}
		}
		if seen[id] {
			return &InputError{Text: fmt.Sprintf("cause %q is named twice", id)}
		}
		seen[id] = true
	}
	return c.write(casefile.Event{Kind: casefile.KindOutcome, Answers: found, Known: how, Note: note, Pack: c.pack.Hash})
}

func (c *Call) causeIDs() string {
	var out []string
	for i := range c.pack.Causes {
		out = append(out, c.pack.Causes[i].ID)
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

// Reopen takes every outcome back. The log keeps them.
func (c *Call) Reopen() error {
	if len(c.state.Outcomes) == 0 {
		return &InputError{Text: "the case is open; there is no outcome to take back"}
	}
	for _, e := range slices.Clone(c.state.Outcomes) {
		if err := c.write(casefile.Event{Kind: casefile.KindWithdrawn, About: e.ID}); err != nil && !errors.Is(err, casefile.ErrUnflushed) {
			return err
		}
	}
	return nil
}
