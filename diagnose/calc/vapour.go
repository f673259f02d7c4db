package calc

import (
	"fmt"
	"math"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/airflow"
	"underlap/physics/condense"
	"underlap/physics/fabric"
	"underlap/physics/spread"
)

// What is assumed of the air where nobody has measured.
const (
	nightColder  = 3.0     // a cold night is this much below the mean of the coldest month, K; judgement
	stackHeight  = 2.4     // room height over which warm air stands, m
	windShare    = 0.3     // wind at a garden roof as a share of the 10 m wind; judgement
	dcp          = 0.2     // pressure difference between two sheltered sides of a flat roof; from published low-rise coefficients, rounded down
	slotShare    = 0.6     // free share of a real slot behind mesh, common practice
	discFree     = 2000e-6 // free area of a 70 mm disc, m2, common practice
	discCentres  = 0.6     // m
	tightVoidACH = 0.3     // air changes of a void with no openings, per hour; judgement
	coldDays     = 10.0    // days of frost in a row that a store of frost is worked out for; judgement
	frozenShare  = 0.5     // share of a cold day that the deck is as cold as in the night; judgement
	dampLimit    = 0.05    // litres a day over the whole roof below which nothing shows; judgement
	wetLimit     = 0.05    // kg/m2 of winter condensate below which nothing shows; judgement
)

// ceilingLeak is the leakage of the ceiling apart from its fittings: edges,
// cables, a hatch. cm2 for each m2 of ceiling: 5, 50 and 95 %. Judgement.
var ceilingLeak = [3]float64{0.05, 0.2, 0.8}

var nodes = [3]float64{wTail, wMid, wTail}

// vapour works out the winter's condensation by diffusion (EN ISO 13788), the
// water that room air leaking upwards can leave in a day, the frost it can store,
// and whether the inside of the roof can condense at all.
func vapour(s *site, b *buildup.Result, groups []share, r *Result) error {
	months, err := diffusion(s, b, groups, r)
	if err != nil {
		return err
	}
	byType, err := leakage(s, groups)
	if err != nil {
		return err
	}
	daily, stored, err := s.litres(groups)
	if err != nil {
		return err
	}
	low, mid, high := daily.Low, daily.Mid, daily.High
	fl, fm, fh := stored.Low, stored.Mid, stored.High
	driver, from := makes(daily)

	// The mechanism can act where either route brings enough to show.
	gate := 0.0
	for i, g := range groups {
		p := 1 - (1-months[i])*(1-byType[i])
		gate += g.weight * p
	}
	r.Gates["inside-condensation"] = clampGate(gate)

	// One event of plain condensation brings what the air leaves in that time: a
	// day's worth when no time was told. What is let go faster is a store, and
	// that is the frost.
	days := math.Min(s.eventHours()/24, 7)
	r.VapourL = [2]float64{math.Max(0.01, 0.3*mid*days), math.Max(0.1, 2*high*days)}
	r.FrostL = [2]float64{math.Max(0.01, 0.3*fm), math.Max(0.1, 1.5*fh)}

	n, fit := s.fittings()
	fitting := "no downlights told"
	if n > 0 {
		fitting = fmt.Sprintf("%d, %.1f cm² each (%.1f to %.1f)", n, fit.AreaCM, fit.LowCM, fit.HighCM)
	}
	_, _, rh := s.roomRH(s.mid())
	text := fmt.Sprintf("Breath of the room can leave about %v L a day inside this roof in the coldest month (%v to %v).", amount(mid), amount(low), amount(high))
	verdict := "note"
	if high < dampLimit {
		verdict = "good"
		text = fmt.Sprintf("Breath of the room can leave next to nothing inside this roof: under %v L a day.", amount(math.Max(high, 0.01)))
	}
	text += s.litresTest(high, fh)
	r.add(explain.Finding{ID: "vapour-litres", Title: "Litres that vapour can account for", Text: text, Value: mid, Low: low, High: high, Unit: "L/day", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "Water left by room air leaking into the roof", Result: fmt.Sprintf("%v L/day (5 to 95 %%: %v to %v)", amount(mid), amount(low), amount(high)),
		Formula: "flow = 0.6 A √(2Δp/ρ) through downlights and ceiling gaps, Δp by stack over the room; balance of outside and room air in the void; water = what the deck takes out, less what outside air alone would leave there. Diffusion δ₀Δp/s_d is in it.",
		Inputs: []explain.Input{
			s.placeInput(), s.areaInput(), s.roomSay,
			{Name: "Cold night", Value: fmt.Sprintf("%.1f °C, %s mean less %.0f K", s.outC-nightColder, monthName(s.coldMonth), nightColder), From: "judgement"},
			{Name: "Share of the day that cold", Value: fmt.Sprintf("%.0f %%", frozenShare*100), From: "judgement"},
			{Name: "Room humidity then", Value: fmt.Sprintf("%.0f %%", rh*100), From: "from the room air above"},
			{Name: "Downlights", Value: fitting, From: fit.Source},
			{Name: "Other gaps in the ceiling", Value: fmt.Sprintf("%.2g to %.2g cm²/m²", ceilingLeak[0], ceilingLeak[2]), From: "judgement"},
			{Name: "Openings to outside", Value: s.ventWords(), From: known(s, "vents")},
			{Name: "Wind at the roof", Value: fmt.Sprintf("%.0f %% of that at the station, half to 1.7 times", windShare*100), From: "judgement"},
		},
		Band:   from,
		Source: "orifice and stack equations (any fluid mechanics text); EN ISO 13788 for vapour",
		Note:   "Upper range: it takes the flow as if replacement air came in freely. " + s.typeNote(groups, byType),
	})
	if fm > 0.2 || fh > 1 {
		driver, from := makes(stored)
		r.add(explain.Finding{ID: "frost-litres", Title: "Frost stored in a hard spell", Text: fmt.Sprintf("In a hard spell of %.0f frosty days frost under the deck can hold about %v L (%v to %v) and let it go in a morning of sun.", coldDays, amount(fm), amount(fl), amount(fh)), Value: fm, Low: fl, High: fh, Unit: "L", Verdict: "note", Driver: driver}, explain.Why{
			Title: "Frost stored under the deck", Result: fmt.Sprintf("%v L (5 to 95 %%: %v to %v)", amount(fm), amount(fl), amount(fh)),
			Formula: "condensation rate on the deck while it is frozen x days x share of the day frozen, less what outside air alone would leave",
			Inputs: []explain.Input{
				{Name: "Litres a day, cold half of the day only", Value: fmt.Sprintf("%v L/day", amount(mid)), From: "the sum of litres that vapour can account for, where the deck freezes"},
				{Name: "Frosty days", Value: fmt.Sprintf("%.0f", coldDays), From: "judgement"},
				{Name: "Share of the day frozen", Value: fmt.Sprintf("%.0f %%", frozenShare*100), From: "judgement"},
				{Name: "Clear night", Value: "deck below the air by long-wave loss to the sky", From: "Stefan-Boltzmann balance; sky emissivity 0.85, between clear 0.75 and overcast 0.95 (from memory of ASHRAE Fundamentals)"},
			},
			Band:   from,
			Source: "balance of a ventilated void, summed over days; no published check",
			Note:   "For a spell in which the deck does not thaw by day. In an ordinary winter most frost melts the next day: see the course hour by hour.",
		})
	}
	return ventilation(s, b, r)
}

// eventHours is how long one event takes; a day when nobody said.
func (s *site) eventHours() float64 {
	f, ok := s.facts.Get("hours-dripping")
	if ok && f.HasValue && f.Value > 0 {
		return f.Value
	}
	if ok && len(f.Choices) > 0 {
		if a, ok := f.Question.Answer(f.Choices[0]); ok && a.From != nil {
			return math.Sqrt(*a.From * *a.To)
		}
	}
	return 24
}

// seenLitres is the water that came at a time, 0 when nobody said.
func (s *site) seenLitres() float64 {
	f, ok := s.facts.Get("litres")
	if ok && f.HasValue {
		return f.Value
	}
	if ok && len(f.Choices) > 0 {
		if a, ok := f.Question.Answer(f.Choices[0]); ok && a.From != nil {
			return math.Sqrt(*a.From * *a.To)
		}
	}
	return 0
}

// litresTest sets the water seen against what vapour can bring.
func (s *site) litresTest(dayHigh, frostHigh float64) string {
	seen := s.seenLitres()
	if seen == 0 {
		return ""
	}
	hours := s.eventHours()
	daily := seen * 24 / hours
	_, told := s.facts.Get("hours-dripping")
	switch {
	case seen > math.Max(frostHigh, dayHigh)*3:
		return fmt.Sprintf(" About %v L at a time is liquid water from somewhere: breath cannot bring that.", amount(seen))
	case told && daily > dayHigh*3 && seen <= frostHigh:
		return fmt.Sprintf(" About %v L in %v h is too fast for breath as it comes; stored frost could let that go.", amount(seen), amount(hours))
	case daily > dayHigh:
		return fmt.Sprintf(" About %v L a day is more than breath would bring.", amount(daily))
	default:
		return fmt.Sprintf(" About %v L at a time is within reach of breath.", amount(seen))
	}
}

// diffusion runs the monthly method on each build-up and returns, for each, the
// chance that its winter condensate is enough to show.
func diffusion(s *site, b *buildup.Result, groups []share, r *Result) ([]float64, error) {
	wet := make([]float64, len(groups))
	var w condense.Workspace
	var res condense.YearResult
	accumulates, worstType, worst := 0.0, "", -1.0
	peakMonth := s.coldMonth
	for i, g := range groups {
		list, cut, err := s.layers(g.stack, s.breathes())
		if err != nil {
			return nil, err
		}
		rse := fabric.Rse
		if cut {
			rse = fabric.RsiUp
		}
		roof, err := condense.NewRoof(list, fabric.RsiUp, rse)
		if err != nil {
			return nil, err
		}
		for _, room := range s.indoor {
			if err := w.Year(&res, roof, s.climate(), room.air); err != nil {
				return nil, err
			}
			p := g.weight * room.weight
			if res.Peak > wetLimit {
				wet[i] += room.weight
			}
			if res.Outcome == condense.Accumulates && res.AfterYear1 > 0.01 {
				accumulates += p
			}
			if res.Peak*p > worst {
				worst, worstType, peakMonth = res.Peak*p, g.stack.Type, res.PeakMonth
			}
		}
	}
	closed := "The void is taken as closed: there is no slot on two sides."
	if s.breathes() {
		closed = "A void that breathes on two sides is taken as outside air, and the path ends there."
	}
	peaks, err := s.peaks(groups)
	if err != nil {
		return nil, err
	}
	low, mid, high := grams(peaks.Low), grams(peaks.Mid), grams(peaks.High)
	driver, from := makes(peaks)
	verdict := "good"
	text := fmt.Sprintf("By diffusion alone, with no air moving in the roof, up to about %v kg/m² by %s (%v to %v).", amount(mid), monthName(peakMonth), amount(low), amount(high))
	sure := b.Types[0].P >= 0.6 // a guessed build-up is not condemned
	switch {
	case high < 0.01:
		text = "By diffusion alone: no condensation worth the name in any month."
	case mid < 0.005:
		text = fmt.Sprintf("By diffusion alone next to none in the likeliest build-ups, up to %v kg/m² in the worst of them.", amount(high))
	case accumulates > 0.5 && mid > wetLimit:
		verdict = "bad"
		if !sure {
			verdict = "note"
		}
		text += fmt.Sprintf(" It does not dry out in a year in %s of the cases weighed.", explain.Percent(accumulates))
	case mid > 0.5 && sure:
		verdict = "poor"
	case mid > wetLimit:
		verdict = "note"
	}
	r.add(explain.Finding{ID: "winter-condensate", Title: "Winter condensation by the monthly method", Text: text, Value: mid, Low: low, High: high, Unit: "kg/m²", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "Peak of condensed water in the year", Result: fmt.Sprintf("%.3g kg/m² (5 to 95 %%: %.3g to %.3g)", mid, low, high),
		Formula: "month by month: vapour pressure drawn as a tight string under saturation; g = δ₀ Δp / s_d; δ₀ = 2·10⁻¹⁰ kg/(m s Pa)",
		Inputs: []explain.Input{
			s.placeInput(), s.roomSay,
			{Name: "Build-ups weighed", Value: fmt.Sprintf("%d; the wettest is of the kind: %s", len(groups), worstType), From: "thickness and what was seen"},
			{Name: "Limit for trouble", Value: "0.5 kg/m² at surfaces that cannot soak it up, 1.0 in general", From: "DIN 4108-3"},
			{Name: "Not told", Value: "winter 0.8 K either way, paint s_d 0.1 m and polythene 50 m within a factor of 3, conductivity within 12 %", From: "judgement"},
		},
		Band:   from,
		Source: "EN ISO 13788, monthly method, month split where a layer dries",
		Note:   "Diffusion only, with still air and no rain. Air leaking through the ceiling brings far more: see the litres. " + closed,
	})
	return wet, nil
}

// grams rounds kg to a gram: less is no water.
func grams(kg float64) float64 { return math.Round(kg*1000) / 1000 }

// peaks is the band of the year's peak of condensate, kg/m2.
func (s *site) peaks(groups []share) (spread.Band, error) {
	var w condense.Workspace
	var res condense.YearResult
	mild := s.climate()
	peak := func(st buildup.Stack, v variant, c condense.Climate, air condense.Indoor) (float64, error) {
		list, cut, err := s.variantLayers(st, s.breathes(), v)
		if err != nil {
			return 0, err
		}
		rse := fabric.Rse
		if cut {
			rse = fabric.RsiUp
		}
		roof, err := condense.NewRoof(list, fabric.RsiUp, rse)
		if err != nil {
			return 0, err
		}
		err = w.Year(&res, roof, c, air)
		return res.Peak, err
	}
	which, ordered, err := whichRoof(groups, func(g share) (float64, error) { return peak(g.stack, usual, mild, s.mid()) })
	if err != nil {
		return spread.Band{}, err
	}
	inputs := []spread.Input{which, s.whichRoom(), doubtPaint(), doubtSheet(), doubtLambda(), doubtWinter()}
	return through(inputs, func(x []float64) (float64, error) {
		c := mild
		for m := range c.TempC {
			c.TempC[m] += x[5]
			c.VapourPa[m] *= saturation(c.TempC[m]) / saturation(mild.TempC[m]) // as damp for its warmth
		}
		return peak(ordered[int(x[0])].stack, variant{lambda: x[4], timber: 1, paint: x[2], sheet: x[3], vcl: 1}, c, s.indoor[int(x[1])].air)
	})
}

// vented tells that there are openings at the edge, on any side.
func (s *site) vented() bool {
	return s.facts.Is("vents", "one-side") || s.facts.Is("vents", "two-sides") || s.facts.Is("vents", "discs")
}

// breathes tells that outside air crosses the void: a slot on two sides, nothing in
// the way, and no word of a gap under 50 mm. Then what lies above the void is not
// part of the path that vapour diffuses along; the balance of the void follows it.
func (s *site) breathes() bool {
	gap, told := s.facts.Number("clear-void")
	return s.facts.Is("vents", "two-sides") && !s.facts.Is("blocked-bays", "all") && (!told || gap >= airflow.ClearVoid)
}

// fittings is the number of downlights and the kind assumed.
func (s *site) fittings() (int, fitting) {
	n := 0
	if v, ok := s.facts.Number("downlight-count"); ok {
		n = int(math.Round(v))
	}
	kind := s.facts.Choice("downlight-kind")
	out := fitting{Source: "no fittings told"}
	for _, f := range s.pack.Moisture.Fittings {
		if f.Answer == kind || kind == "" && f.Answer == "fire-rated" {
			out = fitting{f.AreaCM, f.LowCM, f.HighCM, f.Source}
			if kind == "" {
				out.Source = "kind not told, fire-rated taken; " + f.Source
			}
		}
	}
	if n == 0 {
		out.Source = "told, or none"
	}
	return n, out
}

type fitting struct {
	AreaCM, LowCM, HighCM float64
	Source                string
}

// drought is one way the air may move of what no answer tells.
type drought struct {
	open      float64 // openings in the ceiling, m2
	reach     float64 // share of what leaks that gets to something cold, as a factor on the type's own
	colder    float64 // night below the mean of the coldest month, K
	frozen    float64 // share of the day that cold
	windShare float64
	dcp       float64
}

func usualDrought(open float64) drought {
	return drought{open, 1, nightColder, frozenShare, windShare, dcp}
}

// leakage works out, for each build-up, the chance that the water of leaking room air
// shows, by a fixed grid of openings and rooms: it opens or shuts a mechanism, so it
// must not go with the luck of samples.
func leakage(s *site, groups []share) (shows []float64, err error) {
	n, fit := s.fittings()
	areas := [3]float64{fit.LowCM, fit.AreaCM, fit.HighCM}
	shows = make([]float64, len(groups))
	for i, g := range groups {
		e, err := s.envelope(g.stack)
		if err != nil {
			return nil, err
		}
		for a := range areas {
			for l := range ceilingLeak {
				open := (float64(n)*areas[a] + ceilingLeak[l]*s.area) * 1e-4
				for q, room := range s.indoor {
					v, err := s.void(e, room.air, usualDrought(open))
					if err != nil {
						return nil, err
					}
					litres, _, err := breath(v, frozenShare)
					if err != nil {
						return nil, err
					}
					if litres > dampLimit {
						shows[i] += nodes[a] * nodes[l] * nodes[q]
					}
				}
			}
		}
	}
	return shows, nil
}

// litres are the bands of the water that room air leaves in a day, and of the frost
// that a hard spell stores, both in litres over the whole roof.
func (s *site) litres(groups []share) (daily, stored spread.Band, err error) {
	n, fit := s.fittings()
	gaps := spread.LogNormal("gaps in the ceiling", ceilingLeak[1], ceilingLeak[2]/ceilingLeak[1])
	lights := spread.Fixed("downlights", 0)
	if n > 0 && fit.AreaCM > 0 {
		lights = spread.LogNormal("air through the downlights", fit.AreaCM, math.Max(1.05, math.Sqrt(fit.HighCM/math.Max(fit.LowCM, 1e-3))))
	}
	which, ordered, err := whichRoof(groups, func(g share) (float64, error) {
		e, err := s.envelope(g.stack)
		if err != nil {
			return 0, err
		}
		v, err := s.void(e, s.mid(), usualDrought((float64(n)*fit.AreaCM+ceilingLeak[1]*s.area)*1e-4))
		if err != nil {
			return 0, err
		}
		litres, _, err := breath(v, frozenShare)
		return litres, err
	})
	if err != nil {
		return daily, stored, err
	}
	inputs := []spread.Input{
		which, s.whichRoom(), gaps, lights,
		spread.LogNormal("how much of it gets to the cold", 1, 2),
		spread.Triangular("how cold the night is", 1, nightColder, 6),
		spread.Triangular("how long it stays cold", 0.3, frozenShare, 0.7),
		spread.Triangular("wind at the roof", 0.15, windShare, 0.5),
		spread.Uniform("shelter of the vents", 0.1, 0.3),
		s.doubtArea(),
	}
	around := make([]envelope, len(ordered))
	for i, g := range ordered {
		if around[i], err = s.envelope(g.stack); err != nil {
			return daily, stored, err
		}
	}
	sized := *s // the same site with a roof of another size
	bands, err := throughMany(inputs, 2, func(x, y []float64) error {
		sized.area = s.area * x[9]
		v, err := sized.void(around[int(x[0])], s.indoor[int(x[1])].air, drought{
			open:  (float64(n)*x[3] + x[2]*sized.area) * 1e-4,
			reach: x[4], colder: x[5], frozen: x[6], windShare: x[7], dcp: x[8],
		})
		if err != nil {
			return err
		}
		y[0], y[1], err = breath(v, x[6])
		return err
	})
	if err != nil {
		return daily, stored, err
	}
	return bands[0], bands[1], nil
}

// envelope is what encloses the void of a build-up.
type envelope struct {
	stack     buildup.Stack
	list      []fabric.Layer
	ceilingU  float64
	ceilingSd float64
	reach     float64 // share of what leaks through the ceiling that gets to something cold
}

func (s *site) envelope(st buildup.Stack) (envelope, error) {
	list, _, err := s.layers(st, false)
	if err != nil {
		return envelope{}, err
	}
	e := envelope{stack: st, list: list, reach: reachOf(st.Type, s.vented())}
	e.ceilingU, e.ceilingSd = ceilingOf(list)
	if e.reach < 1 {
		// The void is not what is cold here: diffusion is left to the monthly method, and
		// only the air that gets past the boards is followed.
		e.ceilingSd = 0
	}
	return e, nil
}

// void is the air space of a build-up on a cold night.
func (s *site) void(e envelope, air condense.Indoor, d drought) (airflow.Void, error) {
	reach := e.reach
	if reach < 1 {
		reach = math.Min(1, reach*d.reach)
	}
	night := s.outC - d.colder
	roomC, roomPa, _ := s.roomRH(air)
	roomPa = math.Min(roomPa, saturation(roomC))
	dp, err := airflow.Stack(stackHeight, night, roomC)
	if err != nil {
		return airflow.Void{}, err
	}
	flow, err := airflow.Orifice(airflow.SharpEdge, d.open/2, math.Max(0, dp), 1.2) // half the openings let air up, half let it down
	if err != nil {
		return airflow.Void{}, err
	}
	deck, err := fabric.NightRoof{AirC: night, RoomC: roomC, U: math.Min(e.ceilingU, 1.5), Convection: 8, Emissivity: 0.9, SkyEmissivity: 0.85}.SurfaceTemperature()
	if err != nil {
		return airflow.Void{}, err
	}
	if !s.vented() {
		deck = plane(e.stack.Type, e.list, deck, roomC)
	}
	return airflow.Void{
		Area: s.area, OutFlow: s.outsideFlow(e.stack, d.windShare, d.dcp), RoomFlow: flow * reach, CeilingU: e.ceilingU, CeilSd: e.ceilingSd,
		RoomC: roomC, RoomPa: roomPa, OutC: night, OutPa: math.Min(s.outPa, saturation(night)), DeckC: deck, Transfer: 2,
	}, nil
}

// plane is the temperature of the coldest surface that leaking air meets first: the
// deck itself where insulation lies only below it, and the deck kept warm by what
// lies above it otherwise. Linear in resistance.
func plane(kind string, list []fabric.Layer, surface, roomC float64) float64 {
	if kind != "warm" && kind != "hybrid" && kind != "inverted" {
		return surface
	}
	below, above, past := fabric.RsiUp, 0.0, false
	for _, l := range list {
		r, err := l.Resistance()
		if err != nil {
			return surface
		}
		if past {
			above += r
		} else {
			below += r
		}
		past = past || l.Name == "air" // the deck is what comes next
	}
	if below+above == 0 {
		return surface
	}
	return surface + (roomC-surface)*above/(below+above)
}

// breath is what the room adds to the water on the deck: litres a day, and litres of
// frost over a cold spell. Outside air alone can wet a deck under a clear sky; that
// part is taken off, for it is not the room's.
func breath(v airflow.Void, frozen float64) (litres, frost float64, err error) {
	alone := v
	alone.RoomFlow, alone.CeilSd = 0, 0
	for _, x := range []struct {
		void airflow.Void
		sign float64
	}{{v, 1}, {alone, -1}} {
		s, err := x.void.Balance()
		if err != nil {
			return 0, 0, err
		}
		f, err := airflow.StoredFrost(x.void, coldDays, frozen)
		if err != nil {
			return 0, 0, err
		}
		litres += x.sign * s.Condensing * x.void.Area * 86400 * frozen
		frost += x.sign * f.Litres
	}
	return math.Max(0, litres), math.Max(0, frost), nil
}

// reachOf is the share of the air leaking through the ceiling that reaches a
// surface cold enough, by type. In a warm roof the joist space is warm; only what
// finds a way past the boards' edges counts. Judgement.
func reachOf(kind string, vented bool) float64 {
	switch kind {
	case "cold", "uninsulated":
		return 1
	case "hybrid":
		return 0.25
	case "on-joists":
		return 0.35
	case "warm":
		if vented {
			return 0.3 // outside air under the boards: the void is no longer warm
		}
		return 0.03
	default:
		return 0.02
	}
}

// ceilingOf is the U-value and the vapour resistance from the room up to the
// void: everything below the air layer.
func ceilingOf(list []fabric.Layer) (u, sd float64) {
	r := fabric.RsiUp + fabric.RsiUp
	for _, l := range list {
		if l.Name == "air" {
			break
		}
		x, errR := l.Resistance()
		v, errV := l.VapourResistance()
		if errR == nil {
			r += x
		}
		if errV == nil {
			sd += v
		}
	}
	return 1 / r, math.Max(sd, 0.1)
}

// outsideFlow is the outside air that crosses the void on a night of usual wind, m3/s,
// with the wind at the roof as a share of that at the station and the difference of
// pressure coefficients between its two sides.
func (s *site) outsideFlow(st buildup.Stack, windShare, dcp float64) float64 {
	length := math.Sqrt(1.5 * s.area)
	void := 0.1
	for _, l := range st.Layers {
		if l.Role == "void" {
			void = l.M
		}
	}
	tight := tightVoidACH / 3600 * s.area * void
	a, b := s.openings(length)
	v := windShare * s.wind()
	flow, err := airflow.CrossFlow(a, b, dcp, v)
	if err != nil {
		return tight
	}
	switch {
	case s.facts.Is("blocked-bays", "all"):
		flow *= 0.1
	case s.facts.Is("blocked-bays", "some"):
		flow *= 0.6
	}
	if gap, ok := s.facts.Number("clear-void"); ok && gap < airflow.ClearVoid {
		flow *= gap / airflow.ClearVoid
	}
	return tight + flow
}

func (s *site) wind() float64 {
	if s.place.HasWind {
		return s.place.WindMS[s.coldMonth]
	}
	return 4 // m/s, lowland England; judgement
}

// openings is the free area along each of two opposite sides, m2.
func (s *site) openings(length float64) (a, b float64) {
	slot := airflow.SlotPerSide * slotShare * length
	switch s.facts.Choice("vents") {
	case "two-sides":
		return slot, slot
	case "one-side":
		return slot, 0.02 * slot // the far side leaks a little
	case "discs":
		d := discFree / discCentres * length
		return d, d
	case "none":
		return 0, 0
	}
	return 0.1 * slot, 0.1 * slot // not told: a little
}

func (s *site) ventWords() string {
	if f, ok := s.facts.Get("vents"); ok {
		return f.Says()
	}
	return "not told: taken as a tenth of a slot on two sides"
}

// typeNote says which build-ups make the difference.
func (s *site) typeNote(groups []share, shows []float64) string {
	by := map[string][2]float64{}
	for i, g := range groups {
		x := by[g.stack.Type]
		x[0] += g.weight
		x[1] += g.weight * shows[i]
		by[g.stack.Type] = x
	}
	out := "It would show"
	first := true
	for _, t := range s.pack.BuildUp.Types {
		x := by[t.ID]
		if x[0] < 0.02 {
			continue
		}
		if !first {
			out += ";"
		}
		first = false
		out += fmt.Sprintf(" in %s of cases if it is %s (%s)", explain.Percent(x[1]/x[0]), t.ID, explain.Percent(x[0]))
	}
	return out + "."
}

// ventilation compares the openings with what a cold roof is asked to have.
func ventilation(s *site, b *buildup.Result, r *Result) error {
	if b.Type("cold")+b.Type("uninsulated") < 0.5 {
		return nil // a warm roof is not to be blamed for having no vents
	}
	if _, ok := s.facts.Get("vents"); !ok {
		return nil
	}
	span := math.Sqrt(s.area / 1.5)
	if v, ok := s.facts.Number("joist-span"); ok {
		span = v
	}
	length := s.area / span
	a, c := s.openings(length)
	gap, told := s.facts.Number("clear-void")
	if !told {
		gap = airflow.ClearVoid // not told: given the benefit of the doubt, and said so below
	}
	check, err := airflow.CheckOpenings(airflow.Roof{Span: span, Length: length, OpenA: a, OpenB: c, VoidClear: gap})
	if err != nil {
		return err
	}
	band, err := through([]spread.Input{
		spread.LogNormal("free area of the openings", 1, 1.5),
		s.doubtArea(),
	}, func(x []float64) (float64, error) {
		c, err := airflow.CheckOpenings(airflow.Roof{Span: span * math.Sqrt(x[1]), Length: length * math.Sqrt(x[1]), OpenA: a * x[0], OpenB: c * x[0], VoidClear: gap})
		return c.Total * 100, err
	})
	if err != nil {
		return err
	}
	changes := 0.0
	if a > 0 && c > 0 && gap > 0 && !s.facts.Is("blocked-bays", "all") {
		if changes, _, err = (airflow.Roof{Span: span, Length: length, OpenA: a, OpenB: c, VoidClear: gap}).Changes(dcp, windShare*s.wind()); err != nil {
			return err
		}
	}
	driver, from := makes(band)
	verdict := "good"
	text := fmt.Sprintf("The openings give about %.0f %% of what a cold roof is asked to have.", 100*math.Min(check.Total, 9.99))
	if check.Total < 0.005 {
		text = "There are no openings; a cold roof is asked to have them on two opposite sides."
	}
	if !check.OK {
		verdict = "poor"
		if check.Total < 0.5 || !check.Crossed {
			verdict = "bad"
		}
	}
	if !told {
		text += " The clear gap over the insulation is not known."
	} else if !check.VoidOK {
		text += fmt.Sprintf(" The gap is %.0f mm; 50 is asked.", gap*1000)
	}
	if s.facts.Is("blocked-bays", "all") {
		verdict = "bad"
		text += " The bays are shut at one end, so no air crosses."
	}
	r.add(explain.Finding{ID: "ventilation", Title: "Ventilation a cold roof has against what it needs", Text: text, Value: check.Total * 100, Low: math.Min(band.Low, check.Total*100), High: math.Max(band.High, check.Total*100), Unit: "%", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "Free area of the openings", Result: fmt.Sprintf("%.0f cm² of %.0f cm²", (a+c)*1e4, check.NeedTotal*1e4),
		Formula: "25 mm continuous along each of two opposite sides, or 0.6 % of the plan where that is more; 50 mm clear void",
		Inputs: []explain.Input{
			{Name: "Vents", Value: s.ventWords(), From: known(s, "vents")},
			{Name: "Slot", Value: "60 % free behind mesh", From: "common practice, no source"},
			{Name: "Plan", Value: fmt.Sprintf("%.1f by %.1f m", span, length), From: "from area and span"},
		},
		Band:   from,
		Source: "former Approved Document F2 and BS 5250 (second hand)",
		Note:   fmt.Sprintf("The band allows for mesh and paint, 1.5 times either way. In the usual wind that is about %.1f air changes an hour, as if each bay ran clear; about %.0f cured an unventilated test roof (BRE, as reported in a review).", changes, airflow.CuringChanges),
	})
	return nil
}

func monthName(m int) string { return months[m] }
