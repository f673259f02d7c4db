package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/airflow"
	"underlap/physics/fabric"
	"underlap/physics/spread"
)

// bypass works out what is left of insulation that lies above a void into which
// outside air gets: the warm roof that was left its vents.
func bypass(s *site, b *buildup.Result, groups []share, r *Result) error {
	var above []share
	for _, g := range groups {
		if g.stack.Type == "warm" || g.stack.Type == "hybrid" {
			above = append(above, g)
		}
	}
	if b.Type("warm")+b.Type("hybrid") < 0.4 || len(above) == 0 || !s.vented() || s.facts.Is("blocked-bays", "all") {
		return nil
	}
	which, above, err := whichRoof(above, func(g share) (float64, error) {
		st, _, _, err := s.bypassed(g.stack, usual, s.outsideFlow(g.stack, windShare, dcp))
		return st.U, err
	})
	if err != nil {
		return err
	}
	inputs := []spread.Input{
		which,
		spread.LogNormal("free area of the vents", 1, 1.7),
		spread.Triangular("wind at the roof", 0.15, windShare, 0.5),
		spread.Uniform("shelter of the vents", 0.1, 0.3),
		doubtLambda(),
	}
	// U with the air, U without it, and the thickness that the boards act as.
	bands, err := throughMany(inputs, 3, func(x, y []float64) error {
		g := above[int(x[0])]
		v := usual
		v.lambda = x[4]
		st, lambda, _, err := s.bypassed(g.stack, v, x[1]*s.outsideFlow(g.stack, x[2], x[3]))
		if err != nil {
			return err
		}
		y[0], y[1], y[2] = st.U, st.UFull, 1000*st.ActsAs*lambda
		return nil
	})
	if err != nil {
		return err
	}
	with, without, acts := bands[0], bands[1], bands[2]
	g := likeliest(above)
	flow := s.outsideFlow(g.stack, windShare, dcp)
	state, lambda, thick, err := s.bypassed(g.stack, usual, flow)
	if err != nil {
		return err
	}
	heat, err := s.heatCost(without.Mid, with.Mid)
	if err != nil {
		return err
	}
	verdict := "note"
	switch ratio := with.Mid / without.Mid; {
	case ratio > 1.5:
		verdict = "bad"
	case ratio > 1.15:
		verdict = "poor"
	}
	text := fmt.Sprintf("Outside air gets under the boards. In the usual winter wind the roof loses about %.2f W/m²K (%.2f to %.2f) and not %.2f: %.0f mm of board do the work of about %.0f (%.0f to %.0f). That is about %s more to heat.",
		with.Mid, with.Low, with.High, without.Mid, 1000*thick, acts.Mid, acts.Low, acts.High, heat.Words)
	if verdict == "note" {
		text = fmt.Sprintf("A little outside air gets under the boards: %.2f W/m²K (%.2f to %.2f) in the usual winter wind and not %.2f.", with.Mid, with.Low, with.High, without.Mid)
	}
	driver, from := makes(with)
	r.add(explain.Finding{ID: "bypass", Title: "Insulation that cold air gets under", Text: text, Value: with.Mid, Low: with.Low, High: with.High, Unit: "W/m²K", Verdict: verdict, Driver: driver}, explain.Why{
		Title:   "U-value of a warm roof with outside air in the void below it",
		Result:  fmt.Sprintf("%.3f W/m²K (5 to 95 %%: %.3f to %.3f), %.3f without the air, %.2f with none of the boards", with.Mid, with.Low, with.High, without.Mid, state.UNone),
		Formula: "the air warms on its way through the void: its mean lag behind the void at rest is (1 - e^-n)/n, n = (U below + U above) A / (ρ c Q); U = U sealed + lag × (U of the bare ceiling - U sealed)",
		Inputs: append([]explain.Input{
			{Name: "Build-up", Value: fmt.Sprintf("%s, %.0f mm insulation, λ %.3g W/mK", g.stack.Type, 1000*thick, lambda), From: "thickness and what was seen"},
			{Name: "Openings to outside", Value: s.ventWords(), From: known(s, "vents")},
			{Name: "Outside air through the void", Value: fmt.Sprintf("%.1f L/s", 1000*flow), From: fmt.Sprintf("wind %.1f m/s at the station in %s, %.0f %% of it at the roof (judgement)", s.wind(), monthName(s.coldMonth), 100*windShare)},
			{Name: "Air of the void on such a day", Value: fmt.Sprintf("%.1f °C", state.AirC), From: fmt.Sprintf("room %.0f °C, outdoors %.1f °C", s.room.TempC, s.outC)},
			{Name: "Ceiling where the air comes in", Value: fmt.Sprintf("%.1f °C", state.ColdestC), From: "the same balance"},
		}, heat.Inputs...),
		Band:   from,
		Source: "steady heat balance; ISO 6946 at both ends: no air, and a well ventilated layer",
		Note:   fmt.Sprintf("Against a bare ceiling %.0f %% of the saving is still there, which flatters it: the loss counts. Joists are left out.", 100*state.Kept),
	})
	return nil
}

// bypassed is the balance of a build-up with a flow of outside air in m3/s in its void,
// with the conductivity and the thickness of the insulation above it.
func (s *site) bypassed(st buildup.Stack, v variant, flow float64) (state airflow.BypassState, lambda, thick float64, err error) {
	list, _, err := s.variantLayers(st, false, v)
	if err != nil {
		return state, 0, 0, err
	}
	x := airflow.Bypassed{Area: s.area, Inside: fabric.RsiUp, Void: fabric.RsiUp, Others: fabric.Rse, Flow: flow, RoomC: s.room.TempC, OutC: s.outC}
	past := false
	for _, l := range list {
		rl, err := l.Resistance()
		if err != nil {
			return state, 0, 0, err
		}
		switch {
		case l.Name == "air":
			x.Void, past = math.Max(rl, fabric.RsiUp), true
		case !past:
			x.Ceiling += rl
		case l.Lambda > 0 && l.Lambda < wetInsulates:
			x.Insulation += rl
			lambda, thick = l.Lambda, thick+l.Thickness
		default:
			x.Others += rl
		}
	}
	state, err = x.Balance()
	return state, lambda, thick, err
}
