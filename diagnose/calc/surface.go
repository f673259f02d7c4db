package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/condense"
	"underlap/physics/fabric"
	"underlap/physics/moistair"
	"underlap/physics/spread"
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
	name  string
	f     float64 // surface factor
	glass bool
	from  string
	sign  bool // the answer behind it is weighed as a sign elsewhere: shown, not gated
	// doubt is what the factor hangs on, and in what way; the first value of each is that
	// of f.
	doubt []spread.Input
	at    func(x []float64) float64
}

// path is a spot whose factor follows from a plain path of resistance r, m2K/W without
// surfaces.
func path(name string, r float64, from string) spot {
	return spot{
		name: name, f: factor(r, rsiMould), from: from,
		doubt: []spread.Input{
			spread.LogNormal("resistance of the spot", r, 1.3),
			spread.Triangular("how well room air washes it", 0.17, rsiMould, 0.35),
		},
		at: func(x []float64) float64 { return factor(x[0], x[1]) },
	}
}

// pane is a spot of glass or its edge with a U-value in W/m2K.
func pane(name string, u float64, from string) spot {
	return spot{
		name: name, f: 1 - rsiGlass*u, glass: true, from: fmt.Sprintf("U %.1f W/m²K, %s", u, from),
		doubt: []spread.Input{spread.LogNormal("U-value of the glass", u, 1.15)},
		at:    func(x []float64) float64 { return 1 - rsiGlass*x[0] },
	}
}

// judged is a spot whose factor is a usual figure.
func judged(name string, f float64, from string) spot {
	return spot{
		name: name, f: f, from: from,
		doubt: []spread.Input{spread.Normal("the usual figure for it", f, factorScatter)},
		at:    func(x []float64) float64 { return x[0] },
	}
}

// factorScatter is the standard deviation of the factor of a real spot round the sum;
// judgement.
const factorScatter = 0.06

// factor is f_Rsi of a plain path of resistance r, m2K/W without surfaces.
func factor(r, rsi float64) float64 { return 1 - rsi/(rsi+r+rseAll) }

// spots lists the cold places of this roof.
func (s *site) spots(b *buildup.Result) []spot {
	var out []spot
	if c := s.facts.Choice("rooflight"); c != "" && c != "none" {
		switch s.facts.Choice("kerb-kind") {
		case "insulated":
			out = append(out, path("Skylight kerb, insulated", 0.05/timberLambda+kerbFoam, "50 mm timber and 25 mm foam"))
		case "none":
			out = append(out, judged("Skylight frame, no kerb", 0.45, "judgement"))
		default:
			out = append(out, path("Skylight kerb, bare timber", 0.05/timberLambda, "50 mm timber, λ 0.13"))
		}
		switch s.facts.Choice("glass") {
		case "single":
			out = append(out, pane("Single glass", 5.7, "common practice"))
		case "triple":
			out = append(out, pane("Edge of triple glass", 1.9, "at the edge, common practice"))
		default:
			out = append(out, pane("Edge of double glass", 3.2, "at the edge, common practice"))
		}
		if s.facts.Is("trimmers", "doubled") && len(b.Stacks) > 0 {
			depth := math.Max(b.Stacks[0].Joist, 0.097)
			if t := b.Stacks[0].Type; t == "cold" || t == "uninsulated" {
				out = append(out, path("Doubled trimmers", depth/timberLambda, fmt.Sprintf("%.0f mm of timber, λ 0.13", depth*1000)))
			}
		}
	}
	if sp, ok := s.bypassedCeiling(b); ok {
		out = append(out, sp)
	}
	if s.facts.Is("warm-stops", "gap") {
		gap := judged("Edge with a gap in the insulation", 0.60, "judgement")
		gap.sign = true
		out = append(out, gap)
	}
	// Every roof has an outer edge where two insulations should meet.
	out = append(out, judged("Outer edge of the ceiling", 0.75, "usual least for homes, BS 5250 (from memory)"))
	return out
}

// bypassedCeiling is the ceiling of a warm roof where outside air comes in under its
// boards. Vents are weighed as a sign of that fault, so it is shown and not gated.
func (s *site) bypassedCeiling(b *buildup.Result) (spot, bool) {
	if len(b.Stacks) == 0 || !s.vented() || s.facts.Is("blocked-bays", "all") {
		return spot{}, false
	}
	st := b.Stacks[0]
	if st.Type != "warm" && st.Type != "hybrid" {
		return spot{}, false
	}
	list, _, err := s.layers(st, false)
	if err != nil {
		return spot{}, false
	}
	ceiling := 0.0
	for _, l := range list {
		if l.Name == "air" {
			break
		}
		if r, err := l.Resistance(); err == nil {
			ceiling += r
		}
	}
	// To air as cold as outdoors: the surface of the void takes the place of that outside.
	sp := path("Ceiling where cold air comes in", ceiling+fabric.RsiUp-rseAll, "ceiling alone, outside air over it")
	sp.sign = true
	return sp, true
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
			if sp.sign {
				continue
			}
			wet := 0.5 * math.Erfc((sp.f-y.Worst)/(factorScatter*math.Sqrt2))
			dry *= 1 - wet
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
	text := fmt.Sprintf("Coldest spot: %s, factor %.2f; %.2f is needed in %s for this room.", explain.LowerFirst(worst.name), worst.f, y.Worst, monthName(max(y.Critical, 0)))
	if low := worst.f - 1.645*factorScatter; verdict == "good" && low < y.Worst && y.Worst > 0 {
		verdict = "note" // it may well be a little colder than that
	}
	if y.Worst <= 0 {
		text = fmt.Sprintf("Coldest spot: %s, factor %.2f; the air of this room is too dry to wet any.", explain.LowerFirst(worst.name), worst.f)
	}
	switch {
	case y.Worst > 1:
		verdict = "poor"
		text = fmt.Sprintf("The air of the room itself is too damp in %s: no insulation cures that. Coldest spot: %s, factor %.2f.", monthName(max(y.Critical, 0)), explain.LowerFirst(worst.name), worst.f)
	case worstMargin < 0 && len(list) == 1:
		verdict = "note"
		text = fmt.Sprintf("Not known for this roof. Homes usually have at least %.2f; this room needs %.2f in %s, so cold spots may be damp.", worst.f, y.Worst, monthName(max(y.Critical, 0)))
	case worstMargin < 0:
		verdict = "poor"
		text += " It will be damp in cold weather."
	}
	band, err := through(worst.doubt, func(x []float64) (float64, error) { return worst.at(x), nil })
	if err != nil {
		return err
	}
	driver, makeUp := makes(band)
	r.add(explain.Finding{ID: "surface-factor", Title: "Cold spots facing the room", Text: text, Value: worst.f, Low: math.Min(band.Low, worst.f), High: math.Max(band.High, worst.f), Unit: "fRsi", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "Surface factor of the coldest spot", Result: fmt.Sprintf("%.3f, needed %.3f", worst.f, y.Worst),
		Formula: "f_Rsi = 1 - Rsi/(Rsi + R + 0.04); needed: p_sat(θ) = p_room / limit, f = (θ - θe)/(θi - θe), worst month",
		Inputs: []explain.Input{
			{Name: worst.name, Value: worst.from, From: "the answers about skylight and edges"},
			s.placeInput(), s.roomSay,
			{Name: "Limit", Value: limit, From: "EN ISO 13788"},
		},
		Band:   makeUp,
		Source: "EN ISO 13788 clause 5; Rsi 0.25 for mould, 0.13 for glass (the second from memory)",
		Note:   "A plain path through the spot; corners are colder. For the band: resistance within 1.3 times, Rsi 0.17 to 0.35, or 0.06 either way for a usual figure; judgement. The factor that is needed comes from the room air above.",
	})
	return nil
}
