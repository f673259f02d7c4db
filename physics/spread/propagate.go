package spread

import (
	"fmt"
	"math"
	"slices"
)

// Band is what is known of an answer.
type Band struct {
	Mid  float64 // the median
	Low  float64 // 5 % of the answers are below
	High float64 // 5 % of the answers are above
	// Shares holds for each input, in the order given, how much of the variance of the
	// answer it makes by itself.
	Shares []Share
	// Dominant is the input of the largest share, by its place; -1 when no input makes
	// a tenth by itself.
	Dominant int
	// Joint is the rest of the variance: inputs that only count together, shapes that
	// were not caught, and chance.
	Joint float64
}

// Share is the part of one input in the spread of an answer.
type Share struct {
	Name string
	// Of is the first-order index of Sobol: the part of the variance that would go if
	// this input became known, 0 to 1.
	Of float64
}

// dominates is the least share that is called dominant.
const dominates = 0.1

// fewest and most samples.
const (
	fewest = 16
	most   = 1 << 20
)

// Propagate runs f for n samples of the inputs and returns the band of its answers. The
// slice given to f is used again for the next sample. It fails for an input that is no
// distribution, for fewer than 16 samples or fewer than four to an input, when f fails,
// and when f gives no finite number.
//
// With 128 samples either end of the band has a standard error of about a twentieth of
// its width and a share one of about 0.05, or 0.1 where the answer has a long tail or
// inputs count only together; four times the samples halve that.
//
// Source: Latin hypercube sampling, McKay, Beckman and Conover 1979; shares as in
// PropagateMany.
func Propagate(n int, seed uint64, inputs []Input, f func(x []float64) (float64, error)) (Band, error) {
	bands, err := PropagateMany(n, seed, inputs, 1, func(x, y []float64) error {
		var err error
		y[0], err = f(x)
		return err
	})
	if err != nil {
		return Band{}, err
	}
	return bands[0], nil
}

// PropagateMany is Propagate for a sum with several answers, which f puts into y: one
// band for each, all from the same samples.
//
// Source: Latin hypercube sampling, McKay, Beckman and Conover 1979. The shares are
// first-order indices of Sobol from a least-squares fit of a sum of polynomials, one for
// each input, to the samples (polynomial chaos without the mixed terms; Sudret 2008,
// from memory of it), their degree chosen by generalised cross-validation.
func PropagateMany(n int, seed uint64, inputs []Input, outputs int, f func(x, y []float64) error) ([]Band, error) {
	if err := checkAll(inputs); err != nil {
		return nil, err
	}
	d := len(inputs)
	switch {
	case n < fewest || n > most || n < 4*d:
		return nil, fmt.Errorf("spread: %d samples for %d inputs, want %d or more, 4 or more to an input, and %d at most", n, d, fewest, most)
	case outputs < 1:
		return nil, fmt.Errorf("spread: %d answers, want 1 or more", outputs)
	}
	columns := hypercube(n, d, seed)
	for j, in := range inputs {
		for i, u := range columns[j] {
			x := in.Quantile(u)
			if math.IsNaN(x) || math.IsInf(x, 0) {
				return nil, fmt.Errorf("spread: input %s is %v at %v", in.Name, x, u)
			}
			columns[j][i] = x
		}
	}
	answers := make([]float64, n*outputs)
	x, y := make([]float64, d), make([]float64, outputs)
	for i := range n {
		for j := range columns {
			x[j] = columns[j][i]
		}
		if err := f(x, y); err != nil {
			return nil, fmt.Errorf("spread: sample %d: %w", i, err)
		}
		for k, v := range y {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("spread: sample %d: answer %d is %v", i, k, v)
			}
			answers[k*n+i] = v
		}
	}
	fit := newAdditive(columns)
	bands := make([]Band, outputs)
	for k := range bands {
		column := answers[k*n : (k+1)*n]
		bands[k] = band(inputs, fit.shares(column))
		slices.Sort(column)
		bands[k].Low, bands[k].Mid, bands[k].High = quantile(column, 0.05), quantile(column, 0.5), quantile(column, 0.95)
	}
	return bands, nil
}

// band names the shares and finds the largest.
func band(inputs []Input, shares []float64) Band {
	b := Band{Shares: make([]Share, len(inputs)), Dominant: -1, Joint: 1}
	largest := dominates
	for j, in := range inputs {
		b.Shares[j] = Share{in.Name, shares[j]}
		b.Joint -= shares[j]
		if shares[j] >= largest {
			b.Dominant, largest = j, shares[j]
		}
	}
	b.Joint = math.Max(0, b.Joint) // rounding
	return b
}

// quantile interpolates between the sorted answers, each taken as the middle of its
// share, as the samples are the middles of their strata (Hazen's rule).
func quantile(sorted []float64, p float64) float64 {
	at := p*float64(len(sorted)) - 0.5
	i := min(max(int(math.Floor(at)), 0), len(sorted)-2)
	part := math.Min(1, math.Max(0, at-float64(i)))
	return sorted[i] + part*(sorted[i+1]-sorted[i])
}
