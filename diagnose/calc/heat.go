package calc

import (
	"fmt"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/fabric"
)

// uValue works out the U-value of the likely build-ups by ISO 6946.
func uValue(s *site, b *buildup.Result, groups []share, r *Result) error {
	vented := s.breathes()
	var points []point
	worst := 0.0
	for _, g := range groups {
		list, cut, err := s.layers(g.stack, vented)
		if err != nil {
			return err
		}
		rse := fabric.Rse
		if cut {
			rse = fabric.RsiUp // outside air in the void: ISO 6946, well ventilated
		}
		u, err := fabric.CombinedMethod(list, fabric.RsiUp, rse)
		if err != nil {
			return err
		}
		points = append(points, point{u.U, g.weight})
		if u.MaxError > worst && g.weight > 0.05 {
			worst = u.MaxError
		}
	}
	low, mid, high := band(points)
	verdict, text := "note", fmt.Sprintf("About %.2f W/m²K, between %.2f and %.2f over the likely build-ups.", mid, low, high)
	asked := explain.Input{Name: "Asked for at the time", Value: "not known", From: "when it was built is not told"}
	for _, e := range s.pack.BuildUp.Eras {
		if e.ID != s.facts.Choice("built-when") {
			continue
		}
		asked.Value, asked.From = fmt.Sprintf("about %.2f W/m²K", e.TargetU), e.Regulation
		switch {
		case mid > 1.5*e.TargetU:
			if b.Types[0].P >= 0.6 {
				verdict = "poor"
			}
			text += fmt.Sprintf(" Typically about %.2f was asked for %s.", e.TargetU, e.Name)
		case mid <= 1.15*e.TargetU:
			if b.Types[0].P >= 0.6 {
				verdict = "good"
			}
			text += fmt.Sprintf(" In line with about %.2f, typical of %s.", e.TargetU, e.Name)
		default:
			text += fmt.Sprintf(" Typically about %.2f was asked for %s.", e.TargetU, e.Name)
		}
	}
	top := groups[0]
	inputs := []explain.Input{{Name: "Likeliest build-up", Value: top.stack.Type, From: "thickness and what was seen"}}
	for _, l := range top.stack.Layers {
		if l.Material == "" {
			inputs = append(inputs, explain.Input{Name: l.Name, Value: "R 0.16 m²K/W once, timber through it λ 0.13 W/mK", From: "ISO 6946 unventilated air layer, heat upwards"})
			continue
		}
		m, err := fabric.FindMaterial(l.Material)
		if err != nil {
			return err
		}
		inputs = append(inputs, explain.Input{Name: l.Name, Value: fmt.Sprintf("%.1f mm, λ %.3g W/mK", l.M*1000, m.Lambda), From: m.Source + " (" + string(m.Status) + ")"})
	}
	inputs = append(inputs, asked, explain.Input{Name: "Timber in the joist zone", Value: fmt.Sprintf("%.1f %%", 100*joistWidth/s.centres()), From: "47 mm joists at the spacing told, or 400 mm assumed"})
	r.add(explain.Finding{ID: "u-value", Title: "How well it insulates, when dry", Text: text, Value: mid, Low: low, High: high, Unit: "W/m²K", Verdict: verdict}, explain.Why{
		Title: "U-value of the likely build-ups", Result: fmt.Sprintf("%.3f W/m²K (5 to 95 %%: %.3f to %.3f)", mid, low, high),
		Formula: "R = mean of the upper limit (parallel paths) and the lower limit (parallel layers); U = 1/R; Rsi 0.10, Rse 0.04 m²K/W",
		Inputs:  inputs, Source: "ISO 6946, combined method",
		Note: fmt.Sprintf("The band is over %d build-ups by their shares. Error of the method itself up to %.0f %%. No fixings, no wet insulation.", len(groups), worst*100),
	})
	return nil
}

// joists checks the span of the joists against the permissible-stress model. It
// never passes a structure; it only guesses a depth and raises doubt.
func joists(s *site, b *buildup.Result, _ []share, r *Result) error {
	span, okSpan := s.facts.Number("joist-span")
	depth, okDepth := s.facts.Number("joist-depth")
	if !okSpan || !okDepth || depth < joistWidth || depth > 0.3 {
		return nil // beyond the sizes the tables cover there is nothing to say
	}
	heavy := s.facts.Is("covering", "felt-chippings") || s.facts.Is("covering", "asphalt") || s.facts.Is("covering", "lead")
	longest, err := longestSpan(depth, s.centres(), heavy)
	if err != nil {
		return err
	}
	verdict, text := "note", fmt.Sprintf("%.0f mm joists at %.0f mm usually carry up to %.2f m; here they span %.2f m.", depth*1000, s.centres()*1000, longest, span)
	if span > longest {
		verdict = "bad"
		text += " They look undersized: ask a structural engineer."
		r.Engineer = true
	}
	load := "light covering"
	if heavy {
		load = "heavy covering"
	}
	r.add(explain.Finding{ID: "joists", Title: "Longest span these joists usually carry", Text: text, Value: longest, Low: longest, High: longest, Unit: "m", Verdict: verdict}, explain.Why{
		Title: "Longest usual span of the joists", Result: fmt.Sprintf("%.2f m", longest),
		Formula: "the longest L for which M = w L²/8 keeps within the bending stress, 5 w L⁴/384 E I with shear keeps within 0.003 L, and both hold for a man of 0.9 kN at mid-span; imposed load 0.75 kN/m²",
		Inputs: []explain.Input{
			{Name: "Depth", Value: fmt.Sprintf("%.0f mm", depth*1000), From: known(s, "joist-depth")},
			{Name: "Span", Value: fmt.Sprintf("%.2f m", span), From: known(s, "joist-span")},
			{Name: "Width and spacing", Value: fmt.Sprintf("%.0f mm at %.0f mm", joistWidth*1000, s.centres()*1000), From: "usual width; spacing told or 400 mm"},
			{Name: "Dead load", Value: fmt.Sprintf("%s, %.2f kN/m²", load, deadLoad(heavy)/1000), From: "from the covering"},
			{Name: "Timber", Value: "C16: E 8.8 kN/mm², bending 5.3 N/mm²", From: "BS 5268-2 (from memory)"},
		},
		Source: "BS 5268-2 permissible stresses (stress values from memory)",
		Note:   "Only to guess a depth and raise doubt. It never passes a structure: that is for an engineer.",
	})
	return nil
}

// known words how an answer is known, for the why page.
func known(s *site, question string) string {
	f, ok := s.facts.Get(question)
	if !ok {
		return "assumed"
	}
	for _, k := range s.pack.Words.Known {
		if k.ID == f.Known {
			return k.Name
		}
	}
	return f.Known
}
