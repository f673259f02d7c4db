package letter

import (
	"regexp"
	"strings"
	"testing"

	"github.com/rivo/uniseg"
	"pgregory.net/rapid"

	"underlap/diagnose"
)

// typed puts a caller's words wherever they can get into a letter.
func typed(s string) (*diagnose.Reading, Options) {
	r, o := invented(), onDay()
	r.Title, o.From, o.To, r.Place = s, s, s, s
	r.Facts[10].Says = s
	r.Facts[3].Says = s
	r.Pending[0].Text = "A " + s
	r.Scope.Options[1].Barred = s
	return r, o
}

var wants = regexp.MustCompile(`(?m)^(#+ |[0-9]+\. |- | +- |\| )?`)

// skeleton is the block mark of each line: what Markdown sees of the shape.
func skeleton(md string) string {
	var b strings.Builder
	for _, line := range strings.Split(md, "\n") {
		if strings.HasPrefix(line, "|") {
			n := 0
			for i := range line {
				if line[i] == '|' && (i == 0 || line[i-1] != '\\' || i > 1 && line[i-2] == '\\') {
					n++
				}
			}
			b.WriteString(strings.Repeat("|", n) + "\n")
			continue
		}
		b.WriteString(wants.FindString(line))
		if line == "" {
			b.WriteString("(blank)")
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// unescape reads backslash escapes as CommonMark does (0.31, section 2.4: a
// backslash before ASCII punctuation), and fails on a mark that was left live.
func unescape(t *testing.T, s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c == '\\' {
			i++
			if i == len(s) || !strings.ContainsRune("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~", rune(s[i])) {
				t.Fatalf("a backslash that escapes nothing in %q", s)
			}
			b.WriteByte(s[i])
			continue
		}
		if strings.IndexByte("`*_[]<>&|~$@", c) >= 0 {
			t.Fatalf("a live %q in %q", c, s)
		}
		b.WriteByte(c)
	}
	return b.String()
}

var live = regexp.MustCompile(`^(#|[-+=]|[0-9]+[.)]( |$))|(^|[^\\])://|(?i:www\.)`)

func FuzzTypedText(f *testing.F) {
	for _, s := range []string{
		"plain", "0", "No", "# head", "* x *", "1. one", "12) two", "- dash", "---", "===", "> quote", "```sh", "`code`", "[a](http://x.y)", "![i](x)",
		"<script>alert(1)</script>", "&lt;", "a|b", "~~no~~", "$x$", "www.example.org", "a@b.example", "line\nsecond\r\n\r\n# third", "\x1b[2Jgone",
		"\u202eright to left", "tab\there", "\\", "\\\\*", "**", "a_b_c", "\xff\xfe", "£20 ± 5 mm — ½", "日本語のとても長い言葉がここにあります", "👩‍👩‍👧‍👦 family", "x: y", "- [ ] task", "+ plus", "    code", "e\u0301\ufe0f", " \ufe0f", "verylongwordverylongwordverylongwordverylongwordverylongword",
	} {
		f.Add(s, uint8(40))
	}
	r, o := typed("plain words")
	plainReply, plainAsk := Reply(r, o), Requests(r, o)
	f.Fuzz(func(t *testing.T, s string, width uint8) {
		if want := escape(oneLine(s)); unescape(t, want) != oneLine(s) || live.MatchString(want) {
			t.Fatalf("%q is escaped to %q", s, want)
		}
		if oneLine(s) == "" {
			return // an empty answer has no line, so the shape differs
		}
		r, o := typed(s)
		for name, pair := range map[string][2]Document{"reply": {Reply(r, o), plainReply}, "request": {Requests(r, o), plainAsk}} {
			got, plain := pair[0], pair[1]
			// A glossary word in what was typed may move a note below a table, and a
			// plain no has no line.
			quiet := s == unsaid || idle(diagnose.Told{Says: s})
			if a, b := skeleton(got.Markdown()), skeleton(plain.Markdown()); a != b && !glossed(s) && !quiet {
				t.Fatalf("%s: the shape is broken by %q:\n%s", name, s, got.Markdown())
			}
			checkText(t, got, int(width))
		}
	})
}

func glossed(s string) bool {
	for _, g := range glossary {
		if g.at.MatchString(oneLine(s)) || g.at.MatchString("A "+oneLine(s)) {
			return true
		}
	}
	return false
}

// checkText holds the text to its width, with no control characters.
func checkText(t *testing.T, d Document, width int) {
	t.Helper()
	most := max(width, narrowest)
	for _, line := range strings.Split(d.Text(width), "\n") {
		if n := uniseg.StringWidth(line); n > most {
			t.Fatalf("%d columns, at most %d: %q", n, most, line)
		}
		if strings.ContainsAny(line, "\x1b\r\t\u202e") {
			t.Fatalf("a control character in %q", line)
		}
	}
}

func TestWidthIsNeverExceeded(t *testing.T) {
	docs := []Document{Reply(invented(), onDay()), Reply(thin(), onDay()), Requests(invented(), onDay())}
	for width := -1; width <= 130; width++ {
		for _, d := range docs {
			checkText(t, d, width)
		}
	}
	r, o := typed(strings.Repeat("long", 60))
	for width := narrowest; width <= 90; width++ {
		checkText(t, Reply(r, o), width)
	}
}

func TestTextHasNoMarkup(t *testing.T) {
	d := Reply(invented(), onDay())
	for _, mark := range []string{"**", "##", "|", "\\"} {
		if strings.Contains(d.Text(72), mark) {
			t.Errorf("the text holds %q", mark)
		}
	}
}

// Wrapping loses no word and no letter, whatever the width.
func TestWrapKeepsEverything(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringMatching(`[a-z£é0-9 %.]{0,200}`).Draw(t, "text")
		width := rapid.IntRange(narrowest, 90).Draw(t, "width")
		lines := wrap(s, width, "- ", "  ")
		joined := strings.TrimPrefix(strings.Join(lines, ""), "- ")
		squeeze := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if squeeze(joined) != squeeze(s) && squeeze(joined) != "-" {
			t.Fatalf("%q became %q", s, lines)
		}
		for _, l := range lines {
			if columns(l) > width {
				t.Fatalf("%q is wider than %d", l, width)
			}
		}
	})
}

// The letter is drawn from the reading and changes nothing in it.
func TestReadingIsLeftAlone(t *testing.T) {
	r, again := invented(), invented()
	first := Reply(r, onDay())
	Requests(r, onDay())
	second := Reply(r, onDay())
	if first.Markdown() != second.Markdown() {
		t.Error("two letters from one reading differ")
	}
	third := Reply(again, onDay())
	if third.Markdown() != first.Markdown() {
		t.Error("the reading was changed by writing from it")
	}
}

// The small pieces by themselves are quick enough to be tried with far more
// texts than whole letters.
func FuzzEscapeAndWrap(f *testing.F) {
	for _, s := range []string{"1.5", "1. x", "1) x", "a\u0301 \u0301b", "\U0001F1EC\U0001F1E7\U0001F1EC", "www.a", "WWW.a", "x://y", "://", "日本 %", "9 % %", "\u200d\u200d", "-", "#x", "=", "a @b"} {
		f.Add(s, uint8(24))
	}
	f.Fuzz(func(t *testing.T, s string, width uint8) {
		line := oneLine(s)
		if line != oneLine(line) {
			t.Fatalf("%q is not settled: %q", s, line)
		}
		if got := escape(line); unescape(t, got) != line || live.MatchString(got) {
			t.Fatalf("%q is escaped to %q", line, got)
		}
		most := max(int(width), narrowest)
		joined := ""
		for _, l := range wrap(line, most, "- ", "  ") {
			if uniseg.StringWidth(l) > most {
				t.Fatalf("%q is wider than %d", l, most)
			}
			joined += l
		}
		squeeze := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if squeeze(joined) != "-"+squeeze(line) {
			t.Fatalf("%q became %q", line, joined)
		}
	})
}
