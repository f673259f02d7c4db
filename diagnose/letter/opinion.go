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
	"underlap/rules"
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
		if c.ID == rules.OtherCause || len(out) == 3 || len(out) > 0 && c.P < 0.02 {
			continue
		}
		out = append(out, c)
	}
	return out
}

// How many reasons a letter gives for a cause, and against it.
const (
	mostFor     = 2
	mostAgainst = 1
)

// why names the causes: for each its odds and what speaks for it and against it.
// The first also says how it works.
func (w *writer) why() {
	var causes []Item
	for n, c := range w.top() {
		it := Item{Lead: c.Name, Text: sentence(sure(c.P))}
		if n == 0 {
			it.Text = strings.TrimSpace(it.Text + " " + sentence(usual(c.How, c.Source)))
		}
		line := func(lead, text string) {
			if text != "" {
				it.Text += " " + lead + ": " + explain.LowerFirst(text)
			}
		}
		line("For", w.reasons(c.For, mostFor))
		line("Against", w.reasons(c.Against, mostAgainst))
		if n == 0 {
			it.Text += w.shares(c.ID)
		}
		causes = append(causes, it)
	}
	lead := ""
	if len(causes) > 1 {
		lead = "The likeliest causes, each weighed by itself:"
	}
	rest := "Something that is not on our list always keeps a share."
	for _, c := range w.r.Causes {
		if c.ID == rules.OtherCause {
			rest = "Something not on our list: " + explain.Percent(c.P) + "."
		}
	}
	if w.r.More > 0 {
		rest += " More than one cause at once: " + sure(w.r.More) + "."
	}
	if r := w.r.Robust; r != nil && !r.Robust {
		rest += " This order is not robust: it would change if our working figures were somewhat different. Treat it as the best guess so far."
	}
	if w.r.Close {
		rest += " The first two are close together. So we propose a test before a repair."
	}
	w.add(SectionWhy, "Why it is wet, as we read it",
		Block{Voice: Inferred, Text: lead},
		Block{Kind: Numbered, Voice: Inferred, Items: causes},
		Block{Voice: Inferred, Text: rest, Tight: true})
}

// shares says where the weight for a cause comes from, when that was worked out.
func (w *writer) shares(cause string) string {
	for i := range w.r.Contributions {
		if c := &w.r.Contributions[i]; c.Cause == cause {
			if text := c.Says(); text != "" {
				return " " + text
			}
		}
	}
	return ""
}

// reasons joins the strongest few in one sentence, each once.
func (w *writer) reasons(list []diagnose.Reason, most int) string {
	var out []string
	for _, r := range list[:min(len(list), most)] {
		if text := w.reason(r); text != "" {
			out = append(out, text)
		}
	}
	return sentence(strings.Join(distinct(out), "; "))
}

// What a reason starts with when it is a sign that was not there.
var absent = []string{"Not there: ", "Not mentioned: "}

// reason words one reason without saying the fact again: the fact stands above,
// in its own voice. What is said here is the name of the answer and, in brackets,
// what follows from it or which sign was missed.
func (w *writer) reason(r diagnose.Reason) string {
	var fact *diagnose.Told
	for i := range w.r.Facts {
		if w.r.Facts[i].Question == r.Question {
			fact = &w.r.Facts[i]
		}
	}
	label := ""
	if fact != nil {
		label = explain.LowerFirst(toOwner.Replace(fact.Short))
	}
	for _, lead := range absent {
		sign := strings.TrimRight(cutFold(r.Text, lead), ".")
		if sign == r.Text {
			continue
		}
		missed := strings.ToLower(lead) + sign
		if label == "" {
			return missed
		}
		return label + " (" + missed + ")"
	}
	if fact == nil {
		return explain.LowerFirst(strings.TrimRight(usual(r.Text, r.Source), "."))
	}
	rest, found := afterFact(r.Text, fact)
	switch {
	case !found:
		return explain.LowerFirst(strings.TrimRight(usual(r.Text, r.Source), "."))
	case rest == "":
		return whose(fact.Known) + " \"" + label + "\""
	}
	return label + " (" + strings.ReplaceAll(explain.LowerFirst(usual(rest, r.Source)), " (typical figures)", ", typical figures") + ")"
}

// whose says where the answer behind a reason stands, without repeating it.
func whose(known string) string {
	switch known {
	case "photo":
		return "the photograph of"
	case "measured", "opened":
		return "what was found of"
	}
	return "your answer on"
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
	kind, p := w.madeOf()
	text := statement(kind, "We call this", p)
	b := w.r.BuildUp
	if b == nil {
		w.add(SectionWhat, "What the roof is made of, as we read it", Block{Voice: Inferred, Text: text})
		return
	}
	if len(b.Types) > 0 {
		var others []string
		for _, t := range b.Types[1:] {
			if t.P >= leastKind {
				others = append(others, explain.LowerFirst(t.Name)+", "+explain.Percent(t.P))
			}
		}
		others = append(others, "not on our list, "+explain.Percent(b.NotListed))
		text += " What else it may be: " + strings.Join(others, "; ") + "."
	}
	sum, layers := w.thickness(b)
	w.add(SectionWhat, "What the roof is made of, as we read it",
		Block{Voice: Inferred, Text: text},
		Block{Voice: Inferred, Text: strings.TrimSpace(sum + " " + layers), Tight: true})
}

// leastKind is the share under which a kind of roof is not named.
const leastKind = 0.05

// thickness does the sum that an expert does: the tape, then the layers.
func (w *writer) thickness(b *buildup.Result) (sum, adds string) {
	t := b.Measured
	if t == nil && b.Joined != nil {
		return w.stack(b, "Calculation: "+together(b, 0)+".", b.Joined.M, "the readings say ")
	}
	if t == nil && len(b.Problems) > 0 {
		return "The tape readings that we have cannot be right as noted, so no thickness was worked out.", ""
	}
	for _, f := range w.r.Facts {
		if t == nil && f.Question == "rooflight" && f.Says == "None" {
			return "There is no skylight to measure at, so the thickness is not known. A look up a light fitting that is out, with the power off, would tell more.", ""
		}
	}
	if t == nil {
		return "Two tape readings at a skylight, if there is one, would tell us far more: they give the whole thickness.", ""
	}
	sum = fmt.Sprintf("Calculation: inside %s less outside %s leaves %s for the whole roof.",
		measure.MM(t.Inside), measure.MM(t.Outside), measure.MM(t.Inside-t.Outside))
	if t.Second > 0 {
		sum += fmt.Sprintf(" The other side of the skylight gives %s, so the mean is %s.", measure.MM(t.Second), measure.MM(t.M))
	}
	if t.SD > 0 {
		sum += fmt.Sprintf(" The tape is good to about %s.", measure.MM(2*t.SD))
	}
	if t.HasFall {
		if t.Fall > 0.0005 {
			sum += fmt.Sprintf(" Between the two sides the thickness changes by about 1 in %.0f.", 1/t.Fall)
		} else {
			sum += " The two sides are equally thick."
		}
	}
	if other := together(b, t.M); other != "" {
		return w.stack(b, sum+" Other readings: "+other+".", b.Joined.M, "all readings together say ")
	}
	return w.stack(b, sum, t.M, "the tape says ")
}

// together words the readings of the whole roof other than at the skylight, and what
// all of them come to; "" when there are none.
func together(b *buildup.Result, tape float64) string {
	var said []string
	for _, u := range b.Used {
		if u.Part == rules.PartWhole && u.M > 0 && u.Question != "kerb-inside" && u.Question != "second-inside" {
			said = append(said, fmt.Sprintf("%s, %.0f ± %s", explain.LowerFirst(u.Name), u.M*1000, measure.MM(2*u.SD)))
		}
	}
	if len(said) == 0 {
		return ""
	}
	s := strings.Join(said, "; ")
	if len(said) > 1 || tape > 0 {
		s += fmt.Sprintf(". Together they come to %.0f ± %s for the whole roof", b.Joined.M*1000, measure.MM(2*b.Joined.SD))
	} else {
		s += " for the whole roof"
	}
	return s
}

// stack holds the layers that fit best against the thickness.
func (w *writer) stack(b *buildup.Result, sum string, thickness float64, says string) (string, string) {
	if len(b.Stacks) == 0 {
		return sum, ""
	}
	s := b.Stacks[0]
	var layers []string
	for _, l := range s.Layers {
		name, size := explain.LowerFirst(l.Name), millimetres(l.M)
		if strings.HasPrefix(name, size+" ") {
			layers = append(layers, name) // "100 mm foam board" has said it
			continue
		}
		layers = append(layers, name+", "+size)
	}
	if len(layers) == 0 {
		return sum, ""
	}
	adds := "The stack that fits best has a share of " + explain.Percent(s.P)
	if s.P < 0.5 {
		adds += "; others fit nearly as well"
	}
	adds += ". From the room up, in the typical sizes of the trade and not seen: " + strings.Join(layers, "; ") + ". Sum: " + measure.MM(s.Total) + "; " + says + measure.MM(thickness) + ". "
	switch gap := math.Round(s.Gap * 1000); {
	case gap > 0:
		adds += fmt.Sprintf("That leaves %.0f mm not accounted for.", gap)
	case gap < 0:
		adds += fmt.Sprintf("That is %.0f mm too much.", -gap)
	default:
		adds += "Nothing is left over."
	}
	if !b.Closes {
		adds += " No stack on our list comes within " + measure.MM(b.Closure) + " of the tape. Either a reading is off, or the roof is built in a way that we have not listed."
	}
	return sum, adds
}

// millimetres keeps a sheet that is thinner than one.
func millimetres(m float64) string {
	if m > 0 && m < 0.0005 {
		return "under 1 mm"
	}
	return figure(math.Round(m*10000)/10) + " mm"
}

func (w *writer) built() {
	w.add(SectionBuilt, "Whether it was built well, as we read it", Block{Voice: Inferred, Text: statement(w.r.Built.Text, "We call this", w.r.Built.P)})
}

// inFull are the findings that every owner is given, whatever they say: how much
// heat gets out, and whether breath of the room can be all that water.
var inFull = map[string]bool{"u-value": true, "vapour-litres": true}

// sums sets out what is wrong and what an owner asks for; the rest is named.
func (w *writer) sums() {
	var lines []Item
	var good, other []string
	for _, f := range w.r.Findings {
		poor := f.Verdict == "poor" || f.Verdict == "bad"
		if !poor && !inFull[f.ID] {
			if f.Verdict == "good" {
				good = append(good, explain.LowerFirst(f.Title))
			} else {
				other = append(other, explain.LowerFirst(f.Title))
			}
			continue
		}
		text := sentence(f.Text)
		if inFull[f.ID] || !says(f.Text, f.Value) {
			text += result(f)
		}
		if y, ok := w.r.WhyOf(f.Why); ok {
			text = sentence(usual(text, y.Source))
		}
		lead := f.Title
		switch f.Verdict {
		case "good":
			lead += " (in order)"
		case "poor", "bad":
			lead += " (" + f.Verdict + ")"
		}
		lines = append(lines, Item{Lead: lead, Text: text})
	}
	intro, rest := "", ""
	if len(lines) > 0 {
		intro = "Calculations, not things that we saw:"
	}
	if len(good) > 0 {
		rest = "In order: " + strings.Join(good, "; ") + "."
	}
	if len(other) > 0 {
		rest = strings.TrimSpace(rest + " Worked out too: " + strings.Join(other, "; ") + ".")
	}
	w.add(SectionSums, "What the sums say",
		Block{Voice: Inferred, Text: intro},
		Block{Kind: List, Voice: Inferred, Items: lines},
		Block{Voice: Inferred, Text: rest, Tight: true})
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
	unit := f.Unit == "" || strings.Contains(f.Text, f.Unit) || strings.Contains(f.Text, strings.ReplaceAll(f.Unit, "/", " a "))
	switch value := unit && says(f.Text, f.Value); {
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
		want, err := strconv.ParseFloat(n, 64)
		if err != nil {
			continue
		}
		for _, w := range strings.FieldsFunc(text, func(r rune) bool { return !(r >= '0' && r <= '9' || r == '.' || r == '-') }) {
			if got, err := strconv.ParseFloat(strings.TrimRight(w, "."), 64); err == nil && got == want {
				return true
			}
		}
	}
	return false
}
