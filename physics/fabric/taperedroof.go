package fabric

import (
	"fmt"

	"underlap/physics/internal/check"
)

// TaperShape is the plan of a part of a roof laid to falls.
type TaperShape int

// The shapes of the standard. A roof of any plan is cut into them along its valleys,
// ridges and the lines from corners.
const (
	TaperRectangle     TaperShape = iota // thinnest along one edge, R2 more along the opposite one
	TaperThickApex                       // triangle, thinnest along one side, R2 more at the corner
	TaperThinApex                        // triangle, thinnest at a corner, R2 more along the side
	TaperThreeCornered                   // triangle, thinnest at a corner, R1 and R2 more at the others
)

// TaperedPart is a part of a roof laid to falls.
type TaperedPart struct {
	Shape TaperShape
	Area  float64 // m2
	R0    float64 // total resistance with surfaces at the thinnest point, m2K/W
	R1    float64 // added at one corner, m2K/W; only for TaperThreeCornered
	R2    float64 // added at the thick edge or corner, m2K/W; 0 is flat
}

// U returns the U-value of the part in W/m2K. It fails for an unknown shape, an R1
// where the shape has none, and as the function of the shape does.
//
// Source: ISO 6946 Annex C (2007) or E (2017), from memory of it.
func (p TaperedPart) U() (float64, error) {
	if p.Shape != TaperThreeCornered && p.R1 != 0 {
		return 0, fmt.Errorf("fabric: tapered part: R1 is %v, want 0 for its shape", p.R1)
	}
	switch p.Shape {
	case TaperRectangle:
		return TaperedRectangle(p.R0, p.R2)
	case TaperThickApex:
		return TaperedThickApex(p.R0, p.R2)
	case TaperThinApex:
		return TaperedThinApex(p.R0, p.R2)
	case TaperThreeCornered:
		return TaperedTriangle(p.R0, p.R1, p.R2)
	default:
		return 0, fmt.Errorf("fabric: tapered part: shape %d is not known", p.Shape)
	}
}

// TaperedRoof returns the U-value in W/m2K of a roof made of parts laid to falls: their
// U-values weighed by area. It fails for no parts and for areas of 0 or less.
//
// Source: ISO 6946 Annex C (2007) or E (2017), sum of A U over sum of A, from memory
// of it.
func TaperedRoof(parts []TaperedPart) (float64, error) {
	area, loss := 0.0, 0.0
	for _, p := range parts {
		if err := check.First("fabric: tapered part", check.Positive("area", p.Area)); err != nil {
			return 0, err
		}
		u, err := p.U()
		if err != nil {
			return 0, err
		}
		area += p.Area
		loss += p.Area * u
	}
	if area <= 0 {
		return 0, fmt.Errorf("fabric: tapered roof has no parts")
	}
	return loss / area, nil
}
