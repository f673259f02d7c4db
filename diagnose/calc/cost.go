package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/energy"
	"underlap/physics/fabric"
	"underlap/physics/spread"
)

// heatingLimit is the outdoor temperature in degC from which a home needs no heating;
// 15.5 is the usual base of degree days in Britain.
const heatingLimit = 15.5

// heatCost is what a loss of heat comes to in a year over the whole roof.
type heatCost struct {
	Heat   float64 // kWh
	Bill   energy.Bill
	Words  string // "120 kWh, about £9 a year"
	Inputs []explain.Input
}

// heatCost works out what a roof loses more in a year with a U-value of u than with one
// of sound, both W/m2K.
func (s *site) heatCost(sound, u float64) (heatCost, error) {
	var out heatCost
	hours, err := energy.DegreeHours(s.place.TempC, s.room.TempC, math.Min(heatingLimit, s.room.TempC))
	if err != nil {
		return out, err
	}
	if out.Heat, err = energy.ExtraHeat(sound, u, s.area, hours); err != nil {
		return out, err
	}
	t := s.pack.Prices.Heat
	if out.Bill, err = (energy.Heating{Efficiency: t.Efficiency, Price: t.PerKWh, CO2: t.CO2}).For(out.Heat); err != nil {
		return out, err
	}
	out.Words = fmt.Sprintf("%.0f kWh, or %s%.0f, a year", out.Heat, s.pack.Prices.Symbol, out.Bill.Cost)
	out.Inputs = []explain.Input{
		{Name: "Degree hours", Value: fmt.Sprintf("%.0f K h a year", hours), From: fmt.Sprintf("%s, room %.0f °C, heated below %.1f °C outdoors; Hitchin's formula (from memory)", s.place.Name, s.room.TempC, heatingLimit)},
		s.areaInput(),
		{Name: "Heating", Value: fmt.Sprintf("%s at %s%.3f a kWh, efficiency %.0f %%, %.2f kg CO₂ a kWh", t.Fuel, s.pack.Prices.Symbol, t.PerKWh, 100*t.Efficiency, t.CO2), From: t.Source},
	}
	return out, nil
}

// soaked is how much water is taken to be in insulation that got wet: nobody knows
// before a core is cut. kg/m2 where it is wet, and the share of the roof that is wet;
// judgement.
const (
	soakedKg    = 3.0
	soakedTimes = 3.0
	soakedShare = 0.4
	// smallBill is a year's extra heating, in the money of the book, that nobody would open
	// a roof for.
	smallBill = 60
)

// wetCost works out what insulation that is wet costs in a year.
func wetCost(s *site, b *buildup.Result, groups []share, r *Result) error {
	top := groups[0]
	if b.Types[0].P < 0.5 || top.stack.Type == "uninsulated" {
		return nil
	}
	m, thick, ok, err := insulationOf(top.stack)
	if err != nil || !ok {
		return err
	}
	most := 900 * thick // no more water than there is room
	dry, err := s.uOf(top.stack, typical, 1)
	if err != nil {
		return err
	}
	inputs := []spread.Input{
		spread.LogNormal("how much water is in it", soakedKg, soakedTimes),
		spread.Triangular("how much of the roof is wet", 0.1, soakedShare, 1),
		spread.Uniform("what water does to it", 0, 1),
	}
	bands, err := throughMany(inputs, 2, func(x, y []float64) error {
		u, err := s.wetU(top.stack, m, thick, math.Min(x[0], most), x[2])
		if err != nil {
			return err
		}
		c, err := s.heatCost(dry.u, math.Max(dry.u, u))
		if err != nil {
			return err
		}
		y[0], y[1] = c.Bill.Cost*x[1], u
		return nil
	})
	if err != nil {
		return err
	}
	cost, wet := bands[0], bands[1]
	co2, each := 0.0, heatCost{}
	if each, err = s.heatCost(dry.u, math.Max(dry.u, wet.Mid)); err != nil {
		return err
	}
	if each.Bill.Cost > 0 {
		co2 = each.Bill.CO2 * cost.Mid / each.Bill.Cost
	}
	lo, mid, hi, err := fabric.MoistBand(m, math.Min(soakedKg, most), thick, 10)
	if err != nil {
		return err
	}
	driver, from := makes(cost)
	money := s.pack.Prices.Symbol
	text := fmt.Sprintf("Where the insulation (%.0f mm) is wet it loses about %.2f W/m²K (%.2f to %.2f), and not %.2f as dry in the likeliest build-up. Over the wet part that is about %s%.0f a year to heat (%s%.0f to %s%.0f).",
		1000*thick, wet.Mid, wet.Low, wet.High, dry.u, money, cost.Mid, money, cost.Low, money, cost.High)
	if cost.High < smallBill {
		text += " The bill is small; what the wet does to the roof is not."
	}
	r.add(explain.Finding{ID: "wet-insulation", Title: "If the insulation is wet", Text: text, Value: cost.Mid, Low: cost.Low, High: cost.High, Unit: s.pack.Prices.Currency + " a year", Verdict: "note", Driver: driver}, explain.Why{
		Title:   "What wet insulation costs to heat",
		Result:  fmt.Sprintf("%s%.1f a year (5 to 95 %%: %.1f to %.1f), about %.0f kg of CO₂", money, cost.Mid, cost.Low, cost.High, co2),
		Formula: "λ wet = λ e^(f ψ), with a band; U with it by ISO 6946; extra heat = (U wet - U dry) × wet area × degree hours; money = heat / efficiency × price",
		Inputs: append([]explain.Input{
			{Name: "Insulation", Value: fmt.Sprintf("%s, %.0f mm, λ %.3g dry, %.3g (%.3g to %.3g) with %.0f L/m²", m.Name, 1000*thick, m.Lambda, mid, lo, hi, math.Min(soakedKg, most)), From: "ISO 10456 for the middle; Tobiasson and others 1991 (from memory) for the band"},
			{Name: "Water in it", Value: fmt.Sprintf("%.0f L/m², within a factor of %.0f; %.0f %% of the roof, 10 to 100", soakedKg, soakedTimes, 100*soakedShare), From: "judgement: a core would tell"},
		}, each.Inputs...),
		Band:   from,
		Source: "ISO 10456, ISO 6946, degree hours by Hitchin",
		Note:   "It does not say that the insulation is wet. The price of heat is yours to edit: prices.toml.",
	})
	return nil
}

// insulationOf is the main insulation of a build-up and its thickness in m; ok is false
// when there is none whose conductivity goes with water in a known way.
func insulationOf(st buildup.Stack) (m fabric.Material, thick float64, ok bool, err error) {
	for _, l := range st.Layers {
		if l.Role != "board" && l.Role != "joist-insulation" || l.M < thick {
			continue
		}
		x, err := fabric.FindMaterial(l.Material)
		if err != nil {
			return m, 0, false, err
		}
		if status, _ := x.From("f_psi"); status == "" {
			continue
		}
		m, thick, ok = x, l.M, true
	}
	return m, thick, ok, nil
}

// wetU is the U-value of a build-up with kg/m2 of water in its main insulation, at the
// place between 0 and 1 in the band of its moist conductivity.
func (s *site) wetU(st buildup.Stack, m fabric.Material, thick, kg, place float64) (float64, error) {
	low, mid, high, err := fabric.MoistBand(m, kg, thick, 10)
	if err != nil {
		return 0, err
	}
	lambda := low + (mid-low)*2*place
	if place > 0.5 {
		lambda = mid + (high-mid)*(2*place-1)
	}
	list, cut, err := s.variantLayers(st, s.breathes(), typical)
	if err != nil {
		return 0, err
	}
	for i := range list {
		if list[i].Name == m.Name && list[i].Thickness == thick {
			list[i].Lambda = lambda
		}
	}
	u, err := s.uOfLayers(st, list, cut, 1)
	return u.u, err
}
