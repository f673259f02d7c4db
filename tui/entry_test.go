package tui

import (
	"strings"
	"testing"

	"underlap/diagnose/entry"
)

func TestASpotIsOneKeyOnThePlan(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "stain-spots")
	shows(t, m, "1 2 3 left to right, as you face the house")
	press(m, "5", "enter")
	if s := stateOf(t, c, "stain-spots"); s.Answer != "in the middle" || s.Typed != "5" {
		t.Errorf("%+v", s)
	}
	m.goQuestion("stain-spots")
	press(m, "=", "ctrl+u", "1.2 x 80 cm; 9", "enter")
	if m.field == nil {
		t.Error("1.2 x 80 cm has one unit for two figures and is taken for 1.2 cm or 1.2 m")
	}
	press(m, "ctrl+u", "1.2 m x 80 cm; 9", "enter")
	if s := stateOf(t, c, "stain-spots"); s.Typed != "1.2x0.8;9" {
		t.Errorf("%+v", s)
	}
}

func TestTheMapBeforeAndAfterThePlanIsTold(t *testing.T) {
	c := newCall(t, "seen=drip", "weather-pattern=any-rain", "rooflight=fixed")
	m := open(t, c, "")
	press(m, "i")
	shows(t, m, "Nothing is known of the plan yet")
	c = newCall(t, "seen=drip", "weather-pattern=any-rain", "rooflight=fixed", "plan-along=6", "plan-out=3.5", "stain-spots=1x0.5")
	m = open(t, c, "")
	press(m, "i")
	shows(t, m, "If it gets in from outside")
	shows(t, m, "Foot of the wall, house side, left half")
	press(m, "w", "1")
	shows(t, m, "P(cell | stains)")
	press(m, "b", "b", "!", "i", "b")
	if m.at.screen != onSafety {
		t.Errorf("back from the map leads to %v", m.at.screen)
	}
}

// The likeliest part is the darkest, whatever the size.
func TestThePlanIsDarkestWhereItIsLikeliest(t *testing.T) {
	r := inventedMap()
	th := newTheme(newRenderer(), true)
	for _, sz := range [][2]int{{30, 8}, {40, 10}, {63, 18}} {
		lines := planLines(th, r, sz[0], sz[1])
		if len(lines) > sz[1]+2 {
			t.Errorf("%v: %d lines", sz, len(lines))
		}
		dark := 0
		for _, l := range lines[:len(lines)/2] {
			dark += strings.Count(l, "█")
		}
		if dark == 0 {
			t.Errorf("%v: nothing is dark by the house, where the map has its top:\n%s", sz, strings.Join(lines, "\n"))
		}
		for _, l := range lines[len(lines)/2+1:] {
			if strings.Contains(l, "█") {
				t.Errorf("%v: dark by the garden: %s", sz, l)
			}
		}
		if !strings.Contains(strings.Join(lines, "\n"), "R") {
			t.Errorf("%v: the skylight is missing", sz)
		}
	}
	r.Plan.Along, r.Plan.Out = 1, 12 // a long thin roof, and one that is all width
	planLines(th, r, 40, 10)
	r.Plan = entry.Plan{Along: 60, Out: 0.5, Sides: r.Plan.Sides}
	planLines(th, r, 40, 10)
}
