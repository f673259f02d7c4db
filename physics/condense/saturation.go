package condense

import (
	"math"

	"underlap/physics/moistair"
)

// The monthly balance asks for saturation at each node in each month, and the
// exponential was most of its time. Here the curve of package moistair is kept as
// short polynomials, one for each half kelvin. Cells meet at 0 degC, where the curve
// over ice gives way to that over water with a kink. A polynomial of degree 6
// through Chebyshev points stays within 1e-14 of the curve, as a share of it.
const (
	cells    = 256
	freezing = 128 // the first cell above 0 degC
	cellsPer = 2.0 // for each kelvin
	degree   = 6
)

// cell holds the coefficients in powers of the distance from its middle, measured in
// cells.
type cell [degree + 1]float64

type table [cells]cell

var curve = tabulate()

func tabulate() *table {
	var t table
	var x cell
	for j := range x {
		x[j] = math.Cos(math.Pi*(float64(j)+0.5)/(degree+1)) / 2
	}
	for i := range t {
		// Newton's divided differences, then nested powers multiplied out.
		var f cell
		for j := range f {
			f[j] = moistair.PSat((float64(i-freezing) + 0.5 + x[j]) / cellsPer)
		}
		for step := 1; step <= degree; step++ {
			for j := degree; j >= step; j-- {
				f[j] = (f[j] - f[j-1]) / (x[j] - x[j-step])
			}
		}
		c := &t[i]
		for j := degree; j >= 0; j-- {
			for k := degree; k > 0; k-- {
				c[k] = c[k-1] - c[k]*x[j]
			}
			c[0] = f[j] - c[0]*x[j]
		}
	}
	return &t
}

// find returns the cell of a temperature v half kelvins above 0 degC, -127 < v < 127,
// and the distance from its middle. The conversion to uint8 holds the index to the
// table.
func (t *table) find(v float64) (*cell, float64) {
	i := int(v + freezing)
	return &t[uint8(i)], v - float64(i-freezing) - 0.5
}

// at returns saturation pressure in Pa at distance d from the middle of the cell.
func (c *cell) at(d float64) float64 {
	d2 := d * d
	return (c[0] + c[1]*d) + d2*((c[2]+c[3]*d)+d2*((c[4]+c[5]*d)+d2*c[6]))
}

// saturation is moistair.PSat, read from the table where that reaches.
func saturation(tempC float64) float64 {
	if tempC >= -60 && tempC <= 60 {
		c, d := curve.find(cellsPer * tempC)
		return c.at(d)
	}
	return moistair.PSat(tempC)
}
