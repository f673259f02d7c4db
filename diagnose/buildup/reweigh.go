package buildup

import "sort"

// NotListed is the key of Reweighed for a build-up that is none of the listed types.
const NotListed = "not-listed"

// Reweighed returns a copy whose types have the probabilities given, by type id and
// NotListed; what is missing counts as nought, and the whole is brought to a sum of 1.
// Stacks keep their shares within their type. Readings, residual and looks stay: they
// do not hang on the types, but the bits of Settle are those of the old shares.
// Nothing but noughts leaves everything as it was. Negative figures panic: a
// programmer's slip.
func (r *Result) Reweighed(typeP map[string]float64) *Result {
	out := *r
	out.Types = append([]Share(nil), r.Types...)
	out.Stacks = append([]Stack(nil), r.Stacks...)
	sum := weightOf(typeP, NotListed)
	for _, t := range r.Types {
		sum += weightOf(typeP, t.Type)
	}
	if sum == 0 {
		return &out
	}
	factor := map[string]float64{}
	listed := 0.0
	for i, t := range r.Types {
		out.Types[i].P = typeP[t.Type] / sum
		if t.P > 0 {
			factor[t.Type] = out.Types[i].P / t.P
		}
		listed += out.Types[i].P
	}
	out.NotListed = typeP[NotListed] / sum
	out.Covered = 0
	for i := range out.Stacks {
		s := &out.Stacks[i]
		s.P *= factor[s.Type]
		out.Covered += s.P
	}
	if listed > 0 {
		out.Covered /= listed
	}
	sort.SliceStable(out.Types, func(i, j int) bool { return out.Types[i].P > out.Types[j].P })
	out.order()
	return &out
}

func weightOf(p map[string]float64, id string) float64 {
	if !(p[id] >= 0) {
		panic("buildup: a probability below nought for " + id)
	}
	return p[id]
}
