package fabric

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// AirGapCorrection returns what to add to U in W/m2K for gaps in insulation of
// resistance r1 in an element of total resistance rt, both m2K/W. Level 0 is no
// gaps, 1 gaps right through, 2 gaps with air moving on the warm side.
//
// Source: ISO 6946 Annex D (2007) or F (2017), from memory of it.
func AirGapCorrection(level int, r1, rt float64) (float64, error) {
	if err := checkShare(r1, rt); err != nil {
		return 0, err
	}
	du := [...]float64{0, 0.01, 0.04}
	if level < 0 || level >= len(du) {
		return 0, fmt.Errorf("fabric: air gap level %d, want 0, 1 or 2", level)
	}
	return du[level] * (r1 / rt) * (r1 / rt), nil
}

// Fasteners are fixings through insulation.
type Fasteners struct {
	Lambda     float64 // conductivity of the fixing, W/(m K)
	Area       float64 // cross-section of one, m2
	PerM2      float64 // number per m2
	Insulation float64 // thickness of the insulation d0, m
	// Depth is the length of fixing within the insulation d1, m. It is less than
	// Insulation when the head is recessed.
	Depth float64
	// BothEndsMetal says that both ends touch metal sheet: the formula does not hold.
	BothEndsMetal bool
}

// FastenerCorrection returns what to add to U in W/m2K for fixings through
// insulation of resistance r1 in an element of total resistance rt, both m2K/W.
// It is 0 for fixings of conductivity below 1 W/(m K). It fails when both ends
// touch metal, which needs a calculation in two or three dimensions.
//
// Source: ISO 6946 Annex D (2007) or F (2017), factor 0.8, from memory of it.
func FastenerCorrection(f Fasteners, r1, rt float64) (float64, error) {
	if err := checkShare(r1, rt); err != nil {
		return 0, err
	}
	if err := check.First("fabric: fasteners",
		check.NotNegative("conductivity", f.Lambda),
		check.NotNegative("area", f.Area),
		check.NotNegative("number per m2", f.PerM2),
		check.Positive("insulation thickness", f.Insulation),
		check.Within("depth in the insulation", f.Depth, 0, f.Insulation),
	); err != nil {
		return 0, err
	}
	if f.BothEndsMetal {
		return 0, fmt.Errorf("fabric: fasteners between two metal sheets need a calculation in two or three dimensions")
	}
	if f.Lambda < 1 {
		return 0, nil
	}
	alpha := 0.8 * f.Depth / f.Insulation
	return alpha * f.Lambda * f.Area * f.PerM2 / f.Insulation * (r1 / rt) * (r1 / rt), nil
}

// InvertedCorrection returns what to add to U in W/m2K for rain running under
// the insulation of an inverted roof: p mm of rain a day on average in the
// heating season, fx the drainage factor times the heat loss factor in W day/(m2
// K mm) (0.04 for butt joints under open ballast), r1 the resistance of the
// insulation above the membrane and rt the total, both m2K/W. A result below
// 0.01 is returned as 0.
//
// Source: ISO 6946 Annex D (2007) or F (2017); the cut at 0.01 is in it too.
func InvertedCorrection(p, fx, r1, rt float64) (float64, error) {
	if err := checkShare(r1, rt); err != nil {
		return 0, err
	}
	if err := check.First("fabric", check.NotNegative("rain per day", p), check.NotNegative("factor f x", fx)); err != nil {
		return 0, err
	}
	du := p * fx * (r1 / rt) * (r1 / rt)
	if du < 0.01 {
		return 0, nil
	}
	return du, nil
}

// InvertedCorrectionDIN returns what to add to U in W/m2K for an inverted roof of
// which the given share of resistance, 0 to 1, lies below the membrane.
//
// Source: DIN 4108-2, inverted roofs (0.05, 0.03 and 0 below 10 %, to 50 % and above).
func InvertedCorrectionDIN(shareBelow float64) (float64, error) {
	if err := check.First("fabric", check.Within("share of resistance below the membrane", shareBelow, 0, 1)); err != nil {
		return 0, err
	}
	switch {
	case shareBelow < 0.1:
		return 0.05, nil
	case shareBelow <= 0.5:
		return 0.03, nil
	default:
		return 0, nil
	}
}

// Corrected adds corrections in W/m2K to u. They are left out when together they
// are no more than 3 % of u.
//
// Source: ISO 6946 (2007 Annex D, 2017 Annex F).
func Corrected(u float64, corrections ...float64) (float64, error) {
	if err := check.First("fabric", check.Positive("U-value", u)); err != nil {
		return 0, err
	}
	sum := 0.0
	for _, c := range corrections {
		if err := check.First("fabric", check.NotNegative("correction", c)); err != nil {
			return 0, err
		}
		sum += c
	}
	if sum <= 0.03*u {
		return u, nil
	}
	return u + sum, nil
}

// ThicknessForU returns the thickness in m of insulation of conductivity lambda
// in W/(m K) that brings the U-value to u in W/m2K, when everything else together
// has the resistance others in m2K/W. It is 0 when the rest is enough. One
// dimension, no fixings, no timber.
//
// Source: ISO 6946, d = lambda (1/U - R).
func ThicknessForU(u, lambda, others float64) (float64, error) {
	if err := check.First("fabric", check.Positive("U-value", u), check.Positive("conductivity", lambda), check.NotNegative("other resistance", others)); err != nil {
		return 0, err
	}
	return math.Max(0, lambda*(1/u-others)), nil
}

func checkShare(r1, rt float64) error {
	return check.First("fabric", check.Positive("total resistance", rt), check.Within("resistance of the insulation", r1, 0, rt))
}
