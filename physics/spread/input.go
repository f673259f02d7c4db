// Package spread carries what is not known about the inputs of a sum through to its
// answer: a middle value, a band from 5 to 95 % and the share that each input has in
// the spread.
//
// Propagate and PropagateMany run the sum over a Latin hypercube: every input is cut
// into as many equally likely strata as there are samples and each stratum is met once.
// The seed fixes the samples, so the same inputs give the same band, bit for bit, on
// the same kind of processor. Inputs are taken to be independent of one another.
// Quadrature gives mean and standard deviation another way, to check by.
package spread

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Input is one thing not known for certain. Make one with a constructor, or give a
// Name and the Quantile of a distribution of your own.
type Input struct {
	Name string
	// Quantile returns the value that the input is below with probability u, 0 to 1
	// without the ends.
	Quantile func(u float64) float64

	gauss func(points int) []node // the rule for Quadrature; nil takes one in u
	fixed bool
	err   error // what was wrong with the numbers given to the constructor
}

// The constructors below do not fail. Numbers that make no distribution give an input
// that Propagate, PropagateMany and Quadrature refuse, saying what was wrong.

// Fixed returns an input that is known.
func Fixed(name string, value float64) Input {
	return Input{
		Name: name, fixed: true, err: check.Finite("value", value),
		Quantile: func(float64) float64 { return value },
		gauss:    func(int) []node { return []node{{value, 1}} },
	}
}

// Uniform returns an input that is as likely anywhere from lo to hi, which must be more.
func Uniform(name string, lo, hi float64) Input {
	return Input{
		Name: name, err: rising("uniform", lo, hi),
		Quantile: func(u float64) float64 { return lo + u*(hi-lo) },
		gauss:    func(points int) []node { return between(points, lo, hi) },
	}
}

// Triangular returns an input from lo to hi that is likeliest at mode, falling off in
// straight lines to both sides. It wants lo <= mode <= hi and lo < hi.
func Triangular(name string, lo, mode, hi float64) Input {
	err := rising("triangular", lo, hi)
	if err == nil {
		err = check.Within("mode", mode, lo, hi)
	}
	at := (mode - lo) / (hi - lo) // share below the mode
	return Input{
		Name: name, err: err,
		Quantile: func(u float64) float64 {
			if u < at {
				return lo + math.Sqrt(u*(hi-lo)*(mode-lo))
			}
			return hi - math.Sqrt((1-u)*(hi-lo)*(hi-mode))
		},
		gauss: func(points int) []node {
			var out []node
			if mode > lo {
				for _, x := range between(points, lo, mode) {
					out = append(out, node{x.at, x.weight * at * 2 * (x.at - lo) / (mode - lo)})
				}
			}
			if mode < hi {
				for _, x := range between(points, mode, hi) {
					out = append(out, node{x.at, x.weight * (1 - at) * 2 * (hi - x.at) / (hi - mode)})
				}
			}
			return out
		},
	}
}

// Normal returns a normal input of that mean and standard deviation, which must be
// above 0. It has no ends: where a value below 0 makes no sense use LogNormal or
// Triangular.
func Normal(name string, mean, sd float64) Input {
	err := check.Finite("mean", mean)
	if err == nil {
		err = check.Positive("standard deviation", sd)
	}
	return Input{
		Name: name, err: err,
		Quantile: func(u float64) float64 { return mean + sd*normalScore(u) },
		gauss: func(points int) []node {
			return hermite(points, func(z float64) float64 { return mean + sd*z })
		},
	}
}

// LogNormal returns an input above 0 whose logarithm is normal. Nine times in ten it
// lies from median / factor95 to median * factor95: 5 % are above. It wants a median
// above 0 and a factor above 1.
func LogNormal(name string, median, factor95 float64) Input {
	err := check.Positive("median", median)
	if err == nil && !(factor95 > 1 && !math.IsInf(factor95, 1)) {
		err = fmt.Errorf("factor is %v, want more than 1", factor95)
	}
	sd := math.Log(factor95) / score95
	return Input{
		Name: name, err: err,
		Quantile: func(u float64) float64 { return median * math.Exp(sd*normalScore(u)) },
		gauss: func(points int) []node {
			return hermite(points, func(z float64) float64 { return median * math.Exp(sd*z) })
		},
	}
}

// Discrete returns an input that takes one of a few values, each as likely as its share
// of the weights. Give the values in rising order if they have one. It wants as many
// weights as values, none negative and together above 0.
func Discrete(name string, values, weights []float64) Input {
	in := Input{Name: name, fixed: len(values) == 1}
	if len(values) == 0 || len(values) != len(weights) {
		in.err = fmt.Errorf("%d values and %d weights, want as many of both", len(values), len(weights))
		return in
	}
	sum := 0.0
	for i, w := range weights {
		if in.err == nil {
			in.err = check.First("discrete", check.NotNegative("weight", w), check.Finite("value", values[i]))
		}
		sum += w
	}
	if in.err == nil {
		in.err = check.Positive("sum of weights", sum)
	}
	nodes := make([]node, len(values))
	for i := range values {
		nodes[i] = node{values[i], weights[i] / sum}
	}
	in.Quantile = func(u float64) float64 {
		below := 0.0
		for _, n := range nodes {
			if below += n.weight; u < below {
				return n.at
			}
		}
		return nodes[len(nodes)-1].at
	}
	in.gauss = func(int) []node { return nodes }
	return in
}

// check returns what is wrong with the input.
func (in Input) check() error {
	if in.err != nil {
		return fmt.Errorf("spread: input %s: %w", in.Name, in.err)
	}
	if in.Quantile == nil {
		return fmt.Errorf("spread: input %s has no quantile function", in.Name)
	}
	return nil
}

func checkAll(inputs []Input) error {
	if len(inputs) == 0 {
		return fmt.Errorf("spread: no inputs")
	}
	for _, in := range inputs {
		if err := in.check(); err != nil {
			return err
		}
	}
	return nil
}

func rising(what string, lo, hi float64) error {
	return check.First(what, check.Finite("low end", lo), check.Finite("high end", hi), check.Positive("high end less low end", hi-lo))
}

// score95 is the 95 % point of the standard normal distribution.
const score95 = 1.6448536269514722

// normalScore is the quantile of the standard normal distribution.
func normalScore(u float64) float64 { return math.Sqrt2 * math.Erfinv(2*u-1) }
