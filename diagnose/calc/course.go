package calc

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/physics/climate"
	"underlap/physics/fabric"
	"underlap/physics/transport"
)

// Course is the sums that follow a roof hour by hour for years. They take up to a second
// or two, so they wait until they are asked for and keep no key waiting. A Course holds
// its inputs and never changes: it may run beside anything.
type Course struct {
	// Key is the same for the same inputs: what was worked out once need not be again.
	Key  string
	site site
	sums []func(*follow) (*explained, error)
	roof share // the likeliest build-up, which the sums follow
	sure bool  // its type is likely enough to be blamed
	shut bool  // somebody said that no outside air gets into the void
}

// follow is a Course on its way.
type follow struct {
	*Course
	ctx  context.Context
	year *climate.Hourly
	made bool // the year was made from monthly means
}

// explained is a finding with its explanation.
type explained struct {
	explain.Finding
	why explain.Why
}

// Hourly is what a Course found. Its findings take the place of those with the same id
// in a Result, and the rest are added.
type Hourly struct {
	Findings []explain.Finding
	Whys     []explain.Why
}

// What the course assumes beside the answers.
const (
	courseYears = 6  // years that trapped water is followed
	deckYears   = 3  // years that a deck is followed; the last counts
	goneShare   = 10 // per cent of trapped water left at which it counts as gone
)

// course gathers the sums that this roof calls for, or nil when there are none.
func course(s *site, b *buildup.Result, groups []share) *Course {
	if len(b.Types) == 0 || b.Types[0].P < 0.4 {
		return nil
	}
	at := slices.IndexFunc(groups, func(g share) bool { return g.stack.Type == b.Types[0].Type })
	if at < 0 {
		return nil
	}
	pick := groups[at]
	shut := s.facts.Is("vents", "none") || s.facts.Is("blocked-bays", "all")
	still := shut || !s.vented() // no air that anybody told of dries the deck
	c := &Course{
		site: *s, roof: pick,
		sure: b.Types[0].P >= 0.6,
		shut: shut,
	}
	switch pick.stack.Type {
	case "warm":
		c.sums = append(c.sums, (*follow).trapped)
	case "hybrid":
		c.sums = append(c.sums, (*follow).trapped)
		if still {
			c.sums = append(c.sums, (*follow).deckWinters)
		}
	case "cold", "uninsulated":
		c.sums = append(c.sums, (*follow).frost)
		if still {
			c.sums = append(c.sums, (*follow).deckWinters)
		}
	case "on-joists":
		if still {
			c.sums = append(c.sums, (*follow).deckWinters)
		}
	}
	if len(c.sums) == 0 {
		return nil
	}
	n, fit := s.fittings()
	c.Key = fmt.Sprint(s.place.ID, s.place.Source, s.known, s.areaAssumed, fmt.Sprintf("%+v", s.indoor), pick.stack.Layers, s.area, s.room, s.roomSay.Value, n, fit, s.facts.Choice("vents"), s.facts.Choice("blocked-bays"),
		s.facts.Choice("covering"), s.facts.Choice("vapour-layer"), s.facts.Choice("joist-centres"), s.breathes(), s.outsideFlow(pick.stack, windShare, dcp), c.sure, c.shut, len(c.sums))
	return c
}

// Run works the sums out, one after the other, so that half of a small machine stays
// free for keys. It stops early when ctx is done.
func (c *Course) Run(ctx context.Context) (*Hourly, error) {
	f := &follow{Course: c, ctx: ctx, year: c.site.year}
	if f.year == nil {
		var err error
		if f.year, err = climate.Synthetic(c.site.place); err != nil {
			return nil, fmt.Errorf("the weather of %s by the hour: %w", c.site.place.Name, err)
		}
		f.made = true
	}
	out := &Hourly{}
	for _, sum := range c.sums {
		e, err := sum(f)
		if err != nil {
			return nil, fmt.Errorf("the sums hour by hour: %w", err)
		}
		if e == nil {
			continue
		}
		e.why.ID = "sum/" + e.ID
		e.Why = e.why.ID
		out.Findings = append(out.Findings, e.Finding)
		out.Whys = append(out.Whys, e.why)
	}
	return out, nil
}

// weather is the year of hours with a room beside it.
func (f *follow) weather(room weightedRoom) transport.Weather {
	hours := f.year.Hours
	out := make(transport.Weather, len(hours))
	for i, h := range hours {
		if i%24 == 0 {
			// The room follows the day outdoors, not the hour: walls and habits are slow.
			meanC, meanPa := 0.0, 0.0
			day := hours[i:min(i+24, len(hours))]
			for _, x := range day {
				meanC += x.TempC / float64(len(day))
				meanPa += x.VapourPa / float64(len(day))
			}
			out[i].RoomC, out[i].RoomPa = room.air.Room(meanC, meanPa)
			out[i].RoomPa = math.Min(out[i].RoomPa, saturation(out[i].RoomC))
		} else {
			out[i].RoomC, out[i].RoomPa = out[i-1].RoomC, out[i-1].RoomPa
		}
		out[i].OutC, out[i].OutPa = h.TempC, h.VapourPa
		out[i].SunWM2, out[i].SkyWM2 = h.GlobalWM2, h.SkyWM2
		out[i].OutsideH = 4 + 4*windShare*h.WindMS // ISO 6946, from memory
	}
	return out
}

func (f *follow) weatherInput() explain.Input {
	if !f.made {
		return explain.Input{Name: "Weather", Value: f.year.Name + ", a year of hours", From: f.year.Source}
	}
	in := f.site.placeInput()
	in.Name = "Weather"
	in.Value = f.site.place.Name + ", a year of hours made from its months"
	return in
}

// weatherSource ends the source of a sum.
func (f *follow) weatherSource() string {
	if !f.made {
		return "weather of " + f.year.Name + " by the hour"
	}
	return "weather made from monthly means"
}

// absorbs is the share of sunshine that a covering takes up; common practice, no source.
func (s *site) absorbs() float64 {
	switch s.facts.Choice("covering") {
	case "single-ply":
		return 0.65
	case "felt-chippings":
		return 0.60
	}
	return 0.90
}

// emits is the long-wave emissivity of roof coverings; common tables, from memory.
const emits = 0.90

// made is a build-up cut up for the course.
type made struct {
	roof *transport.Roof
	deck int // part number of the deck, -1 when it has none that stores water
	main int // part number of the outermost insulation, -1 likewise
	wood fabric.Material
}

// byName finds the entry of the table of materials that a layer is made of.
var byName = sync.OnceValues(func() (map[string]fabric.Material, error) {
	all, err := fabric.Materials()
	out := make(map[string]fabric.Material, len(all))
	for _, m := range all {
		out[m.Name] = m
	}
	return out, err
})

// cut makes a build-up ready. leak is the room air that gets past the ceiling, m3/s on
// each m2. What lies below the void or an open quilt, boards between the joists
// included, is taken as resistances in series, with the leak as a path beside them all.
func (s *site) cut(st buildup.Stack, v variant, leak, absorbs float64) (made, error) {
	out := made{deck: -1, main: -1}
	table, err := byName()
	if err != nil {
		return out, err
	}
	list, _, err := s.variantLayers(st, false, v)
	if err != nil {
		return out, err
	}
	core, err := fabric.FindMaterial("pir-tissue")
	if err != nil {
		return out, err
	}
	deck := s.deckOf(st)
	parts := []transport.Part{{}} // the first is the ceiling's vapour resistance, put in last
	ceiling, below := 0.0, true
	for _, l := range list {
		r, err := l.Resistance()
		if err != nil {
			return out, err
		}
		sd, err := l.VapourResistance()
		if err != nil {
			return out, err
		}
		m := table[l.Name]
		open := m.Kind == fabric.Insulation && m.Sd == 0 && m.MuWet < 3
		// In a roof with its boards on the joists the air gets past the boards too.
		ends := l.Name == "air" || open
		if st.Type == "on-joists" {
			ends = false
		}
		if below = below && l.Name != deck && !ends; below {
			ceiling += sd
			parts = append(parts, transport.Film(r, 0))
			continue
		}
		switch {
		case l.Name == deck:
			body, err := transport.FromFabric(m)
			if err != nil {
				return out, err
			}
			out.deck, out.wood = len(parts), m
			parts = append(parts, transport.Body(body, l.Thickness, 3))
		case m.Kind == fabric.Insulation:
			// A board with tight faces: the foam within stores water, its faces hold it.
			stores, faces := m, 0.0
			if m.Sd > 0 {
				stores, faces = core, sd/2
			}
			body, err := transport.FromFabric(stores)
			if err != nil {
				return out, err
			}
			body.Lambda = l.Lambda
			out.main = len(parts) + 1
			parts = append(parts, transport.Film(0, faces), transport.Body(body, l.Thickness, 5), transport.Film(0, faces))
		default:
			parts = append(parts, transport.Film(r, sd))
		}
	}
	if leak > 0 {
		const permeability, gas = 2e-10, 461.5
		beside := permeability * gas * (s.room.TempC + 273.15) / leak // s_d that passes as much vapour as the air carries
		ceiling = 1 / (1/math.Max(ceiling, 1e-3) + 1/beside)
	}
	parts[0] = transport.Film(0, ceiling)
	out.roof, err = transport.NewRoof(parts, fabric.RsiUp, transport.Outside{Absorptance: absorbs, Emissivity: emits})
	return out, err
}

// woodDecks are the decks that the limits of wood hold for. Others are no bodies in the
// course.
var woodDecks = map[string]bool{"softwood": true, "softwood-light": true, "osb": true, "plywood": true, "plywood-dense": true, "chipboard": true}

// deckOf is the name that the deck of a stack has in the sums, "" when it is not of wood.
func (s *site) deckOf(st buildup.Stack) string {
	for _, l := range st.Layers {
		if l.Role != "deck" {
			continue
		}
		if m, err := fabric.FindMaterial(l.Material); err == nil && woodDecks[m.ID] {
			return m.Name
		}
	}
	return ""
}

// around is a middle answer with what it becomes when one input at a time goes to its
// 5 and 95 % value: the fewest runs that give a band.
type around struct {
	name     string
	down, up float64 // answers at the two ends, in whatever order
}

// star makes a band of that: deviations of independent inputs add up as squares.
func star(mid float64, list []around) (low, high float64, driver, line string) {
	var below, above, all float64
	shares := make([]float64, len(list))
	for i, a := range list {
		lo, hi := math.Min(a.down, a.up), math.Max(a.down, a.up)
		below += sq(math.Max(0, mid-lo))
		above += sq(math.Max(0, hi-mid))
		shares[i] = sq(hi - lo)
		all += shares[i]
	}
	low, high = mid-math.Sqrt(below), mid+math.Sqrt(above)
	if all == 0 {
		return low, high, "", ""
	}
	best := 0
	for i := range shares {
		if shares[i] > shares[best] {
			best = i
		}
		if line != "" {
			line += "; "
		}
		line += fmt.Sprintf("%s %.0f %%", list[i].name, 100*shares[i]/all)
	}
	return low, high, list[best].name, line + " (of these alone, one at a time at its 5 and 95 %)"
}

func sq(x float64) float64 { return x * x }
