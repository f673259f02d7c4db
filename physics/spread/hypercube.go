package spread

import (
	"math/rand/v2"
	"slices"
)

// sweeps is how often the pairing is improved, once from the first input to the last
// and once back each time. After two the correlations left no longer fall.
const sweeps = 2

// hypercube returns for each of d inputs the order in which its n strata are met, as a
// fraction at the middle of the stratum. The random pairing of McKay, Beckman and
// Conover leaves correlations of about 1/sqrt(n) between inputs, which would widen or
// narrow the band by chance; ranked Gram-Schmidt takes most of them out.
func hypercube(n, d int, seed uint64) [][]float64 {
	rng := rand.New(rand.NewPCG(seed, 0x756e6465726c6170))
	cells := make([]float64, n*d)
	out := make([][]float64, d)
	for j := range out {
		col := cells[j*n : (j+1)*n : (j+1)*n]
		for i := range col {
			col[i] = (float64(i) + 0.5) / float64(n)
		}
		rng.Shuffle(n, func(a, b int) { col[a], col[b] = col[b], col[a] })
		out[j] = col
	}
	order := make([]int, n)
	rest := make([]float64, n)
	for range sweeps {
		for j := 1; j < d; j++ {
			reorder(out[j], out[:j], rest, order)
		}
		for j := d - 2; j >= 0; j-- {
			reorder(out[j], out[j+1:], rest, order)
		}
	}
	return out
}

// reorder puts the strata of col in the order of what is left of it when its regression
// on each of the others is taken out.
//
// Source: Owen 1994, Controlling correlations in Latin hypercube samples, from memory
// of it.
func reorder(col []float64, others [][]float64, rest []float64, order []int) {
	n := float64(len(col))
	for i, u := range col {
		rest[i] = u - 0.5
	}
	square := (n*n - 1) / (12 * n) // sum of the squares of a column about its mean
	for _, o := range others {
		dot := 0.0
		for i, u := range o {
			dot += rest[i] * (u - 0.5)
		}
		dot /= square
		for i, u := range o {
			rest[i] -= dot * (u - 0.5)
		}
	}
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch {
		case rest[a] < rest[b]:
			return -1
		case rest[a] > rest[b]:
			return 1
		default:
			return 0
		}
	})
	for rank, i := range order {
		col[i] = (float64(rank) + 0.5) / n
	}
}
