package letter

import (
	"fmt"
	"sort"
	"strings"

	"underlap/diagnose/explain"
	"underlap/diagnose/measure"
	"underlap/diagnose/scope"
)

// worthPrinting is the share of what is suspected that a repair must deal with
// to be set out in full; the rest are named in one line.
const worthPrinting = 0.15

// habits is the source of every test: nothing published gives them.
const habits = "common practice, no source"

func (w *writer) test() {
	t := w.r.Scope.Test
	if t == nil {
		top := w.top()
		if len(top) == 0 || top[0].Test == "" {
			return
		}
		w.add(SectionTest, "The test we propose before a repair", Block{
			Voice: Inferred,
			Text:  "Before any repair we would check the first cause: " + lowerFirst(sentence(usual(top[0].Test, top[0].Source))),
		})
		return
	}
	var results []Item
	for _, s := range t.Result {
		results = append(results, Item{Text: outcome(s)})
	}
	lead := ""
	if len(results) > 0 {
		lead = "What each result would mean:"
	}
	w.add(SectionTest, "The test we propose before a repair",
		Block{Voice: Inferred, Text: strings.TrimSpace(sentence(t.Name) + " " + sentence(t.Why))},
		Block{Voice: Inferred, Text: sentence(usual(t.How, habits))},
		Block{Voice: Inferred, Text: "Price: " + price(w.r.Scope.Symbol, t.Low, t.High) + ", before VAT."},
		Block{Voice: Inferred, Text: lead},
		Block{Kind: List, Voice: Inferred, Items: results})
}

// outcome words what a result means: the figures are those of the work or of the
// next test, which stand at its end.
func outcome(s string) string {
	for _, mark := range []string{"Then: ", "Test: "} {
		if i := strings.Index(s, mark); i >= 0 {
			i += len(mark)
			return sentence(s[:i] + usual(s[i:], habits))
		}
	}
	return sentence(usual(s, habits))
}

// sorted gives the options by rung, and tells which are set out in full.
func (w *writer) sorted() (shown, small, barred []scope.Option) {
	all := append([]scope.Option(nil), w.r.Scope.Options...)
	sort.SliceStable(all, func(i, j int) bool { return all[i].Rung < all[j].Rung })
	for _, o := range all {
		switch {
		case o.Barred != "":
			barred = append(barred, o)
		case o.Rung == 0 || o.Cures >= worthPrinting || o.ID == w.r.Scope.Best || o.ID == w.r.Scope.RunnerUp:
			shown = append(shown, o)
		default:
			small = append(small, o)
		}
	}
	return shown, small, barred
}

func (w *writer) repairs() {
	shown, small, barred := w.sorted()
	if len(shown)+len(barred) == 0 {
		return
	}
	s := w.r.Scope
	grid := Table{Head: []string{"Rung", "Repair", "Price", "Life expected"}}
	var lines []Item
	opening := false
	for _, o := range shown {
		cost := price(s.Symbol, o.Low, o.High)
		grid.Rows = append(grid.Rows, []string{fmt.Sprint(o.Rung), o.Name, cost, typical(o.Life, o.Source)})
		it := Item{Lead: o.Name, Text: sentence(usual(o.What, o.Source))}
		it.Sub = append(it.Sub, Item{Text: "Deals with this much of what we suspect: " + explain.Percent(o.Cures) + "."})
		if o.Leaves != "" {
			it.Sub = append(it.Sub, Item{Lead: "Leaves", Text: sentence(usual(o.Leaves, o.Source))})
		}
		if o.Opening {
			opening = true
			it.Sub = append(it.Sub, Item{Text: "Not before the roof has been opened in one place and looked into."})
		}
		lines = append(lines, it)
	}
	intro, size, not := "", "", ""
	if len(shown) > 0 {
		intro = "The ladder goes from the lightest step up. We do not go higher than the evidence."
		if opening {
			intro += " The higher steps wait until somebody has looked inside the roof."
		}
		size = "The prices are for " + measure.M2(s.Area) + " of roof."
		if s.Assumed {
			size = "We do not have the size of the roof. The prices are worked out for " + measure.M2(s.Area) + "; please send us the size."
		}
		if s.Note != "" {
			size += " They are " + strings.TrimSuffix(s.Note, ".") + "."
		}
		not = "Not priced: the ceiling, decorations, electrics and hidden decay. Rotten deck boards and joist ends are counted and charged as they are found."
	}
	var no []Item
	for _, o := range barred {
		no = append(no, Item{Lead: o.Name, Text: sentence(o.Barred)})
	}
	noLead := ""
	if len(no) > 0 {
		noLead = "Not for this roof"
	}
	left := ""
	if len(small) > 0 {
		var names []string
		for _, o := range small {
			names = append(names, lowerFirst(o.Name))
		}
		left = "Left out here, since each would touch little of what we suspect: " + strings.Join(names, "; ") + "."
	}
	w.add(SectionRepairs, "Repairs, lightest first",
		Block{Voice: Inferred, Text: intro},
		Block{Kind: Grid, Voice: Inferred, Table: grid},
		Block{Text: size},
		Block{Kind: List, Voice: Inferred, Items: lines},
		Block{Voice: Inferred, Text: w.choice()},
		Block{Voice: Inferred, Text: w.noPromise()},
		Block{Text: not},
		Block{Voice: Inferred, Text: left},
		Block{Kind: Heading, Voice: Inferred, Text: noLead},
		Block{Kind: List, Voice: Inferred, Items: no})
}

// choice says which repair looks best now, and what it must wait for.
func (w *writer) choice() string {
	s := w.r.Scope
	best, ok := s.Option(s.Best)
	if !ok || best.Barred != "" {
		return ""
	}
	out := "On what we know today this looks the best balance of price and risk: " + lowerFirst(best.Name) + "."
	if s.Ideal > 0 {
		out += " The chance that it stays our choice once the cause is known: " + explain.Percent(s.Ideal) + "."
	}
	if s.Test != nil || w.r.Close {
		out += " First the test, then the repair."
	}
	if best.Opening {
		out += " We would not quote it before the roof has been looked into."
	}
	return out
}

func (w *writer) noPromise() string {
	out := "No repair here is a promise: each is aimed at the likeliest cause."
	if w.vapour() {
		out += " Damp air from the room may be part of it. A new covering or a patch does not stop that, and we do not promise that any one step ends it."
	}
	return out
}

func (w *writer) rules() {
	shown, _, _ := w.sorted()
	var lines []Item
	var who []string
	had := map[string]bool{}
	for _, o := range shown {
		for _, reg := range o.Regs {
			if !had[reg] {
				had[reg] = true
				lines = append(lines, Item{Lead: o.Name, Text: sentence(usual(reg, o.Source))})
			}
		}
		who = append(who, o.Call...)
	}
	named := map[string]bool{}
	for _, c := range w.r.Call {
		named[strings.ToLower(c)] = true
	}
	var more []string
	for _, c := range distinct(who) {
		if !named[strings.ToLower(c)] {
			more = append(more, c)
		}
	}
	also := ""
	if len(more) > 0 {
		also = "Depending on the repair, these are needed as well: " + and(more) + "."
	}
	word := ""
	if len(lines) > 0 {
		word = "Your local building control has the last word on all of this."
	}
	w.add(SectionRules, "Regulations and who else",
		Block{Kind: List, Items: lines},
		Block{Text: word},
		Block{Text: also})
}
