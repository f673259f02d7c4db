// Package robust asks how far a conclusion hangs on the numbers of the knowledge, which
// are judgement. It varies them all at once and counts how often the conclusion holds,
// and it turns each by itself to see which would tip it.
//
// Source: the variation of the log-odds by a normal of a width that goes with the
// confidence, after M. Pradhan, M. Henrion, G. Provan, B. Del Favero and K. Huang, The
// sensitivity of belief networks to imprecise probabilities (1996), from memory.
package robust

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"underlap/diagnose/infer"
)

// Spread is how unsure each number of a model is: the standard deviation of its
// log-odds, of the logarithm for a weight. Nought keeps a number as it is.
type Spread struct {
	Cause      []float64   // weights, by cause
	Leak       []float64   // by mechanism
	Link       []float64   // by mechanism; links of equal strength move together, as one word
	Background []float64   // by finding
	Row        [][]float64 // by finding and row
}

// Vary draws a model in which every number is moved by its spread. Rows still sum to 1.
func Vary(m *infer.Model, s *Spread, random *rand.Rand) infer.Model {
	out := *m
	out.Causes = slices.Clone(m.Causes)
	for c := range out.Causes {
		out.Causes[c].Weight *= math.Exp(s.Cause[c] * random.NormFloat64())
	}
	out.Mechanisms = slices.Clone(m.Mechanisms)
	for j := range out.Mechanisms {
		x := &out.Mechanisms[j]
		x.Leak = moved(x.Leak, s.Leak[j]*random.NormFloat64())
		x.Links = slices.Clone(x.Links)
		said := map[float64]float64{}
		for k := range x.Links {
			word := x.Links[k].Lambda
			if _, ok := said[word]; !ok {
				said[word] = moved(word, s.Link[j]*random.NormFloat64())
			}
			x.Links[k].Lambda = said[word]
		}
	}
	out.Findings = slices.Clone(m.Findings)
	for f := range out.Findings {
		x := &out.Findings[f]
		if x.Form == infer.Table {
			continue
		}
		x.Background = variedRow(x.Background, s.Background[f], random)
		x.Rows = slices.Clone(x.Rows)
		for k := range x.Rows {
			x.Rows[k].P = variedRow(x.Rows[k].P, s.Row[f][k], random)
		}
	}
	return out
}

// moved adds to the log-odds of a probability.
func moved(p, by float64) float64 {
	odds := p / (1 - p) * math.Exp(by)
	return min(max(odds/(1+odds), least), 1-least)
}

// least keeps a number that was moved very far from becoming impossible or certain.
const least = 1e-9

// variedRow moves every answer's share by itself and brings the row back to 1.
func variedRow(row []float64, sd float64, random *rand.Rand) []float64 {
	out := make([]float64, len(row))
	sum := 0.0
	for a, p := range row {
		out[a] = p * math.Exp(sd*random.NormFloat64())
		sum += out[a]
	}
	floor := least * sum
	sum = 0
	for a := range out {
		out[a] = max(out[a], floor)
		sum += out[a]
	}
	for a := range out {
		out[a] /= sum
	}
	return out
}

// Outcome is what a reader takes away: the first cause and the repair chosen, by index,
// and -1 where there is none.
type Outcome struct {
	Cause, Repair int
}

// Judge draws the outcome from a posterior.
type Judge func(*infer.Posterior) Outcome

// Repeat varies the model so many times and judges each, the same for the same seed. It
// fails when ctx ends or a model does not compile.
func Repeat(ctx context.Context, m *infer.Model, s *Spread, ev infer.Evidence, judge Judge, times int, seed uint64) ([]Outcome, error) {
	random := rand.New(rand.NewPCG(seed, 0))
	out := make([]Outcome, 0, times)
	for range times {
		o, err := outcome(ctx, Vary(m, s, random), ev, judge)
		if err != nil {
			return nil, err
		}
		out = append(out, o)
	}
	return out, nil
}

func outcome(ctx context.Context, m infer.Model, ev infer.Evidence, judge Judge) (Outcome, error) {
	if err := ctx.Err(); err != nil {
		return Outcome{}, err
	}
	e, err := infer.Compile(m)
	if err != nil {
		return Outcome{}, err
	}
	p, err := e.Update(ev)
	if err != nil {
		return Outcome{}, err
	}
	return judge(p), nil
}

// Number is one number of a model: the share that a row of a finding gives an answer,
// or with Finding below nought the weight of a cause.
type Number struct {
	Finding, Row, Answer int
	Cause                int
}

// Tip is what becomes of the outcome when one number's odds are multiplied.
type Tip struct {
	Number
	Times   float64
	Was, Is float64 // the number itself
	Outcome Outcome
}

// Tips turns each number by itself, its odds doubled and halved, and returns those that
// change the outcome from what it is. It fails like Repeat.
func Tips(ctx context.Context, m *infer.Model, ev infer.Evidence, judge Judge, now Outcome, numbers []Number) ([]Tip, error) {
	var out []Tip
	for _, n := range numbers {
		for _, times := range []float64{2, 0.5} {
			turned := *m
			tip := Tip{Number: n, Times: times}
			if n.Finding < 0 {
				turned.Causes = slices.Clone(m.Causes)
				tip.Was = turned.Causes[n.Cause].Weight
				tip.Is = tip.Was * times
				turned.Causes[n.Cause].Weight = tip.Is
			} else {
				turned.Findings = slices.Clone(m.Findings)
				f := &turned.Findings[n.Finding]
				f.Rows = slices.Clone(f.Rows)
				row := slices.Clone(f.Rows[n.Row].P)
				tip.Was = row[n.Answer]
				tip.Is = moved(tip.Was, math.Log(times))
				for a := range row {
					row[a] *= (1 - tip.Is) / (1 - tip.Was)
				}
				row[n.Answer] = tip.Is
				f.Rows[n.Row].P = row
			}
			var err error
			if tip.Outcome, err = outcome(ctx, turned, ev, judge); err != nil {
				return nil, err
			}
			if tip.Outcome != now {
				out = append(out, tip)
			}
		}
	}
	return out, nil
}
