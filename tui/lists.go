package tui

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"underlap/diagnose"
	"underlap/diagnose/explain"
)

// waiting lists what was asked for and has not come.
func (s scene) waiting() page {
	if len(s.r.Pending) == 0 {
		return page{body: styled(wrap("Nothing is awaited. On a question, "+name(s.keys.Ask)+" asks them for it.", s.w), s.th.dim)}
	}
	pg := page{head: []string{s.th.title.Render("Asked for, and not here yet"), ""}}
	for i, r := range s.r.Pending {
		name := r.Question
		if st, ok := stepOf(s.steps, r.Question); ok {
			name = st.Question.Short
		}
		if r.Asked != "" {
			name += ", asked " + r.Asked
		}
		s.row(&pg, i, name, r.Text)
	}
	return pg
}

// recheck lists answers worth a second look, and what would change our mind.
func (s scene) recheck() page {
	if len(s.r.Recheck)+len(s.r.Change) == 0 {
		return page{body: styled(wrap("The answers go together. Nothing needs a second look.", s.w), s.th.dim)}
	}
	var pg page
	for i, r := range s.r.Recheck {
		if i == 0 {
			pg.body = append(pg.body, s.th.title.Render("Worth a second look"))
		}
		var about []string
		for _, id := range r.Questions {
			if st, ok := stepOf(s.steps, id); ok {
				about = append(about, st.Question.Short)
			}
		}
		s.row(&pg, i, recheckKind(r.Kind)+": "+strings.Join(about, " and "), r.Text)
	}
	for i, c := range s.r.Change {
		if i == 0 {
			pg.body = append(pg.body, s.th.title.Render("What would change our mind"))
		}
		name := c.Question
		if st, ok := stepOf(s.steps, c.Question); ok {
			name = st.Question.Short
		}
		if c.Given {
			name += " (answered)"
		}
		s.row(&pg, len(s.r.Recheck)+i, name, c.Text)
	}
	return pg
}

// recheckKind says in words why an answer should be looked at.
func recheckKind(kind string) string {
	switch kind {
	case "reading":
		return "Cannot be"
	case "pair":
		return "Do not go together"
	default:
		return "Unlikely with the rest"
	}
}

// row adds one item of a list that can be gone to.
func (s scene) row(pg *page, i int, name, text string) {
	point, style := "  ", s.th.plain
	if i == s.p.cursor {
		point, style = "> ", s.th.bold
		pg.keepFrom = len(pg.body)
	}
	pg.body = append(pg.body, labelled(point, name, s.w, s.th.key, style)...)
	pg.body = append(pg.body, labelled("    ", text, s.w, s.th.dim, s.th.plain)...)
	pg.body = append(pg.body, "")
	if i == s.p.cursor {
		pg.keepTo = len(pg.body)
	}
}

// safety lists every caution in full.
func (s scene) safety() page {
	t := s.th
	pg := page{head: []string{t.title.Render("Safety first. Codes and licensed trades have the last word."), ""}}
	for i, c := range s.r.Cautions {
		pg.body = append(pg.body, labelled(fmt.Sprintf("%d  ", i+1), c.Says, s.w, t.key, t.bold)...)
		if c.Source != "" {
			pg.body = append(pg.body, labelled("   ", "Source: "+c.Source, s.w, t.dim, t.dim)...)
		}
		pg.body = append(pg.body, "")
	}
	if len(s.r.Call) > 0 {
		pg.body = append(pg.body, t.title.Render("Who else to call"))
		for _, c := range s.r.Call {
			pg.body = append(pg.body, labelled("-  ", c, s.w, t.dim, t.plain)...)
		}
	}
	return pg
}

// jumpRows are the questions that hold every word of the filter, those first whose name
// or branch has a word that begins so: "plan" is the plan and not "planning".
func jumpRows(steps []diagnose.Step, filter string) []diagnose.Step {
	words := strings.Fields(strings.ToLower(filter))
	var out, named []diagnose.Step
	for _, st := range steps {
		name := strings.FieldsFunc(strings.ToLower(st.Question.ID+" "+st.Question.Branch+" "+st.Question.Short), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
		inName := len(words) > 0
		for _, w := range words {
			inName = inName && slices.Contains(name, w)
		}
		if inName {
			named = append(named, st)
			continue
		}
		text := strings.ToLower(st.Question.ID + " " + st.Question.Branch + " " + st.Question.Short + " " + st.Question.Say + " " + st.Answer + " " + stateWords(st))
		all := true
		for _, w := range words {
			all = all && strings.Contains(text, w)
		}
		if all {
			out = append(out, st)
		}
	}
	return append(named, out...)
}

// jump lists all questions by branch, with marks for how each stands.
func (s scene) jump() page {
	t := s.th
	rows := jumpRows(s.steps, s.p.filter)
	pg := page{head: []string{
		t.key.Render("Find: ") + t.bold.Render(s.p.filter) + t.mark.Render(" ") + t.dim.Render("  "+explain.Count(len(rows), "question")),
		t.dim.Render(fit("+ answered   ? not known   @ asked for   - skipped   . may not apply", s.w)),
	}}
	if len(rows) == 0 {
		pg.body = append(pg.body, "", "No question has these words. Backspace takes a letter away.")
	}
	branch := ""
	nw := min(46, s.w/2)
	for i, st := range rows {
		if st.Question.Branch != branch {
			branch = st.Question.Branch
			pg.body = append(pg.body, t.title.Render(branch))
		}
		point, style := " ", t.plain
		if i == s.p.cursor {
			point, style = ">", t.bold
			pg.keepFrom, pg.keepTo = len(pg.body), len(pg.body)+1
		}
		pg.body = append(pg.body, fit(t.key.Render(point)+" "+stateMark(st.State)+" "+style.Render(pad(st.Question.Short, nw))+"  "+t.dim.Render(st.Answer), s.w))
	}
	return pg
}

func stateMark(state string) string {
	switch state {
	case "answered":
		return "+"
	case "unknown":
		return "?"
	case "asked":
		return "@"
	case "skipped":
		return "-"
	case "later":
		return "."
	default:
		return " "
	}
}
