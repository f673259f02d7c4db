package calc

import (
	"fmt"
	"math"
	"strings"

	"underlap/diagnose/explain"
	"underlap/physics/airflow"
	"underlap/physics/timber"
	"underlap/physics/transport"
)

const transportFormula = "EN 15026: dw/dt = -div(g), g = -δ grad p - D grad φ; dh/dt = -div(q), q = -λ grad T + L g; finite volumes, steps of up to an hour"

// trapped follows a litre to the square metre in the boards until it is gone.
func (c *follow) trapped() (*explained, error) {
	s := &c.site
	under := func(absorbs float64, v variant, room weightedRoom) (transport.Drying, float64, error) {
		m, err := s.cut(c.roof.stack, v, 0, absorbs)
		if err != nil || m.main < 0 {
			return transport.Drying{}, 0, err
		}
		if err := c.ctx.Err(); err != nil {
			return transport.Drying{}, 0, err
		}
		d, err := transport.Dry(m.roof, c.weather(room), c.autumn(), transport.Start{TempC: 15, RH: 0.65, Trapped: map[int]float64{m.main: 1}}, courseYears, goneShare/100.0, transport.Usual())
		if err != nil {
			return d, 0, err
		}
		if !d.Gone {
			return d, courseYears * 12, nil
		}
		return d, d.Days / 30.44, nil
	}
	days := func(v variant, room weightedRoom) (transport.Drying, float64, error) {
		return under(s.absorbs(), v, room)
	}
	mid, months, err := days(usual, s.indoor[1])
	if err != nil || months == 0 {
		return nil, err
	}
	_, pale, err := under(paleSheet, usual, s.indoor[1])
	if err != nil {
		return nil, err
	}
	var list []around
	end := func(name string, down, up func() (transport.Drying, float64, error)) error {
		_, a, err := down()
		if err != nil {
			return err
		}
		_, b, err := up()
		list = append(list, around{name, a, b})
		return err
	}
	vcl := func(f float64) func() (transport.Drying, float64, error) {
		return func() (transport.Drying, float64, error) {
			v := usual
			v.vcl = f
			return days(v, s.indoor[1])
		}
	}
	room := func(i int) func() (transport.Drying, float64, error) {
		return func() (transport.Drying, float64, error) { return days(usual, s.indoor[i]) }
	}
	if err := end("laps of the vapour layer", vcl(0.2), vcl(5)); err != nil {
		return nil, err
	}
	if err := end("dampness of the room", room(0), room(2)); err != nil {
		return nil, err
	}
	low, high, driver, line := star(months, list)
	high = math.Min(high, courseYears*12)
	verdict := "poor"
	var text string
	switch {
	case !mid.Gone:
		left := mid.Left[len(mid.Left)-1]
		verdict = "bad"
		text = fmt.Sprintf("Followed hour by hour, 1 L/m² trapped between sheet and vapour layer is not gone in %d years: %.1f L/m² of it would be left.", courseYears, left)
		if left > 1.02 {
			text = fmt.Sprintf("Followed hour by hour, 1 L/m² trapped between sheet and vapour layer never dries: in %d years it grows to %.1f L/m².", courseYears, left)
		}
		if low < courseYears*12-1 {
			text += fmt.Sprintf(" With a leakier vapour layer or a drier room it could be %.0f months.", low)
		}
	default:
		text = fmt.Sprintf("Followed hour by hour, 1 L/m² trapped between sheet and vapour layer takes about %.0f months to go (%.0f to %s).", months, low, atMost(high))
		if months <= 12 {
			verdict = "note"
		}
	}
	if s.absorbs() > paleSheet {
		text += " Under a pale sheet: " + monthsOrNever(pale) + "."
	}
	if !c.sure {
		verdict = "note" // a guessed roof is not condemned
	}
	return &explained{explain.Finding{ID: "trapped-drying", Title: "How long water would stay if it were trapped", Text: text, Value: months, Low: low, High: high, Unit: "months", Verdict: verdict, Driver: driver}, explain.Why{
		Title: "Drying of 1 kg/m² trapped in the boards, hour by hour", Result: text, Formula: transportFormula,
		Inputs: []explain.Input{
			{Name: "Build-up", Value: fmt.Sprintf("%s, %.0f mm insulation", c.roof.stack.Type, c.roof.stack.Insulation*1000), From: "thickness and what was seen"},
			c.weatherInput(), s.roomSay,
			{Name: "Sun on the covering", Value: fmt.Sprintf("absorbs %.0f %%", 100*s.absorbs()), From: "common practice, no source"},
			{Name: "Vapour layer", Value: "0.25 mm polythene, its tightness within a factor of 5 for the laps", From: "judgement"},
			{Name: "Gone", Value: fmt.Sprintf("when %d %% is left more than in the same roof that never was wet", goneShare), From: "judgement"},
		},
		Band: line, Source: "EN 15026; " + c.weatherSource(),
		Note: fmt.Sprintf("Diffusion, sun and sky; water does not run and air does not move in the boards. %d months stand for never. Moisture storage of the boards is from common practice.", courseYears*12),
	}}, nil
}

func atMost(months float64) string {
	if months >= courseYears*12 {
		return "never"
	}
	return fmt.Sprintf("%.0f", months)
}

func monthsOrNever(months float64) string {
	if months >= courseYears*12 {
		return "not within " + explain.Count(courseYears, "year")
	}
	return fmt.Sprintf("about %.0f months", months)
}

// deckWinters follows how wet the deck of a closed roof gets over the winters, and what a
// vapour layer, a lighter covering or a drier room would change.
func (c *follow) deckWinters() (*explained, error) {
	s := &c.site
	peak := func(leak float64, room weightedRoom, v variant, absorbs float64) (transport.Year, made, error) {
		var none transport.Year
		past, err := s.pastCeiling(c.roof.stack.Type, leak)
		if err != nil {
			return none, made{}, err
		}
		m, err := s.cut(c.roof.stack, v, past, absorbs)
		if err != nil || m.deck < 0 {
			return none, m, err
		}
		if err := c.ctx.Err(); err != nil {
			return none, m, err
		}
		years, err := transport.Years(m.roof, c.weather(room), c.autumn(), transport.Start{TempC: 15, RH: 0.7}, m.deck, deckYears, deckLimit*m.wood.Density, transport.Usual())
		if err != nil {
			return none, m, err
		}
		return years[deckYears-1], m, nil
	}
	mid, m, err := peak(ceilingLeak[1], s.indoor[1], usual, s.absorbs())
	if err != nil || m.deck < 0 {
		return nil, err
	}
	share := func(y transport.Year) float64 { return 100 * y.Peak / m.wood.Density }
	dig := func(leak float64, room int) (float64, error) {
		y, _, err := peak(leak, s.indoor[room], usual, s.absorbs())
		return share(y), err
	}
	var ends [4]float64
	for i, x := range []struct {
		leak float64
		room int
	}{{ceilingLeak[0], 1}, {ceilingLeak[2], 1}, {ceilingLeak[1], 0}, {ceilingLeak[1], 2}} {
		if ends[i], err = dig(x.leak, x.room); err != nil {
			return nil, err
		}
	}
	low, high, driver, line := star(share(mid), []around{{"gaps in the ceiling", ends[0], ends[1]}, {"dampness of the room", ends[2], ends[3]}})
	low = math.Max(0, low)
	sealed := usual
	sealed.paint += sheetSd
	tight, _, err := peak(-1, s.indoor[1], sealed, s.absorbs())
	if err != nil {
		return nil, err
	}
	light, _, err := peak(ceilingLeak[1], s.indoor[1], usual, paleSheet)
	if err != nil {
		return nil, err
	}
	value := share(mid)
	verdict := "good"
	switch {
	case value > 25:
		verdict = "bad"
	case value > 20:
		verdict = "poor"
	case high > 20:
		verdict = "note"
	}
	if !c.sure || !c.shut {
		verdict = "note" // a guessed roof is not condemned
	}
	start := "Followed hour by hour,"
	if !c.sure {
		start += fmt.Sprintf(" if it is a %s roof,", c.roof.stack.Type)
	}
	if !c.shut {
		start += " if no outside air gets in,"
	}
	gets := "to about " + wetShare(value) + " by weight"
	if value >= mostWet {
		gets = wetShare(value)
	}
	text := start + fmt.Sprintf(" the deck gets %s by %s (%s to %s); over 20 %% it is at risk.", gets, monthName(monthOf(mid.PeakHour)), wetShare(low), wetShare(high))
	if mid.Over >= 1 {
		text += fmt.Sprintf(" It is over 20 %% for %.0f days a year.", mid.Over)
	}
	g, err := decay(mid.Inner, m.wood.Density)
	if err != nil {
		return nil, err
	}
	if g.mould >= timber.Acceptable {
		text += " Mould would be seen on its underside within a year."
	}
	var better, worse []string
	drier := "in a room one class drier"
	if _, read := s.facts.Number("room-humidity"); read {
		drier = "in a room as dry as the reading may err"
	}
	for _, x := range []struct {
		how string
		v   float64
	}{
		{"with the ceiling sealed and a vapour layer", share(tight)},
		{drier, ends[2]},
		{"under a pale sheet", share(light)},
	} {
		if value-x.v >= 2 {
			better = append(better, x.how+" "+wetShare(x.v))
		} else if x.v-value >= 2 {
			worse = append(worse, x.how+" "+wetShare(x.v))
		}
	}
	if len(better) > 0 && value > deckSafe {
		text += " It would be better " + strings.Join(better, ", ") + "."
	}
	if len(worse) > 0 {
		text += " It would be worse " + strings.Join(worse, ", ") + "."
	}
	return &explained{explain.Finding{ID: "deck-winters", Title: "How wet the deck gets over winters", Text: text, Value: math.Min(value, mostWet), Low: math.Min(low, mostWet), High: math.Min(high, mostWet), Unit: "% by weight", Verdict: verdict, Driver: driver}, explain.Why{
		Title: fmt.Sprintf("Moisture of the %s in year %d, hour by hour", m.wood.Name, deckYears), Result: fmt.Sprintf("%.1f %% by weight (5 to 95 %%: %.1f to %.1f), dampest part %.0f %% relative humidity", value, low, high, 100*math.Min(1, mid.FaceRH)), Formula: transportFormula,
		Inputs: []explain.Input{
			{Name: "Build-up", Value: fmt.Sprintf("%s, %.0f mm insulation", c.roof.stack.Type, c.roof.stack.Insulation*1000), From: "thickness and what was seen"},
			c.weatherInput(), s.roomSay,
			{Name: "Ceiling", Value: fmt.Sprintf("gaps of %.2g cm²/m² (%.2g to %.2g) and the downlights told, as an equal vapour resistance", ceilingLeak[1], ceilingLeak[0], ceilingLeak[2]), From: "judgement"},
			{Name: "Sun on the covering", Value: fmt.Sprintf("absorbs %.0f %%; a pale sheet %.0f %%", 100*s.absorbs(), 100*paleSheet), From: "common practice, no source"},
			{Name: "Underside, one year from clean", Value: fmt.Sprintf("mould index %.1f of 6; up to %.0f is accepted", g.mould, timber.Acceptable), From: "VTT model, class of wood boards (Ojanen and others 2011; ASHRAE 160)"},
			{Name: "Underside, days too damp for solid timber", Value: fmt.Sprintf("%d, %d of them in a row", g.rot.Over, g.rot.Longest), From: "WTA 6-8, simplified check"},
			{Name: "Underside, hours warm and wet enough for rot", Value: fmt.Sprintf("%d over 20 %%, %d over 25 %%, %d over 30 %%", g.wet.OverSafe, g.wet.OverPossible, g.wet.OverSaturated), From: "Wood Handbook limits, 2 to 38 °C"},
			{Name: "Limit", Value: fmt.Sprintf("%.0f %% by weight", 100*deckLimit), From: "the usual limit for timber in roofs; DIN 68800 and others, as reported"},
		},
		Band: line, Source: "EN 15026; " + c.weatherSource(),
		Note: "The void is taken as closed: outside air would dry it. More than about 28 % means free water in it. Sorption is that of wood (Wood Handbook), brought to each board's own content at 80 %, which is from memory or common practice.",
	}}, nil
}

// growth is what a year does to the underside of a deck.
type growth struct {
	mould float64 // highest mould index
	rot   timber.RotDays
	wet   timber.WetHours
}

// decay follows mould and rot on wood of that density, kg/m3, through a year of hours.
func decay(hours []transport.Hour, density float64) (growth, error) {
	var out growth
	model, err := timber.MouldClass(timber.Sensitive)
	if err != nil {
		return out, err
	}
	var g timber.Growth
	air := make([]timber.Air, len(hours))
	wood := make([]timber.Wood, len(hours))
	for i, h := range hours {
		rh := math.Min(1, h.RH)
		if g, err = model.Advance(g, h.TempC, rh); err != nil {
			return out, err
		}
		out.mould = math.Max(out.mould, g.Index)
		air[i] = timber.Air{C: h.TempC, RH: rh}
		wood[i] = timber.Wood{C: h.TempC, Moisture: h.Content / density}
	}
	days, err := timber.DailyMeans(air)
	if err != nil {
		return out, err
	}
	if out.rot, err = timber.CheckRot(days); err != nil {
		return out, err
	}
	out.wet, err = timber.CountWetHours(wood)
	return out, err
}

const (
	paleSheet = 0.40 // sunshine that a pale sheet takes up; common practice, no source
	deckLimit = 0.20 // share by weight over which timber is at risk
	deckSafe  = 16.0 // % by weight under which nothing need be made better
	mostWet   = 60.0 // % by weight: soaked; more says nothing
)

func wetShare(v float64) string {
	if v >= mostWet {
		return "soaking wet"
	}
	return fmt.Sprintf("%.0f %%", v)
}

// pastCeiling is the room air that gets past the ceiling into what is cold, m3/s on each
// m2, in the coldest month. leak is that of the ceiling apart from its fittings, cm2/m2;
// below 0 all of it is sealed, fittings too.
func (s *site) pastCeiling(kind string, leak float64) (float64, error) {
	if leak < 0 {
		return 0, nil
	}
	n, fit := s.fittings()
	open := (float64(n)*fit.AreaCM/s.area + leak) * 1e-4
	dp, err := airflow.Stack(stackHeight, s.outC, s.room.TempC)
	if err != nil {
		return 0, err
	}
	flow, err := airflow.Orifice(airflow.SharpEdge, open/2, math.Max(0, dp), 1.2)
	return flow * reachOf(kind, false), err
}

// monthOf is the month of an hour of the year, 0 for January.
func monthOf(hour int) int {
	day := hour / 24
	for m, d := range [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31} {
		if day < d {
			return m
		}
		day -= d
	}
	return 11
}

// frost follows the frost under the deck of a cold roof through an ordinary winter: how
// much gathers, how much drips in a thaw and at what hour.
func (c *follow) frost() (*explained, error) {
	s := &c.site
	e, err := s.envelope(c.roof.stack)
	if err != nil {
		return nil, err
	}
	deckR, deckHeat, err := s.overVoid(e)
	if err != nil {
		return nil, err
	}
	n, fit := s.fittings()
	run := func(leak float64, room weightedRoom) (airflow.FrostCourse, error) {
		if err := c.ctx.Err(); err != nil {
			return airflow.FrostCourse{}, err
		}
		w := c.weather(room)
		hours := make([]airflow.VoidHour, 0, winterHours)
		var roomC, roomPa float64
		for i := range winterHours {
			a := w[(c.winter()+i)%len(w)]
			hours = append(hours, airflow.VoidHour{OutC: a.OutC, OutPa: a.OutPa, Wind: (a.OutsideH - 4) / 4, Sun: a.SunWM2, Sky: a.SkyWM2})
			roomC += a.RoomC / winterHours
			roomPa += a.RoomPa / winterHours
		}
		// Air beyond what the wind drives: the tight void's own.
		still := s.outsideFlow(c.roof.stack, 0, dcp)
		windy := s.outsideFlow(c.roof.stack, 1/math.Max(s.wind(), 0.1), dcp) - still // for each m/s at the roof
		return airflow.ColdVoid{
			Area: s.area, Tight: still, PerWind: windy, Gaps: (float64(n)*fit.AreaCM + leak*s.area) * 1e-4 / 2 * e.reach, Height: stackHeight,
			CeilingU: math.Min(e.ceilingU, 1.5), CeilSd: e.ceilingSd, RoomC: roomC, RoomPa: math.Min(roomPa, saturation(roomC)),
			Transfer: 2, DeckR: deckR, DeckHeat: deckHeat, Absorptance: s.absorbs(), Emissivity: emits, Holds: airflow.BeadLimit,
		}.Course(airflow.DeckState{UndersideC: 5, OuterC: 5}, hours)
	}
	mid, err := run(ceilingLeak[1], s.indoor[1])
	if err != nil {
		return nil, err
	}
	litres := func(f airflow.FrostCourse) float64 {
		t, _ := f.Largest()
		return t.Litres
	}
	var ends [4]float64
	for i, x := range []struct{ leak, room int }{{0, 1}, {2, 1}, {1, 0}, {1, 2}} {
		f, err := run(ceilingLeak[x.leak], s.indoor[x.room])
		if err != nil {
			return nil, err
		}
		ends[i] = litres(f)
	}
	low, high, driver, line := star(litres(mid), []around{{"gaps in the ceiling", ends[0], ends[1]}, {"dampness of the room", ends[2], ends[3]}})
	low = math.Max(0, low)
	thaw, some := mid.Largest()
	text := fmt.Sprintf("Followed hour by hour through an ordinary winter, frost under the deck holds up to %v L and none of it drips: it dries off again.", amount(mid.PeakLitres))
	result := text
	if mid.PeakFrost == 0 {
		text = "Followed hour by hour through an ordinary winter, no frost forms under the deck."
		result = text
	}
	if some && thaw.Litres > 0.01 {
		month, hour, most := monthOf((c.winter()+thaw.Start)%(365*24)), (c.winter()+thaw.Start)%24, (c.winter()+thaw.Most)%24
		text = fmt.Sprintf("Followed hour by hour through an ordinary winter, frost under the deck holds up to %v L; its largest thaw, on a day in %s, lets go %v L (%v to %v) from about %02d:00",
			amount(mid.PeakLitres), monthName(month), amount(thaw.Litres), amount(low), amount(high), hour)
		if most != hour {
			text += fmt.Sprintf(", most of it towards %02d:00", most)
		}
		text += "."
		result = fmt.Sprintf("%v L in %s from %02d:00, %v L in the worst hour, at %02d:00", amount(thaw.Litres), explain.Count(thaw.End-thaw.Start, "hour"), hour, amount(thaw.Rate), most)
	}
	return &explained{explain.Finding{ID: "frost-course", Title: "Frost let go in an ordinary winter", Text: text, Value: litres(mid), Low: low, High: high, Unit: "L", Verdict: "note", Driver: driver}, explain.Why{
		Title: "Frost stored and let go, hour by hour", Result: result,
		Formula: "each two minutes: heat of deck and covering = sun + sky + wind + void + heat of condensing and melting; vapour to the deck by the analogy of heat and mass; melting holds the underside at 0 °C until the frost is gone",
		Inputs: []explain.Input{
			c.weatherInput(), s.roomSay, s.areaInput(),
			{Name: "Deck and covering", Value: fmt.Sprintf("R %.2f m²K/W, %.0f kJ/m²K; absorbs %.0f %% of the sun", deckR, deckHeat/1000, 100*s.absorbs()), From: "likeliest build-up; absorption common practice, no source"},
			{Name: "Other gaps in the ceiling", Value: fmt.Sprintf("%.2g cm²/m² (%.2g to %.2g)", ceilingLeak[1], ceilingLeak[0], ceilingLeak[2]), From: "judgement"},
			{Name: "Openings to outside", Value: s.ventWords(), From: known(s, "vents")},
			{Name: "Hangs before it drips", Value: fmt.Sprintf("%.0f g/m²", 1000*airflow.BeadLimit), From: "BS 5250, older editions (from memory)"},
		},
		Band: line, Source: "heat and vapour balance, hour by hour; checked against a second algorithm, no published check; " + c.weatherSource(),
		Note: "The three winter months of an ordinary year. Snow on the roof keeps frost longer; a hard spell stores more. Timber soaks up nothing here.",
	}}, nil
}

// winterHours is the length of the winter that frost is followed through.
const winterHours = 90 * 24

// winter is the hour of the year at which it begins: December, or June in the south.
func (c *Course) winter() int {
	if c.site.place.Lat < 0 {
		return 151 * 24
	}
	return 334 * 24
}

// autumn is the hour of the year at which a roof gets wet: October, or April in the south.
func (c *Course) autumn() int {
	if c.site.place.Lat < 0 {
		return 90 * 24
	}
	return 273 * 24
}

// overVoid is the thermal resistance in m2K/W and the heat capacity in J/m2K of what lies
// over the void.
func (s *site) overVoid(e envelope) (r, heat float64, err error) {
	table, err := byName()
	if err != nil {
		return 0, 0, err
	}
	past := false
	for _, l := range e.list {
		if l.Name == "air" {
			past = true
			continue
		}
		if !past {
			continue
		}
		x, err := l.Resistance()
		if err != nil {
			return 0, 0, err
		}
		r += x
		m := table[l.Name]
		heat += l.Thickness * m.Density * m.HeatCapacity
	}
	return math.Max(r, 0.02), math.Max(heat, 5000), nil
}
