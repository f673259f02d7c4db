package condense

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// An independent way to the flows of a month. Condensation at each node is not
// negative, pressure is not above saturation, and one of the two is at its limit: a
// linear complementarity problem. It is solved by an active set: guess which
// nodes are at saturation, solve the linear equations of flow for the rest, let go
// the nodes that would have to lose water and take in those above saturation, until
// the guess stands. No string or hull is drawn.
//
// Source of the method: self-made after the textbook scheme for obstacle problems.
func complementarity(t *rapid.T, sat, sd []float64, held []bool) (rate []float64, in, out float64) {
	n := len(sd)
	open := make([]float64, n-1) // conductance between neighbours
	for k := range open {
		open[k] = delta0 / (sd[k+1] - sd[k])
	}
	atLimit := make([]bool, n)
	for k := range atLimit {
		atLimit[k] = true
	}
	p, gain := make([]float64, n), make([]float64, n)
	for round := 0; ; round++ {
		if round > 10*n {
			t.Fatal("the active set does not settle")
		}
		flowEquations(p, sat, open, atLimit)
		changed := false
		for k := 1; k < n-1; k++ {
			gain[k] = open[k-1]*(p[k-1]-p[k]) - open[k]*(p[k]-p[k+1])
			noise := 1e-13 * sat[k]
			switch {
			case held[k]:
			case atLimit[k] && gain[k] < -noise*(open[k-1]+open[k]):
				atLimit[k], changed = false, true
			case !atLimit[k] && p[k] > sat[k]+noise:
				atLimit[k], changed = true, true
			}
			if !atLimit[k] {
				gain[k] = 0
			}
		}
		if !changed {
			return gain, open[0] * (p[0] - p[1]), open[n-2] * (p[n-2] - p[n-1])
		}
	}
}

// flowEquations solves for the pressures at which no water stays at the nodes that
// are not at their limit: elimination in a band of three, with the row sums carried
// along so that nothing is subtracted.
func flowEquations(p, sat, open []float64, atLimit []bool) {
	n := len(p)
	up, right := make([]float64, n), make([]float64, n)
	rowSum, known := 0.0, 0.0
	for k := range n {
		if atLimit[k] {
			up[k], right[k] = 0, sat[k]
			known = sat[k]
			if k < n-1 {
				rowSum = open[k]
			}
			continue
		}
		pivot := rowSum + open[k]
		up[k] = open[k] / pivot
		right[k] = rowSum * known / pivot
		rowSum = open[k] * rowSum / pivot
	}
	p[n-1] = right[n-1]
	for k := n - 2; k >= 0; k-- {
		p[k] = right[k] + up[k]*p[k+1]
	}
}

func TestStringSolvesTheComplementarityProblem(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		roof := new(Roof)
		if err := roof.Reset(drawLayers(t), 0.10, 0.04); err != nil {
			t.Fatal(err)
		}
		c := drawClimate(t)
		var w Workspace
		if err := w.prepare(roof, &c, drawIndoor(t)); err != nil {
			t.Fatal(err)
		}
		n := len(roof.sd)
		held := make([]bool, n)
		var wet []int
		for k := 1; k < n-1; k++ {
			if rapid.IntRange(0, 5).Draw(t, "wet?") == 0 {
				held[k] = true
				wet = append(wet, k)
			}
		}
		for i := range w.months {
			m := &w.months[i]
			m.string.pull(m.p, roof.sd, wet)
			got := make([]float64, n)
			for j, k := range m.string.node {
				got[k] = m.string.rate[j]
			}
			want, in, out := complementarity(t, m.p, roof.sd, held)
			for k := 1; k < n-1; k++ {
				// Flows next to a node are known to the rounding of the pressures.
				near := 1e-11 * delta0 * m.p[k] * (1/(roof.sd[k]-roof.sd[k-1]) + 1/(roof.sd[k+1]-roof.sd[k]))
				if !(math.Abs(got[k]-want[k]) <= near) {
					t.Fatalf("month %d, node %d of %d gains %v, want %v within %v", i, k, n, got[k], want[k], near)
				}
			}
			nearIn := 1e-11 * delta0 * (m.p[0] + m.p[1]) / roof.sd[1]
			nearOut := 1e-11 * delta0 * (m.p[n-2] + m.p[n-1]) / (roof.sd[n-1] - roof.sd[n-2])
			if !(math.Abs(m.string.in-in) <= nearIn && math.Abs(m.string.out-out) <= nearOut) {
				t.Fatalf("month %d: flows in %v and out %v, want %v and %v", i, m.string.in, m.string.out, in, out)
			}
		}
	})
}
