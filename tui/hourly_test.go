package tui

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose"
)

// coldRoom is a call about a cold roof, which has a course.
var coldRoom = []string{
	"insulation-seen=quilt-between", "kerb-inside=365", "kerb-outside=150", "joist-depth=145", "covering=felt", "vents=none", "built-when=1976-1989",
	"roof-area=18", "place=Birmingham", "room-use=living",
}

// ended waits for a course and gives its message to the model.
func ended(t *testing.T, m tea.Model, cmd tea.Cmd) courseDone {
	t.Helper()
	if cmd == nil {
		t.Fatal("nothing was started")
	}
	got := make(chan tea.Msg, 8)
	run := func(cmd tea.Cmd) { go func() { got <- cmd() }() }
	run(cmd)
	for {
		select {
		case msg := <-got:
			switch msg := msg.(type) {
			case tea.BatchMsg: // with what else runs beside the screen
				for _, c := range msg {
					run(c)
				}
			case courseDone:
				m.Update(msg)
				return msg
			}
		case <-time.After(time.Minute):
			t.Fatal("the course does not end")
		}
	}
}

// What is followed hour by hour comes to the screen by itself, changes no key and no
// rank, and is not worked out twice for one roof.
func TestHourByHourComesByItself(t *testing.T) {
	m := open(t, newCall(t, coldRoom...), "")
	size(m, 100, 30)
	first := m.Init()
	press(m, "f")
	if s := plainText(m.View()); !strings.Contains(s, "on its way") || strings.Contains(s, "How wet the deck gets") {
		t.Fatalf("before it has ended:\n%s", s)
	}
	before := m.reading().Causes[0]
	if d := ended(t, m, first); d.err != nil {
		t.Fatal(d.err)
	}
	size(m, 100, 200)
	s := plainText(m.View())
	if strings.Contains(s, "on its way") || !strings.Contains(s, "How wet the deck gets over winters") || !strings.Contains(s, "Frost let go in an ordinary winter") {
		t.Fatalf("after it has ended:\n%s", s)
	}
	if after := m.reading().Causes[0]; after.ID != before.ID || after.P != before.P {
		t.Errorf("the ranking moved: %s %v, %s %v", before.ID, before.P, after.ID, after.P)
	}
	if m.reading().Hourly != "done" {
		t.Errorf("hourly is %q", m.reading().Hourly)
	}
	if cmd := m.follow(); cmd != nil {
		t.Error("it was started again for the same roof")
	}
}

// An answer that changes the roof stops the course under way and starts another; what the
// first still says is not shown.
func TestCourseOfAnOldRoofIsDropped(t *testing.T) {
	c := newCall(t, coldRoom...)
	m := open(t, c, "")
	old := m.Init()
	key := m.courses.key
	if err := diagnose.Tell(c, "roof-area=35", 2026); err != nil {
		t.Fatal(err)
	}
	m.refresh()
	_, next := m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("f")})
	if m.courses.key == key || next == nil {
		t.Fatal("the course was not started anew")
	}
	if d := ended(t, m, old); d.err == nil {
		t.Error("the old course went on to its end")
	}
	if m.reading().Hourly != "waiting" {
		t.Errorf("hourly is %q", m.reading().Hourly)
	}
	ended(t, m, next)
	if m.reading().Hourly != "done" {
		t.Errorf("hourly is %q", m.reading().Hourly)
	}
}
