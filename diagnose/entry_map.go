package diagnose

import (
	"fmt"
	"maps"
	"math"

	"underlap/diagnose/entry"
	"underlap/diagnose/facts"
	"underlap/diagnose/infer"
	"underlap/diagnose/measure"
	"underlap/rules"
)

// Sizes of a roof nobody measured; common practice, no source.
const (
	usualArea  = 18.0 // m2
	usualRatio = 1.5  // longer side over shorter
)

// entryMap works out where the water gets in, once anything is known of the plan. It
// comes after the causes are weighed and changes nothing in them.
func (w *work) entryMap() error {
	p, assumed, known := w.plan()
	if !known {
		return nil
	}
	t := &w.pack.Travel
	in := entry.Input{Plan: p, Facts: w.facts, Lag: w.toldLag(), Assume: assumed}
	in.Fall = w.falls(&in.Plan)
	in.Out = w.joistsOut(&in.Plan)
	if !in.Plan.FallTold {
		in.Assume = append(in.Assume, "it falls towards the garden")
	}
	if !in.Plan.JoistsTold {
		in.Assume = append(in.Assume, "the joists run the short way")
	}
	roof := w.buildup
	in.Causes = w.shares(w.post)
	if len(in.Plan.Stains) > 0 {
		bare, err := w.without("where-inside")
		if err != nil {
			return err
		}
		in.All, in.Causes = in.Causes, w.shares(bare)
		roof = w.model.joined(w.alone, bare)
	}
	left := 1.0
	for _, b := range roof.Types {
		if _, ok := t.Type(b.Type); ok {
			in.Types = append(in.Types, entry.Share{ID: b.Type, P: b.P})
			left -= b.P
		}
	}
	in.Types = append(in.Types, entry.Share{ID: rules.NotListed, P: math.Max(0, left)})
	m := entry.Find(in, w.pack)
	empty(&m.Hose)
	empty(&m.Not)
	empty(&m.Assumed)
	for i := range m.Zones {
		empty(&m.Zones[i].Causes)
	}
	w.r.Entry = m
	w.r.Whys = append(w.r.Whys, m.Whys(in, w.pack)...)
	return nil
}

// shares are the causes by their chance of being at work.
func (w *work) shares(p *infer.Posterior) []entry.Share {
	out := make([]entry.Share, len(w.pack.Causes))
	for c := range out {
		out[c] = entry.Share{ID: w.pack.Causes[c].ID, P: p.Cause(c)}
	}
	return out
}

// without weighs the causes as if a question had not been answered.
func (w *work) without(question string) (*infer.Posterior, error) {
	ev := w.ev
	ev.Likelihood = maps.Clone(w.ev.Likelihood)
	for _, i := range w.model.at[question] {
		delete(ev.Likelihood, i)
	}
	if len(ev.Likelihood) == len(w.ev.Likelihood) {
		return w.post, nil
	}
	post, err := w.engine.Update(ev)
	if err != nil {
		return nil, fmt.Errorf("weighing the answers without %q: %w", question, err)
	}
	return post, nil
}

// plan sets down what is told of the plan and says what is assumed. It is not known when
// nobody said how big the roof is or where anything stands on it.
func (w *work) plan() (p entry.Plan, assumed []string, known bool) {
	f := w.facts
	p.Along, p.Out, assumed, known = w.planSize()
	p.Sides = map[string]string{entry.House: entry.Wall}
	given, told := f.Get("plan-sides")
	for _, side := range []string{entry.Left, entry.Right, entry.Garden} {
		p.Sides[side] = entry.Edge
		for _, kind := range []string{entry.Wall, entry.Tiles, entry.Parapet} {
			if has(given.Choices, kind+"-"+side) {
				p.Sides[side] = kind
			}
		}
	}
	if !told && f.Is("form-also", "parapet-side") {
		for _, side := range []string{entry.Left, entry.Right, entry.Garden} {
			p.Sides[side] = entry.Parapet
		}
		assumed = append(assumed, "parapets stand at the other sides")
	}
	if !told && (f.Is("form-also", "tiled-slope") || f.Is("form-also", "tiled-hip")) {
		p.Sides[entry.Garden] = entry.Tiles
		assumed = append(assumed, "the tiles are at the garden side")
	}
	p.Centres = w.pack.Travel.Centres
	switch f.Choice("joist-centres") {
	case "400":
		p.Centres = 0.4
	case "450":
		p.Centres = 0.45
	case "600":
		p.Centres = 0.6
	}
	for _, x := range []struct {
		question string
		into     *[]entry.Mark
	}{
		{"stain-spots", &p.Stains}, {"rooflight-spots", &p.Rooflights}, {"outlet-spots", &p.Outlets}, {"pipe-spots", &p.Pipes},
	} {
		*x.into = []entry.Mark{}
		fact, ok := f.Get(x.question)
		if !ok || !w.applies(x.question) {
			continue
		}
		for _, s := range fact.Spots() {
			m, inside := entry.MarkOf(s, p.Along, p.Out)
			if !inside {
				w.r.Recheck = append(w.r.Recheck, Recheck{
					Questions: []string{x.question, "plan-along", "plan-out"}, Kind: "reading",
					Text: fmt.Sprintf("%s: %s lies outside the plan of %s by %s, so it is left out. Ask for it again, or for the size.", fact.Question.Short, s.Words(), measure.M(p.Along), measure.M(p.Out)),
				})
				continue
			}
			*x.into = append(*x.into, m)
		}
		known = true
	}
	if b := w.buildup.Measured; b != nil && b.HasFall {
		p.Rate = b.Fall
	}
	return p, assumed, known
}

// applies tells whether the answer to a question still counts: the skylight may have been
// unsaid since.
func (w *work) applies(question string) bool {
	q, _ := w.pack.Question(question)
	for _, line := range q.Unless {
		if rules.All([]string{line}, w.facts) == rules.Yes {
			return false
		}
	}
	return rules.All(q.When, w.facts) != rules.No
}

// planSize is the length along the house wall and the depth from it, in metres: as told,
// or from the area and the span, or usual ones that hold all that was set down in metres.
func (w *work) planSize() (along, out float64, assumed []string, known bool) {
	f := w.facts
	a, okA := f.Number("plan-along")
	b, okB := f.Number("plan-out")
	if okA && okB {
		return a, b, nil, true
	}
	area, okArea := f.Number("roof-area")
	known = okA || okB || okArea
	if !okArea {
		area = usualArea
	}
	switch x, y, err := measure.Sides(f.Typed("roof-area")); {
	case okA:
		along, out = a, area/a
	case okB:
		along, out = area/b, b
	case okArea && err == nil && x > 0 && y > 0:
		along, out = math.Max(x, y), math.Min(x, y)
		assumed = append(assumed, "the long side is along the house")
		return along, out, assumed, true
	default:
		out = math.Sqrt(area / usualRatio)
		if span, ok := f.Number("joist-span"); ok && span*span <= area {
			out = span
		}
		along = area / out
	}
	// A plan somebody else drew must hold the places that were told in metres.
	for _, id := range []string{"stain-spots", "rooflight-spots", "outlet-spots", "pipe-spots"} {
		fact, _ := f.Get(id)
		for _, s := range fact.Spots() {
			if s.Key == 0 && !okA {
				along = math.Max(along, s.X)
			}
			if s.Key == 0 && !okB {
				out = math.Max(out, s.Y)
			}
		}
	}
	assumed = append(assumed, fmt.Sprintf("the plan is %s along the house by %s out", measure.M(along), measure.M(out)))
	return math.Max(along, 0.5), math.Max(out, 0.5), assumed, known
}

// falls is the chance that the roof falls towards each side, and sets the likeliest down
// on the plan.
func (w *work) falls(p *entry.Plan) map[string]float64 {
	t := &w.pack.Travel
	usual := t.Fall
	fact, told := w.facts.Get("fall-towards")
	side := w.facts.Choice("fall-towards")
	out := map[string]float64{}
	p.Fall, p.FallTold = entry.Garden, told
	level := told && side == "level" || p.Rate > 0 && p.Rate < t.LevelUnder
	for _, s := range rules.Sides {
		switch {
		case level: // it leads the water nowhere: all ways alike
			out[s] = 1 / float64(len(rules.Sides))
		case told && s == side:
			out[s] = fact.Reliability + (1-fact.Reliability)*usual[s]
		case told:
			out[s] = (1 - fact.Reliability) * usual[s]
		default:
			out[s] = usual[s]
		}
	}
	switch {
	case level:
		p.Fall, p.FallTold = "", true
	case told:
		p.Fall = side
	}
	return out
}

// joistsOut is the chance that the joists run out from the house, and sets the likelier
// way down on the plan.
func (w *work) joistsOut(p *entry.Plan) float64 {
	usual := w.pack.Travel.ShortWay
	if p.Along < p.Out {
		usual = 1 - usual
	}
	if p.Along == p.Out {
		usual = 0.5
	}
	fact, told := w.facts.Get("joist-run")
	p.JoistsTold = told
	out := usual
	if told {
		out = (1 - fact.Reliability) * usual
		if w.facts.Is("joist-run", "out") {
			out += fact.Reliability
		}
	}
	p.Joists = "along"
	if out >= 0.5 {
		p.Joists = "out"
	}
	return out
}

// toldLag is the time from rain to the first sign, when somebody told it.
func (w *work) toldLag() *entry.Lag {
	f, ok := w.facts.Get("lag")
	if !ok {
		return nil
	}
	return lagOf(f)
}

// lagOf reads a lag as 5 and 95 %, in hours: a figure to within half again, or the range
// of its answer. No link with rain is no lag.
func lagOf(f facts.Fact) *entry.Lag {
	if f.HasValue && f.Value > 0 {
		return &entry.Lag{Low: f.Value / 1.5, High: f.Value * 1.5, Reliability: f.Reliability}
	}
	for _, id := range f.Choices {
		if a, ok := f.Question.Answer(id); ok && a.From != nil && a.To != nil {
			return &entry.Lag{Low: math.Max(*a.From, 0.05), High: *a.To, Reliability: f.Reliability}
		}
	}
	return nil
}
