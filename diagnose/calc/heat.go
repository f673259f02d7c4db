package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/fabric"
	"underlap/physics/spread"
	"underlap/physics/timber"
)

// uValue works out the U-value of the likely build-ups by ISO 6946.
func uValue(s *site, b *buildup.Result, groups []share, r *Result) error {
	worst := 0.0
	for _, g := range groups {
		u, err := s.uOf(g.stack, usual, 0)
		if err != nil {
			return err
		}
		if u.worst > worst && g.weight > 0.05 {
			worst = u.worst
		}
	}
	gaps := spread.Discrete("gaps in the insulation", []float64{0, 1, 2}, gapWeights[:])
	which, ordered, err := whichRoof(groups, func(g share) (float64, error) {
		u, err := s.uOf(g.stack, usual, 0)
		return u.u, err
	})
	if err != nil {
		return err
	}
	bands, err := through([]spread.Input{which, doubtLambda(), doubtTimber(), gaps}, func(x []float64) (float64, error) {
		v := usual
		v.lambda, v.timber = x[1], x[2]
		u, err := s.uOf(ordered[int(x[0])].stack, v, int(x[3]))
		return u.u, err
	})
	if err != nil {
		return err
	}
	low, mid, high := bands.Low, bands.Mid, bands.High
	driver, from := makes(bands)
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
			like := "In line with"
			if mid < 0.75*e.TargetU {
				like = "Better than"
			}
			text += fmt.Sprintf(" %s about %.2f, typical of %s.", like, e.TargetU, e.Name)
		default:
			text += fmt.Sprintf(" Typically about %.2f was asked for %s.", e.TargetU, e.Name)
		}
	}
	if s.vented() && b.Type("warm")+b.Type("hybrid") >= 0.4 {
		text += " That is so only where no outside air gets under the boards."
		if verdict == "good" {
			verdict = "note"
		}
	}
	top := groups[0]
	inverted := top.stack.Type == "inverted"
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
	inputs = append(inputs, asked, explain.Input{Name: "Timber in the joist zone", Value: fmt.Sprintf("%.1f %%", 100*joistWidth/s.centres()), From: "47 mm joists at the spacing told, or 400 mm assumed; 1 to 1.5 times that with noggins and trimmers, judgement"},
		explain.Input{Name: "Gaps in the insulation", Value: "level 0, 1 or 2 of the standard, 40, 50 and 10 %", From: "ISO 6946 (from memory); shares are judgement"},
		explain.Input{Name: "Conductivity", Value: "as declared, within 12 % nine times in ten", From: "judgement"})
	if inverted {
		inputs = append(inputs, explain.Input{Name: "Rain under the insulation", Value: fmt.Sprintf("%.1f mm a day from October to April, f x = 0.04", s.winterRain()), From: s.place.Name + "; ISO 6946 for the factor"})
	}
	r.add(explain.Finding{ID: "u-value", Title: "How well it insulates, when dry", Text: text, Value: mid, Low: low, High: high, Unit: "W/m²K", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "U-value of the likely build-ups", Result: fmt.Sprintf("%.3f W/m²K (5 to 95 %%: %.3f to %.3f)", mid, low, high),
		Formula: "R = mean of the upper limit (parallel paths) and the lower limit (parallel layers); U = 1/R + gaps ΔU″ (R1/R)², when over 3 % of it; Rsi 0.10, Rse 0.04 m²K/W",
		Inputs:  inputs, Band: from, Source: "ISO 6946, combined method with its corrections",
		Note: fmt.Sprintf("The band is over %d build-ups by their shares. Error of the method itself up to %.0f %%. No fixings, no wet insulation.", len(groups), worst*100),
	})
	return nil
}

// gapWeights are the chances of the three levels of gaps in insulation of ISO 6946, for
// work of the kind that is asked about; judgement.
var gapWeights = [3]float64{0.40, 0.50, 0.10}

// transmission is a U-value, W/m2K, with how much of it the insulation makes and how
// wrong the method may be.
type transmission struct {
	u     float64
	worst float64 // relative error of the method
}

// uOf is the U-value of a build-up in one of the ways it may be, with its corrections.
func (s *site) uOf(st buildup.Stack, v variant, gapLevel int) (transmission, error) {
	list, cut, err := s.variantLayers(st, s.breathes(), v)
	if err != nil {
		return transmission{}, err
	}
	return s.uOfLayers(st, list, cut, gapLevel)
}

// uOfLayers is uOf for layers at hand; cut says that they end at a void with outside
// air in it.
func (s *site) uOfLayers(st buildup.Stack, list []fabric.Layer, cut bool, gapLevel int) (transmission, error) {
	rse := fabric.Rse
	if cut {
		rse = fabric.RsiUp // outside air in the void: ISO 6946, well ventilated
	}
	r, err := fabric.CombinedMethod(list, fabric.RsiUp, rse)
	if err != nil {
		return transmission{}, err
	}
	insulation := 0.0
	for _, l := range list {
		if l.Lambda > 0 && l.Lambda < wetInsulates {
			insulation += l.Thickness / l.Lambda
		}
	}
	c := fabric.Corrections{Insulation: math.Min(insulation, r.Total), GapLevel: gapLevel}
	if st.Type == "inverted" {
		c.Inverted = &fabric.Inverted{Rain: s.winterRain(), FX: 0.04, Insulation: c.Insulation}
	}
	u, err := c.Apply(r.Total)
	return transmission{u.U, r.MaxError}, err
}

// winterRain is the mean rain of October to April, mm a day.
func (s *site) winterRain() float64 {
	sum := 0.0
	for _, m := range []int{9, 10, 11, 0, 1, 2, 3} {
		if s.place.Lat < 0 {
			m = (m + 6) % 12
		}
		sum += s.place.RainMM[m]
	}
	return sum / 212
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
	longest, err := longestSpan(joistWidth, depth, s.centres(), deadLoad(heavy), timber.C16())
	if err != nil {
		return err
	}
	band, err := through([]spread.Input{
		spread.Triangular("width of the joists", 0.038, joistWidth, 0.052),
		s.doubtTape("depth of the joists", "joist-depth", depth),
		spread.Uniform("weight of the covering", deadLoad(heavy)-200, deadLoad(heavy)),
		spread.Discrete("grade of the timber", []float64{0, 1}, []float64{0.7, 0.3}),
	}, func(x []float64) (float64, error) {
		g := timber.C16()
		if x[3] == 1 {
			g = timber.C24()
		}
		deep := math.Min(0.3, math.Max(x[0], x[1])) // the sizes that the method covers
		return longestSpan(x[0], deep, s.centres(), x[2], g)
	})
	if err != nil {
		return err
	}
	driver, from := makes(band)
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
	r.add(explain.Finding{ID: "joists", Title: "Longest span these joists usually carry", Text: text, Value: longest, Low: math.Min(band.Low, longest), High: math.Max(band.High, longest), Unit: "m", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "Longest usual span of the joists", Result: fmt.Sprintf("%.2f m", longest),
		Formula: "the longest L for which M = w L²/8 keeps within the bending stress, 5 w L⁴/384 E I with shear keeps within 0.003 L, and both hold for a man of 0.9 kN at mid-span; imposed load 0.75 kN/m²",
		Inputs: []explain.Input{
			{Name: "Depth", Value: fmt.Sprintf("%.0f mm", depth*1000), From: known(s, "joist-depth")},
			{Name: "Span", Value: fmt.Sprintf("%.2f m", span), From: known(s, "joist-span")},
			{Name: "Width and spacing", Value: fmt.Sprintf("%.0f mm at %.0f mm", joistWidth*1000, s.centres()*1000), From: "usual width; spacing told or 400 mm"},
			{Name: "Dead load", Value: fmt.Sprintf("%s, %.2f kN/m²", load, deadLoad(heavy)/1000), From: "from the covering"},
			{Name: "Timber", Value: "C16: E 8.8 kN/mm², bending 5.3 N/mm²", From: "BS 5268-2 (from memory)"},
		},
		Band:   from,
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
