package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"underlap/rules"
)

// keyMap is every key of a call. Digits are answers, letters are commands; so
// no letter can be both. Help and the line at the foot are made from it.
type keyMap struct {
	Number, Unknown, Ask, Skip, Type, Accept  key.Binding
	Known                                     []key.Binding // in the order of the pack
	Back, Undo, Note, Jump, Telling, Switch   key.Binding
	Reading, Causes, BuildUp, Findings, Scope key.Binding
	Entry                                     key.Binding
	Letter, Waiting, Recheck, Safety, Why     key.Binding
	Days                                      key.Binding
	Up, Down, Left, Right, PageUp, PageDown   key.Binding
	Go, Save, Help, Close, Leave, LeaveAtOnce key.Binding
	knownID                                   []string
	FieldDone, FieldStop                      key.Binding
}

func bind(help string, keys ...string) key.Binding {
	shown := strings.NewReplacer("pgdown", "PgDn", "pgup", "PgUp", "enter", "Enter", "tab", "Tab", "esc", "Esc", "left", "←", "right", "→", "up", "↑", "down", "↓", "backspace", "Backspace").Replace(keys[0])
	return key.NewBinding(key.WithKeys(keys...), key.WithHelp(shown, help))
}

func newKeyMap(known []rules.Known, demo bool) keyMap {
	leave := "leave, all answers are saved"
	if demo {
		leave = "leave, nothing of the example is kept"
	}
	k := keyMap{
		Number:  key.NewBinding(key.WithKeys("1", "2", "3", "4", "5", "6", "7", "8", "9"), key.WithHelp("1-9", "answer")),
		Unknown: bind("don't know", "d"),
		Ask:     bind("ask them for it", "a"),
		Skip:    bind("skip", "s"),
		Type:    bind("type it", "=", "#", "~"),
		Accept:  bind("accept", "enter"),

		Back:    bind("back", "b", "left"),
		Undo:    bind("take back this answer", "u"),
		Note:    bind("note", "n"),
		Jump:    bind("jump to a question", "j"),
		Telling: bind("go to the most telling question", "g"),
		Switch:  bind("question or reading", "tab"),

		Reading:  bind("reading", "r"),
		Causes:   bind("causes", "c"),
		BuildUp:  bind("build-up", "v"),
		Findings: bind("physics", "f"),
		Scope:    bind("repairs", "x"),
		Entry:    bind("where it gets in", "i"),
		Letter:   bind("letter", "l"),
		Waiting:  bind("what we wait for", "k"),
		Recheck:  bind("look again", "e"),
		Safety:   bind("safety in full", "!"),
		Days:     bind("days it was wet, by weather", "h"),
		Why:      bind("why this figure", "w"),

		Up:       bind("up", "up"),
		Down:     bind("down", "down"),
		Left:     bind("previous", "left"),
		Right:    bind("next", "right"),
		PageUp:   bind("page up", "pgup"),
		PageDown: bind("page down", "pgdown", " "),

		Go:          bind("go there", "enter"),
		Save:        bind("save the letter", "s"),
		Help:        bind("keys", "?"),
		Close:       bind("close", "esc"),
		Leave:       bind(leave, "q"),
		LeaveAtOnce: key.NewBinding(key.WithKeys("ctrl+c"), key.WithHelp("Ctrl+C", "leave at once")),

		FieldDone: bind("keep it", "enter"),
		FieldStop: bind("stop typing, keep the words", "esc"),
	}
	for _, w := range known {
		k.Known = append(k.Known, bind(w.Name, w.Key))
		k.knownID = append(k.knownID, w.ID)
	}
	return k
}

// group is one block of the help screen.
type group struct {
	name string
	keys []key.Binding
}

// groups is the whole map, ordered for reading.
func (k keyMap) groups() []group {
	return []group{
		{"Answering", []key.Binding{k.Number, k.Unknown, k.Ask, k.Skip, k.Type, k.Accept, k.Undo, k.Note}},
		{"How it is known", k.Known},
		{"Moving", []key.Binding{k.Back, k.Jump, k.Telling, k.Switch, k.Up, k.Down, k.Right, k.PageDown, k.PageUp, k.Go, k.Close}},
		{"Looking", []key.Binding{k.Reading, k.Causes, k.BuildUp, k.Findings, k.Entry, k.Scope, k.Letter, k.Waiting, k.Recheck, k.Days, k.Safety, k.Why}},
		{"While typing", []key.Binding{k.FieldDone, k.FieldStop}},
		{"In the letter", []key.Binding{k.Save}},
		{"Leaving", []key.Binding{k.Leave, k.LeaveAtOnce, k.Help}},
	}
}

// views pairs the keys that open a screen with the screen.
func (k keyMap) views() []struct {
	key.Binding
	screen
} {
	return []struct {
		key.Binding
		screen
	}{
		{k.Reading, onReading},
		{k.Causes, onCauses},
		{k.BuildUp, onBuildUp},
		{k.Findings, onFindings},
		{k.Entry, onEntry},
		{k.Scope, onScope},
		{k.Letter, onLetter},
		{k.Waiting, onWaiting},
		{k.Recheck, onRecheck},
		{k.Safety, onSafety},
		{k.Days, onDays},
		{k.Jump, onJump},
		{k.Help, onHelp},
	}
}

// foot lists the keys worth showing under a screen, most useful first. The last
// two are shown however narrow the window is.
func (k keyMap) foot(p place, typing, picking bool, q *rules.Question) []key.Binding {
	short := func(b key.Binding, help string) key.Binding {
		return key.NewBinding(key.WithKeys(b.Keys()...), key.WithHelp(b.Help().Key, help))
	}
	switch {
	case typing:
		return []key.Binding{k.LeaveAtOnce, k.FieldDone, k.FieldStop}
	case picking:
		return []key.Binding{key.NewBinding(key.WithKeys("1"), key.WithHelp("1-9, a-z", "why that figure")), short(k.Close, "never mind")}
	}
	tail := []key.Binding{k.Help, short(k.Leave, "leave")}
	var mid []key.Binding
	switch p.screen {
	case onQuestion:
		mid = []key.Binding{k.Back, short(k.Telling, "most telling"), short(k.Jump, "jump"), k.Note, short(k.Undo, "take back"), k.Reading, k.Causes, k.BuildUp, k.Findings, k.Entry, k.Scope, k.Letter, short(k.Why, "why")}
		if q == nil {
			mid = mid[:len(mid)-1]
		}
	case onReading:
		mid = []key.Binding{short(k.Switch, "question"), short(k.Down, "next cause"), k.PageDown, k.Causes, k.BuildUp, k.Findings, k.Scope, short(k.Why, "why"), k.Back}
	case onCauses:
		mid = []key.Binding{short(k.Switch, "question"), short(k.Down, "next cause"), k.PageDown, short(k.Why, "why"), k.Back}
	case onBuildUp:
		mid = []key.Binding{short(k.Switch, "question"), short(k.Down, "next build-up"), k.PageDown, short(k.Why, "why"), k.Back}
	case onScope:
		mid = []key.Binding{short(k.Switch, "question"), short(k.Down, "next repair"), k.PageDown, short(k.Why, "why"), k.Back}
	case onWaiting, onRecheck:
		mid = []key.Binding{short(k.Switch, "question"), k.Down, short(k.Go, "go to the question"), k.Back}
	case onDays:
		mid = []key.Binding{short(k.Accept, "enter a day"), short(k.Switch, "question"), k.PageDown, short(k.Why, "why"), k.Back}
	case onLetter:
		mid = []key.Binding{k.Save, k.PageDown, k.Back}
	case onJump:
		return []key.Binding{key.NewBinding(key.WithKeys("a"), key.WithHelp("letters", "narrow the list")), k.Down, k.LeaveAtOnce, short(k.Go, "go there"), short(k.Close, "close")}
	default:
		mid = []key.Binding{short(k.Switch, "question"), k.PageDown, short(k.Why, "why"), k.Back}
	}
	return append(mid, tail...)
}

// intentOf turns a key into what the user means by it here. Nothing is applied.
func (m *model) intentOf(msg tea.KeyMsg) intent {
	k, p := m.keys, m.at
	is := func(b key.Binding) bool { return key.Matches(msg, b) }
	if is(k.LeaveAtOnce) {
		return leaveIntent{atOnce: true}
	}
	if m.field != nil {
		switch {
		case is(k.FieldDone):
			return submitIntent{}
		case is(k.FieldStop):
			return closeIntent{}
		case is(k.Switch):
			return switchIntent{}
		}
		return typeIntent{msg}
	}
	if msg.Paste {
		return nil // a paste is not a row of key presses
	}
	if m.picking {
		if msg.Type == tea.KeyRunes && len(msg.Runes) == 1 {
			return whyIntent{msg.Runes[0]}
		}
		return closeIntent{}
	}
	if p.screen == onJump {
		return m.jumpIntent(msg)
	}
	if p.screen == onQuestion && p.question != "" {
		if i := m.questionIntent(msg); i != nil {
			return i
		}
	}
	switch {
	case is(k.Save) && p.screen == onLetter:
		return saveIntent{}
	case p.screen == onDays && (is(k.Accept) || is(k.Type)):
		return openDayIntent{}
	case p.screen == onDays && is(k.Number):
		return openDayIntent{msg.String()}
	case is(k.Left) && p.screen == onBuildUp:
		return moveIntent{-1}
	case is(k.Right) && p.screen == onBuildUp:
		return moveIntent{1}
	case is(k.Back):
		return backIntent{}
	case is(k.Close):
		return closeIntent{}
	case is(k.Note):
		return noteIntent{}
	case is(k.Telling):
		return tellingIntent{}
	case is(k.Switch):
		return switchIntent{}
	case is(k.Why):
		return pickIntent{}
	case is(k.Up):
		return moveIntent{-1}
	case is(k.Down):
		return moveIntent{1}
	case is(k.PageUp):
		return pageIntent{-1}
	case is(k.PageDown):
		return pageIntent{1}
	case is(k.Go):
		return goIntent{}
	case is(k.Leave):
		return leaveIntent{}
	}
	for _, v := range k.views() {
		if is(v.Binding) {
			return showIntent{v.screen}
		}
	}
	return nil
}

// questionIntent reads the keys that answer a question.
func (m *model) questionIntent(msg tea.KeyMsg) intent {
	k := m.keys
	is := func(b key.Binding) bool { return key.Matches(msg, b) }
	q := m.step().Question
	typed := typedKind(q.Kind)
	switch {
	case is(k.Number) && typed, typed && strings.ContainsAny(msg.String(), "0.") && len(msg.String()) == 1:
		return openIntent{msg.String()}
	case is(k.Number):
		return answerIntent{int(msg.Runes[0] - '1')}
	case msg.String() == " " && q.Kind == rules.KindSeveral && m.at.cursor >= 0:
		return answerIntent{m.at.cursor}
	case is(k.Unknown):
		return markIntent{unknown}
	case is(k.Ask):
		return markIntent{ask}
	case is(k.Skip):
		return markIntent{skip}
	case is(k.Type) && (typed || q.Kind == rules.KindAmount):
		return openIntent{strings.Trim(msg.String(), "=#")}
	case is(k.Undo):
		return undoIntent{}
	case is(k.Accept) && typed:
		return openIntent{}
	case is(k.Accept) && q.Kind == rules.KindAmount && m.at.cursor < 0:
		return openIntent{}
	case is(k.Accept):
		return acceptIntent{}
	}
	for i, b := range k.Known {
		if is(b) {
			return knownIntent{k.knownID[i]}
		}
	}
	return nil
}

// jumpIntent reads keys on the jump list, where letters narrow the list.
func (m *model) jumpIntent(msg tea.KeyMsg) intent {
	k := m.keys
	is := func(b key.Binding) bool { return key.Matches(msg, b) }
	switch {
	case is(k.Go):
		return goIntent{}
	case is(k.Close), is(k.Left):
		return closeIntent{}
	case is(k.Up):
		return moveIntent{-1}
	case is(k.Down):
		return moveIntent{1}
	case is(k.PageUp):
		return pageIntent{-1}
	case msg.String() == "pgdown":
		return pageIntent{1}
	case is(k.Switch):
		return switchIntent{}
	case msg.Type == tea.KeyBackspace:
		return filterIntent{back: true}
	case msg.Type == tea.KeyRunes || msg.Type == tea.KeySpace:
		return filterIntent{add: string(msg.Runes)}
	}
	return nil
}

// name is what a binding is called on screen.
func name(b key.Binding) string { return b.Help().Key }

// typedKind tells whether a question is answered only by typing.
func typedKind(kind string) bool {
	switch kind {
	case rules.KindLength, rules.KindNumber, rules.KindPlace, rules.KindText, rules.KindSpots:
		return true
	}
	return false
}

// wordsKind tells whether the answer begins with a letter, so that the field
// must be open before the first key: else the word would be read as commands.
func wordsKind(kind string) bool { return kind == rules.KindPlace || kind == rules.KindText }

// hint words a binding for the foot.
func hint(t *theme, b key.Binding) string {
	return fmt.Sprintf("%s %s", t.key.Render(b.Help().Key), b.Help().Desc)
}
