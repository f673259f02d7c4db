package sightings

import (
	"bufio"
	"fmt"
	"slices"
	"strings"

	"underlap/diagnose/casefile"
)

// History is what is on record, by day: at most one Look and one Weather for each.
type History struct {
	Looks   []Look
	Weather []Weather
	// Unread are the entries that stand in the case and could not be read. They stay there.
	Unread []string
}

// From reads the history out of a case. What was entered later for the same day goes
// before; of the weather, figure by figure.
func From(s casefile.State) History {
	var h History
	looks := map[Day]Look{}
	for _, e := range s.Sightings {
		l, ok := lookOf(e)
		if !ok {
			continue // water seen at a place, with no word of a day
		}
		looks[l.Day] = l
	}
	weather := map[Day]Weather{}
	for _, e := range s.Weather {
		list, bad := weatherOf(e)
		h.Unread = append(h.Unread, bad...)
		for _, w := range list {
			old, ok := weather[w.Day]
			if !ok {
				old = NewWeather(w.Day)
			}
			weather[w.Day] = old.over(w)
		}
	}
	for _, l := range looks {
		h.Looks = append(h.Looks, l)
	}
	for _, w := range weather {
		if !w.Empty() {
			h.Weather = append(h.Weather, w)
		}
	}
	h.sort()
	return h
}

func (h *History) sort() {
	slices.SortFunc(h.Looks, func(a, b Look) int { return int(a.Day - b.Day) })
	slices.SortFunc(h.Weather, func(a, b Weather) int { return int(a.Day - b.Day) })
}

// LookOn is what is on record of a day.
func (h History) LookOn(day Day) (Look, bool) {
	i, ok := slices.BinarySearchFunc(h.Looks, day, func(l Look, d Day) int { return int(l.Day - d) })
	if !ok {
		return Look{}, false
	}
	return h.Looks[i], true
}

// WeatherOn is the weather on record of a day; all of it unknown when there is none.
func (h History) WeatherOn(day Day) Weather {
	i, ok := slices.BinarySearchFunc(h.Weather, day, func(w Weather, d Day) int { return int(w.Day - d) })
	if !ok {
		return NewWeather(day)
	}
	return h.Weather[i]
}

// LookEvent is a look as an entry of a case: the day in "seen", what was seen in
// "answers", the water in cubic metres in "value", and all of it in words in "typed".
func LookEvent(l Look) casefile.Event {
	e := casefile.Event{
		Kind: casefile.KindSighting, Seen: l.Day.Time(), Answers: []string{string(l.Saw)},
		Typed: l.Day.String() + " " + l.String(), Known: casefile.KnownTold, Note: l.Note,
	}
	if l.Use != UseNotSaid {
		e.Answers = append(e.Answers, string(l.Use))
	}
	if l.Litres > 0 {
		v := l.Litres / 1000
		e.Value = &v
	}
	return e
}

func lookOf(e casefile.Event) (Look, bool) {
	l := Look{Note: e.Note}
	if e.Seen.IsZero() {
		return l, false
	}
	l.Day = DayOf(e.Seen)
	for _, a := range e.Answers {
		switch {
		case Saw(a) == Drip || Saw(a) == Dry || Saw(a) == NotLooked:
			l.Saw = Saw(a)
		case Use(a) == Used || Use(a) == Unused:
			l.Use = Use(a)
		}
	}
	if e.Value != nil && *e.Value > 0 {
		l.Litres = *e.Value * 1000
	}
	return l, l.Saw != ""
}

// EntriesOn gives the entries that stand for a day, for taking them back.
func EntriesOn(s casefile.State, day Day) []casefile.Event {
	var out []casefile.Event
	for _, e := range s.Sightings {
		if l, ok := lookOf(e); ok && l.Day == day {
			out = append(out, e)
		}
	}
	return out
}

// WeatherEvent is some days of weather as one entry of a case: a line for each day in
// the note, and where they come from in "typed".
func WeatherEvent(list []Weather, from string) casefile.Event {
	var b strings.Builder
	for i, w := range list {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(w.Day.String() + " " + w.String())
	}
	return casefile.Event{Kind: casefile.KindWeather, Typed: from, Note: b.String()}
}

// weatherOf reads the lines of an entry. A line that was spoilt by hand is left out and
// named; the others count.
func weatherOf(e casefile.Event) (out []Weather, bad []string) {
	lines := bufio.NewScanner(strings.NewReader(e.Note))
	lines.Buffer(nil, len(e.Note)+1)
	for n := 1; lines.Scan(); n++ {
		line := strings.TrimSpace(lines.Text())
		if line == "" {
			continue
		}
		date, rest, _ := strings.Cut(line, " ")
		day, err := ParseDay(date, DayOf(e.At)+1) // the writer's clock may stand a zone ahead
		var w Weather
		if err == nil {
			w, err = ParseWeather(day, rest)
		}
		if err != nil {
			bad = append(bad, fmt.Sprintf("weather entry %s, line %d: %v", e.ID, n, err))
			continue
		}
		out = append(out, w)
	}
	return out, bad
}
