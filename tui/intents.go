package tui

import (
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
)

// An intent is what the user means by a key. Only apply turns intents into
// changes, and only there is the call touched.
type intent any

type (
	answerIntent  struct{ index int }      // choose or tick the answer with that index
	acceptIntent  struct{}                 // accept what is ticked or under the mark
	markIntent    struct{ mark mark }      // no answer, for a reason
	knownIntent   struct{ id string }      // how it is known
	undoIntent    struct{}                 // take this answer back
	openIntent    struct{ first string }   // open the typed field with a first character
	openDayIntent struct{ first string }   // open the field for a day with a first character
	typeIntent    struct{ key tea.KeyMsg } // a key for the open field
	submitIntent  struct{}                 // the typed entry is finished
	noteIntent    struct{}                 // open the note
	showIntent    struct{ screen screen }  // look at a screen
	backIntent    struct{}                 // to the place before
	closeIntent   struct{}                 // close what is open; never loses an answer
	switchIntent  struct{}                 // between question and reading
	tellingIntent struct{}                 // to the most telling question
	moveIntent    struct{ by int }         // move the mark
	pageIntent    struct{ by int }         // move a page
	goIntent      struct{}                 // go to what is under the mark
	pickIntent    struct{}                 // number the figures
	whyIntent     struct{ key rune }       // explain a numbered figure
	filterIntent  struct {                 // narrow the jump list
		add  string
		back bool
	}
	saveIntent  struct{}              // save the letter
	leaveIntent struct{ atOnce bool } // leave the program
)

// mark is a reason for having no answer.
type mark string

const (
	unknown mark = casefile.ChoiceUnknown
	ask     mark = casefile.ChoiceAsked
	skip    mark = casefile.ChoiceSkipped
)

// apply carries out one intent. It returns true when the program should end.
func (m *model) apply(i intent) (leave bool) {
	if _, again := i.(leaveIntent); !again {
		m.warned = false
	}
	if _, typing := i.(typeIntent); !typing {
		m.say("")
	}
	switch i := i.(type) {
	case answerIntent:
		m.choose(i.index)
	case acceptIntent:
		m.accept()
	case markIntent:
		m.answer(diagnose.Input{Choices: []string{string(i.mark)}})
	case knownIntent:
		m.know(i.id)
	case undoIntent:
		m.takeBack()
	case openIntent:
		m.openAnswer(i.first)
	case openDayIntent:
		m.openDay(i.first)
	case typeIntent:
		m.drafts[m.field.name] = m.field.press(i.key)
	case submitIntent:
		m.submit()
	case noteIntent:
		m.openNote()
	case showIntent:
		m.show(i.screen)
	case backIntent:
		m.goBack()
	case closeIntent:
		m.close()
	case switchIntent:
		m.swap()
	case tellingIntent:
		m.goTelling()
	case moveIntent:
		m.move(i.by)
	case pageIntent:
		m.page(i.by)
	case goIntent:
		m.goThere()
	case pickIntent:
		m.pick()
	case whyIntent:
		m.explain(i.key)
	case filterIntent:
		m.narrow(i.add, i.back)
	case saveIntent:
		m.saveLetter()
	case leaveIntent:
		return m.leave(i.atOnce)
	}
	return false
}

// touched brings the copies of the call's state up to date. An answer that is
// on disk but may not survive a power cut counts as given, with a warning.
func (m *model) touched(err error) bool {
	if err != nil && !errors.Is(err, casefile.ErrUnflushed) {
		m.fail(err)
		return false
	}
	m.refresh()
	if err != nil {
		m.fail(err)
	}
	return true
}

// choose answers with one choice, or ticks it where several may hold.
func (m *model) choose(n int) {
	s := m.step()
	if n >= len(s.Question.Answers) {
		m.say(fmt.Sprintf("There is no answer %d here.", n+1))
		return
	}
	id := s.Question.Answers[n].ID
	if s.Question.Kind == rules.KindSeveral {
		ticks := m.ticked(s)
		if k := slices.Index(ticks, id); k >= 0 {
			ticks = slices.Delete(ticks, k, k+1)
		} else {
			ticks = append(ticks, id)
		}
		m.ticks[s.Question.ID] = ticks
		return
	}
	m.answer(diagnose.Input{Choices: []string{id}})
}

// accept takes the ticked answers, or the one under the mark.
func (m *model) accept() {
	s := m.step()
	if s.Question.Kind != rules.KindSeveral {
		if m.at.cursor >= 0 {
			m.choose(m.at.cursor)
			return
		}
		m.say("Press the number of an answer, or " + name(m.keys.Unknown) + " if they don't know.")
		return
	}
	ticks := m.ticked(s)
	var chosen []string
	for _, a := range s.Question.Answers { // in the order of the question, whatever the order of ticking
		if slices.Contains(ticks, a.ID) {
			chosen = append(chosen, a.ID)
		}
	}
	if len(chosen) == 0 {
		chosen = []string{rules.NoneChosen}
	}
	m.answer(diagnose.Input{Choices: chosen})
}

// answer gives the answer to the question in front and brings up the next.
func (m *model) answer(in diagnose.Input) {
	s := m.step()
	q := s.Question
	in.Known = m.knownNow(s)
	in.Note = s.Note
	before := pairs(m.call.Reading())
	if !m.touched(m.call.Answer(q.ID, in)) {
		return
	}
	delete(m.ticks, q.ID)
	delete(m.drafts, answerDraft(q.ID))
	m.known = ""
	now, _ := stepOf(m.steps, q.ID)
	kept := fmt.Sprintf("Kept: %s: %s", q.Short, now.Answer)
	if m.o.Demo {
		kept = fmt.Sprintf("Answered: %s: %s", q.Short, now.Answer)
	}
	if now := pairs(m.call.Reading()); now > before {
		kept = "That does not go with an earlier answer: " + name(m.keys.Recheck) + " shows which. " + kept
	}
	m.goQuestion(m.call.Following(q.ID))
	if m.err == "" {
		m.say(kept)
	}
}

// pairs counts the answers that do not go together and the readings that cannot be.
func pairs(r *diagnose.Reading) int {
	n := 0
	for _, x := range r.Recheck {
		if x.Kind != "surprise" {
			n++
		}
	}
	return n
}

// knownNow is how the next answer to a step is known: as just said, or as it
// stands, or told.
func (m *model) knownNow(s diagnose.Step) string {
	switch {
	case m.known != "":
		return m.known
	case s.State == "answered" && s.Known != "":
		return s.Known
	default:
		return diagnose.DefaultKnown
	}
}

func (m *model) know(id string) {
	s := m.step()
	if s.State != "answered" {
		m.known = id
		return
	}
	if s.Known == id {
		return
	}
	if m.touched(m.call.Know(s.Question.ID, id)) && m.err == "" {
		m.say("Changed: how this answer is known.")
	}
}

func (m *model) takeBack() {
	s := m.step()
	if s.State == "open" || s.State == "later" {
		// The slip is noticed when the next question is already there: the answer
		// meant is the one just given.
		last, ok := m.justAnswered()
		if !ok {
			m.say("There is no answer to take back here.")
			return
		}
		m.goBack()
		s = last
	}
	if m.touched(m.call.Withdraw(s.Question.ID)) && m.err == "" {
		delete(m.ticks, s.Question.ID)
		m.say("Taken back: " + s.Question.Short + ". The record keeps what it was.")
	}
}

// justAnswered is the question before this one, when it has an answer.
func (m *model) justAnswered() (diagnose.Step, bool) {
	if len(m.back) == 0 {
		return diagnose.Step{}, false
	}
	p := m.back[len(m.back)-1]
	s, ok := stepOf(m.steps, p.question)
	return s, ok && p.screen == onQuestion && s.State != "open" && s.State != "later"
}

// openAnswer opens the typed field of the question, with the draft if there is
// one, or else with the answer that stands.
func (m *model) openAnswer(first string) {
	s := m.step()
	q := s.Question
	slot := answerDraft(q.ID)
	draft, standing := m.drafts[slot], ""
	if first != "" {
		draft = first
	} else if draft == "" && s.State == "answered" {
		draft, standing = s.Typed, s.Typed
	}
	year := m.call.Year()
	check := func(text string) error {
		_, err := diagnose.ParseInput(q, text, year)
		return err
	}
	m.drafts[slot] = draft
	m.field = newField(m.th, slot, "Type the answer", upperFirst(diagnose.Expects(q)), draft, m.fieldWidth(), check)
	m.field.start = standing
}

func (m *model) openNote() {
	slot, label, standing := noteDraft(""), "Note on the case", ""
	if m.at.screen == onQuestion && m.at.question != "" {
		s := m.step()
		slot, label, standing = noteDraft(s.Question.ID), "Note on: "+s.Question.Short, s.Note
	}
	draft := standing
	if d := m.drafts[slot]; d != "" {
		draft, standing = d, ""
	}
	m.drafts[slot] = draft
	m.field = newField(m.th, slot, label, "Any words; they go with the case.", draft, m.fieldWidth(), func(string) error { return nil })
	m.field.note, m.field.start = true, standing
}

// submit takes a finished entry.
func (m *model) submit() {
	text, ok := m.field.submit()
	if !ok {
		return
	}
	f := m.field
	if f.name == dayDraft {
		m.keepDay(text)
		return
	}
	if f.note {
		m.keepNote(strings.TrimSpace(text))
		return
	}
	in, err := diagnose.ParseInput(m.step().Question, text, m.call.Year())
	if err != nil { // the field has checked it; kept for safety
		f.err = err.Error()
		return
	}
	m.field = nil
	m.answer(in)
}

func (m *model) keepNote(text string) {
	f := m.field
	question := strings.TrimPrefix(f.name, noteDraft(""))
	standing := ""
	if s, ok := stepOf(m.steps, question); ok {
		standing = s.Note
	}
	m.field = nil
	delete(m.drafts, f.name)
	if text == standing {
		return
	}
	if m.touched(m.call.Note(question, text)) && m.err == "" {
		m.say("Noted.")
	}
}

// saveLetter hands the letter as it stands to whoever keeps files.
func (m *model) saveLetter() {
	if m.letter.text == "" {
		m.say("There is no letter to save.")
		return
	}
	path, err := m.o.Save()
	if err != nil {
		m.fail(err)
		return
	}
	m.say("Letter saved: " + filepath.Base(path) + ", in " + filepath.Dir(path)) // the name first: a long folder may be cut
}

// leave ends the program. Answers are safe; a half-typed entry is not one, so
// that is said once.
func (m *model) leave(atOnce bool) bool {
	m.atOnce = atOnce
	if atOnce || m.warned || m.o.Demo {
		return true
	}
	if what := m.unfinished(); what != "" {
		m.warned = true
		m.say(name(m.keys.Leave) + " again leaves without " + what + ".")
		return false
	}
	return true
}

// unfinished names what has been begun and not yet kept, in the order of the
// interview; "" when there is nothing.
func (m *model) unfinished() string {
	for _, st := range m.steps {
		q := st.Question
		switch {
		case strings.TrimSpace(m.drafts[answerDraft(q.ID)]) != "":
			return "the words typed at \"" + q.Short + "\""
		case strings.TrimSpace(m.drafts[noteDraft(q.ID)]) != "":
			return "the note begun at \"" + q.Short + "\""
		case m.ticks[q.ID] != nil && !slices.Equal(m.ticks[q.ID], st.Choices):
			return "what is ticked at \"" + q.Short + "\""
		}
	}
	if strings.TrimSpace(m.drafts[noteDraft("")]) != "" {
		return "the note begun"
	}
	if strings.TrimSpace(m.drafts[dayDraft]) != "" {
		return "the day begun"
	}
	return ""
}

func answerDraft(question string) string { return "answer/" + question }
func noteDraft(question string) string   { return "note/" + question }
