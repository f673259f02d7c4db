package main

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"underlap/rules"
	"underlap/testdata/trial/world"
)

// learner is a yardstick that has no knowledge of roofs: it has seen other calls of the
// same world with their truth and counts which answers went with which cause (naive
// Bayes, one more call added to each count). What it reaches tells how much the answers
// of this world hold; the engine never sees such calls.
type learner struct {
	t     *trial
	tame  float64 // power on the likelihoods: answers are not independent
	prior []float64
	seen  []map[string]float64 // by cause: feature -> calls with it
	asked []map[string]float64 // by cause: question -> calls that answered it
	size  map[string]float64   // question -> number of its answers
}

// features are a caller's answers, each as question and answer. A figure is put in a
// bin: doublings of its size.
func (t *trial) features(c *world.Call) map[string][]string {
	out := map[string][]string{}
	for _, q := range t.asked {
		a := c.Says[q.ID].Text
		if a == "unknown" || q.Kind == rules.KindPlace || q.Kind == rules.KindText {
			continue
		}
		switch {
		case q.Kind == rules.KindSeveral:
			ticks := strings.Split(a, ",")
			for _, o := range q.Answers {
				out[q.ID+"/"+o] = []string{strconv.FormatBool(slices.Contains(ticks, o))}
			}
		case slices.Contains(q.Answers, a):
			out[q.ID] = []string{a}
		default:
			out[q.ID] = []string{doubling(a)}
		}
	}
	return out
}

func doubling(text string) string {
	number, _, _ := strings.Cut(text, " ")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil || v <= 0 {
		return "none"
	}
	return fmt.Sprint(math.Round(math.Log2(v)))
}

// learn counts n calls of a seed, and sets the power on the last fifth of them.
func (t *trial) learn(seed uint64, n int) (*learner, error) {
	calls, err := t.calls(seed, n)
	if err != nil {
		return nil, err
	}
	l := &learner{t: t, size: map[string]float64{}}
	for range t.pack.Causes {
		l.prior = append(l.prior, 0.3)
		l.seen, l.asked = append(l.seen, map[string]float64{}), append(l.asked, map[string]float64{})
	}
	values := map[string]map[string]bool{}
	cut := n * 4 / 5
	count := func(c *world.Call) {
		w := 1 / float64(len(c.Truth))
		for q, list := range t.features(c) {
			for _, a := range list {
				if values[q] == nil {
					values[q] = map[string]bool{}
				}
				values[q][a] = true
				l.size[q] = float64(len(values[q]))
				for _, x := range c.Truth {
					i := t.cause[x.ID]
					l.seen[i][q+"="+a] += w
					l.asked[i][q] += w
				}
			}
		}
		for _, x := range c.Truth {
			l.prior[t.cause[x.ID]] += w
		}
	}
	for _, c := range calls[:cut] {
		count(c)
	}
	best := math.Inf(-1)
	for _, tame := range []float64{0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 1} {
		try := *l
		try.tame = tame
		got := 0.0
		for _, c := range calls[cut:] {
			got += math.Log(math.Max(1e-6, try.probabilities(c)[t.cause[c.Truth[0].ID]]))
		}
		if got > best {
			best, l.tame = got, tame
		}
	}
	for _, c := range calls[cut:] {
		count(c)
	}
	return l, nil
}

// probabilities are of single causes and sum to 1.
func (l *learner) probabilities(c *world.Call) []float64 {
	p := make([]float64, len(l.prior))
	f := l.t.features(c)
	keys := make([]string, 0, len(f))
	for q := range f {
		keys = append(keys, q)
	}
	slices.Sort(keys) // sums in one order: the same to the last digit
	most := math.Inf(-1)
	for i := range p {
		s := 0.0
		for _, q := range keys {
			size := math.Max(2, l.size[q])
			for _, a := range f[q] {
				s += math.Log((l.seen[i][q+"="+a] + 1) / (l.asked[i][q] + size))
			}
		}
		p[i] = math.Log(l.prior[i]) + l.tame*s
		most = math.Max(most, p[i])
	}
	total := 0.0
	for i := range p {
		p[i] = math.Exp(p[i] - most)
		total += p[i]
	}
	for i := range p {
		p[i] /= total
	}
	return p
}
