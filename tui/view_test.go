package tui

import (
	"fmt"
	"math/rand"
	"regexp"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
)

var sizes = [][2]int{{80, 24}, {100, 30}, {140, 45}}

// screens are the keys that lead from the first question to each screen.
var screens = []struct {
	name string
	keys []string
}{
	{"question", nil},
	{"several", []string{"j", "marks", "enter", "1", "3"}},
	{"typing", []string{"j", "kerb", "enter", "4", "x", "enter"}},
	{"reading", []string{"r"}},
	{"causes", []string{"c", "down"}},
	{"build-up", []string{"v"}},
	{"build-up-second", []string{"v", "right"}},
	{"physics", []string{"f"}},
	{"entry", []string{"i"}},
	{"repairs", []string{"x", "down"}},
	{"letter", []string{"l"}},
	{"waiting", []string{"k"}},
	{"look-again", []string{"e"}},
	{"safety", []string{"!"}},
	{"jump", []string{"j"}},
	{"keys", []string{"?"}},
	{"days", []string{"h"}},
	{"days-typing", []string{"h", "3 nov maybe", "enter"}},
	{"picking", []string{"r", "w"}},
	{"why", []string{"r", "w", "1"}},
	{"note", []string{"r", "n", "call back"}},
}

func TestScreensAreAsOnFile(t *testing.T) {
	for _, s := range screens {
		for _, sz := range sizes {
			name := fmt.Sprintf("%s-%dx%d", s.name, sz[0], sz[1])
			t.Run(name, func(t *testing.T) {
				m := invented(t)
				size(m, sz[0], sz[1])
				press(m, s.keys...)
				onFile(t, name, m.View())
			})
		}
	}
}

func TestDeskIsAsOnFile(t *testing.T) {
	for _, sz := range sizes {
		d := DeskModel(deskItems(), Options{})
		size(d, sz[0], sz[1])
		onFile(t, fmt.Sprintf("desk-%dx%d", sz[0], sz[1]), d.View())
	}
}

func deskItems() []DeskItem {
	return []DeskItem{
		{Path: "a.toml", Title: "Kitchen extension", State: "12 answers", Waits: "a photo of the tape", Age: "3 days", Urgent: "water near electrics"},
		{Path: "b.toml", Title: "Garage", State: "no answers yet", Age: "1 hour"},
		{Path: "c.toml", Err: "c.toml:12: not a date"},
	}
}

// holds fails when a frame is larger than its window.
func holds(t *testing.T, what, view string, w, h int) {
	t.Helper()
	lines := strings.Split(view, "\n")
	if len(lines) > h {
		t.Errorf("%s at %dx%d: %d lines", what, w, h, len(lines))
	}
	for i, l := range lines {
		if n := lipgloss.Width(l); n > w {
			t.Errorf("%s at %dx%d: line %d is %d wide: %q", what, w, h, i+1, n, l)
		}
	}
}

func TestEveryScreenHoldsInItsWindow(t *testing.T) {
	for _, sz := range [][2]int{{60, 16}, {61, 17}, {80, 24}, {99, 24}, {100, 24}, {100, 30}, {139, 40}, {140, 45}, {220, 70}, {59, 16}, {10, 2}, {1, 1}} {
		for _, s := range screens {
			m := invented(t)
			size(m, sz[0], sz[1])
			press(m, s.keys...)
			holds(t, s.name, m.View(), sz[0], sz[1])
		}
		d := DeskModel(deskItems(), Options{})
		size(d, sz[0], sz[1])
		press(d, "n", "a title that goes on and on and on, further than any window is wide, and then a little further still")
		holds(t, "desk", d.View(), sz[0], sz[1])
	}
}

// Every question of the real knowledge shows all its answers, the ways of having
// none, and how it is known, at the smallest promised size.
func TestEveryQuestionShowsItsAnswersAt80x24(t *testing.T) {
	c := answeredCall(t)
	m := open(t, c, "")
	for _, st := range m.steps {
		m.goQuestion(st.Question.ID)
		m.field = nil
		view := m.View()
		holds(t, st.Question.ID, view, 80, 24)
		flat := strings.Join(strings.Fields(plainText(view)), " ")
		want := []string{"don't know", "ask them", "skip", "opened", "Why"}
		for _, a := range st.Question.Answers {
			want = append(want, a.Says)
		}
		want = append(want, strings.Fields(st.Question.Say)[0])
		for _, w := range want {
			if !strings.Contains(flat, strings.Join(strings.Fields(w), " ")) && len(w) < 34 {
				t.Errorf("%s at 80x24 does not show %q", st.Question.ID, w)
			}
		}
		if strings.Contains(view, "PgDn") {
			t.Errorf("%s does not fit at 80x24", st.Question.ID)
		}
	}
}

func TestTooSmallSaysSo(t *testing.T) {
	m := invented(t)
	size(m, 50, 20)
	if !strings.Contains(m.View(), "too small") {
		t.Errorf("no word of the window being too small:\n%s", m.View())
	}
	size(m, 80, 24)
	if strings.Contains(m.View(), "too small") {
		t.Error("still too small after growing")
	}
}

var sgr = regexp.MustCompile("\x1b\\[([0-9;]*)m")

func TestNoColourHasNoColourButKeepsMarks(t *testing.T) {
	bold, reverse := false, false
	for _, s := range screens {
		m := newModel(still{inventedReading(), inventedSteps()}, Options{NoColor: true, Build: letterOf})
		size(m, 100, 30)
		press(m, s.keys...)
		for _, e := range sgr.FindAllStringSubmatch(m.View(), -1) {
			for _, code := range strings.Split(e[1], ";") {
				switch code {
				case "", "0", "2":
				case "1":
					bold = true
				case "7":
					reverse = true
				default:
					t.Fatalf("%s uses code %s without colour", s.name, code)
				}
			}
		}
	}
	if !bold || !reverse {
		t.Errorf("bold %v, reverse %v: both must remain", bold, reverse)
	}
}

func TestColourUsesThePaletteOnly(t *testing.T) {
	coloured := false
	for _, s := range screens {
		m := invented(t)
		size(m, 140, 45)
		press(m, s.keys...)
		for _, e := range sgr.FindAllStringSubmatch(m.View(), -1) {
			for _, code := range strings.Split(e[1], ";") {
				if code == "38" || code == "48" {
					t.Fatalf("%s uses a colour outside the 16", s.name)
				}
				coloured = coloured || len(code) == 2 && (code[0] == '3' || code[0] == '9')
			}
		}
	}
	if !coloured {
		t.Error("no colour at all")
	}
}

// Words of the method belong on the why pages only.
func TestScreensSpeakToARoofer(t *testing.T) {
	c := answeredCall(t)
	for _, s := range screens {
		if s.name == "why" || s.name == "several" || s.name == "typing" {
			continue // the first is about the method, the others look for invented questions
		}
		m := open(t, c, "")
		size(m, 140, 45)
		press(m, s.keys...)
		low := strings.ToLower(plainText(m.View()))
		for _, w := range []string{"posterior", "entropy", "deciban", "likelihood", "prior "} {
			if strings.Contains(low, w) {
				t.Errorf("%s says %q", s.name, w)
			}
		}
	}
}

func TestDrawingIsToScale(t *testing.T) {
	st := inventedReading().BuildUp.Stacks[0]
	for _, lines := range []int{6, 12, 24, 60} {
		h := layerHeights(st, lines)
		sum := 0
		for i, n := range h {
			sum += n
			if n < 1 {
				t.Errorf("%d lines: layer %s has none", lines, st.Layers[i].Name)
			}
		}
		if sum != lines {
			t.Errorf("%d lines asked for, %d drawn", lines, sum)
		}
		if lines >= 12 && (h[1] < h[4] || h[4] < h[2]) {
			t.Errorf("%d lines: heights %v are not in the order of the thicknesses", lines, h)
		}
	}
}

func TestAViewChangesNothing(t *testing.T) {
	m := open(t, answeredCall(t), "")
	size(m, 140, 45)
	for _, s := range screens {
		press(m, s.keys...)
		if a, b := m.View(), m.View(); a != b {
			t.Errorf("%s is drawn twice and differs", s.name)
		}
		press(m, "esc", "esc", "esc")
	}
}

var someKeys = []string{
	"1", "2", "9", "d", "a", "s", "t", "p", "m", "o", "b", "u", "n", "j", "g", "r", "c", "v", "f", "x", "i", "l", "k", "e", "h", "!", "w", "?", "=",
	"up", "down", "left", "right", "pgdown", "pgup", "enter", "esc", "tab", " ", "backspace", "480", "rain",
}

// Any keys in any order leave a frame that fits, on a reading that is full.
func TestAnyKeysHold(t *testing.T) {
	rnd := rand.New(rand.NewSource(7))
	m := invented(t)
	for range 1500 {
		if sz := sizes[rnd.Intn(len(sizes))]; rnd.Intn(20) == 0 {
			size(m, sz[0], sz[1])
		}
		press(m, someKeys[rnd.Intn(len(someKeys))])
		holds(t, m.at.screen.String(), m.View(), m.w, m.h)
	}
}

// The same on a real call, from its empty beginning.
func TestAnyKeysHoldOnARealCall(t *testing.T) {
	rnd := rand.New(rand.NewSource(13))
	m := open(t, newCall(t), "")
	for range 250 {
		press(m, someKeys[rnd.Intn(len(someKeys))])
		holds(t, m.at.screen.String(), m.View(), m.w, m.h)
	}
	if m.call.Reading().Answered == 0 {
		t.Error("no answer was given in all that: the test says nothing")
	}
}

func plainText(view string) string { return sgr.ReplaceAllString(view, "") }
