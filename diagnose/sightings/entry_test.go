package sightings

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"underlap/diagnose/casefile"
)

var today, _ = date(2026, 11, 25)

// alike: figures that are not known are alike.
var alike = cmp.Options{cmp.FilterValues(func(a, b float64) bool { return math.IsNaN(a) && math.IsNaN(b) }, cmp.Comparer(func(_, _ float64) bool { return true })), cmpopts.EquateEmpty()}

func TestParseDay(t *testing.T) {
	for text, want := range map[string]string{
		"2026-11-03": "2026-11-03", "3 Nov 2026": "2026-11-03", "3rd November 2026": "2026-11-03", "Nov 3, 2026": "2026-11-03", " 3  nov ": "2026-11-03",
		"3/11/2026": "2026-11-03", "03.11.2026": "2026-11-03", "3-11-2026": "2026-11-03", "13/11/2026": "2026-11-13", "today": "2026-11-25", "Yesterday": "2026-11-24",
		"25 nov": "2026-11-25", "26 nov": "2025-11-26", "31 Dec": "2025-12-31", "29/2/2024": "2024-02-29", "1 sept": "2026-09-01",
	} {
		if d, err := ParseDay(text, today); err != nil || d.String() != want {
			t.Errorf("%q is %s (%v), want %s", text, d, err, want)
		}
	}
	for text, want := range map[string]string{
		"2026-11-26": "future", "1/12/2026": "future", "11/13/2026": "day comes first", "3/11/26": "four digits", "3 Nov 26": "four digits",
		"30 Feb 2026": "no such day", "29/2/2026": "no such day", "29 Feb": "give the year", "last Tuesday": "write it like", "": "no date", "1/1/1900": "too long ago",
		"2026-13-01": "no such day", "-3 nov": "write it like", "3": "write it like", "nov": "write it like",
	} {
		if d, err := ParseDay(text, today); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is %s, error %v; want %q", text, d, err, want)
		}
	}
}

func TestParseEntry(t *testing.T) {
	day := func(s string) Day { d, _ := ParseDay(s, today); return d }
	figures := func(s string, f func(*Weather)) *Weather { w := NewWeather(day(s)); f(&w); return &w }
	for text, want := range map[string]Entry{
		"2026-11-03=drip":                        {Day: day("2026-11-03"), Look: &Look{Saw: Drip}},
		"2026-11-03 = Dry":                       {Day: day("2026-11-03"), Look: &Look{Saw: Dry}},
		"3 Nov drip":                             {Day: day("2026-11-03"), Look: &Look{Saw: Drip}},
		"3 Nov 2025 wet":                         {Day: day("2025-11-03"), Look: &Look{Saw: Drip}},
		"3/11/2026 not looked":                   {Day: day("2026-11-03"), Look: &Look{Saw: NotLooked}},
		"yesterday=no":                           {Day: day("2026-11-24"), Look: &Look{Saw: Dry}},
		"2026-11-05=drip, half a bucket":         {Day: day("2026-11-05"), Look: &Look{Saw: Drip, Litres: 5}},
		"2026-11-05=drip 0.2 L, by the window":   {Day: day("2026-11-05"), Look: &Look{Saw: Drip, Litres: 0.2, Note: "by the window"}},
		"5 nov drip, used, 2 L, after tea":       {Day: day("2026-11-05"), Look: &Look{Saw: Drip, Litres: 2, Use: Used, Note: "after tea"}},
		"5 nov dry, not used":                    {Day: day("2026-11-05"), Look: &Look{Saw: Dry, Use: Unused}},
		"5 nov dry, 2 L":                         {Day: day("2026-11-05"), Look: &Look{Saw: Dry, Note: "2 L"}},
		"2026-11-05=withdraw":                    {Day: day("2026-11-05"), Forget: true},
		"2026-11-05:withdraw":                    {Day: day("2026-11-05"), Weather: figures("2026-11-05", func(*Weather) {})},
		"2026-11-03:rain=12,min=2,max=8":         {Day: day("2026-11-03"), Weather: figures("2026-11-03", func(w *Weather) { w.Rain, w.Min, w.Max = 12, 2, 8 })},
		"3 Nov: rain 12 mean -2.5 wind 4":        {Day: day("2026-11-03"), Weather: figures("2026-11-03", func(w *Weather) { w.Rain, w.Mean, w.Wind = 12, -2.5, 4 })},
		"3 Nov 2026 rain 0 from 270 snow 3":      {Day: day("2026-11-03"), Weather: figures("2026-11-03", func(w *Weather) { w.Rain, w.From, w.Snow = 0, 270, 3 })},
		"2026-11-03=rain=1":                      {Day: day("2026-11-03"), Weather: figures("2026-11-03", func(w *Weather) { w.Rain = 1 })},
		"2026-11-03=drip, a flood: 3 L or so, I": {Day: day("2026-11-03"), Look: &Look{Saw: Drip, Note: "a flood: 3 L or so, I"}},
	} {
		if want.Look != nil {
			want.Look.Day = want.Day
		}
		got, err := ParseEntry(text, today)
		if d := cmp.Diff(want, got, alike); err != nil || d != "" {
			t.Errorf("%q: %v %s", text, err, d)
		}
	}
	for text, want := range map[string]string{
		"2026-11-03=maybe": "does not say what was seen", "2026-11-03=no rain": "does not say what was seen", "2026-11-03=not dripping": "does not say", "2026-11-03": "nothing was said", "drip": "does not begin with a date",
		"2026-12-24=drip": "future", "24/12/2026 dry": "future", "last Tuesday drip": "does not begin with a date",
		"2026-11-03:rain=x": "not a figure", "2026-11-03:rain=700": "cannot be", "2026-11-03:rain=-1": "cannot be", "2026-11-03:hail=2": `no "hail"`, "2026-11-03:rain": "pairs", "2026-11-03:min=9,max=8": "above",
		"2026-11-03:rain=1,rain=2": "twice", "2026-11-03:rain=NaN": "cannot be", "2026-11-03:rain=inf": "cannot be",
	} {
		if _, err := ParseEntry(text, today); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: error %v, want %q", text, err, want)
		}
	}
}

// What is kept in a case is read back as it was; what is entered later for a day goes
// before, figure by figure; what is taken back is gone from the count and not from the log.
func TestHistoryFromACase(t *testing.T) {
	c := &casefile.Case{}
	put := func(e casefile.Event) string {
		e.ID = "000" + string(rune('0'+len(c.Events))) + "-abcd"
		e.At = today.Time().Add(3600 * 1e9)
		c.Events = append(c.Events, e)
		return e.ID
	}
	looks := []Look{
		{Day: today - 20, Saw: Drip, Litres: 0.25, Use: Used, Note: "by the \"window\""},
		{Day: today - 18, Saw: Dry},
		{Day: today - 17, Saw: NotLooked},
	}
	for _, l := range looks {
		put(LookEvent(l))
	}
	a, b := NewWeather(today-20), NewWeather(today-19)
	a.Rain, a.Min, b.Rain = 12.3, -1, 0
	put(WeatherEvent([]Weather{a, b}, "a file"))
	put(casefile.Event{Kind: casefile.KindSighting, Place: "by the door"}) // of no day
	h := From(c.State())
	if d := cmp.Diff(History{Looks: looks, Weather: []Weather{a, b}}, h, alike); d != "" {
		t.Error(d)
	}
	again := NewWeather(today - 20)
	again.Rain, again.Max = 9, 4
	put(WeatherEvent([]Weather{again, NewWeather(today - 19)}, "typed"))
	id := put(LookEvent(Look{Day: today - 18, Saw: Drip}))
	put(casefile.Event{Kind: casefile.KindWeather, Note: "2026-11-01 rain 2\nspoilt by hand\n2026-11-02 rain x"})
	h = From(c.State())
	if l, _ := h.LookOn(today - 18); l.Saw != Drip || h.WeatherOn(today-20).String() != "rain 9 min -1 max 4" || !h.WeatherOn(today-19).Empty() {
		t.Errorf("%+v", h)
	}
	if len(h.Unread) != 2 || !strings.Contains(h.Unread[0], "line 2") || len(h.Weather) != 2 {
		t.Errorf("unread %q, weather %v", h.Unread, h.Weather)
	}
	if n := len(EntriesOn(c.State(), today-18)); n != 2 {
		t.Errorf("%d entries stand for the day", n)
	}
	put(casefile.Event{Kind: casefile.KindWithdrawn, About: id})
	if l, _ := From(c.State()).LookOn(today - 18); l.Saw != Dry {
		t.Errorf("%+v", l)
	}
}

func FuzzParseDay(f *testing.F) {
	for _, s := range []string{"2026-11-03", "3 Nov", "3/11/2026", "yesterday", "29 feb", "0000-00-00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := ParseDay(s, today)
		if err != nil {
			return
		}
		if d > today || d < earliest {
			t.Fatalf("%q is %s", s, d)
		}
		if again, err := ParseDay(d.String(), today); err != nil || again != d {
			t.Fatalf("%q: %s is read as %s (%v)", s, d, again, err)
		}
	})
}

// Whatever is taken can be written as it is kept and read again to the same.
func FuzzParseEntry(f *testing.F) {
	for _, s := range []string{"2026-11-03=drip, a cup", "3 Nov dry, not used, cold", "2026-11-03:rain=12,min=2,max=8", "3 nov withdraw", "3 Nov: rain 1e2"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		e, err := ParseEntry(s, today)
		if err != nil {
			return
		}
		if e.Weather != nil {
			again, err := ParseWeather(e.Day, e.Weather.String())
			if err != nil || again.String() != e.Weather.String() {
				t.Fatalf("%q: %s, again %s (%v)", s, e.Weather, again, err)
			}
		}
		if e.Look != nil {
			l, ok := lookOf(LookEvent(*e.Look))
			l.Litres = math.Round(l.Litres*1e9) / 1e9
			want := *e.Look
			want.Litres = math.Round(want.Litres*1e9) / 1e9
			if d := cmp.Diff(want, l); !ok || d != "" {
				t.Fatalf("%q: %s", s, d)
			}
		}
	})
}
