package climate

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// value reads a field of a row; it is false for a missing value.
func (e *epwReader) value(fields []string, c column) (float64, bool, error) {
	if c.number > len(fields) {
		return 0, false, nil
	}
	text := strings.TrimSpace(fields[c.number-1])
	if text == "" {
		return 0, false, nil
	}
	v, err := e.number(text, c.number, c.name)
	if err != nil {
		return 0, false, err
	}
	switch {
	case v >= c.missing:
		return 0, false, nil
	case v < c.lo-c.slack || v > c.hi+c.slack:
		return 0, false, e.bad(c.number, c.name, "%v is outside %v to %v", v, c.lo, c.hi)
	case v < c.lo || v > c.hi:
		e.clipped[c.name]++
	}
	return math.Max(c.lo, math.Min(c.hi, v)) + 0, true, nil // + 0 makes -0 a 0
}

func (e *epwReader) number(text string, number int, name string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, e.bad(number, name, "%s is not a number", shown(text))
	}
	return v, nil
}

// bad is an error at a field of the line at hand.
func (e *epwReader) bad(number int, name, format string, args ...any) error {
	return fmt.Errorf("line %d, field %d (%s): %s", e.line, number, name, fmt.Sprintf(format, args...))
}

func isZero(text string) bool {
	v, err := strconv.ParseFloat(text, 64)
	return err == nil && v == 0
}

// shown is a value of the file as an error repeats it: short, and without anything that
// a terminal would obey.
func shown(s string) string {
	s = strings.TrimSpace(s)
	if r := []rune(s); len(r) > maxShown {
		s = string(r[:maxShown]) + "..."
	}
	return strconv.QuoteToGraphic(s)
}

// printable is a name of the file without anything that a terminal would obey.
func printable(s string) string {
	s = strings.Map(func(r rune) rune {
		if !unicode.IsGraphic(r) || r == unicode.ReplacementChar {
			return -1
		}
		return r
	}, s)
	r := []rune(strings.Join(strings.Fields(s), " "))
	return string(r[:min(len(r), 2*maxShown)])
}
