package condense

import (
	"fmt"

	"underlap/physics/internal/check"
)

// DryingResult tells how trapped water leaves a roof.
type DryingResult struct {
	Months    int       // months until all water is gone, 0 when it is not within the years asked for
	Remaining []float64 // kg/m2 at the end of each year
	Peak      float64   // most water at the end of any month, kg/m2
	Imbalance float64   // what rounding has made or lost, kg/m2
}

// Drying puts kg of water per m2 into the plane of a roof made by NewTrapped on the
// first day of month start, 0 for January, and follows all water in the roof by
// months for the given number of years. The standard asks for 1 kg/m2 and up to
// about ten years.
//
// Source: EN ISO 13788 (2012) clause 7, from memory of it.
func Drying(roof *Roof, kg float64, start, years int, c Climate, indoor Indoor) (DryingResult, error) {
	var w Workspace
	var res DryingResult
	err := w.Drying(&res, roof, kg, start, years, c, indoor)
	return res, err
}

// Drying is the function of that name with the scratch of w. It overwrites res and
// uses the memory of its Remaining again.
func (w *Workspace) Drying(res *DryingResult, roof *Roof, kg float64, start, years int, c Climate, indoor Indoor) error {
	*res = DryingResult{Remaining: res.Remaining[:0]}
	if err := check.First("condense", check.Within("trapped water", kg, 0, 1000)); err != nil {
		return err
	}
	if start < 0 || start > 11 || years < 1 || years > 100 {
		return fmt.Errorf("condense: start month %d for %d years, want 0 to 11 for 1 to 100", start, years)
	}
	if err := w.prepare(roof, &c, indoor); err != nil {
		return err
	}
	if roof.wet < 0 {
		return fmt.Errorf("condense: the roof has no plane for trapped water")
	}
	w.put(roof.wet, kg)
	for i := range 12 * years {
		if err := w.run(roof, &w.months[(start+i)%12]); err != nil {
			return err
		}
		total := w.total()
		res.Peak = max(res.Peak, total)
		if total <= leftover && res.Months == 0 {
			res.Months = i + 1
		}
		if i%12 == 11 {
			res.Remaining = append(res.Remaining, total)
		}
	}
	res.Imbalance = w.total() - (kg + w.in - w.out)
	return nil
}
