package world

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// caller is who rings: one who looks and remembers well, or not.
type caller struct {
	d     dice
	care  float64 // 0 to 1
	err   float64 // chance of a wrong answer on a thing that can be got wrong
	photo bool    // sends photographs
	opts  map[string][]string
	says  map[string]Answer
}

func newCaller(d dice, interview []Question) *caller {
	c := &caller{d: d, care: d.Float64(), opts: map[string][]string{}, says: map[string]Answer{}}
	c.err = 0.20 - 0.15*c.care
	c.photo = d.chance(0.3 + 0.5*c.care)
	for _, q := range interview {
		c.opts[q.ID] = q.Answers
	}
	return c
}

// sight is how well a thing can be seen or remembered: how often they do not know, and
// what share of their usual rate of error they make in it.
type sight struct {
	unknown, wrong float64
	photo          bool // a photograph can show it
}

var (
	indoors  = sight{0.04, 0.5, false}
	memory   = sight{0.17, 1, false}
	outdoors = sight{0.38, 1, true}
	hidden   = sight{0.75, 0.8, false}
)

func (c *caller) say(q, text, known string) { c.says[q] = Answer{Text: text, Known: known} }

func (c *caller) dunno(q string) { c.say(q, "unknown", "told") }

// choice answers a choice question. near names what an answer is mistaken for.
func (c *caller) choice(q, truth string, s sight, near map[string]string) {
	known, unknown, wrong := "told", s.unknown, s.wrong*c.err
	if s.photo && c.photo && c.d.chance(0.6) {
		known, unknown, wrong = "photo", 0.12, 0.05
	}
	if truth == "" || c.d.chance(unknown) {
		c.dunno(q)
		return
	}
	if c.d.chance(wrong) {
		truth = c.slip(q, truth, near)
	}
	c.say(q, truth, known)
}

func (c *caller) slip(q, truth string, near map[string]string) string {
	if n, ok := near[truth]; ok && slices.Contains(c.opts[q], n) && c.d.chance(0.65) {
		return n
	}
	var rest []string
	for _, o := range c.opts[q] {
		if o != truth {
			rest = append(rest, o)
		}
	}
	if len(rest) == 0 {
		return truth
	}
	return pickOf(c.d, rest)
}

// several answers a question of many ticks.
func (c *caller) several(q string, truth map[string]bool, s sight) {
	known, unknown, wrong := "told", s.unknown, s.wrong*c.err
	if s.photo && c.photo && c.d.chance(0.6) {
		known, unknown, wrong = "photo", 0.12, 0.05
	}
	if c.d.chance(unknown) {
		c.dunno(q)
		return
	}
	var ticks []string
	for _, o := range c.opts[q] {
		is := truth[o]
		if is && c.d.chance(wrong) || !is && c.d.chance(wrong/5) {
			is = !is
		}
		if is {
			ticks = append(ticks, o)
		}
	}
	if len(ticks) == 0 {
		ticks = []string{"none"}
	}
	c.say(q, strings.Join(ticks, ","), known)
}

// tape answers a length in mm: read to 10 or 20 mm, now and then a blunder (the wrong
// foot of the tape, the wrong edge). Not everybody measures.
func (c *caller) tape(q string, mm, asked, low, high float64) {
	if !c.d.chance(asked * (0.4 + 1.2*c.care)) {
		c.dunno(q)
		return
	}
	mm += c.d.normal(0, 10)
	if c.d.chance(0.03) {
		mm += pickOf(c.d, []float64{-100, 100, -50, 50, 25.4})
	}
	mm = math.Round(clamp(mm, low, high)/5) * 5
	known := "told"
	if c.photo && c.d.chance(0.5) {
		known = "measured" // the photograph of the tape came with it
	}
	c.say(q, fmt.Sprintf("%.0f mm", mm), known)
}
