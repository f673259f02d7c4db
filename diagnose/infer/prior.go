package infer

import "fmt"

// fillPrior fills out with P(S) under one variant, normalised within each size. It fails
// where weights are so far apart that all sets of a size vanish.
func (e *Engine) fillPrior(variant int, out []float64) error {
	n := len(e.model.Causes)
	weight := make([]float64, n)
	top := 0.0
	for c := range weight {
		weight[c] = e.model.Causes[c].Weight
		if len(e.model.Variants) > 0 && e.model.Variants[variant].Times != nil {
			weight[c] *= e.model.Variants[variant].Times[c]
		}
		top = max(top, weight[c])
	}
	for c := range weight {
		weight[c] /= top
	}
	var total [MaxSetSize + 1]float64
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		w := 1.0
		for _, c := range r.lead[:r.leads] {
			w *= weight[c]
		}
		value := out[r.from:r.to]
		own := weight[r.last:]
		sum := 0.0
		switch r.leads {
		case 0:
			copy(value, own)
		case 1:
			a := e.together[r.lead[0]*n+r.last:]
			for k := range value {
				value[k] = w * own[k] * a[k]
			}
		case 2:
			w *= e.together[r.lead[0]*n+r.lead[1]]
			a, b := e.together[r.lead[0]*n+r.last:], e.together[r.lead[1]*n+r.last:]
			for k := range value {
				value[k] = w * own[k] * a[k] * b[k]
			}
		}
		for _, v := range value {
			sum += v
		}
		total[r.size()] += sum
	}
	for size, p := range e.model.SizePrior {
		if p > 0 && !positive(total[size]) {
			return fmt.Errorf("the weights of the causes are too far apart: sets of %d have none that can be told from nought", size)
		}
	}
	for i := range e.sets.runs {
		r := &e.sets.runs[i]
		scale := e.model.SizePrior[r.size()] / total[r.size()]
		value := out[r.from:r.to]
		for k := range value {
			value[k] *= scale
		}
	}
	return nil
}

// weighSets computes P(S), the mean over the variants.
func (e *Engine) weighSets() error {
	n := len(e.model.Causes)
	e.together = ones(n * n)
	for _, p := range e.model.Pairs {
		e.together[p.A*n+p.B] = p.Factor
		e.together[p.B*n+p.A] = p.Factor
	}
	e.prior = make([]float64, e.sets.sets)
	if len(e.model.Variants) == 0 {
		return e.fillPrior(0, e.prior)
	}
	e.byVariant = make([][]float64, len(e.model.Variants))
	for v, variant := range e.model.Variants {
		if variant.P == 0 {
			continue
		}
		own := make([]float64, e.sets.sets)
		if err := e.fillPrior(v, own); err != nil {
			return fmt.Errorf("variant %q: %w", variant.ID, err)
		}
		for s, p := range own {
			e.prior[s] += float64(variant.P * p)
		}
		e.byVariant[v] = own
	}
	return nil
}

// Variants is the probability of each variant of the prior given the evidence. A
// variant bears on the evidence through the causes only.
func (p *Posterior) Variants() []float64 {
	e := p.engine
	out := make([]float64, len(e.model.Variants))
	likelihood := make([]float64, len(p.mass))
	for s, m := range p.mass {
		if m > 0 {
			likelihood[s] = m / e.prior[s]
		}
	}
	for v, own := range e.byVariant {
		if own != nil {
			out[v] = e.model.Variants[v].P * dot(likelihood, own)
		}
	}
	return out
}
