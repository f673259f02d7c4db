package tui

import (
	"strings"

	"underlap/diagnose"
)

// This file moves the user from place to place. Nothing here touches the call.

// goTo moves to a place and remembers the one before.
func (m *model) goTo(p place) {
	m.back = append(m.back, m.at)
	m.enter(p)
}

// arrive puts the user at a place, with nothing open.
func (m *model) arrive(p place) {
	if p.question != m.at.question {
		m.known = ""
	}
	m.at, m.field, m.picking = p, nil, false
	if p.screen == onLetter {
		m.buildLetter()
	}
}

// enter arrives at a place for the first time.
func (m *model) enter(p place) {
	m.arrive(p)
	if p.screen != onQuestion || p.question == "" {
		return
	}
	// Words begin with letters, and letters are commands: the field is opened
	// at once where the answer is words.
	if s := m.step(); wordsKind(s.Question.Kind) && s.State == "open" {
		m.openAnswer("")
	}
}

// goQuestion moves to a question; "" is the end of the interview.
func (m *model) goQuestion(id string) {
	p := m.at.at(onQuestion)
	p.question = id
	m.goTo(p)
}

func (m *model) goBack() {
	if len(m.back) == 0 {
		m.say("This is where you began. " + name(m.keys.Jump) + " lists all questions.")
		return
	}
	p := m.back[len(m.back)-1]
	m.back = m.back[:len(m.back)-1]
	m.arrive(p)
}

// close leaves a field, the numbering of figures, or a screen laid over the
// question. On a question it does nothing, so a stray Esc is harmless.
func (m *model) close() {
	switch {
	case m.field != nil:
		switch d := strings.TrimSpace(m.drafts[m.field.name]); {
		case d == "" || d == m.field.start: // nothing new was typed
			delete(m.drafts, m.field.name)
		default:
			again := name(m.keys.Type)
			if m.field.name == dayDraft {
				again = name(m.keys.Accept)
			}
			if m.field.note {
				again = name(m.keys.Note)
			}
			m.say("Not kept yet. Your words are still here: " + again + " to go on typing.")
		}
		m.field = nil
	case m.picking:
		m.picking = false
	case m.at.screen != onQuestion && len(m.back) > 0:
		m.goBack()
	}
}

// show opens a screen; its own key closes it again.
func (m *model) show(s screen) {
	if m.at.screen == s {
		m.goBack()
		return
	}
	m.goTo(m.at.at(s))
}

// swap goes between question and reading. Where both are in sight, it moves the
// arrows from one to the other.
func (m *model) swap() {
	m.field = nil
	switch {
	case m.at.screen == onQuestion && m.w >= wide:
		m.at.side = !m.at.side
	case m.at.screen == onQuestion:
		m.goTo(m.at.at(onReading))
	case len(m.back) > 0 && m.back[len(m.back)-1].screen == onQuestion:
		m.goBack()
	default:
		m.goTo(m.at.at(onQuestion))
	}
}

func (m *model) goTelling() {
	n := m.reading().Next
	switch {
	case n.Question == "" && n.Stop:
		m.say("Nothing left worth asking: " + n.StopWhy)
	case n.Question == "":
		m.say("No question stands out now.")
	case m.at.screen == onQuestion && m.at.question == n.Question:
		m.say("This is the most telling one. " + n.Reason)
	default:
		m.goQuestion(n.Question)
		m.say("Most telling now. " + n.Reason)
	}
}

// move moves the mark, or the page where there is no mark.
func (m *model) move(by int) {
	p := &m.at
	clamp := func(v, n int) int { return max(0, min(v, n-1)) }
	r := m.reading()
	switch {
	case p.screen == onQuestion && (!p.side || m.w < wide):
		if p.question == "" {
			return
		}
		if q := m.step().Question; len(q.Answers) > 0 {
			p.cursor = clamp(max(p.cursor, min(by, 0)-1)+by, len(q.Answers))
		}
	case p.screen == onQuestion, p.screen == onReading, p.screen == onCauses:
		if len(r.Causes) > 0 {
			p.cause = r.Causes[clamp(causeIndex(r, p.cause)+by, len(r.Causes))].ID
		}
		if p.screen == onCauses {
			p.scroll = 0
		}
	case p.screen == onBuildUp:
		if r.BuildUp != nil {
			p.stack = clamp(p.stack+by, len(r.BuildUp.Stacks))
		}
	case p.screen == onScope:
		p.cursor = clamp(p.cursor+by, len(r.Scope.Options))
	case p.screen == onWaiting:
		p.cursor = clamp(p.cursor+by, len(r.Pending))
	case p.screen == onRecheck:
		p.cursor = clamp(p.cursor+by, len(r.Recheck)+len(r.Change))
	case p.screen == onJump:
		p.cursor = clamp(p.cursor+by, len(jumpRows(m.steps, p.filter)))
	default:
		m.scroll(by)
	}
}

// page moves by nearly the height of the window.
func (m *model) page(by int) {
	switch m.at.screen {
	case onJump:
		m.move(by * max(1, m.h-10))
	case onScope, onWaiting, onRecheck:
		m.move(by * 4) // rows of several lines
	default:
		m.scroll(by * max(1, m.h-8))
	}
}

func (m *model) scroll(by int) {
	// Start from what is really shown, so that no press is lost to a place
	// beyond the end.
	shown := m.draw(false)
	m.at.scroll = max(0, min(shown.top+by, shown.last))
}

// goThere follows the row under the mark.
func (m *model) goThere() {
	r, p := m.reading(), m.at
	switch p.screen {
	case onJump:
		if rows := jumpRows(m.steps, p.filter); p.cursor < len(rows) {
			m.goQuestion(rows[p.cursor].Question.ID)
		}
	case onWaiting:
		if p.cursor < len(r.Pending) {
			m.goQuestion(r.Pending[p.cursor].Question)
		}
	case onRecheck:
		switch n := p.cursor - len(r.Recheck); {
		case n < 0 && len(r.Recheck[p.cursor].Questions) > 0:
			m.goQuestion(r.Recheck[p.cursor].Questions[0])
		case n >= 0 && n < len(r.Change):
			m.goQuestion(r.Change[n].Question)
		}
	case onReading:
		m.goTo(m.at.at(onCauses))
	case onQuestion:
		if p.question == "" {
			m.goTo(m.at.at(onJump))
		}
	}
}

// pick numbers the figures in sight.
func (m *model) pick() {
	if len(m.draw(true).figures) == 0 {
		m.say("No figure in sight has more behind it.")
		return
	}
	m.picking = true
}

func (m *model) explain(key rune) {
	id, ok := m.draw(true).figures[key]
	m.picking = false
	if !ok {
		m.say("No figure has that mark.")
		return
	}
	p := m.at.at(onWhy)
	p.why = id
	m.goTo(p)
}

func (m *model) narrow(add string, back bool) {
	f := []rune(m.at.filter)
	if back && len(f) > 0 {
		f = f[:len(f)-1]
	}
	m.at.filter = string(f) + add
	m.at.cursor = 0
}

// causeIndex finds a cause in the ranking; the likeliest when it is not there.
func causeIndex(r *diagnose.Reading, id string) int {
	for i := range r.Causes {
		if r.Causes[i].ID == id {
			return i
		}
	}
	return 0
}
