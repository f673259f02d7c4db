package condense

import (
	"errors"

	"underlap/physics/fabric"
	"underlap/physics/internal/check"
)

// DryingAllowance is the water in kg/m2 that a roof closed on both sides should be
// able to lose in a year beyond its condensate, for what air leaks bring in.
//
// Source: DIN 68800-2 (250 g/(m2 a) for roofs), read in public texts; the same figure
// in ÖNORM B 8110-2:2020.
const DryingAllowance = 0.25

// PeriodReserve is the drying reserve by the period method.
type PeriodReserve struct {
	Plane      int     // layer on the room side of the plane looked at, counted from 0
	Capacity   float64 // what could evaporate there, kg/m2
	Condensate float64 // kg/m2
	Reserve    float64 // Capacity less Condensate, kg/m2; negative when it cannot even dry
	Enough     bool    // at least DryingAllowance
}

// ReserveByPeriod returns the drying reserve of layers, given from the room outwards.
// Where nothing condenses the plane is the cold side of the insulation: the outer
// face of the outermost layer that has at least half the thermal resistance of the
// best one, or its inner face when it lies on top. It fails as PeriodMethod does, and
// for a single layer, which has no plane inside.
//
// Source: DIN 68800-2 with DIN 4108-3, read in public texts; the plane where nothing
// condenses is common practice, no source.
func ReserveByPeriod(layers []fabric.Layer, p Period) (PeriodReserve, error) {
	res, s, err := periodMethod(layers, p)
	if err != nil {
		return PeriodReserve{}, err
	}
	out := PeriodReserve{Plane: res.Plane, Capacity: res.Capacity, Condensate: res.Condensate}
	if res.Plane < 0 {
		k := coldSide(s.r)
		if k < 0 {
			return PeriodReserve{}, errNoPlane
		}
		out.Plane = k - 1
		out.Capacity = (p.drying(s.sd[k]) + p.drying(s.sd[len(s.sd)-1]-s.sd[k])) * p.Evaporating
	}
	out.Reserve = out.Capacity - out.Condensate
	out.Enough = out.Reserve >= DryingAllowance
	return out, nil
}

var errNoPlane = errors.New("condense: a single layer has no plane inside")

// coldSide returns the face on the cold side of the insulation, given the resistance
// from the room to each face, or -1 when only surfaces offer themselves.
func coldSide(r []float64) int {
	last := len(r) - 1
	best := 0.0
	for k := 1; k <= last; k++ {
		best = max(best, r[k]-r[k-1])
	}
	outer := last
	for outer > 1 && r[outer]-r[outer-1] < best/2 {
		outer--
	}
	switch {
	case outer < last:
		return outer
	case last > 1:
		return last - 1
	}
	return -1
}

// coldSide is the same for the nodes of a roof.
func (roof *Roof) coldSide() int {
	nodes := []int{0}
	last := len(roof.place) - 1
	for k := 1; k <= last; k++ {
		if roof.place[k].inner != roof.place[k].outer || k == last {
			nodes = append(nodes, k)
		}
	}
	r := make([]float64, len(nodes))
	for i, k := range nodes {
		r[i] = roof.r[k]
	}
	if k := coldSide(r); k >= 0 {
		return nodes[k]
	}
	return -1
}

// MonthlyReserve tells what becomes of an allowance of water in the monthly balance.
type MonthlyReserve struct {
	Without      Outcome    // of the roof without the allowance
	Inner, Outer int        // layers beside the plane that gets the water, counted from 0
	Depth        float64    // when both are one layer: share of the way through it
	Month        int        // at whose end the water is put in, 0 for January
	Peak         float64    // most water at the end of any month, kg/m2
	Months       int        // from then until all water is gone; 0 when it is not within 24
	Least        [2]float64 // least water at the end of any month in the first and second year from then, kg/m2
	Enough       bool       // the roof dries each year without the allowance and within 24 months with it
	Imbalance    float64    // what rounding has made or lost, kg/m2
}

// ReserveByMonth puts kg of water per m2 into the roof once, DryingAllowance for
// roofs closed on both sides, and follows all water in it for two years by the
// monthly balance. The month is that at whose end a first year from dry holds most
// water, and the plane that which holds most of it then. When nothing condenses they
// are the coldest month and the cold side of the insulation, as in ReserveByPeriod.
// It fails as Year does, for kg not from 0 to 1000, and for a single dry layer.
//
// The Austrian rule puts the water midway between the layers of s_d 0.5 m or more,
// when wood lies between them; here it goes where the roof is wettest. It also
// limits Peak to 0.5 kg/m2, which is left to the caller.
//
// Source: after ÖNORM B 8110-2:2020 (allowance, month of peak, dry in the second
// summer and without it in the first), read in public texts; the coldest month where
// nothing condenses is common practice, no source.
func ReserveByMonth(roof *Roof, kg float64, c Climate, indoor Indoor) (MonthlyReserve, error) {
	if err := check.First("condense", check.Within("allowance", kg, 0, 1000)); err != nil {
		return MonthlyReserve{}, err
	}
	var w Workspace
	var year YearResult
	if err := w.Year(&year, roof, c, indoor); err != nil {
		return MonthlyReserve{}, err
	}
	res := MonthlyReserve{Without: year.Outcome, Month: year.PeakMonth}
	w.dry()
	node := -1
	if year.Outcome == None {
		node = roof.coldSide()
		for m, tempC := range c.TempC {
			if tempC < c.TempC[res.Month] {
				res.Month = m
			}
		}
	} else {
		for m := year.Start; ; m = (m + 1) % 12 {
			if err := w.run(roof, &w.months[m]); err != nil {
				return MonthlyReserve{}, err
			}
			if m == year.PeakMonth {
				break
			}
		}
		for _, k := range w.wet {
			if node < 0 || w.water[k] > w.water[node] {
				node = k
			}
		}
	}
	if node < 0 {
		return MonthlyReserve{}, errNoPlane
	}
	plane := roof.at(node)
	res.Inner, res.Outer, res.Depth = plane.Inner, plane.Outer, plane.Depth
	w.put(node, kg)
	res.Peak = w.total()
	for i := range 24 {
		if err := w.run(roof, &w.months[(res.Month+1+i)%12]); err != nil {
			return MonthlyReserve{}, err
		}
		total := w.total()
		res.Peak = max(res.Peak, total)
		if i%12 == 0 || total < res.Least[i/12] {
			res.Least[i/12] = total
		}
		if total <= leftover && res.Months == 0 {
			res.Months = i + 1
		}
	}
	res.Enough = res.Months > 0 && res.Without != Accumulates
	res.Imbalance = w.total() - (kg + w.in - w.out)
	return res, nil
}
