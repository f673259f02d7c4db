package sightings

import (
	"fmt"
	"strings"
)

// Entry is one day as it is typed: what was seen, or the weather, or that either is taken
// back.
type Entry struct {
	Day     Day
	Look    *Look    // what was seen
	Weather *Weather // the weather; one of which nothing is known takes back what was
	Forget  bool     // what was seen on the day is taken back
}

// EntryLike says how a day is typed.
const EntryLike = `type a day like "3 Nov drip", "3 Nov dry", "3 Nov drip, a cup", or its weather like "3 Nov: rain 12 min 2 max 8"; "3 Nov withdraw" takes a day back`

// ParseEntry reads "2026-11-03=drip", "3 Nov drip, a cup", "3/11/2026 dry",
// "2026-11-03:rain=12,min=2,max=8" or "3 Nov rain 12", and "withdraw" in place of the
// words. today is the last day that may be meant.
func ParseEntry(text string, today Day) (Entry, error) {
	var e Entry
	day, rest, weather, err := splitEntry(text, today)
	if err != nil {
		return e, err
	}
	e.Day = day
	word, _, _ := strings.Cut(strings.ToLower(rest), " ")
	word, _, _ = strings.Cut(word, "=")
	if _, ok := quantityOf(word); ok {
		weather = true
	}
	switch {
	case rest == "":
		return e, fmt.Errorf("%s: nothing was said of it; %s", day, EntryLike)
	case weather:
		w, err := ParseWeather(day, rest)
		e.Weather = &w
		return e, err
	case strings.EqualFold(rest, takeBack):
		e.Forget = true
		return e, nil
	}
	l, err := ParseLook(day, rest)
	e.Look = &l
	return e, err
}

// splitEntry parts the date from what is said of it. A colon after the date is for weather.
func splitEntry(text string, today Day) (day Day, rest string, weather bool, err error) {
	text = strings.Join(strings.Fields(text), " ")
	if i := strings.IndexAny(text, "=:"); i >= 0 {
		if day, err = ParseDay(text[:i], today); err == nil {
			return day, strings.TrimSpace(text[i+1:]), text[i] == ':', nil
		}
		if _, _, _, why := dateParts(strings.ToLower(strings.TrimSpace(text[:i]))); why == "" {
			return 0, "", false, err // a date, and not one that can be
		}
	}
	words := strings.Split(text, " ")
	err = nil
	for n := min(3, len(words)); n > 0; n-- {
		head := strings.Join(words[:n], " ")
		d, bad := ParseDay(head, today)
		if bad == nil {
			return d, strings.Join(words[n:], " "), false, nil
		}
		if _, _, _, why := dateParts(strings.ToLower(head)); why == "" && err == nil {
			err = bad
		}
	}
	if err == nil {
		err = fmt.Errorf("%q does not begin with a date; %s", text, EntryLike)
	}
	return 0, "", false, err
}
