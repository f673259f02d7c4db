package casefile

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/BurntSushi/toml"
)

// Decode reads a case from the text of a file. The name is used in messages
// only. The error is a *FileError. What this version does not know becomes a
// warning in the case, never an error.
func Decode(data []byte, name string) (*Case, error) {
	if len(data) > MaxSize {
		return nil, &FileError{
			File:   name,
			Cause:  fmt.Sprintf("the file has %d bytes, and a case may have at most %d", len(data), MaxSize),
			Remedy: "This is hardly a case file. Photographs stay in files of their own.",
		}
	}
	if fault := checkText(name, data); fault != nil {
		return nil, fault
	}
	l := scan(data)
	switch {
	case l.marker.line > 0:
		return nil, &FileError{
			File: name, Line: l.marker.line, Column: l.marker.column,
			Cause:  "here is a mark left by a program that merges texts",
			Remedy: "Get the two copies of the case as they were and merge them as cases.",
		}
	case l.deep.line > 0:
		return nil, &FileError{
			File: name, Line: l.deep.line, Column: l.deep.column,
			Cause:  "brackets or dotted names nest too deeply",
			Remedy: restore,
		}
	}
	tree, err := parse(string(data))
	if err != nil {
		return nil, syntaxFault(name, data, err)
	}
	return (&reader{name: name, layout: l}).readCase(tree)
}

// parse calls the library and turns its own mishaps into errors too.
func parse(text string) (tree map[string]any, err error) {
	defer func() {
		if mishap := recover(); mishap != nil {
			err = fmt.Errorf("the reader gave up: %v", mishap)
		}
	}()
	_, err = toml.Decode(text, &tree)
	return tree, err
}

// checkText refuses what is not UTF-8 text.
func checkText(name string, data []byte) *FileError {
	if bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}) {
		return &FileError{
			File: name, Line: 1, Column: 1,
			Cause:  "the file was saved as UTF-16",
			Remedy: "Save it again as UTF-8: most editors offer this under Save As.",
		}
	}
	bad := bytes.IndexByte(data, 0)
	cause := "there is a zero byte in the text"
	if !utf8.Valid(data) {
		for i := 0; i < len(data); {
			r, size := utf8.DecodeRune(data[i:])
			if r == utf8.RuneError && size == 1 {
				if bad < 0 || i < bad {
					bad, cause = i, "there is a byte that is not UTF-8 text"
				}
				break
			}
			i += size
		}
	}
	if bad < 0 {
		return nil
	}
	before := data[:bad]
	return &FileError{
		File: name, Line: 1 + bytes.Count(before, []byte{'\n'}), Column: bad - bytes.LastIndexByte(before, '\n'),
		Cause:  cause,
		Remedy: "Save the file again as UTF-8, or go back to an earlier copy of it.",
	}
}

// reader turns the decoded tables into a case and keeps the place of each.
type reader struct {
	name     string
	layout   layout
	warnings []string
	fault    *FileError // the first fault found
}

func (r *reader) fail(at place, cause, remedy string) {
	if r.fault == nil {
		r.fault = &FileError{File: r.name, Line: at.line, Column: at.column, Cause: cause, Remedy: remedy}
	}
}

func (r *reader) warn(at place, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if at.line > 0 {
		text = fmt.Sprintf("line %d: %s", at.line, text)
	}
	r.warnings = append(r.warnings, text)
}

func (r *reader) readCase(tree map[string]any) (*Case, error) {
	events := r.eventTables(tree)
	c := &Case{}
	c.Head = r.readHead(tree)
	seen := map[string]int{}
	for i, table := range events {
		if r.fault != nil {
			break
		}
		e := r.readEvent(i, table)
		if first, twice := seen[e.ID]; twice && r.fault == nil {
			r.fail(r.sectionOf(i).keys["id"],
				fmt.Sprintf("event id %q is used twice, first on line %d", e.ID, r.sectionOf(first).keys["id"].line),
				"Two copies may have been pasted together. Keep one of the two if they are the same; otherwise give the second another id.")
		}
		seen[e.ID] = i
		c.Events = append(c.Events, e)
	}
	if r.fault != nil {
		return nil, r.fault
	}
	c.Warnings = r.warnings
	return c, nil
}

// eventTables takes the events out of the tree.
func (r *reader) eventTables(tree map[string]any) []map[string]any {
	raw, found := tree["event"]
	if !found {
		return nil
	}
	delete(tree, "event")
	tables, ok := raw.([]map[string]any)
	if !ok {
		r.fail(r.layout.head.keys["event"], "events are not written as [[event]] tables", "Write every event as its own [[event]] table.")
		return nil
	}
	if len(tables) != len(r.layout.events) {
		// An inline list of tables decodes to the same tree, but nothing can
		// be added at the end of such a file.
		r.fail(r.layout.head.keys["event"], "not every event is written as an [[event]] table", "Write every event as its own [[event]] table.")
		return nil
	}
	return tables
}

func (r *reader) sectionOf(i int) section {
	if i < len(r.layout.events) {
		return r.layout.events[i]
	}
	return section{}
}

func (r *reader) readHead(tree map[string]any) Head {
	t := table{r, r.layout.head, tree}
	format := t.text("format")
	switch {
	case r.fault != nil:
	case format == "" && len(r.layout.head.keys) == 0:
		r.fail(place{}, "the file holds no case; it may be empty",
			"Go back to an earlier copy of the file. Nothing is lost by deleting an empty one.")
	case format == "":
		r.fail(place{}, "there is no format line, so this is not a case file",
			fmt.Sprintf("A case file begins with format = %q.", Format))
	case format != Format && strings.HasPrefix(format, "underlap-case-"):
		r.fail(t.at("format"), fmt.Sprintf("the format is %q, and this version reads %q", format, Format),
			"Open it with the version of the program that wrote it, or a newer one.")
	case format != Format:
		r.fail(t.at("format"), fmt.Sprintf("the format is %q, which is not a case file", format),
			fmt.Sprintf("A case file begins with format = %q.", Format))
	}
	h := Head{Format: format, ID: t.text("id"), Title: t.text("title"), Place: t.text("place"), Created: t.time("created")}
	if h.ID == "" {
		r.fail(t.at("id"), "the case has no id", `Add a line such as id = "garage-music-room-7f3a" at the top.`)
	}
	if h.Created.IsZero() {
		r.warn(place{}, "the case does not say when it was opened (key %q)", "created")
	}
	h.Extra = t.rest("in the head of the file")
	return h
}

var (
	knownKinds = []string{
		KindAnswered, KindRevised, KindWithdrawn, KindNoted, KindPhoto,
		KindSighting, KindWeather, KindIssued, KindOutcome, KindRemark, KindSigned,
	}
	knownWays = []string{KnownTold, KnownPhoto, KnownMeasured, KnownOpened, KnownRepaired, KnownGuess}
)

func (r *reader) readEvent(i int, tree map[string]any) Event {
	t := table{r, r.sectionOf(i), tree}
	e := Event{
		ID: t.text("id"), At: t.time("at"), By: t.text("by"), Kind: t.text("kind"),
		Question: t.text("question"), Answers: t.texts("answers"),
		Value: t.number("value"), Typed: t.text("typed"), Known: t.text("known"), Note: t.longText("note"),
		About: t.text("about"), File: t.text("file"), Hash: t.text("hash"), Pack: t.text("pack"),
		Place: t.text("place"), X: t.number("x"), Y: t.number("y"), Seen: t.time("seen"),
	}
	tolerance := t.number("tolerance")
	e.Extra = t.rest(fmt.Sprintf("in event %q", e.ID))
	const remedy = "Every event has an id, a time (at) and a kind. Add what is missing, or take the event out."
	switch {
	case r.fault != nil:
		return e
	case e.ID == "":
		r.fail(t.section.at, "this event has no id", remedy)
	case e.At.IsZero():
		r.fail(t.section.at, fmt.Sprintf("event %q has no time", e.ID), remedy)
	case e.Kind == "":
		r.fail(t.section.at, fmt.Sprintf("event %q has no kind", e.ID), remedy)
	}
	if tolerance != nil {
		if *tolerance < 0 {
			r.fail(t.at("tolerance"), "a tolerance cannot be below zero", "Write the half width, as in tolerance = 0.005.")
		}
		e.Tolerance = *tolerance
	}
	if !slices.Contains(knownKinds, e.Kind) {
		r.warn(t.section.at, "event %q is of kind %q, which this version does not know; it is kept and not used", e.ID, e.Kind)
	}
	if e.Known != "" && !slices.Contains(knownWays, e.Known) {
		r.warn(t.at("known"), "event %q is known by %q, which this version does not know", e.ID, e.Known)
	}
	if (e.Kind == KindAnswered || e.Kind == KindRevised) && e.Question == "" {
		r.warn(t.section.at, "event %q is %s but names no question; it is kept and not used", e.ID, e.Kind)
	}
	return e
}

// table takes known keys out of a decoded table one by one. What is left at
// the end is unknown.
type table struct {
	reader  *reader
	section section
	tree    map[string]any
}

func (t table) at(key string) place {
	if p, found := t.section.keys[key]; found {
		return p
	}
	return t.section.at
}

func (t table) take(key string) any {
	v := t.tree[key]
	delete(t.tree, key)
	return v
}

func (t table) wrong(key string, got any, expected, example string) {
	t.reader.fail(t.at(key), fmt.Sprintf("%s should be %s but is %s", key, expected, described(got)), "Write it as "+example+".")
}

func described(v any) string {
	switch v := v.(type) {
	case string:
		return "a text"
	case bool:
		return "yes or no"
	case int64:
		return fmt.Sprintf("the number %d", v)
	case float64:
		return fmt.Sprintf("the number %v", v)
	case time.Time:
		return "a date or time"
	case []any, []map[string]any:
		return "a list"
	default:
		return "a table"
	}
}

func (t table) text(key string) string { return oneLine(t.longText(key)) }

func (t table) longText(key string) string {
	switch v := t.take(key).(type) {
	case nil:
		return ""
	case string:
		return clean(v)
	default:
		t.wrong(key, v, "a text", key+` = "..."`)
		return ""
	}
}

func (t table) texts(key string) []string {
	v := t.take(key)
	if v == nil {
		return nil
	}
	list, ok := v.([]any)
	if !ok {
		t.wrong(key, v, "a list of texts", key+` = ["yes"]`)
		return nil
	}
	var out []string
	for _, item := range list {
		s, ok := item.(string)
		if !ok {
			t.wrong(key, item, "a list of texts", key+` = ["yes"]`)
			return nil
		}
		out = append(out, oneLine(clean(s)))
	}
	return out
}

func (t table) number(key string) *float64 {
	var x float64
	switch v := t.take(key).(type) {
	case nil:
		return nil
	case float64:
		x = v
	case int64:
		x = float64(v)
	default:
		t.wrong(key, v, "a number", key+" = 0.48")
		return nil
	}
	if math.IsNaN(x) || math.IsInf(x, 0) {
		t.wrong(key, x, "a finite number", key+" = 0.48")
		return nil
	}
	return &x
}

func (t table) time(key string) time.Time {
	v := t.take(key)
	if v == nil {
		return time.Time{}
	}
	at, ok := v.(time.Time)
	if !ok {
		t.wrong(key, v, "a time", key+" = 2026-01-12T09:30:00Z")
		return time.Time{}
	}
	// The library gives times without a zone these names. They would mean
	// another moment on another machine.
	if zone := at.Location().String(); strings.HasSuffix(zone, "-local") {
		t.reader.fail(t.at(key), key+" does not say its time zone", "Write it as "+key+" = 2026-01-12T09:30:00Z, where Z stands for Greenwich time.")
		return time.Time{}
	}
	at = tidyTime(at)
	if year := at.Year(); year < 1 || year > 9999 {
		t.reader.fail(t.at(key), key+" is outside the years 1 to 9999", "Write it as "+key+" = 2026-01-12T09:30:00Z.")
		return time.Time{}
	}
	return at
}

// rest gives what is left, with a warning for each key.
func (t table) rest(where string) map[string]any {
	if len(t.tree) == 0 {
		return nil
	}
	keys := make([]string, 0, len(t.tree))
	for k := range t.tree {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	for _, k := range keys {
		t.reader.warn(t.at(k), "the key %q %s is not known to this version; it is kept and not used", k, where)
	}
	return t.tree
}
