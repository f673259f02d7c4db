package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	"github.com/charmbracelet/lipgloss"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
)

// gap stands between columns.
const gap = " │ "

// columns shares the width out: the question, the reading, and the roof where
// there is room for three.
func columns(w int) []int {
	inner := func(n int) int { return w - n*len([]rune(gap)) }
	switch {
	case w >= wider:
		q, r := inner(2)*34/100, inner(2)*35/100
		return []int{q, r, inner(2) - q - r}
	case w >= wide:
		q := inner(1) * 53 / 100
		return []int{q, inner(1) - q}
	default:
		return []int{w}
	}
}

// fieldWidth is the room for a typed field.
func (m *model) fieldWidth() int {
	if m.at.screen == onQuestion {
		return columns(m.w)[0] - 2
	}
	return m.w - 2
}

// front is the question, with the reading beside it where there is room.
func (s scene) front() page {
	cols := columns(s.w)
	q := s.questionBest(cols[0], s.h)
	if len(cols) == 1 {
		return q
	}
	// A question that is too long for the window scrolls by itself; the
	// reading beside it stays.
	left, _, _ := window(q, s.h, s.p.scroll, s.th)
	parts := [][]string{left, s.sideReading(cols[1], s.h, len(cols) == 2)}
	if len(cols) == 3 {
		parts = append(parts, s.sideRoof(cols[2], s.h))
	}
	for len(parts[0]) < s.h { // the rule between the columns runs to the foot
		parts[0] = append(parts[0], "")
	}
	return page{body: beside(s.th.dim.Render(gap), parts, cols)}
}

// Ways of setting a question out, from roomy to close.
const (
	roomy = iota
	closer
	tight
	twoColumns
	bare // a low window: the words to say and the answers, no more
)

// questionBest is the roomiest setting that fits.
func (s scene) questionBest(w, h int) page {
	var pg page
	for how := roomy; how <= bare; how++ {
		pg = s.questionPage(w, how)
		if len(pg.head)+len(pg.body) <= h {
			return pg
		}
	}
	return pg
}

// need is the least height the question asks for in full.
func (s scene) need() int {
	pg := s.questionPage(columns(s.w)[0], tight)
	return len(pg.head) + len(pg.body)
}

// questionPage sets one question out.
func (s scene) questionPage(w, how int) page {
	st, n, ok := s.inFront()
	if !ok {
		return page{body: s.finished(w)}
	}
	q, t := st.Question, s.th
	var pg page
	blank := func(most int) {
		if n := len(pg.body); how <= most && pg.body[n-1] != "" {
			pg.body = append(pg.body, "")
		}
	}
	pg.body = append(pg.body, spread(t.title.Render(q.Branch)+t.dim.Render(fmt.Sprintf("  %d of %d", n+1, len(s.steps))), t.dim.Render(stateWords(st)), w))
	blank(roomy)
	for _, l := range wrap(q.Say, w-2) {
		pg.body = append(pg.body, t.key.Render("▌")+" "+t.say.Render(l))
	}
	blank(closer)
	if how < bare {
		pg.body = append(pg.body, labelled("Why    ", q.Why, w, t.dim, t.plain)...)
	}
	if q.Look != "" && how < bare {
		pg.body = append(pg.body, labelled("Photo  ", q.Look, w, t.dim, t.plain)...)
	}
	blank(roomy)
	if st.State != "open" && st.State != "later" {
		pg.body = append(pg.body, s.standing(st, w)...)
	}
	if st.State == "later" {
		pg.body = append(pg.body, styled(wrap("From what is known so far this may not apply. It can still be answered.", w), t.dim)...)
	}
	pg.body = append(pg.body, s.answers(st, w, how)...)
	if q.Kind == rules.KindSpots && how < bare {
		pg.body = append(pg.body, keyPlan(t, w)...)
	}
	if s.field != nil {
		blank(closer)
		pg.keepFrom = len(pg.body)
		pg.body = append(pg.body, s.field.lines(t, w)...)
		pg.keepTo = len(pg.body) // what is typed stays in sight
	} else if e := s.entry(st, w); len(e) > 0 {
		pg.body = append(pg.body, e...)
	}
	blank(closer)
	pg.body = append(pg.body, s.marks(w)...)
	pg.body = append(pg.body, s.knownStrip(w)...)
	return pg
}

// inFront is the step in front and its number in the interview.
func (s scene) inFront() (diagnose.Step, int, bool) {
	for i, st := range s.steps {
		if st.Question.ID == s.p.question {
			return st, i, true
		}
	}
	return diagnose.Step{}, 0, false
}

// stateWords says where a question stands.
func stateWords(st diagnose.Step) string {
	switch st.State {
	case "answered":
		return "answered"
	case "asked":
		return "asked for, waiting"
	case "unknown":
		return "not known"
	case "skipped":
		return "skipped"
	case "later":
		return "may not apply"
	default:
		return ""
	}
}

// standing shows the answer that stands.
func (s scene) standing(st diagnose.Step, w int) []string {
	extra := ""
	if st.State == "answered" {
		extra = " (" + s.knownName(st.Known) + ")"
	}
	if st.Revised > 0 {
		extra += ", changed " + times(st.Revised)
	}
	out := labelled("Now    ", st.Answer+extra, w, s.th.good, s.th.good)
	if st.Note != "" {
		out = append(out, labelled("Note   ", st.Note, w, s.th.dim, s.th.plain)...)
	}
	return out
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	default:
		return fmt.Sprintf("%d times", n)
	}
}

func (s scene) knownName(id string) string {
	for _, k := range s.ways {
		if k.ID == id {
			return k.Name
		}
	}
	return id
}

// answers lists the answers with their keys. Marks: > under the arrows, • the
// answer that stands, [x] ticked.
func (s scene) answers(st diagnose.Step, w, how int) []string {
	q := st.Question
	if len(q.Answers) == 0 {
		return nil
	}
	set := func(i, w int) []string {
		a := q.Answers[i]
		point, box := " ", ""
		if s.p.cursor == i && (!s.p.side || s.w < wide) {
			point = ">"
		}
		on := false
		if q.Kind == rules.KindSeveral {
			on = slices.Contains(s.ticks, a.ID)
			box = "[ ] "
			if on {
				box = "[x] "
			}
		} else {
			on = st.State == "answered" && slices.Contains(st.Choices, a.ID)
			box = "  "
			if on {
				box = "• "
			}
		}
		style := s.th.plain
		if on || point == ">" {
			style = s.th.bold
		}
		head := fmt.Sprintf("%s %d %s", point, i+1, box)
		lines := labelled(head, a.Says, w, s.th.key, style)
		if len(lines) == 0 {
			lines = []string{head}
		}
		return lines
	}
	if how < twoColumns || how == twoColumns && w < 64 {
		var out []string
		for i := range q.Answers {
			out = append(out, set(i, w)...)
		}
		return append(out, s.acceptHint(q, w)...)
	}
	half := (len(q.Answers) + 1) / 2
	cw := (w - 2) / 2
	var left, right []string
	for i := range q.Answers {
		if i < half {
			left = append(left, set(i, cw)...)
		} else {
			right = append(right, set(i, cw)...)
		}
	}
	return append(beside("  ", [][]string{left, right}, []int{cw, cw}), s.acceptHint(q, w)...)
}

// acceptHint says what Enter does where several answers may hold.
func (s scene) acceptHint(q *rules.Question, w int) []string {
	if q.Kind != rules.KindSeveral {
		return nil
	}
	text := "Enter with nothing ticked: none of these"
	if n := len(s.ticks); n > 0 {
		text = fmt.Sprintf("Enter to accept the %d ticked", n)
	}
	return []string{"  " + s.th.key.Render(fit(text, w-2))}
}

// entry says how to begin typing, or shows words typed before.
func (s scene) entry(st diagnose.Step, w int) []string {
	q := st.Question
	var text string
	switch {
	case s.draft != "":
		return []string{fit("  "+s.th.key.Render(name(s.keys.Type))+" to go on with: "+s.th.bold.Render(s.draft), w)}
	case q.Kind == rules.KindAmount:
		text = name(s.keys.Type) + " to type a figure instead"
	case wordsKind(q.Kind):
		text = "Enter to type. " + upperFirst(diagnose.Expects(q)) + "."
	case typedKind(q.Kind):
		text = "Start with a digit, or press " + name(s.keys.Type) + " first for words such as about. " + upperFirst(diagnose.Expects(q)) + "."
	default:
		return nil
	}
	lines := wrap(text, w-2)
	for i := range lines {
		lines[i] = "  " + s.th.dim.Render(lines[i])
	}
	return lines
}

func stillToCome(n int) string {
	if n == 1 {
		return "Still to come from them: 1 photo or reading."
	}
	return fmt.Sprintf("Still to come from them: %d photos or readings.", n)
}

// marks are the three ways of having no answer.
func (s scene) marks(w int) []string {
	var parts []string
	for _, b := range []key.Binding{s.keys.Unknown, s.keys.Ask, s.keys.Skip} {
		parts = append(parts, hint(s.th, b))
	}
	head := "  "
	if s.field != nil { // letters go into the field now
		head = "  After " + name(s.keys.FieldStop) + ":  "
	}
	return flow(parts, head, "   ", w)
}

// knownStrip shows how the answer is, or will be, known.
func (s scene) knownStrip(w int) []string {
	parts := make([]string, 0, len(s.ways))
	for _, k := range s.ways {
		word := shortKnown(k)
		if k.ID == s.known {
			parts = append(parts, s.th.mark.Render("["+word+" "+k.Key+"]"))
		} else {
			parts = append(parts, " "+word+" "+s.th.key.Render(k.Key)+" ")
		}
	}
	return flow(parts, "  Known:", "", w)
}

// shortKnown is one word for how something is known.
func shortKnown(k rules.Known) string {
	switch k.ID {
	case casefile.KnownPhoto:
		return "photo"
	case casefile.KnownTold, casefile.KnownMeasured, casefile.KnownOpened:
		return k.ID
	default:
		return k.Name
	}
}

// flow sets parts on as many lines as they need.
func flow(parts []string, head, sep string, w int) []string {
	var out []string
	line, fresh := head, true
	indent := strings.Repeat(" ", lipgloss.Width(head))
	for _, p := range parts {
		join := sep
		if fresh {
			join = ""
		}
		if !fresh && lipgloss.Width(line)+lipgloss.Width(join)+lipgloss.Width(p) > w {
			out = append(out, line)
			line, join = indent, ""
		}
		line += join + p
		fresh = false
	}
	return append(out, line)
}

// finished is shown when no question is open.
func (s scene) finished(w int) []string {
	t := s.th
	out := []string{"", t.say.Render(fit("No open question is left.", w)), ""}
	if n := len(s.r.Pending); n > 0 {
		out = append(out, wrap(stillToCome(n), w)...)
	}
	if s.r.Next.Stop && s.r.Next.StopWhy != "" {
		out = append(out, wrap(s.r.Next.StopWhy, w)...)
	}
	out = append(out, "")
	for _, b := range []struct{ key, text string }{
		{name(s.keys.Scope), "what repair to offer, and the test before it"},
		{name(s.keys.Letter), "the reply to send"},
		{name(s.keys.Waiting), "what they were asked for"},
		{name(s.keys.Recheck), "answers worth a second look"},
		{name(s.keys.Jump), "all questions, to change an answer"},
	} {
		out = append(out, "  "+t.key.Render(b.key)+" "+fit(b.text, w-4))
	}
	return out
}
