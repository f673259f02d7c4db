package infer

import (
	"errors"
	"fmt"
	"math"
)

// rowTolerance is how far a distribution may be from summing to 1.
const rowTolerance = 1e-9

// validator collects every fault, so that a rule file can be mended in one go.
type validator struct {
	model  *Model
	faults []error
}

func (v *validator) faultf(format string, args ...any) {
	v.faults = append(v.faults, fmt.Errorf(format, args...))
}

// Validate checks the model and returns all faults joined. Each names its entry.
func (m *Model) Validate() error {
	v := &validator{model: m}
	v.causes()
	v.sizePrior()
	v.pairs()
	if !finite(m.Power) || m.Power < 0 {
		v.faultf("power %g is not a number from 0 up", m.Power)
	}
	v.variants()
	v.mechanisms()
	v.findings()
	return errors.Join(v.faults...)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

func positive(x float64) bool { return finite(x) && x > 0 }

// probability accepts [0,1], and only the open interval unless AllowHard is set.
func (v *validator) probability(p float64) bool {
	if v.model.AllowHard {
		return p >= 0 && p <= 1
	}
	return p > 0 && p < 1
}

func (v *validator) identify(kind string, i int, id string, seen map[string]bool) {
	switch {
	case id == "":
		v.faultf("%s %d has no id", kind, i)
	case seen[id]:
		v.faultf("%s %q appears twice", kind, id)
	}
	seen[id] = true
}

func (v *validator) causes() {
	if len(v.model.Causes) == 0 {
		v.faultf("the model has no causes")
	}
	seen := map[string]bool{}
	for i, c := range v.model.Causes {
		v.identify("cause", i, c.ID, seen)
		if !positive(c.Weight) {
			v.faultf("cause %q: weight %g is not a positive number", c.ID, c.Weight)
		}
	}
}

func (v *validator) sizePrior() {
	prior := v.model.SizePrior
	if len(prior) < 2 || len(prior) > MaxSetSize+1 {
		v.faultf("size prior: %d entries, want 2 to %d", len(prior), MaxSetSize+1)
		return
	}
	if prior[0] != 0 {
		v.faultf("size prior: entry 0 is %g, want 0", prior[0])
	}
	sum, sets := 0.0, 0.0
	for k, p := range prior {
		if !finite(p) || p < 0 {
			v.faultf("size prior: entry %d is %g, want a probability", k, p)
			return
		}
		sum += p
		if p > 0 && k > len(v.model.Causes) {
			v.faultf("size prior: entry %d is %g, but there are only %d causes", k, p, len(v.model.Causes))
		}
		if p > 0 {
			sets += binomial(len(v.model.Causes), k)
		}
	}
	if math.Abs(sum-1) > rowTolerance {
		v.faultf("size prior sums to %.12g, want 1", sum)
	}
	if sets > MaxSets {
		v.faultf("%d causes give %.0f sets, more than %d", len(v.model.Causes), sets, MaxSets)
	}
}

func binomial(n, k int) float64 {
	b := 1.0
	for i := range k {
		b = b * float64(n-i) / float64(i+1)
	}
	return b
}

func (v *validator) pairs() {
	n := len(v.model.Causes)
	seen := map[[2]int]bool{}
	for i, p := range v.model.Pairs {
		key := [2]int{min(p.A, p.B), max(p.A, p.B)}
		switch {
		case key[0] < 0 || key[1] >= n:
			v.faultf("pair %d: causes %d and %d, want 0 to %d", i, p.A, p.B, n-1)
		case p.A == p.B:
			v.faultf("pair %d: cause %q is paired with itself", i, v.model.Causes[p.A].ID)
		case seen[key]:
			v.faultf("pair %d: causes %q and %q are paired twice", i, v.model.Causes[p.A].ID, v.model.Causes[p.B].ID)
		}
		seen[key] = true
		if !positive(p.Factor) {
			v.faultf("pair %d: factor %g is not a positive number", i, p.Factor)
		}
	}
}

func (v *validator) variants() {
	seen := map[string]bool{}
	sum := 0.0
	for i, x := range v.model.Variants {
		v.identify("variant", i, x.ID, seen)
		if !finite(x.P) || x.P < 0 {
			v.faultf("variant %q: probability %g is not a number from 0 up", x.ID, x.P)
		}
		sum += x.P
		if x.Times != nil && len(x.Times) != len(v.model.Causes) {
			v.faultf("variant %q: %d factors for %d causes", x.ID, len(x.Times), len(v.model.Causes))
		}
		for c, t := range x.Times {
			if !positive(t) {
				v.faultf("variant %q: factor %d is %g, want a positive number", x.ID, c, t)
			}
		}
	}
	if len(seen) > 0 && !(math.Abs(sum-1) <= rowTolerance) {
		v.faultf("the variants sum to %.12g, want 1", sum)
	}
}

func (v *validator) mechanisms() {
	if len(v.model.Mechanisms) > MaxMechanisms {
		v.faultf("%d mechanisms, at most %d are possible", len(v.model.Mechanisms), MaxMechanisms)
	}
	n := len(v.model.Causes)
	seen := map[string]bool{}
	for i, m := range v.model.Mechanisms {
		v.identify("mechanism", i, m.ID, seen)
		if !v.probability(m.Leak) {
			v.faultf("mechanism %q: leak %g is not a usable probability", m.ID, m.Leak)
		}
		if math.IsNaN(m.Gate) || m.Gate < 0 || m.Gate > 1 {
			v.faultf("mechanism %q: gate %g is not in 0 to 1", m.ID, m.Gate)
		}
		linked := map[int]bool{}
		for k, l := range m.Links {
			if l.Cause < 0 || l.Cause >= n {
				v.faultf("mechanism %q: link %d: cause %d, want 0 to %d", m.ID, k, l.Cause, n-1)
				continue
			}
			if linked[l.Cause] {
				v.faultf("mechanism %q: cause %q is linked twice", m.ID, v.model.Causes[l.Cause].ID)
			}
			linked[l.Cause] = true
			if !v.probability(l.Lambda) {
				v.faultf("mechanism %q: link from %q: %g is not a usable probability", m.ID, v.model.Causes[l.Cause].ID, l.Lambda)
			}
		}
	}
}

func (v *validator) findings() {
	seen := map[string]bool{}
	for i := range v.model.Findings {
		f := &v.model.Findings[i]
		v.identify("finding", i, f.ID, seen)
		if len(f.Answers) < 2 {
			v.faultf("finding %q: %d answers, want at least 2", f.ID, len(f.Answers))
		}
		if !finite(f.Cost) || f.Cost < 0 {
			v.faultf("finding %q: cost %g is not a sum of money", f.ID, f.Cost)
		}
		if math.IsNaN(f.Reliability) || f.Reliability < 0 || f.Reliability > 1 {
			v.faultf("finding %q: reliability %g is not in 0 to 1", f.ID, f.Reliability)
		}
		v.parents(f)
		switch f.Form {
		case Table:
			v.table(f)
		case Mixture, Max:
			v.rows(f)
		default:
			v.faultf("finding %q: unknown form %d", f.ID, f.Form)
		}
	}
}

func (v *validator) parents(f *Finding) {
	n := len(v.model.Mechanisms)
	switch f.Over {
	case OverMechanisms:
	case OverCauses:
		n = len(v.model.Causes)
	default:
		v.faultf("finding %q: unknown kind of parents %d", f.ID, f.Over)
	}
	seen := map[int]bool{}
	for _, p := range f.parentList() {
		if p < 0 || p >= n {
			v.faultf("finding %q: parent %d, want 0 to %d", f.ID, p, n-1)
		}
		if seen[p] {
			v.faultf("finding %q: parent %d appears twice", f.ID, p)
		}
		seen[p] = true
	}
}

func (v *validator) table(f *Finding) {
	if len(f.Rows) > 0 || len(f.Background) > 0 {
		v.faultf("finding %q: a table takes no rows per parent and no background", f.ID)
	}
	if len(f.Parents) > 2 {
		v.faultf("finding %q: a table over %d parents, at most 2 are possible", f.ID, len(f.Parents))
		return
	}
	if want := 1 << len(f.Parents); len(f.TableRows) != want {
		v.faultf("finding %q: %d table rows, want %d", f.ID, len(f.TableRows), want)
	}
	for k, row := range f.TableRows {
		v.distribution(fmt.Sprintf("finding %q: table row %d", f.ID, k), row, len(f.Answers))
	}
}

func (v *validator) rows(f *Finding) {
	if len(f.Parents) > 0 || len(f.TableRows) > 0 {
		v.faultf("finding %q: parents and table rows belong to a table only", f.ID)
	}
	v.distribution(fmt.Sprintf("finding %q: background", f.ID), f.Background, len(f.Answers))
	for k, row := range f.Rows {
		v.distribution(fmt.Sprintf("finding %q: row %d", f.ID, k), row.P, len(f.Answers))
		if !finite(row.Salience) || row.Salience < 0 {
			v.faultf("finding %q: row %d: salience %g is not a positive number", f.ID, k, row.Salience)
		}
	}
}

func (v *validator) distribution(entry string, p []float64, answers int) {
	if len(p) != answers {
		v.faultf("%s: %d numbers for %d answers", entry, len(p), answers)
		return
	}
	sum := 0.0
	for a, x := range p {
		if !v.probability(x) {
			v.faultf("%s: number %d is %g, not a usable probability", entry, a, x)
		}
		sum += x
	}
	if !(math.Abs(sum-1) <= rowTolerance) {
		v.faultf("%s sums to %.12g, want 1", entry, sum)
	}
}
