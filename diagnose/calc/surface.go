package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/condense"
	"underlap/physics/moistair"
)

// saturation is the saturation pressure at a temperature, Pa.
func saturation(tC float64) float64 { return moistair.PSat(tC) }

// Surface resistances for mould and for glass, m2K/W, EN ISO 13788 (the value for
// glass from memory).
const (
	rsiMould = 0.25
	rsiGlass = 0.13
	rseAll   = 0.04
)

// kerbFoam is 25 mm of foam in a moulded kerb at 0.025 W/mK, m2K/W; common practice.
const kerbFoam = 1.0

// spot is a cold place facing the room.
type spot struct {
	name   string
	f      float64 // surface factor
	glass  bool
	from   string
	weight float64 // chance that it is there
	sign   bool    // the answer behind it is weighed as a sign elsewhere: shown, not gated
}

// factor is f_Rsi of a plain path of resistance r, m2K/W without surfaces.
func factor(r, rsi float64) float64 { return 1 - rsi/(rsi+r+rseAll) }

// spots lists the cold places of this roof.
func (s *site) spots(b *buildup.Result) []spot {
	var out []spot
	if c := s.facts.Choice("rooflight"); c != "" && c != "none" {
		switch s.facts.Choice("kerb-kind") {
		case "insulated":
			out = append(out, spot{"Skylight kerb, insulated", factor(0.05/timberLambda+kerbFoam, rsiMould), false, "50 mm timber and 25 mm foam", 1, false})
		case "none":
			out = append(out, spot{"Skylight frame, no kerb", 0.45, false, "judgement", 1, false})
		default:
			out = append(out, spot{"Skylight kerb, bare timber", factor(0.05/timberLambda, rsiMould), false, "50 mm timber, λ 0.13", 1, false})
		}
		switch s.facts.Choice("glass") {
		case "single":
			out = append(out, spot{"Single glass", 1 - rsiGlass*5.7, true, "U 5.7 W/m²K, common practice", 1, false})
		case "triple":
			out = append(out, spot{"Edge of triple glass", 1 - rsiGlass*1.9, true, "U 1.9 W/m²K at the edge, common practice", 1, false})
		default:
			out = append(out, spot{"Edge of double glass", 1 - rsiGlass*3.2, true, "U 3.2 W/m²K at the edge, common practice", 1, false})
		}
		if s.facts.Is("trimmers", "doubled") && len(b.Stacks) > 0 {
			depth := math.Max(b.Stacks[0].Joist, 0.097)
			if t := b.Stacks[0].Type; t == "cold" || t == "uninsulated" {
				out = append(out, spot{"Doubled trimmers", factor(depth/timberLambda, rsiMould), false, fmt.Sprintf("%.0f mm of timber, λ 0.13", depth*1000), 1, false})
			}
		}
	}
	if s.facts.Is("warm-stops", "gap") {
		out = append(out, spot{"Edge with a gap in the insulation", 0.60, false, "judgement", 1, true})
	}
	// Every roof has an outer edge where two insulations should meet.
	out = append(out, spot{"Outer edge of the ceiling", 0.75, false, "usual least for homes, BS 5250 (from memory)", 1, false})
	return out
}

// surface compares the coldest places with what the room needs, by EN ISO 13788,
// and sets the gate for surface condensation.
func surface(s *site, b *buildup.Result, _ []share, r *Result) error {
	list := s.spots(b)
	gate := 0.0
	worst, worstMargin := spot{}, math.Inf(1)
	need := map[bool]condense.SurfaceYear{}
	for _, glass := range []bool{false, true} {
		limit := condense.MouldLimit
		if glass {
			limit = condense.CondensationLimit
		}
		y, err := condense.RequiredByMonth(s.climate(), s.mid(), limit)
		if err != nil {
			return err
		}
		need[glass] = y
	}
	for _, room := range s.indoor {
		dry := 1.0
		for _, sp := range list {
			limit := condense.MouldLimit
			if sp.glass {
				limit = condense.CondensationLimit
			}
			y, err := condense.RequiredByMonth(s.climate(), room.air, limit)
			if err != nil {
				return err
			}
			// The factor of a real spot scatters by about 0.06 round the sum.
			if sp.sign {
				continue
			}
			wet := 0.5 * math.Erfc((sp.f-y.Worst)/(0.06*math.Sqrt2))
			dry *= 1 - sp.weight*wet
		}
		gate += room.weight * (1 - dry)
	}
	for _, sp := range list {
		if m := sp.f - need[sp.glass].Worst; m < worstMargin {
			worst, worstMargin = sp, m
		}
	}
	r.Gates["surface-condensation"] = clampGate(gate)
	y := need[worst.glass]
	limit := "80 % at the surface (mould)"
	if worst.glass {
		limit = "100 % at the surface (wet glass)"
	}
	verdict := "good"
	text := fmt.Sprintf("Coldest spot: %s, factor %.2f; %.2f is needed in %s for this room.", lowerFirst(worst.name), worst.f, y.Worst, monthName(max(y.Critical, 0)))
	switch {
	case y.Worst > 1:
		verdict = "poor"
		text = fmt.Sprintf("The air of the room itself is too damp in %s: no insulation cures that. Coldest spot: %s, factor %.2f.", monthName(max(y.Critical, 0)), lowerFirst(worst.name), worst.f)
	case worstMargin < 0 && len(list) == 1:
		verdict = "note"
		text = fmt.Sprintf("Not known for this roof. Homes usually have at least %.2f; this room needs %.2f in %s, so cold spots may be damp.", worst.f, y.Worst, monthName(max(y.Critical, 0)))
	case worstMargin < 0:
		verdict = "poor"
		text += " It will be damp in cold weather."
	}
	r.add(explain.Finding{ID: "surface-factor", Title: "Cold spots facing the room", Text: text, Value: worst.f, Low: worst.f - 0.1, High: worst.f + 0.1, Unit: "fRsi", Verdict: verdict}, explain.Why{
		Title: "Surface factor of the coldest spot", Result: fmt.Sprintf("%.3f, needed %.3f", worst.f, y.Worst),
		Formula: "f_Rsi = 1 - Rsi/(Rsi + R + 0.04); needed: p_sat(θ) = p_room / limit, f = (θ - θe)/(θi - θe), worst month",
		Inputs: []explain.Input{
			{Name: worst.name, Value: worst.from, From: "the answers about skylight and edges"},
			s.placeInput(), s.roomSay,
			{Name: "Limit", Value: limit, From: "EN ISO 13788"},
		},
		Source: "EN ISO 13788 clause 5; Rsi 0.25 for mould, 0.13 for glass (the second from memory)",
		Note:   "A plain path through the spot; corners are colder. The band of ±0.1 is a judgement.",
	})
	return nil
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return string(s[0]|0x20) + s[1:]
}
