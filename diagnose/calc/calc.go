package calc

import (
	"fmt"
	"math"
	"sort"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/diagnose/facts"
	"underlap/rules"
)

// Result is what physics says of one roof.
type Result struct {
	Findings []explain.Finding
	Whys     []explain.Why
	// Gates is, by gate name, the probability that a mechanism can act at all,
	// kept in [0.02, 0.98]: a wrong sum must not shut a door for good.
	Gates map[string]float64
	// VapourL and FrostL are the 5 and 95 % litres that the breath of the room,
	// and frost stored from it, can bring in one event.
	VapourL, FrostL [2]float64
	LeftOut         []string // sums that could not be done, with the reason
	Engineer        bool     // a structural engineer should look
	Place           string
	// Course is what may be followed hour by hour beside these sums, or nil.
	Course *Course
}

// Run does all sums for the facts and the likely build-ups.
func Run(f *facts.Set, p *rules.Pack, b *buildup.Result, where Where) (*Result, error) {
	s, err := newSite(f, p, where)
	if err != nil {
		return nil, err
	}
	r := &Result{
		Place: s.place.Name, VapourL: [2]float64{0.01, 2}, FrostL: [2]float64{0.01, 5},
		// A gate that no sum has set says nothing either way.
		Gates: map[string]float64{"inside-condensation": 0.5, "surface-condensation": 0.5, "standing-water": 0.5},
	}
	groups := group(b)
	for _, sum := range []struct {
		of  string
		run func(*site, *buildup.Result, []share, *Result) error
	}{
		{"the U-value", uValue},
		{"air under the insulation", bypass},
		{"condensation and leaking air", vapour},
		{"the drying reserve", reserve},
		{"cold spots", surface},
		{"standing water", standing},
		{"upstands", upstands},
		{"the fall", fall},
		{"the joists", joists},
		{"the size of a hole", hole},
		{"trapped water", drying},
		{"wet insulation", wetCost},
	} {
		if err := sum.run(s, b, groups, r); err != nil {
			// A figure that physics refuses must not take the whole reading with it.
			r.LeftOut = append(r.LeftOut, fmt.Sprintf("No figure for %s: %v.", sum.of, err))
		}
	}
	for name, g := range r.Gates {
		r.Gates[name] = clampGate(g)
	}
	r.Course = course(s, b, groups)
	return r, nil
}

func (r *Result) add(f explain.Finding, w explain.Why) {
	w.ID = "sum/" + f.ID
	f.Why = w.ID
	r.Findings = append(r.Findings, f)
	r.Whys = append(r.Whys, w)
}

// clampGate keeps a gate away from certainty.
func clampGate(p float64) float64 {
	if math.IsNaN(p) {
		return 0.5
	}
	return math.Min(0.98, math.Max(0.02, p))
}

// share is one build-up that stands for all of its kind: physics does not care
// for a few millimetres of deck.
type share struct {
	stack  buildup.Stack
	weight float64
}

// group joins stacks that differ only in size of joist, deck and ceiling, and
// keeps the likeliest as their stand-in. Weights sum to 1.
func group(b *buildup.Result) []share {
	type key struct {
		kind       string
		insulation float64
		under      string
	}
	at := map[key]int{}
	var out []share
	for _, st := range b.Stacks {
		under := ""
		for _, l := range st.Layers {
			if l.Role == "under-board" || st.Type == "hybrid" && l.Role == "joist-insulation" {
				under = l.Name
			}
		}
		k := key{st.Type, st.Insulation, under}
		i, ok := at[k]
		if !ok {
			i = len(out)
			at[k] = i
			out = append(out, share{stack: st})
		}
		out[i].weight += st.P
	}
	// The kept stacks may leave some types under-counted; bring the types to
	// their shares.
	byType := map[string]float64{}
	for _, s := range out {
		byType[s.stack.Type] += s.weight
	}
	sum := 0.0
	for i := range out {
		t := out[i].stack.Type
		if byType[t] > 0 {
			out[i].weight *= b.Type(t) / byType[t]
		}
		sum += out[i].weight
	}
	if !(sum > 0) { // readings that fit nothing: no build-up is likelier than another
		for i := range out {
			out[i].weight = 1
		}
		sum = float64(len(out))
	}
	for i := range out {
		out[i].weight /= sum
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].weight > out[j].weight })
	// The likeliest that carry 99 % of the weight are enough; the rest is spread
	// over them.
	run := 0.0
	for i := range out {
		run += out[i].weight
		if run >= 0.99 {
			out = out[:i+1]
			break
		}
	}
	for i := range out {
		out[i].weight /= run
	}
	return out
}

// likeliest is the share of the greatest weight.
func likeliest(list []share) share {
	best := list[0]
	for _, g := range list {
		if g.weight > best.weight {
			best = g
		}
	}
	return best
}
