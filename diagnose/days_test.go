package diagnose_test

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
)

// Weather of two months and days of a hole, of a sweating ceiling and of a pipe. All
// invented.
func daysOf(t *testing.T, c *diagnose.Call, wet func(rain, least float64) bool) {
	t.Helper()
	put := func(text string) {
		t.Helper()
		if _, err := c.Day(text); err != nil {
			t.Fatal(err)
		}
	}
	rain := []float64{0, 0, 9, 0, 14, 0, 0, 0, 6, 0, 0}
	least := []float64{4, 5, 7, 3, 8, 2, -4, -5, 3, 6, -6, -1, 5}
	for d := range 30 {
		day := time.Date(2025, 12, 13+d, 0, 0, 0, 0, time.UTC).Format("2006-01-02")
		r, x := rain[d%len(rain)], least[d%len(least)]
		put(fmt.Sprintf("%s:rain=%g,wind=%d,min=%g,max=%g", day, r, 3+d%3, x, x+6))
		if d < 4 || d%2 == 1 {
			continue
		}
		if wet(r, x) {
			put(day + "=drip")
		} else {
			put(day + "=dry")
		}
	}
}

var (
	afterRain = func(rain, _ float64) bool { return rain > 0 }
	inFrost   = func(_, least float64) bool { return least < 0 }
)

func atWork(r *diagnose.Reading, name string) (p float64) {
	for _, m := range r.Mechanisms {
		if m.ID == name {
			return m.P
		}
	}
	return math.NaN()
}

// Dated days of rain raise rain, days of frost condensation; both without a word about the
// weather having been told.
func TestDaysMoveTheWaysOfGettingWet(t *testing.T) {
	base := newCall(t, "covering=felt").Reading()
	rain := newCall(t, "covering=felt")
	daysOf(t, rain, afterRain)
	cold := newCall(t, "covering=felt")
	daysOf(t, cold, inFrost)
	r, c := rain.Reading(), cold.Reading()
	if r.Days == nil || !r.Days.Enough || (r.Days.Drivers[0].ID != "rain" && r.Days.Drivers[0].ID != "wind") || c.Days.Drivers[0].ID != "cold" {
		t.Fatalf("rain: %+v\ncold: %+v", r.Days, c.Days)
	}
	if !(atWork(r, "rain-gets-in") > atWork(base, "rain-gets-in") && atWork(c, "rain-gets-in") < atWork(base, "rain-gets-in")) {
		t.Errorf("rain gets in: %.3f, with days of rain %.3f, with days of frost %.3f", atWork(base, "rain-gets-in"), atWork(r, "rain-gets-in"), atWork(c, "rain-gets-in"))
	}
	if !(atWork(c, "condensing-inside") > atWork(base, "condensing-inside") && atWork(r, "condensing-inside") < atWork(base, "condensing-inside")) {
		t.Errorf("condensing inside: %.3f, with days of rain %.3f, with days of frost %.3f", atWork(base, "condensing-inside"), atWork(r, "condensing-inside"), atWork(c, "condensing-inside"))
	}
	for _, x := range []*diagnose.Reading{r, c} {
		found := false
		for _, k := range x.Causes {
			for _, reason := range append(append([]diagnose.Reason{}, k.For...), k.Against...) {
				found = found || strings.Contains(reason.Text, "days on record")
			}
		}
		if !found {
			t.Error("no cause gives the days as a reason")
		}
		if w, ok := x.WhyOf("days"); !ok || !strings.Contains(w.Result, "with their weather") || len(w.Inputs) < 7 {
			t.Errorf("why: %+v", w)
		}
	}
}

// The days and the answer told are one fact from two sources. The two together say less
// than two facts would: the ceiling of both is that of the surer finding, and what is told
// of the same days in other words counts for less.
func TestDaysAreNotCountedTwice(t *testing.T) {
	told := []string{"weather-pattern=any-rain", "dry-spell=no", "frosty-morning=dry", "use-link=no"}
	p := func(days bool, answers ...string) float64 {
		c := newCall(t, answers...)
		if days {
			daysOf(t, c, afterRain)
		}
		r := c.Reading()
		odds := func(id string) float64 { x := atWork(r, id); return x / (1 - x) }
		return 10 * math.Log10(odds("rain-gets-in")/odds("condensing-inside"))
	}
	none, both := p(false), p(true, told...)
	byDays, byWords := p(true)-none, p(false, told...)-none
	if byDays < 3 || byWords < 3 {
		t.Fatalf("the days move %.1f dB, the words %.1f: too little to tell", byDays, byWords)
	}
	if sum := both - none; sum < math.Max(byDays, byWords)-0.5 || sum > byDays+byWords-3 {
		t.Errorf("days %.1f dB, words %.1f dB, both %.1f dB", byDays, byWords, sum)
	}
}

// Without days, or with too few to say, nothing moves but that it has been wet.
func TestTooFewDaysMoveNothing(t *testing.T) {
	answers := []string{"weather-pattern=any-rain", "dry-spell=no"}
	c := newCall(t, answers...)
	before := c.Reading()
	for _, d := range []string{"2026-01-05=drip", "2026-01-06=dry", "2026-01-07=not looked", "2026-01-05:rain=3"} {
		if _, err := c.Day(d); err != nil {
			t.Fatal(err)
		}
	}
	after := c.Reading()
	if before.Days != nil || after.Days == nil || after.Days.Enough || len(after.Days.Drivers) != 0 {
		t.Fatalf("%+v", after.Days)
	}
	if d := cmp.Diff(before.Mechanisms, after.Mechanisms); d != "" {
		t.Errorf("too few days moved something: %s", d)
	}
}

// Where dates and words differ widely the reading asks again, and accuses nobody.
func TestDaysAgainstWords(t *testing.T) {
	c := newCall(t, "weather-pattern=any-rain")
	daysOf(t, c, inFrost)
	found := ""
	for _, x := range c.Reading().Recheck {
		if strings.Contains(x.Text, "days on record") {
			found = x.Text
		}
	}
	if !strings.Contains(found, "cold dry spells") || !strings.Contains(found, "Go through the dates") {
		t.Errorf("recheck: %q", found)
	}
	c = newCall(t, "weather-pattern=cold-dry")
	daysOf(t, c, inFrost)
	for _, x := range c.Reading().Recheck {
		if strings.Contains(x.Text, "days on record") {
			t.Errorf("no need to ask again: %s", x.Text)
		}
	}
}

// A day is corrected by saying it again, and taken back; the log keeps all of it.
func TestADayIsCorrectedAndTakenBack(t *testing.T) {
	c := newCall(t)
	say := func(text string) string {
		t.Helper()
		kept, err := c.Day(text)
		if err != nil {
			t.Fatal(err)
		}
		return kept
	}
	say("2026-01-05=drip, a cup")
	say("2026-01-05=dry")
	if l, ok := c.Days().LookOn(c.Days().Looks[0].Day); !ok || l.Saw != "dry" || len(c.Days().Looks) != 1 {
		t.Errorf("%+v", c.Days())
	}
	if kept := say("5/1/2026 withdraw"); !strings.Contains(kept, "taken back") || len(c.Days().Looks) != 0 {
		t.Errorf("%q: %+v", kept, c.Days())
	}
	n := len(c.Case().Events)
	for _, bad := range []string{"5/1/2026 withdraw", "2099-01-01 drip", "2026-01-05=perhaps"} {
		if _, err := c.Day(bad); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
	if len(c.Case().Events) != n || n != 4 {
		t.Errorf("%d entries, then %d", n, len(c.Case().Events))
	}
	for _, e := range c.Case().Events[:2] {
		if e.Kind != casefile.KindSighting || e.Seen.Format("2006-01-02") != "2026-01-05" {
			t.Errorf("%+v", e)
		}
	}
}

// What is remembered of the days never shows: a call under way reads as the case read
// afresh after each day.
func TestMemoryOfDaysNeverShows(t *testing.T) {
	c := newCall(t, "weather-pattern=any-rain")
	daysOf(t, c, afterRain)
	for _, d := range []string{"2026-01-11=drip", "2026-01-11=dry", "2026-01-11=withdraw", "2026-01-08:rain=20", "2026-01-08:withdraw"} {
		if _, err := c.Day(d); err != nil {
			t.Fatal(err)
		}
		fresh, err := diagnose.Consult(c.Case(), rules.Built())
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(jsonOf(t, c.Reading()), jsonOf(t, fresh)) {
			t.Fatalf("%s: the call and the case disagree", d)
		}
	}
}

// What is told of the same days in other words moves less when the days are on record.
func TestWordsMoveLessBesideDays(t *testing.T) {
	swing := func(days bool, question, a, b string) float64 {
		odds := func(answer string) float64 {
			c := newCall(t, question+"="+answer)
			if days {
				daysOf(t, c, inFrost)
			}
			x := atWork(c.Reading(), "condensing-inside")
			return x / (1 - x)
		}
		return 10 * math.Log10(odds(a)/odds(b))
	}
	for _, q := range [][3]string{{"frosty-morning", "wet", "dry"}, {"dry-spell", "yes", "no"}} {
		words, beside := swing(false, q[0], q[1], q[2]), swing(true, q[0], q[1], q[2])
		if beside > 0.8*words || beside < 0.2*words {
			t.Errorf("%s moves %.1f dB alone and %.1f dB beside the days", q[0], words, beside)
		}
	}
}
