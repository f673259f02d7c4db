package main

import (
	"fmt"
	"io"
	"sort"
	"strings"
	"unicode/utf8"

	"underlap/rules"
)

// showRules prints everything the pack believes of a cause, a question or a mechanism,
// each word with the number it stands for. Without an id it lists what there is.
func (e *env) showRules(ids []string) error {
	p, err := e.pack()
	if err != nil {
		return &codedError{exitFaults, err.Error()}
	}
	s := shower{e.out, p}
	if len(ids) == 0 {
		s.list()
		return nil
	}
	id, shown := ids[0], 0
	if c, ok := p.Cause(id); ok {
		s.cause(c)
		shown++
	}
	for i := range p.Mechanisms {
		if p.Mechanisms[i].ID == id {
			s.mechanism(&p.Mechanisms[i])
			shown++
		}
	}
	if q, ok := p.Question(id); ok {
		s.question(q)
		shown++
	}
	if shown == 0 {
		return usagef("there is no cause, mechanism or question %q%s; \"underlap rules show\" lists the causes and mechanisms, \"underlap questions\" the questions", id, s.near(id))
	}
	return nil
}

// printNotes prints remarks on a sound pack; they are no faults.
func printNotes(w io.Writer, p *rules.Pack) {
	for _, n := range rules.Notes(p) {
		shower{w, p}.line(0, "Note: %s.", n)
	}
}

// shower prints parts of a pack, wrapped at 80 columns.
type shower struct {
	w io.Writer
	p *rules.Pack
}

const showWidth = 80

// line prints text at an indent, wrapped; further lines hang two columns deeper.
func (s shower) line(indent int, format string, a ...any) {
	row, room, hangs := "", showWidth-indent, false
	for _, word := range strings.Fields(fmt.Sprintf(format, a...)) {
		if row != "" && utf8.RuneCountInString(row)+1+utf8.RuneCountInString(word) > room {
			fmt.Fprintf(s.w, "%*s%s\n", indent, "", row)
			if !hangs {
				indent, room, hangs = indent+2, room-2, true
			}
			row = ""
		}
		if row != "" {
			row += " "
		}
		row += word
	}
	fmt.Fprintf(s.w, "%*s%s\n", indent, "", row)
}

func (s shower) head(text string) {
	fmt.Fprintln(s.w)
	s.line(0, "%s", text)
}

func (s shower) list() {
	group := ""
	for i := range s.p.Causes {
		c := &s.p.Causes[i]
		if c.Group != group {
			group = c.Group
			g, _ := s.p.Group(group)
			s.head(strings.ToUpper(g.Name))
		}
		fmt.Fprintf(s.w, "  %-26s %s\n", c.ID, c.Short)
	}
	s.head("WAYS IN FOR WATER")
	for _, m := range s.p.Mechanisms {
		fmt.Fprintf(s.w, "  %-26s %s\n", m.ID, m.Name)
	}
}

// near names what has the word in it.
func (s shower) near(id string) string {
	var hits []string
	take := func(other string) {
		if strings.Contains(other, id) && len(hits) < 6 {
			hits = append(hits, other)
		}
	}
	for _, c := range s.p.Causes {
		take(c.ID)
	}
	for _, m := range s.p.Mechanisms {
		take(m.ID)
	}
	for _, q := range s.p.Questions {
		take(q.ID)
	}
	if len(hits) == 0 {
		return ""
	}
	return " (near it: " + strings.Join(hits, ", ") + ")"
}

func (s shower) cause(c *rules.Cause) {
	g, _ := s.p.Group(c.Group)
	fmt.Fprintf(s.w, "CAUSE %s\n", c.ID)
	s.line(0, "%s", c.Name)
	s.line(2, "Family: %s", g.Name)
	s.line(2, "Met in %g of 100 calls, before anything is known of the roof", c.PerCalls)
	for _, x := range [][2]string{{"Where", c.Where}, {"How", c.How}, {"Tell-tale", c.Tell}, {"Ruled out by", c.RuledOutBy}, {"Test", c.Test}, {"First aid", c.FirstAid}, {"Repair", c.Repair}} {
		s.line(2, "%s: %s", x[0], x[1])
	}
	s.line(2, "If it is left: %g %s", c.Damage, s.p.Prices.Currency)
	s.line(2, "First rain to first sign: %s", spread(c.LagHours, "h", "no link with rain"))
	s.line(2, "Water at a time: %s", litresOf(c))
	if len(c.Needs) > 0 {
		s.line(2, "Needs: %s", strings.Join(c.Needs, " and "))
	}
	s.line(2, "Source: %s; confidence: %s", c.Source, c.Confidence)

	s.head("It acts through")
	for _, a := range c.Acts {
		s.line(2, "%s: %s, %g of 100", a.Mechanism, a.Strength, 100*s.p.Words.Strength[a.Strength])
	}
	s.head("Before any sign")
	s.before(c)
	s.head("Its signs: of 100 roofs with only this at work, how many give the answer, and of 100 where nothing linked is")
	s.links(c.Links)
	s.head("What mends it")
	s.repairs(c)
}

// spread is a range of 5 and 95 %.
func spread(r []float64, unit, none string) string {
	if len(r) != 2 {
		return none
	}
	return fmt.Sprintf("%g to %g %s in nine of ten", r[0], r[1], unit)
}

func litresOf(c *rules.Cause) string {
	switch c.LitresFrom {
	case "vapour":
		return "what the breath of the room can leave, worked out for the roof"
	case "frost":
		return "what a hard frost can store, worked out for the roof"
	}
	return spread(c.Litres, "L", "nothing")
}

// before prints what makes the cause likelier or rarer before any sign is weighed.
func (s shower) before(c *rules.Cause) {
	printed := false
	for _, t := range rules.BuildTypes {
		if f, ok := c.ByType[t]; ok {
			s.line(2, "times %g on a roof that is %s", f, t)
			printed = true
		}
	}
	for _, x := range s.p.Contexts {
		f, ok := x.Times[c.ID]
		if !ok {
			f, ok = x.Times["group:"+c.Group]
		}
		if ok {
			s.line(2, "times %g when %s: %s", f, strings.Join(x.When, " and "), x.Says)
			s.line(4, "Source: %s; confidence: %s", x.Source, x.Confidence)
			printed = true
		}
	}
	for _, g := range s.p.Together {
		if len(g.Causes) == 2 && (g.Causes[0] == c.ID || g.Causes[1] == c.ID) {
			other := g.Causes[0]
			if other == c.ID {
				other = g.Causes[1]
			}
			s.line(2, "times %g together with %s: %s", g.Times, other, g.Says)
			s.line(4, "Source: %s; confidence: %s", g.Source, g.Confidence)
			printed = true
		}
	}
	if !printed {
		s.line(2, "nothing raises or lowers it")
	}
}

// links prints beliefs, with the number that each word stands for.
func (s shower) links(links []rules.Link) {
	for _, sign := range s.p.Signs(links) {
		for _, k := range sign.Links {
			s.link(k.Question, sign, k)
		}
	}
	if len(links) == 0 {
		s.line(2, "none")
	}
}

// link prints one belief; of says whose it is, or which question it looks at.
func (s shower) link(of string, sign rules.Sign, k rules.Link) {
	if len(k.Of100) > 0 {
		s.line(2, "%s: the whole row", of)
		for _, a := range sign.Question.Answers {
			share, back := sign.Said([]string{a.ID})
			s.line(4, "%s: %.3g of 100, else %.3g", a.ID, share, back)
		}
	} else {
		share, back := sign.Said(k.Answer)
		s.line(2, "%s = %s: %s, %.3g of 100, else %.3g", of, strings.Join(k.Answer, " or "), k.Strength, share, back)
	}
	s.line(4, "%s", k.Says)
	s.line(4, "Source: %s; confidence: %s", k.Source, k.Confidence)
}

func (s shower) repairs(c *rules.Cause) {
	list := make([]*rules.Repair, 0, len(s.p.Repairs))
	for i := range s.p.Repairs {
		if s.p.Repairs[i].Cures(c) > 0 {
			list = append(list, &s.p.Repairs[i])
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].Cures(c) > list[j].Cures(c) })
	for _, r := range list {
		s.line(2, "%s: cures %.3g of 100 (rung %d)", r.ID, 100*r.Cures(c), r.Rung)
	}
	if len(list) == 0 {
		s.line(2, "no repair on the ladder")
	}
}

func (s shower) mechanism(m *rules.Mechanism) {
	fmt.Fprintf(s.w, "MECHANISM %s\n", m.ID)
	s.line(0, "%s", m.Name)
	s.line(2, "%s", m.Says)
	s.line(2, "At work with no listed cause: %.3g of 100", 100*m.Leak)
	if m.Gate != "" {
		s.line(2, "Gate: %s, from the sums", m.Gate)
	}
	s.head("Its signs: of 100 calls with only this at work, how many give the answer, and of 100 where no mechanism is")
	s.links(m.Links)
	s.head("Causes that act through it")
	for i := range s.p.Causes {
		for _, a := range s.p.Causes[i].Acts {
			if a.Mechanism == m.ID {
				s.line(2, "%s: %s, %g of 100", s.p.Causes[i].ID, a.Strength, 100*s.p.Words.Strength[a.Strength])
			}
		}
	}
}

func (s shower) question(q *rules.Question) {
	fmt.Fprintf(s.w, "QUESTION %s\n", q.ID)
	s.line(0, "%s", q.Say)
	for _, x := range [][2]string{{"Why", q.Why}, {"Look for", q.Look}, {"Request", q.Ask}, {"Asked when", strings.Join(q.When, " and ")}, {"Not asked when", strings.Join(q.Unless, " or ")}, {"Feeds", strings.Join(q.Feeds, ", ")}} {
		if x[1] != "" {
			s.line(2, "%s: %s", x[0], x[1])
		}
	}
	if q.Told > 0 {
		s.line(2, "Told on the phone it is right %g times in 100; the rest is noise", 100*q.Told)
	}
	if q.Travel {
		s.line(2, "It says less on a warm roof, where water walks")
	}
	s.line(2, "Source: %s; confidence: %s", q.Source, q.Sure)
	if len(q.Answers) > 0 {
		s.head("Answers")
	}
	for _, a := range q.Answers {
		text := fmt.Sprintf("%s: %s", a.ID, a.Says)
		if a.Background > 0 {
			text += fmt.Sprintf("; %g of 100 where nothing linked is", a.Background)
		}
		s.line(2, "%s", text)
	}
	s.head("Who looks at it")
	if q.Range != "" {
		s.line(2, "every cause, by its own %s", map[string]string{"lag": "lag_hours", "litres": "litres"}[q.Range])
	}
	for _, m := range s.p.Mechanisms {
		s.lookers("mechanism "+m.ID, q, m.Links)
	}
	for _, c := range s.p.Causes {
		s.lookers(c.ID, q, c.Links)
	}
	s.uses(q)
}

// lookers prints the links of one cause or mechanism to the question.
func (s shower) lookers(of string, q *rules.Question, links []rules.Link) {
	for _, sign := range s.p.Signs(links) {
		if sign.Question.ID != q.ID {
			continue
		}
		for _, k := range sign.Links {
			s.link(of, sign, k)
		}
	}
}

// uses prints what hangs on the answer: other questions, causes, contexts, cautions
// and repairs.
func (s shower) uses(q *rules.Question) {
	on := func(what string, lines []string) {
		for _, l := range lines {
			if c, err := rules.ParseCondition(l); err == nil && c.Question == q.ID {
				s.line(2, "%s: %s", what, l)
			}
		}
	}
	for _, x := range s.p.Questions {
		on("question "+x.ID+" is asked when", x.When)
		on("question "+x.ID+" is not asked when", x.Unless)
	}
	for _, c := range s.p.Causes {
		on("cause "+c.ID+" needs", c.Needs)
	}
	for _, x := range s.p.Contexts {
		on("context \""+x.Says+"\"", x.When)
	}
	for _, x := range s.p.Cautions {
		on("caution "+x.ID, x.When)
	}
	for _, h := range s.p.BuildUp.Hints {
		on("hint of the build-up \""+h.Says+"\"", h.When)
	}
	for _, r := range s.p.Repairs {
		on("repair "+r.ID+" needs", r.Needs)
		for _, f := range r.Forbids {
			on("repair "+r.ID+" is ruled out by", f.When)
		}
	}
}
