package main

import (
	"fmt"
	"io"
	"strings"

	"underlap/diagnose/entry"
	"underlap/diagnose/explain"
)

// printEntry prints where it gets in and the order in which to hose, in a few lines.
func printEntry(w io.Writer, m *entry.Map) {
	if m == nil {
		return
	}
	p := func(format string, a ...any) { fmt.Fprintf(w, format+"\n", a...) }
	p("")
	p("WHERE IT GETS IN")
	if !m.Worth() {
		p("  From outside at all: %s. Water made or held indoors is likelier, and a hose is not the test for that.", explain.Percent(m.Outside))
		return
	}
	p("  Plan %.3g m along the house, %.3g m out. From outside at all: %s. Places, if so:", m.Plan.Along, m.Plan.Out, explain.Percent(m.Outside))
	if len(m.Plan.Stains) == 0 {
		p("  No stain is on the plan yet, so this is only where the likely causes sit.")
	}
	for _, z := range m.Named() {
		p("  %5s  %s", explain.Percent(z.Share), z.Name)
	}
	if len(m.Assumed) > 0 {
		p("  Assumed: %s.", strings.Join(m.Assumed, "; "))
	}
	for _, c := range m.Not {
		p("  ! %s", c.Says)
	}
	var order []string
	for _, s := range m.Hose {
		order = append(order, fmt.Sprintf("%s (hose %.0f, wait to %.0f)", s.Name, s.Hose, s.Wait))
	}
	if len(order) == 0 {
		return
	}
	when := "To hose, in this order, with the minutes at each; dry proves little"
	if m.NoHose {
		when = "To hose only when that is made safe, in this order, with the minutes at each"
	}
	p("  %s: %s.", when, strings.Join(order, "; "))
}
