package calc

import (
	"fmt"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/condense"
	"underlap/physics/fabric"
	"underlap/physics/spread"
)

// reserve works out how much more than its own condensate a roof that is closed on both
// sides could dry in a summer: the allowance for what leaking air brings.
func reserve(s *site, b *buildup.Result, groups []share, r *Result) error {
	closed := func(kind string) bool { return kind == "cold" || kind == "on-joists" || kind == "hybrid" }
	var list []share
	weight := 0.0
	for _, g := range groups {
		if closed(g.stack.Type) {
			list = append(list, g)
			weight += g.weight
		}
	}
	if told := s.facts.Is("vents", "none") || s.facts.Is("blocked-bays", "all"); weight < 0.5 || !told {
		return nil // with any air in the void it is not closed
	}
	of := func(st buildup.Stack, v variant) (condense.PeriodReserve, []fabric.Layer, error) {
		layers, _, err := s.variantLayers(st, false, v)
		if err != nil {
			return condense.PeriodReserve{}, nil, err
		}
		x, err := condense.ReserveByPeriod(layers, condense.RoofPeriod())
		return x, layers, err
	}
	which, ordered, err := whichRoof(list, func(g share) (float64, error) {
		res, _, err := of(g.stack, usual)
		return res.Reserve, err
	})
	if err != nil {
		return err
	}
	band, err := through([]spread.Input{which, doubtPaint(), doubtSheet()}, func(x []float64) (float64, error) {
		v := usual
		v.paint, v.sheet = x[1], x[2]
		res, _, err := of(ordered[int(x[0])].stack, v)
		return 1000 * res.Reserve, err
	})
	if err != nil {
		return err
	}
	first, layers, err := of(list[0].stack, usual)
	if err != nil {
		return err
	}
	roof, err := condense.NewRoof(layers, fabric.RsiUp, fabric.Rse)
	if err != nil {
		return err
	}
	year, err := condense.ReserveByMonth(roof, condense.DryingAllowance, s.climate(), s.mid())
	if err != nil {
		return err
	}
	asked := 1000 * condense.DryingAllowance
	verdict, text := "note", fmt.Sprintf("By the German standard's winter and summer, not this room's, it could dry %.0f g/m² more than it condenses (%.0f to %.0f); %.0f is the margin asked for leaking air: it forgives little.", band.Mid, band.Low, band.High, asked)
	switch {
	case band.Mid < 0:
		verdict = "poor"
		text = fmt.Sprintf("By the German standard's winter and summer, not this room's, it cannot dry its own condensate: %.0f g/m² are left (%.0f to %.0f), and %.0f to spare is the margin asked for leaking air.", -band.Mid, -band.High, -band.Low, asked)
	case band.Mid >= asked:
		text = fmt.Sprintf("By the German standard's winter and summer, not this room's, it could dry %.0f g/m² more than it condenses (%.0f to %.0f); %.0f is the margin asked for leaking air.", band.Mid, band.Low, band.High, asked)
		if year.Without != condense.Accumulates && year.Months > 0 {
			verdict = "good"
		} else {
			text += " By months in this place and room it does not dry."
		}
	}
	if b.Types[0].P < 0.6 {
		verdict = "note" // a guessed build-up is not condemned
	}
	months := "is not gone in two years"
	if year.Months > 0 {
		months = fmt.Sprintf("is gone in %s", explain.Count(year.Months, "month"))
	}
	driver, from := makes(band)
	r.add(explain.Finding{ID: "drying-reserve", Title: "Room to dry", Text: text, Value: band.Mid, Low: band.Low, High: band.High, Unit: "g/m²", Verdict: verdict, Driver: driver}, explain.Why{
		Title:   "Drying reserve of a roof closed on both sides",
		Result:  fmt.Sprintf("%.0f g/m² (5 to 95 %%: %.0f to %.0f); %.0f asked", band.Mid, band.Low, band.High, asked),
		Formula: "what could evaporate in 90 days (air 1200 Pa on both sides, wet plane 2000 Pa) less what condenses in 90 days of 20 °C, 50 % against -5 °C, 80 %",
		Inputs: []explain.Input{
			{Name: "Likeliest build-up", Value: fmt.Sprintf("%s, %.0f mm insulation", list[0].stack.Type, 1000*list[0].stack.Insulation), From: "thickness and what was seen"},
			{Name: "Condensate of the spell", Value: fmt.Sprintf("%.0f g/m²", 1000*first.Condensate), From: "likeliest build-up"},
			{Name: "Could dry", Value: fmt.Sprintf("%.0f g/m²", 1000*first.Capacity), From: "likeliest build-up"},
			{Name: "Asked", Value: fmt.Sprintf("%.0f g/m² a year", asked), From: "DIN 68800-2, as reported in public texts"},
			{Name: "By months, in this place", Value: fmt.Sprintf("%.0f g/m² put in at the end of %s %s; %s without it", asked, monthName(year.Month), months, year.Without), From: s.place.Name + "; after ÖNORM B 8110-2:2020"},
		},
		Band:   from,
		Source: "DIN 4108-3 period method; DIN 68800-2 for what is asked",
		Note:   "A German rule for timber roofs, here as a measure of how forgiving the roof is; no British rule asks for it. Diffusion only.",
	})
	return nil
}
