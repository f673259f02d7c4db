package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/drainage"
	"underlap/physics/spread"
)

// lowest is the lowest way in for standing water: the least of the kerb, the
// upstand and the door sill, in metres.
func (s *site) lowest(b *buildup.Result) (height float64, name string, ok bool) {
	height = math.Inf(1)
	for _, q := range []struct{ id, name string }{{"kerb-outside", "skylight kerb"}, {"upstand-height", "lowest upstand"}, {"door-upstand", "door sill"}} {
		if doubted(b, q.id) {
			continue
		}
		if v, has := s.facts.Number(q.id); has && v < height {
			height, name, ok = v, q.name, true
		}
	}
	return height, name, ok
}

// doubted tells that a reading is one of a pair that cannot be.
func doubted(b *buildup.Result, question string) bool {
	for _, p := range b.Problems {
		for _, q := range p.Questions {
			if q == question {
				return true
			}
		}
	}
	return false
}

// The trial storm: 75 mm/h for 20 minutes on a roof with its only outlet shut.
const (
	blockedMMPerHour = 75.0
	blockedMinutes   = 20.0
	designFall       = 1.0 / 80
)

// standing works out the head at the outlet in a storm, what a blocked outlet
// does, and the load of it, and sets the gate for standing water.
func standing(s *site, b *buildup.Result, _ []share, r *Result) error {
	kind := s.facts.Choice("drainage")
	gate := 0.80 // nothing known
	switch kind {
	case "gutter":
		gate = 0.55 // an open edge spills over; hollows still pond
	case "outlet", "scupper", "no-way":
		gate = 0.90
	}
	lowest, where, hasLow := s.lowest(b)
	if hasLow && lowest < 0.075 {
		gate = math.Max(gate, 0.95) // a puddle is enough
	}
	if kind == "outlet" || kind == "scupper" || kind == "no-way" {
		slope := designFall
		if b.Measured != nil && b.Measured.HasFall && b.Measured.Fall > 0.002 {
			slope = b.Measured.Fall
		}
		edge := math.Sqrt(s.area / 1.5)
		volume := s.area * blockedMMPerHour / 1000 * blockedMinutes / 60
		w, err := drainage.Blocked(volume, edge, slope)
		if err != nil {
			return err
		}
		fallSays := spread.LogNormal("fall of the roof", slope, 1.8)
		if m := b.Measured; m != nil && m.HasFall && m.Fall > 0.002 {
			fallSays = spread.LogNormal("fall of the roof", slope, 1+math.Min(1, 1.645*m.FallSD/m.Fall+0.01))
		}
		band, err := through([]spread.Input{
			spread.LogNormal("how hard and how long it rains", 1, 1.6), fallSays,
			spread.Uniform("shape of the plan", 1, 2.25), s.doubtArea(),
		}, func(x []float64) (float64, error) {
			w, err := drainage.Blocked(volume*x[0]*x[3], math.Sqrt(s.area*x[3]/x[2]), x[1])
			return w.Depth * 1000, err
		})
		if err != nil {
			return err
		}
		driver, from := makes(band)
		load, err := drainage.PondLoad(w.Depth)
		if err != nil {
			return err
		}
		verdict, text := "note", fmt.Sprintf("With the outlet shut, %.0f minutes at %.0f mm/h stand %.0f mm deep at the low edge and reach %.1f m up the roof: %.2f kN/m² there.", blockedMinutes, blockedMMPerHour, w.Depth*1000, w.Reach, load/1000)
		if s.facts.Is("overflow", "no") {
			text += " There is no overflow."
			verdict = "poor"
		}
		if hasLow {
			if w.Depth > lowest {
				text += fmt.Sprintf(" That is over the %s (%.0f mm).", where, lowest*1000)
				verdict, gate = "bad", 0.97
			} else if w.Depth < 0.5*lowest {
				gate = math.Min(gate, 0.75)
			}
		}
		if load > drainage.MaintenanceLoad {
			verdict = "bad"
			text += " It is more than the 0.75 kN/m² a light roof is built for."
			r.Engineer = true
		}
		r.add(explain.Finding{ID: "blocked-pond", Title: "If the outlet blocks", Text: text, Value: w.Depth * 1000, Low: math.Min(band.Low, w.Depth*1000), High: math.Max(band.High, w.Depth*1000), Unit: "mm", Verdict: verdict, Driver: driver}, explain.Why{
			Title: "Depth behind a blocked outlet", Result: fmt.Sprintf("%.1f mm deep, %.2f m up the roof", w.Depth*1000, w.Reach),
			Formula: "depth = √(2 V × fall / W); load = depth × 1000 kg/m³ × 9.81 m/s²",
			Inputs: []explain.Input{
				s.areaInput(),
				{Name: "Rain", Value: fmt.Sprintf("%.0f mm/h for %.0f min, %.0f L", blockedMMPerHour, blockedMinutes, volume*1000), From: "older practice, BS 6367:1983 (second hand)"},
				{Name: "Fall", Value: fmt.Sprintf("1 in %.0f", 1/slope), From: fallFrom(b)},
				{Name: "Low edge", Value: fmt.Sprintf("%.1f m", edge), From: "from the area, 3:2 plan assumed"},
			},
			Band:   from,
			Source: "geometry of a wedge; BS 6399-3 maintenance load 0.75 kN/m² (from memory)",
			Note:   "For the band: rain within a factor of 1.6, a plan from square to 9:4, and a fall within 1.8 where it was not measured; judgement.",
		})
	}
	if d, ok := s.facts.Number("outlet-size"); ok && (kind == "outlet" || kind == "scupper") {
		if g, err := outletHead(s, r, d, lowest, where, hasLow); err != nil {
			return err
		} else if g > 0 {
			gate = math.Max(gate, g)
		}
	}
	r.Gates["standing-water"] = clampGate(gate)
	return nil
}

func fallFrom(b *buildup.Result) string {
	if b.Measured != nil && b.Measured.HasFall && b.Measured.Fall > 0.002 {
		return "measured at two sides of the skylight"
	}
	return "assumed: the least that is allowed"
}

// outletHead is the head over the outlet in the yearly storm and in a rare one.
func outletHead(s *site, r *Result, d, lowest float64, where string, hasLow bool) (gate float64, err error) {
	k, guard := drainage.Open, "no guard"
	if s.facts.Is("outlet-guard", "guard") {
		k, guard = drainage.Guarded, "guard, factor 0.5"
	}
	o, err := drainage.Circular(d, k)
	if err != nil {
		return 0, err
	}
	intensity, from := 0.022e-3, "the heaviest yearly storm read for the United Kingdom (London); no value for this place"
	if st, err := s.place.Storm(); err == nil {
		intensity, from = st.High, "yearly two-minute storm, "+st.Name+" ("+st.Status+")"
	}
	area := s.area
	if s.facts.Is("other-roof-drains", "yes") {
		area *= 2 // another roof of the same size is assumed to drain onto this one
	}
	yearly, err := o.Head(area * intensity)
	if err != nil {
		return 0, err
	}
	const rare = 2.6 // growth from the 1-year to the 50-year storm, estimated
	heavy, err := o.Head(area * intensity * rare)
	if err != nil {
		return 0, err
	}
	// The formula is for a flow that lasts; ten minutes of such rain cannot stand
	// deeper than all of it held back.
	held, err := drainage.Blocked(area*intensity*rare*600, math.Sqrt(s.area/1.5), designFall)
	if err != nil {
		return 0, err
	}
	heavy = math.Max(yearly, math.Min(heavy, held.Depth))
	factor := spread.Fixed("guard over the outlet", k)
	if k < drainage.Open {
		factor = spread.Triangular("how far leaves choke the guard", 0.3, k, 0.7)
	}
	band, err := through([]spread.Input{
		spread.LogNormal("heaviest rain of the year", 1, 1.2), factor, s.doubtTape("size of the outlet", "outlet-size", d), s.doubtArea(),
	}, func(x []float64) (float64, error) {
		o, err := drainage.Circular(x[2], x[1])
		if err != nil {
			return 0, err
		}
		h, err := o.Head(area * x[3] * intensity * x[0])
		return h * 1000, err
	})
	if err != nil {
		return 0, err
	}
	driver, makeUp := makes(band)
	verdict, text := "good", fmt.Sprintf("A %.0f mm outlet (%s) stands %.0f mm deep in the yearly storm and about %.0f mm in a fifty-year one.", d*1000, guard, yearly*1000, heavy*1000)
	if hasLow {
		switch {
		case yearly > lowest:
			verdict, gate = "bad", 0.98
			text += fmt.Sprintf(" Every year it is over the %s (%.0f mm).", where, lowest*1000)
		case heavy > lowest:
			verdict, gate = "poor", 0.95
			text += fmt.Sprintf(" A rare storm tops the %s (%.0f mm).", where, lowest*1000)
		}
	} else if heavy > 0.10 {
		verdict = "poor"
	}
	r.add(explain.Finding{ID: "outlet-head", Title: "Water over the outlet in a storm", Text: text, Value: yearly * 1000, Low: math.Min(band.Low, yearly*1000), High: math.Max(band.High, yearly*1000), Unit: "mm", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "Head over the outlet", Result: fmt.Sprintf("%.1f mm yearly, %.1f mm in about 50 years", yearly*1000, heavy*1000),
		Formula: "Q = k D h^1.5 / 7500 up to h = D/2, then k D² h^0.5 / 15000 (L/s, mm)",
		Inputs: []explain.Input{
			s.areaInput(),
			{Name: "Rain", Value: fmt.Sprintf("%.3f L/s m²", intensity*1000), From: from},
			{Name: "Rare storm", Value: "2.6 times the yearly one", From: "growth factor from memory, good to about 20 %"},
			{Name: "Outlet", Value: fmt.Sprintf("%.0f mm, %s", d*1000, guard), From: known(s, "outlet-size")},
		},
		Band:   makeUp,
		Source: "BS EN 12056-3 (from memory)",
		Note:   "For a first look at capacity, never to size an outlet. For the band: a storm known to 20 %, a guard that passes 0.3 to 0.7 of an open outlet; judgement.",
	})
	return gate, nil
}

// upstands checks each measured upstand against 150 mm, or 75 mm at a door.
func upstands(s *site, b *buildup.Result, _ []share, r *Result) error {
	for _, q := range []struct {
		id, name string
		door     bool
	}{{"kerb-outside", "Skylight kerb", false}, {"upstand-height", "Lowest upstand", false}, {"door-upstand", "Door sill", true}} {
		h, ok := s.facts.Number(q.id)
		if !ok || doubted(b, q.id) {
			continue
		}
		u, err := drainage.CheckUpstand(h, 0, q.door)
		if err != nil {
			return err
		}
		const warmed = 0.140 // a conversion to warm raises the roof by about this
		after, err := drainage.CheckUpstand(h, warmed, q.door)
		if err != nil {
			return err
		}
		tape := s.tape(q.id)
		verdict, text := "good", fmt.Sprintf("%s stands %.0f mm; %.0f is asked.", q.name, h*1000, u.Required*1000)
		if !u.OK {
			verdict = "poor"
			text = fmt.Sprintf("%s stands %.0f mm, %.0f short of %.0f.", q.name, h*1000, u.Short*1000, u.Required*1000)
		}
		if !after.OK && b.Type("warm") < 0.5 {
			text += fmt.Sprintf(" A conversion to a warm roof (+%.0f) would leave %.0f: it must be raised first.", warmed*1000, after.Left*1000)
		}
		r.add(explain.Finding{ID: "upstand-" + q.id, Title: q.name + " height", Text: text, Value: h * 1000, Low: math.Max(0, h-tape) * 1000, High: (h + tape) * 1000, Unit: "mm", Verdict: verdict}, explain.Why{
			Title: q.name + " against what is asked", Result: fmt.Sprintf("%.0f mm now, %.0f mm after a warm conversion", h*1000, after.Left*1000),
			Formula: "height above the finished roof, less what is added",
			Inputs:  []explain.Input{{Name: q.name, Value: fmt.Sprintf("%.0f mm", h*1000), From: known(s, q.id)}, {Name: "Added by a conversion", Value: "140 mm", From: "typical foam, deck and sheet; common practice, no source"}},
			Source:  "single-ply trade association upstand guidance; BS 6229 (second hand)",
			Note:    "The band is the tolerance told, or 5 mm either way.",
		})
	}
	return nil
}

// fall reports the fall between the two sides of the rooflight.
func fall(s *site, b *buildup.Result, _ []share, r *Result) error {
	m := b.Measured
	if m == nil || !m.HasFall {
		return nil
	}
	verdict, text := "good", ""
	switch {
	case m.Fall < 0.5/80:
		verdict, text = "note", fmt.Sprintf("Nearly level: 1 in %.0f or flatter between the two sides. Check for ponding; that alone does not condemn it.", 1/math.Max(m.Fall, 0.001))
		if m.Fall < 0.0005 {
			text = "No fall between the two sides. Check for ponding; that alone does not condemn it."
		}
	case m.Fall+m.FallSD < 0.95/80:
		verdict, text = "poor", fmt.Sprintf("1 in %.0f between the two sides; 1 in 80 is the least asked.", 1/m.Fall)
	default:
		text = fmt.Sprintf("1 in %.0f between the two sides; 1 in 80 is the least asked, 1 in 40 the aim.", 1/m.Fall)
	}
	r.add(explain.Finding{ID: "fall", Title: "Fall", Text: text, Value: m.Fall * 1000, Low: math.Max(0, m.Fall-1.645*m.FallSD) * 1000, High: (m.Fall + 1.645*m.FallSD) * 1000, Unit: "mm per m", Verdict: verdict}, explain.Why{
		Title: "Fall between the two sides of the skylight", Result: fmt.Sprintf("%.1f mm in a metre", m.Fall*1000),
		Formula: "(thickness on one side - thickness on the other) / distance, with a level ceiling",
		Inputs: []explain.Input{
			{Name: "One side", Value: fmt.Sprintf("%.0f - %.0f = %.0f mm", m.Inside*1000, m.Outside*1000, (m.Inside-m.Outside)*1000), From: known(s, "kerb-inside")},
			{Name: "Other side", Value: fmt.Sprintf("%.0f mm", m.Second*1000), From: known(s, "second-inside")},
		},
		Source: "BS 6229:2018 as reported by a trade body: design 1:40, finished 1:80",
		Note:   "A sloping ceiling hides or invents a fall.",
	})
	return nil
}
