package climate

import (
	"fmt"
	"strings"
)

// finish marks what the rows as a whole show to be missing, and writes the notes.
func (e *epwReader) finish() {
	h := e.out
	if e.mixed {
		e.out.note("The rows come from different years: a year put together from typical months.")
	}
	if n := len(h.Hours); n < h.yearHours() {
		e.out.note("The file holds %d of the %d hours of a year.", n, h.yearHours())
	}
	for _, c := range []column{colRH, colGlobal, colDirect, colDiffuse} {
		if n := e.clipped[c.name]; n > 0 {
			e.out.note("The %s was a little outside what can be in %s; it was read as %v or %v.", c.name, hoursText(n), c.lo, c.hi)
		}
	}
	for _, x := range []struct {
		n    int
		text string
	}{
		{e.aboveDew, "The dew point was above the air temperature in %s; the air was taken as saturated."},
		{e.fromDew, "The relative humidity was missing in %s; it was worked out from the dew point."},
		{e.apart, "The relative humidity and the dew point disagree by more than 10 % in %s; the dew point was used."},
		{e.longRain, "The rain of more than one hour stands in one row in %s; it was left there."},
		{e.dark, "The long-wave radiation of the sky is 0 in %s, which cannot be; it was read as missing."},
	} {
		if x.n > 0 {
			e.out.note("%s", strings.Replace(x.text, "%s", hoursText(x.n), 1))
		}
	}
	if h.whole() {
		for _, q := range quantities {
			if q.field&(FieldWind|FieldGlobal|FieldDirect|FieldDiffuse|FieldCloud|FieldRain) != 0 && h.onlyZero(q.field, q.of) {
				for i := range h.Hours {
					h.Hours[i].Missing |= q.field
				}
				e.out.note("The %s is 0 all year; it was read as missing.", q.name)
			}
		}
	}
	for _, q := range quantities {
		if n := h.missing(q.field); n > 0 {
			e.out.note("There is no %s in %s.", q.name, hoursOf(n, len(h.Hours)))
		}
	}
	h.findSun()
}

// onlyZero reports whether a quantity is there and never anything but 0.
func (h *Hourly) onlyZero(f Fields, of func(*Hour) *float64) bool {
	there := false
	for i := range h.Hours {
		row := &h.Hours[i]
		if row.Has(f) {
			if *of(row) != 0 {
				return false
			}
			there = true
		}
	}
	return there
}

func hoursText(n int) string {
	if n == 1 {
		return "1 hour"
	}
	return fmt.Sprintf("%d hours", n)
}

func hoursOf(n, all int) string {
	if n == all {
		return "any hour"
	}
	return fmt.Sprintf("%d of %d hours", n, all)
}
