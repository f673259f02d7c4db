package rules

import (
	"math"
	"slices"
	"sort"
	"strings"
)

// Sides of a plan, as one stands in the garden and faces the house.
var Sides = []string{"garden", "house", "left", "right"}

// travelParts are the parts of a place by the fall.
var travelParts = []string{"", "up", "low", "side"}

func (l *linter) travel() {
	t := &l.p.Travel
	at := func(key string) place { return table("travel", key) }
	for key, v := range map[string]float64{
		"cell_m": t.Cell, "strip_m": t.Strip, "rooflight_m": t.Rooflight, "joist_centres_m": t.Centres,
		"spot_sd_m": t.SpotSD, "hole_sd_m": t.HoleSD, "longest_wait_min": t.Longest,
	} {
		if !positive(v) {
			l.say(at(key), key, "%s must be a number over 0", key)
		}
	}
	for key, v := range map[string]float64{"astray": t.Astray, "pond_share": t.PondShare, "joists_short_way": t.ShortWay, "level_under": t.LevelUnder, "shown_is_enough": t.Enough} {
		if !inside(v, 0, 1) {
			l.say(at(key), key, "%s must lie between 0 and 1, and be neither", key)
		}
	}
	// The trade's limit on a timber roof; more is refused whatever the pack says.
	if !(t.HeadMM > 0 && t.HeadMM <= 50) {
		l.say(at("greatest_flood_mm"), "greatest_flood_mm", "greatest_flood_mm must be over 0 and not over 50")
	}
	l.filled(at("soak_says"), "soak_says", t.SoakSays)
	sum := 0.0
	for _, side := range Sides {
		if !positive(t.Fall[side]) {
			l.say(at("fall"), "fall", "fall: the share for %q must be a number over 0", side)
		}
		sum += t.Fall[side]
	}
	if len(t.Fall) != len(Sides) || !sumsTo(sum, 1) {
		l.say(at("fall"), "fall", "fall needs one share for each of %s, and they sum to 1", strings.Join(Sides, ", "))
	}
	l.source(at("source"), t.Source)
	l.confidence(at("confidence"), t.Confidence)
	l.travelTypes()
	l.travelPlaces()
	l.sits()
	l.stops()
}

func (l *linter) travelTypes() {
	list := l.p.Travel.Types
	seen := map[string]bool{}
	for i := range list {
		t := &list[i]
		at := entry("travel.type", t.ID, i, len(list))
		l.once(at, t.ID, seen)
		if t.ID != NotListed && !slices.Contains(BuildTypes, t.ID) {
			l.say(at, "id", "is not one of %s, %s", strings.Join(BuildTypes, ", "), NotListed)
		}
		l.filled(at, "says", t.Says)
		if !positive(t.Slow) {
			l.say(at, "slow", "slow must be a number over 0")
		}
		sum := 0.0
		for _, w := range t.Ways {
			row := at.rowAt("way", "by", w.By)
			sum += w.Share
			if !slices.Contains([]string{WayDrop, WayBay, WayJoint, WayLayer}, w.By) {
				l.say(row, "by", "way %q is not drop, bay, joint or layer", w.By)
			}
			if !positive(w.Share) || !positive(w.SD) {
				l.say(row, "share", "way %q: share and sd_m must be numbers over 0", w.By)
			}
			if !(w.Along >= 0) || !finite(w.Along) || w.By == WayDrop && w.Along != 0 {
				l.say(row, "along_m", "way %q: along_m must be 0 or more, and a drop has none", w.By)
			}
			if wants := w.By == WayJoint || w.By == WayLayer; wants && !positive(w.Across) || !wants && w.Across != 0 {
				l.say(row, "across_m", "way %q: across_m must be over 0 for a joint or a layer, and the others have none", w.By)
			}
			if !(w.Holes >= 0 && w.Holes < 1) || w.By != WayLayer && w.Holes != 0 {
				l.say(row, "out_holes", "way %q: out_holes must be 0 or more and under 1, and only a layer has holes", w.By)
			}
		}
		if len(t.Ways) == 0 || !sumsTo(sum, 1) {
			l.say(at, "way", "the shares of its ways must sum to 1; they sum to %v", math.Round(sum*1e6)/1e6)
		}
		l.source(at, t.Source)
		l.confidence(at, t.Confidence)
	}
	for _, id := range append(slices.Clone(BuildTypes), NotListed) {
		if !seen[id] {
			l.say(missing("travel.type", id), "", "there is no entry")
		}
	}
}

func (l *linter) travelPlaces() {
	list := l.p.Travel.Places
	seen := map[string]bool{}
	for i, x := range list {
		at := entry("travel.place", x.ID, i, len(list))
		l.once(at, x.ID, seen)
		if !slices.Contains(TravelPlaces, x.ID) {
			l.say(at, "id", "is not one of %s", strings.Join(TravelPlaces, ", "))
		}
		l.filled(at, "name", x.Name, "how", x.How)
		if x.Turn < 1 {
			l.say(at, "turn", "turn must be 1 or more")
		}
		if !positive(x.Minutes) {
			l.say(at, "hose_min", "hose_min must be a number over 0")
		}
		if x.Else != "" && (x.Else == x.ID || !slices.Contains(TravelPlaces, x.Else)) {
			l.say(at, "else", "else: %q is not another of %s", x.Else, strings.Join(TravelPlaces, ", "))
		}
		l.source(at, x.Source)
	}
	for _, id := range TravelPlaces {
		if !seen[id] {
			l.say(missing("travel.place", id), "", "there is no entry")
		}
	}
}

func (l *linter) sits() {
	list := l.p.Travel.Sits
	seen := map[string]bool{}
	for i, s := range list {
		at := entry("travel.sits", s.Cause, i, len(list))
		l.once(at, s.Cause, seen)
		l.causeOrGroup(at, "cause", s.Cause)
		sum := 0.0
		for _, name := range keysInOrder(s.At) {
			v := s.At[name]
			kind, part, _ := strings.Cut(name, ":")
			if kind != TravelNowhere && !slices.Contains(TravelPlaces, kind) || !slices.Contains(travelParts, part) || strings.HasSuffix(name, ":") {
				l.say(at, "at", "at: place %q is not one of %s or %s, alone or with :up, :low or :side", name, strings.Join(TravelPlaces, ", "), TravelNowhere)
			}
			if !positive(v) {
				l.say(at, "at", "at: %q must be a number over 0", name)
			}
			sum += v
		}
		if !sumsTo(sum, 100) {
			l.say(at, "at", "at must sum to 100; it sums to %v", sum)
		}
	}
	for i := range l.p.Causes {
		c := &l.p.Causes[i]
		if _, ok := l.p.Travel.SitsOf(c); !ok {
			l.say(entry("cause", c.ID, i, len(l.p.Causes)), "id", "nothing says where it sits on the plan; add it or its group to travel.toml")
		}
	}
}

func keysInOrder(m map[string]float64) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

func (l *linter) stops() {
	list := l.p.Travel.Stops
	seen := map[string]bool{}
	for i, s := range list {
		at := entry("travel.stop", s.ID, i, len(list))
		l.once(at, s.ID, seen)
		l.conditions(at, "when", s.When)
		if s.Always == (len(s.When) > 0) {
			l.say(at, "when", "needs either when or always")
		}
		if s.What != "hose" && s.What != "flood" {
			l.say(at, "what", "what %q is not hose or flood", s.What)
		}
		l.filled(at, "says", s.Says)
		l.source(at, s.Source)
	}
}
