package airflow

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Ventilation rules for a cold flat roof in the United Kingdom.
const (
	// SlotPerSide is the free width of the opening along each of two opposite
	// sides, m: 25 mm, so 0.025 m2 in each metre. Former Approved Document F2
	// (1985 to 2004) and BS 5250, read in texts that quote them.
	SlotPerSide = 0.025
	// ClearVoid is the clear height over the insulation, m, from the same sources.
	ClearVoid = 0.050
	// PlanShare is the least total opening as a share of the roof plan for long
	// spans, from memory of the former Approved Document F2.
	PlanShare = 0.006
	// CuringChanges is the rate of air changes in the void, per hour, that cured an
	// unventilated test roof over damp rooms: Building Research Establishment tests
	// of cold deck flat roofs, about 5, read in an abstract of them.
	CuringChanges = 5.0
)

// Roof is the ventilation of a rectangular cold roof. The two sides that can hold
// openings are Span apart.
type Roof struct {
	Span      float64 // distance between the ventilated sides, m
	Length    float64 // length of each of them, m
	OpenA     float64 // free area along one side, m2
	OpenB     float64 // free area along the opposite side, m2
	VoidClear float64 // clear height over the insulation from side to side, m
}

// OpeningCheck is the verdict on a Roof.
type OpeningCheck struct {
	NeedSide  float64 // free area needed on each side, m2
	NeedTotal float64 // free area needed in total, m2
	ShareA    float64 // what side A has of its need
	ShareB    float64 // what side B has of its need
	Total     float64 // what both have of the total need
	ByPlan    bool    // the share of the plan governs, not the slot
	VoidOK    bool    // the void is clear enough
	// Crossed says that both sides have some opening, so that air can cross at all.
	Crossed bool
	OK      bool // everything is there
}

// CheckOpenings compares openings with the usual rules: 25 mm continuous on each
// of two opposite sides, 0.6 % of the plan in total where that is more, and a
// clear void of 50 mm.
//
// Source: former Approved Document F2 and BS 5250; the share of the plan is from
// memory of the former.
func CheckOpenings(r Roof) (OpeningCheck, error) {
	if err := check.First("airflow: roof",
		check.Positive("span", r.Span), check.Positive("length", r.Length),
		check.NotNegative("opening on side A", r.OpenA), check.NotNegative("opening on side B", r.OpenB),
		check.NotNegative("clear void", r.VoidClear),
	); err != nil {
		return OpeningCheck{}, err
	}
	slot := SlotPerSide * r.Length
	total := math.Max(2*slot, PlanShare*r.Span*r.Length)
	c := OpeningCheck{
		NeedSide:  total / 2,
		NeedTotal: total,
		ByPlan:    total > 2*slot,
		VoidOK:    r.VoidClear >= ClearVoid,
		Crossed:   r.OpenA > 0 && r.OpenB > 0,
	}
	c.ShareA, c.ShareB, c.Total = r.OpenA/c.NeedSide, r.OpenB/c.NeedSide, (r.OpenA+r.OpenB)/total
	const enough = 1 - 1e-9
	c.OK = c.VoidOK && c.ShareA >= enough && c.ShareB >= enough
	return c, nil
}

// GoverningSpan returns the span in m at which the slot on both sides and the
// share of the plan ask for the same: 8.33 m. Below it the slot governs.
//
// Source: calculation from the two rules.
func GoverningSpan() float64 { return 2 * SlotPerSide / PlanShare }

// VentsPerMetre returns the free area in m2 in each metre of side of single vents,
// each of free area m2, at centres m, and its share of the 25 mm slot.
//
// Source: calculation; a 70 mm disc has about 2000 mm2 free (common practice, no source).
func VentsPerMetre(area, centres float64) (perMetre, share float64, err error) {
	if err := check.First("airflow: vents", check.NotNegative("free area", area), check.Positive("centres", centres)); err != nil {
		return 0, 0, err
	}
	perMetre = area / centres
	return perMetre, perMetre / SlotPerSide, nil
}

// SlotPerMetre returns the free area in m2 in each metre of a slot of the given
// width in m behind mesh of the given free share, and its share of the 25 mm slot.
// Insect mesh is about 0.6 free (common practice, no source).
//
// Source: calculation.
func SlotPerMetre(width, meshFree float64) (perMetre, share float64, err error) {
	if err := check.First("airflow: slot", check.NotNegative("width", width), check.Within("free share of the mesh", meshFree, 0, 1)); err != nil {
		return 0, 0, err
	}
	perMetre = width * meshFree
	return perMetre, perMetre / SlotPerSide, nil
}

// CrossFlow returns the flow in m3/s that wind of v m/s drives through openings of
// free area a and b, m2, on opposite sides, for a difference dcp of the pressure
// coefficients between them. With one side shut it is 0.
//
// Source: two orifices in series, Q = Cd Ae v sqrt(dcp), 1/Ae^2 = 1/a^2 + 1/b^2.
func CrossFlow(a, b, dcp, v float64) (float64, error) {
	if err := check.First("airflow: cross flow", check.NotNegative("opening", a), check.NotNegative("opening", b), check.NotNegative("pressure coefficient", dcp), check.NotNegative("wind", v)); err != nil {
		return 0, err
	}
	if a == 0 || b == 0 {
		return 0, nil
	}
	return SharpEdge * (a * b / math.Hypot(a, b)) * v * math.Sqrt(dcp), nil
}

// AirChanges converts a flow in m3/s into air changes per hour of a volume in m3.
//
// Source: definition.
func AirChanges(flow, volume float64) (float64, error) {
	if err := check.First("airflow", check.NotNegative("flow", flow)); err != nil {
		return 0, err
	}
	if !(volume > 0) || math.IsInf(volume, 0) {
		return 0, fmt.Errorf("airflow: volume is %v, want more than 0", volume)
	}
	return flow / volume * 3600, nil
}

// Changes returns the air changes per hour that wind of v m/s at the roof drives
// through the clear void, for a difference dcp of the pressure coefficients between
// the two sides, and their share of CuringChanges. It fails without a clear void.
//
// Source: CrossFlow and AirChanges.
func (r Roof) Changes(dcp, v float64) (perHour, share float64, err error) {
	if _, err := CheckOpenings(r); err != nil {
		return 0, 0, err
	}
	flow, err := CrossFlow(r.OpenA, r.OpenB, dcp, v)
	if err != nil {
		return 0, 0, err
	}
	perHour, err = AirChanges(flow, r.Span*r.Length*r.VoidClear)
	return perHour, perHour / CuringChanges, err
}
