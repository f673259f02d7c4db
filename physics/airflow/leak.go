// Package airflow gives the flow of air through gaps, the pressures that drive it
// and the moisture it leaves behind: leaks through a ceiling, ventilation openings,
// the damp balance of a ventilated void, the frost that it stores and lets go hour
// by hour, and the insulation that outside air passes by.
package airflow

import (
	"math"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

const (
	kelvin  = 273.15
	day     = 86400.0 // s
	perm    = 2e-10   // vapour permeability of still air, kg/(m s Pa), EN ISO 13788
	airRho  = 1.2     // kg/m3, air at about 20 degC
	airHeat = 1006.0  // J/(kg K)
)

// SharpEdge is the usual discharge coefficient of a sharp-edged opening.
const SharpEdge = 0.6

// Orifice returns the flow in m3/s through an opening of area m2 under a pressure
// difference dp in Pa, with discharge coefficient cd and density rho in kg/m3.
//
// Source: standard fluid mechanics, Q = Cd A sqrt(2 dp / rho).
func Orifice(cd, area, dp, rho float64) (float64, error) {
	if err := check.First("airflow: orifice",
		check.Within("discharge coefficient", cd, 0, 1), check.NotNegative("area", area),
		check.NotNegative("pressure difference", dp), check.Positive("density", rho),
	); err != nil {
		return 0, err
	}
	return cd * area * math.Sqrt(2*dp/rho), nil
}

// PowerLaw returns the flow in m3/s through a gap of coefficient c, in m3/(s Pa^n),
// under dp Pa with exponent n from 0.5 (orifice) to 1 (laminar).
//
// Source: the usual power law of air leakage testing, V = C dp^n.
func PowerLaw(c, dp, n float64) (float64, error) {
	if err := check.First("airflow: power law", check.NotNegative("coefficient", c), check.NotNegative("pressure difference", dp), check.Within("exponent", n, 0.5, 1)); err != nil {
		return 0, err
	}
	return c * math.Pow(dp, n), nil
}

// AtPressure converts a flow measured at pressure from, in Pa, to the pressure to,
// by the power law with exponent n; 0.65 is usual.
//
// Source: power law; the usual exponent is from memory of leakage testing practice.
func AtPressure(flow, from, to, n float64) (float64, error) {
	if err := check.First("airflow: power law", check.NotNegative("flow", flow), check.Positive("pressure", from), check.NotNegative("pressure", to), check.Within("exponent", n, 0.5, 1)); err != nil {
		return 0, err
	}
	return flow * math.Pow(to/from, n), nil
}

// Stack returns the pressure difference in Pa over a height in m between air at
// outC and at inC degrees Celsius. It is positive when the inside is warmer.
//
// Source: ideal gas at 101325 Pa, dp = 0.0342 h p (1/To - 1/Ti), 0.0342 = g/R.
func Stack(height, outC, inC float64) (float64, error) {
	if err := check.First("airflow: stack", check.NotNegative("height", height), check.Within("outside temperature", outC, -100, 100), check.Within("inside temperature", inC, -100, 100)); err != nil {
		return 0, err
	}
	return 0.0342 * height * moistair.StandardPressure * (1/(outC+kelvin) - 1/(inC+kelvin)), nil
}

// WindStagnation returns the stagnation pressure in Pa of wind at v m/s in air of
// density rho kg/m3.
//
// Source: standard fluid mechanics, rho v^2 / 2.
func WindStagnation(rho, v float64) (float64, error) {
	if err := check.First("airflow: wind", check.Positive("density", rho), check.NotNegative("speed", v)); err != nil {
		return 0, err
	}
	return rho * v * v / 2, nil
}

// Condensable returns the water in kg that each m3 of room air, at roomC degrees
// Celsius and relative humidity rh 0 to 1, leaves behind when it is cooled to a
// surface at coldC. It is 0 when the surface is above the dew point. The shrinking
// of the air as it cools is left out, so the answer is a little low: by 3 to 9 %
// for room air of 50 to 70 % against surfaces of -5 to 0 degC.
//
// Source: absolute humidity of the room air less that of saturation at the
// surface, EN ISO 13788 saturation curve.
func Condensable(roomC, rh, coldC float64) (float64, error) {
	if err := check.First("airflow", check.Within("surface temperature", coldC, -100, 100)); err != nil {
		return 0, err
	}
	pv, err := moistair.VapourPressure(roomC, rh)
	if err != nil {
		return 0, err
	}
	room, err := moistair.AbsoluteHumidity(roomC, pv)
	if err != nil {
		return 0, err
	}
	cold, err := moistair.AbsoluteHumidity(coldC, moistair.PSat(coldC))
	if err != nil {
		return 0, err
	}
	return math.Max(0, room-cold), nil
}

// LitresPerDay returns the water in litres a day that a flow of room air in m3/s
// leaves on a surface at coldC degrees Celsius.
//
// Source: as Condensable.
func LitresPerDay(flow, roomC, rh, coldC float64) (float64, error) {
	if err := check.First("airflow", check.NotNegative("flow", flow)); err != nil {
		return 0, err
	}
	perM3, err := Condensable(roomC, rh, coldC)
	return perM3 * flow * day, err
}

// Downlights are openings in a ceiling below a cold void.
type Downlights struct {
	Count  int
	Area   float64 // open area of each, m2
	Height float64 // height over which the warm air stands, m: the void, or the storey below it
	RoomC  float64 // degC
	RH     float64 // of the room, 0 to 1
	VoidC  float64 // air of the void, degC
	ColdC  float64 // underside of the deck, degC
}

// Leak returns the flow of room air through the downlights in m3/s and the water it
// leaves under the deck in litres a day. Warm air rises through all of them while
// the same flow comes back elsewhere at no cost of pressure, so this is an upper
// bound. A void warmer than the room gives no flow.
//
// Source: Orifice with Cd 0.6 and Stack; the water as Condensable.
func (d Downlights) Leak() (flow, litresPerDay float64, err error) {
	if err := check.First("airflow: downlights", check.NotNegative("count", float64(d.Count)), check.NotNegative("area", d.Area)); err != nil {
		return 0, 0, err
	}
	dp, err := Stack(d.Height, d.VoidC, d.RoomC)
	if err != nil {
		return 0, 0, err
	}
	flow, err = Orifice(SharpEdge, float64(d.Count)*d.Area, math.Max(0, dp), airRho)
	if err != nil {
		return 0, 0, err
	}
	litresPerDay, err = LitresPerDay(flow, d.RoomC, d.RH, d.ColdC)
	return flow, litresPerDay, err
}

// Diffusion returns the water in litres a day that diffuses through a ceiling of
// area m2 and vapour resistance sd in m, from vapour pressure roomPa to coldPa. It
// is 0 when the cold side is no drier.
//
// Source: EN ISO 13788, g = delta_0 dp / s_d.
func Diffusion(area, sd, roomPa, coldPa float64) (float64, error) {
	if err := check.First("airflow: diffusion", check.NotNegative("area", area), check.Positive("s_d", sd), check.NotNegative("room vapour pressure", roomPa), check.NotNegative("cold vapour pressure", coldPa)); err != nil {
		return 0, err
	}
	return math.Max(0, perm*(roomPa-coldPa)/sd*area*day), nil
}
