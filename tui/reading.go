package tui

import (
	"fmt"
	"strings"

	"underlap/diagnose"
	"underlap/diagnose/explain"
)

// section is one block of a reading: a heading and lines. Where room is short,
// a section gives up lines down to least, or itself, in the order of rank.
type section struct {
	title string
	lines []string
	least int // lines worth showing; fewer than this and it goes
	rank  int // 1 stays longest
}

// compose fits sections into h lines. whole is the key that shows all of them.
func compose(sections []section, w, h int, t *theme, whole string) []string {
	take := make([]int, len(sections))
	height := func() int {
		n := 0
		for i, x := range take {
			if x > 0 {
				n += x
				if sections[i].title != "" {
					n++
				}
			}
		}
		return n
	}
	most := 0
	for _, s := range sections {
		most = max(most, s.rank)
	}
	for rank := 1; rank <= most; rank++ { // the least of each, in order of rank
		for i, s := range sections {
			if s.rank != rank || len(s.lines) == 0 {
				continue
			}
			take[i] = min(s.least, len(s.lines))
			if height() > h {
				take[i] = 0
			}
		}
	}
	for rank := 1; rank <= most; rank++ { // then more, in the same order
		for i, s := range sections {
			for s.rank == rank && take[i] > 0 && take[i] < len(s.lines) && height() < h {
				take[i]++
			}
		}
	}
	blanks := h - height()
	var out []string
	for i, s := range sections {
		if take[i] == 0 {
			continue
		}
		if len(out) > 0 && blanks > 0 {
			out = append(out, "")
			blanks--
		}
		if s.title != "" {
			title := t.title.Render(s.title)
			if n := len(s.lines) - take[i]; n > 0 {
				title += t.dim.Render(fmt.Sprintf("  (%s more: %s)", explain.Count(n, "line"), whole))
			}
			out = append(out, fit(title, w))
		}
		out = append(out, s.lines[:take[i]]...)
	}
	return out
}

// reading is the whole reading, in one column or two.
func (s scene) reading() page {
	if s.w < wide {
		return page{body: s.all(s.w, s.readingSections(s.w), s.roofSections(s.w, 8))}
	}
	lw := (s.w - len([]rune(gap))) / 2
	rw := s.w - len([]rune(gap)) - lw
	left := s.all(lw, s.readingSections(lw))
	right := s.all(rw, s.roofSections(rw, max(8, s.h/2-6)))
	for len(left) < max(len(right), s.h-1) {
		left = append(left, "")
	}
	return page{body: beside(s.th.dim.Render(gap), [][]string{left, right}, []int{lw, rw})}
}

// all sets sections out in full, one below the other.
func (s scene) all(w int, groups ...[]section) []string {
	var out []string
	for _, g := range groups {
		for _, sec := range g {
			if len(sec.lines) == 0 {
				continue
			}
			if len(out) > 0 {
				out = append(out, "")
			}
			if sec.title != "" {
				out = append(out, s.th.title.Render(fit(sec.title, w)))
			}
			out = append(out, sec.lines...)
		}
	}
	return out
}

// sideReading is the reading beside a question.
func (s scene) sideReading(w, h int, withRoof bool) []string {
	sections := s.readingSections(w)
	if withRoof {
		sections = append(sections, s.roofSections(w, 6)...)
	}
	return compose(sections, w, h, s.th, name(s.keys.Reading))
}

// sideRoof is the third column: what the roof is and what physics says.
func (s scene) sideRoof(w, h int) []string {
	return compose(s.roofSections(w, max(6, h/3)), w, h, s.th, name(s.keys.Reading))
}

// readingSections: the three answers, the suspects, the reasons, what next.
func (s scene) readingSections(w int) []section {
	answers := s.threeAnswers(w)
	title, reasons := s.reasonsOfSelected(w)
	return []section{
		{"", answers, len(answers), 1},
		{s.suspectsTitle(), s.suspects(w), 4, 2},
		{"", s.closeCall(w), 1, 3},
		{title, reasons, 4, 5},
		{"Next question", s.nextLines(w), 2, 4},
		{"Look again", s.recheckShort(w), 3, 3},
		{"Waiting for", s.waitingShort(w), 1, 8},
	}
}

// roofSections: the build-up and the physics.
func (s scene) roofSections(w, rows int) []section {
	drawing := s.buildUpSmall(w, rows)
	return []section{
		{"Build-up", drawing, min(len(drawing), rows+1), 6},
		{"Physics", s.findingsShort(w), 2, 7},
		{"Would change our mind", s.changeShort(w), 1, 9},
	}
}

// threeAnswers are why it is wet, what it is and whether it was built well.
func (s scene) threeAnswers(w int) []string {
	var out []string
	for _, a := range []struct {
		label string
		st    diagnose.Statement
	}{{"Why wet ", s.r.Why}, {"What    ", s.r.What}, {"Built   ", s.r.Built}} {
		if a.st.Text == "" && a.st.Hedge == "" {
			continue
		}
		text := a.st.Text
		switch {
		case a.st.Hedge != "" && a.st.P <= 0: // no share is given yet
			text = upperFirst(a.st.Hedge) + ": " + a.st.Text
		case a.st.Hedge != "":
			text = fmt.Sprintf("%s %s: %s", upperFirst(a.st.Hedge), s.fig(a.st.Why, percent(a.st.P)), a.st.Text)
		}
		out = append(out, labelled(a.label, text, w, s.th.title, s.th.bold)...)
	}
	if len(out) == 0 {
		out = styled(wrap("Nothing can be said yet. Answer a few questions first.", w), s.th.dim)
	}
	return out
}

func (s scene) suspectsTitle() string {
	if s.p.side || s.p.screen == onReading {
		return "Suspects (↑ ↓ to choose)"
	}
	return "Suspects"
}

// suspects are the causes with bars, the selected one marked.
func (s scene) suspects(w int) []string {
	r := s.r
	if len(r.Causes) == 0 {
		return nil
	}
	sel := causeIndex(r, s.p.cause)
	n := 0
	most := 8
	if s.h < tall {
		most = 5 // the reasons below matter more than the tail
	}
	for n < len(r.Causes) && (n < 5 || r.Causes[n].P >= 0.03) && n < most {
		n++
	}
	rows := make([]int, 0, n+1)
	for i := range n {
		rows = append(rows, i)
	}
	if sel >= n {
		rows = append(rows, sel)
	}
	bw := 4
	switch {
	case w >= 60:
		bw = 12
	case w >= 50:
		bw = 8
	}
	nw := max(12, min(28, w-bw-21))
	var out []string
	for _, i := range rows {
		out = append(out, s.suspect(i, i == sel, nw, bw))
	}
	if r.Answered > 0 && len(r.Sources) > 0 {
		var parts []string
		for _, x := range r.Sources {
			if x.P >= 0.02 {
				parts = append(parts, x.Name+" "+s.fig("source/"+x.ID, percent(x.P)))
			}
		}
		out = append(out, wrap("Water: "+strings.Join(parts, ", "), w)...)
	}
	if r.More >= 0.01 {
		out = append(out, fit(s.th.dim.Render("More than one cause at work: ")+s.fig("causes/more", percent(r.More)), w))
	}
	return out
}

// closeCall warns that the first two suspects are too close to sell a repair.
func (s scene) closeCall(w int) []string {
	if !s.r.Close || s.r.Answered == 0 {
		return nil
	}
	return styled(wrap("The first two are close: a test comes before a repair ("+name(s.keys.Scope)+").", w), s.th.bold)
}

// suspect is one row: mark, name, bar, number, hedge word.
func (s scene) suspect(i int, selected bool, nw, bw int) string {
	c := s.r.Causes[i]
	point, style := " ", s.th.plain
	if selected {
		point, style = ">", s.th.bold
	}
	return s.th.key.Render(point) + " " + style.Render(pad(shortName(c), nw)) + " " + s.th.bar.Render(bar(c.P, bw)) + " " +
		padLeft(s.fig(c.Why, shortPercent(c.P)), 5) + " " + c.Hedge
}

func shortName(c diagnose.Cause) string {
	if c.Short != "" {
		return c.Short
	}
	return c.Name
}

// reasonsOfSelected are the reasons for and against the selected suspect.
func (s scene) reasonsOfSelected(w int) (string, []string) {
	if len(s.r.Causes) == 0 {
		return "", nil
	}
	c := s.r.Causes[causeIndex(s.r, s.p.cause)]
	return "For and against: " + shortName(c), s.reasons(c, w, 4)
}

// reasons lists what speaks for a cause and against it, strongest first, by
// turns so that a short list still shows both sides. most limits each side; 0
// means all.
func (s scene) reasons(c diagnose.Cause, w, most int) []string {
	limit := func(n int) int {
		if most > 0 {
			return min(n, most)
		}
		return n
	}
	var out []string
	f, a := c.For[:limit(len(c.For))], c.Against[:limit(len(c.Against))]
	for i := range max(len(f), len(a)) {
		if i < len(f) {
			out = append(out, s.reason("+", f[i], w)...)
		}
		if i < len(a) {
			out = append(out, s.reason("-", a[i], w)...)
		}
	}
	if len(out) == 0 {
		out = append(out, s.th.dim.Render(fit("No answer speaks for or against it yet.", w)))
	}
	return out
}

func (s scene) reason(mark string, r diagnose.Reason, w int) []string {
	style := s.th.good
	if mark == "-" {
		style = s.th.bad
	}
	return labelled(fmt.Sprintf("%s %-7s", mark, r.Strength), r.Text, w, style, s.th.plain)
}

func (s scene) nextLines(w int) []string {
	n := s.r.Next
	var out []string
	if st, ok := stepOf(s.steps, n.Question); ok {
		out = append(out, labelled(name(s.keys.Telling)+" ", st.Question.Short, w, s.th.key, s.th.bold)...)
		out = append(out, styled(wrap(n.Reason, w), s.th.plain)...)
	}
	if n.Stop && n.StopWhy != "" {
		out = append(out, labelled("Enough: ", n.StopWhy, w, s.th.bold, s.th.plain)...)
	}
	return out
}

func (s scene) recheckShort(w int) []string {
	var out []string
	for _, r := range s.r.Recheck {
		out = append(out, labelled(name(s.keys.Recheck)+" ", r.Text, w, s.th.key, s.th.poor)...)
	}
	return out
}

func (s scene) waitingShort(w int) []string {
	var out []string
	for _, r := range s.r.Pending {
		out = append(out, labelled(name(s.keys.Waiting)+" ", r.Text, w, s.th.key, s.th.plain)...)
	}
	return out
}

func (s scene) changeShort(w int) []string {
	var out []string
	for _, c := range s.r.Change {
		out = append(out, labelled("- ", c.Text, w, s.th.dim, s.th.plain)...)
	}
	return out
}

func (s scene) findingsShort(w int) []string {
	var out []string
	for _, f := range s.r.Findings {
		head := f.Title
		if v := s.findingValue(f); v != "" {
			head += ": " + v
		}
		out = append(out, labelled(verdictMark(f.Verdict), head+verdictWord(f.Verdict), w, s.th.verdict(f.Verdict), s.th.plain)...)
	}
	return out
}

// findingValue is a value with its unit and band, or nothing where a finding
// has no figure.
func (s scene) findingValue(f explain.Finding) string {
	if f.Unit == "" && f.Value == 0 && f.Low == 0 && f.High == 0 {
		return ""
	}
	v := strings.TrimSpace(number(f.Value) + " " + f.Unit)
	if f.Low != f.High {
		v += fmt.Sprintf(" (%s to %s)", number(f.Low), number(f.High))
	}
	return s.fig(f.Why, v)
}

// verdictMark and verdictWord say what a finding means, by sign and by word.
func verdictMark(v string) string {
	switch v {
	case "good":
		return "+ "
	case "poor":
		return "~ "
	case "bad":
		return "! "
	default:
		return "  "
	}
}

func verdictWord(v string) string {
	switch v {
	case "good", "poor", "bad":
		return ", " + v
	default:
		return ""
	}
}
