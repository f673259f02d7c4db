package condense

import "slices"

// Outcome is the verdict of EN ISO 13788 on a year.
type Outcome int

// The three outcomes.
const (
	None        Outcome = iota // no condensation in any month
	Dries                      // condensation in some months, gone within the year
	Accumulates                // some water is left after the year
)

// String returns the outcome in words.
func (o Outcome) String() string {
	switch o {
	case None:
		return "no condensation"
	case Dries:
		return "condenses and dries"
	case Accumulates:
		return "accumulates"
	}
	return "unknown outcome"
}

const (
	// trace is the water in kg/m2 below which a month counts as without
	// condensation: a thousandth of a millilitre on a square metre.
	trace = 1e-6
	// leftover is the water in kg/m2 at the year's end below which a roof counts
	// as dried.
	leftover = 1e-6
)

// Interface is a plane at which water stood at some time in the first year.
// Arrays run by month from YearResult.Start.
type Interface struct {
	Inner, Outer int         // layers on the room side and the outer side, counted from 0
	Depth        float64     // when both are one layer: share of the way through it
	Sd           float64     // s_d from the room, m
	Gain         [12]float64 // kg/m2 in the month, negative when drying
	Water        [12]float64 // kg/m2 at the end of the month
}

// YearResult is the outcome of two years of monthly balance.
type YearResult struct {
	Outcome    Outcome
	Start      int         // first month of the balance, 0 for January
	Interfaces []Interface // from the room outwards
	Total      [12]float64 // kg/m2 at the end of each month from Start
	Peak       float64     // largest of Total, kg/m2
	PeakMonth  int         // month at whose end the peak stands, 0 for January
	AfterYear1 float64     // kg/m2
	AfterYear2 float64     // kg/m2
	SurfaceWet [12]bool    // by calendar month: room air condenses on the ceiling itself
	// Imbalance is water held less vapour in plus vapour out over both years,
	// kg/m2: what rounding has made or lost.
	Imbalance float64
}

// Year runs two years of the monthly balance of a dry roof and returns the result.
// Month of start: the first month with condensation that follows one without,
// going on from the warmest month; October when all months have it.
//
// Source: EN ISO 13788 clause 6; the start rule is from memory of it.
func Year(roof *Roof, c Climate, indoor Indoor) (YearResult, error) {
	var w Workspace
	var res YearResult
	err := w.Year(&res, roof, c, indoor)
	return res, err
}

// Year is the function of that name with the scratch of w. It overwrites res and
// uses the memory of its Interfaces again.
func (w *Workspace) Year(res *YearResult, roof *Roof, c Climate, indoor Indoor) error {
	*res = YearResult{Interfaces: res.Interfaces[:0]}
	if err := w.prepare(roof, &c, indoor); err != nil {
		return err
	}
	for m := range w.months {
		res.SurfaceWet[m] = w.months[m].surfaceWet
	}
	start, some := w.startMonth(roof, &c)
	if !some {
		return nil
	}
	res.Start = start
	w.seen = w.seen[:0]
	for i := range 12 {
		m := (start + i) % 12
		if err := w.run(roof, &w.months[m]); err != nil {
			return err
		}
		w.record(res, roof, i)
		res.Total[i] = w.total()
		if res.Total[i] > res.Peak {
			res.Peak, res.PeakMonth = res.Total[i], m
		}
	}
	res.AfterYear1 = w.total()
	if len(w.wet) == 0 {
		// The second year begins as the first did, dry and in the same month, so it
		// is the first year over again.
		w.in, w.out = 2*w.in, 2*w.out
	} else {
		for i := range 12 {
			if err := w.run(roof, &w.months[(start+i)%12]); err != nil {
				return err
			}
		}
	}
	res.AfterYear2 = w.total()
	res.Imbalance = res.AfterYear2 - (w.in - w.out)
	res.Outcome = Dries
	if res.AfterYear1 > leftover {
		res.Outcome = Accumulates
	}
	return nil
}

// startMonth applies the start rule to a dry roof.
func (w *Workspace) startMonth(roof *Roof, c *Climate) (start int, some bool) {
	var wet [12]bool
	warmest := 0
	for i := range wet {
		m := &w.months[i]
		m.string.pull(m.p, roof.sd, nil)
		gain := 0.0
		for _, rate := range m.string.rate {
			gain += max(0, rate) * m.seconds
		}
		wet[i] = gain > trace
		some = some || wet[i]
		if c.TempC[i] > c.TempC[warmest] {
			warmest = i
		}
	}
	if !some {
		return 0, false
	}
	for i := range 12 {
		m := (warmest + i) % 12
		if wet[m] && !wet[(m+11)%12] {
			return m, true
		}
	}
	const october = 9
	return october, true
}

// record enters month i of the first year for each node that holds or held water.
func (w *Workspace) record(res *YearResult, roof *Roof, i int) {
	next := 0
	for _, k := range w.wet {
		for next < len(w.seen) && w.seen[next] < k {
			next++
		}
		if next < len(w.seen) && w.seen[next] == k {
			continue
		}
		w.seen = slices.Insert(w.seen, next, k)
		res.Interfaces = slices.Insert(res.Interfaces, next, roof.at(k))
	}
	for j, k := range w.seen {
		f := &res.Interfaces[j]
		f.Water[i] = w.water[k]
		f.Gain[i] = w.water[k]
		if i > 0 {
			f.Gain[i] -= f.Water[i-1]
		}
	}
}

// at returns the plane of node k, with no water yet.
func (roof *Roof) at(k int) Interface {
	pl := roof.place[k]
	f := Interface{Inner: pl.inner, Outer: pl.outer, Sd: roof.sd[k]}
	if pl.inner == pl.outer {
		f.Depth = pl.depth
	}
	return f
}
