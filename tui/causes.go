package tui

import (
	"fmt"

	"underlap/diagnose"
)

// causes tells all about one cause, with the ranking beside it where there is
// room.
func (s scene) causes() page {
	r := s.r
	if len(r.Causes) == 0 {
		return page{body: styled(wrap("There are no causes to show.", s.w), s.th.dim)}
	}
	sel := causeIndex(r, s.p.cause)
	if s.w < wide {
		head, body := s.causeDetail(sel, s.w)
		return page{head: head, body: body}
	}
	lw := 52
	rw := s.w - lw - len([]rune(gap))
	rows := make([]string, 0, len(r.Causes))
	for i := range r.Causes {
		rows = append(rows, s.suspect(i, i == sel, 24, 6))
	}
	// The list moves so that the selected cause is in sight.
	left, _, _ := window(page{body: rows, keepFrom: sel, keepTo: sel + 1}, s.h, max(0, sel-s.h/2), s.th)
	head, body := s.causeDetail(sel, rw)
	right, _, _ := window(page{head: head, body: body}, s.h, s.p.scroll, s.th)
	for len(left) < s.h {
		left = append(left, "")
	}
	return page{body: beside(s.th.dim.Render(gap), [][]string{left, right}, []int{lw, rw})}
}

func (s scene) causeDetail(i, w int) (head, body []string) {
	c, t := s.r.Causes[i], s.th
	head = append(head, styled(wrap(fmt.Sprintf("%d of %d  %s", i+1, len(s.r.Causes), c.Name), w), t.say)...)
	parts := []string{t.bar.Render(bar(c.P, 16)) + " " + s.fig(c.Why, percent(c.P)) + ", " + c.Hedge, t.dim.Render("(before any answer " + percent(c.Prior) + ")")}
	head = append(append(head, flow(parts, "", "  ", w)...), "")
	put := func(label, text string) {
		if text != "" {
			body = append(body, labelled(fmt.Sprintf("%-11s", label), text, w, t.title, t.plain)...)
		}
	}
	put("Where", c.Where)
	put("How", c.How)
	put("Sign", c.Tell)
	put("Not if", c.RuledOutBy)
	body = append(body, "")
	body = append(body, s.side("For it", "+", c.For, w)...)
	body = append(body, s.side("Against it", "-", c.Against, w)...)
	if len(c.Look) > 0 {
		body = append(body, t.title.Render("What would show it"))
		for _, l := range c.Look {
			mark := "+ "
			if l.Decibans < 0 {
				mark = "- "
			}
			body = append(body, labelled(mark, l.Text, w, t.key, t.plain)...)
		}
	}
	body = append(body, "")
	put("Test", c.Test)
	put("First aid", c.FirstAid)
	put("Repair", c.Repair)
	put("Source", c.Source)
	return head, body
}

func (s scene) side(title, mark string, reasons []diagnose.Reason, w int) []string {
	out := []string{s.th.title.Render(title)}
	if len(reasons) == 0 {
		return append(out, s.th.dim.Render("  nothing yet"))
	}
	for _, r := range reasons {
		out = append(out, s.reason(mark, r, w)...)
	}
	return out
}
