package letter

import (
	"strings"
	"unicode"
)

// Document is a letter as a small tree of plain text.
type Document struct {
	Title    string // for a file name or a subject line; not drawn
	Sections []Section
}

// Section is a heading and what stands under it. There is always something.
type Section struct {
	ID     string
	Title  string
	Blocks []Block
}

// Voice says whose knowledge a block is.
type Voice string

// The voices of a letter.
const (
	Plain    Voice = ""         // neither a fact nor an opinion about the roof
	Told     Voice = "told"     // what the owner said
	Seen     Voice = "seen"     // seen in a photo, measured, or opened up
	Inferred Voice = "inferred" // what we make of it
)

// Kind is the shape of a block.
type Kind int

// The shapes of a block.
const (
	Paragraph Kind = iota
	Heading        // a heading inside a section
	List
	Numbered
	Grid
)

// Block is one paragraph, list or table.
type Block struct {
	Kind  Kind
	Voice Voice
	Text  string // of a paragraph or heading
	Items []Item // of a list
	Table Table  // of a grid
	Tight bool   // as plain text it stands right under the block before
}

// Item is one entry of a list: an optional lead, a text, and lines below it.
type Item struct {
	Lead   string
	Text   string
	Quoted bool   // Text is somebody's own words and is left as it is
	Sub    []Item // lines below, without lines of their own
}

// Table is a head and rows of the same length.
type Table struct {
	Head []string
	Rows [][]string
}

// Section returns the section with that id.
func (d *Document) Section(id string) (Section, bool) {
	for _, s := range d.Sections {
		if s.ID == id {
			return s, true
		}
	}
	return Section{}, false
}

// each calls f on every string of the document, in reading order.
func (d *Document) each(f func(*string)) {
	f(&d.Title)
	for i := range d.Sections {
		s := &d.Sections[i]
		f(&s.Title)
		for j := range s.Blocks {
			b := &s.Blocks[j]
			f(&b.Text)
			for k := range b.Items {
				b.Items[k].each(f)
			}
			for k := range b.Table.Head {
				f(&b.Table.Head[k])
			}
			for _, row := range b.Table.Rows {
				for k := range row {
					f(&row[k])
				}
			}
		}
	}
}

func (it *Item) each(f func(*string)) {
	f(&it.Lead)
	f(&it.Text)
	for i := range it.Sub {
		it.Sub[i].each(f)
	}
}

// clean makes every string one line of visible text.
func (d *Document) clean() {
	d.each(func(s *string) { *s = oneLine(*s) })
}

// oneLine drops what cannot be seen (controls, escape codes' first byte, marks
// that turn the direction of writing) and makes every run of space one space:
// typed text must not move the cursor or end a line.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case r == unicode.ReplacementChar, unicode.IsControl(r), unicode.Is(unicode.Cf, r) && r != zeroWidthJoiner:
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	return strings.Join(strings.Fields(s), " ")
}

// zeroWidthJoiner holds some letters and signs of other scripts together.
const zeroWidthJoiner = '\u200d'
