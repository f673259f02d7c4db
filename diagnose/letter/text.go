package letter

import (
	"fmt"
	"strings"

	"github.com/rivo/uniseg"
)

// narrowest is the least width a text is wrapped to: a phone's, near enough.
const narrowest = 24

// Text draws the document as plain text to paste in a message, at most width
// columns wide. A width under 24 is taken as 24. There is no markup; tables are
// aligned lines, or one line a cell where they would not fit.
func (d *Document) Text(width int) string {
	width = max(width, narrowest)
	var lines []string
	for i, s := range d.Sections {
		if i > 0 {
			lines = append(lines, "")
		}
		lines = append(lines, wrap(strings.ToUpper(s.Title), width, "", "")...)
		for j, k := range s.Blocks {
			// A list stands right under the line that introduces it.
			led := j > 0 && (k.Kind == List || k.Kind == Numbered) && s.Blocks[j-1].Kind == Paragraph && !s.Blocks[j-1].Tight
			if j > 0 && !led && !k.Tight {
				lines = append(lines, "")
			}
			lines = append(lines, k.text(width)...)
		}
	}
	return strings.Join(lines, "\n") + "\n"
}

func (k *Block) text(width int) []string {
	switch k.Kind {
	case Heading:
		return wrap(withColon(k.Text), width, "", "")
	case List, Numbered:
		var out []string
		for n, it := range k.Items {
			mark := "- "
			if k.Kind == Numbered {
				mark = fmt.Sprintf("%d. ", n+1)
			}
			hang := strings.Repeat(" ", len(mark))
			out = append(out, wrap(it.line(), width, mark, hang)...)
			for _, s := range it.Sub {
				out = append(out, wrap(s.line(), width, hang+"- ", hang+"  ")...)
			}
		}
		return out
	case Grid:
		return k.Table.text(width)
	default:
		return wrap(k.Text, width, "", "")
	}
}

// columns is the width of s on a screen. It does not depend on the locale.
func columns(s string) int { return uniseg.StringWidth(s) }

// wrap breaks a line at spaces into lines of at most width columns; a word
// longer than a line is broken inside. The first line starts with first, the
// others with rest.
func wrap(s string, width int, first, rest string) []string {
	var out []string
	line, used, empty := first, columns(first), true
	flush := func() {
		out = append(out, strings.TrimRight(line, " "))
		line, used, empty = rest, columns(rest), true
	}
	for _, word := range words(s) {
		w := columns(word)
		if !empty && used+1+w > width {
			flush()
		}
		if !empty {
			line, used = line+" ", used+1
		}
		for used+w > width { // only a word too long for a line of its own
			head, tail := split(word, width-used)
			line += head
			flush()
			word, w = tail, columns(tail)
		}
		line, used, empty = line+word, used+w, false
	}
	if !empty || len(out) == 0 {
		out = append(out, strings.TrimRight(line, " "))
	}
	return out
}

// words splits at spaces but keeps a number and its unit together.
func words(s string) []string {
	var out []string
	for _, w := range strings.Fields(s) {
		if n := len(out); n > 0 && isUnit(w) && endsInDigit(out[n-1]) {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}

func isUnit(w string) bool {
	switch strings.TrimRight(w, ".,;:)") {
	case "%", "mm", "m", "m²", "L", "ml", "h", "°C", "years":
		return true
	}
	return false
}

func endsInDigit(s string) bool {
	return s != "" && s[len(s)-1] >= '0' && s[len(s)-1] <= '9'
}

// split cuts a word at most n columns in, between whole characters. It takes at
// least one character, which fits because no line is narrower than that.
func split(word string, n int) (head, tail string) {
	used, state, at := 0, -1, 0
	for rest := word; rest != ""; {
		cluster, next, w, s := uniseg.FirstGraphemeClusterInString(rest, state)
		if at > 0 && used+w > n {
			break
		}
		at, used, rest, state = at+len(cluster), used+w, next, s
	}
	return word[:at], word[at:]
}

// gap stands between two columns of a table.
const gap = "  "

// thinnestColumn is the least a column is squeezed to before the table is
// written one line a cell.
const thinnestColumn = 9

func (t *Table) text(width int) []string {
	sizes, ok := t.fit(width)
	if !ok {
		return t.stacked(width)
	}
	var out []string
	row := func(cells []string) {
		parts := make([][]string, len(cells))
		tall := 0
		for i, c := range cells {
			parts[i] = wrap(c, sizes[i], "", "")
			tall = max(tall, len(parts[i]))
		}
		for y := range tall {
			line := ""
			for i := range cells {
				cell := ""
				if y < len(parts[i]) {
					cell = parts[i][y]
				}
				line += cell + strings.Repeat(" ", sizes[i]-columns(cell)) + gap
			}
			out = append(out, strings.TrimRight(line, " "))
		}
	}
	row(t.Head)
	rule := make([]string, len(sizes))
	for i, n := range sizes {
		rule[i] = strings.Repeat("-", n)
	}
	row(rule)
	for _, r := range t.Rows {
		row(r)
	}
	return out
}

// fit gives each column its width, taking from the widest until all fit.
func (t *Table) fit(width int) ([]int, bool) {
	sizes := make([]int, len(t.Head))
	total := len(gap) * (len(t.Head) - 1)
	for _, r := range append([][]string{t.Head}, t.Rows...) {
		for i, c := range r {
			sizes[i] = max(sizes[i], columns(c))
		}
	}
	for _, n := range sizes {
		total += n
	}
	for total > width {
		widest := 0
		for i, n := range sizes {
			if n > sizes[widest] {
				widest = i
			}
		}
		if sizes[widest] <= thinnestColumn {
			return nil, false
		}
		sizes[widest]--
		total--
	}
	return sizes, true
}

func (t *Table) stacked(width int) []string {
	var out []string
	for n, r := range t.Rows {
		if n > 0 {
			out = append(out, "")
		}
		for i, c := range r {
			out = append(out, wrap(withColon(t.Head[i])+" "+c, width, "", "  ")...)
		}
	}
	return out
}
