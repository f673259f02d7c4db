package record

import (
	"math"
	"strconv"
)

// Rate draws a rate towards the one believed. believed is its share of the calls that
// the belief is worth, found how often it was met, and expected how often it should have
// been: the posterior mean of a rate with a gamma prior and a Poisson count,
// (a + n)/(a + e), as a multiple of the rate believed (Gelman and others, Bayesian Data
// Analysis, section 2.6; from memory). Where all cases are alike it is the posterior
// mean of Dirichlet shares, (a + n)/(A + N), for then e = N a/A.
func Rate(believed, found, expected float64) float64 {
	return (believed + found) / (believed + expected)
}

// Towards goes from an old value to the best one by n cases' worth of the way: n/(n +
// worth), the weight that a mean of n cases has against a belief worth so many. by and
// back are the scale on which the way is measured and its inverse.
func Towards(old, best, n, worth float64, by, back func(float64) float64) float64 {
	if best == old || n == 0 {
		return old
	}
	return back(by(old) + n/(n+worth)*(by(best)-by(old)))
}

func logit(p float64) float64    { return math.Log(p / (1 - p)) }
func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// rounded keeps three figures.
func rounded(v float64) float64 {
	out, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 3, 64), 64)
	if err != nil {
		return v
	}
	return out
}
