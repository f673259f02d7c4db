package casefile

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/BurntSushi/toml"
)

// headText and eventText fix the keys and their order in the file. A number
// that may be zero is a pointer: omitempty then leaves out nil but keeps 0.0.
// The time of a sighting is one because no option leaves out a zero time.
type headText struct {
	Format  string    `toml:"format"`
	ID      string    `toml:"id"`
	Title   string    `toml:"title"`
	Place   string    `toml:"place"`
	Created time.Time `toml:"created"`
}

type eventText struct {
	ID        string     `toml:"id"`
	At        time.Time  `toml:"at"`
	By        string     `toml:"by,omitempty"`
	Kind      string     `toml:"kind"`
	Question  string     `toml:"question,omitempty"`
	Answers   []string   `toml:"answers,omitempty"`
	Value     *float64   `toml:"value,omitempty"`
	Tolerance float64    `toml:"tolerance,omitzero"`
	Typed     string     `toml:"typed,omitempty"`
	Known     string     `toml:"known,omitempty"`
	About     string     `toml:"about,omitempty"`
	File      string     `toml:"file,omitempty"`
	Hash      string     `toml:"hash,omitempty"`
	Pack      string     `toml:"pack,omitempty"`
	Place     string     `toml:"place,omitempty"`
	X         *float64   `toml:"x,omitempty"`
	Y         *float64   `toml:"y,omitempty"`
	Seen      *time.Time `toml:"seen,omitempty"`
	Note      lines      `toml:"note,omitempty"`
}

// lines is a text that is written as it is read: one of several lines keeps them, so that
// a list of days can be compared line by line.
type lines string

// MarshalTOML implements toml.Marshaler.
func (s lines) MarshalTOML() ([]byte, error) {
	text := strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(string(s))
	if !strings.Contains(text, "\n") {
		return []byte(`"` + strings.ReplaceAll(text, "\t", `\t`) + `"`), nil
	}
	return []byte("\"\"\"\n" + text + "\"\"\""), nil
}

var eventKeys = []string{
	"id", "at", "by", "kind", "question", "answers", "value", "tolerance", "typed", "known",
	"about", "file", "hash", "pack", "place", "x", "y", "seen", "note",
}

// encodeHead writes the head of a new file.
func encodeHead(h Head) ([]byte, error) {
	var b bytes.Buffer
	enc := toml.NewEncoder(&b)
	enc.Indent = ""
	err := enc.Encode(headText{Format: h.Format, ID: h.ID, Title: h.Title, Place: h.Place, Created: h.Created})
	return b.Bytes(), err
}

// encodeEvent writes one [[event]] table, and reads it back to be sure that
// what goes to disk can be read again.
func encodeEvent(e Event) ([]byte, error) {
	text, err := encodeEventBody(e)
	if err != nil {
		return nil, err
	}
	tree, err := parse(string(text))
	if err != nil {
		return nil, fmt.Errorf("event cannot be read back: %w", err)
	}
	if back, ok := tree["event"].([]map[string]any); !ok || len(back) != 1 || back[0]["id"] != e.ID {
		return nil, errors.New("event cannot be read back")
	}
	return text, nil
}

func encodeEventBody(e Event) ([]byte, error) {
	var b bytes.Buffer
	enc := toml.NewEncoder(&b)
	enc.Indent = ""
	known := eventText{
		ID: e.ID, At: e.At, By: e.By, Kind: e.Kind, Question: e.Question, Answers: e.Answers,
		Value: e.Value, Tolerance: e.Tolerance, Typed: e.Typed, Known: e.Known, About: e.About,
		File: e.File, Hash: e.Hash, Pack: e.Pack, Place: e.Place, X: e.X, Y: e.Y, Note: lines(e.Note),
	}
	if !e.Seen.IsZero() {
		known.Seen = &e.Seen
	}
	if err := enc.Encode(map[string]any{"event": []eventText{known}}); err != nil {
		return nil, err
	}
	if len(e.Extra) > 0 {
		// Encoded as an event of its own, so that tables inside it get their
		// full names; then its first line is dropped.
		var more bytes.Buffer
		enc := toml.NewEncoder(&more)
		enc.Indent = ""
		if err := enc.Encode(map[string]any{"event": []map[string]any{e.Extra}}); err != nil {
			return nil, fmt.Errorf("keys of a later version: %w", err)
		}
		_, rest, _ := bytes.Cut(more.Bytes(), []byte{'\n'})
		b.Write(rest)
	}
	return b.Bytes(), nil
}

// tidyEvent cleans what came from a keyboard or a clipboard, and refuses what
// could not be read again.
func tidyEvent(e Event) (Event, error) {
	for _, s := range []*string{
		&e.ID, &e.By, &e.Kind, &e.Question, &e.Typed, &e.Known,
		&e.About, &e.File, &e.Hash, &e.Pack, &e.Place,
	} {
		*s = oneLine(clean(*s))
	}
	e.Note = clean(e.Note)
	e.Answers = slices.Clone(e.Answers)
	for i := range e.Answers {
		e.Answers[i] = oneLine(clean(e.Answers[i]))
	}
	if len(e.Answers) == 0 {
		e.Answers = nil
	}
	e.At, e.Seen = tidyTime(e.At), tidyTime(e.Seen)
	switch {
	case e.Kind == "":
		return e, errors.New("the event has no kind")
	case e.At.IsZero():
		return e, errors.New("the event has no time")
	case !yearFits(e.At), !yearFits(e.Seen):
		return e, errors.New("the time of the event is outside the years 1 to 9999")
	case (e.Kind == KindAnswered || e.Kind == KindRevised) && e.Question == "":
		return e, fmt.Errorf("an event of kind %q needs a question", e.Kind)
	case e.Kind == KindWithdrawn && e.Question == "" && e.About == "":
		return e, errors.New("a withdrawal needs a question or the id of an event")
	case e.Tolerance < 0:
		return e, errors.New("a tolerance cannot be below zero")
	}
	for _, x := range []*float64{e.Value, &e.Tolerance, e.X, e.Y} {
		if x != nil && (math.IsNaN(*x) || math.IsInf(*x, 0)) {
			return e, errors.New("a value of the event is not a finite number")
		}
	}
	for key := range e.Extra {
		if slices.Contains(eventKeys, key) {
			return e, fmt.Errorf("the key %q belongs to the event itself", key)
		}
	}
	return e, nil
}

func yearFits(t time.Time) bool { return t.Year() >= 1 && t.Year() <= 9999 }

// tidyTime drops what the file does not keep: zone, fractions of a second and
// the reading of the monotonic clock.
func tidyTime(t time.Time) time.Time {
	if t.IsZero() {
		return time.Time{}
	}
	return t.UTC().Truncate(time.Second)
}

// clean makes a string safe to store and to show. Bytes that are not UTF-8
// become a replacement character; control characters go, as they could move
// the cursor or change colours of a terminal. Tab and new line stay.
func clean(s string) string {
	s = strings.ToValidUTF8(s, "\ufffd")
	s = strings.ReplaceAll(s, "\r\n", "\n")
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\r':
			return '\n'
		case r == '\n' || r == '\t':
			return r
		case unicode.IsControl(r):
			return -1
		}
		return r
	}, s)
}

// oneLine puts a string on a single line.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' {
			return ' '
		}
		return r
	}, s)
}
