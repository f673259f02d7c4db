package transport

import "math"

// isotherm is relative humidity as a smooth rising function of water content, through
// the points of a sorption isotherm and on to free saturation.
//
// Between the points it is a cubic in each piece with slopes that keep it rising (Fritsch
// and Carlson, SIAM J. Numer. Anal. 17, 1980). Above the last point 1 - rh falls as a
// power of the room left to free saturation, without a corner: what a body takes up
// there hardly raises the humidity in its pores.
type isotherm struct {
	w, rh, slope []float64 // nodes from (0, 0)
	free, power  float64   // of the part above the last node
}

func newIsotherm(points []Sorption, free float64) *isotherm {
	t := &isotherm{w: []float64{0}, rh: []float64{0}, free: free}
	for _, p := range points {
		t.w = append(t.w, p.Water)
		t.rh = append(t.rh, p.RH)
	}
	n := len(t.w)
	secant := func(i int) float64 { return (t.rh[i+1] - t.rh[i]) / (t.w[i+1] - t.w[i]) }
	t.slope = make([]float64, n)
	t.slope[0] = secant(0)
	for i := 1; i < n-1; i++ {
		// The harmonic mean of neighbours keeps every piece rising.
		a, b := secant(i-1), secant(i)
		t.slope[i] = 2 * a * b / (a + b)
	}
	t.slope[n-1] = secant(n - 2)
	t.power = math.Max(1, t.slope[n-1]*(free-t.w[n-1])/(1-t.rh[n-1]))
	return t
}

// at returns the relative humidity at water w, kg/m3, and its slope.
func (t *isotherm) at(w float64) (rh, slope float64) {
	n := len(t.w)
	last := n - 1
	if w >= t.w[last] {
		room := t.free - t.w[last]
		left := math.Max(0, t.free-w) / room
		dry := (1 - t.rh[last]) * math.Pow(left, t.power-1)
		// Never quite level: a pressure that stands still drives nothing.
		return 1 - dry*left, dry*t.power/room + 1e-6
	}
	i := 0
	for w >= t.w[i+1] {
		i++
	}
	h := t.w[i+1] - t.w[i]
	x := (w - t.w[i]) / h
	y := 1 - x
	a, b, da, db := t.rh[i], t.rh[i+1], t.slope[i]*h, t.slope[i+1]*h
	rh = a*(1+2*x)*y*y + b*x*x*(1+2*y) + da*x*y*y - db*x*x*y
	slope = (6*x*y*(b-a) + da*y*(1-3*x) + db*x*(3*x-2)) / h
	return rh, slope
}

// waterAt is the inverse of at by halving; at 1 it is a little under free saturation.
func (t *isotherm) waterAt(rh float64) float64 {
	lo, hi := 0.0, t.free
	for range 60 {
		mid := (lo + hi) / 2
		if x, _ := t.at(mid); x < rh {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}
