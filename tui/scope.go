package tui

import (
	"fmt"
	"strings"

	"underlap/diagnose"
	"underlap/diagnose/explain"
	"underlap/diagnose/scope"
)

// scope is the ladder of repairs, with the test to sell first on top and all of
// the selected repair.
func (s scene) scope() page {
	r, t := s.r.Scope, s.th
	var pg page
	if len(r.Options) == 0 {
		return page{body: styled(wrap("No repair can be priced yet.", s.w), t.dim)}
	}
	pg.body = append(pg.body, s.testFirst(r)...)
	if list := s.visits(); len(list) > 0 {
		pg.body = append(append(append(pg.body, t.title.Render("What a further look would be worth")), list...), "")
	}
	if len(s.r.Call) > 0 {
		pg.body = append(pg.body, t.title.Render("Who else to call"))
		for _, c := range s.r.Call {
			pg.body = append(pg.body, labelled("- ", c, s.w, t.dim, t.plain)...)
		}
		pg.body = append(pg.body, "")
	}
	area := fmt.Sprintf("Prices for %.0f m²", r.Area)
	if r.Assumed {
		area += ", which is assumed: ask for the size"
	}
	if r.Note != "" {
		area += ". " + upperFirst(r.Note)
	}
	pg.body = append(pg.body, styled(wrap(area, s.w), t.dim)...)
	for i, o := range r.Options {
		from := len(pg.body)
		pg.body = append(pg.body, s.option(r, o, i == s.p.cursor)...)
		if i == s.p.cursor && i > 0 { // at first the page stands at its top, with the test to sell
			pg.keepFrom, pg.keepTo = from, len(pg.body)
		}
	}
	if s.p.cursor == len(r.Options)-1 {
		pg.keepTo = len(pg.body) // the end of the page belongs to the last row
	}
	return pg
}

// testFirst is the test to sell before any repair.
func (s scene) testFirst(r scope.Result) []string {
	if r.Test == nil {
		return nil
	}
	t, x := s.th, r.Test
	out := styled(wrap("Sell this test first: "+x.Name+", "+explain.Price(r.Symbol, x.Low, x.High), s.w), t.say)
	out = append(out, labelled("Why    ", x.Why, s.w, t.title, t.plain)...)
	out = append(out, labelled("How    ", x.How, s.w, t.title, t.plain)...)
	for _, l := range x.Result {
		out = append(out, labelled("Then   ", l, s.w, t.title, t.plain)...)
	}
	return append(out, "")
}

// visits are what could be bought beyond the call, those worth something in full.
func (s scene) visits() []string {
	var out []string
	for i := range s.r.Visits {
		if v := &s.r.Visits[i]; v.Worthwhile() {
			out = append(out, labelled("- ", s.fig(v.Why, v.Name)+strings.TrimPrefix(v.Says(s.r.Scope.Symbol), v.Name), s.w, s.th.dim, s.th.plain)...)
		}
	}
	if rest := diagnose.NotWorth(s.r.Visits); rest != "" {
		out = append(out, labelled("- ", rest, s.w, s.th.dim, s.th.dim)...)
	}
	if len(out) == 0 && s.r.Doubts() != nil && s.r.Robust == nil {
		out = append(out, s.th.dim.Render("... On its way; it comes here by itself."))
	}
	return out
}

// option is one rung: a line or two for all, and the rest for the selected.
func (s scene) option(r scope.Result, o scope.Option, selected bool) []string {
	t := s.th
	point, style := "  ", t.plain
	if selected {
		point, style = "> ", t.bold
	}
	tag, tagStyle := "", t.good
	switch {
	case o.Barred != "":
		tag, tagStyle, style = "not here", t.plain, t.dim
		if selected {
			style = t.bold
		}
	case o.ID == r.Best:
		tag = "best value"
	case o.ID == r.RunnerUp && o.High > 0: // to do nothing is no second best
		tag = "next best"
	}
	cost := s.fig(o.Why, explain.Price(r.Symbol, o.Low, o.High))
	cures := "cures " + shortPercent(o.Cures)
	right := padLeft(cost, 20) + "  " + fmt.Sprintf("%-16s", cures)
	nw := min(64, max(20, s.w-len([]rune(right))-6-12))
	name := fmt.Sprintf("%d  %s", o.Rung, o.Name)
	var out []string
	lines := wrap(name, nw)
	for i, l := range lines {
		if i == 0 {
			out = append(out, t.key.Render(point)+style.Render(pad(l, nw))+right+tagStyle.Render(tag))
			continue
		}
		out = append(out, "     "+style.Render(l))
	}
	put := func(label, text string) {
		if text != "" {
			out = append(out, labelled("     "+fmt.Sprintf("%-7s", label), text, s.w, t.title, t.plain)...)
		}
	}
	if o.Barred != "" {
		put("No:", upperFirst(o.Barred))
	} else if o.Opening {
		put("First:", "look in through a core or a hatch. This is not sold on a guess.")
	}
	if !selected {
		return out
	}
	put("What", o.What)
	put("Lasts", o.Life)
	put("Leaves", o.Leaves)
	for _, l := range o.Lines {
		put("Price", fmt.Sprintf("%s: %s %s, %s", l.Name, number(l.Count), l.Unit, explain.Price(r.Symbol, l.Low, l.High)))
	}
	put("Rules", strings.Join(o.Regs, "; "))
	put("Call", strings.Join(o.Call, "; "))
	put("Source", o.Source)
	return out
}
