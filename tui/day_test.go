package tui

import (
	"errors"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose"
)

func TestADayGoesFromDeskToCallAndBackInOneProgram(t *testing.T) {
	calls := map[string]*diagnose.Call{}
	asked := 0
	items := func() []DeskItem { asked++; return deskItems() }
	open := func(c DeskChoice) (*diagnose.Call, Options, error) {
		if c.Path == "b.toml" {
			return nil, Options{}, errors.New("someone else has it open")
		}
		calls[c.Path+c.Title] = newCall(t)
		return calls[c.Path+c.Title], Options{}, nil
	}
	d := DayModel(items, open, Options{}).(*day)
	size(d, 100, 30)
	press(d, "enter", "12q") // two answers and away, all typed at once
	if d.call != nil {
		t.Fatal("still on the call")
	}
	if n := len(calls["a.toml"].Case().Events); n != 2 {
		t.Errorf("%d events", n)
	}
	if asked != 2 {
		t.Errorf("the desk was read %d times", asked)
	}
	press(d, "down", "enter")
	if d.call != nil || !strings.Contains(d.View(), "Someone else has it open") {
		t.Errorf("a case that cannot be opened:\n%s", d.View())
	}
	press(d, "n", "Shed", "enter", "1")
	if c := calls["Shed"]; c == nil || len(c.Case().Events) != 1 {
		t.Error("the new case was not started")
	}
	if _, cmd := d.Update(tea.KeyMsg{Type: tea.KeyCtrlC}); cmd == nil {
		t.Error("ctrl+c in a call does not end the program")
	}
}
