package sightings

import (
	"math"
	"math/rand"
	"testing"
)

// Series made by other models, with what callers get wrong: the driver at work comes
// first as a rule, and a share of x per cent is right x times in a hundred.
func TestRankingIsHonest(t *testing.T) {
	const each = 200
	// Least share of first places, by driver. Wind and rain share their wet days, and a
	// record of nothing in particular may be the use of the house as well.
	least := map[string]float64{Rain: 0.8, Wind: 0.4, Cold: 0.7, Thaw: 0.7, InUse: 0.9, Constant: 0.85, None: 0.45}
	type bin struct{ said, was, n float64 }
	var bins [10]bin
	score, blind := 0.0, 0.0
	for _, d := range drivers {
		rnd := rand.New(rand.NewSource(int64(len(d.id))*1000 + int64(d.id[0])))
		first, taken := map[string]int{}, 0
		for range each {
			r := Compare(someRoof(t, rnd, d.id, 90))
			if !r.Enough {
				continue
			}
			taken++
			first[r.Drivers[0].ID]++
			for _, x := range r.Drivers {
				b := &bins[min(int(10*x.P), 9)]
				b.n++
				b.said += x.P
				y := 0.0
				if x.ID == d.id {
					b.was++
					y = 1
				}
				score += (x.P - y) * (x.P - y) / each / float64(len(drivers))
				blind += (1/float64(len(drivers)) - y) * (1/float64(len(drivers)) - y) / each / float64(len(drivers))
			}
		}
		share := float64(first[d.id]) / float64(taken)
		t.Logf("%-9s first in %3.0f %% of %d; first places %v", d.id, 100*share, taken, first)
		if taken < each/2 || share < least[d.id] {
			t.Errorf("%s comes first in %.2f of %d, want %.2f", d.id, share, taken, least[d.id])
		}
	}
	for i, b := range bins {
		t.Logf("said %d to %d %%: %5.0f times, said %.3f in the mean, was so %.3f", 10*i, 10*i+10, b.n, b.said/b.n, b.was/b.n)
		if b.n < 80 {
			t.Errorf("said %d to %d %%: only %.0f times, the test says little", 10*i, 10*i+10, b.n)
		}
		if off := math.Abs(b.said-b.was) / b.n; off > 0.14 {
			t.Errorf("said %d to %d %%: off by %.3f", 10*i, 10*i+10, off)
		}
	}
	t.Logf("Brier score %.3f, of equal shares %.3f", score, blind)
	if score > 0.4*blind {
		t.Errorf("the Brier score is %.3f, with nothing known %.3f", score, blind)
	}
}
