// Package world invents calls about wet flat roofs: a house, its weather, what is truly
// wrong, the water that follows by physics, what there is to see, and a caller who
// remembers some of it. It knows the questions of the interview and the ids of the
// causes, and nothing of what the program believes about them, so that what the program
// makes of a call can be held against the truth.
//
// Rates of causes, sizes of holes, how often a sign can be made out and how people
// misremember are the author's judgement: self-made. Water, vapour, heat and outlets
// follow the same published formulas as the physics packages, most through them.
package world

import (
	"fmt"
	"math"
	"sync"

	"underlap/physics/climate"
)

// Question is one question of the interview, as the world may know it: its id, its
// kind and the ids of its answers.
type Question struct {
	ID, Kind string
	Answers  []string
}

// Answer is what the caller says to one question: an answer as it would be typed, and
// how it is known ("told", "photo", "measured").
type Answer struct {
	Text  string
	Known string
}

// Call is one invented call.
type Call struct {
	N      uint64
	Truth  []Cause
	House  *House
	Month  int     // of the call, 0 to 11
	Litres float64 // at the ceiling over the window
	Care   float64 // of the caller, 0 to 1
	Says   map[string]Answer
}

// Unlisted tells that the cause is not among those of the knowledge.
func (c *Call) Unlisted() bool { return c.Truth[0].Unlisted != "" }

// True tells whether a cause is among those that are truly there.
func (c *Call) True(id string) bool {
	for _, t := range c.Truth {
		if t.ID == id {
			return true
		}
	}
	return false
}

// OtherID is the cause that stands in the knowledge for what it does not list.
const OtherID = "something-else"

var places = sync.OnceValues(func() ([]climate.Place, error) {
	all, err := climate.Places()
	var out []climate.Place
	for _, p := range all {
		if p.Country == "GB" || p.Country == "IE" {
			out = append(out, p)
		}
	}
	return out, err
})

// Shares of calls by what is wrong; the rest has two causes.
const (
	shareUnlisted = 0.06
	shareOne      = 0.70
	shareThree    = 0.015
)

// tries is how many houses and winters are drawn before a call is given up: most
// defects bring no water in most seasons.
const tries = 4000

// Make invents the call of that number. The same seed and number make the same call.
func Make(seed, n uint64, interview []Question) (*Call, error) {
	list, err := places()
	if err != nil {
		return nil, fmt.Errorf("the places: %w", err)
	}
	d := newDice(seed, n)
	count, unlisted := 2, false
	switch u := d.Float64(); {
	case u < shareUnlisted:
		count, unlisted = 1, true
	case u < shareUnlisted+shareOne:
		count = 1
	case u < shareUnlisted+shareOne+shareThree:
		count = 3
	}
	for range tries {
		h := makeHouse(d, list)
		defects := drawDefects(d, h, count, unlisted)
		if defects == nil {
			continue
		}
		s, ok := run(d, h, defects)
		if !ok {
			continue
		}
		c := &Call{N: n, House: h, Month: s.w.month(s.w.Days - 1)}
		for _, x := range defects {
			id := x.id
			if x.relabel != nil {
				id = x.relabel()
			}
			if id == "" {
				id = OtherID
			}
			c.Truth = append(c.Truth, Cause{ID: id, Unlisted: x.unlisted, Litres: x.litres})
			c.Litres += x.litres
		}
		tell(d, c, s, defects, interview)
		return c, nil
	}
	return nil, fmt.Errorf("call %d: no house of %d brought water to the ceiling", n, tries)
}

// whole is the sum of rates at which a house is sure to ring; houses with less to go
// wrong ring less often.
const whole = 110

// drawDefects draws what is wrong with the house, or nil when nothing is.
func drawDefects(d dice, h *House, count int, unlisted bool) []*defect {
	if unlisted {
		return []*defect{notListed(d, h)}
	}
	all := kinds()
	var odds []odd
	by := map[string]kindOf{}
	total := 0.0
	for _, k := range all {
		if r := k.rate(h); r > 0 {
			odds, by[k.id] = append(odds, odd{k.id, r}), k
			total += r
		}
	}
	if !d.chance(total / whole) {
		return nil
	}
	var out []*defect
	for len(out) < count {
		if len(odds) == 0 {
			return nil
		}
		id := d.one(odds...)
		for i := range odds {
			if odds[i].is == id {
				odds = append(odds[:i:i], odds[i+1:]...)
				break
			}
		}
		x := by[id].build(d, h)
		if x.noWater && count > 1 || id == "frost-thaw" && hasID(out, "cold-roof-condensation") || id == "cold-roof-condensation" && hasID(out, "frost-thaw") {
			return nil
		}
		out = append(out, x)
	}
	return out
}

func hasID(list []*defect, id string) bool {
	for _, x := range list {
		if x.id == id {
			return true
		}
	}
	return false
}

// Least litres at the ceiling, of each cause, and its least share: less is a fault that
// is there and is not why anybody rang.
const (
	leastLitres = 0.02
	leastShare  = 0.08
)

// run puts the house through its weather. It is no call when a defect brings nothing,
// or when nothing was wet in the last five weeks.
func run(d dice, h *House, defects []*defect) (*scene, bool) {
	w := makeWeather(d, h.Place, 60+d.IntN(61), d.IntN(365))
	if hasID(defects, "great-storm") {
		storm(d, w)
	}
	s := newScene(d, h, w)
	total := 0.0
	for _, x := range defects {
		x.simulate(d, s)
		total += x.litres
	}
	recent := max(0, s.w.Steps()-35*stepsDay)
	fresh := 0.0
	for _, x := range defects {
		if x.noWater {
			return s, true
		}
		if x.litres < leastLitres || x.litres < leastShare*total && !x.mould {
			return nil, false
		}
		fresh += sumOf(x.flow[recent:])
	}
	return s, fresh > leastLitres
}

// simulate follows the water of one defect to the ceiling.
func (x *defect) simulate(d dice, s *scene) {
	x.flow = make([]float64, s.w.Steps())
	if x.pours != nil {
		x.flow = x.pours(s)
		if x.way != nil {
			x.flow = x.way.through(x.flow)
		}
	}
	x.litres = sumOf(x.flow)
	x.spot = x.at
	// Water walks down the fall, and a little to the side; it stops at a light or at the
	// skylight, where there is a way out.
	far := math.Abs(d.normal(0, 1)) * x.walks
	x.spot.x = clamp(x.spot.x+d.normal(0, 0.3)*far, 0.02, s.h.W-0.02)
	x.spot.y = clamp(x.spot.y+far, 0.02, s.h.D-0.02)
	for _, f := range s.h.Fittings {
		if !x.noWater && !x.mould && f.to(x.spot) < 0.45 && d.chance(0.55) {
			x.spot = f
		}
	}
}
