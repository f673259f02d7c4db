package diagnose

import (
	"fmt"
	"math"
	"strings"

	"underlap/diagnose/explain"
	"underlap/rules"
)

// Early is the number of answers below which no cause is named and no repair put
// first: below it the shares are mostly what is common in the trade, not what this
// roof says. Common practice, no source.
const Early = 6

// statements words the three answers: why it is wet, what it is, was it built well.
func (w *work) statements() {
	w.r.Why = w.whyWet()
	w.r.What = w.whatItIs()
	w.r.Built = w.builtWell()
}

func (w *work) whyWet() Statement {
	top := w.r.Causes[0]
	s := Statement{P: top.P, Hedge: top.Hedge, Why: top.Why, Text: top.Name}
	if w.r.Answered < Early {
		s.Text = "Too early to say"
		s.P, s.Hedge = 0, "open"
	} else if top.ID == rules.OtherCause {
		s.Text = "Nothing on the list of causes stands out yet"
		s.P, s.Hedge = 0, "open"
	} else if w.r.Close {
		s.Text = top.Name + ", closely followed by: " + explain.LowerFirst(w.r.Causes[1].Name)
	}
	return s
}

// tellOf is how a build-up gives itself away.
func (w *work) tellOf(id string) string {
	for _, t := range w.pack.BuildUp.Types {
		if t.ID == id {
			return t.Tell
		}
	}
	return ""
}

func (w *work) whatItIs() Statement {
	b := w.buildup
	top := b.Types[0]
	s := Statement{P: top.P, Hedge: explain.Hedge(top.P), Why: "build-up/type", Text: top.Name}
	if b.Measured != nil && len(b.Stacks) > 0 {
		s.Text += fmt.Sprintf(", %.0f mm thick by the tape", b.Measured.M*1000)
	}
	if sold := w.facts.Choice("sold-as"); sold != "" && sold != "nothing" && sold != top.Type {
		s.Text += "; it was sold as a " + sold + " roof"
	}
	return s
}

// buildUpWhys explains the type shares and the thickness.
func (w *work) buildUpWhys() {
	b := w.buildup
	y := explain.Why{
		ID: "build-up/type", Title: "What the roof is made of", Result: fmt.Sprintf("%s, %s", b.Types[0].Name, explain.Percent(b.Types[0].P)),
		Formula: "share of the era x what was seen x habit of the trade x how well each sum of layers meets the readings, over every stack; then x how well each type foretells the causes that the answers point to",
		Source:  w.pack.BuildUp.Source,
		Note:    fmt.Sprintf("A build-up that is not listed keeps %s. One joist size is 25 mm, as much as the difference between two eras: never call the type on thickness alone when the joist is a guess.", explain.Percent(b.NotListed)),
	}
	for _, t := range b.Types {
		value := explain.Percent(t.P)
		if before := explain.Percent(w.alone.Type(t.Type)); before != value {
			value += ", " + before + " without what the wet tells of it"
		}
		y.Inputs = append(y.Inputs, explain.Input{Name: t.Name, Value: value, From: w.tellOf(t.Type)})
	}
	for _, id := range []string{"built-when", "sold-as", "certificate", "insulation-seen", "insulation-depth", "vents", "edge-depth", "edge-height", "head-depth", "outlet-depth", "hole-depth", "vapour-layer", "joist-depth", "joist-span"} {
		if f, ok := w.facts.Get(id); ok {
			y.Inputs = append(y.Inputs, explain.Input{Name: f.Question.Short, Value: f.Says(), From: f.Known})
		}
	}
	w.why(y)
	w.thicknessWhys()
}

// thicknessWhys explains the thickness by all readings, and what is left over.
func (w *work) thicknessWhys() {
	b := w.buildup
	j := b.Joined
	if j == nil {
		return
	}
	t := explain.Why{
		ID: "build-up/thickness", Title: "Thickness of the whole roof", Result: fmt.Sprintf("%.0f mm (5 to 95 %%: %.0f to %.0f)", j.M*1000, (j.M-1.645*j.SD)*1000, (j.M+1.645*j.SD)*1000),
		Formula: "mean of the readings, each weighed by the inverse square of its error, moved to one place along the fall",
		Source:  "arithmetic; the ways of measuring and their errors are common practice, no source",
		Note:    "Beware a splayed side, a frame that hides the kerb top, a ceiling battened down, chippings under the tape, a boxed edge, an outlet in a sump.",
	}
	if m := b.Measured; m != nil {
		if len(b.Used) == 1 {
			t.Formula = "inside reading - outside reading, both to the top of the kerb"
			t.Source = "subtraction; the method is common practice, no source"
		}
		t.Inputs = append(t.Inputs,
			explain.Input{Name: "Inside: ceiling face to top of kerb", Value: fmt.Sprintf("%.0f mm", m.Inside*1000), From: known(w, "kerb-inside")},
			explain.Input{Name: "Outside: roof surface to top of kerb", Value: fmt.Sprintf("%.0f mm", m.Outside*1000), From: known(w, "kerb-outside")})
		if m.Second > 0 {
			t.Inputs = append(t.Inputs, explain.Input{Name: "Other side", Value: fmt.Sprintf("%.0f mm", m.Second*1000), From: known(w, "second-inside")})
		}
	}
	for _, u := range b.Used {
		if u.Part == rules.PartWhole && u.M > 0 && u.Question != "kerb-inside" && u.Question != "second-inside" {
			t.Inputs = append(t.Inputs, explain.Input{Name: u.Name, Value: fmt.Sprintf("%.0f ± %.0f mm", u.M*1000, 2*u.SD*1000), From: known(w, u.Question)})
		}
	}
	if len(b.Stacks) > 0 {
		st := b.Stacks[0]
		for _, l := range st.Layers {
			t.Inputs = append(t.Inputs, explain.Input{Name: "Likeliest: " + l.Name, Value: fmt.Sprintf("%.1f mm", l.M*1000), From: "sizes on the market"})
		}
		t.Inputs = append(t.Inputs, explain.Input{Name: "Sum of the likeliest", Value: fmt.Sprintf("%.0f mm, %+.0f mm off the readings", st.Total*1000, st.Gap*1000), From: "sum"})
		if u, ok := b.UsualOf(st.Type); ok {
			t.Inputs = append(t.Inputs, explain.Input{Name: "What is usual", Value: u.Against(j.M), From: u.Source})
		}
	}
	w.why(t)
	r := b.Residual
	left := explain.Why{
		ID: "build-up/residual", Title: "What is left over", Result: r.Words(), Formula: "thickness - ceiling - joist - deck - covering",
		Inputs: []explain.Input{{Name: "Thickness", Value: fmt.Sprintf("%.0f ± %.0f mm", j.M*1000, 2*j.SD*1000), From: "all readings"}}, Source: r.Source,
		Note: fmt.Sprintf("Some build-up within %.0f mm of the readings: %s. Growing along the fall rather than steady: %s, even chances before the readings.", b.Closure*1000, yesNo(b.Closes), explain.Percent(j.Growing)),
	}
	if r.From == "hole" {
		left.Formula = "thickness - ceiling up to the deck - deck - covering"
	}
	for _, u := range b.Used {
		if u.Part == rules.PartBelowDeck && r.From == "hole" {
			left.Inputs = append(left.Inputs, explain.Input{Name: u.Name, Value: fmt.Sprintf("%.0f ± %.0f mm", u.M*1000, 2*u.SD*1000), From: known(w, u.Question)})
		}
	}
	for _, id := range []string{"joist-depth", "deck-seen", "covering"} {
		if f, ok := w.facts.Get(id); ok && (id != "joist-depth" || r.From == "parts") {
			left.Inputs = append(left.Inputs, explain.Input{Name: f.Question.Short, Value: f.Says(), From: f.Known})
		}
	}
	w.why(left)
}

func yesNo(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func known(w *work, q string) string {
	if f, ok := w.facts.Get(q); ok {
		return f.Known
	}
	return "not told"
}

// workmanship are the groups of causes that speak of how the job was done, on a
// covering young enough for it to matter.
var workmanship = map[string]bool{"edges": true, "penetrations": true, "trapped": true}

// builtWell multiplies the chances that none of four things is wrong: the order of
// the layers, the ventilation of a cold roof, the insulation for its day, and
// workmanship at the details.
func (w *work) builtWell() Statement {
	b := w.buildup
	type part struct {
		name string
		bad  float64
		from string
	}
	var parts []part
	parts = append(parts, part{"Build-up of the wrong kind (hybrid, or boards on joists)", b.Type("hybrid") + b.Type("on-joists"), "build-up"})
	cold := b.Type("cold")
	shut := 0.5
	if f, ok := w.finding("ventilation"); ok {
		shut = 1 - math.Min(1, f.Value/100)
		if f.Verdict == "good" {
			shut = 0.05
		} else {
			shut = math.Max(shut, 0.6)
		}
	}
	parts = append(parts, part{"Cold roof that cannot breathe", cold * shut, "build-up and vents"})
	if f, ok := w.finding("u-value"); ok {
		bad := map[string]float64{"poor": 0.6, "note": 0.2, "good": 0.05}[f.Verdict]
		parts = append(parts, part{"Insulation below its day", bad * 0.7, "U-value"})
	}
	// The chance that at least one fault of the details is there, from the sets of
	// causes: none of them overlaps itself.
	details := 0.0
	old := w.facts.Is("covering-age", "10-20") || w.facts.Is("covering-age", "over-20")
	for _, s := range w.post.Sets(0) {
		for _, id := range s.IDs {
			c, _ := w.pack.Cause(id)
			if workmanship[c.Group] && !(old && c.Group != "edges") || c.ID == "bypassed-insulation" {
				details += s.P
				break
			}
		}
	}
	parts = append(parts, part{"A fault of workmanship among the suspects", details, "causes"})
	for _, f := range w.sums.Findings {
		if strings.HasPrefix(f.ID, "upstand-") && f.Verdict == "poor" {
			parts = append(parts, part{f.Title + " below what is asked", 0.5, "tape"})
		}
	}
	p := 1.0
	y := explain.Why{
		ID: "built-well", Title: "Was it built well?", Formula: "product of the chances that each fault is absent",
		Source: "common practice, no source: a summary, not a standard", Note: "The faults are taken one by one; some go together, so this is a little harsh.",
	}
	worst := parts[0]
	for _, x := range parts {
		p *= 1 - math.Min(x.bad, 0.98)
		y.Inputs = append(y.Inputs, explain.Input{Name: x.name, Value: explain.Percent(x.bad), From: x.from})
		if x.bad > worst.bad {
			worst = x
		}
	}
	s := Statement{P: p, Why: y.ID, Text: "Built well, as far as can be told from here"}
	switch {
	case w.r.Answered < 12 || b.Types[0].P < 0.5:
		s.Text, s.P = "Too early to say", 0
	case p < 0.5:
		s.Text, s.P = "Not built well, chiefly: "+explain.LowerFirst(worst.name), 1-p
	case p < 0.6:
		s.Text = "Built well, with a doubt: " + explain.LowerFirst(worst.name)
	}
	s.Hedge = explain.Hedge(s.P)
	if s.P == 0 {
		s.Hedge = "open"
	}
	y.Result = explain.Percent(p) + " that it was"
	w.why(y)
	return s
}

func (w *work) finding(id string) (explain.Finding, bool) {
	for _, f := range w.sums.Findings {
		if f.ID == id {
			return f, true
		}
	}
	return explain.Finding{}, false
}
