package rules

import (
	"cmp"
	"fmt"
	"reflect"
	"regexp"
	"slices"
)

// A fault of the merged pack stands in a file of the firm, or comes of what one of
// them took away. These find it.

// find returns "file:line" of a key at a place of the merged pack.
func (m *merger) find(at place, key, text string) string {
	if at.of == 0 {
		if where := find(m.all, at, key); where != "" {
			return where
		}
		return m.culprit(at, text)
	}
	var span []line
	if at.of > 0 {
		span = m.spanOf(at)
	}
	if len(span) == 0 {
		return m.culprit(at, text)
	}
	if at.row != "" {
		span = at.rowSpan(span)
	}
	best := span[0]
	for _, k := range at.keys(key) {
		if i := lineOf(span, k); i >= 0 {
			best = span[i]
			break
		}
	}
	return fmt.Sprintf("%s:%d", best.file, best.number)
}

// spanOf are the firm's lines on an entry or a link of it.
func (m *merger) spanOf(at place) []line {
	id := at.id
	var row reflect.Value
	pick := func(list any) {
		if v := reflect.ValueOf(list); at.index < v.Len() {
			row = v.Index(at.index)
			id = identity(row)
		}
	}
	switch at.kind {
	case "context":
		pick(m.pack.Contexts)
	case "together":
		pick(m.pack.Together)
	case "implied":
		pick(m.pack.Implied)
	case "buildup.hint":
		pick(m.pack.BuildUp.Hints)
	case "cause":
		pick(m.pack.Causes)
	case "mechanism":
		pick(m.pack.Mechanisms)
	}
	whole := m.spans[placed{at.kind, id, ""}]
	if at.links == 0 {
		return ownSpan(whole)
	}
	links, _ := fieldOf(row, "link").Interface().([]Link)
	if at.link < len(links) {
		if span := m.spans[placed{at.kind, id, identity(reflect.ValueOf(links[at.link]))}]; len(span) > 0 {
			return span
		}
	}
	return nil // a link of the built-in pack: something else was changed
}

func ownName(quoted []string, at place) int {
	if quoted[1] == at.id {
		return 1
	}
	return 0
}

var inQuotes = regexp.MustCompile(`"([^"]+)"`)

// culprit finds the entry of the firm's that a fault elsewhere comes from: the first
// name in the complaint that one of its files speaks of, its own name last.
func (m *merger) culprit(at place, text string) string {
	names := inQuotes.FindAllStringSubmatch(text, -1)
	slices.SortStableFunc(names, func(a, b []string) int { return cmp.Compare(ownName(a, at), ownName(b, at)) })
	for _, name := range names {
		found := ""
		for entry, span := range m.spans {
			if entry.id == name[1] && entry.link == "" && len(span) > 0 {
				i := max(0, lineOf(ownSpan(span), dropKey))
				where := fmt.Sprintf("%s:%d", span[i].file, span[i].number)
				if found == "" || where < found {
					found = where // the same one every time, if there are two
				}
			}
		}
		if found != "" {
			return found
		}
	}
	for _, c := range slices.Backward(m.changes) {
		if c.New == "" { // nothing by name, so most likely what was taken out
			return fmt.Sprintf("%s:%d", c.File, c.Line)
		}
	}
	if n := len(m.all); n > 0 {
		return m.all[n-1].file
	}
	return ""
}
