package entry

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"underlap/rules"
)

// Step is one place in the order of the test.
type Step struct {
	Zone  string  `json:"zone"`
	Name  string  `json:"name"`
	Share float64 `json:"share"`
	Hose  float64 `json:"hose_min"` // minutes of water
	Wait  float64 `json:"wait_min"` // minutes until the next place, the hosing among them
	// Shown is the chance that a leak there has shown by then. Where it is low a dry
	// ceiling proves little.
	Shown float64 `json:"shown"`
	Flood float64 `json:"flood_mm"` // water no deeper than this may stand there instead; 0: no flood
	How   string  `json:"how"`
}

// Caution is a reason not to hose or not to flood.
type Caution struct {
	What   string `json:"what"` // "hose" or "flood"
	Says   string `json:"says"`
	Source string `json:"source"`
}

// Lag is the time from rain to the first sign as it was told, 5 and 95 %, in hours.
type Lag struct {
	Low, High   float64
	Reliability float64 // chance that it is not just noise
}

// steps puts the places in the order of the test: by their turn, the field first and walls
// last; within a turn the lowest on the fall first, then the smallest. Water put on high
// up wets all that lies below, and then nobody knows which place it was.
func (f *finder) steps(m *Map) {
	f.cautions(m)
	if !m.Worth() {
		return
	}
	var order []int
	for z := range f.list {
		if f.share[z] >= shown && f.list[z].kind.ID != "unplaced" {
			order = append(order, z)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		x, y := &f.list[a], &f.list[b]
		return cmp.Or(
			cmp.Compare(x.kind.Turn, y.kind.Turn),
			cmp.Compare(math.Round(f.height(x)*1000), math.Round(f.height(y)*1000)),
			cmp.Compare(math.Round(x.area*1000), math.Round(y.area*1000)),
		)
	})
	for _, z := range order {
		x := &f.list[z]
		wait, by := f.wait(z)
		s := Step{Zone: x.id, Name: x.name, Share: f.share[z], Hose: x.kind.Minutes, Wait: max(wait, x.kind.Minutes), Shown: by, How: x.kind.How}
		if x.kind.Flood && !m.NoFlood {
			s.Flood = f.t.HeadMM
		}
		m.Hose = append(m.Hose, s)
	}
}

// worth is the chance of a way in from outside, under which it is less likely than that
// and a hose is the wrong test: the word changes there (see explain.Hedge).
const worth = 0.25

// Worth tells whether a way in from outside is likely enough to be looked for with water.
func (m *Map) Worth() bool { return m.Outside >= worth }

// height is how far up the fall the middle of a place lies, in metres; 0 on a level roof.
func (f *finder) height(x *place) float64 {
	switch f.p.Fall {
	case Garden:
		return f.p.Out - x.y
	case House:
		return x.y
	case Left:
		return x.x
	case Right:
		return f.p.Along - x.x
	}
	return 0
}

func (f *finder) cautions(m *Map) {
	add := func(what, says, source string) {
		m.Not = append(m.Not, Caution{What: what, Says: says, Source: source})
		m.NoHose = m.NoHose || what == "hose"
		m.NoFlood = m.NoFlood || what == "flood"
	}
	for _, what := range []string{"hose", "flood"} {
		for _, s := range f.t.Stops {
			if s.What == what && !s.Always && rules.All(s.When, f.in.Facts) == rules.Yes {
				add(what, s.Says, s.Source)
			}
		}
	}
	soaks := 0.0
	for _, b := range f.in.Types {
		if t, ok := f.t.Type(b.ID); ok && t.Soaks {
			soaks += b.P
		}
	}
	if soaks > 0.5 {
		add("flood", f.t.SoakSays, f.t.Source)
	}
	m.NoFlood = m.NoFlood || m.NoHose
	for _, s := range f.t.Stops {
		if s.Always { // a limit and not a refusal
			m.Not = append(m.Not, Caution{What: s.What, Says: s.Says, Source: s.Source})
		}
	}
}

// stepMin is the grain of a wait, in minutes.
const stepMin = 5

// wait is how long to wait at a place, in minutes, and the chance that a leak there has
// shown by then: the lag of the causes that bring it, made longer by the build-ups, and
// what was told of the lag.
func (f *finder) wait(z int) (minutes, by float64) {
	most := int(math.Ceil(f.t.Longest / stepMin))
	n := sort.Search(most, func(n int) bool { return f.shownBy(z, stepMin*float64(n)/60) >= f.t.Enough })
	minutes = min(max(stepMin*float64(n), stepMin), f.t.Longest)
	return minutes, f.shownBy(z, minutes/60)
}

// ninetyFive is how many standard deviations lie from the middle of a normal to its 95 %.
const ninetyFive = 1.6448536269514722

// shownBy is the chance that a leak at a place has shown within those hours.
func (f *finder) shownBy(z int, hours float64) float64 {
	p, total := 0.0, 0.0
	for c, w := range f.brings[z] {
		if w < 0.01*f.share[z] {
			continue // it would not move the wait by a step
		}
		cause, _ := f.pack.Cause(f.in.Causes[c].ID)
		if len(cause.LagHours) != 2 {
			continue // it does not follow rain
		}
		for _, b := range f.in.Types {
			t, ok := f.t.Type(b.ID)
			if !ok || b.P < small {
				continue
			}
			p += w * b.P * logNormal(hours, cause.LagHours[0]*t.Slow, cause.LagHours[1]*t.Slow)
			total += w * b.P
		}
	}
	if total > 0 {
		p /= total
	}
	if l := f.in.Lag; l != nil {
		p = l.Reliability*logNormal(hours, l.Low, l.High) + (1-l.Reliability)*p
	}
	return p
}

// logNormal is the chance of at most x, nothing at 0, where low and high are 5 and 95 %.
func logNormal(x, low, high float64) float64 {
	mid, sd := (math.Log(low)+math.Log(high))/2, (math.Log(high)-math.Log(low))/2/ninetyFive
	return 1 - upper((math.Log(x)-mid)/sd)
}
