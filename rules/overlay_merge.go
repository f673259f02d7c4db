package rules

import (
	"fmt"
	"reflect"
	"slices"
	"sort"
	"strings"
)

// dropKey takes an entry, a link or a row out.
const dropKey = "drop"

// merger lays files over a pack. What it changes it copies first.
type merger struct {
	pack    *Pack
	changes []OwnChange
	errs    []error
	learned *Learned

	file  string // the file in hand
	lines []line
	all   []line            // of all files
	spans map[placed][]line // where entries and links stand, the last file first
}

// placed names an entry, or one of its links.
type placed struct{ kind, id, link string }

// spot is where the merger is: an entry, and what in it.
type spot struct {
	kind, id, name string
	what           []string // link or row, then key
	span           []line
}

func (s spot) in(what string) spot {
	s.what = append(slices.Clone(s.what), what)
	return s
}

func (m *merger) fault(lineIndex int, format string, a ...any) {
	where := m.file
	if lineIndex >= 0 && lineIndex < len(m.lines) {
		where += fmt.Sprintf(":%d", m.lines[lineIndex].number)
	}
	m.errs = append(m.errs, fmt.Errorf("%s: %s", where, fmt.Sprintf(format, a...)))
}

// faultAt complains about a key at a spot.
func (m *merger) faultAt(s spot, key, format string, a ...any) {
	text := fmt.Sprintf("%s %q: ", s.kind, s.id)
	if len(s.what) > 0 {
		text += strings.Join(s.what, ": ") + ": "
	}
	m.fault(s.line(key)-1, "%s", text+fmt.Sprintf(format, a...))
}

// line is the number of the line that sets a key at a spot, or of its header.
func (s spot) line(key string) int {
	if len(s.span) == 0 {
		return 0
	}
	if i := lineOf(s.span, key); i >= 0 {
		return s.span[i].number
	}
	return s.span[0].number
}

func (m *merger) changed(s spot, key, old, now string) {
	what := s.what
	if key != "" {
		what = append(slices.Clone(what), key)
	}
	if now == "" {
		key = dropKey
	}
	m.changes = append(m.changes, OwnChange{
		Kind: s.kind, ID: s.id, Name: s.name, What: strings.Join(what, ": "), Old: old, New: now, File: m.file, Line: s.line(key),
	})
}

// pour takes what a file holds into the pack.
func (m *merger) pour(f reflect.Value, tree map[string]any) {
	p := m.pack
	for _, part := range []struct {
		kind string
		into any
	}{
		{"group", &p.Groups},
		{"topic", &p.Topics},
		{"visit", &p.Visits},
		{"mechanism", &p.Mechanisms},
		{"question", &p.Questions},
		{"cause", &p.Causes},
		{"context", &p.Contexts},
		{"together", &p.Together},
		{"caution", &p.Cautions},
		{"check", &p.Checks},
		{"implied", &p.Implied},
		{"repair", &p.Repairs},
	} {
		if value, key, ok := named(tree, part.kind); ok {
			into := reflect.ValueOf(part.into).Elem()
			at := spot{kind: part.kind}
			into.Set(m.list(at, key, into, fieldOf(f, part.kind), rowsOf(value), true))
		}
	}
	for _, part := range []struct {
		kind string
		into any
	}{
		{"words", &p.Words},
		{"prices", &p.Prices},
		{"buildup", &p.BuildUp},
		{"moisture", &p.Moisture},
		{"travel", &p.Travel},
	} {
		if value, key, ok := named(tree, part.kind); ok {
			at := spot{kind: part.kind, span: m.linesOf(key)}
			if t, ok := value.(map[string]any); ok {
				m.fields(at, reflect.ValueOf(part.into).Elem(), fieldOf(f, part.kind).Elem(), t)
			}
		}
	}
}

// named finds a key of a table, in whichever case it is written, as the TOML library
// reads it, and tells how it is written.
func named(tree map[string]any, key string) (any, string, bool) {
	if v, ok := tree[key]; ok {
		return v, key, true
	}
	for k, v := range tree {
		if strings.EqualFold(k, key) {
			return v, k, true
		}
	}
	return nil, "", false
}

// rowsOf reads a list of tables, written as [[kind]] or in a line.
func rowsOf(v any) []map[string]any {
	switch v := v.(type) {
	case []map[string]any:
		return v
	case []any:
		var out []map[string]any
		for _, x := range v {
			t, ok := x.(map[string]any)
			if !ok {
				return nil
			}
			out = append(out, t)
		}
		return out
	}
	return nil
}

// linesOf are the lines of a table that stands alone and of what is in it.
func (m *merger) linesOf(kind string) []line {
	var out []line
	for _, l := range m.lines {
		if l.table == kind || strings.HasPrefix(l.table, kind+".") {
			out = append(out, l)
		}
	}
	return out
}

// fieldOf is the field of a struct that a key is decoded into; invalid if none.
func fieldOf(v reflect.Value, key string) reflect.Value {
	t := v.Type()
	for i := range t.NumField() {
		if strings.EqualFold(t.Field(i).Tag.Get("toml"), key) {
			return v.Field(i)
		}
	}
	return reflect.Value{}
}

// fields takes the keys that a table names from one struct into another.
func (m *merger) fields(at spot, into, from reflect.Value, tree map[string]any) {
	keys := make([]string, 0, len(tree))
	for k := range tree {
		keys = append(keys, k)
	}
	sort.Strings(keys)
	for _, key := range keys {
		old, now := fieldOf(into, key), fieldOf(from, key)
		switch {
		case key == dropKey && !old.IsValid():
			if drop, ok := tree[key].(bool); !ok || drop {
				m.faultAt(at, key, "drop: this cannot be dropped by itself")
			}
		case !old.IsValid():
			m.faultAt(at, key, "key %q is not known", key)
		case old.Kind() == reflect.Struct:
			if t, ok := tree[key].(map[string]any); ok {
				m.fields(at.in(key), old, now, t)
			}
		case old.Kind() == reflect.Slice && keyed(old.Type().Elem()):
			old.Set(m.list(at, key, old, now, rowsOf(tree[key]), false))
		case old.Kind() == reflect.Map:
			m.table(at, key, old, now)
		default:
			m.whole(at, key, old, now, tree[key])
		}
	}
}

// whole replaces a value.
func (m *merger) whole(at spot, key string, old, now reflect.Value, tree any) {
	for _, row := range rowsOf(tree) {
		if _, ok := row[dropKey]; ok {
			m.faultAt(at, key, "%s: drop: a row of this list cannot be dropped alone; write the whole list as it should be", key)
			return
		}
	}
	if same(old, now) {
		return
	}
	m.changed(at, key, shown(old), shown(now))
	old.Set(now)
}

// same tells whether two values say the same; an empty list is as good as none.
func same(a, b reflect.Value) bool {
	if k := a.Kind(); (k == reflect.Slice || k == reflect.Map) && a.Len() == 0 && b.Len() == 0 {
		return true
	}
	return reflect.DeepEqual(a.Interface(), b.Interface())
}

// table changes the keys of a table that are named.
func (m *merger) table(at spot, key string, old, now reflect.Value) {
	out := reflect.MakeMap(old.Type())
	for it := old.MapRange(); it.Next(); {
		out.SetMapIndex(it.Key(), it.Value())
	}
	names := now.MapKeys()
	sort.Slice(names, func(i, j int) bool { return names[i].String() < names[j].String() })
	for _, k := range names {
		v, was := now.MapIndex(k), out.MapIndex(k)
		if was.IsValid() && same(was, v) {
			continue
		}
		before := ""
		if was.IsValid() {
			before = shown(was)
		}
		inner := at.in(key)
		if inner.line(k.String()) == inner.line("") {
			inner.span = keyFirst(at.span, key)
		}
		m.changed(inner, k.String(), before, shown(v))
		out.SetMapIndex(k, v)
	}
	old.Set(out)
}

// keyFirst is a span from the line on that sets a key.
func keyFirst(span []line, key string) []line {
	if i := lineOf(span, key); i >= 0 {
		return span[i:]
	}
	return span
}

// list merges rows that are known by what identity gives.
func (m *merger) list(at spot, key string, old, now reflect.Value, tree []map[string]any, top bool) reflect.Value {
	out := reflect.MakeSlice(old.Type(), old.Len(), old.Len())
	reflect.Copy(out, old)
	if len(tree) != now.Len() {
		m.faultAt(at, key, "%s: must be a list of tables", key)
		return old
	}
	kind := key
	if !top {
		kind = at.kind + "." + key
	}
	where := m.rowSpans(at, kind, top, now)
	for i := range now.Len() {
		row := now.Index(i)
		id := identity(row)
		here := at.in(rowName(key, row))
		here.span = where[i]
		// Causes and their like are entries of their own, and so are the rows of the
		// tables that stand alone.
		entry := top || at.id == ""
		switch {
		case entry:
			here = spot{kind: kind, id: id, name: nameOf(row), span: where[i]}
			m.stands(placed{kind, id, ""}, where[i])
		case row.Type() == reflect.TypeFor[Link]():
			m.stands(placed{at.kind, at.id, id}, where[i])
		}
		if id == "" {
			m.faultAt(here, idKey(row), "%s must be filled in: it says which entry is meant", idKey(row))
			continue
		}
		drop, fine := m.drops(here, tree[i])
		if !fine {
			continue
		}
		found := -1
		for k := range out.Len() {
			if identity(out.Index(k)) == id {
				found = k
			}
		}
		switch {
		case drop:
			out = m.drop(here, out, row, found, id)
		case found < 0:
			if m.newRow(here, row, tree[i]) {
				out = insert(out, row)
			}
		default:
			into := reflect.New(row.Type()).Elem()
			into.Set(out.Index(found))
			if entry {
				here.name = nameOf(into)
			}
			for _, key := range []string{"when", "always", "what"} {
				was, is := fieldOf(into, key), fieldOf(row, key)
				if _, named := tree[i][key]; named && safety(into) && was.IsValid() && !reflect.DeepEqual(was.Interface(), is.Interface()) {
					m.faultAt(here, key, "%s: a safety line may be reworded; when it holds may not be changed", key)
				}
			}
			m.fields(here, into, row, withoutDrop(tree[i]))
			out.Index(found).Set(into)
		}
	}
	return out
}

// stands notes where an entry or a link stands; a later file goes before.
func (m *merger) stands(at placed, span []line) {
	m.spans[at] = slices.Concat(span, m.spans[at])
}

// drops tells whether a row asks to be taken out.
func (m *merger) drops(at spot, tree map[string]any) (drop, fine bool) {
	v, ok := tree[dropKey]
	if !ok {
		return false, true
	}
	if drop, fine = v.(bool); !fine {
		m.faultAt(at, dropKey, "drop must be written: drop = true")
	}
	return drop, fine
}

func withoutDrop(tree map[string]any) map[string]any {
	out := make(map[string]any, len(tree))
	for k, v := range tree {
		if k != dropKey {
			out[k] = v
		}
	}
	return out
}

// newRow takes in an entry that was not there.
func (m *merger) newRow(at spot, row reflect.Value, tree map[string]any) bool {
	if inner := firstDrop(tree); inner != "" {
		m.faultAt(at, dropKey, "%s: drop: this is a new entry, so there is nothing in it to drop", inner)
		return false
	}
	now := nameOf(row)
	if now == "" {
		now = "new"
	}
	m.changed(at, "", "", now)
	return true
}

// firstDrop finds a drop below a table.
func firstDrop(tree map[string]any) string {
	for k, v := range tree {
		for _, row := range rowsOf(v) {
			if _, ok := row[dropKey]; ok {
				return k
			}
		}
	}
	return ""
}

// insert puts a row last, or a question last in its branch.
func insert(list, row reflect.Value) reflect.Value {
	at := list.Len()
	if q, ok := row.Interface().(Question); ok {
		for i, x := range list.Interface().([]Question) {
			if x.Branch == q.Branch {
				at = i + 1
			}
		}
	}
	out := reflect.MakeSlice(list.Type(), 0, list.Len()+1)
	out = reflect.AppendSlice(out, list.Slice(0, at))
	out = reflect.Append(out, row)
	return reflect.AppendSlice(out, list.Slice(at, list.Len()))
}

// safety tells whether a row is a line that keeps people from harm.
func safety(row reflect.Value) bool {
	switch row.Interface().(type) {
	case Caution, Stop:
		return true
	}
	return false
}

// drop takes a row out, and what names it.
func (m *merger) drop(at spot, list, row reflect.Value, found int, id string) reflect.Value {
	gone := func(i int) bool { return i == found }
	if link, ok := row.Interface().(Link); ok && len(link.Answer) == 0 {
		// A link without an answer stands for all to that question.
		links := list.Interface().([]Link)
		gone = func(i int) bool { return links[i].Question == link.Question }
	}
	if safety(row) {
		m.faultAt(at, dropKey, "drop: a safety line may be reworded, but not dropped")
		return list
	}
	out := reflect.MakeSlice(list.Type(), 0, list.Len())
	for i := range list.Len() {
		if !gone(i) {
			out = reflect.Append(out, list.Index(i))
			continue
		}
		was := list.Index(i)
		here := at
		if len(here.what) == 0 {
			here.name = nameOf(was)
		}
		old := nameOf(was)
		if old == "" {
			old = "as built in"
		}
		m.changed(here, "", old, "")
	}
	if out.Len() == list.Len() {
		m.faultAt(at, dropKey, "drop: there is nothing of that name to drop")
		return list
	}
	switch row.Interface().(type) {
	case Cause:
		m.forgetCause(id)
	case Question:
		m.forgetQuestion(id)
	}
	return out
}

// forgetCause takes a dropped cause out of contexts, pairs, repairs and the plan.
func (m *merger) forgetCause(id string) {
	without := func(t map[string]float64) map[string]float64 {
		if _, ok := t[id]; !ok {
			return t
		}
		out := make(map[string]float64, len(t))
		for k, v := range t {
			if k != id {
				out[k] = v
			}
		}
		return out
	}
	var contexts []Context
	for _, c := range m.pack.Contexts {
		had := len(c.Times)
		if c.Times = without(c.Times); len(c.Times) > 0 || had == 0 {
			contexts = append(contexts, c)
		}
	}
	m.pack.Contexts = contexts
	m.pack.Together = slices.DeleteFunc(slices.Clone(m.pack.Together), func(t Together) bool { return slices.Contains(t.Causes, id) })
	m.pack.Repairs = slices.Clone(m.pack.Repairs)
	for i := range m.pack.Repairs {
		m.pack.Repairs[i].Fix = without(m.pack.Repairs[i].Fix)
	}
	m.pack.Travel.Sits = slices.DeleteFunc(slices.Clone(m.pack.Travel.Sits), func(s Sits) bool { return s.Cause == id })
}

// forgetQuestion takes the links to a dropped question away.
func (m *merger) forgetQuestion(id string) {
	without := func(links []Link) []Link {
		return slices.DeleteFunc(slices.Clone(links), func(l Link) bool { return l.Question == id })
	}
	m.pack.Causes = slices.Clone(m.pack.Causes)
	for i := range m.pack.Causes {
		m.pack.Causes[i].Links = without(m.pack.Causes[i].Links)
	}
	m.pack.Mechanisms = slices.Clone(m.pack.Mechanisms)
	for i := range m.pack.Mechanisms {
		m.pack.Mechanisms[i].Links = without(m.pack.Mechanisms[i].Links)
	}
	m.pack.Groups = slices.Clone(m.pack.Groups)
	for i := range m.pack.Groups {
		m.pack.Groups[i].Links = without(m.pack.Groups[i].Links)
	}
}

// keyed tells whether rows of a type are changed one by one.
func keyed(t reflect.Type) bool {
	return t.Kind() == reflect.Struct && identityOf(reflect.Zero(t)) != nil
}

// identity is what a row is known by, "" when it does not say.
func identity(row reflect.Value) string {
	parts := identityOf(row)
	if len(parts) == 0 || parts[0] == "" {
		return ""
	}
	return strings.Join(parts, "\x00")
}

// identityOf is nil for rows that are not known one from the other.
func identityOf(row reflect.Value) []string {
	sorted := func(s []string) string {
		s = slices.Clone(s)
		sort.Strings(s)
		return strings.Join(s, "\x00")
	}
	switch x := row.Interface().(type) {
	case Link:
		return []string{x.Question, sorted(x.Answer)}
	case Context:
		return []string{sorted(x.When)}
	case TypeHint:
		return []string{sorted(x.When)}
	case Together:
		return []string{sorted(x.Causes)}
	case Implied:
		return []string{x.Question, x.Answer, sorted(x.When)}
	case Room:
		return []string{x.Answer}
	case Fitting:
		return []string{x.Answer}
	case Sits:
		return []string{x.Cause}
	}
	if f := fieldOf(row, "id"); f.IsValid() {
		return []string{f.String()}
	}
	return nil
}

// idKey is the first key that a row is known by.
func idKey(row reflect.Value) string {
	switch row.Interface().(type) {
	case Link, Implied:
		return "question"
	case Context, TypeHint:
		return "when"
	case Together:
		return "causes"
	case Room, Fitting:
		return "answer"
	case Sits:
		return "cause"
	}
	return "id"
}

// rowName is what a change calls a row inside an entry.
func rowName(key string, row reflect.Value) string {
	if l, ok := row.Interface().(Link); ok {
		return strings.TrimSpace("link to " + l.Question + " " + strings.Join(l.Answer, ", "))
	}
	return key + " " + identity(row)
}

// nameOf is what people call an entry.
func nameOf(row reflect.Value) string {
	for _, key := range []string{"name", "short", "says"} {
		if f := fieldOf(row, key); f.IsValid() && f.String() != "" {
			return f.String()
		}
	}
	return ""
}

// shown is a value as people read it.
func shown(v reflect.Value) string {
	switch v.Kind() {
	case reflect.Pointer:
		if v.IsNil() {
			return "none"
		}
		return shown(v.Elem())
	case reflect.String:
		return fmt.Sprintf("%q", v.String())
	case reflect.Slice:
		if v.Len() == 0 {
			return "none"
		}
		var parts []string
		for i := range v.Len() {
			parts = append(parts, shown(v.Index(i)))
		}
		return strings.Join(parts, ", ")
	case reflect.Struct:
		var parts []string
		for i := range v.NumField() {
			if f := v.Field(i); !f.IsZero() {
				parts = append(parts, v.Type().Field(i).Tag.Get("toml")+" "+shown(f))
			}
		}
		return "(" + strings.Join(parts, ", ") + ")"
	default:
		return fmt.Sprint(v.Interface())
	}
}

// rowSpans are the lines of each row of a list in the file in hand; nil where they
// cannot be told.
func (m *merger) rowSpans(at spot, kind string, top bool, rows reflect.Value) [][]line {
	within := at.span
	if top || len(within) == 0 {
		within = m.lines
	}
	out := make([][]line, rows.Len())
	all := spans(within, kind)
	if len(all) == len(out) {
		copy(out, all)
		return out
	}
	for i := range out {
		// Rows written in a line: the line that says which one it is.
		out[i] = within
		row := rows.Index(i)
		key := idKey(row)
		if f := fieldOf(row, key); f.Kind() == reflect.String {
			if k := lineSetting(within, key, f.String()); k >= 0 {
				out[i] = within[k : k+1]
			}
		}
	}
	return out
}
