package spread_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
	"underlap/physics/spread"
)

// Independent references used here: closed forms for sums of normals and products of
// lognormals, the published Sobol indices of the Ishigami function (Saltelli and others
// 2008) and of Sobol's g-function, and the theorem of McKay, Beckman and Conover on the
// variance of Latin hypercube sampling.

const z95 = 1.6448536269514722 // 95 % point of the normal distribution (tables)

func propagate(t testing.TB, n int, seed uint64, inputs []spread.Input, f func(x []float64) float64) spread.Band {
	t.Helper()
	b, err := spread.Propagate(n, seed, inputs, func(x []float64) (float64, error) { return f(x), nil })
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func shares(b spread.Band) []float64 {
	var out []float64
	for _, s := range b.Shares {
		out = append(out, s.Of)
	}
	return out
}

func TestQuantilesOfTheDistributions(t *testing.T) {
	for _, c := range []struct {
		in   spread.Input
		u, x float64
	}{
		{spread.Uniform("x", 2, 6), 0.25, 3},
		{spread.Triangular("x", 0, 1, 4), 0.25, 1},                // a quarter lies below the mode
		{spread.Triangular("x", 0, 1, 4), 0.0625, 0.5},            // u = x^2/4
		{spread.Triangular("x", 0, 1, 4), 0.75, 4 - math.Sqrt(3)}, // 1-u = (4-x)^2/12
		{spread.Triangular("x", 0, 0, 1), 0.75, 0.5},              // mode at an end
		{spread.Triangular("x", 0, 1, 1), 0.25, 0.5},              // and the other
		{spread.Normal("x", 10, 2), 0.5, 10},                      //
		{spread.Normal("x", 10, 2), 0.95, 10 + 2*z95},             // tables
		{spread.Normal("x", 0, 1), 0.975, 1.959963984540054},      // tables
		{spread.Normal("x", 0, 1), 0.001, -3.090232306167814},     // tables
		{spread.LogNormal("x", 3, 2), 0.5, 3},                     //
		{spread.LogNormal("x", 3, 2), 0.95, 6},                    // the factor's meaning
		{spread.LogNormal("x", 3, 2), 0.05, 1.5},                  //
		{spread.Discrete("x", []float64{1, 2, 5}, []float64{2, 1, 1}), 0.49, 1},
		{spread.Discrete("x", []float64{1, 2, 5}, []float64{2, 1, 1}), 0.51, 2},
		{spread.Discrete("x", []float64{1, 2, 5}, []float64{2, 1, 1}), 0.76, 5},
		{spread.Fixed("x", 7), 0.3, 7},
	} {
		vectortest.Near(t, "quantile", c.in.Quantile(c.u), c.x, 1e-12*math.Max(1, math.Abs(c.x)))
	}
}

// Every stratum of every input is met once, and inputs are all but uncorrelated.
func TestSamplesAreALatinHypercube(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.IntRange(1, 12).Draw(t, "d")
		n := rapid.IntRange(max(16, 4*d), 200).Draw(t, "n")
		inputs := make([]spread.Input, d)
		for j := range inputs {
			inputs[j] = spread.Uniform("x", 0, 1)
		}
		columns := make([][]float64, d)
		if _, err := spread.Propagate(n, rapid.Uint64().Draw(t, "seed"), inputs, func(x []float64) (float64, error) {
			for j, v := range x {
				columns[j] = append(columns[j], v)
			}
			return x[0], nil
		}); err != nil {
			t.Fatal(err)
		}
		for j, col := range columns {
			for k := range j {
				r := 0.0
				for i := range col {
					r += 12 / float64(n) * (col[i] - 0.5) * (columns[k][i] - 0.5)
				}
				if math.Abs(r) > 0.15 || (n >= 100 && math.Abs(r) > 0.03) {
					t.Errorf("n %d, d %d: inputs %d and %d have a correlation of %v", n, d, j, k, r)
				}
			}
		}
		for _, col := range columns {
			slices.Sort(col)
			for i, v := range col {
				if math.Abs(v-(float64(i)+0.5)/float64(n)) > 1e-12 {
					t.Fatalf("stratum %d holds %v", i, v)
				}
			}
		}
	})
}

// The samples are the middles of their strata, so that a single input is given back to
// the last digit wherever its quantile is straight between them.
func TestOneInputIsGivenBack(t *testing.T) {
	for _, n := range []int{16, 33, 100} {
		b := propagate(t, n, 1, []spread.Input{spread.Uniform("x", 0, 1)}, func(x []float64) float64 { return x[0] })
		for want, got := range map[float64]float64{0.05: b.Low, 0.5: b.Mid, 0.95: b.High} {
			vectortest.Near(t, "quantile", got, want, 1e-12)
		}
	}
}

// A sum of normals is normal: mean and variance add up, and each share is its part of
// the variance.
func TestSumOfNormals(t *testing.T) {
	inputs := []spread.Input{spread.Normal("a", 1, 1), spread.Normal("b", 2, 2), spread.Fixed("c", 10), spread.Normal("d", 3, 0.5), spread.Fixed("e", 0)}
	f := func(x []float64) float64 { return x[0] + x[1] + x[2] - 2*x[3] + x[4] }
	mean, sd := 1+2+10-6.0, math.Sqrt(1+4+1)
	const runs = 40
	low, mid, high := 0.0, 0.0, 0.0
	for seed := range uint64(runs) {
		b := propagate(t, 128, seed, inputs, f)
		low += math.Pow((b.Low-(mean-z95*sd))/(2*z95*sd), 2) / runs
		mid += math.Pow((b.Mid-mean)/(2*z95*sd), 2) / runs
		high += math.Pow((b.High-(mean+z95*sd))/(2*z95*sd), 2) / runs
		for j, want := range []float64{1.0 / 6, 4.0 / 6, 0, 1.0 / 6, 0} {
			vectortest.Near(t, "share", b.Shares[j].Of, want, 1e-9)
		}
		vectortest.Near(t, "rest", b.Joint, 0, 1e-9)
		if b.Dominant != 1 || b.Shares[1].Name != "b" {
			t.Errorf("dominant %d of %v", b.Dominant, b.Shares)
		}
	}
	t.Logf("errors as shares of the width, n 128: low %.3f, mid %.3f, high %.3f", math.Sqrt(low), math.Sqrt(mid), math.Sqrt(high))
	if math.Sqrt(low) > 0.06 || math.Sqrt(mid) > 0.035 || math.Sqrt(high) > 0.06 {
		t.Errorf("errors as shares of the width: low %.3f, mid %.3f, high %.3f", math.Sqrt(low), math.Sqrt(mid), math.Sqrt(high))
	}
	b := propagate(t, 20000, 1, inputs, f)
	vectortest.Near(t, "low", b.Low, mean-z95*sd, 0.02*sd)
	vectortest.Near(t, "mid", b.Mid, mean, 0.02*sd)
	vectortest.Near(t, "high", b.High, mean+z95*sd, 0.02*sd)
}

// A product of lognormals is lognormal: the logarithms of the factors add up as squares.
// The first-order index is (exp s_i^2 - 1)/(exp s^2 - 1), s the standard deviations of
// the logarithms.
func TestProductOfLogNormals(t *testing.T) {
	factors := []float64{1.2, 1.5, 1.8}
	inputs := []spread.Input{spread.LogNormal("a", 2, factors[0]), spread.LogNormal("b", 3, factors[1]), spread.LogNormal("c", 4, factors[2])}
	f := func(x []float64) float64 { return x[0] * x[1] / x[2] }
	square := 0.0
	for _, v := range factors {
		square += math.Log(v) * math.Log(v)
	}
	factor := math.Exp(math.Sqrt(square))
	b := propagate(t, 20000, 3, inputs, f)
	vectortest.NearRel(t, "low", b.Low, 1.5/factor, 0.01)
	vectortest.NearRel(t, "mid", b.Mid, 1.5, 0.01)
	vectortest.NearRel(t, "high", b.High, 1.5*factor, 0.01)
	small := propagate(t, 200, 3, inputs, f)
	for j, v := range factors {
		s, all := math.Pow(math.Log(v)/z95, 2), square/z95/z95
		want := math.Expm1(s) / math.Expm1(all)
		vectortest.Near(t, "share", b.Shares[j].Of, want, 0.01)
		vectortest.Near(t, "share of few samples", small.Shares[j].Of, want, 0.1)
	}
}

func ishigami(x []float64) float64 {
	return math.Sin(x[0]) + 7*math.Pow(math.Sin(x[1]), 2) + 0.1*math.Pow(x[2], 4)*math.Sin(x[0])
}

func ishigamiInputs() []spread.Input {
	var out []spread.Input
	for _, name := range []string{"x1", "x2", "x3"} {
		out = append(out, spread.Uniform(name, -math.Pi, math.Pi))
	}
	return out
}

// The first-order indices of the Ishigami function with a 7 and b 0.1 are 0.3139, 0.4424
// and 0 (Saltelli and others 2008, Global Sensitivity Analysis: the Primer).
func TestSharesOfTheIshigamiFunction(t *testing.T) {
	want := []float64{0.3139, 0.4424, 0}
	for n, tol := range map[int]float64{200: 0.08, 2000: 0.03, 20000: 0.01} {
		const runs = 10
		mean := make([]float64, 3)
		for seed := range uint64(runs) {
			b := propagate(t, n, seed, ishigamiInputs(), ishigami)
			for j, s := range shares(b) {
				vectortest.Near(t, fmt.Sprintf("share %d with %d samples", j+1, n), s, want[j], tol)
				mean[j] += s / runs
			}
			if b.Dominant != 1 {
				t.Errorf("dominant %d with %d samples", b.Dominant, n)
			}
		}
		for j := range mean {
			vectortest.Near(t, fmt.Sprintf("mean share %d with %d samples", j+1, n), mean[j], want[j], tol/3)
		}
	}
}

// Sobol's g-function, prod (|4x-2| + a)/(1 + a): the variance of one term is
// 1/(3 (1+a)^2), that of all prod(1 + it) - 1. It has a kink that no polynomial follows.
func TestSharesOfSobolsFunction(t *testing.T) {
	a := []float64{0, 1, 4.5, 9, 99, 99}
	inputs := make([]spread.Input, len(a))
	all := 1.0
	for j := range a {
		inputs[j] = spread.Uniform("x", 0, 1)
		all *= 1 + 1/(3*(1+a[j])*(1+a[j]))
	}
	b := propagate(t, 1000, 1, inputs, func(x []float64) float64 {
		p := 1.0
		for j := range x {
			p *= (math.Abs(4*x[j]-2) + a[j]) / (1 + a[j])
		}
		return p
	})
	for j, s := range shares(b) {
		vectortest.Near(t, "share", s, 1/(3*(1+a[j])*(1+a[j]))/(all-1), 0.04)
	}
}

// A few values out of many, in no order of effect: what each does is seen all the same.
func TestSharesOfDiscreteInputs(t *testing.T) {
	inputs := []spread.Input{
		spread.Discrete("kind", []float64{1, 2, 3}, []float64{1, 1, 2}),
		spread.Uniform("x", 0, math.Sqrt(12)), // variance 1
	}
	effect := map[float64]float64{1: 0, 2: 4, 3: 0} // mean 1, variance 16/4 - 1 = 3
	b := propagate(t, 64, 1, inputs, func(x []float64) float64 { return effect[x[0]] + x[1] })
	vectortest.Near(t, "kind", b.Shares[0].Of, 0.75, 0.01)
	vectortest.Near(t, "x", b.Shares[1].Of, 0.25, 0.01)
}

func TestNothingDominatesWhereNothingCounts(t *testing.T) {
	inputs := []spread.Input{spread.Normal("a", 0, 1), spread.Normal("b", 0, 1), spread.Fixed("c", 1)}
	b := propagate(t, 100, 1, inputs, func([]float64) float64 { return 3.3 })
	want := spread.Band{Mid: 3.3, Low: 3.3, High: 3.3, Shares: []spread.Share{{"a", 0}, {"b", 0}, {"c", 0}}, Dominant: -1, Joint: 1}
	if diff := cmp.Diff(want, b); diff != "" {
		t.Errorf("a constant (-want +got):\n%s", diff)
	}
	// a b alone: neither counts by itself.
	b = propagate(t, 2000, 1, inputs, func(x []float64) float64 { return x[0] * x[1] * x[2] })
	if b.Dominant != -1 || b.Joint < 0.9 || b.Shares[2].Of != 0 {
		t.Errorf("only together: %+v", b)
	}
	// Nor may much be fitted to chance where samples are few: without the check on the degree
	// this comes to 0.18.
	mean := 0.0
	const runs = 50
	for seed := range uint64(runs) {
		b := propagate(t, 64, seed, ishigamiInputs(), func(x []float64) float64 { return x[0] * x[1] * x[2] })
		mean += (1 - b.Joint) / runs
	}
	if mean > 0.12 {
		t.Errorf("chance is taken for %v of the variance", mean)
	}
}

// For sums that rise or fall steadily in each input Latin hypercube sampling never has a
// larger variance than plain sampling of as many points (McKay, Beckman and Conover
// 1979); for sums of one-input terms next to none is left (Stein 1987).
func TestHypercubeBeatsPlainSampling(t *testing.T) {
	inputs := []spread.Input{spread.Uniform("a", 0, 1), spread.Normal("b", 0, 1), spread.LogNormal("c", 1, 2)}
	for name, c := range map[string]struct {
		f    func(x []float64) float64
		most float64 // share of the plain variance
	}{
		"additive": {func(x []float64) float64 { return math.Exp(x[0]) + x[1] + x[2]*x[2] }, 0.01},
		"monotone": {func(x []float64) float64 { return (1 + x[0]) * (4 + x[1]) * x[2] }, 0.1},
	} {
		const runs, n = 200, 64
		variance := func(sample func(seed uint64) float64) float64 {
			mean, square := 0.0, 0.0
			for seed := range uint64(runs) {
				m := sample(seed)
				mean += m / runs
				square += m * m / runs
			}
			return square - mean*mean
		}
		latin := variance(func(seed uint64) float64 {
			sum := 0.0
			propagate(t, n, seed, inputs, func(x []float64) float64 {
				y := c.f(x)
				sum += y / n
				return y
			})
			return sum
		})
		plain := variance(func(seed uint64) float64 {
			rng := rand.New(rand.NewPCG(seed, 99))
			sum, x := 0.0, make([]float64, len(inputs))
			for range n {
				for j, in := range inputs {
					x[j] = in.Quantile(math.Max(1e-12, rng.Float64()))
				}
				sum += c.f(x) / n
			}
			return sum
		})
		t.Logf("%s: variance of the mean %.4f of that of plain sampling", name, latin/plain)
		if !(latin < c.most*plain) {
			t.Errorf("%s: variance of the mean %v, plain sampling %v", name, latin, plain)
		}
	}
}

// Moments in closed form: uniform (b-a)^2/12, triangular (a^2+b^2+c^2-ab-ac-bc)/18,
// lognormal exp(s^2/2) and its variance, and a product of independent inputs.
func TestQuadratureAgainstClosedForms(t *testing.T) {
	one := func(x []float64) (float64, error) { return x[0], nil }
	s := math.Log(1.5) / z95
	for _, c := range []struct {
		in       spread.Input
		mean, sd float64
		tol      float64
	}{
		{spread.Uniform("x", 2, 5), 3.5, 3 / math.Sqrt(12), 1e-12},
		{spread.Triangular("x", 0, 1, 4), 5.0 / 3, math.Sqrt((1 + 16 - 4) / 18.0), 1e-12},
		{spread.Triangular("x", 0, 0, 1), 1.0 / 3, math.Sqrt(1 / 18.0), 1e-12},
		{spread.Triangular("x", 0, 1, 1), 2.0 / 3, math.Sqrt(1 / 18.0), 1e-12},
		{spread.Normal("x", 3, 2), 3, 2, 1e-12},
		{spread.LogNormal("x", 2, 1.5), 2 * math.Exp(s*s/2), 2 * math.Exp(s*s/2) * math.Sqrt(math.Expm1(s*s)), 1e-4},
		{spread.Discrete("x", []float64{1, 2, 5}, []float64{2, 1, 1}), 2.25, math.Sqrt(2.6875), 1e-12},
		{spread.Fixed("x", 7), 7, 0, 1e-12},
		{spread.Input{Name: "own", Quantile: func(u float64) float64 { return u * u }}, 1.0 / 3, math.Sqrt(1.0/5 - 1.0/9), 1e-12},
	} {
		for _, points := range []int{3, 5} {
			mean, sd, err := spread.Quadrature(points, []spread.Input{c.in}, one)
			if err != nil {
				t.Fatal(err)
			}
			tol := c.tol
			if points == 3 {
				tol *= 20
			}
			vectortest.Near(t, "mean", mean, c.mean, tol)
			vectortest.Near(t, "standard deviation", sd, c.sd, math.Max(tol, 1e-7))
		}
	}
	// Fourth moment of the normal, 3, and of the uniform from -1 to 1, 1/5: the five points
	// must have it, as x^2 has a variance of 2 and of 4/45.
	square := func(x []float64) (float64, error) { return x[0] * x[0], nil }
	for _, c := range []struct {
		in       spread.Input
		mean, sd float64
	}{{spread.Normal("x", 0, 1), 1, math.Sqrt2}, {spread.Uniform("x", -1, 1), 1.0 / 3, math.Sqrt(4.0 / 45)}} {
		mean, sd, err := spread.Quadrature(5, []spread.Input{c.in}, square)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, "mean square", mean, c.mean, 1e-12)
		vectortest.Near(t, "its deviation", sd, c.sd, 1e-12)
	}
	// Three inputs: mean of a product is the product of the means, likewise of squares.
	mean, sd, err := spread.Quadrature(5, []spread.Input{spread.Normal("a", 2, 1), spread.Fixed("k", 3), spread.Uniform("b", 0, 2), spread.Normal("c", -1, 0.5)},
		func(x []float64) (float64, error) { return x[0] * x[1] * x[2] * x[3], nil })
	if err != nil {
		t.Fatal(err)
	}
	vectortest.Near(t, "mean of a product", mean, -6, 1e-12)
	vectortest.Near(t, "deviation of a product", sd, math.Sqrt(9*5*(4.0/3)*1.25-36), 1e-12)
}

// The two ways must agree where both hold.
func TestPropagateAgreesWithQuadrature(t *testing.T) {
	inputs := []spread.Input{spread.Triangular("lambda", 0.03, 0.04, 0.06), spread.Uniform("thickness", 0.1, 0.2), spread.Normal("others", 0.44, 0.05)}
	f := func(x []float64) float64 { return 1 / (x[1]/x[0] + x[2]) }
	mean, sd, err := spread.Quadrature(5, inputs, func(x []float64) (float64, error) { return f(x), nil })
	if err != nil {
		t.Fatal(err)
	}
	sum, squares := 0.0, 0.0
	const n = 4000
	b := propagate(t, n, 1, inputs, func(x []float64) float64 {
		y := f(x)
		sum += y / n
		squares += y * y / n
		return y
	})
	vectortest.NearRel(t, "mean", sum, mean, 0.001)
	vectortest.NearRel(t, "standard deviation", math.Sqrt(squares-sum*sum), sd, 0.01)
	if !(b.Low < mean && mean < b.High && b.Low > mean-2*sd && b.High < mean+2.5*sd) {
		t.Errorf("band %+v, mean %v, sd %v", b, mean, sd)
	}
}

func TestManyAnswersFromTheSameSamples(t *testing.T) {
	runs := 0
	bands, err := spread.PropagateMany(150, 7, ishigamiInputs(), 3, func(x, y []float64) error {
		runs++
		y[0], y[1], y[2] = ishigami(x), x[2], -5*x[0]
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if runs != 150 {
		t.Errorf("%d runs, want 150", runs)
	}
	for k, f := range []func(x []float64) float64{ishigami, func(x []float64) float64 { return x[2] }, func(x []float64) float64 { return -5 * x[0] }} {
		if diff := cmp.Diff(propagate(t, 150, 7, ishigamiInputs(), f), bands[k]); diff != "" {
			t.Errorf("answer %d alone and among others (-alone +among):\n%s", k, diff)
		}
	}
	if bands[1].Dominant != 2 || bands[2].Dominant != 0 {
		t.Errorf("dominant %d and %d", bands[1].Dominant, bands[2].Dominant)
	}
	if diff := cmp.Diff(bands[0], propagate(t, 150, 8, ishigamiInputs(), ishigami)); diff == "" {
		t.Error("another seed gives the same band")
	}
}

// The same inputs give the same band, bit for bit, and scaling or shifting the answer
// scales or shifts the band and leaves the shares alone.
func TestBandsAreReproducibleAndScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.IntRange(1, 6).Draw(t, "d")
		n := rapid.IntRange(max(16, 4*d), 150).Draw(t, "n")
		seed := rapid.Uint64().Draw(t, "seed")
		inputs := make([]spread.Input, d)
		weights := make([]float64, d)
		for j := range inputs {
			weights[j] = rapid.Float64Range(-3, 3).Draw(t, "weight")
			inputs[j] = rapid.SampledFrom([]spread.Input{
				spread.Uniform("u", -1, 2), spread.Triangular("t", 0, 1, 5), spread.Normal("n", 0, 1),
				spread.LogNormal("l", 1, 3), spread.Discrete("d", []float64{0, 1}, []float64{1, 3}), spread.Fixed("f", 2),
			}).Draw(t, "input")
		}
		f := func(x []float64) float64 {
			s := 0.0
			for j, v := range x {
				s += weights[j]*v + 0.3*v*x[0]
			}
			return s
		}
		run := func(a, b float64) spread.Band {
			out, err := spread.Propagate(n, seed, inputs, func(x []float64) (float64, error) { return a + b*f(x), nil })
			if err != nil {
				t.Fatal(err)
			}
			return out
		}
		first, again, scaled := run(0, 1), run(0, 1), run(7, -2)
		if diff := cmp.Diff(first, again); diff != "" {
			t.Fatalf("twice the same:\n%s", diff)
		}
		sum := first.Joint
		for j, s := range first.Shares {
			if !(s.Of >= 0 && s.Of <= 1) {
				t.Fatalf("share %v", s)
			}
			sum += s.Of
			if math.Abs(s.Of-scaled.Shares[j].Of) > 1e-6 {
				t.Fatalf("share %v, scaled %v", s, scaled.Shares[j])
			}
		}
		if math.Abs(sum-1) > 1e-9 || !(first.Low <= first.Mid && first.Mid <= first.High) {
			t.Fatalf("%+v", first)
		}
		size := math.Abs(first.Low) + math.Abs(first.High) + 1
		if math.Abs(scaled.Low-(7-2*first.High)) > 1e-9*size || math.Abs(scaled.Mid-(7-2*first.Mid)) > 1e-9*size {
			t.Fatalf("%+v, scaled %+v", first, scaled)
		}
	})
}

func TestBadDataIsRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := spread.Uniform("x", 0, 1)
	first := func(x []float64) (float64, error) { return x[0], nil }
	for name, c := range map[string]struct {
		in   spread.Input
		want string
	}{
		"uniform upside down":  {spread.Uniform("p", 1, 0), "input p"},
		"uniform of no width":  {spread.Uniform("p", 1, 1), "high end"},
		"uniform to infinity":  {spread.Uniform("p", 0, inf), "high end"},
		"triangular mode":      {spread.Triangular("p", 0, 2, 1), "mode"},
		"triangular NaN":       {spread.Triangular("p", nan, 0, 1), "low end"},
		"normal of no width":   {spread.Normal("p", 0, 0), "standard deviation"},
		"normal NaN":           {spread.Normal("p", nan, 1), "mean"},
		"lognormal median":     {spread.LogNormal("p", 0, 2), "median"},
		"lognormal factor":     {spread.LogNormal("p", 1, 1), "factor"},
		"lognormal infinite":   {spread.LogNormal("p", 1, inf), "factor"},
		"discrete of nothing":  {spread.Discrete("p", nil, nil), "values"},
		"discrete uneven":      {spread.Discrete("p", []float64{1, 2}, []float64{1}), "weights"},
		"discrete negative":    {spread.Discrete("p", []float64{1, 2}, []float64{2, -1}), "weight"},
		"discrete NaN":         {spread.Discrete("p", []float64{1, nan}, []float64{2, 1}), "value"},
		"discrete weightless":  {spread.Discrete("p", []float64{1, 2}, []float64{0, 0}), "sum of weights"},
		"fixed NaN":            {spread.Fixed("p", nan), "value"},
		"no quantile function": {spread.Input{Name: "p"}, "no quantile"},
		"quantile NaN":         {spread.Input{Name: "p", Quantile: func(float64) float64 { return nan }}, "NaN"},
	} {
		_, err := spread.Propagate(64, 1, []spread.Input{good, c.in}, first)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
		if _, _, err := spread.Quadrature(3, []spread.Input{c.in}, first); err == nil {
			t.Errorf("%s: no error from Quadrature", name)
		}
	}
	broken := errors.New("broken")
	for name, run := range map[string]func() error{
		"no inputs":   func() error { _, err := spread.Propagate(64, 1, nil, first); return err },
		"few samples": func() error { _, err := spread.Propagate(15, 1, []spread.Input{good}, first); return err },
		"many inputs": func() error { _, err := spread.Propagate(16, 1, make5(good), first); return err },
		"too many":    func() error { _, err := spread.Propagate(1<<21, 1, []spread.Input{good}, first); return err },
		"no answers":  func() error { _, err := spread.PropagateMany(64, 1, []spread.Input{good}, 0, nil); return err },
		"answer NaN": func() error {
			_, err := spread.Propagate(64, 1, []spread.Input{good}, func([]float64) (float64, error) { return nan, nil })
			return err
		},
		"four points":     func() error { _, _, err := spread.Quadrature(4, []spread.Input{good}, first); return err },
		"none to combine": func() error { _, _, err := spread.Quadrature(3, nil, first); return err },
		"four inputs":     func() error { _, _, err := spread.Quadrature(3, make5(good)[:4], first); return err },
		"run NaN": func() error {
			_, _, err := spread.Quadrature(3, []spread.Input{good}, func([]float64) (float64, error) { return nan, nil })
			return err
		},
	} {
		if run() == nil {
			t.Errorf("%s: no error", name)
		}
	}
	fails := func([]float64) (float64, error) { return 0, broken }
	if _, err := spread.Propagate(64, 1, []spread.Input{good}, fails); !errors.Is(err, broken) {
		t.Errorf("the sum's own error is lost: %v", err)
	}
	if _, _, err := spread.Quadrature(3, []spread.Input{good}, fails); !errors.Is(err, broken) {
		t.Errorf("the sum's own error is lost: %v", err)
	}
}

func make5(in spread.Input) []spread.Input { return []spread.Input{in, in, in, in, in} }

func ExamplePropagate() {
	inputs := []spread.Input{
		spread.Triangular("thickness, m", 0.08, 0.1, 0.12),
		spread.LogNormal("conductivity, W/mK", 0.022, 1.3),
	}
	b, err := spread.Propagate(128, 1, inputs, func(x []float64) (float64, error) {
		return 1 / (x[0]/x[1] + 0.44), nil
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("U %.2f W/m2K, %.2f to %.2f; most of it is %s\n", b.Mid, b.Low, b.High, b.Shares[b.Dominant].Name)
	// Output: U 0.20 W/m2K, 0.15 to 0.26; most of it is conductivity, W/mK
}

func BenchmarkPropagate(b *testing.B) {
	inputs := make([]spread.Input, 10)
	for j := range inputs {
		inputs[j] = spread.Normal("x", 0, 1)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := spread.Propagate(128, 1, inputs, func(x []float64) (float64, error) {
			s := 0.0
			for _, v := range x {
				s += v + v*v
			}
			return s, nil
		}); err != nil {
			b.Fatal(err)
		}
	}
}
