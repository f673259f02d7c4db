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
			Text:  "Before any repair we would check the first cause: " + explain.LowerFirst(sentence(usual(top[0].Test, top[0].Source))),
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
	text := []string{sentence(t.Name), sentence(t.Why), sentence(usual(t.How, habits)), "Price: " + price(w.r.Scope.Symbol, t.Low, t.High) + ", before VAT.", lead}
	w.add(SectionTest, "The test we propose before a repair",
		Block{Voice: Inferred, Text: strings.Join(distinct(text), " ")},
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

// worthwhile is the share of what is suspected that a repair must deal with to be set
// out for being the lightest; a judgement.
const worthwhile = 0.3

// setOut are the repairs told in full, by rung: making safe, the best, the
// runner-up, and a lasting one above when these only buy time.
func (w *writer) setOut() []scope.Option {
	shown, _, _ := w.sorted()
	s := w.r.Scope
	full := map[string]bool{s.Best: true, s.RunnerUp: true}
	for _, o := range s.Options {
		// The lightest that does something is what an owner asks about first.
		if o.Rung > 0 && o.Rung <= 2 && o.Barred == "" && o.Cures >= worthwhile {
			full[o.ID] = true
			break
		}
	}
	best, ok := s.Option(s.Best)
	second, _ := s.Option(s.RunnerUp)
	if ok && best.Rung <= buysTime && second.Rung <= buysTime {
		var lasting *scope.Option
		for i, o := range shown {
			if o.Rung > buysTime && (lasting == nil || o.Loss < lasting.Loss) {
				lasting = &shown[i]
			}
		}
		if lasting != nil {
			full[lasting.ID] = true
		}
	}
	var out []scope.Option
	for _, o := range shown {
		if o.Rung == 0 || full[o.ID] {
			out = append(out, o)
		}
	}
	return out
}

// buysTime is the highest rung that only buys time.
const buysTime = 1

// detail is how the names of the small repairs begin; a table has no room for it.
const detail = "Detail repair: "

func (w *writer) repairs() {
	shown, small, barred := w.sorted()
	if len(shown)+len(barred) == 0 {
		return
	}
	s := w.r.Scope
	grid := Table{Head: []string{"Rung", "Repair", "Typical price", "Typical life"}}
	opening := false
	for _, o := range shown {
		opening = opening || o.Opening
		cost := explain.Price(s.Symbol, o.Low, o.High)
		grid.Rows = append(grid.Rows, []string{fmt.Sprint(o.Rung), sentenceCase(cutFold(o.Name, detail)), cost, o.Life})
	}
	var lines []Item
	for _, o := range w.setOut() {
		text := sentence(usual(o.What, o.Source))
		if o.Leaves != "" {
			text += " Leaves: " + explain.LowerFirst(sentence(usual(o.Leaves, o.Source)))
		}
		if o.Rung > 0 {
			text += " Deals with " + explain.Percent(o.Cures) + " of what we suspect."
		}
		if o.Opening {
			text += " Not before the roof has been opened in one place and looked into."
		}
		lines = append(lines, Item{Lead: sentenceCase(cutFold(o.Name, detail)), Text: strings.TrimSpace(text)})
	}
	intro, prices := "", ""
	if len(shown) > 0 {
		intro = "We do not go higher than the evidence."
		if opening {
			intro = "Higher steps wait until somebody has looked inside the roof."
		}
		prices = "Prices are for " + measure.M2(s.Area) + " of roof"
		if s.Assumed {
			prices += ", which we took since we do not have the size; please send it"
		}
		if note, _, _ := strings.Cut(s.Note, ";"); note != "" {
			prices += ": " + strings.TrimSuffix(note, ".")
		}
		prices += "."
		prices += " Not priced: ceiling, decorations, electrics; rotten timber, charged as found."
	}
	left := ""
	if len(small) > 0 {
		var names []string
		for _, o := range small {
			name, _, _ := strings.Cut(cutFold(o.Name, detail), ":")
			names = append(names, explain.LowerFirst(name))
		}
		what := strings.Join(names, "; ")
		if len(names) > mostNamed {
			what = fmt.Sprintf("%d other repairs", len(names))
		}
		left = "Left out here, touching little of what we suspect: " + what + "."
	}
	w.add(SectionRepairs, "Repairs by rung, the lightest first",
		Block{Voice: Inferred, Text: strings.TrimSpace(w.choice() + " " + intro)},
		Block{Kind: Grid, Voice: Inferred, Table: grid},
		Block{Kind: List, Voice: Inferred, Items: lines},
		Block{Voice: Inferred, Text: strings.Join(distinct([]string{w.noPromise(), left, notHere(barred)}), " ")},
		Block{Text: prices, Tight: true})
}

// mostNamed is how many repairs left out for one reason are named; of more, the
// number is enough.
const mostNamed = 2

// notHere names the repairs that are not for this roof, by the reason. Where one
// reason bars many, their number is enough.
func notHere(barred []scope.Option) string {
	if len(barred) == 0 {
		return ""
	}
	names := map[string][]string{}
	var reasons []string
	for _, o := range barred {
		why := strings.TrimSuffix(sentence(o.Barred), ".")
		if names[why] == nil {
			reasons = append(reasons, why)
		}
		names[why] = append(names[why], explain.LowerFirst(cutFold(o.Name, detail)))
	}
	var out []string
	for _, why := range reasons {
		who := and(names[why])
		if n := len(names[why]); n > mostNamed {
			who = fmt.Sprintf("%d other repairs", n)
		}
		out = append(out, explain.LowerFirst(who)+" ("+explain.LowerFirst(why)+")")
	}
	return "Not for this roof: " + strings.Join(out, "; ") + "."
}

// testDecides tells that the repair named best would seldom stay the choice once
// the cause is known: then its chance is not put beside it as if it spoke for it.
func (w *writer) testDecides() bool {
	return w.r.Scope.Ideal > 0 && w.r.Scope.Ideal < 0.25
}

// choice says which repair looks best now, and what it must wait for.
func (w *writer) choice() string {
	s := w.r.Scope
	best, ok := s.Option(s.Best)
	if !ok || best.Barred != "" {
		return ""
	}
	out := "The best balance of price and risk today: " + explain.LowerFirst(cutFold(best.Name, detail)) + "."
	tested := s.Test != nil || w.r.Close
	switch {
	case w.testDecides() && tested:
		out += " It is the test that decides: first the test, then the repair."
	case w.testDecides():
		out += " What the test shows decides whether it stays so."
	case s.Ideal > 0:
		out += " The chance that it stays our choice once the cause is known: " + explain.Percent(s.Ideal) + "."
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

// rules gives what the law asks of the repairs that are set out in full.
func (w *writer) rules() {
	full := w.setOut()
	if len(full) == 0 {
		return
	}
	var lines []Item
	var who []string
	had := map[string]bool{}
	for _, o := range full {
		var regs []string
		for _, reg := range o.Regs {
			if !had[reg] {
				had[reg] = true
				regs = append(regs, sentence(usual(reg, o.Source)))
			}
		}
		if len(regs) > 0 {
			lines = append(lines, Item{Lead: o.Name, Text: strings.Join(regs, " ")})
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
	general := "Renewing or rebuilding brings in the rules on insulation, damp, fire and structure. Your local building control has the last word."
	if len(more) > 0 {
		general += " Depending on the repair, these are needed as well: " + and(more) + "."
	}
	w.add(SectionRules, "Regulations and who else",
		Block{Kind: List, Items: lines},
		Block{Text: general})
}
