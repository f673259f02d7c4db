package world

import (
	"math"

	"underlap/physics/climate"
	"underlap/physics/timber"
)

// point is a place on the roof, m: x along the high side, y down the fall.
type point struct{ x, y float64 }

func (p point) to(q point) float64 { return math.Hypot(p.x-q.x, p.y-q.y) }

// House is a roof and what is below and around it, as it really is.
type House struct {
	Place *climate.Place

	Built, Covered int // year
	Age            float64
	Type           string // cold, warm, hybrid, uninsulated, on-joists
	Covering       string
	W, D           float64 // m
	Fall           float64 // 0.0125 = 1:80
	Facing         float64 // rad, the direction that the house wall looks to
	Shelter        float64 // share of the open wind
	Form           string
	Also           map[string]bool
	WallH          float64 // house wall above the roof, m

	Joist, Deck, Insulation, Under, Ceiling, Firring, Sheet float64 // mm
	Centres                                                 string
	DeckKind                                                string
	Quilt                                                   bool
	VapourLayer                                             string  // sheet, foil-board, none
	CeilingSD                                               float64 // m
	GapCM2                                                  float64 // gaps in the ceiling other than fittings
	Vents                                                   string
	VentACH                                                 float64 // of the void by outside air at 4 m/s
	Blocked                                                 string  // bays: no, some, all
	ClearVoid                                               float64 // mm

	Rooflight      string
	Sky            point
	SkyW, SkyL     float64
	Kerb           float64 // outside, mm
	KerbKind       string
	Glass          string
	Drainage       string
	Pipe           point // where a pipe goes through, if one does
	Outlet         point
	OutletMM       float64
	Flow           float64 // share of the outlet that is free
	Guard          bool
	GutterMM       float64
	Upstand        float64 // mm at the lowest place
	DoorUp         float64
	Hollow         float64 // depth of the puddle that stays, mm
	OtherDrains    float64 // m2 of another roof emptying here
	Downlights     int
	DownlightKind  string
	Fittings       []point
	Use            string
	Occupants      int
	RoomC, ExtraPa float64 // Pa above outdoors in winter
	Extract        string
	Pipes          string
	RainPipeInside bool
	Trades         bool
	Storeys        int
	Asbestos       string

	state   map[string]string // what there is to see, by question
	surface map[string]bool
	repair  history
}

// history is what was done about it before.
type history struct {
	last, before, result string
	redone               map[string]bool
	weeks                float64 // since the last repair
	rained               string  // during the work
	wetTrades            string
}

// thick is the thickness from the ceiling face to the surface, mm.
func (h *House) thick() float64 {
	return h.Ceiling + h.Joist + h.Firring + h.Deck + h.above() + h.Sheet
}

// above is the insulation over the joists.
func (h *House) above() float64 {
	switch h.Type {
	case "warm", "hybrid", "on-joists":
		return h.Insulation
	}
	return 0
}

func (h *House) area() float64 { return h.W * h.D }

// overVapour tells that rain getting in lands on a vapour layer and walks.
func (h *House) overVapour() bool { return h.Type == "warm" || h.Type == "hybrid" }

func (h *House) has(what string) bool { return h.Also[what] }

// makeHouse draws a house. Shares are judgement of the trade, self-made.
func makeHouse(d dice, places []climate.Place) *House {
	h := &House{Place: &places[d.IntN(len(places))], Also: map[string]bool{}, state: map[string]string{}, surface: map[string]bool{}, Flow: 1}
	h.Built = 2026 - int(clamp(d.about(22, 3.4), 1, 66))
	h.Covered = h.Built
	for 2026-h.Covered > 8 && d.chance(0.75) { // recovered, perhaps more than once
		next := h.Covered + 8 + d.IntN(18)
		if next >= 2026 {
			break
		}
		h.Covered = next
	}
	h.Age = math.Max(0.3, float64(2026-h.Covered)-d.Float64())
	h.W, h.D = d.between(2.5, 7.5), d.between(2.2, 5)
	h.Fall = d.between(0.006, 0.025)
	h.Facing, h.Shelter = d.between(0, 2*math.Pi), d.between(0.35, 0.8)
	h.Storeys = map[bool]int{true: 1, false: 2}[d.chance(0.85)]
	h.Asbestos = "none"
	if h.Built < 2000 && d.chance(0.15) {
		h.Asbestos = d.one(odd{"textured", 8}, odd{"cement-sheet", 2}, odd{"planks", 0.5})
	}
	h.shape(d)
	h.stack(d)
	h.openings(d)
	h.room(d)
	h.wear(d)
	h.past(d)
	return h
}

func (h *House) shape(d dice) {
	h.Form = d.one(odd{"lean-to", 48}, odd{"plain", 20}, odd{"parapet", 12}, odd{"false-front", 11}, odd{"terrace", 9})
	h.Also["house-wall"] = h.Form == "lean-to" || d.chance(0.45)
	h.Also["parapet-side"] = h.Form == "parapet" || d.chance(0.05)
	h.Also["tiled-slope"] = h.Form == "false-front" || d.chance(0.06)
	h.Also["tiled-hip"] = h.Also["tiled-slope"] && d.chance(0.35)
	h.Also["chimney"] = d.chance(0.06)
	h.Also["pipes"] = d.chance(0.3)
	h.Also["door"] = h.Form == "terrace" || d.chance(0.04)
	h.Also["window-above"] = h.Also["house-wall"] && d.chance(0.6)
	if h.Also["house-wall"] {
		h.WallH = d.between(1, 4.5)
		old := h.Built < 1950 || d.chance(0.2)
		h.state["house-wall-kind"] = d.one(odd{"cavity", map[bool]float64{true: 25, false: 65}[old]}, odd{"solid", map[bool]float64{true: 45, false: 8}[old]}, odd{"rendered", 28})
	}
	h.Drainage = d.one(odd{"gutter", 70}, odd{"outlet", 22}, odd{"scupper", 4})
	if h.Also["parapet-side"] {
		h.Drainage = d.one(odd{"outlet", 50}, odd{"scupper", 30}, odd{"gutter", 20})
	}
	h.Pipe = anywhere(d, h)
	h.Outlet = point{pickOf(d, []float64{0.3, h.W - 0.3, h.W / 2}), h.D - 0.2}
	h.OutletMM = pickOf(d, []float64{50, 63, 68, 68, 75, 75, 100})
	h.Guard = d.chance(0.5)
	h.GutterMM = pickOf(d, []float64{76, 112, 112, 112, 115, 125})
	h.Upstand = clamp(d.about(120, 1.8), 30, 300)
	h.DoorUp = clamp(d.about(90, 1.9), 5, 250)
	h.Hollow = clamp(d.about(5, 4), 0, 40)
	if d.chance(0.1) {
		h.OtherDrains = d.between(10, 50)
	}
	h.Trades = d.chance(0.22)
}

func (h *House) stack(d dice) {
	y := h.Built
	switch {
	case y < 1976:
		h.Type = d.one(odd{"cold", 62}, odd{"uninsulated", 22}, odd{"warm", 10}, odd{"hybrid", 6})
		h.Insulation = pickOf(d, []float64{25, 50, 60, 75})
	case y < 1990:
		h.Type = d.one(odd{"cold", 72}, odd{"warm", 17}, odd{"hybrid", 5}, odd{"uninsulated", 6})
		h.Insulation = pickOf(d, []float64{60, 80, 100, 100})
	case y < 2003:
		h.Type = d.one(odd{"cold", 60}, odd{"warm", 29}, odd{"hybrid", 7}, odd{"on-joists", 2}, odd{"uninsulated", 2})
		h.Insulation = pickOf(d, []float64{80, 100, 100, 60})
	case y < 2011:
		h.Type = d.one(odd{"cold", 43}, odd{"warm", 44}, odd{"hybrid", 8}, odd{"on-joists", 5})
		h.Insulation = pickOf(d, []float64{80, 90, 100, 100, 120})
	default:
		h.Type = d.one(odd{"cold", 24}, odd{"warm", 60}, odd{"hybrid", 9}, odd{"on-joists", 7})
		h.Insulation = pickOf(d, []float64{100, 110, 120, 120, 130, 140, 150})
	}
	if h.Type == "uninsulated" {
		h.Insulation = 0
	}
	h.Quilt = h.Type == "cold" && (y < 2000 || d.chance(0.3))
	h.Under = 0
	span := math.Min(h.W, h.D)
	h.Centres = d.one(odd{"400", 70}, odd{"450", 15}, odd{"600", 15})
	centres := map[string]float64{"400": 0.4, "450": 0.45, "600": 0.6}[h.Centres]
	h.Joist = 150
	if likely, err := timber.LikelyDepths(span, centres); err == nil && len(likely) > 0 {
		var odds []odd
		at := map[string]float64{}
		for i, l := range likely {
			id := string(rune('a' + i))
			odds, at[id] = append(odds, odd{id, l.Share}), l.Depth*1000
		}
		h.Joist = at[d.one(odds...)]
	}
	h.DeckKind, h.Deck = "ply-osb", 18
	if y < 1990 {
		h.DeckKind = d.one(odd{"chipboard", 50}, odd{"ply-osb", 20}, odd{"boards", 22}, odd{"straw-slab", 8})
		h.Deck = map[string]float64{"chipboard": 18, "ply-osb": 18, "boards": 22, "straw-slab": 50}[h.DeckKind]
	}
	h.Ceiling, h.Firring = pickOf(d, []float64{12.5, 12.5, 15, 15.5}), d.between(10, 55)
	a := h.Age
	switch {
	case a > 22:
		h.Covering = d.one(odd{"felt", 55}, odd{"felt-chippings", 28}, odd{"asphalt", 7}, odd{"lead", 5}, odd{"single-ply", 3}, odd{"grp", 2})
	case a > 10:
		h.Covering = d.one(odd{"felt", 48}, odd{"felt-chippings", 6}, odd{"epdm", 14}, odd{"grp", 14}, odd{"single-ply", 9}, odd{"liquid", 4}, odd{"lead", 3}, odd{"asphalt", 2})
	default:
		h.Covering = d.one(odd{"felt", 28}, odd{"epdm", 34}, odd{"grp", 17}, odd{"single-ply", 12}, odd{"liquid", 8}, odd{"lead", 1})
	}
	h.Sheet = map[string]float64{"felt": 8, "felt-chippings": 22, "epdm": 1.3, "single-ply": 1.5, "grp": 3, "liquid": 3, "asphalt": 20, "lead": 2.2}[h.Covering]
	switch h.Type {
	case "warm", "hybrid":
		h.VapourLayer = d.one(odd{"sheet", 70}, odd{"foil-board", 20}, odd{"none", 10})
	case "on-joists":
		h.VapourLayer = d.one(odd{"foil-board", 70}, odd{"none", 30})
	default:
		h.VapourLayer = d.one(odd{"none", 62}, odd{"sheet", 22}, odd{"foil-board", map[bool]float64{true: 2, false: 30}[h.Quilt]})
	}
	h.CeilingSD = map[string]float64{"none": 0.3, "foil-board": 3, "sheet": 15}[h.VapourLayer]
	h.GapCM2 = d.about(25, 3)
	h.Vents = "none"
	if h.Type == "cold" || h.Type == "uninsulated" {
		h.Vents = d.one(odd{"two-sides", 28}, odd{"one-side", 22}, odd{"discs", 18}, odd{"none", 32})
		if h.Form == "lean-to" && h.Vents == "two-sides" && d.chance(0.7) {
			h.Vents = "one-side"
		}
	} else if d.chance(0.08) {
		h.Vents = d.one(odd{"one-side", 1}, odd{"discs", 2}) // left over from the roof before
	}
	h.VentACH = map[string]float64{"two-sides": 8, "one-side": 2, "discs": 1.2, "none": 0.3}[h.Vents]
	h.Blocked = "no"
	h.ClearVoid = math.Max(0, h.Joist+h.Firring-h.Insulation)
	if h.Type == "cold" && h.ClearVoid < 30 {
		h.VentACH *= 0.4
	}
}

func (h *House) openings(d dice) {
	h.Rooflight = d.one(odd{"none", 48}, odd{"fixed", 22}, odd{"lantern", 12}, odd{"opening", 12}, odd{"tube", 6})
	if h.Built < 1990 && d.chance(0.5) {
		h.Rooflight = "none"
	}
	h.SkyW, h.SkyL = d.between(0.6, 1.2), d.between(0.6, 1.8)
	if h.Rooflight == "lantern" {
		h.SkyW, h.SkyL = d.between(1, 1.6), d.between(1.5, 2.6)
	}
	h.Sky = point{d.between(0.35, 0.65) * h.W, d.between(0.35, 0.65) * h.D}
	h.Kerb = clamp(d.about(140, 1.5), 30, 300)
	h.KerbKind = d.one(odd{"timber", 62}, odd{"insulated", 30}, odd{"none", 8})
	if h.KerbKind == "none" {
		h.Kerb = d.between(20, 60)
	}
	h.Glass = d.one(odd{"single", map[bool]float64{true: 35, false: 6}[h.Built < 2000]}, odd{"double", 75}, odd{"triple", map[bool]float64{true: 1, false: 14}[h.Built < 2010]})
	if h.Rooflight != "none" {
		if h.Type == "cold" && h.SkyW > 0.5 && d.chance(0.8) {
			h.Blocked = "some"
			h.VentACH *= 0.75
		}
		h.state["trimmers"] = d.one(odd{"doubled", 55}, odd{"single", 45})
	}
	if h.Form == "lean-to" && h.Type == "cold" && h.Vents != "two-sides" && d.chance(0.5) {
		h.Blocked = "all"
		h.VentACH *= 0.6
	}
	if d.chance(0.62) {
		h.Downlights = 4 + d.IntN(13)
		h.DownlightKind = d.one(odd{"open", map[bool]float64{true: 50, false: 22}[h.Built < 2008]}, odd{"fire-rated", 45}, odd{"sealed", 20})
		cols := int(math.Ceil(math.Sqrt(float64(h.Downlights))))
		rows := (h.Downlights + cols - 1) / cols
		for i := range h.Downlights {
			h.Fittings = append(h.Fittings, point{(float64(i%cols) + 0.5) * h.W / float64(cols), (float64(i/cols) + 0.5) * h.D / float64(rows)})
		}
	}
}

func (h *House) room(d dice) {
	h.Use = d.one(odd{"kitchen", 38}, odd{"living", 27}, odd{"bedroom", 9}, odd{"bathroom", 7}, odd{"utility", 7}, odd{"store", 7}, odd{"office", 5}, odd{"pool", 0.7})
	h.Occupants = 1 + d.IntN(5)
	h.RoomC = d.normal(19.5, 1.2)
	extra := map[string]float64{"kitchen": 480, "living": 380, "bedroom": 420, "bathroom": 650, "utility": 620, "store": 120, "office": 260, "pool": 1300}[h.Use]
	h.ExtraPa = extra * (0.75 + 0.1*float64(h.Occupants)) * d.about(1, 1.6)
	switch h.Use {
	case "store":
		h.RoomC = d.between(6, 13)
	case "pool":
		h.RoomC = d.between(25, 29)
	}
	h.Extract = d.one(odd{"outside", 62}, odd{"none", 26}, odd{"into-roof", 3})
	if h.Extract == "none" && (h.Use == "kitchen" || h.Use == "bathroom") {
		h.ExtraPa *= 1.25
	}
	h.Pipes = d.one(odd{"none", 62}, odd{"pipes", 18}, odd{"wet-room", 12}, odd{"boiler", 8})
	h.RainPipeInside = d.chance(0.05)
}

// wear sets what there is to see on a roof with nothing wrong but its age: the red
// herrings. Defects put their own signs over it later.
func (h *House) wear(d dice) {
	old := clamp(h.Age/25, 0, 1.4)
	s, p := h.state, func(base, byAge float64) bool { return d.chance(base + byAge*old) }
	set := func(q, sound string, at float64, odds ...odd) {
		s[q] = sound
		if d.chance(at) {
			s[q] = d.one(odds...)
		}
	}
	if h.has("tiled-slope") {
		set("tile-apron", "laps-over", 0.06+0.14*old, odd{"short", 6}, odd{"slipped", 4})
	}
	if h.has("tiled-hip") {
		set("hip-corner", "sound", 0.1+0.2*old, odd{"open", 1})
	}
	if h.has("parapet-side") {
		set("parapet-top", "tight", 0.12+0.3*old, odd{"open", 7}, odd{"render-blown", 3})
		set("parapet-inner", "tight", 0.04+0.15*old, odd{"gaping", 1})
	}
	if h.has("house-wall") {
		set("wall-flashing-state", "tight", 0.1+0.28*old, odd{"loose", 4}, odd{"sealant", 5}, odd{"none", 0.7})
		s["weep-holes"] = "none"
		if s["house-wall-kind"] == "cavity" && d.chance(0.25+0.3*clamp(float64(h.Built-1985)/25, 0, 1)) {
			s["weep-holes"] = "seen"
		}
		s["wall-damp-above"] = "ceiling-only"
	}
	set("edge-trim-state", "tight", 0.06+0.22*old, odd{"cracked", 1})
	if h.Drainage == "gutter" {
		set("drip-edge", "clear", 0.25, odd{"tight", 1})
		set("gutter-state", "runs", 0.14, odd{"brims", 3}, odd{"behind", 0.6})
	} else {
		set("outlet-joint", "sound", 0.3+0.1*old, odd{"tucked", 6}, odd{"mastic", 4})
		s["overflow"] = d.one(odd{"yes", 3}, odd{"no", 7})
	}
	set("bubbles", "none", 0.03+0.09*old, odd{"pillows", 4}, odd{"domes", 3}, odd{"squelch", 0.4}, odd{"split", 0.3})
	if h.Covering == "grp" || h.Covering == "lead" || h.Covering == "asphalt" {
		s["bubbles"] = "none"
	}
	if h.Rooflight != "none" {
		set("rooflight-wet", "dry", 0.12, odd{"beads", 1})
		set("kerb-dressing", "neat", 0.12+0.2*old, odd{"slit", 4}, odd{"mastic", 6})
		set("glazing-edge", "whole", 0.08+0.22*old, odd{"silicone", 5}, odd{"shrunk", 2}, odd{"mist", 3})
	}
	set("outlet-blocked", "clear", 0.35, odd{"some-leaves", 1})
	set("silt-line", "none", 0.15, odd{"low", 1})
	if h.has("pipes") {
		set("pipe-collar-state", "whole", 0.06+0.16*old, odd{"split", 1})
	}
	if h.has("tiled-slope") || h.has("parapet-side") {
		set("warm-stops", "closed", map[bool]float64{true: 0.3, false: 0.5}[h.Type == "warm"], odd{"gap", 1})
	}
	set("cold-ceiling", "no", map[bool]float64{true: 0.5, false: 0.12}[h.Type == "uninsulated"], odd{"edge", 5}, odd{"all", 3})
	if h.Type == "uninsulated" && s["cold-ceiling"] == "edge" {
		s["cold-ceiling"] = "all"
	}
	if h.Downlights > 0 {
		set("downlight-marks", "clean", map[bool]float64{true: 0.22, false: 0.03}[h.DownlightKind == "open"], odd{"halo", 1})
	}
	felt := h.Covering == "felt" || h.Covering == "felt-chippings"
	h.surface["worn"] = p(0, 0.3) && h.Age > 8
	h.surface["open-lap"] = h.Covering != "grp" && h.Covering != "liquid" && p(0.02, 0.1)
	h.surface["split-line"] = (felt || h.Covering == "asphalt") && p(0, 0.06)
	h.surface["cut"] = p(0.02, 0.03)
	h.surface["nail-heads"] = p(0.01, 0.05)
	h.surface["pulled-corners"] = (h.Covering == "epdm" || h.Covering == "single-ply") && p(0.02, 0.1)
	h.surface["patches"] = p(0.02, 0.3)
	h.surface["hairline"] = (h.Covering == "grp" || h.Covering == "liquid") && p(0.04, 0.15)
	set("pressure-falling", "no", 0.03, odd{"yes", 1})
}

func (h *House) past(d dice) {
	r := &h.repair
	r.redone = map[string]bool{}
	r.last, r.before, r.result, r.weeks = "never", "none", "", 400
	if d.chance(0.2 + 0.35*clamp(h.Age/20, 0, 1)) {
		r.last, r.before = "longer-ago", "once"
		r.weeks = d.between(13, 200)
		if d.chance(0.35) {
			r.before = "twice"
		}
		r.redone[d.one(odd{"flashing", 4}, odd{"field-patch", 5}, odd{"kerb", 1.5}, odd{"outlet", 1}, odd{"edge", 1.5})] = true
		if d.chance(0.25) {
			r.last, r.weeks = "recent-rain", d.between(1, 12)
		}
	}
	r.rained, r.wetTrades = "no", "no"
	if d.chance(0.12) {
		r.rained = "yes"
	}
	if h.Age < 2 && d.chance(0.4) {
		r.wetTrades = "yes"
	}
}
