package rules

import (
	"fmt"
	"strconv"
	"strings"
)

// Truth is a three-valued answer: a condition about something nobody has
// answered is neither true nor false.
type Truth int

// The three truth values.
const (
	NotKnown Truth = iota
	No
	Yes
)

// Facts is what is known, as conditions see it.
type Facts interface {
	// Choices returns the chosen answers of a question; ok is false when it has
	// not been answered or the answer was "don't know".
	Choices(question string) (answers []string, ok bool)
	// Number returns a measured value in SI units.
	Number(question string) (value float64, ok bool)
}

// Condition is one line such as
//
//	roof-form is lean-to or false-front
//	covering is not epdm
//	kerb-outside under 150 mm
//	downlight-count over 0
//	repairs-before is known
type Condition struct {
	Question string
	Not      bool
	Answers  []string // for "is"
	Known    bool     // for "is known"
	Under    bool
	Over     bool
	Value    float64 // SI
	Text     string
}

// ParseCondition reads one condition. The error says what was expected.
func ParseCondition(s string) (Condition, error) {
	f := strings.Fields(s)
	c := Condition{Text: s}
	bad := func(why string) (Condition, error) {
		return Condition{}, fmt.Errorf("condition %q: %s; write for example %q, %q or %q",
			s, why, "roof-form is lean-to or terrace", "covering is not epdm", "kerb-outside under 150 mm")
	}
	if len(f) < 3 {
		return bad("too short")
	}
	c.Question = f[0]
	switch f[1] {
	case "is":
		rest := f[2:]
		if rest[0] == "not" {
			c.Not, rest = true, rest[1:]
		}
		if len(rest) == 1 && rest[0] == "known" {
			c.Known = true
			return c, nil
		}
		for i, w := range rest {
			if i%2 == 1 {
				if w != "or" {
					return bad("answers are parted by \"or\"")
				}
				continue
			}
			c.Answers = append(c.Answers, w)
		}
		if len(rest)%2 == 0 {
			return bad("an answer is missing")
		}
	case "under", "over":
		c.Under, c.Over = f[1] == "under", f[1] == "over"
		v, err := strconv.ParseFloat(f[2], 64)
		if err != nil {
			return bad("a number is expected after " + f[1])
		}
		c.Value = v
		if len(f) == 4 && f[3] == "mm" {
			c.Value = v / 1000
		} else if len(f) > 3 && f[3] != "m2" && f[3] != "m" {
			return bad("the unit is mm, m or m2")
		}
	default:
		return bad("the second word is is, under or over")
	}
	return c, nil
}

// Holds tells whether the condition is true of the facts.
func (c Condition) Holds(f Facts) Truth {
	if c.Under || c.Over {
		v, ok := f.Number(c.Question)
		if !ok {
			return NotKnown
		}
		return truth(c.Under && v < c.Value || c.Over && v > c.Value)
	}
	got, ok := f.Choices(c.Question)
	if !ok {
		_, ok = f.Number(c.Question)
	}
	if c.Known {
		return truth(ok != c.Not)
	}
	if !ok {
		return NotKnown
	}
	hit := false
	for _, g := range got {
		for _, want := range c.Answers {
			hit = hit || g == want
		}
	}
	return truth(hit != c.Not)
}

func truth(b bool) Truth {
	if b {
		return Yes
	}
	return No
}

// All joins conditions: No as soon as one is false, NotKnown while one is open.
func All(lines []string, f Facts) Truth {
	out := Yes
	for _, s := range lines {
		c, err := ParseCondition(s)
		if err != nil {
			// Lint refuses a pack with a bad condition, so this is a slip in code.
			panic(err)
		}
		switch c.Holds(f) {
		case No:
			return No
		case NotKnown:
			out = NotKnown
		}
	}
	return out
}
