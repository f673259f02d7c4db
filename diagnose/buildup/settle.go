package buildup

import (
	"math"
	"sort"

	"underlap/diagnose/facts"
	"underlap/rules"
)

// settle ranks the looks and readings that would tell the types apart, by the
// expected fall of the type's entropy in bits.
func settle(f *facts.Set, b *rules.BuildUpTables, types []float64, joists [][]float64, totals []spread) []Look {
	now := append([]float64(nil), types...)
	normalise(now)
	h := entropy(now)
	if h < 0.05 {
		return nil
	}
	var out []Look
	if !f.Is("rooflight", "none") {
		gain := h - afterTape(totals)
		if _, ok := f.Get("kerb-inside"); !ok {
			out = append(out, Look{"kerb-inside", gain, "The two tape readings at the skylight"})
		} else if _, ok := f.Get("kerb-outside"); !ok {
			out = append(out, Look{"kerb-outside", gain, "The outside tape reading at the skylight"})
		}
	}
	if _, ok := f.Get("joist-depth"); !ok {
		sum := 0.0
		for _, t := range types {
			sum += t
		}
		after := 0.0
		for j := range b.Joists {
			col := make([]float64, len(types))
			p := 0.0
			for k := range types {
				col[k] = joists[k][j]
				p += joists[k][j]
			}
			if p > 0 {
				normalise(col)
				after += p / sum * entropy(col)
			}
		}
		out = append(out, Look{"joist-depth", h - after, "The depth of the joists, from a drawing or a hatch"})
	}
	for _, q := range []struct{ id, text string }{
		{"insulation-seen", "One look at where the insulation lies, at a hatch or a fitting with the power off"},
		{"vents", "Whether there are vents at the edges"},
		{"edge-depth", "The depth of the roof edge, counted in brick courses"},
	} {
		if _, ok := f.Get(q.id); ok {
			continue
		}
		if gain := hintGain(b, q.id, now, h); gain > 0 {
			out = append(out, Look{q.id, gain, q.text})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Bits > out[j].Bits })
	for i, l := range out {
		if l.Bits < 0.02 {
			return out[:i]
		}
	}
	return out
}

// tapeBin is how finely a tape tells one total from another, mm: about one and a half
// standard deviations of the reading and of the build.
const tapeBin = 15

// afterTape is the entropy of the type that is expected to be left once the total is
// known to a bin, bits.
func afterTape(totals []spread) float64 {
	all, after := 0.0, 0.0
	col := make([]float64, len(totals))
	for lo := 0; lo < len(spread{}); lo += tapeBin {
		p := 0.0
		for k := range totals {
			col[k] = 0
			for _, w := range totals[k][lo:min(lo+tapeBin, len(spread{}))] {
				col[k] += w
			}
			p += col[k]
		}
		if p == 0 {
			continue
		}
		all += p
		normalise(col)
		after += p * entropy(col)
	}
	if all == 0 {
		return 0
	}
	return after / all
}

// hintGain treats the hints of one question as the likelihood of its answers.
func hintGain(b *rules.BuildUpTables, question string, now []float64, h float64) float64 {
	var rows [][]float64
	for _, hint := range b.Hints {
		c, err := rules.ParseCondition(hint.When[0])
		if err != nil || c.Question != question || len(hint.When) > 1 {
			continue
		}
		row := make([]float64, len(now))
		for k := range b.Types {
			row[k] = hint.Times[b.Types[k].ID]
		}
		rows = append(rows, row)
	}
	if len(rows) < 2 {
		return 0
	}
	after := 0.0
	for _, row := range rows {
		p, post := 0.0, make([]float64, len(now))
		for k := range now {
			all := 0.0
			for _, r := range rows {
				all += r[k]
			}
			post[k] = now[k] * row[k] / all
			p += post[k]
		}
		if p > 0 {
			normalise(post)
			after += p * entropy(post)
		}
	}
	return h - after
}

func entropy(p []float64) float64 {
	h := 0.0
	for _, x := range p {
		if x > 0 {
			h -= x * math.Log2(x)
		}
	}
	return h
}
