package tui

import (
	"strings"
	"testing"

	"underlap/diagnose"
)

var someCall = []string{"seen=drip", "weather-pattern=any-rain", "lag=hours", "roof-form=lean-to", "covering=felt", "covering-age=10-20"}

// Whether the reading hangs on the knowledge's numbers comes to the screen by itself,
// once no key has come for a while, and can be asked about.
func TestDoubtsComeByThemselves(t *testing.T) {
	c := newCall(t, someCall...)
	m := open(t, c, "")
	size(m, 100, 60)
	m.Init()
	press(m, "r")
	if s := plainText(m.View()); !strings.Contains(s, "Would other numbers say the same?") {
		t.Fatalf("before:\n%s", s)
	}
	first := doubtDue{m.doubts.of}
	_, run := m.Update(first)
	if run == nil {
		t.Fatal("nothing was started")
	}
	if _, twice := m.Update(first); twice != nil {
		t.Error("started twice")
	}
	m.Update(run())
	s := plainText(m.View())
	if strings.Contains(s, "On its way") || !strings.Contains(s, "of 200 variations") {
		t.Fatalf("after:\n%s", s)
	}
	if _, ok := m.reading().WhyOf("robust"); !ok {
		t.Error("nothing explains it")
	}

	// Another answer: the old result goes, and what still comes of it is not shown.
	if err := diagnose.Tell(c, "wind-side=one-side", 2026); err != nil {
		t.Fatal(err)
	}
	m.refresh()
	press(m, "r")
	m.Update(first)
	if m.doubts.stop != nil || m.reading().Robust != nil {
		t.Error("an old reading is still asked about")
	}
}
