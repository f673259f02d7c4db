package world

import (
	"math"
	"math/rand/v2"
)

// dice is the chance of one call. Every call has a stream of its own, so calls can be
// made in any order.
type dice struct{ *rand.Rand }

func newDice(seed, call uint64) dice { return dice{rand.New(rand.NewPCG(seed, call))} }

func (d dice) chance(p float64) bool { return d.Float64() < p }

func (d dice) between(low, high float64) float64 { return low + (high-low)*d.Float64() }

func (d dice) normal(mean, sd float64) float64 { return mean + sd*d.NormFloat64() }

// about draws a positive number with that median; 90 in 100 are within the factor.
func (d dice) about(median, factor float64) float64 {
	return median * math.Exp(d.NormFloat64()*math.Log(factor)/1.645)
}

// odd is one outcome with its weight.
type odd struct {
	is string
	w  float64
}

// one draws one of the outcomes by weight.
func (d dice) one(odds ...odd) string {
	total := 0.0
	for _, o := range odds {
		total += o.w
	}
	u := d.Float64() * total
	for _, o := range odds {
		if u -= o.w; u < 0 {
			return o.is
		}
	}
	return odds[len(odds)-1].is
}

func pickOf[T any](d dice, list []T) T { return list[d.IntN(len(list))] }

func clamp(x, low, high float64) float64 { return math.Max(low, math.Min(high, x)) }
