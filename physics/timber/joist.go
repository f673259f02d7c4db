package timber

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// The functions of this file guess the depth of joists that cannot be seen and flag
// those that look too small for an engineer to check. They never pass a structure:
// the method is withdrawn, the grade is a guess and snow, terraces, tanks and solar
// panels are outside it.

// Grade is a strength class of softwood.
type Grade struct {
	Name    string
	E       float64 // mean modulus of elasticity, Pa
	Bending float64 // grade bending stress, Pa
	Bearing float64 // compression across the grain, Pa
	Density float64 // mean, kg/m3
}

// C16 and C24 return the two usual grades.
//
// Source: BS 5268-2, values from memory of it.
func C16() Grade {
	return Grade{Name: "C16", E: 8.8e9, Bending: 5.3e6, Bearing: 2.2e6, Density: 370}
}

// C24 returns the better of the two usual grades.
//
// Source: BS 5268-2, values from memory of it.
func C24() Grade {
	return Grade{Name: "C24", E: 10.8e9, Bending: 7.5e6, Bearing: 2.4e6, Density: 420}
}

// Joist is a flat roof joist with access for maintenance only.
type Joist struct {
	Breadth, Depth float64 // m
	Centres        float64 // m
	Dead           float64 // load of the roof without the joists, Pa: 500 light, 1000 chippings or asphalt
	Grade          Grade
}

const (
	imposed     = 750.0 // Pa: maintenance and snow
	pointLoad   = 900.0 // N: a person
	deflection  = 0.003 // of the span
	mediumTerm  = 1.25  // stress factors for the length of loading: snow
	shortTerm   = 1.5   // a person
	loadSharing = 1.1   // joists close together under one deck
	gravity     = 9.81
)

// Span returns the greatest clear span in m. It fails for sizes or loads of 0 or less,
// a depth over 0.3 m or a breadth over the depth.
//
// Source: permissible stress method of BS 5268-2 with bending, deflection from bending
// and shear (shear modulus E/16) under the spread load, the same under a person's
// weight, and the clear span taken as the span less the bearing that the load needs.
// The method and its values are from memory. With 750 Pa of dead load and C16 it gives
// 19 published spans within 0.01 m.
func (j Joist) Span() (float64, error) {
	if err := check.First("timber: joist",
		check.Positive("breadth", j.Breadth), check.Positive("depth", j.Depth), check.Within("depth", j.Depth, j.Breadth, 0.3),
		check.Positive("centres", j.Centres), check.NotNegative("dead load", j.Dead),
		check.Positive("modulus", j.Grade.E), check.Positive("bending stress", j.Grade.Bending),
		check.Positive("bearing stress", j.Grade.Bearing), check.NotNegative("density", j.Grade.Density),
	); err != nil {
		return 0, err
	}
	lo, hi := 0.0, 20.0
	for range 60 {
		mid := (lo + hi) / 2
		if j.holds(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	bearing := (j.spread() * lo / 2) / (j.Breadth * j.Grade.Bearing * mediumTerm * loadSharing)
	return lo - bearing, nil
}

// dead is the dead load on one joist with its own weight, N/m.
func (j Joist) dead() float64 {
	return j.Dead*j.Centres + j.Grade.Density*gravity*j.Breadth*j.Depth
}

// spread is the whole spread load on one joist, N/m.
func (j Joist) spread() float64 { return j.dead() + imposed*j.Centres }

// holds reports whether a joist stands the loads over the span in m between the middles
// of its bearings.
func (j Joist) holds(span float64) bool {
	area := j.Breadth * j.Depth
	modulus := area * j.Depth / 6
	stiff := j.Grade.E * area * j.Depth * j.Depth / 12
	shear := j.Grade.E / 16 * area / 1.2
	size := math.Pow(0.3/j.Depth, 0.11) // shallower joists are stronger for their size
	if j.Depth <= 0.072 {
		size = 1.17
	}
	stress := j.Grade.Bending * loadSharing * size

	sag := func(w, p float64) float64 {
		return 5*w*math.Pow(span, 4)/(384*stiff) + w*span*span/(8*shear) +
			p*math.Pow(span, 3)/(48*stiff) + p*span/(4*shear)
	}
	moment := func(w, p float64) float64 { return w*span*span/8 + p*span/4 }
	w, d := j.spread(), j.dead()
	return math.Max(sag(w, 0), sag(d, pointLoad)) <= deflection*span &&
		moment(w, 0) <= stress*mediumTerm*modulus &&
		moment(d, pointLoad) <= stress*shortTerm*modulus
}

// Depths are the usual depths of regularised joists, m.
func Depths() []float64 { return []float64{0.097, 0.120, 0.145, 0.170, 0.195, 0.220} }

// LikelyDepth is one guess at the depth of a joist.
type LikelyDepth struct {
	Depth float64 // m
	Share float64 // how likely, all together 1
	// Doubtful says that a joist of this depth would be too small for the span by the
	// table even under a light roof: ask an engineer.
	Doubtful bool
}

// LikelyDepths returns how likely each usual depth is for 47 mm joists of a clear span
// and centres, both m, from the shallowest up. Builders take the least depth that the
// table allows, often the next, seldom less or more; which it is depends on the weight
// of the roof, so a light, a middling and a heavy one are counted alike. The shares are
// common practice, no source. It fails for a span of 0 or less, or centres outside 0.2
// to 1 m.
//
// Source: Joist.Span for the table; never to pass a structure.
func LikelyDepths(span, centres float64) ([]LikelyDepth, error) {
	if err := check.First("timber", check.Positive("span", span), check.Within("centres", centres, 0.2, 1)); err != nil {
		return nil, err
	}
	depths := Depths()
	out := make([]LikelyDepth, len(depths))
	sum := 0.0
	for i, d := range depths {
		out[i].Depth = d
	}
	for _, dead := range []float64{500, 750, 1000} {
		least := len(depths)
		for i := len(depths) - 1; i >= 0; i-- {
			s, err := Joist{Breadth: 0.047, Depth: depths[i], Centres: centres, Dead: dead, Grade: C16()}.Span()
			if err != nil {
				return nil, fmt.Errorf("timber: depth %v: %w", depths[i], err)
			}
			if s >= span {
				least = i
			}
			if dead == 500 && s < span {
				out[i].Doubtful = true
			}
		}
		for i := range depths {
			out[i].Share += chosen(i - least)
		}
	}
	for i := range out {
		sum += out[i].Share
	}
	for i := range out {
		out[i].Share /= sum
	}
	return out, nil
}

// chosen is the weight of a depth so many steps above the least that is allowed
// (common practice, no source).
func chosen(steps int) float64 {
	switch steps {
	case 0:
		return 0.55
	case 1:
		return 0.25
	case -1:
		return 0.10
	case 2:
		return 0.06
	default:
		return 0.02
	}
}
