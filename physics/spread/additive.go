package spread

import "math"

// maxDegree is the highest degree fitted. Eight follows two full waves.
const maxDegree = 8

// additive fits a sum of polynomials, one for each input, to samples. The columns are
// polynomials orthonormal over the samples of their own input, the first degree of all
// inputs, then the second and so on; the QR decomposition of them serves every answer.
type additive struct {
	n, d  int
	input []int       // of each column
	round []int       // of each column: its degree less one
	q     [][]float64 // orthonormal columns
	r     [][]float64 // r[k] is column k of R, k+1 long
}

// newAdditive makes the fit for samples, given as the values of each input.
func newAdditive(values [][]float64) *additive {
	d, n := len(values), len(values[0])
	a := &additive{n: n, d: d}
	top := min(maxDegree, max(1, n/(3*d)))
	all := make([][][]float64, d)
	for j := range all {
		all[j] = shapes(values[j], top)
	}
	for round := range top {
		for j := range all {
			if round < len(all[j]) {
				a.add(all[j][round], j, round)
			}
		}
	}
	return a
}

// add puts one column into the decomposition, unless the columns before it say the same.
func (a *additive) add(col []float64, input, round int) {
	v := append([]float64(nil), col...)
	r := make([]float64, len(a.q)+1)
	norm := project(v, a.q, r)
	if norm < 1e-6*math.Sqrt(float64(a.n)) {
		return
	}
	for i := range v {
		v[i] /= norm
	}
	r[len(a.q)] = norm
	a.q, a.r = append(a.q, v), append(a.r, r)
	a.input, a.round = append(a.input, input), append(a.round, round)
}

// shares returns the first-order index of each input in the answers y. Chance makes the
// square of a coefficient too large by its variance on average; that is taken off.
func (a *additive) shares(y []float64) []float64 {
	out := make([]float64, a.d)
	mean, n := 0.0, float64(a.n)
	for _, v := range y {
		mean += v / n
	}
	left, total := make([]float64, a.n), 0.0
	for i, v := range y {
		left[i] = v - mean
		total += left[i] * left[i]
	}
	if total <= 1e-24*n*mean*mean {
		return out // it does not vary, but for rounding
	}
	on := make([]float64, len(a.q)) // the answer along each column of Q
	residual, best, use := total, total/((n-1)*(n-1)), 0
	for k, q := range a.q {
		on[k] = dot(q, left)
		residual -= on[k] * on[k]
		if k+1 < len(a.q) && a.round[k+1] == a.round[k] {
			continue
		}
		free := n - float64(k) - 2 // the mean is a column too
		if gcv := math.Max(0, residual) / (free * free); gcv < best*(1-1e-9) {
			best, use = gcv, k+1
		}
	}
	// Back substitution: coefficients of the shapes from those of Q.
	c := on[:use]
	fitted := dot(c, c)
	for k := use - 1; k >= 0; k-- {
		c[k] /= a.r[k][k]
		for i := range k {
			c[i] -= c[k] * a.r[k][i]
		}
	}
	free := n - float64(use) - 1
	rest := math.Max(0, total-fitted) / free // variance of what does not fit
	for k, v := range c {
		out[a.input[k]] += v*v - rest/free
	}
	// The whole is added up from its parts: the variance of the answers themselves also
	// holds what little correlation is left between the samples of the inputs.
	whole := rest
	for j := range out {
		out[j] = math.Max(0, out[j])
		whole += out[j]
	}
	for j := range out {
		out[j] /= whole
	}
	return out
}

// shapes returns up to top columns, each of mean 0 and mean square 1 over the samples
// and at right angles to the others: polynomials of rising degree in the input. There
// are fewer when the input has few values, and none when it is fixed.
func shapes(values []float64, top int) [][]float64 {
	n := math.Sqrt(float64(len(values)))
	ones := make([]float64, len(values))
	largest := 0.0
	for i, v := range values {
		ones[i] = 1 / n
		largest = math.Max(largest, math.Abs(v))
	}
	columns := [][]float64{ones} // of length 1; the mean is one of them
	x := append([]float64(nil), values...)
	size := project(x, columns, nil)
	if size <= 1e-12*largest*n {
		return nil
	}
	for i := range x {
		x[i] *= n / size // as a shape: mean 0, mean square 1
	}
	for range top {
		// The last polynomial times the input holds what is new in the next degree.
		last := columns[len(columns)-1]
		v := make([]float64, len(x))
		for i := range v {
			v[i] = x[i] * last[i]
		}
		norm := project(v, columns, nil)
		if norm < 1e-6 {
			break
		}
		for i := range v {
			v[i] /= norm
		}
		columns = append(columns, v)
	}
	for _, v := range columns[1:] {
		for i := range v {
			v[i] *= n
		}
	}
	return columns[1:]
}

// project takes out of v its parts along columns of length 1 at right angles, puts them
// into parts unless that is nil, and returns the length of what is left.
func project(v []float64, columns [][]float64, parts []float64) float64 {
	for k, q := range columns {
		s := dot(q, v)
		if parts != nil {
			parts[k] = s
		}
		for i := range v {
			v[i] -= s * q[i]
		}
	}
	return math.Sqrt(dot(v, v))
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}
