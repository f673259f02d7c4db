package buildup

import (
	"fmt"
	"math"

	"underlap/diagnose/facts"
	"underlap/rules"
)

// The believable range of a whole roof, ceiling face to roof surface, metres.
const (
	thinnest = 0.05
	thickest = 0.90
)

// Thickness is what the tape says about the whole roof.
type Thickness struct {
	M       float64 `json:"m"`  // metres, mean of the sides measured
	SD      float64 `json:"sd"` // metres, one standard deviation, tape only
	Inside  float64 `json:"inside"`
	Outside float64 `json:"outside"`

	Second  float64 `json:"second,omitempty"` // metres, thickness at the other side
	Fall    float64 `json:"fall,omitempty"`   // rise over run between the two sides, 0 when level or not known
	HasFall bool    `json:"has_fall"`
	FallSD  float64 `json:"fall_sd,omitempty"`
}

// Problem says why a pair of readings cannot be right, and what to do.
type Problem struct {
	Questions []string `json:"questions"`
	Text      string   `json:"text"`
}

// Measure takes the readings at the rooflight from the facts. It returns no
// thickness, and the problems, when a pair is swapped or impossible.
func Measure(f *facts.Set, t rules.BuildUpTables) (*Thickness, []Problem) {
	inside, okI := f.Get("kerb-inside")
	outside, okO := f.Get("kerb-outside")
	if !okI || !okO || !inside.HasValue || !outside.HasValue {
		return nil, nil
	}
	first, p := pair(inside, outside, t)
	if p != nil {
		return nil, []Problem{*p}
	}
	inside2, okI2 := f.Get("second-inside")
	outside2, okO2 := f.Get("second-outside")
	if !okI2 || !okO2 || !inside2.HasValue || !outside2.HasValue {
		return first, nil
	}
	second, p := pair(inside2, outside2, t)
	if p != nil {
		return first, []Problem{*p}
	}
	out := *first
	out.Second = second.M
	if apart, ok := f.Number("sides-apart"); ok && apart > 0 {
		out.HasFall = true
		out.Fall = math.Abs(first.M-second.M) / apart
		out.FallSD = math.Hypot(first.SD, second.SD) / apart
	}
	out.M = (first.M + second.M) / 2
	out.SD = math.Hypot(first.SD, second.SD) / 2
	return &out, nil
}

func pair(inside, outside facts.Fact, t rules.BuildUpTables) (*Thickness, *Problem) {
	d := inside.Value - outside.Value
	ids := []string{inside.Question.ID, outside.Question.ID}
	read := fmt.Sprintf("inside %.0f mm, outside %.0f mm", inside.Value*1000, outside.Value*1000)
	switch {
	case d <= 0:
		return nil, &Problem{ids, "The inside reading must be the longer one (" + read + "): they are swapped, or one was taken along a splayed side. Measure plumb, or swap them."}
	case d < thinnest:
		return nil, &Problem{ids, fmt.Sprintf("%s leaves %.0f mm for the whole roof, less than a deck and a ceiling: was the outside reading taken to the glass, or the inside one from a batten?", read, d*1000)}
	case d > thickest:
		return nil, &Problem{ids, fmt.Sprintf("%s leaves %.0f mm for the whole roof, more than any in this trade: check the unit, mm or cm.", read, d*1000)}
	}
	sd := math.Hypot(tapeSD(inside, t), tapeSD(outside, t))
	return &Thickness{M: d, SD: sd, Inside: inside.Value, Outside: outside.Value}, nil
}

// tapeSD takes a stated tolerance as two standard deviations.
func tapeSD(f facts.Fact, t rules.BuildUpTables) float64 {
	if f.Tolerance > 0 {
		return math.Max(f.Tolerance/2, 0.001)
	}
	return t.TapeSDMM / 1000
}
