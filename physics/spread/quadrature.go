package spread

import (
	"fmt"
	"math"
)

// node is a value of an input and how much it counts.
type node struct{ at, weight float64 }

// Quadrature returns the mean and the standard deviation of f by Gauss rules of 3 or 5
// points for each input, all combined: 125 runs of f at most for three inputs, ten
// points for a triangular one. It is exact for polynomials up to degree 4 (mean: 9) with
// 5 points for uniform, normal and discrete inputs, and close for smooth sums. It serves
// to check Propagate by. It fails for another number of points, for more than three
// inputs that are not fixed, for an input that is no distribution and when f fails.
//
// Source: Gauss-Legendre and Gauss-Hermite rules, Abramowitz and Stegun 25.4, from
// memory of it.
func Quadrature(points int, inputs []Input, f func(x []float64) (float64, error)) (mean, sd float64, err error) {
	if points != 3 && points != 5 {
		return 0, 0, fmt.Errorf("spread: %d points, want 3 or 5", points)
	}
	if err := checkAll(inputs); err != nil {
		return 0, 0, err
	}
	rules := make([][]node, len(inputs))
	runs, free := 1, 0
	for j, in := range inputs {
		if in.gauss != nil {
			rules[j] = in.gauss(points)
		} else {
			rules[j] = between(points, 0, 1)
			for i := range rules[j] {
				rules[j][i].at = in.Quantile(rules[j][i].at)
			}
		}
		runs *= len(rules[j])
		if !in.fixed {
			free++
		}
	}
	if free > 3 {
		return 0, 0, fmt.Errorf("spread: %d inputs that vary, want 3 at most", free)
	}
	x := make([]float64, len(inputs))
	sum, square := 0.0, 0.0
	for run := range runs {
		weight, rest := 1.0, run
		for j, rule := range rules {
			n := rule[rest%len(rule)]
			rest /= len(rule)
			x[j] = n.at
			weight *= n.weight
		}
		y, err := f(x)
		if err != nil {
			return 0, 0, fmt.Errorf("spread: run %d: %w", run, err)
		}
		if math.IsNaN(y) || math.IsInf(y, 0) {
			return 0, 0, fmt.Errorf("spread: run %d: answer is %v", run, y)
		}
		// West's way of adding up a variance, which loses no digits to a large mean.
		sum += weight
		if sum > 0 {
			off := y - mean
			mean += off * weight / sum
			square += weight * off * (y - mean)
		}
	}
	return mean, math.Sqrt(math.Max(0, square)), nil
}

// between returns the Gauss-Legendre rule from lo to hi, its weights together 1.
func between(points int, lo, hi float64) []node {
	var rule []node
	if points == 3 {
		a := math.Sqrt(0.6)
		rule = []node{{-a, 5.0 / 18}, {0, 8.0 / 18}, {a, 5.0 / 18}}
	} else {
		near, far := math.Sqrt(5-2*math.Sqrt(10.0/7))/3, math.Sqrt(5+2*math.Sqrt(10.0/7))/3
		heavy, light := (322+13*math.Sqrt(70))/1800, (322-13*math.Sqrt(70))/1800
		rule = []node{{-far, light}, {-near, heavy}, {0, 64.0 / 225}, {near, heavy}, {far, light}}
	}
	for i := range rule {
		rule[i].at = lo + (hi-lo)*(1+rule[i].at)/2
	}
	return rule
}

// hermite returns the Gauss-Hermite rule for a standard normal score, which value turns
// into the input.
func hermite(points int, value func(z float64) float64) []node {
	var rule []node
	if points == 3 {
		a := math.Sqrt(3)
		rule = []node{{-a, 1.0 / 6}, {0, 2.0 / 3}, {a, 1.0 / 6}}
	} else {
		near, far := math.Sqrt(5-math.Sqrt(10)), math.Sqrt(5+math.Sqrt(10))
		heavy, light := (7+2*math.Sqrt(10))/60, (7-2*math.Sqrt(10))/60
		rule = []node{{-far, light}, {-near, heavy}, {0, 8.0 / 15}, {near, heavy}, {far, light}}
	}
	for i := range rule {
		rule[i].at = value(rule[i].at)
	}
	return rule
}
