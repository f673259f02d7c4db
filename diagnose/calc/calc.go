package calc

import (
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
	Engineer        bool // a structural engineer should look
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
	r := &Result{Gates: map[string]float64{}, Place: s.place.Name}
	groups := group(b)
	for _, sum := range []func(*site, *buildup.Result, []share, *Result) error{
		uValue, bypass, vapour, reserve, surface, standing, upstands, fall, joists, hole, drying, wetCost,
	} {
		if err := sum(s, b, groups, r); err != nil {
			return nil, err
		}
	}
	r.Course = course(s, groups)
	return r, nil
}

func (r *Result) add(f explain.Finding, w explain.Why) {
	w.ID = "sum/" + f.ID
	f.Why = w.ID
	r.Findings = append(r.Findings, f)
	r.Whys = append(r.Whys, w)
}

// clampGate keeps a gate away from certainty.
func clampGate(p float64) float64 { return math.Min(0.98, math.Max(0.02, p)) }

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
		out[i].weight *= b.Type(t) / byType[t]
		sum += out[i].weight
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
