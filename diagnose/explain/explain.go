// Package explain holds the answer to "why this number?". Whatever the program
// shows as a number can be traced through a Why to its formula, its inputs and
// its source.
package explain

import (
	"fmt"
	"unicode"
)

// Why explains one number.
type Why struct {
	ID      string  `json:"id"`
	Title   string  `json:"title"`
	Result  string  `json:"result"`
	Formula string  `json:"formula"`
	Inputs  []Input `json:"inputs,omitempty"`
	Band    string  `json:"band,omitempty"` // what the band comes from, largest first
	Source  string  `json:"source"`
	Note    string  `json:"note,omitempty"`
}

// Input is one thing that went into a number.
type Input struct {
	Name  string `json:"name"`
	Value string `json:"value"`
	From  string `json:"from"` // "told", "measured", "assumed", or a document
}

// Hedge words, tied to numbers: very likely over 85 %, likely 60 to 85,
// possible 25 to 60, less likely 10 to 25, unlikely under 10.
func Hedge(p float64) string {
	switch {
	case p > 0.85:
		return "very likely"
	case p >= 0.60:
		return "likely"
	case p >= 0.25:
		return "possible"
	case p >= 0.10:
		return "less likely"
	default:
		return "unlikely"
	}
}

// Percent words a probability. It never says 0 or 100: nothing is certain
// without an opening or a reproduced drip.
func Percent(p float64) string {
	switch {
	case p < 0.005:
		return "under 1 %"
	case p > 0.995:
		return "over 99 %"
	default:
		return fmt.Sprintf("%.0f %%", p*100)
	}
}

// LowerFirst makes the start of a sentence fit inside another, unless it is a name in
// capitals or an I.
func LowerFirst(s string) string {
	r := []rune(s)
	if len(r) > 1 && unicode.IsUpper(r[0]) && (unicode.IsLower(r[1]) || r[0] == 'A' && r[1] == ' ') {
		r[0] = unicode.ToLower(r[0])
	}
	return string(r)
}

// Finding is one thing that physics says of this roof, with its band.
type Finding struct {
	ID      string  `json:"id"`
	Title   string  `json:"title"`
	Text    string  `json:"text"`
	Value   float64 `json:"value"`
	Low     float64 `json:"low"`  // 5 %
	High    float64 `json:"high"` // 95 %
	Unit    string  `json:"unit"`
	Verdict string  `json:"verdict"`          // "good", "poor", "bad" or "note"
	Driver  string  `json:"driver,omitempty"` // the unknown that makes most of the band
	Why     string  `json:"why"`              // id of the Why
}
