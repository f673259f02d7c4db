package calc

import (
	"fmt"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/condense"
	"underlap/physics/fabric"
)

// dryingYears is how long the drying of trapped water is followed, as the
// standard does.
const dryingYears = 10

// drying follows a litre to the square metre trapped in the insulation of the
// likeliest warm-type build-up. It is worked out only where water can be held:
// between a covering and a vapour layer.
func drying(s *site, _ *buildup.Result, groups []share, r *Result) error {
	var pick *share
	for i := range groups {
		if t := groups[i].stack.Type; (t == "warm" || t == "hybrid") && groups[i].weight >= 0.4 {
			pick = &groups[i]
			break
		}
	}
	if pick == nil {
		return nil
	}
	list, _, err := s.layers(pick.stack, false)
	if err != nil {
		return err
	}
	wet := -1
	for i, l := range list {
		if l.Name == boardName(pick.stack) {
			wet = i
		}
	}
	if wet < 0 {
		return nil
	}
	roof, err := condense.NewTrapped(list, fabric.RsiUp, fabric.Rse, wet)
	if err != nil {
		return err
	}
	res, err := condense.Drying(roof, 1, 9, dryingYears, s.climate(), s.mid())
	if err != nil {
		return err
	}
	value, text, verdict := float64(res.Months), "", "poor"
	switch {
	case res.Months == 0:
		value = 12 * dryingYears
		left := res.Remaining[len(res.Remaining)-1]
		text = fmt.Sprintf("Trapped between sheet and vapour layer, 1 L/m² is not gone in %d years: %.2g L/m² would be left.", dryingYears, left)
		verdict = "bad"
		if left > 1 {
			text = fmt.Sprintf("Trapped between sheet and vapour layer, 1 L/m² never dries: in %d years it grows to %.2g L/m².", dryingYears, left)
		}
	default:
		text = fmt.Sprintf("Trapped between sheet and vapour layer, 1 L/m² would take about %d months to dry by itself.", res.Months)
		if res.Months <= 12 {
			verdict = "note"
		}
	}
	r.add(explain.Finding{ID: "trapped-drying", Title: "How long water would stay if it were trapped", Text: text, Value: value, Low: value * 0.5, High: value * 2, Unit: "months", Verdict: verdict}, explain.Why{
		Title: "Drying of 1 kg/m² trapped in the boards", Result: text,
		Formula: "1 kg/m² in the middle of the insulation, that plane at saturation, month by month, both ways out",
		Inputs:  []explain.Input{{Name: "Build-up", Value: fmt.Sprintf("%s, %.0f mm insulation", pick.stack.Type, pick.stack.Insulation*1000), From: "thickness and what was seen"}, s.placeInput(), s.roomSay},
		Source:  "EN ISO 13788:2012 clause 7 (from memory)",
		Note:    "Diffusion only. The vapour layer is taken as 0.25 mm polythene with taped laps. The band of half to twice is a judgement.",
	})
	return nil
}

// boardName is the name the board layer of a stack has in the sums.
func boardName(st buildup.Stack) string {
	for _, l := range st.Layers {
		if l.Role == "board" {
			if m, err := fabric.FindMaterial(l.Material); err == nil {
				return m.Name
			}
		}
	}
	return ""
}
