package calc

import (
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/facts"
	"underlap/physics/timber"
)

// longestSpan is the longest span in m that joists of that width, depth and spacing
// usually carry.
func longestSpan(width, depth, centres, dead float64, g timber.Grade) (float64, error) {
	return timber.Joist{Breadth: width, Depth: depth, Centres: centres, Dead: dead, Grade: g}.Span()
}

// deadLoad of a roof without its joists, Pa: light sheet and foam, or chippings,
// asphalt and lead.
func deadLoad(heavy bool) float64 {
	if heavy {
		return 1000
	}
	return 500
}

// JoistHabit tells the build-up which joist depths fit the span of this roof; nil
// when no span was told.
func JoistHabit(f *facts.Set) buildup.JoistHabit {
	span, ok := f.Number("joist-span")
	if !ok {
		return nil
	}
	s := site{facts: f}
	likely, err := timber.LikelyDepths(span, s.centres())
	if err != nil {
		return nil
	}
	return func(depth float64) float64 {
		for _, l := range likely {
			if math.Abs(l.Depth-depth) < 0.001 {
				return math.Max(l.Share, 0.01)
			}
		}
		return 0.01
	}
}
