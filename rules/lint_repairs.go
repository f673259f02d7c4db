package rules

import (
	"slices"
	"strings"
)

// itemPer are the quantities that a line of a repair may be priced by.
var itemPer = []string{"job", "roof_m2", "edge_m", "wall_m", "parapet_m", "tiled_m", "skylight", "fan"}

// fixedPrices are the price-book entries that the program asks for by name: the
// way up, and the core that stands before a repair which needs an opening.
var fixedPrices = []string{"tower", "scaffold", "core"}

func (l *linter) repairs() {
	rungs, seen := map[int]bool{}, map[string]bool{}
	for i := range l.p.Repairs {
		r := &l.p.Repairs[i]
		at := entry("repair", r.ID, i, len(l.p.Repairs))
		rungs[r.Rung] = true
		l.once(at, r.ID, seen)
		l.filled(at, "name", r.Name, "what", r.What, "life", r.Life, "leaves", r.Leaves)
		l.source(at, r.Source)
		l.conditions(at, "needs", r.Needs)
		for _, f := range r.Forbids {
			l.conditions(at, "forbids", f.When)
			if len(f.When) == 0 || f.Says == "" {
				l.say(at, "forbids", "forbids: when and says must be filled in; without when it would forbid every time")
			}
		}
		for name, v := range r.Fix {
			l.causeOrGroup(at, "fix", name)
			if !inside(v, 0, 1) {
				l.say(at, "fix", "fix %q = %v must lie between 0 and 1, and be neither", name, v)
			}
		}
		l.items(at, r)
	}
	if len(rungs) < 6 {
		l.say(missing("repair", ""), "", "the ladder has %d rungs; six are the least", len(rungs))
	}
}

func (l *linter) items(at place, r *Repair) {
	for _, it := range r.Items {
		row := at.rowAt("item", "price", it.Price)
		if _, ok := l.p.Prices.Price(it.Price); !ok {
			l.say(row, "price", "price %q is not in the price book", it.Price)
		}
		if !slices.Contains(itemPer, it.Per) {
			l.say(row, "per", "price %q: per %q is not one of %s", it.Price, it.Per, strings.Join(itemPer, ", "))
		}
		if !positive(it.Count) {
			l.say(row, "count", "price %q: count must be a number over 0", it.Price)
		}
	}
}

func (l *linter) prices() {
	b := &l.p.Prices
	seen := map[string]bool{}
	for _, e := range b.Entries {
		at := table("prices", e.ID).rowAt("price", "id", e.ID)
		l.once(at, e.ID, seen)
		if !positive(e.Low) || !positive(e.High) || e.Low > e.High {
			l.say(at, "low", "low must be over 0 and not over high")
		}
		l.source(at, e.Source)
	}
	for _, id := range fixedPrices {
		if !seen[id] {
			l.say(table("prices", id), "price", "price %q is not in the price book, and the program needs it", id)
		}
	}
	if !(b.Risk >= 0 && b.Risk <= 1) {
		l.say(table("prices", "risk_allowance"), "risk_allowance", "risk_allowance %v must lie between 0 and 1", b.Risk)
	}
	heat := table("prices", "heat")
	if h := b.Heat; !(h.PerKWh > 0 && h.PerKWh < 100) || !(h.Efficiency > 0.1 && h.Efficiency < 10) || !(h.CO2 >= 0 && h.CO2 < 10) || h.Fuel == "" {
		l.say(heat, "per_kwh", "heat wants a fuel, per_kwh above 0 and below 100, efficiency 0.1 to 10 and co2 0 to 10 kg")
	}
	l.source(heat, b.Heat.Source)
	for name, v := range b.Region {
		if !positive(v) {
			l.say(table("prices", name), "region", "region: factor %v for %q must be a number over 0", v, name)
		}
	}
	if _, ok := b.Region[b.Use]; !ok {
		l.say(table("prices", "use_region"), "use_region", "use_region %q is not one of the names under region", b.Use)
	}
}
