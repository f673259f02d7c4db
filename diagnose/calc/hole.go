package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/drainage"
	"underlap/physics/spread"
)

// standsOver is how deep water usually stands over a fault in a flat roof, m, within a
// factor of standsTimes; judgement.
const (
	standsOver  = 0.010
	standsTimes = 4.0
	// lapGap is a lap that has let go but looks shut, m; judgement.
	lapGap = 0.0002
	// leastHole is the width in mm below which a hole hardly drips: surface tension holds
	// the water of a puddle up; judgement.
	leastHole = 0.4
	// wideHole is the width in mm above which it would be seen; judgement.
	wideHole = 5.0
)

// hole works out what size of hole under standing water would let through the water that
// was seen, and how far water creeps into a lap that has let go: small ones do.
func hole(s *site, _ *buildup.Result, _ []share, r *Result) error {
	litres := s.seenLitres()
	if _, told := s.facts.Get("hours-dripping"); litres == 0 || !told {
		return nil
	}
	hours := s.eventHours()
	diameter := func(litres, hours, depth float64) (float64, error) {
		each, err := drainage.HoleFlow(1, depth)
		return 1000 * math.Sqrt(4/math.Pi*litres/1000/(hours*3600)/each), err
	}
	mid, err := diameter(litres, hours, standsOver)
	if err != nil {
		return err
	}
	if mid < leastHole {
		return nil // so little water is no matter of holes
	}
	band, err := through([]spread.Input{
		spread.LogNormal("how deep the water stands", standsOver, standsTimes),
		spread.LogNormal("litres as told", litres, 2),
		spread.LogNormal("hours as told", hours, 2),
	}, func(x []float64) (float64, error) { return diameter(x[1], x[2], x[0]) })
	if err != nil {
		return err
	}
	creep, err := drainage.Lap{Gap: lapGap, ContactDeg: 0, WaterC: 10}.Rise()
	if err != nil {
		return err
	}
	driver, from := makes(band)
	look := fmt.Sprintf("would need one hole of only about %.1f mm (%.1f to %.1f) with %.0f mm of water standing over it. Look in the photos for pinholes and lap ends, not for a tear.", mid, band.Low, band.High, 1000*standsOver)
	if mid > wideHole {
		look = fmt.Sprintf("would need a hole of about %.0f mm (%.0f to %.0f) with %.0f mm of water standing over it: an open joint, a tear or the outlet, to look for in the photos.", mid, band.Low, band.High, 1000*standsOver)
	}
	r.add(explain.Finding{ID: "hole-size", Title: "If it is a hole", Text: fmt.Sprintf("%v L in %v h %s", amount(litres), amount(hours), look), Value: mid, Low: math.Min(mid, band.Low), High: math.Max(mid, band.High), Unit: "mm", Verdict: "note", Driver: driver}, explain.Why{
		Title: "Hole that lets the water seen through", Result: fmt.Sprintf("%.2f mm across (5 to 95 %%: %.2f to %.2f)", mid, band.Low, band.High),
		Formula: "Q = 0.6 A √(2 g h)",
		Inputs: []explain.Input{
			{Name: "Water", Value: fmt.Sprintf("%v L in %v h, each within a factor of 2", amount(litres), amount(hours)), From: known(s, "litres")},
			{Name: "Standing over it", Value: fmt.Sprintf("%.0f mm, within a factor of %.0f", 1000*standsOver, standsTimes), From: "judgement"},
			{Name: "Beside it, a lap that has let go", Value: fmt.Sprintf("with a gap of %.1f mm draws water in about %.0f mm by itself, less on sheets that repel it", 1000*lapGap, 1000*creep), From: "capillary rise between two sheets"},
		},
		Band: from, Source: "orifice equation and capillary rise, any text of fluid mechanics",
		Note: "It does not say that there is a hole: breath and pipes bring litres too.",
	})
	return nil
}
