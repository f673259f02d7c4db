package fabric

import "underlap/physics/internal/check"

// Corrections are all that ISO 6946 adds to a U-value worked out from layers.
type Corrections struct {
	Insulation float64    // resistance of the insulation with the gaps and fixings, m2K/W
	GapLevel   int        // 0, 1 or 2, as AirGapCorrection
	Fasteners  *Fasteners // nil when there are none
	Inverted   *Inverted  // nil unless rain runs under the insulation
}

// Inverted is rain running under the insulation of an inverted roof.
type Inverted struct {
	Rain       float64 // mean of the heating season, mm a day
	FX         float64 // drainage factor times heat loss factor, W day/(m2 K mm)
	Insulation float64 // resistance above the membrane, m2K/W
}

// CorrectedU is a U-value with what was added to it, all W/m2K.
type CorrectedU struct {
	U         float64 // with the corrections when Applied, else without
	Gaps      float64
	Fasteners float64
	Inverted  float64
	Applied   bool // false when together they are no more than 3 %
}

// Apply works out the corrections of an element of total resistance total in m2K/W in
// the order of the standard (gaps, fixings, inverted roof) and adds them, unless
// together they are no more than 3 % of the U-value. All are for the total resistance
// before any correction. It fails as the functions of the three do.
//
// Source: ISO 6946 Annex D (2007) or F (2017); see the three functions.
func (c Corrections) Apply(total float64) (CorrectedU, error) {
	var out CorrectedU
	var err error
	if err = check.First("fabric: corrections", check.Positive("total resistance", total)); err != nil {
		return CorrectedU{}, err
	}
	if out.Gaps, err = AirGapCorrection(c.GapLevel, c.Insulation, total); err != nil {
		return CorrectedU{}, err
	}
	if c.Fasteners != nil {
		if out.Fasteners, err = FastenerCorrection(*c.Fasteners, c.Insulation, total); err != nil {
			return CorrectedU{}, err
		}
	}
	if c.Inverted != nil {
		if out.Inverted, err = InvertedCorrection(c.Inverted.Rain, c.Inverted.FX, c.Inverted.Insulation, total); err != nil {
			return CorrectedU{}, err
		}
	}
	if out.U, err = Corrected(1/total, out.Gaps, out.Fasteners, out.Inverted); err != nil {
		return CorrectedU{}, err
	}
	out.Applied = out.U > 1/total
	return out, nil
}
