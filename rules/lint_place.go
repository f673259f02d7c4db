package rules

import (
	"fmt"
	"regexp"
	"strings"
)

// locator finds the line a fault stands on, for error messages. It reads the
// pack files as lines, not as TOML: a place it cannot find is left out.
type locator struct {
	names []string
	texts [][]byte
	own   *merger // finds faults in a firm's own files; nil for a pack that stands alone
}

func newLocator(names []string, texts [][]byte) locator { return locator{names: names, texts: texts} }

// find returns "file:line" of a key at a place, nothing when it is in no file. text is
// the complaint.
func (l locator) find(lines []line, at place, key, text string) string {
	if l.own != nil {
		return l.own.find(at, key, text)
	}
	return find(lines, at, key)
}

// line is one line of a pack file.
type line struct {
	file   string
	number int
	text   string
	table  string // the table it stands in, such as "cause.link"
	head   bool   // it is the header of that table
}

var headerLine = regexp.MustCompile(`^\s*\[{1,2}\s*([A-Za-z0-9_.-]+)\s*\]{1,2}\s*(#.*)?$`)

func (l locator) lines() []line {
	var out []line
	for i, text := range l.texts {
		table := ""
		for n, s := range strings.Split(string(text), "\n") {
			m := headerLine.FindStringSubmatch(s)
			if m != nil {
				table = m[1]
			}
			out = append(out, line{l.names[i], n + 1, s, table, m != nil})
		}
	}
	return out
}

// place says what a fault is in: an entry, and the part of it if it has parts.
type place struct {
	kind     string // the table's name, such as "cause" or "buildup.era"
	id       string // what to call it; for most entries its id
	index    int    // which of the entries of that kind it is
	of       int    // how many there are; 0 for a table that stands alone, -1 when it is missing
	link     int    // which of its links, when links > 0
	links    int
	question string // the question of that link
	list     string // a list of rows in the entry, when row is set
	row      string // key by which a row of the list is known, "" for the entry as a whole
	value    string // what that key is set to
}

// table is a table that stands once in a pack; id says which part of it is meant.
func table(kind, id string) place { return place{kind: kind, id: id} }

// missing is an entry that is nowhere, and so has no line.
func missing(kind, id string) place { return place{kind: kind, id: id, of: -1} }

// entry is the entry at index of the of entries of that kind.
func entry(kind, id string, index, of int) place {
	return place{kind: kind, id: id, index: index, of: of}
}

// linkAt is one of the entry's links.
func (p place) linkAt(links []Link, i int) place {
	p.link, p.links, p.question = i, len(links), links[i].Question
	return p
}

// rowAt is the row of an inline list of the entry where key has that value.
func (p place) rowAt(list, key, value string) place {
	p.list, p.row, p.value = list, key, value
	return p
}

// name is what an error calls the place.
func (p place) name() string {
	s := fmt.Sprintf("%s %q", p.kind, p.id)
	if p.links > 0 {
		s += fmt.Sprintf(": link to %q", p.question)
	}
	return s
}

// find returns "file:line" of a key at a place: of the entry's own line when it
// does not have the key, and nothing when the entry is in no file, as with an
// entry of the built-in pack when only a price book is read.
func find(lines []line, p place, key string) string {
	span := p.span(lines)
	if len(span) == 0 {
		return ""
	}
	at := span[0]
	for _, k := range p.keys(key) {
		if i := lineOf(span, k); i >= 0 {
			at = span[i]
			break
		}
	}
	return fmt.Sprintf("%s:%d", at.file, at.number)
}

// keys are the keys to look for, the best first.
func (p place) keys(key string) []string {
	switch {
	case p.of == 0 || p.row != "":
		return []string{key}
	case p.links > 0:
		return []string{key, "question"}
	}
	return []string{key, "id", "question", "when"}
}

// span is the stretch of lines that a place takes up.
func (p place) span(lines []line) []line {
	span := p.entrySpan(lines)
	switch {
	case p.links > 0:
		span = p.linkSpan(span)
	case p.of != 0 && p.row == "":
		span = ownSpan(span)
	}
	if p.row != "" && len(span) > 0 {
		span = p.rowSpan(span)
	}
	return span
}

func (p place) entrySpan(lines []line) []line {
	if p.of == 0 {
		var out []line
		for _, l := range lines {
			if l.table == p.kind || strings.HasPrefix(l.table, p.kind+".") {
				out = append(out, l)
			}
		}
		return out
	}
	all := spans(lines, p.kind)
	if len(all) == p.of {
		return all[p.index]
	}
	// Some entries are written in another way, so the order says nothing.
	for _, s := range all {
		if p.id != "" && lineSetting(s, "id", p.id) >= 0 {
			return s
		}
	}
	return nil
}

// spans parts lines into entries of a kind: each from its header to the next
// header that is not a part of it.
func spans(lines []line, kind string) [][]line {
	var out [][]line
	from := -1
	for i, l := range lines {
		ends := l.head && !strings.HasPrefix(l.table, kind+".") || i > 0 && l.file != lines[i-1].file
		if from >= 0 && ends {
			out = append(out, lines[from:i])
			from = -1
		}
		if l.head && l.table == kind {
			from = i
		}
	}
	if from >= 0 {
		out = append(out, lines[from:])
	}
	return out
}

// ownSpan leaves out the links of an entry, which have keys of the same names;
// they stand last.
func ownSpan(entry []line) []line {
	for i, l := range entry {
		if i > 0 && l.head && strings.HasSuffix(l.table, ".link") {
			return entry[:i]
		}
	}
	return entry
}

func (p place) linkSpan(entry []line) []line {
	all := spans(entry, p.kind+".link")
	if len(all) == p.links {
		return all[p.link]
	}
	if i := lineSetting(entry, "question", p.question); i >= 0 {
		return entry[i : i+1]
	}
	return entry
}

func (p place) rowSpan(entry []line) []line {
	list := lineOf(entry, p.list)
	if list < 0 {
		return entry
	}
	from := lineSetting(entry[list:], p.row, p.value)
	if from < 0 {
		return entry[list:]
	}
	from += list
	// A row may be a table of its own, [[prices.price]], and take several lines.
	to := from + 1
	for entry[from].table != p.kind && to < len(entry) && !entry[to].head {
		to++
	}
	return entry[from:to]
}

// lineOf is the first line that sets key, or is the header of a table of that name.
func lineOf(lines []line, key string) int {
	if key == "" {
		return -1
	}
	sets := regexp.MustCompile(`(?:^|[\s,{])["']?` + regexp.QuoteMeta(key) + `["']?\s*=`)
	for i, l := range lines {
		if !comment(l.text) && (sets.MatchString(l.text) || l.head && strings.HasSuffix(l.table, "."+key)) {
			return i
		}
	}
	return -1
}

// lineSetting is the first line that sets key to that text.
func lineSetting(lines []line, key, text string) int {
	sets := regexp.MustCompile(`(?:^|[\s,{])["']?` + regexp.QuoteMeta(key) + `["']?\s*=\s*["']` + regexp.QuoteMeta(text) + `["']`)
	for i, l := range lines {
		if !comment(l.text) && sets.MatchString(l.text) {
			return i
		}
	}
	return -1
}

func comment(s string) bool { return strings.HasPrefix(strings.TrimSpace(s), "#") }
