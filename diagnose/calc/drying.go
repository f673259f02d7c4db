package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/condense"
	"underlap/physics/fabric"
	"underlap/physics/spread"
)

// dryingYears is how long the drying of trapped water is followed, as the
// standard does.
const dryingYears = 10

// drying follows a litre to the square metre trapped in the insulation of the
// likeliest warm-type build-up. It is worked out only where water can be held:
// between a covering and a vapour layer.
func drying(s *site, b *buildup.Result, groups []share, r *Result) error {
	var pick *share
	for i := range groups { // likeliest first
		if t := groups[i].stack.Type; (t == "warm" || t == "hybrid") && b.Type(t) >= 0.4 {
			pick = &groups[i]
			break
		}
	}
	if pick == nil {
		return nil
	}
	res, ok, err := s.trapped(pick.stack, usual, s.mid())
	if err != nil || !ok {
		return err
	}
	var band spread.Band
	if band, err = through([]spread.Input{spread.LogNormal("laps of the vapour layer", 1, 5), s.whichRoom(), doubtLambda()}, func(x []float64) (float64, error) {
		v := usual
		v.vcl, v.lambda = x[0], x[2]
		res, _, err := s.trapped(pick.stack, v, s.indoor[int(x[1])].air)
		if res.Months == 0 {
			return 12 * dryingYears, err
		}
		return float64(res.Months), err
	}); err != nil {
		return err
	}
	driver, from := makes(band)
	value, text, verdict := float64(res.Months), "", "poor"
	switch {
	case res.Months == 0:
		value = 12 * dryingYears
		left := res.Remaining[len(res.Remaining)-1]
		text = fmt.Sprintf("Trapped between sheet and vapour layer, 1 L/m² is not gone in %d years: %v L/m² would be left.", dryingYears, amount(left))
		verdict = "bad"
		if left > 1.05 {
			text = fmt.Sprintf("Trapped between sheet and vapour layer, 1 L/m² never dries: in %d years it grows to %v L/m².", dryingYears, amount(left))
		}
	default:
		text = fmt.Sprintf("Trapped between sheet and vapour layer, 1 L/m² would take about %d months to dry by itself.", res.Months)
		if res.Months <= 12 {
			verdict = "note"
		}
	}
	if b.Type(pick.stack.Type) < 0.6 {
		verdict = "note" // a guessed roof is not condemned
	}
	r.add(explain.Finding{ID: "trapped-drying", Title: "How long water would stay if it were trapped", Text: text, Value: value, Low: math.Min(band.Low, value), High: math.Max(band.High, value), Unit: "months", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "Drying of 1 kg/m² trapped in the boards", Result: text,
		Formula: "1 kg/m² in the middle of the insulation, that plane at saturation, month by month, both ways out",
		Inputs:  []explain.Input{{Name: "Build-up", Value: fmt.Sprintf("%s, %.0f mm insulation", pick.stack.Type, pick.stack.Insulation*1000), From: "thickness and what was seen"}, s.placeInput(), s.roomSay},
		Band:    from,
		Source:  "EN ISO 13788:2012 clause 7 (from memory)",
		Note:    fmt.Sprintf("Diffusion only. The vapour layer is taken as 0.25 mm polythene with taped laps, within a factor of 5; judgement. %d months stand for never.", 12*dryingYears),
	})
	return nil
}

// trapped follows a litre to the square metre in the insulation of a build-up. ok is
// false when it has no boards to hold it.
func (s *site) trapped(st buildup.Stack, v variant, air condense.Indoor) (res condense.DryingResult, ok bool, err error) {
	list, _, err := s.variantLayers(st, false, v)
	if err != nil {
		return res, false, err
	}
	wet := -1
	for i, l := range list {
		if l.Name == boardName(st) {
			wet = i
		}
	}
	if wet < 0 {
		return res, false, nil
	}
	roof, err := condense.NewTrapped(list, fabric.RsiUp, fabric.Rse, wet)
	if err != nil {
		return res, false, err
	}
	const october = 9
	res, err = condense.Drying(roof, 1, october, dryingYears, s.climate(), air)
	return res, true, err
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
