package entry

import (
	"fmt"
	"strings"

	"underlap/diagnose/explain"
	"underlap/rules"
)

// MapWhy is the id of the explanation of the whole map.
const MapWhy = "entry/map"

// Whys explain the figures of a map.
func (m *Map) Whys(in Input, pack *rules.Pack) []explain.Why {
	t := &pack.Travel
	p := &m.Plan
	from := func(told bool) string {
		if told {
			return "told"
		}
		return "assumed"
	}
	w := explain.Why{
		ID: MapWhy, Title: "Where it gets in", Result: m.Best(),
		Formula: "P(cell | stains) in proportion to the sum over falls, joists and build-ups of P(fall) P(joists) P(build-up) x the causes' seats on the plan x the product over stains of [(1 - astray) K + astray / area]; K: normal distances by way, turned back at the sides, stopped at the low edge; exact over the cells",
		Inputs: []explain.Input{
			{Name: "Plan", Value: fmt.Sprintf("%.2g m along the house, %.2g m out; cells of %.0f by %.0f mm", p.Along, p.Out, m.CellX*1000, m.CellY*1000), From: "told or assumed, see below"},
			{Name: "Falls towards", Value: sideShares(in.Fall), From: from(p.FallTold)},
			{Name: "Joists run out from the house", Value: explain.Percent(in.Out), From: from(p.JoistsTold)},
			{Name: "It gets in from outside at all", Value: explain.Percent(m.Outside), From: "the causes"},
			{Name: "Stains that came by a way not listed", Value: explain.Percent(t.Astray), From: t.Source},
		},
		Source: t.Source,
		Note:   "The causes set the map, and the map moves no cause: where it shows is weighed there already. All stains are taken to come from one way in.",
	}
	for i, s := range p.Stains {
		where := fmt.Sprintf("%.2f m from the left, %.2f m from the house wall", s.X, s.Y)
		if s.W > 0 {
			where = fmt.Sprintf("within %.2f by %.2f m of plan about %s", s.W, s.H, where)
		} else {
			where += fmt.Sprintf(" ± %.0f mm", 2000*t.SpotSD)
		}
		w.Inputs = append(w.Inputs, explain.Input{Name: fmt.Sprintf("Stain %d", i+1), Value: where, From: "told"})
	}
	for _, b := range in.Types {
		if x, ok := t.Type(b.ID); ok && b.P >= 0.05 {
			w.Inputs = append(w.Inputs, explain.Input{Name: "Build-up " + b.ID + ", " + explain.Percent(b.P), Value: x.Says + ": " + waysWords(x), From: x.Source})
		}
	}
	for _, a := range m.Assumed {
		w.Inputs = append(w.Inputs, explain.Input{Name: "Assumed", Value: a, From: "not told"})
	}
	out := []explain.Why{w}
	for _, z := range m.Zones {
		if z.Why == "" {
			continue
		}
		y := explain.Why{
			ID: z.Why, Title: z.Name, Result: explain.Percent(z.Share) + " of the ways in",
			Formula: "the chances of its cells, summed; where places share a cell, each by what the causes put there",
			Inputs: []explain.Input{
				{Name: "From the causes alone, before the stains", Value: explain.Percent(z.Before), From: "the causes and where each has its seat"},
			},
			Source: t.Source,
		}
		for _, c := range z.Causes {
			if k, ok := pack.Cause(c); ok {
				y.Inputs = append(y.Inputs, explain.Input{Name: "Brought by", Value: k.Name, From: "the causes"})
			}
		}
		for _, s := range m.Hose {
			if s.Zone == z.ID {
				y.Inputs = append(y.Inputs, explain.Input{
					Name:  "Wait there",
					Value: fmt.Sprintf("%.0f minutes; a leak has shown by then with a chance of %s", s.Wait, explain.Percent(s.Shown)),
					From:  fmt.Sprintf("lag of its causes times that of the build-up, to %s or %.0f minutes", explain.Percent(t.Enough), t.Longest),
				})
			}
		}
		out = append(out, y)
	}
	return out
}

func sideShares(fall map[string]float64) string {
	var out []string
	for _, s := range rules.Sides {
		if fall[s] >= 0.005 {
			out = append(out, s+" "+explain.Percent(fall[s]))
		}
	}
	return strings.Join(out, ", ")
}

// waysWords puts the ways of a build-up in figures.
func waysWords(t *rules.TravelType) string {
	var out []string
	for _, w := range t.Ways {
		s := fmt.Sprintf("%s %.0f %%, sd %.2g m", w.By, w.Share*100, w.SD)
		if w.Along > 0 {
			s = fmt.Sprintf("%s %.0f %%, %.2g ± %.2g m", w.By, w.Share*100, w.Along, w.SD)
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}
