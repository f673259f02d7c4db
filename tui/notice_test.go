package tui

import (
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
)

// The notice stands on the desk and on every screen of a call, at any size, and no screen
// grows by it.
func TestNoticeOnEveryScreen(t *testing.T) {
	const text = "Built-in knowledge in use: your own has a fault (underlap rules check)"
	for _, noColor := range []bool{false, true} {
		o := Options{Notice: text, NoColor: noColor, Demo: true}
		for _, size := range []tea.WindowSizeMsg{{Width: 80, Height: 24}, {Width: 100, Height: 30}, {Width: 140, Height: 45}} {
			desk := newDesk([]DeskItem{{Title: "Hill", State: "3 answers"}}, o)
			desk.Update(size)
			frames := map[string]string{"desk": desk.View()}
			m := newModel(still{inventedReading(), inventedSteps()}, o)
			m.Update(size)
			for _, key := range []string{"r", "c", "v", "f", "x", "k", "e", "!", "?"} {
				m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(key)})
				frames[key] = m.View()
			}
			for name, frame := range frames {
				lines := strings.Split(ansi.Strip(frame), "\n")
				if len(lines) != size.Height {
					t.Errorf("%s at %dx%d: %d lines", name, size.Width, size.Height, len(lines))
				}
				at := slices.Index(lines[:min(8, len(lines))], "! "+text)
				if at < 1 || name != "desk" && !strings.Contains(strings.Join(lines[:at], "\n"), "SAFETY") {
					t.Errorf("%s at %dx%d: the notice is not at the top, below safety:\n%s", name, size.Width, size.Height, strings.Join(lines, "\n"))
				}
			}
		}
	}
}
