package sightings

import (
	"fmt"
	"math"
	"strings"

	"underlap/diagnose/explain"
)

// mostShown is how many days a screen gets to draw.
const mostShown = 60

// Shown is one day as it is drawn: what is not known is null.
type Shown struct {
	Day  Day      `json:"day"`
	Saw  Saw      `json:"saw,omitempty"`
	Says string   `json:"says,omitempty"` // the look in words
	Rain *float64 `json:"rain,omitempty"` // mm
	Temp *float64 `json:"temp,omitempty"` // mean, degrees Celsius
	Min  *float64 `json:"min,omitempty"`
	Wind *float64 `json:"wind,omitempty"` // m/s
}

// record is the last sixty days up to the last look, or up to the last weather when there
// is no look.
func record(h History) []Shown {
	var last, first Day
	switch {
	case len(h.Looks) > 0:
		first, last = h.Looks[0].Day-before, h.Looks[len(h.Looks)-1].Day
	case len(h.Weather) > 0:
		first, last = h.Weather[0].Day, h.Weather[len(h.Weather)-1].Day
	}
	some := func(x float64) *float64 {
		if !known(x) {
			return nil
		}
		return &x
	}
	out := []Shown{}
	for d := max(first, last-mostShown+1); d <= last; d++ {
		w := h.WeatherOn(d)
		x := Shown{Day: d, Rain: some(w.Rain), Temp: some(w.temperature()), Min: some(w.Min), Wind: some(w.Wind)}
		if l, ok := h.LookOn(d); ok {
			x.Saw, x.Says = l.Saw, l.String()
		}
		out = append(out, x)
	}
	return out
}

// tooFew says why nothing is said yet, and what is wanted.
func (r *Result) tooFew(s *series) {
	looked := r.Wet + r.Dry
	r.Text = fmt.Sprintf("Too few days to say: %s wet and %s dry", explain.Count(r.Wet, "day"), explain.Count(r.Dry, "day"))
	switch {
	case looked > r.Weighed:
		r.Text += fmt.Sprintf(", of which %d with the weather known.", r.Weighed)
		r.Hint = fmt.Sprintf("Give the rain of each day on record and of the %d days before it, the temperatures as well.", before)
	default:
		r.Text += "."
		r.Hint = fmt.Sprintf("It takes %d days, at least %d wet and %d dry among them; days on which they looked and it was dry count as much as the wet ones.", leastDays, leastEach, leastEach)
	}
	if s != nil && r.Weighed >= leastDays && r.Dry < leastEach {
		r.Hint = "Ask for days on which they looked and it was dry: wet days alone tell nothing of what drives it."
	}
	if s != nil && r.Weighed >= leastDays && r.Wet < leastEach {
		r.Hint = "Ask for the days on which it was wet: one of them tells nothing of what drives it."
	}
}

// phrases for the first driver.
var phrases = map[string]string{
	Rain: "it follows the rain", Wind: "it follows rain with wind", Cold: "it follows the cold, as condensation does",
	Thaw: "it follows the thaw after frost", InUse: "it follows the use of the house, not the weather",
	Constant: "it is there every day, whatever the weather", None: "it follows none of the things compared here",
}

// closeDrivers is the gap between the first two under which neither is named; common
// practice, no source.
const closeDrivers = 0.15

// words says it in a sentence or two.
func (r *Result) words(s *series) {
	top, next := r.Drivers[0], r.Drivers[1] // there are four at least
	said, p := phrases[top.ID], top.P
	// Rain alone and rain with wind share most of their wet days: the pair is told as one.
	both := next.P >= 0.1 && (top.ID == Rain && next.ID == Wind || top.ID == Wind && next.ID == Rain)
	if both {
		said, p = phrases[Rain], top.P+next.P
	}
	r.Text = fmt.Sprintf("By %s with their weather (%d wet): %s", explain.Count(r.Weighed, "day"), count(s.wet), said)
	if top.Lag != nil && p >= 0.25 {
		r.Text += ", " + top.Lag.String()
	}
	r.Short = said + ", " + explain.Hedge(p)
	r.Text += fmt.Sprintf(": %s (%s).", explain.Hedge(p), explain.Percent(p))
	if close := p < 0.6 && p-next.P < closeDrivers; close && !both {
		r.Short = "too close to say"
		r.Text = fmt.Sprintf("By %s with their weather (%d wet) it is too close to say: %s %s, %s %s.", explain.Count(r.Weighed, "day"), count(s.wet),
			explain.LowerFirst(top.Name), explain.Percent(p), explain.LowerFirst(next.Name), explain.Percent(next.P))
	}
	switch {
	case both:
		wind := top.P
		if top.ID == Rain {
			wind = next.P
		}
		r.Text += fmt.Sprintf(" That it takes wind as well: %s (%s).", explain.Hedge(wind), explain.Percent(wind))
	case next.P >= 0.1 && r.Short != "too close to say":
		r.Text += fmt.Sprintf(" Then: %s, %s.", explain.LowerFirst(next.Name), explain.Percent(next.P))
	}
	looked := r.Wet + r.Dry
	days := s.at[len(s.at)-1] - s.at[0] + 1
	switch {
	case len(r.NotJudged) > 0:
		r.Hint = "Not judged: " + strings.Join(r.NotJudged, "; ") + "."
	case s.left > 0:
		r.Hint = fmt.Sprintf("%s could not be weighed: the weather of the day, or of the %d days before it, is not on record.", explain.Count(s.left, "day"), before)
	case r.Wet*10 > looked*7 && looked*2 < days:
		r.Hint = "Mostly wet days are on record. Ask for days on which they looked and it was dry."
	case p < 0.6:
		r.Hint = "More days would tell: rain with no drip, and dry or frosty days on which somebody looked, tell most."
	}
}

func count(list []bool) (n int) {
	for _, x := range list {
		if x {
			n++
		}
	}
	return n
}

// String words a lag: "the same day", "1 day after it (0 to 2)".
func (l *Lag) String() string {
	mid, lo, hi := math.Round(l.Days), math.Round(l.Low), math.Round(l.High)
	if hi == 0 {
		return "the same day"
	}
	middle := "the same day"
	if mid > 0 {
		middle = explain.Count(int(mid), "day") + " after it"
	}
	if lo == hi {
		return "about " + middle
	}
	return fmt.Sprintf("about %s (%.0f to %.0f days)", middle, lo, hi)
}
