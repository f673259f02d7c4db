package measure

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
)

func TestSpotsAsPeopleTypeThem(t *testing.T) {
	for typed, want := range map[string][]Spot{
		"5":                        {{Key: 5}},
		" 5;9 ":                    {{Key: 5}, {Key: 9}},
		"5, 9":                     {{Key: 5}, {Key: 9}},
		"5 9 5":                    {{Key: 5}, {Key: 9}},
		"5;":                       {{Key: 5}},
		"1.2x0.8":                  {{X: 1.2, Y: 0.8}},
		"1.2 x 0.8; 3 by 2":        {{X: 1.2, Y: 0.8}, {X: 3, Y: 2}},
		"120 x 80 cm":              {{X: 1.2, Y: 0.8}},
		"1,2 m x 80 cm;7;":         {{X: 1.2, Y: 0.8}, {Key: 7}},
		"0 x 2":                    {{X: 0, Y: 2}},
		"about 3 x 2":              {{X: 3, Y: 2}},
		"2 m x 1 m; 200 x 100cm;1": {{X: 2, Y: 1}, {Key: 1}},
	} {
		got, err := Spots(typed)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%q: %v, %v; want %v", typed, got, err, want)
		}
	}
}

func TestSpotsThatCannotBeReadSayWhy(t *testing.T) {
	for typed, why := range map[string]string{
		"":               "nothing to read",
		"0":              `no "x"`,
		"10":             `no "x"`,
		"middle":         `no "x"`,
		"1.2 x":          "side is missing",
		"-1 x 2":         "below zero",
		"1x1;;2x2":       "nothing to read",
		"1.2 x 80 cm":    "say the unit of each figure",
		"900 x 2 m":      "more than 300 m",
		"5; by the wall": `"by the wall"`,
		"1x1;1x2;1x3;2x1;2x2;2x3;3x1;3x2;3x3;4x1": "more than 9",
	} {
		_, err := Spots(typed)
		var refusal *Error
		if !errors.As(err, &refusal) || !strings.Contains(err.Error(), why) || refusal.Example == "" {
			t.Errorf("%q: %v; want a refusal that says %q, with an example", typed, err, why)
		}
	}
}

func TestSpotWords(t *testing.T) {
	for _, x := range []struct {
		s    Spot
		want string
	}{
		{Spot{Key: 1}, "by the house wall, left"},
		{Spot{Key: 5}, "in the middle"},
		{Spot{Key: 6}, "half-way out, right"},
		{Spot{Key: 8}, "at the garden side, middle"},
		{Spot{X: 1.25, Y: 0.8}, "1.25 m from the left, 0.8 m from the house wall"},
	} {
		if got := x.s.Words(); got != x.want {
			t.Errorf("%+v: %q, want %q", x.s, got, x.want)
		}
	}
}

// What is read is within bounds, and its written form reads back as the same places.
func FuzzSpots(f *testing.F) {
	for _, s := range []string{"5", "5;9", "1.2x0.8;3x2", "120 cm x 3ft; 4", "about 1 x 2", "1e9 x 2", ";", "5 9", "1/2 x 3", "\xff", "0x0"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		got, err := Spots(typed)
		if err != nil {
			var refusal *Error
			if !errors.As(err, &refusal) || refusal.Why == "" || got != nil {
				t.Fatalf("%q: %v, %v", typed, got, err)
			}
			return
		}
		if len(got) == 0 || len(got) > MaxSpots {
			t.Fatalf("%q: %d places", typed, len(got))
		}
		for _, s := range got {
			if s.Key < 0 || s.Key > 9 || !(s.X >= 0 && s.X <= maxSide && s.Y >= 0 && s.Y <= maxSide) || math.IsNaN(s.X+s.Y) {
				t.Fatalf("%q: %+v", typed, s)
			}
		}
		again, err := Spots(FormatSpots(got))
		if err != nil || !reflect.DeepEqual(again, got) {
			t.Fatalf("%q: %v written as %q reads as %v, %v", typed, got, FormatSpots(got), again, err)
		}
	})
}
