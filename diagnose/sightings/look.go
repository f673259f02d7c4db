package sightings

import (
	"fmt"
	"strings"

	"underlap/diagnose/measure"
)

// Saw is what was seen on a day.
type Saw string

// What may have been seen.
const (
	Drip      Saw = "drip"
	Dry       Saw = "dry"
	NotLooked Saw = "not-looked" // nobody looked: says nothing, and is never taken as dry
)

// Use is whether the wet rooms of the house were in use on a day.
type Use string

// What may be known of the use.
const (
	UseNotSaid Use = ""
	Used       Use = "used"
	Unused     Use = "not used"
)

// Look is what is on record of one day.
type Look struct {
	Day    Day     `json:"day"`
	Saw    Saw     `json:"saw"`
	Litres float64 `json:"litres,omitempty"` // how much, 0 when not said
	Use    Use     `json:"use,omitempty"`
	Note   string  `json:"note,omitempty"`
}

// words for what was seen. The short ones hold only when they stand alone: "no rain" is
// not "dry".
var sawWords = map[string]Saw{
	"drip": Drip, "drips": Drip, "dripped": Drip, "dripping": Drip, "wet": Drip, "leak": Drip, "leaked": Drip, "leaking": Drip, "damp": Drip, "water": Drip,
	"dry":        Dry,
	"not-looked": NotLooked, "not looked": NotLooked, "unknown": NotLooked, "away": NotLooked,
}

var sawAlone = map[string]Saw{"yes": Drip, "no": Dry, "none": Dry, "nothing": Dry, "?": NotLooked, "-": NotLooked}

var useWords = map[string]Use{
	"used": Used, "in use": Used, "shower": Used, "showers": Used, "bath": Used, "washing": Used, "cooking": Used,
	"not used": Unused, "no use": Unused, "unused": Unused, "empty": Unused, "nobody home": Unused, "house empty": Unused,
}

const lookLike = `say "drip", "dry" or "not looked", and after a comma how much, "used" or "not used", or a note; for example 2026-11-03="drip, a cup"`

// ParseLook reads what was seen on a day: "drip", "dry", "drip, a cup", "dry, not used",
// "drip, 0.2 L, by the window". What is neither an amount nor a word for use is a note.
func ParseLook(day Day, text string) (Look, error) {
	l := Look{Day: day}
	parts := strings.Split(strings.Join(strings.Fields(text), " "), ",")
	first := strings.ToLower(strings.TrimSpace(parts[0]))
	saw, ok := sawAlone[first]
	if !ok {
		saw, ok = sawWords[first]
	}
	if !ok {
		// "drip a cup": the word, then the rest as if after a comma.
		word, rest, _ := strings.Cut(strings.TrimSpace(parts[0]), " ")
		if saw, ok = sawWords[strings.ToLower(word)]; !ok {
			return l, fmt.Errorf("%s: %q does not say what was seen; %s", day, text, lookLike)
		}
		parts[0] = rest
	} else {
		parts = parts[1:]
	}
	l.Saw = saw
	var notes []string
	for _, p := range parts {
		p = strings.TrimSpace(p)
		low := strings.ToLower(p)
		if p == "" {
			continue
		}
		if u, ok := useWords[low]; ok && l.Use == UseNotSaid {
			l.Use = u
			continue
		}
		if r, err := measure.Litres(p); err == nil && l.Litres == 0 && saw == Drip {
			if r.Value > 0 {
				l.Litres = r.Value
				continue
			}
		}
		notes = append(notes, p)
	}
	l.Note = strings.Join(notes, ", ")
	return l, nil
}

// String words a look as ParseLook reads it.
func (l Look) String() string {
	out := strings.ReplaceAll(string(l.Saw), "-", " ")
	if l.Litres > 0 {
		out += ", " + measure.L(l.Litres)
	}
	if l.Use != UseNotSaid {
		out += ", " + string(l.Use)
	}
	if l.Note != "" {
		out += ", " + l.Note
	}
	return out
}
