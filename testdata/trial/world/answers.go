package world

import (
	"fmt"
	"math"

	"underlap/physics/moistair"
)

// tell puts the facts of the call into the caller's answers.
func tell(d dice, c *Call, s *scene, defects []*defect, interview []Question) {
	k := newCaller(d, interview)
	for _, x := range defects {
		if x.show != nil {
			x.show(d, s.h)
		}
	}
	n := notice(s, defects)
	k.wet(s, n, defects)
	k.timing(s, n, defects)
	k.place(s, n, defects)
	k.form(s.h)
	k.outside(s.h)
	k.buildUp(s.h)
	k.roomBelow(s, n)
	k.past(s.h, defects)
	c.Care, c.Says = k.care, k.says
	for _, q := range interview {
		if _, ok := c.Says[q.ID]; !ok {
			k.dunno(q.ID)
		}
	}
}

func first(defects []*defect) *defect {
	best := defects[0]
	for _, x := range defects {
		if x.litres > best.litres {
			best = x
		}
	}
	return best
}

// wet is what is seen indoors.
func (c *caller) wet(s *scene, n *noticed, defects []*defect) {
	d, h, main := c.d, s.h, first(defects)
	dry, mould := main.noWater, false
	for _, x := range defects {
		mould = mould || x.mould
	}
	long := n.sinceWetH < 400 && len(n.episodes) > 0 && n.drySpell == "yes"
	mould = mould && d.chance(0.8) || s.damp(0.72) > 0.35 && d.chance(0.5) || long && d.chance(0.15)
	bubble := h.state["bubbles"] != "none"
	open := main.spot.to(h.Sky) < 0.7 && h.Rooflight != "none"
	stain := !dry && (main.clean < 1 || d.chance(0.2)) && !(open && d.chance(0.5)) || main.id == "old-stain"
	seen := map[string]bool{
		"drip": n.dripping && n.litres > 0.05, "stain": stain, "mould": mould, "bubbles": bubble && d.chance(0.6) || main.id == "loose-sheet-bubble",
		"peeling": stain && d.chance(0.3), "smell": long && d.chance(0.4) || d.chance(0.05),
	}
	c.several("seen", seen, sight{0.01, 0.6, false})
	colour := "tea-ring"
	switch {
	case main.id == "loose-sheet-bubble":
		colour = ""
	case main.id == "old-stain" || n.sinceWetH > 14*24:
		colour = "dry-old"
	case main.tar:
		colour = "tar-brown"
	case mould && n.litres < 0.15:
		colour = "black-spots"
	case d.chance(main.clean):
		colour = "colourless"
	}
	c.choice("stain-colour", colour, indoors, map[string]string{"tea-ring": "colourless", "colourless": "tea-ring", "tar-brown": "tea-ring"})
	pattern := ""
	if mould {
		switch {
		case main.many == "line":
			pattern = "stripes"
		case open:
			pattern = "opening"
		case s.damp(0.85) > 0.4:
			pattern = "everywhere"
		default:
			pattern = d.one(odd{"patch", 6}, odd{"stripes", 4})
		}
	}
	c.choice("mould-pattern", pattern, indoors, nil)
	form := main.many
	if form == "" {
		form = "one"
		if len(defects) > 1 && defects[0].spot.to(defects[1].spot) > 0.6 || n.litres > 8 && d.chance(0.5) {
			form = "several"
		}
	}
	if dry {
		form = ""
	}
	c.choice("drip-form", form, indoors, map[string]string{"grid": "several", "several": "one", "line": "several"})
	electric := d.chance(0.08)
	for _, f := range h.Fittings {
		electric = electric || !dry && f.to(main.spot) < 0.1
	}
	c.choice("wet-near-electrics", yes(electric), indoors, nil)
	bulge := "flat"
	if n.litres > 6 && d.chance(0.35) || n.litres > 25 && d.chance(0.6) {
		bulge = d.one(odd{"sagging", 6}, odd{"bulging", 4})
	}
	c.choice("ceiling-bulging", bulge, indoors, nil)
	c.choice("going-up", yes(d.chance(0.25)), indoors, nil)
	c.choice("old-materials", h.Asbestos, sight{0.2, 0.5, false}, nil)
	unwell := "no"
	if mould && d.chance(0.45) {
		unwell = d.one(odd{"mould", 6}, odd{"both", 4})
	}
	c.choice("anyone-unwell", unwell, indoors, nil)
	feel := "dry"
	switch {
	case dry:
	case n.sinceWetH < 6:
		feel = "wet"
	case n.sinceWetH < 96:
		feel = "damp"
	}
	c.choice("ceiling-feel", feel, sight{0.1, 0.6, false}, map[string]string{"wet": "damp", "damp": "dry", "dry": "damp"})
}

func yes(b bool) string { return map[bool]string{true: "yes", false: "no"}[b] }

// timing is what the diary says, as the caller remembers it.
func (c *caller) timing(s *scene, n *noticed, defects []*defect) {
	d, main := c.d, first(defects)
	pattern := n.pattern
	if main.noWater {
		pattern = d.one(odd{"no-pattern", 7}, odd{"", 3})
	}
	if len(n.episodes) == 0 && !main.noWater { // mould that grew, and nobody saw it wet
		pattern = d.one(odd{"cold-dry", 4}, odd{"no-pattern", 4}, odd{"", 2})
	}
	// "It only leaks when it rains": people make the short story of it.
	lazy := 0.30 - 0.22*c.care
	switch pattern {
	case "windy-rain", "cloudburst", "after-rain":
		if d.chance(lazy) {
			pattern = "any-rain"
		}
	case "cold-dry", "thaw-or-hot":
		if d.chance(lazy) {
			pattern = d.one(odd{"no-pattern", 6}, odd{"any-rain", 4})
		}
	case "every-day", "after-use":
		if d.chance(lazy / 2) {
			pattern = "no-pattern"
		}
	}
	c.choice("weather-pattern", pattern, sight{0.10, 0.8, false}, map[string]string{
		"any-rain": "no-pattern", "windy-rain": "any-rain", "after-rain": "any-rain", "cloudburst": "any-rain", "cold-dry": "no-pattern", "thaw-or-hot": "cold-dry",
		"every-day": "no-pattern", "after-use": "every-day", "no-pattern": "any-rain",
	})
	c.choice("dry-spell", n.drySpell, memory, nil)
	c.choice("frosty-morning", n.frosty, sight{0.35, 1, false}, nil)
	c.choice("sun-after-frost", n.sunAfter, sight{0.25, 1, false}, nil)
	c.choice("use-link", n.use, memory, nil)
	c.lag(n, main)
	c.litres(n, main)
	c.choice("wind-side", n.windSide, sight{0.3, 1, false}, nil)
	c.choice("long-rain-only", n.longOnly, sight{0.25, 1, false}, nil)
	c.choice("since", d.one(main.since...), sight{0.15, 1, false}, nil)
	snow := "no"
	if n.snow {
		snow = "yes"
	}
	c.choice("snow-then", snow, sight{0.1, 0.4, false}, nil)
}

func (c *caller) lag(n *noticed, main *defect) {
	d := c.d
	switch {
	case main.noWater || len(n.episodes) == 0 || d.chance(0.18):
		c.dunno("lag")
		return
	case math.IsNaN(n.lagH):
		if d.chance(c.err) {
			c.say("lag", pickOf(d, c.opts["lag"]), "told")
		} else {
			c.say("lag", "no-link", "told")
		}
		return
	}
	h := math.Max(0.1, n.lagH) * d.about(1, 1.5+1.5*(1-c.care))
	if d.chance(0.35) { // nobody was looking when it began
		h += d.between(0, 5)
	}
	if d.chance(0.25) {
		if h < 48 {
			c.say("lag", fmt.Sprintf("%.1f h", h), "told")
		} else {
			c.say("lag", fmt.Sprintf("%.0f days", math.Min(h/24, 20)), "told")
		}
		return
	}
	bin := "longer"
	for _, b := range []struct {
		id string
		to float64
	}{{"minutes", 0.5}, {"hours", 3}, {"same-day", 12}, {"next-days", 48}} {
		if h < b.to {
			bin = b.id
			break
		}
	}
	c.say("lag", bin, "told")
}

func (c *caller) litres(n *noticed, main *defect) {
	d := c.d
	if main.noWater || len(n.episodes) == 0 || n.litres <= 0 || math.IsNaN(n.litres) {
		c.say("litres", map[bool]string{true: "nothing", false: "film"}[main.noWater], "told")
		c.dunno("hours-dripping")
		return
	}
	// Wet carpets look worse than they are.
	q := n.litres * d.about(1.25, 1.4+1.6*(1-c.care))
	switch bin := amountBin(q, []float64{0.08, 0.6, 3, 15}, []string{"film", "cup", "pan", "bucket", "buckets"}); {
	case d.chance(0.08):
		c.dunno("litres")
	case q >= 0.6 && d.chance(0.25):
		c.say("litres", fmt.Sprintf("%.1f L", math.Min(q, 150)), "told")
	default:
		c.say("litres", bin, "told")
	}
	h := n.hours * d.about(1, 1.4+1.4*(1-c.care))
	if d.chance(0.15) {
		c.dunno("hours-dripping")
		return
	}
	c.say("hours-dripping", amountBin(h, []float64{1.6, 7, 32}, []string{"an-hour", "an-evening", "a-day", "days"}), "told")
}

func amountBin(v float64, edges []float64, ids []string) string {
	for i, e := range edges {
		if v < e {
			return ids[i]
		}
	}
	return ids[len(ids)-1]
}

// place is where it shows.
func (c *caller) place(s *scene, n *noticed, defects []*defect) {
	d, h, main := c.d, s.h, first(defects)
	p := main.spot
	sky := math.Inf(1)
	if h.Rooflight != "none" {
		sky = math.Max(0, math.Max(math.Abs(p.x-h.Sky.x)-h.SkyW/2, math.Abs(p.y-h.Sky.y)-h.SkyL/2))
	}
	light := math.Inf(1)
	for _, f := range h.Fittings {
		light = math.Min(light, f.to(p))
	}
	outlet := math.Inf(1)
	if h.Drainage != "gutter" {
		outlet = h.Outlet.to(p)
	}
	wall, tiled, edge := math.Inf(1), math.Inf(1), math.Min(h.D-p.y, h.W-p.x)
	if h.has("house-wall") {
		wall = p.y
	} else {
		edge = math.Min(edge, p.y)
	}
	if h.has("tiled-slope") || h.has("parapet-side") {
		tiled = p.x
	} else {
		edge = math.Min(edge, p.x)
	}
	where, best := "middle", 0.55
	for _, x := range []struct {
		id string
		at float64
	}{{"downlight", light * 3}, {"skylight", sky}, {"outlet", outlet}, {"tiled-side", tiled}, {"house-wall", wall}, {"outer-edge", edge}} {
		if x.at < best {
			where, best = x.id, x.at
		}
	}
	anyWall := false
	for _, x := range defects {
		anyWall = anyWall || x.wall
	}
	if main.wall && d.chance(0.6) {
		where = "wall-below"
	}
	if main.id == "loose-sheet-bubble" {
		where = ""
	}
	c.choice("where-inside", where, sight{0.03, 0.5, false}, map[string]string{"house-wall": "wall-below", "outer-edge": "middle", "outlet": "outer-edge", "tiled-side": "outer-edge", "downlight": "middle", "skylight": "middle"})
	far := math.Min(math.Min(sky, outlet), math.Min(wall, math.Min(tiled, edge)))
	if h.has("pipes") {
		far = math.Min(far, h.Pipe.to(p))
	}
	if where == "" || d.chance(0.3) {
		c.dunno("stain-distance")
	} else {
		c.say("stain-distance", fmt.Sprintf("%.1f m", clamp(far*d.about(1, 1.4)+d.between(0, 0.15), 0.1, 10)), "told")
	}
	damp := h.state["wall-damp-above"]
	if damp == "ceiling-only" && anyWall {
		damp = "wall-too"
	}
	c.choice("wall-damp-above", damp, sight{0.12, 0.7, false}, map[string]string{"under-window": "wall-too", "wall-too": "ceiling-only"})
}

// form is the shape of the roof.
func (c *caller) form(h *House) {
	d := c.d
	if d.chance(0.04) {
		c.dunno("place")
	} else {
		c.say("place", h.Place.Name, "told")
	}
	c.choice("roof-form", h.Form, sight{0.02, 0.4, true}, map[string]string{"false-front": "plain", "lean-to": "plain", "terrace": "lean-to", "parapet": "plain"})
	c.several("form-also", h.Also, sight{0.03, 0.4, true})
	if d.chance(0.2) {
		c.dunno("roof-area")
	} else {
		c.say("roof-area", fmt.Sprintf("%.1f x %.1f", h.W*d.about(1, 1.12), h.D*d.about(1, 1.12)), "told")
	}
	mm := map[string]string{"felt": "liquid", "felt-chippings": "felt", "epdm": "single-ply", "single-ply": "epdm", "grp": "liquid", "liquid": "grp", "asphalt": "felt", "lead": "single-ply"}
	c.choice("covering", h.Covering, sight{0.12, 0.9, true}, mm)
	switch {
	case d.chance(0.22):
		c.dunno("covering-age")
	default:
		age := h.Age * d.about(1, 1.25+0.4*(1-c.care))
		if d.chance(0.5) {
			c.say("covering-age", fmt.Sprintf("%.0f", clamp(math.Round(age), 1, 60)), "told")
		} else {
			c.say("covering-age", amountBin(age, []float64{2, 10, 20}, []string{"under-2", "2-10", "10-20", "over-20"}), "told")
		}
	}
	built := amountBin(float64(h.Built), []float64{1976, 1990, 2003, 2011, 2022}, []string{"before-1976", "1976-1989", "1990-2002", "2003-2010", "2011-2021", "since-2022"})
	c.choice("built-when", built, sight{0.18, 0.8, false}, map[string]string{"1976-1989": "1990-2002", "1990-2002": "1976-1989", "2003-2010": "2011-2021", "2011-2021": "2003-2010", "before-1976": "1976-1989", "since-2022": "2011-2021"})
	c.choice("certificate", yes(h.Built > 1995 && d.chance(0.55)), sight{0.4, 0.6, false}, nil)
}

// outside is what can be made out from a window, a ladder's foot or a photograph.
func (c *caller) outside(h *House) {
	for _, q := range []string{"tile-apron", "hip-corner", "parapet-top", "parapet-inner", "wall-flashing-state", "weep-holes", "edge-trim-state", "drip-edge", "kerb-dressing", "outlet-joint", "silt-line", "overflow", "pipe-collar-state"} {
		c.choice(q, h.state[q], outdoors, map[string]string{"loose": "tight", "tight": "loose", "mastic": "neat", "short": "laps-over"})
	}
	c.choice("house-wall-kind", h.state["house-wall-kind"], sight{0.15, 0.7, true}, map[string]string{"solid": "cavity", "cavity": "solid"})
	c.several("surface", h.surface, outdoors)
	c.choice("bubbles", h.state["bubbles"], sight{0.25, 0.7, true}, map[string]string{"pillows": "domes", "domes": "pillows"})
	c.choice("outlet-blocked", h.state["outlet-blocked"], sight{0.3, 0.8, true}, map[string]string{"blocked": "some-leaves", "some-leaves": "clear", "clear": "some-leaves"})
	standing := "none"
	switch {
	case h.Flow < 0.1 && h.Drainage != "gutter" || h.Hollow > 25:
		standing = "pond"
	case h.Hollow > 4:
		standing = "shallow"
	}
	c.choice("standing-water", standing, sight{0.25, 0.8, true}, map[string]string{"pond": "shallow", "shallow": "none", "none": "shallow"})
	c.choice("gutter-state", h.state["gutter-state"], sight{0.33, 0.9, false}, map[string]string{"behind": "brims", "brims": "runs"})
	c.choice("drainage", h.Drainage, sight{0.06, 0.4, true}, map[string]string{"outlet": "gutter", "scupper": "outlet"})
	if h.Drainage != "gutter" {
		c.choice("outlet-guard", map[bool]string{true: "guard", false: "open"}[h.Guard], sight{0.25, 0.6, true}, nil)
		c.tape("outlet-size", h.OutletMM, 0.25, 30, 250)
	}
	c.choice("other-roof-drains", yes(h.OtherDrains > 5), sight{0.12, 0.6, true}, nil)
	c.choice("vents", h.Vents, sight{0.28, 1, true}, map[string]string{"two-sides": "one-side", "one-side": "none", "discs": "none", "none": "one-side"})
	c.choice("edge-depth", amountBin(h.thick()+25, []float64{200, 300}, []string{"thin", "middle", "deep"}), sight{0.25, 0.8, true}, map[string]string{"thin": "middle", "deep": "middle"})
	c.choice("trades-on-roof", yes(h.Trades), sight{0.12, 0.5, false}, nil)
	c.choice("access", c.d.one(odd{"easy", 62}, odd{"tower", 22}, odd{"scaffold", 16}), sight{0.1, 0.3, false}, nil)
	c.tape("upstand-height", h.Upstand, 0.35, 5, 600)
	if h.has("door") {
		c.tape("door-upstand", h.DoorUp, 0.5, 0, 400)
	}
}

// buildUp is what the roof is made of.
func (c *caller) buildUp(h *House) {
	d := c.d
	c.choice("rooflight", h.Rooflight, sight{0.01, 0.3, true}, map[string]string{"fixed": "opening", "opening": "fixed"})
	sold := "nothing"
	switch h.Type {
	case "warm", "hybrid", "on-joists":
		sold = d.one(odd{"warm", 50}, odd{"nothing", 50})
	case "cold":
		sold = d.one(odd{"warm", 10}, odd{"cold", 15}, odd{"nothing", 75})
	}
	c.choice("sold-as", sold, sight{0.2, 0.5, false}, nil)
	if h.Rooflight != "none" {
		across := h.SkyL
		other := h.thick()
		if h.Type != "warm" || h.Firring > 0 {
			other -= h.Fall * across * 1000
		}
		c.tape("kerb-inside", h.thick()+h.Kerb, 0.5, 60, 1400)
		c.tape("kerb-outside", h.Kerb, 0.42, 10, 600)
		if c.says["kerb-inside"].Text != "unknown" && c.says["kerb-outside"].Text != "unknown" && d.chance(0.3*c.care) {
			c.tape("second-inside", other+h.Kerb+h.Fall*across*1000, 1, 60, 1400)
			c.tape("second-outside", h.Kerb+h.Fall*across*1000, 1, 10, 600)
			c.tape("sides-apart", across*1000, 1, 200, 3000)
		}
		c.choice("kerb-kind", h.KerbKind, sight{0.2, 0.8, true}, nil)
		c.choice("glazing-edge", h.state["glazing-edge"], sight{0.25, 0.8, true}, map[string]string{"shrunk": "whole", "silicone": "whole"})
		c.choice("rooflight-wet", h.state["rooflight-wet"], sight{0.05, 0.6, true}, map[string]string{"boxing": "beads", "glass-edge": "boxing", "beads": "glass-edge"})
		c.choice("trimmers", h.state["trimmers"], hidden, nil)
		c.choice("glass", h.Glass, sight{0.08, 0.5, false}, nil)
	}
	c.tape("joist-depth", h.Joist, 0.15, 70, 300)
	if d.chance(0.25) {
		c.dunno("joist-span")
	} else {
		c.say("joist-span", fmt.Sprintf("%.1f m", clamp(math.Min(h.W, h.D)+d.normal(0, 0.15), 1, 8)), "told")
	}
	c.choice("joist-centres", h.Centres, hidden, nil)
	seen := map[string]string{"warm": "board-above", "hybrid": "both", "on-joists": "on-joists", "uninsulated": "none", "cold": "board-between"}[h.Type]
	if h.Type == "cold" && h.Quilt {
		seen = "quilt-between"
	}
	c.choice("insulation-seen", seen, sight{0.68, 0.7, true}, map[string]string{"quilt-between": "none", "both": "quilt-between", "on-joists": "board-above"})
	c.choice("deck-seen", h.DeckKind, hidden, map[string]string{"chipboard": "ply-osb", "ply-osb": "chipboard"})
	c.choice("vapour-layer", h.VapourLayer, hidden, nil)
	c.tape("clear-void", h.ClearVoid, 0.08, 0, 300)
	c.choice("blocked-bays", h.Blocked, sight{0.6, 0.9, false}, nil)
	c.choice("warm-stops", h.state["warm-stops"], sight{0.55, 0.9, false}, nil)
}

// roomBelow is the room, its fittings and the pipes.
func (c *caller) roomBelow(s *scene, n *noticed) {
	d, h := c.d, s.h
	c.choice("cold-ceiling", h.state["cold-ceiling"], sight{0.1, 0.7, false}, map[string]string{"all": "edge", "edge": "no"})
	c.say("downlight-count", fmt.Sprint(h.Downlights), "told")
	if d.chance(0.03) {
		c.dunno("downlight-count")
	}
	c.choice("downlight-kind", h.DownlightKind, sight{0.35, 1, true}, map[string]string{"fire-rated": "sealed", "sealed": "fire-rated", "open": "fire-rated"})
	c.choice("downlight-marks", h.state["downlight-marks"], sight{0.08, 0.6, true}, map[string]string{"halo": "clean", "drips": "halo"})
	c.choice("room-use", h.Use, sight{0.01, 0.2, false}, nil)
	cold, run, rh := 0, 0, 0.0
	for day := range s.w.Days {
		i := day*stepsDay + 7*4
		if s.w.TempC[i] > 6 {
			continue
		}
		cold++
		rh += s.roomPa[i] / moistair.PSat(h.RoomC)
		if s.roomPa[i] > moistair.PSat(s.w.TempC[i]+0.66*(h.RoomC-s.w.TempC[i])) {
			run++
		}
	}
	windows, meter := "", 0.0
	if cold > 4 {
		meter = rh / float64(cold) * 100
		switch share := float64(run) / float64(cold); {
		case share > 0.6:
			windows = "run"
		case share > 0.2:
			windows = "some"
		default:
			windows = "no"
		}
	}
	c.choice("windows-run", windows, sight{0.1, 0.7, false}, map[string]string{"run": "some", "some": "no", "no": "some"})
	if meter > 0 && d.chance(0.15) {
		c.say("room-humidity", fmt.Sprintf("%.0f", clamp(meter+d.normal(0, 4), 20, 95)), "told")
	}
	extract := h.Extract
	if extract == "into-roof" && d.chance(0.35) {
		extract = "outside" // a grille is there, so it must go out
	}
	c.choice("extract", extract, sight{0.2, 0.7, false}, nil)
	c.choice("pipes-in-roof", h.Pipes, sight{0.18, 0.6, false}, nil)
	c.choice("pressure-falling", h.state["pressure-falling"], sight{0.28, 0.6, false}, nil)
	c.choice("rain-pipe-inside", yes(h.RainPipeInside), sight{0.15, 0.4, false}, nil)
}

// past is what was done about it.
func (c *caller) past(h *House, defects []*defect) {
	d, r, main := c.d, &h.repair, first(defects)
	if r.before != "none" && r.result == "" { // what a repair in the wrong place does
		switch {
		case main.indoor:
			r.result = d.one(odd{"no-change", 75}, odd{"better", 15}, odd{"year", 10})
		case r.last == "longer-ago":
			r.result = d.one(odd{"no-change", 35}, odd{"better", 20}, odd{"year", 45})
		default:
			r.result = d.one(odd{"no-change", 65}, odd{"better", 35})
		}
	}
	c.choice("last-repair", r.last, sight{0.12, 0.5, false}, map[string]string{"longer-ago": "never", "recent-rain": "longer-ago"})
	c.choice("repairs-before", r.before, sight{0.1, 0.5, false}, map[string]string{"twice": "once", "once": "twice"})
	c.several("what-redone", r.redone, sight{0.1, 0.6, false})
	c.choice("patch-result", r.result, sight{0.08, 0.8, false}, map[string]string{"tailing": "better", "better": "tailing", "year": "better"})
	c.choice("rain-during-work", r.rained, sight{0.35, 0.6, false}, nil)
	c.choice("new-wet-trades", r.wetTrades, sight{0.05, 0.3, false}, nil)
}
