package tui

import (
	"errors"
	"strconv"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
)

func stateOf(t *testing.T, c *diagnose.Call, question string) diagnose.Step {
	t.Helper()
	s, ok := c.Step(question)
	if !ok {
		t.Fatalf("no question %q", question)
	}
	return s
}

func shows(t *testing.T, m tea.Model, want string) {
	t.Helper()
	flat := strings.Join(strings.Fields(plainText(m.View())), " ")
	if !strings.Contains(flat, want) {
		t.Errorf("the screen does not show %q:\n%s", want, plainText(m.View()))
	}
}

func TestAnAnswerIsKeptAndTheNextQuestionComesUp(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	if m.at.question != "wet-near-electrics" {
		t.Fatalf("the call begins at %q; safety comes first", m.at.question)
	}
	press(m, "1")
	if s := stateOf(t, c, "wet-near-electrics"); s.State != "answered" || s.Known != casefile.KnownTold {
		t.Errorf("after 1: %+v", s)
	}
	if m.at.question != "ceiling-bulging" {
		t.Errorf("next is %q", m.at.question)
	}
	shows(t, m, "SAFETY Water near electrics")
	shows(t, m, "Kept: ")
}

func TestKeysTypedAheadInOneBurstAnswerOneQuestionEach(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	press(m, "11d")
	var got []string
	for _, e := range c.Case().Events {
		got = append(got, e.Question+"="+strings.Join(e.Answers, "+"))
	}
	first, _ := c.Pack().Question("wet-near-electrics")
	second, _ := c.Pack().Question("ceiling-bulging")
	want := []string{"wet-near-electrics=" + first.Answers[0].ID, "ceiling-bulging=" + second.Answers[0].ID, "going-up=unknown"}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("events %v, want %v", got, want)
	}
}

func TestAFigureTypedInOneBurst(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "kerb-inside")
	press(m, "480", "enter")
	if s := stateOf(t, c, "kerb-inside"); s.Answer != "480 mm" || s.Known != casefile.KnownTold {
		t.Errorf("%+v", s)
	}
}

func TestAPasteIsNotARowOfAnswers(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("111"), Paste: true})
	if n := len(c.Case().Events); n != 0 {
		t.Errorf("%d events from a paste", n)
	}
	m.goQuestion("caller-words")
	m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("it drips, quickly"), Paste: true})
	press(m, "enter")
	if s := stateOf(t, c, "caller-words"); s.Typed != "it drips, quickly" {
		t.Errorf("pasted words: %+v", s)
	}
}

func TestEscKeepsTheWordsAndEscThenLetterIsBoth(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "kerb-inside")
	press(m, "48", "esc")
	shows(t, m, "Not kept yet")
	if len(c.Case().Events) != 0 {
		t.Error("Esc wrote something")
	}
	press(m, "=", "0", "enter")
	if s := stateOf(t, c, "kerb-inside"); s.Answer != "480 mm" {
		t.Errorf("after going on typing: %+v", s)
	}
	press(m, "r")
	m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("j"), Alt: true}) // Esc, then j, arriving together
	if m.at.screen != onJump {
		t.Errorf("on %v", m.at.screen)
	}
}

func TestABadEntryIsExplainedAndTheEarlierAnswerStays(t *testing.T) {
	c := newCall(t, "kerb-inside=480")
	m := open(t, c, "kerb-inside")
	press(m, "=", "ctrl+u", "4 bananas", "enter")
	if m.field == nil {
		t.Fatal("the field has closed on a bad entry")
	}
	shows(t, m, "4 bananas")
	shows(t, m, "for example 480")
	shows(t, m, "Now 480 mm")
	if s := stateOf(t, c, "kerb-inside"); s.Answer != "480 mm" || s.Revised != 0 {
		t.Errorf("the earlier answer: %+v", s)
	}
	press(m, "ctrl+u", "50 cm", "enter")
	if s := stateOf(t, c, "kerb-inside"); s.Answer != "500 mm" || s.Revised != 1 {
		t.Errorf("after a good entry: %+v", s)
	}
}

func TestResizeKeepsAHalfTypedEntry(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "kerb-inside")
	press(m, "4")
	for _, sz := range [][2]int{{60, 16}, {140, 45}, {40, 10}, {100, 30}} {
		size(m, sz[0], sz[1])
	}
	shows(t, m, "> 4")
	press(m, "80", "enter")
	if s := stateOf(t, c, "kerb-inside"); s.Answer != "480 mm" {
		t.Errorf("%+v", s)
	}
}

func TestSeveralTickThenAccept(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "seen")
	q := stateOf(t, c, "seen").Question
	press(m, "3", "1", "2", "2")
	if len(c.Case().Events) != 0 {
		t.Error("a tick was written before it was accepted")
	}
	press(m, "enter")
	want := []string{q.Answers[0].ID, q.Answers[2].ID}
	if s := stateOf(t, c, "seen"); strings.Join(s.Choices, " ") != strings.Join(want, " ") {
		t.Errorf("chosen %v, want %v", s.Choices, want)
	}
	m.goQuestion("form-also")
	press(m, "enter")
	if s := stateOf(t, c, "form-also"); s.State != "answered" || strings.Join(s.Choices, " ") != "none" {
		t.Errorf("none: %+v", s)
	}
}

func TestTicksOutliveALookElsewhere(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "seen")
	press(m, "2", "r", "b", "enter")
	if s := stateOf(t, c, "seen"); len(s.Choices) != 1 || s.Choices[0] != s.Question.Answers[1].ID {
		t.Errorf("%+v", s)
	}
}

func TestArrowsChooseWithoutAnsweringByThemselves(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	press(m, "enter")
	if len(c.Case().Events) != 0 {
		t.Error("Enter on nothing answered")
	}
	press(m, "down", "down", "enter")
	s := stateOf(t, c, "wet-near-electrics")
	if len(s.Choices) != 1 || s.Choices[0] != s.Question.Answers[1].ID {
		t.Errorf("%+v", s)
	}
}

func TestHowKnownGoesWithTheNextAnswerAndChangesAStandingOne(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "weather-pattern")
	press(m, "p", "4")
	if s := stateOf(t, c, "weather-pattern"); s.Known != casefile.KnownPhoto {
		t.Errorf("known %q", s.Known)
	}
	if m.known != "" {
		t.Error("photo is still set for the question after")
	}
	m.goQuestion("weather-pattern")
	press(m, "o")
	s := stateOf(t, c, "weather-pattern")
	if s.Known != casefile.KnownOpened || s.Choices[0] != s.Question.Answers[3].ID {
		t.Errorf("%+v", s)
	}
	shows(t, m, "[opened o]")
}

func TestReviseKeepsNoteAndHowKnown(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "weather-pattern")
	press(m, "p", "4")
	m.goQuestion("weather-pattern")
	press(m, "n", "said twice", "enter", "5")
	s := stateOf(t, c, "weather-pattern")
	if s.Choices[0] != s.Question.Answers[4].ID || s.Note != "said twice" || s.Known != casefile.KnownPhoto || s.Revised != 2 {
		t.Errorf("%+v", s)
	}
}

func TestTakeBackLeavesTheQuestionOpen(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	press(m, "1", "b", "u")
	if s := stateOf(t, c, "wet-near-electrics"); s.State != "open" {
		t.Errorf("%+v", s)
	}
	if m.at.question != "wet-near-electrics" {
		t.Errorf("moved to %q", m.at.question)
	}
	press(m, "u")
	shows(t, m, "no answer to take back")
}

func TestUnknownAskAndSkip(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "drip-form")
	press(m, "a")
	m.goQuestion("stain-colour")
	press(m, "d")
	m.goQuestion("lag")
	press(m, "s")
	for q, want := range map[string]string{"drip-form": "asked", "stain-colour": "unknown", "lag": "skipped"} {
		if s := stateOf(t, c, q); s.State != want {
			t.Errorf("%s is %s, want %s", q, s.State, want)
		}
	}
	press(m, "k")
	shows(t, m, "How the water shows")
	press(m, "enter")
	if m.at.question != "drip-form" || m.at.screen != onQuestion {
		t.Errorf("at %+v", m.at)
	}
}

func TestAnAmountTakesAKeyOrAFigure(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "litres")
	press(m, "3")
	first := stateOf(t, c, "litres").Answer
	m.goQuestion("litres")
	press(m, "=", "about 2", " ", "L", "enter")
	second := stateOf(t, c, "litres")
	if first == "" || second.Typed != "about 2 L" || second.Revised != 1 {
		t.Errorf("first %q, then %+v", first, second)
	}
}

func TestAWordsFieldOpensByItself(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "place")
	press(m, "Leeds", "enter") // an L, a d and an s that are no commands
	if len(c.Case().Events) > 1 {
		t.Errorf("events %v", c.Case().Events)
	}
	if m.field == nil && stateOf(t, c, "place").State != "answered" {
		t.Error("the words went astray")
	}
}

func TestBackIsAStackOfPlaces(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	start := m.at
	press(m, "1", "c", "down", "v", "?")
	var seen []string
	for len(m.back) > 0 {
		press(m, "b")
		seen = append(seen, m.at.screen.String()+" "+m.at.question)
	}
	want := []string{"Build-up ceiling-bulging", "Causes ceiling-bulging", "Question ceiling-bulging", "Question wet-near-electrics"}
	if strings.Join(seen, "; ") != strings.Join(want, "; ") {
		t.Errorf("way back %v, want %v", seen, want)
	}
	if m.at != start {
		t.Errorf("ends at %+v, began at %+v", m.at, start)
	}
	press(m, "left")
	shows(t, m, "where you began")
}

func TestAScreensKeyOpensAndClosesIt(t *testing.T) {
	m := open(t, newCall(t), "")
	for _, v := range m.keys.views() {
		if v.screen == onJump {
			continue // letters narrow the list there
		}
		k := v.Keys()[0]
		press(m, k)
		if m.at.screen != v.screen {
			t.Errorf("%s opens %v", k, m.at.screen)
		}
		press(m, k)
		if m.at.screen != onQuestion {
			t.Errorf("%s again leaves us on %v", k, m.at.screen)
		}
	}
}

func TestTabGoesBetweenQuestionAndReading(t *testing.T) {
	m := open(t, answeredCall(t), "")
	q := m.at.question
	press(m, "tab")
	if m.at.screen != onReading {
		t.Errorf("on %v", m.at.screen)
	}
	press(m, "tab")
	if m.at.screen != onQuestion || m.at.question != q {
		t.Errorf("at %+v", m.at)
	}
	size(m, 120, 40)
	press(m, "tab", "down")
	r := m.call.Reading()
	if m.at.screen != onQuestion || m.at.cause != r.Causes[1].ID {
		t.Errorf("beside: %+v", m.at)
	}
	shows(t, m, "For and against: "+shortName(r.Causes[1]))
}

func TestJumpNarrowsAndGoes(t *testing.T) {
	m := open(t, newCall(t), "")
	press(m, "j", "inside reading", "enter")
	if m.at.question != "kerb-inside" && m.at.question != "second-inside" {
		t.Errorf("at %q", m.at.question)
	}
	press(m, "j", "qqq")
	shows(t, m, "No question has these words")
	press(m, "enter", "backspace", "backspace", "backspace")
	if n := len(jumpRows(m.steps, m.at.filter)); n != len(m.steps) {
		t.Errorf("%d rows after emptying the filter", n)
	}
}

func TestMostTellingGoesThereAndSaysWhy(t *testing.T) {
	c := answeredCall(t)
	m := open(t, c, "built-when")
	n := c.Reading().Next
	if n.Question == "" {
		t.Fatal("no next question for a half-answered call")
	}
	press(m, "g")
	if m.at.question != n.Question {
		t.Errorf("at %q, want %q", m.at.question, n.Question)
	}
	if !strings.Contains(m.msg, n.Reason) {
		t.Errorf("said %q", m.msg)
	}
}

func TestEveryNumberedFigureIsExplained(t *testing.T) {
	m := open(t, answeredCall(t), "")
	size(m, 100, 30)
	for _, s := range []string{"r", "c", "v", "f", "x"} {
		press(m, s, "w")
		d := m.draw(true)
		if len(d.figures) == 0 {
			t.Errorf("%s has no figure to explain", s)
		}
		for key, id := range d.figures {
			w, ok := m.call.Reading().WhyOf(id)
			if !ok {
				t.Fatalf("no reason behind %q", id)
			}
			if !strings.Contains(plainText(strings.Join(d.lines, "\n")), "["+string(key)+"]") {
				t.Errorf("%s: mark %c is not in sight", s, key)
			}
			press(m, string(key))
			if m.at.screen != onWhy || m.at.why != id {
				t.Fatalf("%c leads to %+v", key, m.at)
			}
			shows(t, m, strings.Join(strings.Fields(w.Title), " "))
			press(m, "b", "w")
		}
		press(m, "esc", s)
	}
}

func TestLetterIsBuiltAndSaved(t *testing.T) {
	saved := 0
	m := newModel(newCall(t), Options{Build: letterOf, Save: func() (string, error) { saved++; return "letters/reply.txt", nil }})
	press(m, "l")
	shows(t, m, "Dear owner")
	press(m, "s")
	if saved != 1 {
		t.Errorf("saved %d times", saved)
	}
	shows(t, m, "Letter saved: reply.txt, in letters")
	m.o.Save = func() (string, error) { return "", errors.New("the disk is full") }
	press(m, "s")
	shows(t, m, "! The disk is full")
}

func TestScrollReachesTheEndAndComesBack(t *testing.T) {
	m := open(t, newCall(t), "")
	press(m, "l")
	for range 30 {
		press(m, "pgdown")
	}
	if d := m.draw(false); d.top != d.last || d.last == 0 {
		t.Errorf("top %d of %d", d.top, d.last)
	}
	press(m, "pgup")
	if d := m.draw(false); d.top >= d.last {
		t.Error("one page up is lost beyond the end")
	}
}

func TestLeaving(t *testing.T) {
	quits := func(m *model, keys ...string) bool {
		press(m, keys[:len(keys)-1]...)
		msg := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(keys[len(keys)-1])}
		if keys[len(keys)-1] == "ctrl+c" {
			msg = tea.KeyMsg{Type: tea.KeyCtrlC}
		}
		_, cmd := m.Update(msg)
		return cmd != nil
	}
	if !quits(open(t, newCall(t), ""), "q") {
		t.Error("q does not leave")
	}
	if !quits(open(t, newCall(t), "kerb-inside"), "48", "ctrl+c") {
		t.Error("ctrl+c in a field does not leave")
	}
	m := open(t, newCall(t), "kerb-inside")
	if quits(m, "48", "esc", "q") {
		t.Error("q leaves with words unfinished, unasked")
	}
	shows(t, m, "q again leaves without the words typed")
	if !quits(m, "q") {
		t.Error("q again does not leave")
	}
	m = open(t, newCall(t), "seen")
	if quits(m, "1", "2", "q") {
		t.Error("q leaves with ticks not accepted, unasked")
	}
	shows(t, m, "what is ticked at")
	if m = open(t, newCall(t), "seen"); !quits(m, "1", "1", "q") {
		t.Error("a tick taken off again holds the user back")
	}
	m = open(t, newCall(t), "kerb-inside")
	quits(m, "48", "ctrl+c")
	if err := leftAtOnce(m.unfinished()); !errors.Is(err, ErrAtOnce) || !strings.Contains(err.Error(), "the words typed") {
		t.Errorf("Ctrl+C says %v", err)
	}
}

// fails refuses every answer, as a full disk would.
type fails struct{ *diagnose.Call }

func (fails) Answer(string, diagnose.Input) error { return errors.New("the disk is full") }

func TestAnAnswerThatCannotBeKeptIsSaidAndTheQuestionStays(t *testing.T) {
	m := newModel(fails{newCall(t)}, Options{})
	press(m, "1")
	if m.at.question != "wet-near-electrics" {
		t.Errorf("moved on to %q", m.at.question)
	}
	shows(t, m, "! The disk is full")
}

func TestNoKeyMeansTwoThingsOnAQuestion(t *testing.T) {
	k := newKeyMap(newCall(t).Pack().Words.Known, false)
	seen := map[string]string{}
	for _, g := range k.groups() {
		if g.name == "While typing" || g.name == "In the letter" {
			continue
		}
		for _, b := range g.keys {
			for _, key := range b.Keys() {
				if was, ok := seen[key]; ok && key != "left" && key != "enter" {
					t.Errorf("%q means %q and %q", key, was, b.Help().Desc)
				}
				seen[key] = b.Help().Desc
			}
		}
	}
}

func TestHelpShowsEveryKey(t *testing.T) {
	m := open(t, newCall(t), "")
	size(m, 140, 60)
	press(m, "?")
	for _, g := range m.keys.groups() {
		for _, b := range g.keys {
			if !b.Enabled() {
				t.Fatalf("%q is off", b.Help().Desc)
			}
			shows(t, m, b.Help().Key+" "+b.Help().Desc)
		}
	}
}

func TestDeskPicksOpensAndStarts(t *testing.T) {
	d := DeskModel(deskItems(), Options{}).(*desk)
	press(d, "down", "enter")
	if d.choice != (DeskChoice{Path: "b.toml"}) {
		t.Errorf("picked %v", d.choice)
	}
	d = DeskModel(deskItems(), Options{}).(*desk)
	press(d, "down", "down", "enter")
	if !d.choice.Quit {
		t.Errorf("a broken file was opened: %v", d.choice)
	}
	shows(t, d, "cannot be read")
	press(d, "n", "enter")
	shows(t, d, "A title is wanted")
	press(d, "Shed", "esc", "n", " ", "roof", "enter")
	if d.choice != (DeskChoice{New: true, Title: "Shed roof"}) {
		t.Errorf("picked %v", d.choice)
	}
}

func TestAnEmptyDesk(t *testing.T) {
	d := DeskModel(nil, Options{}).(*desk)
	press(d, "enter", "down", "up", "q")
	if !d.choice.Quit {
		t.Errorf("picked %v", d.choice)
	}
	shows(t, d, "No cases here yet")
}

// Bytes as a terminal sends them, read by the program's own reader: a burst, an
// arrow, a return.
func TestAProgramReadsRealKeys(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	var out strings.Builder
	p := tea.NewProgram(m, tea.WithInput(strings.NewReader("12\x1b[B\x1b[B\rq")), tea.WithOutput(&out), tea.WithoutSignalHandler())
	if _, err := p.Run(); err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range c.Case().Events {
		got = append(got, e.Question)
	}
	if want := "wet-near-electrics ceiling-bulging going-up"; strings.Join(got, " ") != want {
		t.Errorf("answered %v, want %s", got, want)
	}
	if s := stateOf(t, c, "going-up"); s.Choices[0] != s.Question.Answers[1].ID {
		t.Errorf("the arrows chose %v", s.Choices)
	}
}

// A key to a redrawn screen, the answer and its reading included. It must stay
// under 16 ms.
func BenchmarkAnswerToScreen(b *testing.B) {
	collectSeldom() // as in the program
	c := answeredCall(b)
	m := open(b, c, "weather-pattern")
	size(m, 140, 45)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		m.at = place{screen: onQuestion, question: "weather-pattern", cursor: -1}
		press(m, string(rune('1'+i%9)))
		_ = m.View()
		i++
	}
}

// A tape reading, the slowest answer: the build-up and its physics are reckoned
// anew before the screen is drawn. It must stay under 16 ms too.
func BenchmarkTapeToScreen(b *testing.B) {
	collectSeldom() // as in the program
	c := answeredCall(b)
	m := open(b, c, "kerb-inside")
	size(m, 140, 45)
	b.ReportAllocs()
	i := 0
	for b.Loop() {
		m.goQuestion("kerb-inside")
		press(m, "=", "ctrl+u", strconv.Itoa(470+i%20), "enter")
		_ = m.View()
		i++
	}
	if s, _ := c.Step("kerb-inside"); s.Revised == 0 {
		b.Fatalf("the reading was not revised: %+v", s)
	}
}

// A key that only moves to another screen.
func BenchmarkKeyToScreen(b *testing.B) {
	collectSeldom() // as in the program
	m := open(b, answeredCall(b), "weather-pattern")
	size(m, 140, 45)
	for b.Loop() {
		press(m, "r")
		_ = m.View()
		press(m, "b")
		_ = m.View()
	}
}
