package diagnose

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"underlap/diagnose/explain"
	"underlap/diagnose/infer"
	"underlap/diagnose/scope"
	"underlap/rules"
)

// Each visit is valued over so many draws, always the same.
const (
	visitDraws = 120
	visitSeed  = 5309
)

// Visit is something that can be bought beyond the call, and what it would be worth.
type Visit struct {
	ID      string  `json:"id"`
	Name    string  `json:"name"`
	Low     float64 `json:"low"` // price, before tax; 0 where none is charged
	High    float64 `json:"high"`
	Days    float64 `json:"days"`    // until its answers are there
	Cost    float64 `json:"cost"`    // price and what the wait costs
	Worth   float64 `json:"worth"`   // expected loss saved by its answers
	SE      float64 `json:"se"`      // standard error of Worth
	Net     float64 `json:"net"`     // Worth less Cost
	Changes float64 `json:"changes"` // probability that it changes the repair
	First   string  `json:"first"`   // what must be safe before it, empty when nothing is in the way
	Why     string  `json:"why"`

	answers int
	wait    float64 // money a day
}

// visits is all that is needed to value them.
type visits struct {
	pack   *rules.Pack
	engine *infer.Engine
	post   *infer.Posterior
	scopes []infer.Scope
	damage []float64
	perDay float64
	first  string
	list   []rules.Visit
	looks  [][]infer.Look
}

// perDay is what a day of waiting costs: the damage that the suspects do when they are
// left, spread over a year.
func (w *work) perDay() float64 {
	sum := 0.0
	for c, p := range w.post.Causes() {
		sum += float64(p * w.damage[c])
	}
	return sum / 365
}

// visits gathers what each visit would answer: the open findings that it covers.
func (w *work) visits() *visits {
	v := &visits{pack: w.pack, engine: w.engine, post: w.post, scopes: w.scopes, damage: w.damage, perDay: w.perDay(), first: strings.Join(w.stops().hose, " ")}
	for _, x := range w.pack.Visits {
		var looks []infer.Look
		for f, fd := range w.model.findings {
			if _, heard := w.ev.Likelihood[f]; heard || fd.question == nil || !x.Covers(fd.question) {
				continue
			}
			if a, ok := w.state.Answers[fd.question.ID]; ok && !a.Unknown() && !a.Asked() && !a.Skipped() {
				continue
			}
			if fd.question.Test || applies(fd.question, w.facts, w.state) {
				rel := w.pack.Words.Reliability(x.Known)
				if fd.question.Travel {
					rel *= w.model.stays
				}
				looks = append(looks, infer.Look{Finding: f, Reliability: rel})
			}
		}
		if len(looks) > 0 {
			v.list, v.looks = append(v.list, x), append(v.looks, looks)
		}
	}
	return v
}

// value works out what each visit is worth, the best first. It fails when ctx ends.
func (v *visits) value(ctx context.Context) ([]Visit, error) {
	out := []Visit{}
	for i, x := range v.list {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		worth, err := v.engine.Bundle(v.post, v.looks[i], v.scopes, v.damage, visitDraws, visitSeed)
		if err != nil {
			return nil, fmt.Errorf("valuing %q: %w", x.ID, err)
		}
		y := Visit{ID: x.ID, Name: x.Name, Days: x.Days, Worth: worth.EVSI, SE: worth.SE, Changes: 1 - worth.SameDecision, Why: "visit/" + x.ID, answers: len(v.looks[i]), wait: v.perDay}
		if len(x.Prices) > 0 { // somebody goes there
			y.First = v.first
		}
		for _, id := range x.Prices {
			e, _ := v.pack.Prices.Price(id)
			y.Low, y.High = y.Low+e.Low, y.High+e.High
		}
		factor := v.pack.Prices.Factor()
		y.Low, y.High = scope.Round(y.Low*factor), scope.Round(y.High*factor)
		y.Cost = (y.Low+y.High)/2 + x.Pounds + x.Days*v.perDay
		y.Net = y.Worth - y.Cost
		out = append(out, y)
	}
	slices.SortFunc(out, func(a, b Visit) int { return cmp.Or(cmp.Compare(b.Net, a.Net), strings.Compare(a.ID, b.ID)) })
	return out, nil
}

// leastWorth is the money under which a look is not listed by itself.
const leastWorth = 5

// Worthwhile tells whether a visit is worth a line of its own.
func (v *Visit) Worthwhile() bool { return v.Worth >= leastWorth }

// NotWorth names in one line the visits that would save next to nothing now.
func NotWorth(list []Visit) string {
	var names []string
	for i := range list {
		if !list[i].Worthwhile() {
			names = append(names, explain.LowerFirst(list[i].Name))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "Would hardly change the repair now: " + strings.Join(names, ", ") + "."
}

// Says is the visit in a line: what it costs, what it may save.
func (v *Visit) Says(symbol string) string {
	price := "no charge"
	if v.High > 0 {
		price = explain.Price(symbol, v.Low, v.High)
	}
	worth := fmt.Sprintf("saves about %s%s of wrong work", symbol, explain.Thousands(v.Worth))
	if v.Net <= 0 {
		worth += ", less than it costs"
	}
	text := fmt.Sprintf("%s: %s, %s; %s; changes the repair in %s.", v.Name, price, explain.Count(int(math.Ceil(v.Days)), "day"), worth, explain.Percent(v.Changes))
	if v.First != "" {
		text = v.Name + ". " + v.First + " Then" + strings.TrimPrefix(text, v.Name)
	}
	return text
}

func (v *Visit) explain(symbol string) explain.Why {
	money := func(x float64) string { return symbol + explain.Thousands(x) }
	return explain.Why{
		ID: v.Why, Title: "Worth of: " + v.Name, Result: money(v.Worth) + " saved, " + money(v.Cost) + " spent",
		Formula: "expected loss of the repair chosen now, less the mean over draws of the expected loss of the repair chosen once all its answers are heard; the cost is the middle of the price and the damage of the days of waiting",
		Inputs: []explain.Input{
			{Name: "Answers that it brings", Value: explain.Count(v.answers, "answer"), From: "knowledge"},
			{Name: "Draws from the causes as they stand", Value: fmt.Sprint(visitDraws), From: "the same each time"},
			{Name: "Standard error of the worth", Value: money(v.SE), From: "draws"},
			{Name: "A day of waiting", Value: fmt.Sprintf("%s%.2f", symbol, v.wait), From: "damage of the suspects, spread over a year"},
			{Name: "Chance that it changes the repair", Value: explain.Percent(v.Changes), From: "draws"},
		},
		Source: "expected value of sample information; what is damaged when a cause is left: common practice, no source",
	}
}
