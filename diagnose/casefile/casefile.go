// Package casefile keeps a case as a log: a head, then events that are only
// ever added. The file is TOML text that a person can read, compare and mail.
//
// What the case says now is a fold over the log (see State). An answer is
// changed by adding an event, never by changing one, so it stays known who
// knew what and when, and two copies of a case merge by the union of their
// events.
//
// The package never looks at the clock and never draws random numbers: the
// caller gives the time of every event, and event ids come from the content.
package casefile

import (
	"slices"
	"time"
)

// Format is the mark that every case file of this version carries.
const Format = "underlap-case-1"

// MaxSize is the largest case file that is read or written, in bytes.
const MaxSize = 16 << 20

// Kinds of event known to this version.
const (
	KindAnswered  = "answered"  // a question was answered
	KindRevised   = "revised"   // an answer was replaced
	KindWithdrawn = "withdrawn" // an answer, or the event named in About, was taken back
	KindNoted     = "noted"     // something worth keeping that answers no question
	KindPhoto     = "photo"     // a photograph was added
	KindSighting  = "sighting"  // water was seen at a place
	KindWeather   = "weather"   // the weather of some days, one to a line of the note
	KindIssued    = "issued"    // a reading was sent out
	KindOutcome   = "outcome"   // what was found when it was opened
	KindRemark    = "remark"    // a supervisor's remark
	KindSigned    = "signed"    // a supervisor signed the case off
)

// Ways in which something is known.
const (
	KnownTold     = "told"     // somebody said so
	KnownPhoto    = "photo"    // seen in a photograph
	KnownMeasured = "measured" // measured with a tape or an instrument
	KnownOpened   = "opened"   // seen after opening up

	KnownRepaired = "repaired-and-dry" // of an outcome: it was repaired and has stayed dry
	KnownGuess    = "guess"            // of an outcome: nobody looked
)

// Choices that stand for not having an answer.
const (
	ChoiceUnknown = "unknown" // they do not know
	ChoiceAsked   = "ask"     // they were asked for it and have not replied
	ChoiceSkipped = "skipped" // passed over
)

// Head says which case a file holds. It never changes after the file is made.
type Head struct {
	Format  string    // Format; Create fills it in
	ID      string    // name of the case, the same in every copy of it
	Title   string    // one line for people
	Place   string    // climate place; may be empty
	Created time.Time // when the case was opened, to the second, UTC

	// Extra holds the keys that this version does not know.
	Extra map[string]any
}

// Event is one entry of the log.
type Event struct {
	ID        string    // running number and four characters, "0007-k3f9"; Append fills it in
	At        time.Time // to the second, UTC
	By        string    // who made the entry
	Kind      string    // one of the kinds above, or one that a later version added
	Question  string    // id of the question, for answered, revised and withdrawn
	Answers   []string  // ids of the chosen answers; for an outcome, of the causes found
	Value     *float64  // a number in SI, nil when there is none; 0 is a value
	Tolerance float64   // half width of Value, in the unit of Value; 0 when not said
	Typed     string    // what was typed, as typed
	Known     string    // how it is known: told, photo, measured or opened
	Note      string    // free text, may have several lines
	About     string    // id of the event that this one is about
	File      string    // name of a photograph
	Hash      string    // hash of the photograph
	Pack      string    // hash of the knowledge pack that an issued reading used
	Place     string    // where a sighting was, in words or as a name on the plan
	X, Y      *float64  // where it was on the plan, in metres
	Seen      time.Time // when a sighting was made, if that was not At

	// Extra holds the keys that this version does not know. They are written
	// back when an event travels to another copy of the case.
	Extra map[string]any
}

// Case is a head and its events in the order of the file. Treat it and all
// it holds as read-only: a Store hands out the same events again and again.
type Case struct {
	Head
	Events   []Event
	Warnings []string // what was read but not understood; nothing is lost by it
}

// Log gives the events in the order in which they are folded: by time, then
// by running number, then by id. Append keeps the file in this order; only a
// file that was merged or edited by hand can differ from it.
func (c *Case) Log() []Event {
	log := slices.Clone(c.Events)
	slices.SortStableFunc(log, compareEvents)
	return log
}

// Until gives the case as it stood after the first n events of the log. It
// is what replay steps through.
func (c *Case) Until(n int) *Case {
	log := c.Log()
	return &Case{Head: c.Head, Events: log[:max(0, min(n, len(log)))]}
}
