package rules

import (
	"fmt"
	"slices"
)

// Notes are remarks on a sound pack: nothing is wrong, but somebody may want to know.
// They name pairs of causes that the interview can hardly tell apart, causes that no
// repair is likely to cure, and prices that nothing asks for.
func Notes(p *Pack) []string {
	var out []string
	for _, a := range p.Alikes() {
		text := fmt.Sprintf("hard to tell apart: %s and %s; all answers together are expected to part them by %.1f decibans, and 3 are two to one", a.A, a.B, a.Decibans)
		if a.BuildUp {
			text += "; the build-up parts them, once it is measured or seen"
		}
		out = append(out, text)
	}
	for i := range p.Causes {
		c := &p.Causes[i]
		if best := p.bestChance(c); c.ID != OtherCause && best < 0.3 {
			out = append(out, fmt.Sprintf("no repair for %s: the best of them cures it %.0f times in 100", c.ID, 100*best))
		}
	}
	for _, e := range p.Prices.Entries {
		if !p.priced(e.ID) {
			out = append(out, fmt.Sprintf("nothing asks for price %s", e.ID))
		}
	}
	return out
}

// bestChance is the best chance that any repair has of curing the cause.
func (p *Pack) bestChance(c *Cause) float64 {
	best := 0.0
	for i := range p.Repairs {
		best = max(best, p.Repairs[i].Cures(c))
	}
	return best
}

// Cures is the chance that the repair cures the cause, 0 to 1: what it says of the
// cause itself, or else of its group.
func (r *Repair) Cures(c *Cause) float64 {
	if v, ok := r.Fix[c.ID]; ok {
		return v
	}
	return r.Fix["group:"+c.Group]
}

// priced tells whether a repair, a group or the program itself asks for the price.
func (p *Pack) priced(id string) bool {
	if slices.Contains(fixedPrices, id) || slices.ContainsFunc(p.Groups, func(g Group) bool { return g.Price == id }) {
		return true
	}
	return slices.ContainsFunc(p.Repairs, func(r Repair) bool {
		return slices.ContainsFunc(r.Items, func(it Item) bool { return it.Price == id })
	})
}
