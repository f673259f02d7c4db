package sightings

import "math"

// span is how far back before the first look the weather is followed: the slowest bucket
// (half gone in twenty days) has then forgotten all but a sixty-fourth.
const span = 120

// before is how many days before a look the weather must be known, for the look to be
// weighed at all. One rule for all drivers: a comparison is fair only on the same days.
const before = 3

// series is the weather day by day without a gap, and the looks that can be weighed.
type series struct {
	first Day
	rain  []float64 // water let loose on the roof, mm: rain, and snow when it melts
	mean  []float64 // nil when temperatures are not known
	min   []float64 // nil when the ends of the days are not known
	max   []float64 // as min
	drive []float64 // rain times wind, see below; nil when wind is not known
	from  []float64 // radians; nil when directions are not known

	at   []int // of each look weighed, its place in the series
	wet  []bool
	use  []Use
	left int // looks that could not be weighed, for want of weather
}

// enough is the share of the looks for which a figure must be known, for a driver that
// needs it to be judged at all. The rest of the looks is then left out for every driver.
const enough = 0.8

// newSeries lays the record out. It is nil when no look can be weighed.
func newSeries(h History) *series {
	var looks []Look
	for _, l := range h.Looks {
		if l.Saw == Drip || l.Saw == Dry {
			looks = append(looks, l)
		}
	}
	if len(looks) == 0 || len(h.Weather) == 0 {
		return nil
	}
	s := &series{}
	last := looks[len(looks)-1].Day + 1
	s.first = max(looks[0].Day-span, min(h.Weather[0].Day, looks[0].Day-before))
	n := int(last-s.first) + 1
	raw := make([]Weather, n)
	for i := range raw {
		raw[i] = NewWeather(s.first + Day(i))
	}
	for _, w := range h.Weather {
		if i := int(w.Day - s.first); i >= 0 && i < n {
			raw[i] = w
		}
	}
	// Which figures are there for most of the looks?
	spell := func(l Look, of func(Weather) float64) bool {
		i := int(l.Day - s.first)
		for k := i - before; k <= i; k++ {
			if !known(of(raw[k])) {
				return false
			}
		}
		return true
	}
	rain := func(w Weather) float64 { return w.Rain }
	var rained []Look
	for _, l := range looks {
		if spell(l, rain) {
			rained = append(rained, l)
		}
	}
	most := func(of func(Weather) float64) bool {
		n := 0
		for _, l := range rained {
			if spell(l, of) {
				n++
			}
		}
		return n > 0 && float64(n) >= enough*float64(len(rained))
	}
	// Of a day with rain and no wind known nothing can be said; of a dry day, it can.
	windy := func(w Weather) float64 {
		if w.Rain == 0 {
			return 0
		}
		return w.Wind
	}
	temp, wind := Weather.temperature, windy
	hasTemp := most(temp)
	hasEnds := hasTemp && most(func(w Weather) float64 { return w.Min + w.Max })
	hasWind := most(wind)
	for _, l := range rained {
		if hasTemp && !spell(l, temp) || hasWind && !spell(l, wind) {
			continue
		}
		s.at, s.wet, s.use = append(s.at, int(l.Day-s.first)), append(s.wet, l.Saw == Drip), append(s.use, l.Use)
	}
	s.left = len(looks) - len(s.at)
	if len(s.at) == 0 {
		return nil
	}
	s.rain = filled(raw, rain)
	if hasTemp {
		s.mean = filled(raw, temp)
		melt(s.rain, s.mean)
	}
	if hasEnds {
		s.min = filled(raw, func(w Weather) float64 { return end(w.Min, w.temperature()-halfRange) })
		s.max = filled(raw, func(w Weather) float64 { return end(w.Max, w.temperature()+halfRange) })
	}
	if hasWind {
		s.drive = make([]float64, n)
		speed := filled(raw, func(w Weather) float64 { return w.Wind })
		for i, r := range s.rain {
			s.drive[i] = drivingRain(r, speed[i])
		}
		if most(func(w Weather) float64 {
			if w.Rain == 0 {
				return 0
			}
			return w.From
		}) {
			s.from = filled(raw, func(w Weather) float64 { return w.From * math.Pi / 180 })
		}
	}
	return s
}

// end is one end of a day's temperatures, or what it is as a rule.
func end(x, usual float64) float64 {
	if known(x) {
		return x
	}
	return usual
}

// filled is one figure day by day. Where it is not known it is the mean of those that
// are: near the looks it is known, and further off only the long run of it matters.
func filled(raw []Weather, of func(Weather) float64) []float64 {
	out := make([]float64, len(raw))
	sum, n := 0.0, 0
	for i := range raw {
		out[i] = of(raw[i])
		if known(out[i]) {
			sum += out[i]
			n++
		}
	}
	for i := range out {
		if !known(out[i]) && n > 0 {
			out[i] = sum / float64(n)
		} else if !known(out[i]) {
			out[i] = 0
		}
	}
	return out
}

// Snow that falls lies until it melts: degree-days above freezing, in mm of water a
// degree and day. Handbooks of hydrology give 1 to 8 (from memory).
const (
	snowBelow = 0.5 // mean of the day, degrees Celsius
	meltRate  = 3.0
)

// melt turns what falls into what runs: snow is held back until the thaw.
func melt(rain, mean []float64) {
	pack := 0.0
	for i, r := range rain {
		if mean[i] < snowBelow {
			pack += r
			rain[i] = 0
			continue
		}
		gone := math.Min(pack, meltRate*(mean[i]-snowBelow))
		pack -= gone
		rain[i] = r + gone
	}
}

// drivingRain is what wind puts on a wall, in L/m2 a day: 2/9 v R^(8/9), as in ISO 15927-3
// (from memory), which states it for hours; over a day it is an index and no more.
func drivingRain(rain, wind float64) float64 { return 2.0 / 9 * wind * math.Pow(rain, 8.0/9) }
