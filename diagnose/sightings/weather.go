package sightings

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Weather is what the weather of one day was. What is not known is not a number.
type Weather struct {
	Day            Day
	Rain           float64 // mm in the day
	Mean, Min, Max float64 // air temperature, degrees Celsius
	Wind           float64 // mean of the day, m/s
	From           float64 // where the wind came from, degrees from north by east
	Snow           float64 // fresh snow or snow lying, cm; on record only, not weighed
}

// quantity is one kind of figure, with what can be of it on one day on earth.
type quantity struct {
	key       string // as it is typed and kept
	name      string
	unit      string
	low, high float64
	of        func(*Weather) *float64
}

// quantities in the order in which they are written. The limits are a little beyond the
// records of the World Meteorological Organization for a day's rain (1825 mm), heat
// (56.7) and cold (-89.2) (from memory); rain is held tighter, for a slip of unit is
// likelier than a cyclone on Reunion.
var quantities = [...]quantity{
	{"rain", "rain", "mm", 0, 600, func(w *Weather) *float64 { return &w.Rain }},
	{"mean", "mean temperature", "°C", -90, 60, func(w *Weather) *float64 { return &w.Mean }},
	{"min", "least temperature", "°C", -90, 60, func(w *Weather) *float64 { return &w.Min }},
	{"max", "highest temperature", "°C", -90, 60, func(w *Weather) *float64 { return &w.Max }},
	{"wind", "wind", "m/s", 0, 80, func(w *Weather) *float64 { return &w.Wind }},
	{"from", "wind direction", "degrees", 0, 360, func(w *Weather) *float64 { return &w.From }},
	{"snow", "snow", "cm", 0, 1200, func(w *Weather) *float64 { return &w.Snow }},
}

// NewWeather is a day of which nothing is known yet.
func NewWeather(day Day) Weather {
	w := Weather{Day: day}
	for i := range quantities {
		*quantities[i].of(&w) = math.NaN()
	}
	return w
}

func known(x float64) bool { return !math.IsNaN(x) }

// Empty tells that nothing is known: such an entry takes back what was known.
func (w Weather) Empty() bool {
	for i := range quantities {
		if known(*quantities[i].of(&w)) {
			return false
		}
	}
	return true
}

// over takes what a later entry says, and keeps the rest.
func (w Weather) over(later Weather) Weather {
	if later.Empty() {
		return later
	}
	for i := range quantities {
		if x := *quantities[i].of(&later); known(x) {
			*quantities[i].of(&w) = x
		}
	}
	return w
}

const (
	weatherLike = "write it like 2026-11-03:rain=12,min=2,max=8 with rain in mm, min, max and mean in °C, wind in m/s, from in degrees, snow in cm"
	takeBack    = "withdraw"
)

// ParseWeather reads the figures of a day: "rain=12,min=2,max=8" or "rain 12 min 2 max 8".
// The word "withdraw" alone takes back what is on record of that day.
func ParseWeather(day Day, text string) (Weather, error) {
	w := NewWeather(day)
	bad := func(format string, a ...any) (Weather, error) {
		return w, fmt.Errorf("weather of %s: %s; %s", day, fmt.Sprintf(format, a...), weatherLike)
	}
	words := strings.Fields(strings.NewReplacer(",", " ", ";", " ", "=", " ").Replace(strings.ToLower(text)))
	if len(words) == 1 && words[0] == takeBack {
		return w, nil
	}
	if len(words) == 0 || len(words)%2 != 0 {
		return bad("%q is not pairs of a name and a figure", text)
	}
	for i := 0; i < len(words); i += 2 {
		q, ok := quantityOf(words[i])
		if !ok {
			return bad("there is no %q", words[i])
		}
		x, err := strconv.ParseFloat(words[i+1], 64)
		if err != nil {
			return bad("%q is not a figure", words[i+1])
		}
		if known(*q.of(&w)) {
			return bad("%s is given twice", q.key)
		}
		if why := q.cannotBe(x); why != "" {
			return bad("%s", why)
		}
		*q.of(&w) = x + 0 // no minus nought
	}
	if why := w.contradicts(); why != "" {
		return bad("%s", why)
	}
	return w, nil
}

func quantityOf(key string) (*quantity, bool) {
	for i := range quantities {
		if quantities[i].key == key {
			return &quantities[i], true
		}
	}
	return nil, false
}

// cannotBe says why a figure cannot be, or nothing.
func (q *quantity) cannotBe(x float64) string {
	if x >= q.low && x <= q.high { // false for what is no number
		return ""
	}
	return fmt.Sprintf("%s of %s %s cannot be", q.name, figure(x), q.unit)
}

// contradicts says which figures of a day do not go together. A tenth of a degree is let
// pass: services round.
func (w Weather) contradicts() string {
	const rounding = 0.11
	for _, p := range [][2]int{{2, 3}, {2, 1}, {1, 3}} { // min, max; min, mean; mean, max
		lo, hi := &quantities[p[0]], &quantities[p[1]]
		if a, b := *lo.of(&w), *hi.of(&w); a > b+rounding {
			return fmt.Sprintf("the %s (%s) is above the %s (%s)", lo.name, figure(a), hi.name, figure(b))
		}
	}
	return ""
}

// String writes the figures as ParseWeather reads them: "rain 12 min 2 max 8".
func (w Weather) String() string {
	var out []string
	for i := range quantities {
		if x := *quantities[i].of(&w); known(x) {
			out = append(out, quantities[i].key+" "+figure(x))
		}
	}
	if len(out) == 0 {
		return takeBack
	}
	return strings.Join(out, " ")
}

// figure writes a number to two decimals at most.
func figure(x float64) string {
	if r := math.Round(x*100) / 100; r == x || math.Abs(x) < 1e6 {
		x = r + 0
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// halfRange is how far the ends of a day lie from its mean, in K, where only one figure is
// known: common practice, no source.
const halfRange = 4

// temperature is the mean of a day, from what is known of it.
func (w Weather) temperature() float64 {
	switch {
	case known(w.Mean):
		return w.Mean
	case known(w.Min) && known(w.Max):
		return (w.Min + w.Max) / 2
	case known(w.Min):
		return w.Min + halfRange
	case known(w.Max):
		return w.Max - halfRange
	}
	return math.NaN()
}
