package diagnose

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"underlap/diagnose/explain"
	"underlap/diagnose/infer"
	"underlap/rules"
)

// shown is how many causes get their reasons worked out; the rest are ranked only.
const shown = 10

// Weights in decibans under which a reason is not worth a line, and where the
// words change. Good (1985): one deciban is about the least step a person notices.
// The weights are means of first and last place, so they run lower than either.
const (
	leastReason = 0.5
	fair        = 2.0
	strong      = 5.0
	telling     = 3.0 // an open answer that moves a cause less is not worth looking for
)

// Strong is the word for the heaviest reasons.
const Strong = "strong"

// closeCall is the gap between the first two causes under which a test is sold
// and not a repair; common practice, no source.
const closeCall = 0.15

func (w *work) causes() error {
	w.review = w.post.Review()
	prior := w.engine.Prior()
	// An answer that says what others have said already moves little when it is left
	// out, and much when it stands alone. Its weight is the mean of the two: the first
	// and the last place it could have in the telling.
	weights := w.review.Weights()
	alone, err := prior.ByThemselves(w.ev)
	if err != nil {
		return fmt.Errorf("weighing the answers one by one: %w", err)
	}
	for i := range alone {
		for c := range alone[i] {
			weights[i][c] = (weights[i][c] + alone[i][c]) / 2
		}
	}
	w.r.More = 1 - w.post.Size(1)
	w.sources()
	for j, m := range w.pack.Mechanisms {
		gate := w.model.spec.Mechanisms[j].Gate
		w.r.Mechanisms = append(w.r.Mechanisms, Mechanism{ID: m.ID, Name: m.Name, P: w.post.Mechanism(j), Gate: gate})
		w.why(explain.Why{
			ID: "mechanism/" + m.ID, Title: m.Name, Result: explain.Percent(w.post.Mechanism(j)) + " at work",
			Formula: "gate x (1 - (1 - leak) x product over the causes present of (1 - strength)), weighed by the sets of causes",
			Inputs: []explain.Input{
				{Name: "What it is", Value: m.Says, From: "knowledge"},
				{Name: "Physics says that it can act", Value: explain.Percent(gate), From: "sums"},
				{Name: "With none of the listed causes", Value: explain.Percent(m.Leak), From: "common practice, no source"},
			},
			Source: "noisy-OR of causes, exact over all sets of causes",
		})
	}
	w.why(explain.Why{
		ID: "causes/more", Title: "More than one cause at work", Result: explain.Percent(w.r.More),
		Formula: "share of the sets with two causes and more",
		Inputs:  []explain.Input{{Name: "Before any answer", Value: explain.Percent(1 - w.pack.Words.CauseCount[0]), From: w.pack.Words.Source}},
		Source:  "all sets of up to " + counts(len(w.pack.Words.CauseCount)) + ", weighed against every answer",
	})
	safe := w.stops()
	ranked := w.post.Ranked()
	for n, c := range ranked {
		k := &w.pack.Causes[c]
		p := w.post.Cause(c)
		x := Cause{
			ID: k.ID, Name: k.Name, Short: k.Short, Group: k.Group, P: p, Prior: prior.Cause(c), Hedge: explain.Hedge(p),
			Where: k.Where, RuledOutBy: k.RuledOutBy, How: k.How, Tell: k.Tell, Test: safe.guarded(k.Test), FirstAid: k.FirstAid, Repair: k.Repair, Source: k.Source, Why: "cause/" + k.ID,
		}
		if n < shown {
			w.reasons(&x, c, weights)
		}
		w.whyCause(x, c)
		w.r.Causes = append(w.r.Causes, x)
	}
	w.r.Close = len(ranked) > 1 && w.post.Cause(ranked[0])-w.post.Cause(ranked[1]) < closeCall
	for _, s := range w.post.Sets(5) {
		w.r.Sets = append(w.r.Sets, CauseSet{Causes: s.IDs, P: s.P})
	}
	w.surprise()
	return nil
}

// Waters puts the sources in one line, the likeliest first, without those under 2 %.
func (r *Reading) Waters() string {
	var out []string
	for _, x := range r.Sources {
		if x.P >= 0.02 {
			out = append(out, x.Name+" "+explain.Percent(x.P))
		}
	}
	return strings.Join(out, ", ")
}

// counts words the largest number of causes in a set.
func counts(n int) string {
	return [...]string{"one cause", "two causes", "three causes"}[n-1]
}

// sources says which kinds of water explain the wet, each alone, and what is left for
// mixtures of them. It is the first fork of the trade: rain, breath or pipes.
func (w *work) sources() {
	label := make([]int, len(w.pack.Causes))
	for i := range w.pack.Causes {
		label[i] = slices.Index(rules.Waters, w.pack.WaterOf(&w.pack.Causes[i]))
	}
	for i, p := range w.post.Alone(label, len(rules.Waters)) {
		x := Source{ID: "mixed", Name: "more than one kind", P: p}
		if i < len(rules.Waters) {
			x.ID, x.Name = rules.Waters[i], waterNames[rules.Waters[i]]
		}
		w.r.Sources = append(w.r.Sources, x)
		w.why(explain.Why{
			ID: "source/" + x.ID, Title: "Water: " + x.Name, Result: explain.Percent(p),
			Formula: "share of the sets of causes that bring this water and no other; a cause counts by the mechanism through which it acts first",
			Inputs:  []explain.Input{{Name: "Sets with more than one cause", Value: explain.Percent(w.r.More), From: "answers"}},
			Source:  "all sets of up to " + counts(len(w.pack.Words.CauseCount)) + ", weighed against every answer",
		})
	}
	slices.SortStableFunc(w.r.Sources, func(a, b Source) int { return cmp.Compare(math.Round(b.P*1e9), math.Round(a.P*1e9)) })
}

// waterNames words the kinds of water.
var waterNames = map[string]string{
	"rain": "rain alone", "breath": "breath of the room alone", "pipes": "pipes and use alone",
	"held": "water held in the roof alone", "none": "nothing wet any more", "other": "something not listed",
}

// reasons lists the answers that speak for and against a cause, by their weight.
func (w *work) reasons(x *Cause, c int, weights [][]float64) {
	for i := range w.model.findings {
		if weights[i] == nil || w.model.findings[i].question == nil {
			continue
		}
		d := weights[i][c]
		if math.Abs(d) < leastReason || !w.bears(i, c) && math.Abs(d) < telling {
			continue // an answer about other causes speaks here only by taking them away
		}
		r := w.reason(i, c, d)
		if d > 0 {
			x.For = append(x.For, r)
		} else {
			x.Against = append(x.Against, r)
		}
	}
	by := func(list []Reason) func(i, j int) bool {
		return func(i, j int) bool {
			return math.Round(math.Abs(list[i].Decibans)*1e6) > math.Round(math.Abs(list[j].Decibans)*1e6)
		}
	}
	sort.SliceStable(x.For, by(x.For))
	sort.SliceStable(x.Against, by(x.Against))
}

// bears tells whether a finding is about this cause: by a link of its own, by its
// range, or by a mechanism it acts through.
func (w *work) bears(i, c int) bool {
	fd := w.model.findings[i]
	if fd.over == infer.OverCauses {
		for _, r := range w.model.spec.Findings[i].Rows {
			if r.Parent == c {
				return true
			}
		}
		return false
	}
	for _, m := range w.model.spec.Mechanisms {
		for _, l := range m.Links {
			if l.Cause == c && l.Lambda >= 0.3 {
				return true
			}
		}
	}
	return false
}

func (w *work) reason(i, c int, d float64) Reason {
	fd := w.model.findings[i]
	r := Reason{Question: fd.question.ID, Decibans: d, Strength: strength(d), Source: fd.question.Source}
	said := w.said[i]
	switch {
	case fd.option != "" && said == 1:
		a, _ := fd.question.Answer(fd.option)
		r.Text = a.Says
	case fd.option != "":
		a, _ := fd.question.Answer(fd.option)
		r.Text = "Not mentioned: " + explain.LowerFirst(a.Says)
		if f, ok := w.facts.Get(fd.question.ID); ok && has(f.Answer.Choices, rules.NoneChosen) {
			r.Text = "Not there: " + explain.LowerFirst(a.Says)
		}
	default:
		f, told := w.facts.Get(fd.question.ID)
		if text, ok := w.daysReason(i, f, told); ok {
			r.Text = text
			break
		}
		r.Text = fd.question.Short + ": " + explain.LowerFirst(f.Says())
	}
	if _, told := w.facts.Get(fd.question.ID); !told {
		return r
	}
	for _, l := range w.linksOf(i, c) {
		if !names(l, fd, said) {
			continue
		}
		r.Source = l.Source
		// Not said twice: "several places (several places)".
		if d > 0 && !strings.Contains(strings.ToLower(r.Text), strings.ToLower(l.Says)) {
			r.Text += " (" + explain.LowerFirst(l.Says) + ")"
		}
		break
	}
	return r
}

// linksOf are the rules that tie a finding to a cause: its own, or those of the
// mechanisms it acts through, the surest first.
func (w *work) linksOf(i, c int) []rules.Link {
	fd := w.model.findings[i]
	if fd.over == infer.OverCauses {
		return fd.links[c]
	}
	type tie struct {
		lambda float64
		links  []rules.Link
	}
	var ties []tie
	for j, m := range w.model.spec.Mechanisms {
		for _, l := range m.Links {
			if l.Cause == c && l.Lambda >= 0.3 {
				ties = append(ties, tie{l.Lambda, fd.links[j]})
			}
		}
	}
	sort.SliceStable(ties, func(a, b int) bool { return ties[a].lambda > ties[b].lambda })
	var out []rules.Link
	for _, t := range ties {
		out = append(out, t.links...)
	}
	return out
}

// names tells whether a link is about the answer that was given.
func names(l rules.Link, fd finding, said int) bool {
	if fd.option != "" {
		return said == 1
	}
	a := fd.question.Answers[said]
	if len(l.Of100) > 0 {
		return l.Of100[a.ID] > a.Background
	}
	return has(l.Answer, a.ID)
}

func strength(d float64) string {
	switch d = math.Abs(d); {
	case d >= strong:
		return Strong
	case d >= fair:
		return "fair"
	default:
		return "slight"
	}
}

// look finds the open questions whose answers would move a cause most: the sign that
// would speak for it, and the one against.
func (w *work) look(c int) []Sign {
	var out []Sign
	for i, fd := range w.model.findings {
		v, ok := w.values[i]
		if !ok || fd.question == nil || !w.bears(i, c) || !applies(fd.question, w.facts, w.state) {
			continue
		}
		for a, p := range v.Predicted {
			d := v.Decibans(c, a)
			if math.Abs(d) < telling || p < 0.01 {
				continue
			}
			id, text := "", fd.question.Short+": "
			switch {
			case fd.option == "":
				id = fd.question.Answers[a].ID
				text += explain.LowerFirst(fd.question.Answers[a].Says)
			case a == 0:
				ans, _ := fd.question.Answer(fd.option)
				id = "not " + fd.option
				text += "no " + explain.LowerFirst(ans.Says)
			default:
				ans, _ := fd.question.Answer(fd.option)
				id = fd.option
				text += explain.LowerFirst(ans.Says)
			}
			out = append(out, Sign{Question: fd.question.ID, Answer: id, Text: text, Decibans: d})
		}
	}
	sort.SliceStable(out, func(i, j int) bool {
		return math.Round(math.Abs(out[i].Decibans)*1e6) > math.Round(math.Abs(out[j].Decibans)*1e6)
	})
	return out[:min(len(out), 5)]
}

// whyCause explains the percentage of a cause.
func (w *work) whyCause(x Cause, c int) {
	y := explain.Why{
		ID: x.Why, Title: x.Name, Result: explain.Percent(x.P) + ", " + x.Hedge,
		Formula: "all sets of up to " + counts(len(w.pack.Words.CauseCount)) + " weighed against every answer; this is the share of those that hold this cause",
		Source:  x.Source,
		Note:    "Weights of answers are in decibans, 10 log10 of how far the odds move: the mean of what the answer does alone and what it does last, after all others. Answers overlap, so the lines do not add up exactly to the sum.",
	}
	k := &w.pack.Causes[c]
	y.Inputs = append(y.Inputs, explain.Input{Name: "Of 100 such calls, before any answer", Value: fmt.Sprintf("%.3g", k.PerCalls), From: k.Source + " (confidence " + k.Confidence + ")"})
	y.Inputs = append(y.Inputs, explain.Input{Name: "On this kind of roof, before any sign", Value: explain.Percent(x.Prior), From: "age, covering, build-up, history"})
	for _, a := range k.Acts {
		for _, m := range w.r.Mechanisms {
			if m.ID == a.Mechanism {
				y.Inputs = append(y.Inputs, explain.Input{Name: "Acts: " + m.Name, Value: fmt.Sprintf("%s; physics says that it can: %s", strings.ReplaceAll(a.Strength, "_", " "), explain.Percent(m.Gate)), From: "sums"})
			}
		}
	}
	y.Inputs = append(y.Inputs, explain.Input{Name: "All answers together", Value: fmt.Sprintf("%+.1f dB", 10*math.Log10(x.P/(1-x.P)*(1-x.Prior)/x.Prior)), From: "from the share before any sign to the share now"})
	for _, r := range append(append([]Reason(nil), x.For...), x.Against...) {
		y.Inputs = append(y.Inputs, explain.Input{Name: r.Text, Value: fmt.Sprintf("%+.1f dB", r.Decibans), From: r.Source})
	}
	w.why(y)
}

// surprising is how many bits above expectation an answer must be before it is
// asked again; a judgement: about one answer in thirty-two is that odd.
const surprising = 3.5

// Where all answers together are this far from what the model expects of honest ones,
// in standard deviations, an answer need be less odd by itself to be asked again.
const (
	strained = 2.0
	odd      = 1.5 // bits
)

// surprise asks to check again the one or two answers that fit the rest worst.
func (w *work) surprise() {
	if len(w.said) < 4 {
		return // too little to be surprised by
	}
	list := w.review.Surprise()
	least := surprising
	if infer.Strain(list) > strained {
		least = odd
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].Excess > list[j].Excess })
	seen := map[string]bool{}
	for _, s := range list {
		if s.Excess < least || len(seen) == 2 || s.Item >= len(w.model.findings) {
			break
		}
		q := w.model.findings[s.Item].question
		if q == nil || seen[q.ID] {
			continue
		}
		f, told := w.facts.Get(q.ID)
		if !told {
			continue // the days on record, not an answer
		}
		seen[q.ID] = true
		w.r.Recheck = append(w.r.Recheck, Recheck{
			Questions: []string{q.ID}, Kind: "surprise",
			Text: fmt.Sprintf("%s: %s. That is unusual beside the rest; worth asking once more.", q.Short, explain.LowerFirst(f.Says())),
		})
	}
}
