package condense

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
	start, some := w.startMonth(roof, &c)
	if !some {
		for m := range res.SurfaceWet {
			res.SurfaceWet[m] = w.bounds(roof, &c, m)
		}
		return nil
	}
	res.Start = start
	for i := range 12 {
		m := (start + i) % 12
		wet, err := w.month(roof, &c, m)
		if err != nil {
			return err
		}
		res.SurfaceWet[m] = wet
		w.record(res, roof, i)
		res.Total[i] = w.total()
		if res.Total[i] > res.Peak {
			res.Peak, res.PeakMonth = res.Total[i], m
		}
	}
	res.AfterYear1 = w.total()
	for i := range 12 {
		if _, err := w.month(roof, &c, (start+i)%12); err != nil {
			return err
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
	for m := range wet {
		w.bounds(roof, c, m)
		w.string(roof.sd)
		gain := 0.0
		for _, rate := range w.rate {
			gain += max(0, rate) * monthDays[m] * 86400
		}
		wet[m] = gain > trace
		some = some || wet[m]
		if c.TempC[m] > c.TempC[warmest] {
			warmest = m
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
	for k, kg := range w.water {
		for next < len(res.Interfaces) && res.Interfaces[next].Sd < roof.sd[k] {
			next++
		}
		known := next < len(res.Interfaces) && res.Interfaces[next].Sd == roof.sd[k]
		if !known {
			if kg <= 0 {
				continue
			}
			pl := roof.place[k]
			res.Interfaces = append(res.Interfaces, Interface{})
			copy(res.Interfaces[next+1:], res.Interfaces[next:])
			res.Interfaces[next] = Interface{Inner: pl.inner, Outer: pl.outer, Sd: roof.sd[k]}
			if pl.inner == pl.outer {
				res.Interfaces[next].Depth = pl.depth
			}
		}
		f := &res.Interfaces[next]
		f.Water[i] = kg
		f.Gain[i] = kg
		if i > 0 {
			f.Gain[i] -= f.Water[i-1]
		}
	}
}
