package infer

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestBundle checks a bundle of two findings against every pair of answers.
func TestBundle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, _, e, ev, _, _ := possible(t)
		scopes, damage := drawScopes(t, &m)
		p := update(t, e, ev)
		var looks []Look
		for f := range m.Findings {
			if ev.Likelihood[f] == nil && len(looks) < 2 {
				looks = append(looks, Look{Finding: f, Reliability: rapid.SampledFrom([]float64{1, 0.7}).Draw(t, "reliability")})
			}
		}
		if len(looks) < 2 {
			t.Skip("fewer than two open")
		}
		decide := func(p *Posterior) Decision { return must(e.Decide(p, scopes, damage)) }
		now := decide(p)
		want, same := now.Loss[now.Best], 0.0
		first, second := len(m.Findings[looks[0].Finding].Answers), len(m.Findings[looks[1].Finding].Answers)
		for a := range first {
			for b := range second {
				both := ev.With(looks[0].Finding, Reliable(first, a, looks[0].Reliability)).With(looks[1].Finding, Reliable(second, b, looks[1].Reliability))
				q, err := e.Update(both)
				if err != nil {
					continue
				}
				share := math.Exp(q.LogEvidence() - p.LogEvidence())
				d := decide(q)
				want -= share * d.Loss[d.Best]
				if d.Best == now.Best {
					same += share
				}
			}
		}
		const draws = 300
		got, err := e.Bundle(p, looks, scopes, damage, draws, 1)
		if err != nil {
			t.Fatal(err)
		}
		// Five standard errors, and as much again where a rare answer was not drawn.
		if d := math.Abs(got.EVSI - want); d > 5*got.SE+0.05*math.Abs(now.Loss[now.Best])+1e-9 {
			t.Errorf("worth %.4f with standard error %.4f, by all answers %.4f", got.EVSI, got.SE, want)
		}
		if d := math.Abs(got.SameDecision - same); d > 5*math.Sqrt(same*(1-same)/draws)+0.03 {
			t.Errorf("same decision %.3f, by all answers %.3f", got.SameDecision, same)
		}
		again, err := e.Bundle(p, []Look{looks[1], looks[0]}, scopes, damage, draws, 1)
		if err != nil || again != got {
			t.Errorf("in another order %+v (%v), not %+v", again, err, got)
		}
	})
}

// Answers drawn from the model itself are no more surprising than expected: the mean
// excess of each is nought, and of the strain too.
func TestHonestAnswersDoNotStrain(t *testing.T) {
	m := benchModel(12, []float64{0, 0.7, 0.2, 0.1})
	e := must(Compile(m))
	prior := must(e.Update(Evidence{}))
	w := newWorlds(prior, 7)
	const cases, asked, rho = 400, 12, 0.85
	mean, square := 0.0, 0.0
	for k := range cases {
		causes, state := w.draw()
		ev := Evidence{Likelihood: map[int][]float64{}}
		for i := range asked {
			f := (k + i*7) % len(m.Findings)
			ev.Likelihood[f] = Reliable(len(m.Findings[f].Answers), w.hear(Look{Finding: f, Reliability: rho}, causes, state), rho)
		}
		z := Strain(must(e.Surprise(ev)))
		mean += z / cases
		square += z * z / cases
	}
	sd := math.Sqrt(square - mean*mean)
	t.Logf("strain of honest answers: mean %.3f, spread %.3f", mean, sd)
	if math.Abs(mean) > 4*sd/math.Sqrt(cases) || sd < 0.6 || sd > 1.6 {
		t.Errorf("mean %.3f, spread %.3f", mean, sd)
	}
}
