package calc

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"underlap/physics/spread"
)

// The Latin hypercube of every sum: samples, and the seed that fixes them, so that one
// case gives one band.
const (
	samples = 96
	seed    = 6229
)

// through carries what is not known through a sum of one answer.
func through(inputs []spread.Input, f func(x []float64) (float64, error)) (spread.Band, error) {
	b, err := spread.Propagate(samples, seed, inputs, f)
	if err != nil {
		return b, fmt.Errorf("the band of a sum: %w", err)
	}
	return b, nil
}

// throughMany is through for several answers from the same samples.
func throughMany(inputs []spread.Input, outputs int, f func(x, y []float64) error) ([]spread.Band, error) {
	b, err := spread.PropagateMany(samples, seed, inputs, outputs, f)
	if err != nil {
		return b, fmt.Errorf("the band of a sum: %w", err)
	}
	return b, nil
}

// makes says what a band comes from, largest first, and names the first: shares of the
// variance, those above a twentieth.
func makes(b spread.Band) (driver, line string) {
	list := append([]spread.Share(nil), b.Shares...)
	sort.SliceStable(list, func(i, j int) bool { return list[i].Of > list[j].Of })
	var parts []string
	rest := 1.0
	for _, s := range list {
		if s.Of < 0.05 {
			break
		}
		if driver == "" {
			driver = s.Name
		}
		parts = append(parts, fmt.Sprintf("%s %.0f %%", s.Name, 100*s.Of))
		rest -= s.Of
	}
	if b.Low == b.High || len(parts) == 0 {
		return "", ""
	}
	if rest >= 0.05 {
		parts = append(parts, fmt.Sprintf("the rest and what only counts together %.0f %%", 100*rest))
	}
	return driver, strings.Join(parts, "; ") + fmt.Sprintf(" (%d samples)", samples)
}

// oneOf is a choice among build-ups or rooms, by number.
func oneOf(name string, weights []float64) spread.Input {
	values := make([]float64, len(weights))
	for i := range values {
		values[i] = float64(i)
	}
	if len(weights) == 1 {
		return spread.Fixed(name, 0)
	}
	return spread.Discrete(name, values, weights)
}

// whichRoof is the choice among build-ups. They are put in the order of the answer that
// each gives with all else usual, so that their share in the band is found: numbered in
// any other way their answers jump about.
func whichRoof(groups []share, answer func(share) (float64, error)) (spread.Input, []share, error) {
	type scored struct {
		share
		v float64
	}
	list := make([]scored, len(groups))
	for i, g := range groups {
		v, err := answer(g)
		if err != nil {
			return spread.Input{}, nil, err
		}
		list[i] = scored{g, v}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].v < list[j].v })
	out, w := make([]share, len(list)), make([]float64, len(list))
	for i, x := range list {
		out[i], w[i] = x.share, x.weight
	}
	return oneOf("kind of roof and its thicknesses", w), out, nil
}

func (s *site) whichRoom() spread.Input {
	w := make([]float64, len(s.indoor))
	for i, r := range s.indoor {
		w[i] = r.weight
	}
	return oneOf("dampness of the room", w)
}

// What no answer tells, with how far it may be out. The figures are judgement unless a
// source is named where they are used.
func doubtLambda() spread.Input { return spread.LogNormal("conductivity of the insulation", 1, 1.12) }

func doubtTimber() spread.Input {
	return spread.Triangular("timber beside the joists counted", 1, 1.1, 1.5)
}
func doubtPaint() spread.Input { return spread.LogNormal("paint on the ceiling", paintSd, 3) }
func doubtSheet() spread.Input { return spread.LogNormal("laps of the polythene", sheetSd, 3) }
func doubtWinter() spread.Input {
	return spread.Normal("a colder or milder winter", 0, 0.8)
}

// doubtArea is how far the size of the roof may be out, as a factor.
func (s *site) doubtArea() spread.Input {
	if s.areaAssumed {
		return spread.LogNormal("size of the roof", 1, 1.6)
	}
	return spread.LogNormal("size of the roof", 1, 1.08)
}

// doubtTape is how far a reading in m may be out: by its own tolerance, or 5 mm either
// way for a figure without one. It is cut off where it would fall below nothing.
func (s *site) doubtTape(name, question string, v float64) spread.Input {
	half := s.tape(question)
	return spread.Triangular(name, math.Max(v/2, v-1.5*half), v, v+1.5*half)
}

// tape is how far a reading is out at most nine times in ten, m.
func (s *site) tape(question string) float64 {
	if f, ok := s.facts.Get(question); ok && f.Tolerance > 0 {
		return f.Tolerance
	}
	return 0.005
}
