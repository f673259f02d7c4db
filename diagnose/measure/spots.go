package measure

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Spot is a place on the plan of a roof, seen from the garden as one faces the house:
// one of the nine fields of the plan, or metres from the left and from the house wall.
type Spot struct {
	// Key is 1 to 9, or 0 when metres were given: 1 2 3 along the house wall from the
	// left, 4 5 6 through the middle, 7 8 9 along the garden side.
	Key int
	X   float64 // metres from the left
	Y   float64 // metres from the house wall
}

// MaxSpots is the most places that one answer may name.
const MaxSpots = 9

// leastSpot is the least distance that is told, in metres, other than none at all.
const leastSpot = 0.05

var (
	spotsWanted = quantity{
		what:     "places on the plan",
		expected: "a key of the plan (1 2 3 by the house, 4 5 6, 7 8 9 by the garden), or metres from the left by metres from the house wall; a ; between places",
		example:  "5, 5;9, 1.2x0.8 or 1.2x0.8;3x2",
	}
	keysOnly = regexp.MustCompile(`^[1-9]([\s,;]+[1-9])*;?$`)
)

// Spots reads one or more places on a plan: "5", "5;9", "1.2 x 0.8" or "120 cm x 80 cm; 3 x 2".
// A place that is named twice counts once. The order is kept. The error is an *Error.
func Spots(s string) ([]Spot, error) {
	out, err := readSpots(s)
	if err != nil {
		return nil, spotsWanted.refuse(s, err)
	}
	return out, nil
}

func readSpots(s string) ([]Spot, error) {
	switch {
	case !utf8.ValidString(s):
		return nil, errors.New("it holds bytes that are no text")
	case utf8.RuneCountInString(s) > MaxSpots*maxTyped:
		return nil, errors.New("it is too long")
	}
	s = strings.TrimSpace(s)
	parts := strings.Split(strings.TrimSuffix(s, ";"), ";")
	if keysOnly.MatchString(s) {
		parts = strings.FieldsFunc(s, func(r rune) bool { return !isDigit(r) })
	}
	var out []Spot
	for _, p := range parts {
		spot, err := readSpot(strings.TrimSpace(p))
		if err != nil {
			if len(parts) > 1 {
				err = fmt.Errorf("%q: %w", strings.TrimSpace(p), err)
			}
			return nil, err
		}
		if !slices.Contains(out, spot) {
			out = append(out, spot)
		}
	}
	if len(out) > MaxSpots {
		return nil, fmt.Errorf("it names more than %d places", MaxSpots)
	}
	return out, nil
}

func readSpot(s string) (Spot, error) {
	if len(s) == 1 && s[0] >= '1' && s[0] <= '9' {
		return Spot{Key: int(s[0] - '0')}, nil
	}
	x, y, err := Sides(s)
	if err != nil {
		return Spot{}, err
	}
	// "1.2 x 80 cm" has one unit for two figures. Nobody tells a place to within a
	// hand's breadth of the edge, so the slip is seen.
	if x > 0 && x < leastSpot || y > 0 && y < leastSpot {
		return Spot{}, fmt.Errorf("a place under %.0f mm from the edge is no place; say the unit of each figure, or 0", leastSpot*1000)
	}
	// To the millimetre, so that the written form reads back as the same place.
	return Spot{X: math.Round(x*1000) / 1000, Y: math.Round(y*1000) / 1000}, nil
}

// Sides reads two lengths in metres with "x" or "by" between them. A unit after the
// second counts for both.
func Sides(s string) (a, b float64, err error) {
	tokens, isVague, err := prepare(s)
	if err != nil {
		return 0, 0, err
	}
	left, right, found := cut(tokens, isTimes)
	if !found {
		return 0, 0, errors.New("there is no \"x\" between two lengths")
	}
	first, second, err := twoSides(left, right)
	if err != nil {
		return 0, 0, err
	}
	if isVague && (first.Value == 0 || second.Value == 0) {
		return 0, 0, errors.New("about nothing is no distance")
	}
	return first.Value, second.Value, nil
}

// FormatSpots writes places in the form that Spots reads, the shortest there is.
func FormatSpots(spots []Spot) string {
	var out []string
	for _, s := range spots {
		if s.Key > 0 {
			out = append(out, strconv.Itoa(s.Key))
			continue
		}
		out = append(out, metres(s.X)+"x"+metres(s.Y))
	}
	return strings.Join(out, ";")
}

// Words says where a place is, for a letter.
func (s Spot) Words() string {
	if s.Key == 0 {
		return fmt.Sprintf("%s m from the left, %s m from the house wall", metres(s.X), metres(s.Y))
	}
	across := [...]string{"left", "middle", "right"}[(s.Key-1)%3]
	switch (s.Key - 1) / 3 {
	case 0:
		return "by the house wall, " + across
	case 1:
		if across == "middle" {
			return "in the middle"
		}
		return "half-way out, " + across
	default:
		return "at the garden side, " + across
	}
}

func metres(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
