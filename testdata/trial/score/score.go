// Package score holds stated probabilities against the truth: Brier and logarithmic
// scores, reliability, the area under the curve of an alarm, and intervals by drawing
// the calls again.
package score

import (
	"math"
	"math/rand/v2"
	"slices"
	"sort"
)

// Clip keeps a logarithmic score finite: what was called impossible counts as 1 in 100.
const Clip = 0.01

// Brier is the sum over the causes of the squared distance from the truth, 0 to the
// number of causes. p and true are by cause.
func Brier(p []float64, is []bool) float64 {
	t := 0.0
	for i := range p {
		d := p[i] - one(is[i])
		t += d * d
	}
	return t
}

// Log is the sum over the causes of minus the logarithm of the probability given to
// what was so, in nats, with probabilities kept Clip from 0 and 1.
func Log(p []float64, is []bool) float64 {
	t := 0.0
	for i := range p {
		x := math.Max(Clip, math.Min(1-Clip, p[i]))
		if !is[i] {
			x = 1 - x
		}
		t -= math.Log(x)
	}
	return t
}

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// Bin is one row of a reliability table.
type Bin struct {
	From, To float64
	Count    int
	Said     float64 // mean of what was said
	Was      float64 // share that was so
}

// Reliability sorts statements into n bins of equal width.
func Reliability(p []float64, is []bool, n int) []Bin {
	bins := make([]Bin, n)
	for i := range bins {
		bins[i].From, bins[i].To = float64(i)/float64(n), float64(i+1)/float64(n)
	}
	for i := range p {
		b := &bins[min(n-1, max(0, int(p[i]*float64(n))))]
		b.Count++
		b.Said += p[i]
		b.Was += one(is[i])
	}
	for i := range bins {
		if n := float64(bins[i].Count); n > 0 {
			bins[i].Said, bins[i].Was = bins[i].Said/n, bins[i].Was/n
		}
	}
	return bins
}

// ECE is the expected calibration error: the mean distance between said and was over
// the bins, by count.
func ECE(bins []Bin) float64 {
	n, t := 0, 0.0
	for _, b := range bins {
		n += b.Count
		t += float64(b.Count) * math.Abs(b.Said-b.Was)
	}
	if n == 0 {
		return 0
	}
	return t / float64(n)
}

// AUC is the probability that an alarm is louder on a case that is so than on one that
// is not; ties count half. NaN when there is none of either. It is the rank sum of
// Mann and Whitney, without listing the pairs.
func AUC(p []float64, is []bool) float64 {
	order := make([]int, len(p))
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(a, b int) bool { return p[order[a]] < p[order[b]] })
	yes, ranks := 0.0, 0.0
	for from := 0; from < len(order); {
		to := from
		for to < len(order) && p[order[to]] == p[order[from]] {
			to++
		}
		for _, i := range order[from:to] {
			if is[i] {
				yes++
				ranks += float64(from+to+1) / 2
			}
		}
		from = to
	}
	no := float64(len(p)) - yes
	if yes == 0 || no == 0 {
		return math.NaN()
	}
	return (ranks - yes*(yes+1)/2) / (yes * no)
}

// Mean of a list; NaN when it is empty.
func Mean(v []float64) float64 {
	t := 0.0
	for _, x := range v {
		t += x
	}
	return t / float64(len(v))
}

// Interval is a figure with its 95 % interval.
type Interval struct{ At, Low, High float64 }

// Bootstrap draws n cases again with replacement, reps times, and gives the figure of
// all cases with the 2.5 and 97.5 % of those of the draws. Draws whose figure is NaN
// are left out.
func Bootstrap(n, reps int, seed uint64, figure func(cases []int) float64) Interval {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	out := Interval{At: figure(all)}
	r := rand.New(rand.NewPCG(seed, 0xb007))
	var got []float64
	draw := make([]int, n)
	for range reps {
		for i := range draw {
			draw[i] = r.IntN(n)
		}
		if x := figure(draw); !math.IsNaN(x) {
			got = append(got, x)
		}
	}
	if len(got) == 0 {
		out.Low, out.High = math.NaN(), math.NaN()
		return out
	}
	slices.Sort(got)
	at := func(q float64) float64 { return got[min(len(got)-1, int(q*float64(len(got))))] }
	out.Low, out.High = at(0.025), at(0.975)
	return out
}
