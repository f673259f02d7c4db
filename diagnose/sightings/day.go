package sightings

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Day is a date without a time of day or a zone: days since 1 January 1970.
type Day int

const secondsADay = 24 * 60 * 60

// DayOf is the date that a time shows in its own zone.
func DayOf(t time.Time) Day {
	y, m, d := t.Date()
	return Day(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / secondsADay)
}

// Time is the start of the day in UTC, as it is kept in a case.
func (d Day) Time() time.Time { return time.Unix(int64(d)*secondsADay, 0).UTC() }

// String writes 2026-11-03.
func (d Day) String() string { return d.Time().Format("2006-01-02") }

// MarshalText writes 2026-11-03 for JSON.
func (d Day) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// weekday counts from Monday, 0, to Sunday, 6.
func (d Day) weekday() int { return (int(d.Time().Weekday()) + 6) % 7 }

// earliest is the oldest date taken: who speaks of an older one has slipped on a key.
var earliest = DayOf(time.Date(1950, 1, 1, 0, 0, 0, 0, time.UTC))

const datesLike = `write it like 2026-11-03, "3 Nov 2026" or 3/11/2026 (the day first)`

// ParseDay reads a date: 2026-11-03, "3 Nov 2026", "3 November", 3/11/2026 with the day
// first, "today" or "yesterday". Without a year it is the last such day up to today. A
// date after today is refused, and so is one that can be read in two ways.
func ParseDay(text string, today Day) (Day, error) {
	s := strings.ToLower(strings.Join(strings.Fields(text), " "))
	bad := func(why string) (Day, error) { return 0, fmt.Errorf("%q cannot be taken as a date: %s", text, why) }
	switch s {
	case "":
		return 0, fmt.Errorf("there is no date; %s", datesLike)
	case "today":
		return today, nil
	case "yesterday":
		return today - 1, nil
	}
	y, m, d, why := dateParts(s)
	if why != "" {
		return bad(why)
	}
	out, ok := date(y, m, d)
	if y == 0 {
		// The last such day; 29 February may be a few years back, and then the year is asked for.
		this := today.Time().Year()
		if out, ok = date(this, m, d); !ok || out > today {
			out, ok = date(this-1, m, d)
		}
		if !ok {
			return bad("there was no such day of late; give the year as well")
		}
	}
	switch {
	case !ok:
		return bad("there is no such day; " + datesLike)
	case out > today:
		return bad(fmt.Sprintf("it lies in the future; today is %s", today))
	case out < earliest:
		return bad("it is too long ago; is the year right?")
	}
	return out, nil
}

// dateParts takes a date apart; the year is 0 when there is none. why says what is wrong.
func dateParts(s string) (y, m, d int, why string) {
	var parts []string
	switch {
	case strings.ContainsAny(s, " "):
		parts = strings.Fields(strings.ReplaceAll(s, ",", " "))
		return wordParts(parts)
	case strings.Contains(s, "/"):
		parts = strings.Split(s, "/")
	case strings.Contains(s, "."):
		parts = strings.Split(s, ".")
	default:
		parts = strings.Split(s, "-")
	}
	if len(parts) != 3 {
		return 0, 0, 0, datesLike
	}
	n := [3]int{}
	for i, p := range parts {
		v, ok := digits(p)
		if !ok {
			return 0, 0, 0, datesLike
		}
		n[i] = v
	}
	if len(parts[0]) == 4 {
		return n[0], n[1], n[2], ""
	}
	if len(parts[2]) != 4 {
		return 0, 0, 0, "write the year with four digits"
	}
	if n[1] > 12 && n[0] <= 12 {
		return 0, 0, 0, "the day comes first, then the month"
	}
	return n[2], n[1], n[0], ""
}

// wordParts reads "3 nov 2026", "3rd november", "nov 3 2026".
func wordParts(parts []string) (y, m, d int, why string) {
	if len(parts) < 2 || len(parts) > 3 {
		return 0, 0, 0, datesLike
	}
	dayText, monthText := parts[0], parts[1]
	if month(dayText) > 0 {
		dayText, monthText = monthText, dayText
	}
	for _, end := range []string{"st", "nd", "rd", "th"} {
		if t, ok := strings.CutSuffix(dayText, end); ok {
			dayText = t
			break
		}
	}
	d, ok := digits(dayText)
	m = month(monthText)
	if !ok || m == 0 {
		return 0, 0, 0, datesLike
	}
	if len(parts) == 3 {
		if y, ok = digits(parts[2]); !ok || len(parts[2]) != 4 {
			return 0, 0, 0, "write the year with four digits"
		}
	}
	return y, m, d, ""
}

// digits reads up to four plain digits: no sign, no space.
func digits(s string) (int, bool) {
	if len(s) < 1 || len(s) > 4 || strings.Trim(s, "0123456789") != "" {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	return n, err == nil
}

// month finds a month by its name or the first three letters of it, else 0.
func month(s string) int {
	if s = strings.TrimSuffix(s, "."); len(s) < 3 {
		return 0
	}
	for m := time.January; m <= time.December; m++ {
		if name := strings.ToLower(m.String()); s == name || s == name[:3] || s == "sept" && m == time.September {
			return int(m)
		}
	}
	return 0
}

// date is false when the calendar has no such day.
func date(y, m, d int) (Day, bool) {
	if m < 1 || m > 12 || d < 1 || d > 31 {
		return 0, false
	}
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	return DayOf(t), t.Day() == d && t.Month() == time.Month(m)
}
