package infer

import (
	"math"
	"math/rand/v2"
	"testing"
)

// score judges probabilities by what came true.
type score struct {
	n                int
	brier, logLoss   float64 // sums
	count, said, was [5]float64
}

func (s *score) add(p float64, came bool) {
	y, likelihood := 0.0, 1-p
	if came {
		y, likelihood = 1, p
	}
	s.n++
	s.brier += (p - y) * (p - y)
	s.logLoss -= math.Log(likelihood)
	bin := min(int(p*5+1e-12), 4)
	s.count[bin]++
	s.said[bin] += p
	s.was[bin] += y
}

// parts splits the score by bins of a fifth: how far what was said lies from what was, how
// far the bins lie apart, how uncertain the thing is by itself, and the mean distance.
func (s *score) parts() (reliability, resolution, uncertainty, distance float64) {
	n := float64(s.n)
	all := 0.0
	for _, y := range s.was {
		all += y / n
	}
	for b, c := range s.count {
		if c == 0 {
			continue
		}
		said, was := s.said[b]/c, s.was[b]/c
		reliability += c / n * (said - was) * (said - was)
		resolution += c / n * (was - all) * (was - all)
		distance += c / n * math.Abs(said-was)
	}
	return reliability, resolution, all * (1 - all), distance
}

// testScoring checks the scores that TestCalibrated uses, and the kernel's decibans.
func testScoring(t *testing.T, path string) {
	var f struct {
		header
		P        []float64
		Y        []int
		Expected struct {
			Brier   float64
			LogLoss float64 `toml:"mean_log_loss_nats"`
			Bins    []struct {
				N     float64
				MeanP float64 `toml:"mean_p"`
				MeanY float64 `toml:"mean_y"`
			}
			Reliability, Resolution, Uncertainty float64
			Distance                             float64 `toml:"expected_calibration_error"`
		}
		Weight map[string]any `toml:"weight_of_evidence"` // read by testWeightOfEvidence
	}
	load(t, path, &f)
	testWeightOfEvidence(t, path)
	var s score
	for i, p := range f.P {
		s.add(p, f.Y[i] == 1)
	}
	want := f.Expected
	near(t, "brier", s.brier/float64(s.n), want.Brier, f.Tolerance)
	near(t, "log loss", s.logLoss/float64(s.n), want.LogLoss, f.Tolerance)
	if len(want.Bins) != len(s.count) {
		t.Fatalf("%d bins, want %d", len(s.count), len(want.Bins))
	}
	for b, x := range want.Bins {
		nearAll(t, "bin", []float64{s.count[b], s.said[b] / s.count[b], s.was[b] / s.count[b]}, []float64{x.N, x.MeanP, x.MeanY}, f.Tolerance)
	}
	reliability, resolution, uncertainty, distance := s.parts()
	nearAll(t, "parts", []float64{reliability, resolution, uncertainty, distance}, []float64{want.Reliability, want.Resolution, want.Uncertainty, want.Distance}, f.Tolerance)
}

// TestCalibrated draws troubles from the model itself, with answers as unsure as they
// are said to be, and counts: of the causes that were given 30 %, three in ten must be
// there. It tests the program and no roof.
func TestCalibrated(t *testing.T) {
	m := opinionModel()
	o := newOracle(m)
	e := compile(t, m)
	r := rand.New(rand.NewPCG(11, 12))
	draw := func(p []float64) int {
		x := r.Float64()
		for i, q := range p {
			if x -= q; x < 0 {
				return i
			}
		}
		return len(p) - 1
	}
	const rho = 0.85
	first := 1 + len(m.Mechanisms)
	var s score
	for range 20_000 {
		set := draw(o.net[0].cpt[0])
		x := 0 // first mechanism in the highest bit, as in the oracle's tables
		for j := range m.Mechanisms {
			x = x<<1 | draw(o.net[1+j].cpt[set])
		}
		ev := Evidence{Likelihood: map[int][]float64{}}
		for _, f := range r.Perm(len(m.Findings))[:r.IntN(len(m.Findings)+1)] {
			row := set
			if m.Findings[f].Over == OverMechanisms {
				row = x
			}
			n := len(m.Findings[f].Answers)
			a := draw(o.net[first+f].cpt[row])
			if r.Float64() > rho {
				a = r.IntN(n)
			}
			ev.Likelihood[f] = Reliable(n, a, rho)
		}
		p := update(t, e, ev)
		for c := range m.Causes {
			s.add(p.Cause(c), o.sets[set]>>c&1 == 1)
		}
	}
	_, _, _, distance := s.parts()
	if distance > 0.01 {
		t.Errorf("what is said lies %.3f from what is, on average: %+v", distance, s)
	}
	for b, c := range s.count {
		said, was := s.said[b]/c, s.was[b]/c
		// Four standard deviations of a count of so many.
		if c < 100 || math.Abs(said-was) > 4*math.Sqrt(said*(1-said)/c) {
			t.Errorf("%.0f causes were given %.3f, and %.3f of them were there", c, said, was)
		}
	}
	t.Logf("Brier %.4f, distance %.4f over %d", s.brier/float64(s.n), distance, s.n)
}
