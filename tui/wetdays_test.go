package tui

import (
	"strings"
	"testing"

	"underlap/diagnose/casefile"
)

// Days are typed one after the other and each is in the log at once.
func TestDaysAreTypedAndKept(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	press(m, "h")
	shows(t, m, "No day is on record yet")
	press(m, "enter", "3 jan drip, a cup", "enter")
	if n := len(c.Days().Looks); n != 1 || m.field == nil {
		t.Fatalf("%d days on record, field %v", n, m.field)
	}
	shows(t, m, "Kept: 2026-01-03 drip, 250 ml")
	press(m, "4 jan dry", "enter", "5 jan: rain 12 min 2", "enter", "6 jan perhaps", "enter")
	if m.field == nil {
		t.Fatal("the field has closed on what cannot be read")
	}
	shows(t, m, `"perhaps" does not say what was seen`)
	h := c.Days()
	if len(h.Looks) != 2 || len(h.Weather) != 1 || h.Looks[0].Note != "" || h.Weather[0].String() != "rain 12 min 2" {
		t.Errorf("%+v", h)
	}
	press(m, "esc")
	shows(t, m, "Not kept yet")
	if what := m.unfinished(); what != "the day begun" {
		t.Errorf("unfinished: %q", what)
	}
	press(m, "enter", "ctrl+u", "3 jan withdraw", "enter", "enter")
	if m.field != nil || len(c.Days().Looks) != 1 {
		t.Errorf("after taking back and an empty line: field %v, %+v", m.field, c.Days().Looks)
	}
	shows(t, m, "Too few days to say")
	press(m, "h")
	if m.at.screen != onQuestion {
		t.Errorf("h again leads to %v", m.at.screen)
	}
	for _, e := range c.Case().Events[:2] {
		if e.Kind != casefile.KindSighting || e.By != "test" {
			t.Errorf("%+v", e)
		}
	}
}

// A digit begins a day there, as it begins an answer on a question.
func TestADigitBeginsADay(t *testing.T) {
	c := newCall(t)
	m := open(t, c, "")
	press(m, "h", "7 jan dry", "enter")
	if len(c.Days().Looks) != 1 || len(c.Case().Events) != 1 {
		t.Errorf("%+v", c.Case().Events)
	}
}

// The strip has one column a day: a mark stands under its rain, at every width.
func TestTheStripLinesUp(t *testing.T) {
	for _, w := range []int{60, 80, 100, 140} {
		m := invented(t)
		size(m, w, 45)
		press(m, "h")
		rows := map[string][]rune{}
		for _, l := range strings.Split(plainText(m.View()), "\n") {
			r := []rune(l)
			if len(r) > dayLabel+1 {
				rows[strings.TrimSpace(string(r[:dayLabel]))] = r[dayLabel+1:]
			}
		}
		seen, record := rows["seen"], m.reading().Days.Record
		n := min(60, w-dayLabel-1)
		record = record[len(record)-n:]
		wet := 0
		for i, d := range record {
			mark := ' '
			if i < len(seen) {
				mark = seen[i]
			}
			if want, ok := seenMarks[d.Saw]; ok && string(mark) != want || !ok && mark != ' ' {
				t.Fatalf("%d wide, %s: %q, want %q", w, d.Day, mark, want)
			}
			if mark == 'W' {
				wet++
			}
			if d.Day.Time().Weekday() == 1 && i < n-2 && string(rows["Mondays"][i]) != d.Day.Time().Format("2")[:1] {
				t.Errorf("%d wide: no date under %s", w, d.Day)
			}
		}
		if wet < 5 {
			t.Errorf("%d wide: %d wet days drawn", w, wet)
		}
	}
}
