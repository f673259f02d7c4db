package diagnose

import (
	"fmt"
	"strings"

	"underlap/diagnose/explain"
	"underlap/diagnose/scope"
	"underlap/rules"
)

// hopeful is the chance, under which a test is sold first, that the repair named is
// the one we would choose if we knew; a judgement.
const hopeful = 0.25

// test says what to sell before a repair: when the first two suspects are close,
// when the best repair may not be done before something is opened, or when the
// first suspect is not yet likely.
func (w *work) test() {
	if w.r.Answered < Early {
		return
	}
	top := w.r.Causes[0]
	if top.ID == rules.OtherCause && len(w.r.Causes) > 1 {
		top = w.r.Causes[1] // there is no test for what is not listed but to look
	}
	best, ok := w.r.Scope.Option(w.r.Scope.Best)
	if !ok {
		return
	}
	why := ""
	switch {
	case best.Rung == 0 && top.P >= 0.6:
		return // nothing to repair
	case best.Opening:
		why = fmt.Sprintf("%s is not to be quoted before a core or a hatch has been looked into.", best.Name)
	case w.r.Close:
		why = "The first two suspects are within 15 points of each other: a test is honest, a repair is a guess."
	case top.P < 0.60:
		why = "No suspect is likely yet: a test is cheaper than a wrong repair."
	case best.Rung <= 1:
		why = "What is named first only buys time: test, then choose the lasting repair."
	case w.r.Scope.Ideal < hopeful:
		why = "The repair named first is seldom what we would choose if we knew: test before it is sold."
	default:
		return
	}
	group, _ := w.pack.Group(top.Group)
	name, prices := group.Test, []string{group.Price}
	if best.Opening {
		name, prices = "Core or hatch at the worst place", []string{"core"}
		if top.Group == "condensation" {
			name, prices = "Core or hatch, and two weeks of humidity loggers", []string{"core", "loggers"}
		}
	}
	low, high := 0.0, 0.0
	var lines []explain.Input
	for _, id := range prices {
		e, _ := w.pack.Prices.Price(id)
		low, high = low+e.Low, high+e.High
		lines = append(lines, explain.Input{Name: e.Name, Value: explain.Price(w.r.Scope.Symbol, e.Low, e.High), From: "price book"})
	}
	factor := w.pack.Prices.Factor()
	safe := w.stops()
	if len(safe.hose) > 0 {
		why = "Make safe first. " + strings.Join(safe.hose, " ") + " " + why
	}
	if len(safe.flood) > 0 && standing.MatchString(name) {
		name = "Hose or dye test, nothing filled"
	}
	t := &scope.Test{Name: name, Why: why, How: safe.dry(w.testOf(top.ID)), Low: scope.Round(low * factor), High: scope.Round(high * factor)}
	t.Result = append(t.Result, fmt.Sprintf("If it shows: %s. Then: %s.", explain.LowerFirst(top.Name), explain.LowerFirst(top.Repair)))
	for _, n := range w.r.Causes {
		if n.ID != top.ID && n.ID != rules.OtherCause {
			t.Result = append(t.Result, fmt.Sprintf("If it does not: next is %s (%s). Test: %s.", explain.LowerFirst(n.Name), n.Hedge, explain.LowerFirst(safe.dry(w.testOf(n.ID)))))
			break
		}
	}
	w.r.Scope.Test = t
	w.why(explain.Why{
		ID: "scope/test", Title: "Test to sell first: " + t.Name, Result: explain.Price(w.r.Scope.Symbol, t.Low, t.High),
		Formula: "a test is sold when the first two are within 15 points, when the first is under 60 %, when the repair needs an opening, only buys time, or would seldom be the choice",
		Inputs: append(lines, []explain.Input{
			{Name: "First suspect", Value: top.Name + ", " + explain.Percent(top.P), From: "answers"},
			{Name: "Chance that the repair named is the one we would choose if we knew", Value: explain.Percent(w.r.Scope.Ideal), From: "weighing the repairs"},
			{Name: "Further checking cannot be worth more than", Value: w.r.Scope.Symbol + explain.Thousands(w.r.Scope.EVPI), From: "weighing the repairs"},
		}...),
		Source: group.Source + "; the limits are common practice, no source",
	})
}

// testOf is the test that tells a cause, as the knowledge has it.
func (w *work) testOf(cause string) string {
	c, _ := w.pack.Cause(cause)
	return c.Test
}
