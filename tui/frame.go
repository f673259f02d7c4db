package tui

import (
	"path/filepath"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"underlap/diagnose"
	"underlap/diagnose/explain"
	"underlap/rules"
)

// Sizes at which the layout changes, in columns and rows.
const (
	wide      = 100 // question and reading side by side
	wider     = 140 // a third column
	tall      = 28  // room for the safety lines in full
	leastWide = 60
	leastTall = 16
)

// scene is all that a screen is drawn from. A screen never looks elsewhere.
type scene struct {
	r       *diagnose.Reading
	ways    []rules.Known // how something can be known
	steps   []diagnose.Step
	p       place
	w, h    int // room for the body
	th      *theme
	keys    keyMap
	hourly  string // what is being followed hour by hour, or ""
	letter  string // text of the letter
	heading string // its title

	known string   // how the next answer is known
	ticks []string // ticked answers of the question in front
	draft string   // words typed and not kept
	field *field   // the open field, or nil
	pick  bool     // figures are to be marked
	whyAt map[string]int
}

// page is a drawn screen: head lines that stay, and body lines that scroll.
type page struct {
	head, body []string
	keepFrom   int // body lines to keep in sight
	keepTo     int // exclusive; 0 when none
}

// drawn is a whole frame.
type drawn struct {
	lines   []string
	top     int // first body line shown
	last    int // the furthest top that makes sense
	figures map[rune]string
}

// View implements tea.Model.
func (m *model) View() string { return strings.Join(m.draw(m.picking).lines, "\n") }

func (m *model) scene(picking bool) scene {
	s := scene{
		r: m.reading(), ways: m.call.Pack().Words.Known, steps: m.steps, p: m.at, th: m.th, keys: m.keys,
		letter: m.letter.text, heading: m.letter.title, hourly: m.hourlyLine(),
		field: m.field, pick: picking,
	}
	if m.at.question != "" {
		st := m.step()
		s.known, s.ticks = m.knownNow(st), m.ticked(st)
		s.draft = m.drafts[answerDraft(m.at.question)]
	}
	if picking {
		s.whyAt = make(map[string]int, len(s.r.Whys))
		for i, w := range s.r.Whys {
			s.whyAt[w.ID] = i
		}
	}
	return s
}

// draw makes the frame. It is the only place that knows the size of the window.
func (m *model) draw(picking bool) drawn {
	if m.w < leastWide || m.h < leastTall {
		return drawn{lines: tooSmall(m.w, m.h)}
	}
	s := m.scene(picking)
	foot := []string{m.message(), m.foot(picking)}
	if m.field != nil && (m.at.screen != onQuestion || m.at.question == "") {
		foot = append(m.field.lines(m.th, m.w), foot...) // a note on the case
	}
	s.w = m.w
	note := notice(m.o.Notice, m.th, m.w)
	safety := m.safety(s, len(foot)+len(note))
	top := append([]string{m.header()}, safety...)
	top = append(top, note...)
	s.h = m.h - len(top) - len(foot)
	pg := s.page()
	body, from, last := window(pg, s.h, m.at.scroll, m.th)
	lines := append(top, body...)
	for len(lines) < m.h-len(foot) {
		lines = append(lines, "")
	}
	lines = append(lines, foot...)
	d := drawn{lines: lines, top: from, last: last}
	if picking {
		d.figures = number1toZ(lines, s.r)
	}
	for i := range d.lines {
		d.lines[i] = fit(d.lines[i], m.w)
	}
	d.lines = d.lines[:min(len(d.lines), m.h)]
	return d
}

// page draws the screen of the place.
func (s scene) page() page {
	switch s.p.screen {
	case onReading:
		return s.reading()
	case onCauses:
		return s.causes()
	case onBuildUp:
		return s.buildUp()
	case onFindings:
		return s.findings()
	case onEntry:
		return s.entryPage()
	case onScope:
		return s.scope()
	case onLetter:
		return s.letterPage()
	case onWaiting:
		return s.waiting()
	case onRecheck:
		return s.recheck()
	case onSafety:
		return s.safety()
	case onJump:
		return s.jump()
	case onWhy:
		return s.why()
	case onHelp:
		return s.help()
	case onDays:
		return s.wetDays()
	default:
		return s.front()
	}
}

// window cuts the body to the room there is, and says how much lies outside.
func window(pg page, h, scroll int, t *theme) (lines []string, top, last int) {
	lines = append(lines, pg.head...)
	room := max(1, h-len(lines))
	n := len(pg.body)
	if n <= room {
		return append(lines, pg.body...), 0, 0
	}
	room-- // for the line that says so
	last = n - room
	top = max(0, min(scroll, last))
	if pg.keepTo > 0 {
		top = min(max(top, min(pg.keepTo-room, last)), max(0, min(pg.keepFrom, last)))
		top = max(0, top)
	}
	lines = append(lines, pg.body[top:top+room]...)
	var more []string
	if top > 0 {
		more = append(more, "↑ "+explain.Count(top, "line")+" above")
	}
	if rest := n - top - room; rest > 0 {
		more = append(more, "↓ "+explain.Count(rest, "line")+" below")
	}
	return append(lines, t.dim.Render(strings.Join(more, "   ")+"   PgUp PgDn")), top, last
}

func tooSmall(w, h int) []string {
	lines := append(wrap("This window is too small to work in.", w), wrap("Make it at least 60 columns by 16 rows. Nothing is lost.", w)...)
	return lines[:min(len(lines), max(h, 0))]
}

// notice is what every screen must say after what is urgent, or nothing.
func notice(text string, t *theme, w int) []string {
	if text == "" {
		return nil
	}
	return []string{t.error.Render(fit("! "+text, w))}
}

// header is the top line: the case, and that it is kept.
func (m *model) header() string {
	r := m.reading()
	title := r.Title
	if title == "" {
		title = "Case without a title"
	}
	right := explain.Count(r.Answered, "answer")
	switch {
	case m.o.Demo:
		right += ", " + m.th.poor.Render("EXAMPLE, nothing is kept")
	case m.o.Path != "" && m.w >= wide:
		right += ", saved in " + fit(filepath.Base(m.o.Path), m.w/3)
	default:
		right += ", saved"
	}
	if r.Closed != "" {
		right = m.th.poor.Render("CLOSED") + ", " + right
	}
	name := m.at.screen.String()
	room := m.w - len(" underlap ") - lipgloss.Width(name) - lipgloss.Width(right) - 5
	left := m.th.mark.Render(" underlap ") + " " + m.th.bold.Render(fit(title, max(room, 10))) + m.th.dim.Render("  "+name)
	return spread(left, right, m.w)
}

// message is the line above the keys: what just happened, what went wrong, or
// what to ask next.
func (m *model) message() string {
	switch {
	case m.err != "":
		return m.th.error.Render(fit("! "+upperFirst(m.err), m.w))
	case m.picking:
		return m.th.bold.Render("Press the mark in brackets beside a figure to see where it comes from.")
	case m.msg != "":
		return m.th.good.Render(fit(m.msg, m.w))
	}
	if m.at.screen != onQuestion || m.w >= wide {
		return ""
	}
	return fit(nextLine(m.reading(), m.steps, m.th, name(m.keys.Telling)), m.w)
}

// nextLine says which question is worth most now, or why to stop.
func nextLine(r *diagnose.Reading, steps []diagnose.Step, t *theme, telling string) string {
	n := r.Next
	if st, ok := stepOf(steps, n.Question); ok {
		return t.key.Render(telling) + " most telling: " + st.Question.Short + t.dim.Render("  "+n.Reason)
	}
	if n.Stop {
		return t.bold.Render("Enough asked: ") + n.StopWhy
	}
	return ""
}

// foot is the line of keys, as many as fit, with help always among them.
func (m *model) foot(picking bool) string {
	var q *rules.Question
	if m.at.question != "" {
		q = m.step().Question
	}
	keys := m.keys.foot(m.at, m.field != nil, picking, q)
	must := keys[len(keys)-min(2, len(keys)):]
	end := joinHints(m.th, must, 1<<20)
	return joinHints(m.th, keys[:len(keys)-len(must)], m.w-lipgloss.Width(end)-2) + "  " + end
}

func joinHints(t *theme, keys []key.Binding, w int) string {
	out := ""
	for _, k := range keys {
		if !k.Enabled() {
			continue
		}
		h := hint(t, k)
		if out != "" {
			h = "  " + h
		}
		if lipgloss.Width(out)+lipgloss.Width(h) > w {
			break
		}
		out += h
	}
	return out
}

// safety is the block that stands above everything. It takes as many lines as
// can be spared, at least two, and says when there is more.
func (m *model) safety(s scene, foot int) []string {
	most := 2
	if m.h >= tall {
		most = 4
	}
	if m.at.screen == onQuestion {
		s.h = m.h // generous: the need does not depend on it
		need := s.need()
		for most < 5 && 1+most+1+need+foot <= m.h {
			most++
		}
	}
	return cautionLines(s.r.Cautions, m.w, most, m.th, name(m.keys.Safety))
}

// cautionLines words the cautions in at most n lines: the first as fully as it
// will go, the others by their first words. full is the key that shows all.
func cautionLines(c []diagnose.Caution, w, n int, t *theme, full string) []string {
	if len(c) == 0 {
		return nil
	}
	const label = " SAFETY "
	indent := strings.Repeat(" ", len(label)+1)
	room := w - len(label) - 1
	first := wrap(c[0].Says, room)
	most := n
	if len(c) > 1 {
		most = max(1, n-1)
	}
	cut := len(first) > most
	if cut {
		first = first[:most]
		k := most - 1
		first[k] = ansi.Truncate(first[k], room-4, "") + " … " + t.key.Render(full)
	}
	out := make([]string, 0, n)
	for i, l := range first {
		head := indent
		if i == 0 {
			head = t.alert.Render(label) + " "
		}
		out = append(out, head+t.bold.Render(l))
	}
	if len(c) > 1 {
		var also []string
		for _, x := range c[1:] {
			also = append(also, lead(x.Says))
		}
		tail := "  " + t.key.Render(full) + " in full"
		out = append(out, indent+fit("Also: "+strings.Join(also, "; "), room-lipgloss.Width(tail))+tail)
	}
	return out
}

// markBase is the first of the private characters that stand for a figure's
// mark while the frame is put together. They are one column wide, like the
// marks that replace them.
const markBase = 0xE000

// fig marks a figure whose origin can be asked for.
func (s scene) fig(why, text string) string {
	if !s.pick {
		return text
	}
	i, ok := s.whyAt[why]
	if !ok || i > 0x18FF {
		return text
	}
	return text + "[" + string(rune(markBase+i)) + "]"
}

// number1toZ replaces the private marks, in reading order, by 1 to 9 and a to
// z, and tells which key means which figure. Only what is in sight has a mark.
func number1toZ(lines []string, r *diagnose.Reading) map[rune]string {
	const marks = "123456789abcdefghijklmnopqrstuvwxyz"
	keys, given := map[rune]string{}, map[string]rune{}
	for i, l := range lines {
		if !strings.ContainsFunc(l, isMark) {
			continue
		}
		var b strings.Builder
		for _, c := range l {
			if !isMark(c) {
				b.WriteRune(c)
				continue
			}
			id := r.Whys[int(c)-markBase].ID
			k, ok := given[id]
			if !ok && len(given) < len(marks) {
				k = rune(marks[len(given)])
				given[id], keys[k] = k, id
			} else if !ok {
				k = ' '
			}
			b.WriteRune(k)
		}
		lines[i] = b.String()
	}
	return keys
}

func isMark(c rune) bool { return c >= markBase && c < markBase+0x1900 }
