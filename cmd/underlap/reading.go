package main

import (
	"fmt"
	"io"
	"strings"

	"underlap/diagnose"
	"underlap/diagnose/explain"
	"underlap/diagnose/letter"
)

func runReading(e *env, args []string) error {
	fs := flags("reading")
	asJSON := fs.Bool("json", false, "print JSON")
	why := fs.String("why", "", "explain one number by its id, or \"list\" for all ids")
	weather := fs.String("weather", "", "EPW `file` with a year of hours to run the sums in, or \"lowland\"; without it, weather made from the place's months")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	if len(rest) != 1 {
		return usagef("reading takes one case; usage: underlap reading CASE")
	}
	r, err := e.reading(rest[0], *weather)
	if err != nil {
		return err
	}
	switch {
	case *why == "list" && *asJSON:
		return printJSON(e.out, r.Whys)
	case *why == "list":
		for _, w := range r.Whys {
			fmt.Fprintf(e.out, "%-28s %s: %s\n", w.ID, w.Title, w.Result)
		}
	case *why != "":
		w, ok := r.WhyOf(*why)
		if !ok {
			return usagef("there is no number %q in this reading; \"--why list\" shows all", *why)
		}
		if *asJSON {
			return printJSON(e.out, w)
		}
		printWhy(e.out, w)
	case *asJSON:
		return printJSON(e.out, r)
	default:
		printReading(e.out, r)
	}
	return nil
}

func runReply(e *env, args []string) error { return e.words("reply", args, letter.Reply) }

func runRequests(e *env, args []string) error { return e.words("requests", args, letter.Requests) }

// words prints a letter made from the reading of a case.
func (e *env) words(name string, args []string, write func(*diagnose.Reading, letter.Options) letter.Document) error {
	fs := flags(name)
	text := fs.Bool("text", false, "plain text to paste in a message, not Markdown")
	to := fs.String("to", "", "who it is to")
	from := fs.String("from", "", "who it is from")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	if len(rest) != 1 {
		return usagef("%s takes one case; usage: underlap %s CASE", name, name)
	}
	p, err := e.pack()
	if err != nil {
		return err
	}
	r, err := e.reading(rest[0], "")
	if err != nil {
		return err
	}
	printDocument(e.out, write(r, letter.Options{Date: e.now(), To: *to, From: *from, Pack: p}), *text)
	return nil
}

// textWidth is the width of plain-text letters: it survives quoting in a message.
const textWidth = 76

func printDocument(w io.Writer, d letter.Document, text bool) {
	if text {
		fmt.Fprint(w, d.Text(textWidth))
		return
	}
	fmt.Fprint(w, d.Markdown())
}

// printReading prints what the screens show, as plain text.
func printReading(w io.Writer, r *diagnose.Reading) {
	p := func(format string, a ...any) { fmt.Fprintf(w, format+"\n", a...) }
	p("%s", r.Title)
	p("case %s, %s, knowledge %s, weather of %s", r.Case, explain.Count(r.Answered, "answer"), r.Knowledge, r.Place)
	if r.Closed != "" {
		p("%s", r.Closed)
	}
	p("")
	p("SAFETY FIRST")
	for _, c := range r.Cautions {
		p("  ! %s", c.Says)
	}
	if len(r.Call) > 0 {
		p("  Call in: %s", strings.Join(r.Call, ", "))
	}
	p("")
	p("WHY IS IT WET?    %s", said(r.Why))
	p("WHAT IS IT?       %s", said(r.What))
	p("BUILT WELL?       %s", said(r.Built))
	p("")
	p("SUSPECTS")
	for i, c := range r.Causes {
		if i >= 6 || c.P < 0.02 && i >= 3 {
			break
		}
		p("  %5s  %-12s %s", explain.Percent(c.P), c.Hedge, c.Name)
		for j, x := range c.For {
			if j < 4 {
				p("           + %s [%s]", x.Text, x.Strength)
			}
		}
		for j, x := range c.Against {
			if j < 3 {
				p("           - %s [%s]", x.Text, x.Strength)
			}
		}
	}
	p("  Water: %s.", r.Waters())
	p("  More than one cause: %s. Something not on the list always keeps a share.", explain.Percent(r.More))
	if r.Robust != nil {
		p("  %s", r.Robust.Text)
	}
	p("")
	p("BUILD-UP")
	for _, t := range r.BuildUp.Types {
		if t.P >= 0.02 {
			p("  %5s  %s", explain.Percent(t.P), t.Name)
		}
	}
	if m := r.BuildUp.Measured; m != nil {
		p("  By the tape: %.0f inside - %.0f outside = %.0f mm", m.Inside*1000, m.Outside*1000, (m.Inside-m.Outside)*1000)
	}
	if len(r.BuildUp.Stacks) > 0 {
		s := r.BuildUp.Stacks[0]
		p("  Likeliest, from the sheet down (%s of all):", explain.Percent(s.P))
		for i := len(s.Layers) - 1; i >= 0; i-- {
			p("    %6.1f mm  %s", s.Layers[i].M*1000, s.Layers[i].Name)
		}
		p("    %6.1f mm  in all", s.Total*1000)
		if j := r.BuildUp.Joined; j != nil {
			off := "tape"
			if r.BuildUp.Measured == nil || len(r.BuildUp.Used) > 1 {
				off = "readings"
				p("  All readings together: %.0f ± %.0f mm", j.M*1000, 2*j.SD*1000)
			}
			p("    %+6.1f mm  off the %s; %.1f mm left when ceiling, joist, deck and covering are taken off", s.Gap*1000, off, s.Residual*1000)
			p("  Left over by all that is known: %s", r.BuildUp.Residual.Words())
			if !r.BuildUp.Closes {
				p("  Fits nothing within %.0f mm: ask for the joist depth, or a second opening.", r.BuildUp.Closure*1000)
			}
			if u, ok := r.BuildUp.UsualOf(s.Type); ok {
				p("  What is usual: %s", u.Against(j.M))
			}
		}
	}
	for i, l := range r.BuildUp.Settle {
		if i < 2 {
			p("  Would settle it: %s", l.Text)
		}
	}
	p("")
	p("WHAT THE SUMS SAY")
	for _, f := range r.Findings {
		p("  %s: %.3g %s (%.3g to %.3g) [%s]", f.Title, f.Value, f.Unit, f.Low, f.High, f.Verdict)
		p("      %s", f.Text)
		if f.Driver != "" {
			p("      Band mostly from: %s.", f.Driver)
		}
	}
	printEntry(w, r.Entry)
	notes := append([]string(nil), r.Notes...)
	for _, f := range r.Facts {
		if f.Note != "" {
			notes = append(notes, f.Short+": "+f.Note)
		}
	}
	if len(notes) > 0 {
		p("")
		p("NOTES")
		for _, n := range notes {
			p("  %s", n)
		}
	}
	if r.Days != nil {
		p("")
		p("DAYS ON RECORD")
		p("  %s", r.Days.Text)
		if r.Days.Hint != "" {
			p("  %s", r.Days.Hint)
		}
	}
	if len(r.Recheck) > 0 {
		p("")
		p("LOOK AGAIN")
		for _, x := range r.Recheck {
			p("  ? %s", x.Text)
		}
	}
	p("")
	p("SCOPE (%s)", r.Scope.Note)
	if t := r.Scope.Test; t != nil {
		p("  First a test: %s, %s. %s", t.Name, explain.Price(r.Scope.Symbol, t.Low, t.High), t.Why)
	}
	for _, o := range r.Scope.Options {
		mark := " "
		if o.ID == r.Scope.Best && r.Answered >= diagnose.Early {
			mark = "*"
		}
		switch {
		case o.Barred != "":
			p("  %s %d  %-52s not here: %s", mark, o.Rung, o.Name, o.Barred)
		default:
			p("  %s %d  %-52s %s, cures %s of what is suspected", mark, o.Rung, o.Name, explain.Price(r.Scope.Symbol, o.Low, o.High), explain.Percent(o.Cures))
		}
	}
	p("")
	if r.Next.Stop {
		p("NEXT: stop asking. %s", r.Next.StopWhy)
	} else {
		p("NEXT: %s (%s). %s", r.Next.Short, r.Next.Question, r.Next.Reason)
	}
	for _, x := range r.Pending {
		p("  waiting since %s: %s", x.Asked, x.Text)
	}
	if len(r.Change) > 0 {
		p("")
		p("WHAT WOULD CHANGE OUR MIND")
		for _, x := range r.Change {
			p("  - %s", x.Text)
		}
	}
	if len(r.Visits) > 0 {
		p("")
		p("WHAT A FURTHER LOOK WOULD BE WORTH")
		for i := range r.Visits {
			if v := &r.Visits[i]; v.Worthwhile() {
				p("  - %s", v.Says(r.Scope.Symbol))
			}
		}
		if rest := diagnose.NotWorth(r.Visits); rest != "" {
			p("  - %s", rest)
		}
	}
	if r.Robust != nil && len(r.Robust.Tips) > 0 {
		p("")
		p("WHICH NUMBERS OF THE KNOWLEDGE WOULD CHANGE IT (odds doubled or halved)")
		for _, x := range r.Robust.Tips {
			p("  - %s", x.Text)
		}
	}
}

func said(s diagnose.Statement) string {
	if s.P == 0 {
		return s.Text
	}
	return fmt.Sprintf("%s (%s, %s)", s.Text, s.Hedge, explain.Percent(s.P))
}

func printWhy(w io.Writer, y explain.Why) {
	fmt.Fprintf(w, "%s\n\n  %s\n\n  Formula: %s\n", y.Title, y.Result, y.Formula)
	for _, in := range y.Inputs {
		fmt.Fprintf(w, "  %s: %s  (%s)\n", in.Name, in.Value, in.From)
	}
	if y.Band != "" {
		fmt.Fprintf(w, "\n  Band from: %s\n", y.Band)
	}
	fmt.Fprintf(w, "\n  Source: %s\n", y.Source)
	if y.Note != "" {
		fmt.Fprintf(w, "  Note: %s\n", y.Note)
	}
}
