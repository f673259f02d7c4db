package climate

import "math"

// noise draws numbers that are near to normally distributed, mean 0 and variance 1,
// none beyond 3.5. The same seed gives the same numbers on any machine and with any
// release of Go.
//
// Source: SplitMix64 of Steele, Lea and Flood (2014), from memory; the sum of four
// evenly spread numbers (Irwin-Hall).
type noise uint64

func (n *noise) next() float64 {
	*n += 0x9e3779b97f4a7c15
	z := uint64(*n)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	sum := z&0xffff + z>>16&0xffff + z>>32&0xffff + z>>48
	return (float64(sum)/0x10000 - 2 + 2.0/0x10000) * math.Sqrt(3)
}

// even is evenly spread between 0 and 1, both left out.
func (n *noise) even() float64 { return spread(n.next()) }

// spread is the share of normally distributed numbers that lie below z.
func spread(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// wander is a closed series of count numbers of variance 1, of which each keeps a share
// of the one before: after the last comes the first. keep is from 0 to below 1.
func (n *noise) wander(count int, keep float64) []float64 {
	fresh := make([]float64, count)
	for i := range fresh {
		fresh[i] = math.Sqrt(1-keep*keep) * n.next()
	}
	out := make([]float64, count)
	v := 0.0
	for range 2 { // the first time round brings the value with which to begin
		for i, x := range fresh {
			v = keep*v + x
			out[i] = v
		}
	}
	return out
}
