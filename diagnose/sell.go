package diagnose

import (
	"fmt"

	"underlap/diagnose/scope"
)

// testFor names the test that tells causes of a group from the rest, and its entry
// in the price book.
var testFor = map[string]struct{ name, price string }{
	"field":        {"Staged hose or dye test on the roof", "test-hose"},
	"edges":        {"Staged hose test, lowest first", "test-hose"},
	"penetrations": {"Staged hose test, lowest first", "test-hose"},
	"drainage":     {"Outlet plugged and filled, with a look below", "test-hose"},
	"walls":        {"Staged hose test, lowest first, wall last", "test-hose"},
	"services":     {"Pressure and fill-and-run test by a plumber", "plumber"},
	"condensation": {"Two weeks of humidity loggers and a look into the void", "loggers"},
	"trapped":      {"Core at the low point over the vapour layer", "core"},
	"unusual":      {"A visit to look and open up", "visit"},
}

// test says what to sell before a repair: when the first two suspects are close,
// when the best repair may not be done before something is opened, or when the
// first suspect is not yet likely.
func (w *work) test() {
	if w.r.Answered < 6 {
		return
	}
	top := w.r.Causes[0]
	best, ok := w.r.Scope.Option(w.r.Scope.Best)
	if !ok {
		return
	}
	why := ""
	switch {
	case best.Rung == 0 && top.P >= 0.6:
		return // nothing to repair
	case best.Opening:
		why = fmt.Sprintf("%s is not for sale before a core or a hatch has been looked into.", best.Name)
	case w.r.Close:
		why = "The first two suspects are within 15 points of each other: a test is honest, a repair is a guess."
	case top.P < 0.60:
		why = "No suspect is likely yet: a test is cheaper than a wrong repair."
	default:
		return
	}
	kind := testFor[top.Group]
	if best.Opening {
		kind = testFor["trapped"]
		if top.Group == "condensation" {
			kind.name = "Core or hatch, and two weeks of humidity loggers"
		} else {
			kind.name = "Core or hatch at the worst place"
		}
	}
	e, _ := w.pack.Prices.Price(kind.price)
	factor := w.pack.Prices.Region[w.pack.Prices.Use]
	if factor == 0 {
		factor = 1
	}
	t := &scope.Test{Name: kind.name, Why: why, How: top.Test, Low: scope.Round(e.Low * factor), High: scope.Round(e.High * factor)}
	t.Result = append(t.Result, fmt.Sprintf("If it shows: %s. Then: %s.", lower(top.Name), lower(top.Repair)))
	if len(w.r.Causes) > 1 {
		n := w.r.Causes[1]
		t.Result = append(t.Result, fmt.Sprintf("If it does not: next is %s (%s). Test: %s.", lower(n.Name), n.Hedge, lower(n.Test)))
	}
	w.r.Scope.Test = t
}
