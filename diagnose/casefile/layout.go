package casefile

import (
	"bytes"
	"strings"
)

// place is where something stands in the text, both from 1; 0 is "not known".
type place struct{ line, column int }

// section is one table of the text and where its keys stand.
type section struct {
	at   place
	keys map[string]place
}

// layout knows where the tables and keys of a case file stand. The TOML
// library says that for faults of syntax only, and a person who edits a case
// by hand needs it for every fault.
type layout struct {
	head   section
	events []section

	deep   place // where brackets or dotted names nest too deeply, if they do
	marker place // where a leftover of a text merge stands, if one does
}

// maxNesting bounds brackets and dotted names. The TOML library descends into
// them by recursion, so a hostile file could otherwise exhaust the stack.
const maxNesting = 48

// scan walks over the text once. It follows strings and comments as TOML has
// them, so it agrees with the library for as long as the text is sound.
func scan(text []byte) layout {
	l := layout{head: section{keys: map[string]place{}}}
	current := &l.head
	elsewhere := section{keys: map[string]place{}}

	line, start, depth, dots := 1, 0, 0, 0
	atLineStart := true
	for i := 0; i < len(text); {
		if atLineStart && depth == 0 {
			row := text[i:]
			if end := bytes.IndexByte(row, '\n'); end >= 0 {
				row = row[:end]
			}
			at := place{line, 1 + len(row) - len(bytes.TrimLeft(row, " \t"))}
			switch name, kind := lineName(row); kind {
			case arrayHeader:
				current = &elsewhere
				if name == "event" {
					l.events = append(l.events, section{at: at, keys: map[string]place{}})
					current = &l.events[len(l.events)-1]
				}
			case tableHeader:
				current = &elsewhere
			case keyLine:
				if _, seen := current.keys[name]; !seen {
					current.keys[name] = at
				}
			case mergeMarker:
				if l.marker.line == 0 {
					l.marker = at
				}
			}
		}
		atLineStart = false
		switch c := text[i]; c {
		case '\n':
			line++
			i++
			start, dots = i, 0
			atLineStart = true
			continue
		case '#':
			for i < len(text) && text[i] != '\n' {
				i++
			}
			continue
		case '"', '\'':
			end := stringEnd(text, i)
			if n := bytes.Count(text[i:end], []byte{'\n'}); n > 0 {
				line += n
				start = i + bytes.LastIndexByte(text[i:end], '\n') + 1
			}
			i = end
			continue
		case '[', '{':
			depth++
			dots = 0
		case ']', '}':
			depth = max(0, depth-1)
			dots = 0
		case '=', ',':
			dots = 0
		case '.':
			dots++
		}
		if (depth > maxNesting || dots > maxNesting) && l.deep.line == 0 {
			l.deep = place{line, i - start + 1}
		}
		i++
	}
	return l
}

// stringEnd gives the index after the string that opens at i. A string on one
// line ends at the end of the line at the latest.
func stringEnd(text []byte, i int) int {
	quote := text[i]
	triple := []byte{quote, quote, quote}
	if bytes.HasPrefix(text[i:], triple) {
		for j := i + 3; j < len(text); j++ {
			if quote == '"' && text[j] == '\\' {
				j++
				continue
			}
			if bytes.HasPrefix(text[j:], triple) {
				j += 3
				// Up to two quotes may stand before the closing three.
				for extra := 0; extra < 2 && j < len(text) && text[j] == quote; extra++ {
					j++
				}
				return j
			}
		}
		return len(text)
	}
	for j := i + 1; j < len(text); j++ {
		switch {
		case text[j] == '\n':
			return j
		case quote == '"' && text[j] == '\\' && j+1 < len(text) && text[j+1] != '\n':
			j++
		case text[j] == quote:
			return j + 1
		}
	}
	return len(text)
}

type lineKind int

const (
	otherLine lineKind = iota
	arrayHeader
	tableHeader
	keyLine
	mergeMarker
)

// lineName reads what a line that stands outside every value begins with.
func lineName(row []byte) (string, lineKind) {
	s := strings.TrimSpace(strings.TrimPrefix(string(row[:min(len(row), 512)]), "\ufeff"))
	unquote := func(s string) string { return strings.Trim(strings.TrimSpace(s), `"'`) }
	switch {
	case strings.HasPrefix(s, "<<<<<<<"), strings.HasPrefix(s, ">>>>>>>"), strings.HasPrefix(s, "======="):
		return "", mergeMarker
	case strings.HasPrefix(s, "[["):
		name, _, _ := strings.Cut(s[2:], "]")
		return unquote(name), arrayHeader
	case strings.HasPrefix(s, "["):
		return "", tableHeader
	}
	if name, _, found := strings.Cut(s, "="); found && !strings.HasPrefix(s, "#") {
		return unquote(name), keyLine
	}
	return "", otherLine
}
