package fabric

import (
	"math"

	"underlap/physics/internal/check"
)

// The four functions below give the U-value in W/m2K of an area whose insulation
// is laid to falls: r0 is the total resistance with surfaces at the thinnest
// point and r1, r2 what the taper adds at other corners, all m2K/W. They hold for
// slopes up to 5 %. All are the mean of 1/R over the area. They fail for r0 of 0
// or less and for a negative taper; a taper of 0 gives 1/r0.

// TaperedRectangle is for a rectangle that rises by r2 from one edge to the
// opposite one.
//
// Source: ISO 6946 Annex C (2007) or E (2017), from memory of it.
func TaperedRectangle(r0, r2 float64) (float64, error) {
	if err := checkTaper(r0, r2); err != nil {
		return 0, err
	}
	return log1pOver(r2/r0) / r0, nil
}

// TaperedThickApex is for a triangle that is thinnest along one side and thicker
// by r2 at the opposite corner.
//
// Source: ISO 6946 Annex C (2007) or E (2017), from memory of it.
func TaperedThickApex(r0, r2 float64) (float64, error) {
	if err := checkTaper(r0, r2); err != nil {
		return 0, err
	}
	return areaMeanReciprocal(r0, r0, r0+r2), nil
}

// TaperedThinApex is for a triangle that is thinnest at one corner and thicker by
// r2 along the opposite side.
//
// Source: ISO 6946 Annex C (2007) or E (2017), from memory of it.
func TaperedThinApex(r0, r2 float64) (float64, error) {
	if err := checkTaper(r0, r2); err != nil {
		return 0, err
	}
	return areaMeanReciprocal(r0, r0+r2, r0+r2), nil
}

// TaperedTriangle is for a triangle with three thicknesses: the thinnest corner,
// one thicker by r1 and one thicker by r2, in either order.
//
// Source: ISO 6946 Annex C (2007) or E (2017), from memory of it.
func TaperedTriangle(r0, r1, r2 float64) (float64, error) {
	if err := check.First("fabric", check.NotNegative("taper", r1)); err != nil {
		return 0, err
	}
	if err := checkTaper(r0, r2); err != nil {
		return 0, err
	}
	return areaMeanReciprocal(r0, r0+math.Min(r1, r2), r0+math.Max(r1, r2)), nil
}

func checkTaper(r0, r2 float64) error {
	return check.First("fabric", check.Positive("resistance at the thinnest point", r0), check.NotNegative("taper", r2))
}

// areaMeanReciprocal is the mean of 1/R over a triangle with corner values
// a <= b <= c, R varying linearly. The printed formulas of the standard divide 0
// by 0 when corners are equal. By the theorem of Hermite and Genocchi the mean is
// twice the second divided difference of g(R) = R ln R - R, which is taken here from
// the two first differences of the sides, each in a form that is safe when its ends
// meet. As the logarithms are small then, no digits are lost however small the taper.
func areaMeanReciprocal(a, b, c float64) float64 {
	// In units of a.
	x, y := b/a, c/a
	if y == 1 {
		return 1 / a
	}
	ab := sideMeanLog(x - 1)
	bc := math.Log(x) + sideMeanLog((y-x)/x)
	return 2 * (bc - ab) / (y - 1) / a
}

// log1pOver is ln(1+x)/x, 1 at x = 0.
func log1pOver(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Log1p(x) / x
}

// sideMeanLog is the mean of ln(1+t) for t from 0 to x, safe at x = 0. Below
// 0.01 it takes the power series, as the closed form loses digits there.
func sideMeanLog(x float64) float64 {
	if math.Abs(x) < 0.01 {
		sum, pow := 0.0, 1.0
		for k := 1; k <= 9; k++ {
			pow *= x
			term := pow / float64(k*(k+1))
			if k%2 == 0 {
				term = -term
			}
			sum += term
		}
		return sum
	}
	return (1+1/x)*math.Log1p(x) - 1
}
