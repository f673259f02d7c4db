package measure

import (
	"errors"
	"fmt"
	"math"
)

var count = quantity{
	what:     "a number of things",
	expected: "a whole number",
	example:  "3, three, none, about 10 or 2-3",
	units:    map[string]unit{},
	bare:     unit{factor: 1},
	max:      10000,
	limit:    "10,000",
	share:    aboutLoose,
	least:    1,
	noHalves: true,
}

// Count reads how many there are. Of a range the middle is given, which need
// not be whole: 2-3 is 2.5 with a tolerance of 0.5.
func Count(s string) (Reading, error) {
	r, err := count.read(s)
	if err != nil {
		return r, err
	}
	if low, high := r.Value-r.Tolerance, r.Value+r.Tolerance; !r.Vague && (low != math.Trunc(low) || high != math.Trunc(high)) {
		return Reading{}, count.refuse(s, errors.New("it is not a whole number"))
	}
	if r.Vague && r.Value != math.Trunc(2*r.Value)/2 {
		return Reading{}, count.refuse(s, errors.New("it is not a whole number"))
	}
	return r, nil
}

var area = quantity{
	what:     "an area",
	expected: "square metres, or the two sides",
	example:  "18 m2, 3 x 6 m or 3.2 by 5",
	unit:     "m2",
	units:    units(map[float64]string{1: "sqm", 0.3048 * 0.3048: "sqft"}),
	bare:     unit{factor: 1},
	max:      90000,
	limit:    "90,000 m2",
	share:    aboutLoose,
}

// maxSide is the longest side that Area accepts, in metres.
const maxSide = 300

// Area reads an area in square metres: directly, or as two sides in metres
// unless they say otherwise. A unit after the second side counts for both.
func Area(s string) (Reading, error) {
	r, err := readArea(s)
	if err != nil {
		return Reading{}, area.refuse(s, err)
	}
	return r, nil
}

func readArea(s string) (Reading, error) {
	tokens, isVague, err := prepare(s)
	if err != nil {
		return Reading{}, err
	}
	left, right, found := cut(tokens, isTimes)
	if !found {
		r, err := area.readTokens(tokens, isVague)
		if err != nil {
			return r, err
		}
		return r, area.check(r)
	}
	a, b, err := twoSides(left, right)
	if err != nil {
		return Reading{}, err
	}
	r := Reading{
		Value:     a.Value * b.Value,
		Tolerance: a.Value*b.Tolerance + b.Value*a.Tolerance,
		Vague:     isVague || a.Vague || b.Vague,
		Unit:      area.unit,
	}
	if isVague {
		r.Tolerance = max(2*r.Tolerance, area.share*r.Value)
	}
	return r, area.check(r)
}

func isTimes(_ int, t token) bool { return t.text == "x" || t.text == "by" }

// twoSides reads the lengths on the two sides of an "x", in metres.
func twoSides(left, right []token) (a, b Reading, err error) {
	if len(left) == 0 || len(right) == 0 {
		return a, b, errors.New("a side is missing")
	}
	side := lengthUpTo(maxSide, Metres)
	if left, err = withBodies(left); err != nil {
		return a, b, err
	}
	if right, err = withBodies(right); err != nil {
		return a, b, err
	}
	b, err = side.readTokens(right, false)
	if err == nil {
		err = side.check(b)
	}
	if err != nil {
		return a, b, err
	}
	if isBare(left) && !isBare(right) {
		// "3 x 6 m"; 3 x 6'6" has its unit for inches, which would be wrong
		// for the first side, so that is refused.
		if units := countUnits(right); units > 1 {
			return a, b, errors.New("the first side has no unit")
		}
		if side.bare, err = side.lastUnit(right); err != nil {
			return a, b, err
		}
	}
	a, err = side.readTokens(left, false)
	if err == nil {
		err = side.check(a)
	}
	return a, b, err
}

func countUnits(tokens []token) int {
	n := 0
	for _, t := range tokens {
		if _, found := lengthUnits[t.text]; found {
			n++
		}
	}
	return n
}

var age = quantity{
	what:     "an age in years",
	expected: "a number of years, a year or a decade",
	example:  "3, about 10, 18 months, 2019 or 1970s",
	unit:     "years",
	units: units(map[float64]string{
		1:          "y yr yrs year years",
		1.0 / 12:   "month months",
		7 / 365.25: "week weeks",
	}),
	bare:  unit{factor: 1},
	max:   500,
	limit: "500 years",
	share: aboutLoose,
	least: 1,
}

// firstYear is the earliest calendar year that is taken for one.
const firstYear = 1500

// Years reads an age in years. A calendar year or a decade is counted back
// from thisYear, which the caller gives. The day within the year is not
// known, so a calendar year carries a tolerance of one year.
func Years(s string, thisYear int) (Reading, error) {
	r, err := readYears(s, thisYear)
	if err != nil {
		return Reading{}, age.refuse(s, err)
	}
	return r, nil
}

func readYears(s string, thisYear int) (Reading, error) {
	tokens, isVague, err := prepare(s)
	if err != nil {
		return Reading{}, err
	}
	for len(tokens) > 1 && (tokens[0].text == "in" || tokens[0].text == "since" || tokens[0].text == "the") {
		tokens = tokens[1:]
	}
	if n := len(tokens); n > 1 && tokens[n-1].text == "old" || n > 1 && tokens[n-1].text == "ago" {
		tokens = tokens[:n-1]
	}
	if r, found, err := decade(tokens, thisYear); found || err != nil {
		if isVague {
			r.Tolerance += 2
		}
		return r, err
	}
	r, err := age.readTokens(tokens, isVague)
	if err != nil {
		return r, err
	}
	if isYear(r.Value) && isBare(tokens) {
		half := r.Tolerance
		if isVague {
			// A share of the year itself would be centuries.
			half = 3
		}
		return calendar(r.Value, half+1, r.Vague, thisYear)
	}
	return r, age.check(r)
}

func isYear(x float64) bool { return x >= firstYear && x < 10000 }

// calendar turns a year into an age.
func calendar(year, tolerance float64, isVague bool, thisYear int) (Reading, error) {
	back := float64(thisYear) - year
	if back < 0 {
		return Reading{}, fmt.Errorf("%.0f is still to come", math.Ceil(year))
	}
	r := Reading{Value: back, Tolerance: tolerance, Vague: isVague, Unit: age.unit}
	return r, age.check(r)
}

// decade reads 1970s, 70s, '70s and the early, middle or late part of one.
func decade(tokens []token, thisYear int) (Reading, bool, error) {
	part := ""
	if tokens[0].text == "early" || tokens[0].text == "mid" || tokens[0].text == "late" {
		part, tokens = tokens[0].text, tokens[1:]
		if len(tokens) > 0 && (tokens[0].text == "-" || tokens[0].text == "the") {
			tokens = tokens[1:]
		}
	}
	if len(tokens) > 1 && tokens[0].text == "'" {
		tokens = tokens[1:]
	}
	if n := len(tokens); n == 3 && tokens[1].text == "'" {
		tokens = []token{tokens[0], tokens[2]} // 1970's
	}
	if len(tokens) != 2 || !tokens[0].number || tokens[1].text != "s" || !plainDigits.MatchString(tokens[0].text) {
		if part != "" {
			return Reading{}, false, fmt.Errorf("after %q a decade should follow", part)
		}
		return Reading{}, false, nil
	}
	start, err := decimal(tokens[0].text)
	if err != nil {
		return Reading{}, false, err
	}
	if start < 100 && len(tokens[0].text) == 2 {
		// The latest such decade that has begun.
		start += math.Floor((float64(thisYear)-start)/100) * 100
	}
	if math.Mod(start, 10) != 0 || !isYear(start) {
		return Reading{}, true, errors.New("that is no decade")
	}
	if start > float64(thisYear) {
		return Reading{}, true, fmt.Errorf("the %.0fs are still to come", start)
	}
	middle, half := 5.0, 5.0
	switch part {
	case "early":
		middle, half = 2, 2
	case "late":
		middle, half = 8, 2
	case "mid":
		half = 2
	}
	// A decade that is not over cannot reach beyond this year.
	from, to := start+middle-half, min(start+middle+half, float64(thisYear))
	if from > to {
		return Reading{}, true, fmt.Errorf("the %s %.0fs are still to come", part, start)
	}
	r, err := calendar((from+to)/2, max(1, (to-from)/2), true, thisYear)
	return r, true, err
}
