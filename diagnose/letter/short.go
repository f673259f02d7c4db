package letter

import (
	"slices"
	"strings"

	"underlap/diagnose/explain"

	"underlap/diagnose"
)

// pressing is the rank up to which a caution asks for something at once; what
// holds for every roof ranks after it.
const pressing = 5

// short is the whole letter in a few lines, for an owner who reads no further.
func (w *writer) short() {
	var lines []Item
	put := func(lead, text string) {
		if text != "" {
			lines = append(lines, Item{Lead: lead, Text: text})
		}
	}
	first := ""
	if w.r.Close {
		first = "the first "
	}
	put("Why it is wet", withOdds(w.r.Why.Text, first, w.r.Why.P))
	text, p := w.madeOf()
	put("What the roof is made of", withOdds(text, "", p))
	put("Built well?", withOdds(w.r.Built.Text, "", w.r.Built.P))
	put("What we propose now", w.proposal())
	put("For now", w.urgent())
	w.add(SectionShort, "In short", Block{Kind: List, Voice: Inferred, Items: lines})
}

// madeOf is the answer to what the roof is. The reading's own line adds what the
// tape says and what the roof was sold as; in a letter these stand elsewhere,
// each in its own voice.
func (w *writer) madeOf() (text string, p float64) {
	if b := w.r.BuildUp; b != nil && len(b.Types) > 0 {
		return b.Types[0].Name, b.Types[0].P
	}
	return w.r.What.Text, w.r.What.P
}

// withOdds says an answer with its odds behind it. One that is still open has
// none.
func withOdds(text, what string, p float64) string {
	if text == "" || p <= 0 {
		return sentence(text)
	}
	return sentence(strings.TrimRight(text, ".") + ": " + what + sure(p))
}

// proposal is what we would do now, with its price.
func (w *writer) proposal() string {
	s := w.r.Scope
	best, ok := s.Option(s.Best)
	ok = ok && best.Barred == ""
	switch {
	case s.Test != nil:
		out := "First a test, " + price(s.Symbol, s.Test.Low, s.Test.High) + " before VAT."
		if ok {
			out += " The repair that looks best today: " + w.priced(best.ID) + "."
			if w.testDecides() {
				out += " The test decides."
			}
		}
		return out
	case ok && best.High <= 0:
		return sentence(best.Name)
	case ok:
		return sentence(w.priced(best.ID) + " before VAT")
	}
	return ""
}

// priced names a repair with its price.
func (w *writer) priced(id string) string {
	o, _ := w.r.Scope.Option(id)
	if o.High <= 0 {
		return explain.LowerFirst(o.Name)
	}
	return explain.LowerFirst(cutFold(o.Name, detail)) + ", " + price(w.r.Scope.Symbol, o.Low, o.High)
}

// urgent says whether anything cannot wait; the words themselves stand first in
// the letter.
func (w *writer) urgent() string {
	now := slices.ContainsFunc(w.r.Cautions, func(c diagnose.Caution) bool { return c.Rank <= pressing })
	if !now {
		// What a roofer would do on the roof until then is no advice for who lives below.
		return "Catch the water, and keep people and goods from under it. If a light fitting gets wet, turn that circuit off at the board and call an electrician. Nobody climbs."
	}
	return "What stands under Safety first comes before all else."
}
