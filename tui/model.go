package tui

import (
	"errors"
	"fmt"
	"os"
	"runtime/debug"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/mattn/go-runewidth"

	"underlap/diagnose"
	"underlap/diagnose/calc"
	"underlap/diagnose/sightings"
	"underlap/rules"
)

// Options says how a call or a desk is shown.
type Options struct {
	NoColor bool   // no colour; bold and reverse stay
	Demo    bool   // an example held in memory: nothing is kept, and the screen says so
	Path    string // the case file, as shown to the user
	Notice  string // stands at the top of every screen, below safety; "" when there is nothing to say

	// Start is opened at once by Run, before the desk is seen, when it names a case.
	Start DeskChoice

	// Build makes the reply letter: a title and plain text. It may be nil.
	Build func(*diagnose.Reading) (title, text string)
	// Save keeps the letter and returns where. It may be nil.
	Save func() (path string, err error)
}

// consultation is what the screens need of a call. *diagnose.Call is the one
// there is; tests hold a reading still.
type consultation interface {
	Reading() *diagnose.Reading
	Pack() *rules.Pack
	Year() int
	Given() []string
	Steps() []diagnose.Step
	Following(question string) string
	Answer(question string, in diagnose.Input) error
	Know(question, known string) error
	Note(question, text string) error
	Withdraw(question string) error
	Day(text string) (kept string, err error)
	Today() sightings.Day
}

var _ consultation = (*diagnose.Call)(nil)

// model is a call on the screen. The answers are in the call; the model holds
// the place, the way back and what is half typed.
type model struct {
	call consultation
	o    Options
	th   *theme
	keys keyMap
	w, h int

	steps []diagnose.Step // as the call has them, copied after each change

	at      place
	back    []place
	known   string              // how the next answer is known; "" as usual
	ticks   map[string][]string // ticked answers not yet accepted, by question
	drafts  map[string]string   // words not yet kept
	field   *field              // the open field, or nil
	picking bool                // figures are numbered
	atOnce  bool                // left with Ctrl+C
	warned  bool                // leaving was asked for with words unfinished
	msg     string
	err     string
	letter  struct{ title, text string }
	courses courses
	doubts  doubting
}

// CallModel is a call as a bubbletea model, for a program or a test.
func CallModel(c *diagnose.Call, o Options) tea.Model { return newModel(c, o) }

func newModel(c consultation, o Options) *model {
	m := &model{
		call: c, o: o, th: newTheme(newRenderer(), o.NoColor), keys: newKeyMap(c.Pack().Words.Known, o.Demo),
		w: 80, h: 24, ticks: map[string][]string{}, drafts: map[string]string{},
		courses: courses{done: map[string]*calc.Hourly{}, bad: map[string]error{}},
	}
	m.keys.Save.SetEnabled(o.Save != nil && o.Build != nil)
	m.refresh()
	// A case that is gone on with has a way back: the answers, as they were given.
	for _, q := range c.Given() {
		m.back = append(m.back, place{screen: onQuestion, question: q, cursor: -1})
	}
	m.enter(place{screen: onQuestion, question: c.Following(""), cursor: -1})
	return m
}

// RunCall runs a call on the whole terminal and returns when the user leaves.
// Standard input and output must both be terminals. It returns ErrAtOnce after
// Ctrl+C.
func RunCall(c *diagnose.Call, o Options) error {
	end, err := run(CallModel(c, o))
	if err == nil && end.(*model).atOnce {
		return leftAtOnce(end.(*model).unfinished())
	}
	return err
}

// leftAtOnce is ErrAtOnce, with what was begun and is not kept.
func leftAtOnce(unfinished string) error {
	if unfinished == "" {
		return ErrAtOnce
	}
	return fmt.Errorf("%w, but not %s", ErrAtOnce, unfinished)
}

// ErrAtOnce says that the user left with Ctrl+C. All answers are saved.
var ErrAtOnce = errors.New("left with Ctrl+C; every answer given is saved")

func run(m tea.Model) (tea.Model, error) {
	// A degree sign is one column wide, whatever the locale says.
	runewidth.DefaultCondition.EastAsianWidth = false
	collectSeldom()
	end, err := tea.NewProgram(m, tea.WithAltScreen(), tea.WithFPS(120), tea.WithOutput(os.Stdout)).Run()
	if err != nil {
		return end, fmt.Errorf("the screen: %w", err)
	}
	return end, nil
}

// collectSeldom lets the heap grow to five times what is in use before it is swept.
// A call holds a few megabytes and makes as much rubbish with every answer, so at
// the usual setting each answer waits for a sweep of its own, up to a third of the
// whole wait. The user's own GOGC stands.
func collectSeldom() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(400)
	}
}

// Init implements tea.Model: no ticks and no questions to the terminal, only the sums
// that take longer.
func (m *model) Init() tea.Cmd { return m.beside() }

// Update implements tea.Model.
func (m *model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
		if m.field != nil {
			m.field.resize(m.fieldWidth())
		}
	case tea.KeyMsg:
		if msg.Type == tea.KeyCtrlZ {
			return m, tea.Suspend
		}
		for _, k := range single(msg, m.field != nil) {
			if i := m.intentOf(k); i != nil && m.apply(i) {
				m.stopBeside()
				return m, tea.Quit
			}
		}
		return m, m.beside()
	default:
		return m, m.besides(msg)
	}
	return m, nil
}

// single splits keys that were typed fast and came as one message. Outside a
// field, a letter with Alt is taken as Esc and then the letter: that is how a
// quick Esc looks on the wire.
func single(msg tea.KeyMsg, typing bool) []tea.KeyMsg {
	if msg.Type != tea.KeyRunes || msg.Paste || msg.Alt && typing {
		return []tea.KeyMsg{msg}
	}
	var out []tea.KeyMsg
	if msg.Alt {
		out = append(out, tea.KeyMsg{Type: tea.KeyEsc})
	}
	for _, r := range msg.Runes {
		out = append(out, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
	}
	return out
}

// refresh copies what the call says after a change.
func (m *model) refresh() { m.steps = m.call.Steps() }

// step is the question in front.
func (m *model) step() diagnose.Step {
	st, _ := stepOf(m.steps, m.at.question)
	return st
}

// stepOf finds a question among the steps.
func stepOf(steps []diagnose.Step, id string) (diagnose.Step, bool) {
	for _, st := range steps {
		if st.Question.ID == id {
			return st, true
		}
	}
	return diagnose.Step{}, false
}

// ticked is what is ticked on a question where several answers may hold: what
// was ticked just now, or what stands.
func (m *model) ticked(s diagnose.Step) []string {
	if t, ok := m.ticks[s.Question.ID]; ok {
		return t
	}
	if s.State != "answered" || s.Question.Kind != rules.KindSeveral {
		return nil
	}
	return append([]string(nil), s.Choices...)
}

func (m *model) say(text string) { m.msg, m.err = text, "" }

func (m *model) fail(err error) { m.msg, m.err = "", err.Error() }

// buildLetter makes the letter from the reading as it stands.
func (m *model) buildLetter() {
	m.letter.title, m.letter.text = "", ""
	if m.o.Build != nil {
		m.letter.title, m.letter.text = m.o.Build(m.reading())
	}
}
