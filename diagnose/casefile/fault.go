package casefile

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/BurntSushi/toml"
)

// FileError says what is wrong with a case file, where, and what to do.
type FileError struct {
	File   string // name of the file as given to Decode
	Line   int    // from 1; 0 when the fault belongs to no line
	Column int    // from 1, in bytes; 0 when not known
	Cause  string // what is wrong, in plain words
	Remedy string // what to do about it
}

// Error puts all of it in one paragraph.
func (e *FileError) Error() string {
	where := filepath.Base(e.File)
	if e.File == "" {
		where = "case file"
	}
	if e.Line > 0 {
		where += fmt.Sprintf(", line %d", e.Line)
	}
	if e.Column > 0 {
		where += fmt.Sprintf(", column %d", e.Column)
	}
	text := where + ": " + e.Cause + "."
	if e.Remedy != "" {
		text += " " + e.Remedy
	}
	return text
}

const restore = "Put the line right in a text editor, or go back to an earlier copy of the file."

// syntaxFault turns the library's words into ours. The messages matched here
// are those of github.com/BurntSushi/toml v1.6.0; one that is not matched is
// passed on as it is, with the same place and advice.
func syntaxFault(name string, text []byte, err error) *FileError {
	var parse toml.ParseError
	if !errors.As(err, &parse) {
		return &FileError{File: name, Cause: "the text is not sound TOML: " + err.Error(), Remedy: restore}
	}
	f := &FileError{File: name, Line: parse.Position.Line, Column: parse.Position.Col, Remedy: restore}
	m := parse.Message
	switch {
	case strings.HasPrefix(m, "strings cannot contain newlines"):
		f.Cause = "a quoted text is not closed before the end of the line"
		f.Remedy = `Add the missing " at the end of the text.`
	case strings.HasPrefix(m, "unexpected EOF"):
		f.Cause = "the file stops in the middle of an entry; it may have been cut short on its way here"
		f.Remedy = "Ask for the file again, or take out the unfinished entry at the end."
	case strings.Contains(m, "has already been defined"), strings.Contains(m, "was already created as a hash"):
		f.Cause = fmt.Sprintf("the key %q stands twice in the same entry", parse.LastKey)
		f.Remedy = "Keep one of the two lines, or start a new [[event]] above the second."
		// The library gives a wrong column here.
		f.Column = 0
	case strings.Contains(m, "cannot be used as an array"):
		f.Cause = "events are written both as a list and as [[event]] tables"
		f.Remedy = "Write every event as its own [[event]] table."
		f.Column = 0
	case strings.HasPrefix(m, "invalid datetime"):
		f.Cause = "a date or time cannot be read"
		f.Remedy = `Write a time as 2026-01-12T09:30:00Z, and put a text in double quotes.`
	case strings.HasPrefix(m, "expected value but found"):
		f.Cause = "a value is missing or a text has no quotes around it (" + m + ")"
		f.Remedy = `Put texts in double quotes, as in kind = "noted".`
	case strings.HasPrefix(m, "TOML files cannot contain control characters"):
		f.Cause = "there is a control character in the text, which no keyboard types by accident"
		f.Remedy = "Take the character out, or go back to an earlier copy of the file."
	default:
		f.Cause = "the text is not sound TOML: " + m
	}
	if lines := strings.Count(string(text), "\n") + 1; f.Line > lines {
		f.Line, f.Column = lines, 0
	}
	return f
}
