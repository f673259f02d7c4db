package letter

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"underlap/diagnose"
	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/diagnose/measure"
)

// tooEarly stands where the opinion would be.
func (w *writer) tooEarly() {
	text := fmt.Sprintf("It is early: we have %d answers so far.", w.r.Answered)
	switch w.r.Answered {
	case 0:
		text = "It is early: we have no answers yet."
	case 1:
		text = "It is early: we have one answer so far."
	}
	w.add(SectionEarly, "Where we are", Block{
		Voice: Inferred,
		Text:  text + " We do not name a cause or a repair on so little. Please send us what we ask for below.",
	})
}

// statement says an answer with its word and number. One that is still open has
// none.
func statement(text, that string, p float64) string {
	if text == "" || p <= 0 {
		return sentence(text)
	}
	return sentence(text) + " " + that + " " + explain.Hedge(p) + " (" + explain.Percent(p) + ")."
}

// vapour tells that breath of the room may be at work: no repair from above is
// promised to end that.
func (w *writer) vapour() bool {
	for _, m := range w.r.Mechanisms {
		if strings.HasPrefix(m.ID, "condensing") && m.P >= 0.10 {
			return true
		}
	}
	for _, c := range w.r.Causes {
		if c.Group == "condensation" && c.P >= 0.10 {
			return true
		}
	}
	return false
}

// top are the causes a letter names: at most three, none that is next to nothing.
func (w *writer) top() []diagnose.Cause {
	var out []diagnose.Cause
	for _, c := range w.r.Causes {
		if c.ID == somethingElse || len(out) == 3 || len(out) > 0 && c.P < 0.02 {
			continue
		}
		out = append(out, c)
	}
	return out
}

func (w *writer) why() {
	var causes []Item
	for _, c := range w.top() {
		it := Item{Lead: c.Name, Text: sentence(sure(c.P))}
		line := func(lead, text string) {
			if text != "" {
				it.Sub = append(it.Sub, Item{Lead: lead, Text: text})
			}
		}
		line("How it works", sentence(usual(c.How, c.Source)))
		line("What speaks for it", w.reasons(c.For, true, 3))
		line("What speaks against it", w.reasons(c.Against, false, 2))
		line("If this is it, we expect", sentence(usual(c.Tell, c.Source)))
		causes = append(causes, it)
	}
	lead := ""
	if len(causes) > 1 {
		lead = "These are the likeliest causes. Each is weighed by itself; more than one can be at work."
	}
	rest := "Something that is not on our list always keeps a share."
	for _, c := range w.r.Causes {
		if c.ID == somethingElse {
			rest = "Something that is not on our list always keeps a share: here " + explain.Percent(c.P) + "."
		}
	}
	if w.r.More > 0 {
		rest += " More than one cause at once: " + sure(w.r.More) + "."
	}
	tie := ""
	if w.r.Close {
		tie = "The first two are close together. So we propose a test before a repair."
	}
	call := "We call this"
	if w.r.Close {
		call = "We call the first"
	}
	w.add(SectionWhy, "Why it is wet, as we read it",
		Block{Voice: Inferred, Text: statement(w.r.Why.Text, call, w.r.Why.P)},
		Block{Voice: Inferred, Text: lead},
		Block{Kind: Numbered, Voice: Inferred, Items: causes},
		Block{Voice: Inferred, Text: rest},
		Block{Voice: Inferred, Text: tie})
}

// reasons are the strongest few, a sentence each.
func (w *writer) reasons(list []diagnose.Reason, towards bool, most int) string {
	var out []string
	for _, r := range list {
		if r.Text != "" && len(out) < most {
			out = append(out, w.reason(r, towards))
		}
	}
	return strings.Join(out, " ")
}

// reason words one reason without saying the fact again: the fact stands above,
// in its own voice. What is said here is the name of the answer and what follows
// from it.
func (w *writer) reason(r diagnose.Reason, towards bool) string {
	var fact *diagnose.Told
	for i := range w.r.Facts {
		if w.r.Facts[i].Question == r.Question {
			fact = &w.r.Facts[i]
		}
	}
	if fact == nil {
		return sentence(usual(r.Text, r.Source))
	}
	label := toOwner.Replace(fact.Short)
	rest, found := afterFact(r.Text, fact)
	if !found {
		return sentence(usual(r.Text, r.Source))
	}
	if rest != "" {
		return sentence(label + ": " + lowerFirst(usual(rest, r.Source)))
	}
	from := map[string]string{"photo": "the photograph points", "measured": "the reading points", "opened": "what the opening showed points"}[fact.Known]
	if from == "" {
		from = "your answer points"
	}
	if strings.Contains(fact.Says, "; ") {
		from = "one of the answers points" // of several; the strongest stand first
	}
	if towards {
		return sentence(label + ": " + from + " this way")
	}
	return sentence(label + ": " + from + " away from it")
}

// afterFact cuts the words of the fact off the front of a reason and returns
// what follows from it, without its brackets.
func afterFact(text string, f *diagnose.Told) (string, bool) {
	text = cutFold(text, f.Short+": ")
	for _, part := range append([]string{f.Says}, strings.Split(f.Says, "; ")...) {
		if rest := cutFold(text, part); part != "" && rest != text {
			rest = strings.TrimSpace(rest)
			if strings.HasPrefix(rest, "(") && strings.HasSuffix(rest, ")") {
				rest = rest[1 : len(rest)-1]
			}
			return strings.Trim(rest, " .:;,"), true
		}
	}
	return "", false
}

// cutFold cuts a prefix whatever its case.
func cutFold(s, prefix string) string {
	if len(s) >= len(prefix) && strings.EqualFold(s[:len(prefix)], prefix) {
		return s[len(prefix):]
	}
	return s
}

func (w *writer) what() {
	text, p := w.r.What.Text, w.r.What.P
	if b := w.r.BuildUp; b != nil && len(b.Types) > 0 {
		// The reading's own line adds what the tape says and what the roof was sold
		// as; here these stand elsewhere, each in its own voice.
		text, p = "We take it for this: "+lowerFirst(b.Types[0].Name), b.Types[0].P
	}
	blocks := []Block{{Voice: Inferred, Text: statement(text, "We call this", p)}}
	if b := w.r.BuildUp; b != nil {
		var shares Table
		shares.Head = []string{"Kind of roof", "Share", "In a word"}
		row := func(name string, p float64) {
			shares.Rows = append(shares.Rows, []string{name, explain.Percent(p), explain.Hedge(p)})
		}
		small := false
		for _, t := range b.Types {
			if t.P < 0.01 {
				small = true
				continue
			}
			row(t.Name, t.P)
		}
		if len(shares.Rows) > 0 {
			row("Not on our list", b.NotListed)
		}
		blocks = append(blocks, Block{Kind: Grid, Voice: Inferred, Table: shares})
		if small && len(shares.Rows) > 0 {
			blocks = append(blocks, Block{Voice: Inferred, Text: "Kinds with next to no share are left out."})
		}
		blocks = append(blocks, w.thickness(b)...)
	}
	w.add(SectionWhat, "What the roof is made of, as we read it", blocks...)
}

// thickness does the sum that an expert does: the tape, then the layers.
func (w *writer) thickness(b *buildup.Result) []Block {
	t := b.Measured
	if t == nil && len(b.Problems) > 0 {
		return []Block{{Voice: Inferred, Text: "The tape readings that we have cannot be right as noted, so no thickness was worked out."}}
	}
	if t == nil {
		return []Block{{Voice: Inferred, Text: "Two tape readings at a skylight, if there is one, would tell us far more: they give the whole thickness."}}
	}
	sum := fmt.Sprintf("Calculation: inside %s less outside %s leaves %s for the whole roof, from ceiling to surface.",
		measure.MM(t.Inside), measure.MM(t.Outside), measure.MM(t.Inside-t.Outside))
	if t.Second > 0 {
		sum += fmt.Sprintf(" The other side of the skylight gives %s, so the mean is %s.", measure.MM(t.Second), measure.MM(t.M))
	}
	if t.SD > 0 {
		sum += fmt.Sprintf(" The tape is good to about %s either way.", measure.MM(2*t.SD))
	}
	if t.HasFall {
		if t.Fall > 0.0005 {
			sum += fmt.Sprintf(" Between the two sides the thickness changes by about 1 in %.0f.", 1/t.Fall)
		} else {
			sum += " The two sides are equally thick."
		}
	}
	blocks := []Block{{Voice: Inferred, Text: sum}}
	if len(b.Stacks) == 0 {
		return blocks
	}
	s := b.Stacks[0]
	grid := Table{Head: []string{"Layer, from the room up", "Typically"}}
	for _, l := range s.Layers {
		grid.Rows = append(grid.Rows, []string{l.Name, millimetres(l.M)})
	}
	if len(grid.Rows) == 0 {
		return blocks
	}
	grid.Rows = append(grid.Rows, []string{"Sum", measure.MM(s.Total)})
	adds := "Calculation: these layers add up to " + measure.MM(s.Total) + "; the tape says " + measure.MM(t.M) + ". "
	switch gap := math.Round(s.Gap * 1000); {
	case gap > 0:
		adds += fmt.Sprintf("That leaves %.0f mm not accounted for.", gap)
	case gap < 0:
		adds += fmt.Sprintf("That is %.0f mm too much.", -gap)
	default:
		adds += "Nothing is left over."
	}
	if s.Residual > 0 {
		adds += " Without the ceiling, the joists, the deck and the covering, " + measure.MM(s.Residual) + " is left for insulation and whatever else is there."
	}
	intro := fmt.Sprintf("The stack of layers that fits best carries %s of the whole; others fit nearly as well.", explain.Percent(s.P))
	if s.P >= 0.5 {
		intro = fmt.Sprintf("The stack of layers that fits best carries %s of the whole.", explain.Percent(s.P))
	}
	blocks = append(blocks,
		Block{Voice: Inferred, Text: intro + " It is worked out from the sizes the trade uses; it was not seen."},
		Block{Kind: Grid, Voice: Inferred, Table: grid},
		Block{Voice: Inferred, Text: adds})
	if !b.Closes {
		blocks = append(blocks, Block{Voice: Inferred, Text: "No stack on our list comes within " + measure.MM(b.Closure) + " of the tape. Either a reading is off, or the roof is built in a way that we have not listed."})
	}
	return blocks
}

// millimetres keeps a sheet that is thinner than one.
func millimetres(m float64) string {
	if m > 0 && m < 0.0005 {
		return "under 1 mm"
	}
	return figure(math.Round(m*10000)/10) + " mm"
}

func (w *writer) built() {
	w.add(SectionBuilt, "Whether it was built well, as we read it", Block{Voice: Inferred, Text: statement(w.r.Built.Text, "We call that", w.r.Built.P)})
}

func (w *writer) sums() {
	var lines []Item
	for _, f := range w.r.Findings {
		lead := "Calculation"
		if y, ok := w.r.WhyOf(f.Why); ok && weak(y.Source) {
			lead = "Calculation, with what is typically found where nothing was measured"
		}
		text := strings.TrimSpace(lead + ": " + sentence(f.Text) + result(f))
		switch f.Verdict {
		case "good":
			text += " That is in order."
		case "poor":
			text += " That is on the weak side."
		case "bad":
			text += " That is not as it should be."
		}
		lines = append(lines, Item{Lead: f.Title, Text: text})
	}
	intro := ""
	if len(lines) > 0 {
		intro = "Each of these is a calculation, not something that we saw."
	}
	w.add(SectionSums, "What the sums say",
		Block{Voice: Inferred, Text: intro},
		Block{Kind: List, Voice: Inferred, Items: lines})
}

// result gives the value and band of a finding where its text does not already.
func result(f explain.Finding) string {
	if f.Unit == "" && f.Value == 0 {
		return ""
	}
	band := ""
	if f.Low < f.High && !(says(f.Text, f.Low) && says(f.Text, f.High)) {
		band = "nine times in ten between " + figure(f.Low) + " and " + withUnit(figure(f.High), f.Unit)
	}
	switch value := says(f.Text, f.Value) && (f.Unit == "" || strings.Contains(f.Text, f.Unit)); {
	case value && band == "":
		return ""
	case value:
		return " " + sentence(band)
	case band == "":
		return " Result: " + withUnit(figure(f.Value), f.Unit) + "."
	}
	return " Result: " + withUnit(figure(f.Value), f.Unit) + ", " + band + "."
}

// says tells that a number stands in a text, with three figures or two.
func says(text string, x float64) bool {
	for _, n := range []string{figure(x), strconv.FormatFloat(x, 'g', 2, 64)} {
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return !(r >= '0' && r <= '9' || r == '.' || r == '-') }) {
			if strings.TrimRight(w, ".") == n {
				return true
			}
		}
	}
	return false
}
