package rules

import (
	"math"
	"slices"
	"sort"
)

// Alike is a pair of causes that the interview can hardly tell apart.
type Alike struct {
	A, B string // ids
	// Decibans is what all answers together are expected to say for the true one of
	// the two and against the other, as heard on the phone; for the harder of the two.
	Decibans float64
	// BuildUp tells that the way the roof is stacked would part them.
	BuildUp bool
}

// hardlyApart is the weight under which a pair is reported: odds of two to one.
const hardlyApart = 3.0

// Alikes lists the pairs of causes that all questions together part by less than 3
// decibans, the closest first: the expected log-likelihood ratio over everything that
// could be answered. Causes that need facts which exclude one another are no pair. It
// is worked out from the pack alone and knows of no roof, so gates and sums are left out.
func (p *Pack) Alikes() []Alike {
	heard := make([]map[string]answers, len(p.Causes))
	for i := range p.Causes {
		heard[i] = p.heard(&p.Causes[i])
	}
	var out []Alike
	for i := range p.Causes {
		for j := i + 1; j < len(p.Causes); j++ {
			a, b := &p.Causes[i], &p.Causes[j]
			if a.ID == OtherCause || b.ID == OtherCause || !p.consistent(append(slices.Clone(a.Needs), b.Needs...)) {
				continue
			}
			d := math.Min(apart(heard[i], heard[j]), apart(heard[j], heard[i]))
			if d >= hardlyApart {
				continue
			}
			x, y := p.stacked(a), p.stacked(b)
			byType := math.Min(weight(x, y), weight(y, x))
			out = append(out, Alike{A: a.ID, B: b.ID, Decibans: d, BuildUp: d+byType >= hardlyApart})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Decibans < out[j].Decibans })
	return out
}

// answers are the shares of the answers to one finding as heard, and what they are
// where a cause has no say in them.
type answers struct{ share, background []float64 }

// apart is the expected weight in decibans of all findings for a when a is true.
func apart(a, b map[string]answers) float64 {
	sum := 0.0
	for id, x := range a {
		other := x.background
		if y, ok := b[id]; ok {
			other = y.share
		}
		sum += weight(x.share, other)
	}
	for id, y := range b {
		if _, ok := a[id]; !ok {
			sum += weight(y.background, y.share)
		}
	}
	return sum
}

func weight(p, q []float64) float64 {
	sum := 0.0
	for i := range p {
		sum += p[i] * 10 * math.Log10(p[i]/q[i])
	}
	return sum
}

// heard is everything the cause alone would make a caller say, by finding.
func (p *Pack) heard(c *Cause) map[string]answers {
	out := map[string]answers{}
	for _, s := range append(p.Signs(c.Links), p.ranges(c)...) {
		out[s.Question.ID+"/"+s.Option] = p.noisy(s)
	}
	for id, s := range p.throughMechanisms(c) {
		out[id] = p.noisy(s)
	}
	return out
}

// stacked is how the ways of stacking fall where the cause is at work, if every era is
// as likely as another, as somebody on the phone would have it.
func (p *Pack) stacked(c *Cause) []float64 {
	s := Sign{Question: &Question{}, Share: make([]float64, len(BuildTypes))}
	sum := 0.0
	for i, t := range BuildTypes {
		factor, ok := c.ByType[t]
		if !ok {
			factor = 1
		}
		for _, e := range p.BuildUp.Eras {
			s.Share[i] += factor * e.Types[t]
		}
		sum += s.Share[i]
	}
	for i := range s.Share {
		s.Share[i] /= sum
	}
	return p.noisy(s).share
}

// noisy mixes a sign with the noise of an answer told on the phone.
func (p *Pack) noisy(s Sign) answers {
	rel := s.Question.Told
	if rel == 0 {
		for _, k := range p.Words.Known {
			if k.ID == "told" {
				rel = k.Reliability
			}
		}
	}
	mix := func(v []float64) []float64 {
		out := make([]float64, len(v))
		for i := range v {
			out[i] = rel*v[i] + (1-rel)/float64(len(v))
		}
		return out
	}
	return answers{mix(s.Share), mix(s.Background)}
}

// throughMechanisms is what the cause makes callers say of weather and timing: the
// mean over the mechanisms that it may or may not set to work.
func (p *Pack) throughMechanisms(c *Cause) map[string]Sign {
	out := map[string]Sign{}
	n := len(p.Mechanisms)
	signs := make([][]Sign, n)
	chance := make([]float64, n)
	for j := range p.Mechanisms {
		m := &p.Mechanisms[j]
		signs[j] = p.Signs(m.Links)
		chance[j] = m.Leak
		for _, a := range c.Acts {
			if a.Mechanism == m.ID {
				chance[j] = 1 - (1-m.Leak)*(1-p.Words.Strength[a.Strength])
			}
		}
		for _, s := range signs[j] {
			id := s.Question.ID + "/" + s.Option
			if _, ok := out[id]; !ok {
				out[id] = Sign{Question: s.Question, Option: s.Option, Share: make([]float64, len(s.Share)), Background: s.Background}
			}
		}
	}
	for x := range 1 << n {
		px := 1.0
		for j, l := range chance {
			if x>>j&1 == 1 {
				px *= l
			} else {
				px *= 1 - l
			}
		}
		for id, total := range out {
			for i, v := range meanRow(id, signs, x, total.Background) {
				total.Share[i] += px * v
			}
		}
	}
	return out
}

// meanRow is the row of one finding with the mechanisms of x at work.
func meanRow(id string, signs [][]Sign, x int, background []float64) []float64 {
	sum, n := make([]float64, len(background)), 0.0
	for j, list := range signs {
		if x>>j&1 == 0 {
			continue
		}
		for _, s := range list {
			if s.Question.ID+"/"+s.Option != id {
				continue
			}
			n++
			for i, v := range s.Share {
				sum[i] += v
			}
		}
	}
	if n == 0 {
		return background
	}
	for i := range sum {
		sum[i] /= n
	}
	return sum
}
