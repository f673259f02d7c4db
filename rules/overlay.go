package rules

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"reflect"
	"regexp"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
)

// LearnedFile is the file of numbers counted from a firm's closed cases. It is read
// after all others, because it was learned on what they say.
const LearnedFile = "learned.toml"

// OwnExample is a file of own knowledge with every line commented out, to start from.
//
//go:embed own_example.toml
var OwnExample string

// mostOwn is the largest file of a firm's own knowledge, in bytes: the whole built-in
// pack is a fifth of it.
const mostOwn = 1 << 20

// OwnFile is one file of a firm's own knowledge.
type OwnFile struct {
	Name string
	Text []byte
}

// Own is the built-in knowledge with a firm's own over it.
type Own struct {
	Pack    *Pack
	Changes []OwnChange // in the order in which they were made
	// Stale says that learned.toml was learned on other knowledge than this.
	Stale bool
}

// OwnChange is one thing that a firm's own knowledge changes.
type OwnChange struct {
	Kind string // of entry: "cause", "question", "words", ...
	ID   string
	Name string // of the entry, for people; empty where it has none
	What string // the key, with the link or row it belongs to; empty for a whole entry
	Old  string // empty: added
	New  string // empty: taken out
	File string
	Line int // from 1; 0 when it was not found
}

// keptLearned are the learned files that an undo would bring back.
var keptLearned = regexp.MustCompile(`^learned\.[0-9]+\.toml$`)

// OwnFiles reads the .toml files of a firm's folder and the folders in it, in the
// order in which they are laid over the built-in knowledge: by name, learned.toml
// last. Hidden files and learned.1.toml, learned.2.toml and so on are left alone.
func OwnFiles(fsys fs.FS) ([]OwnFile, error) {
	var out []OwnFile
	err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		base := path.Base(name)
		switch {
		case err != nil:
			return err
		case strings.HasPrefix(base, ".") && d.IsDir() && name != ".":
			return fs.SkipDir
		case d.IsDir() || strings.HasPrefix(base, ".") || !strings.EqualFold(path.Ext(base), ".toml") || keptLearned.MatchString(name):
			return nil
		}
		if info, err := d.Info(); err == nil && info.Size() > mostOwn {
			return fmt.Errorf("%s: the file is larger than %d bytes; part it into several", name, mostOwn)
		}
		text, err := fs.ReadFile(fsys, name)
		out = append(out, OwnFile{name, text})
		return err
	})
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(out, func(a, b OwnFile) int {
		if last := isLearned(a.Name) - isLearned(b.Name); last != 0 {
			return last
		}
		return strings.Compare(a.Name, b.Name)
	})
	return out, nil
}

func isLearned(name string) int {
	if name == LearnedFile {
		return 1
	}
	return 0
}

// WithOwn lays a firm's own files over a sound pack, in the order given, and lints
// the result. The rule is one: an entry with an id that is there already changes only
// the keys it names, an entry with a new id is added, and "drop = true" takes one out.
//
//   - Links are known by their question and answers, contexts, hints and what is
//     implied by their conditions, pairs of causes by their two names, rooms and
//     fittings by their answer, everything else by its id.
//   - Answers, sizes, prices and other rows with an id are changed row by row, tables
//     such as fix, times and by_type key by key. Any other list is replaced whole.
//   - A cause that is dropped is taken out of contexts, pairs and repairs too, a
//     question out of the links. Whatever else still names it is a fault. Cautions may
//     be reworded but not dropped.
//
// The hash follows from what the knowledge says and not from how it is written down;
// files that change nothing leave it as it is. base is not changed. The error holds
// every fault on a line of its own, with file, line and key where they can be found.
func WithOwn(base *Pack, files []OwnFile) (*Own, error) {
	p := *base
	m := &merger{pack: &p, spans: map[placed][]line{}}
	own := &Own{Pack: &p}
	for _, f := range files {
		if isLearned(f.Name) == 1 {
			// What the firm's other files come to is what was learned on.
			if p.Hash = base.Hash; len(m.changes) > 0 {
				p.Hash = hashOf(base.Hash, &p)
			}
		}
		m.take(f)
		if l := m.learned; l != nil && l.Knowledge != "" && isLearned(f.Name) == 1 {
			own.Stale = l.Knowledge != p.Hash
		}
	}
	if err := errors.Join(m.errs...); err != nil {
		return nil, err
	}
	own.Changes = m.changes
	if len(m.changes) == 0 {
		own.Pack = base
		return own, nil
	}
	p.index()
	if faults := Lint(&p, locator{own: m}); len(faults) > 0 {
		return nil, errors.Join(append(m.slips(base), faults...)...)
	}
	p.Hash = hashOf(base.Hash, &p)
	return own, nil
}

// hashOf is the hash of what a pack says that is laid over another.
func hashOf(base string, p *Pack) string {
	q := *p
	q.Hash = base
	text, err := json.Marshal(q)
	if err != nil {
		text = fmt.Appendf(nil, "%+v", q) // a number that is none; the lint will say so
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:])[:12]
}

// take lays one file over the pack.
func (m *merger) take(f OwnFile) {
	m.file, m.lines = f.Name, locator{names: []string{f.Name}, texts: [][]byte{f.Text}}.lines()
	m.all = append(m.all, m.lines...)
	var typed file
	md, err := toml.Decode(string(f.Text), &typed)
	if err != nil {
		m.errs = append(m.errs, m.notRead(err))
		return
	}
	var tree map[string]any
	if _, err := toml.Decode(string(f.Text), &tree); err != nil {
		m.errs = append(m.errs, m.notRead(err))
		return
	}
	before := len(m.errs)
	for _, k := range md.Undecoded() {
		if k[len(k)-1] == dropKey && len(k) > 1 && !strings.EqualFold(k[0], "learned") {
			continue // looked at where it stands
		}
		m.fault(m.lineOfKey(k), "key %q is not known; look at an entry of the same kind with \"underlap rules own --example\"", k.String())
	}
	if len(m.errs) > before {
		return
	}
	m.pour(reflect.ValueOf(&typed).Elem(), tree)
	if typed.Learned != nil {
		m.learn(typed.Learned)
	}
}

// kindError is what the TOML library says of a value of the wrong kind.
var kindError = regexp.MustCompile(`^toml: (?:line \d+ )?\(last key "(.*)"\): incompatible types: TOML value has type (.*); destination has type (.*)$`)

// notRead words an error of the TOML library.
func (m *merger) notRead(err error) error {
	var parse toml.ParseError
	if errors.As(err, &parse) {
		where := fmt.Sprintf("%s:%d", m.file, min(parse.Position.Line, len(m.lines)))
		key := ""
		if parse.LastKey != "" {
			key = fmt.Sprintf(" (at or after key %q)", parse.LastKey)
		}
		return fmt.Errorf("%s: %s%s; put texts in double quotes, and close every quote and bracket", where, parse.Message, key)
	}
	if k := kindError.FindStringSubmatch(err.Error()); k != nil {
		at := ""
		if i := m.lineOfWrongKind(strings.Split(k[1], ".")); i >= 0 {
			at = fmt.Sprintf(":%d", m.lines[i].number)
		}
		remedy := ""
		if has, wants := kindWord(k[2]), kindWord(k[3]); has == "a table" && wants == "a list" {
			remedy = fmt.Sprintf("; begin each entry with [[%s]], in two pairs of brackets", k[1])
		}
		return fmt.Errorf("%s%s: key %q holds %s where %s belongs%s", m.file, at, k[1], kindWord(k[2]), kindWord(k[3]), remedy)
	}
	return fmt.Errorf("%s: %w", m.file, err)
}

func kindWord(kind string) string {
	switch {
	case kind == "string":
		return "a text"
	case kind == "int64", strings.HasPrefix(kind, "float"), strings.HasPrefix(kind, "int"):
		return "a number"
	case strings.HasPrefix(kind, "bool"):
		return "true or false"
	case strings.HasPrefix(kind, "[]"), kind == "slice":
		return "a list"
	case strings.HasPrefix(kind, "map"):
		return "a table"
	default:
		return "a " + kind
	}
}

// lineOfWrongKind is the line of a key whose value is of the wrong kind. The library
// knows the key's name only, and many entries have the same; so each is tried alone.
func (m *merger) lineOfWrongKind(key []string) int {
	leaf := key[len(key)-1]
	for n := len(key) - 1; n >= 1; n-- {
		table := strings.Join(key[:n], ".")
		for _, s := range spans(m.lines, table) {
			text := ""
			for i := 1; i < n; i++ {
				text += "[[" + strings.Join(key[:i], ".") + "]]\n"
			}
			for _, l := range s {
				text += l.text + "\n"
			}
			if _, err := toml.Decode(text, new(file)); err == nil {
				continue
			}
			if i := lineOf(s, leaf); i >= 0 {
				return s[i].number - 1
			}
			return s[0].number - 1
		}
	}
	return m.lineOfKey(key)
}

// lineOfKey is the index of the first line that sets a key, -1 when there is none.
func (m *merger) lineOfKey(key []string) int {
	table, leaf := strings.Join(key[:len(key)-1], "."), key[len(key)-1]
	var inTable []line
	for _, l := range m.lines {
		if l.table == table {
			inTable = append(inTable, l)
		}
	}
	for i, l := range m.lines {
		if len(key) == 1 && l.head && l.table == leaf {
			return i
		}
	}
	for _, where := range [][]line{inTable, m.lines} {
		if i := lineOf(where, leaf); i >= 0 {
			return where[i].number - 1
		}
	}
	return -1
}

// slips names new entries whose id is hardly other than one that was there: most likely
// that one was meant, and all else that is said of the entry follows from it.
func (m *merger) slips(base *Pack) []error {
	there := map[string][]string{}
	for _, c := range base.Causes {
		there["cause"] = append(there["cause"], c.ID)
	}
	for _, q := range base.Questions {
		there["question"] = append(there["question"], q.ID)
	}
	for _, r := range base.Repairs {
		there["repair"] = append(there["repair"], r.ID)
	}
	var out []error
	for _, c := range m.changes {
		for _, id := range there[c.Kind] {
			if c.What == "" && c.Old == "" && lettersApart(c.ID, id) <= 2 {
				out = append(out, fmt.Errorf("%s:%d: %s %q is new; if %q is meant, write its id so", c.File, c.Line, c.Kind, c.ID, id))
			}
		}
	}
	return out
}

// lettersApart is how many letters must be put in, taken out or changed to make one word the
// other (Levenshtein's distance).
func lettersApart(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j := range y {
			change := diagonal
			if x[i] != y[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}
