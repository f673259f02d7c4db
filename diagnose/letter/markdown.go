package letter

import (
	"fmt"
	"strings"
)

// Markdown draws the document as CommonMark with tables as in GitHub's
// extension. Each paragraph and item is one line.
func (d *Document) Markdown() string {
	var b strings.Builder
	for i, s := range d.Sections {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString("## " + escape(s.Title) + "\n")
		for _, k := range s.Blocks {
			b.WriteByte('\n')
			k.markdown(&b)
		}
	}
	return b.String()
}

func (k *Block) markdown(b *strings.Builder) {
	switch k.Kind {
	case Heading:
		b.WriteString("### " + escape(k.Text) + "\n")
	case List, Numbered:
		for n, it := range k.Items {
			mark := "- "
			if k.Kind == Numbered {
				mark = fmt.Sprintf("%d. ", n+1)
			}
			b.WriteString(mark + it.markdown() + "\n")
			for _, s := range it.Sub {
				b.WriteString(strings.Repeat(" ", len(mark)) + "- " + escape(s.line()) + "\n")
			}
		}
	case Grid:
		row := func(cells []string) {
			for _, c := range cells {
				b.WriteString("| " + escape(c) + " ")
			}
			b.WriteString("|\n")
		}
		row(k.Table.Head)
		b.WriteString(strings.Repeat("| --- ", len(k.Table.Head)) + "|\n")
		for _, r := range k.Table.Rows {
			row(r)
		}
	default:
		b.WriteString(escape(k.Text) + "\n")
	}
}

func (it *Item) markdown() string {
	if it.Lead == "" {
		return escape(it.Text)
	}
	if it.Text == "" {
		return "**" + escape(it.Lead) + "**"
	}
	return "**" + escape(withColon(it.Lead)) + "** " + escape(it.Text)
}

// line is the item as one plain line.
func (it *Item) line() string {
	if it.Lead == "" || it.Text == "" {
		return it.Lead + it.Text
	}
	return withColon(it.Lead) + " " + it.Text
}

// withColon ends a lead so that the text can follow it.
func withColon(lead string) string {
	if strings.HasSuffix(lead, "?") || strings.HasSuffix(lead, ".") || strings.HasSuffix(lead, ":") {
		return lead
	}
	return lead + ":"
}

// escape makes a line of plain text safe anywhere in Markdown. A backslash
// before any ASCII punctuation mark is that mark (CommonMark 0.31, 2.4), so
// every mark that can open something is given one: emphasis, code, links, HTML,
// entities, tables, strikes, sums, and the "://", "www." and "@" of bare links.
// What acts only at the start of a line is escaped there.
func escape(s string) string {
	var b strings.Builder
	digits := true // only digits so far
	for i := 0; i < len(s); i++ {
		c := s[i]
		switch c {
		case '\\', '`', '*', '_', '[', ']', '<', '>', '&', '|', '~', '$', '@':
			b.WriteByte('\\')
		case '#', '+', '-', '=':
			if i == 0 {
				b.WriteByte('\\')
			}
		case ':':
			if strings.HasPrefix(s[i+1:], "//") {
				b.WriteByte('\\')
			}
		case '.', ')':
			if digits && i > 0 && (i+1 == len(s) || s[i+1] == ' ') || i >= 3 && strings.EqualFold(s[i-3:i], "www") {
				b.WriteByte('\\')
			}
		}
		digits = digits && c >= '0' && c <= '9'
		b.WriteByte(c)
	}
	return b.String()
}
