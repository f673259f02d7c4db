package climate

import "math"

const (
	stefan    = 5.670374e-8 // W/(m2 K4)
	zeroC     = 273.15      // K
	solarWM2  = 1361.0      // outside the air, at the mean distance of the sun, W/m2
	waterBase = 610.5       // saturation pressure at 0 degC, Pa
)

// psatWater is the saturation pressure in Pa over liquid water at any temperature:
// stations report humidity so below 0 degC too. Above 0 it is moistair.PSat.
//
// Source: EN ISO 13788 Annex E, the curve for 0 degC and more.
func psatWater(tC float64) float64 { return waterBase * math.Exp(17.269*tC/(237.3+tC)) }

// dewPointWater is the inverse of psatWater, degC.
func dewPointWater(pv float64) float64 {
	l := math.Log(pv / waterBase)
	return 237.3 * l / (17.269 - l)
}

// skyUnderCover is the long-wave radiation of the sky in W/m2 for an observed share of
// opaque cloud, 0 to 1.
//
// Source: Clark and Allen (1978) for the clear sky and Walton (1983) for cloud, as the
// format EPW takes them; from memory. The infrared column of a TMY3 file in that format
// is met within 0.7 W/m2. Other formulas make a clear winter night 10 to 20 W/m2
// colder.
func skyUnderCover(tC, pv, cover float64) float64 {
	// Very dry air would make it absurd; -60 degC is below any dew point that matters.
	dew := math.Max(-60, dewPointWater(math.Max(pv, 0.1)))
	n := 10 * cover
	return emission(tC, (0.787+0.764*math.Log((dew+zeroC)/273))*(1+0.0224*n-0.0035*n*n+0.00028*n*n*n))
}

// skyUnderLoss is the long-wave radiation of the sky in W/m2 where clouds are known by
// the share of the clear-sky radiation that they take, 0 to 1.
//
// Source: Prata (1996) for the clear sky and Crawford and Duchon (1999) for cloud, both
// from memory. Chosen from five formulas for the clear sky and six for cloud by the
// hourly years of Antwerp and Belfast (PVGIS): it comes near to the spread of winter
// nights there, and stays sound in hard frost.
func skyUnderLoss(tC, pv, lost float64) float64 {
	water := 46.5 * pv / 100 / (tC + zeroC) // in the whole air above, cm
	clear := 1 - (1+water)*math.Exp(-math.Sqrt(1.2+3*water))
	return emission(tC, clear+(1-clear)*lost)
}

func emission(tC, emissivity float64) float64 {
	t := tC + zeroC
	return math.Min(1, emissivity) * stefan * t * t * t * t
}

// clearSky is the global radiation in W/m2 on the horizontal under a clear sky, for the
// sine of the sun's height.
//
// Source: Haurwitz (1945), 1098 s exp(-0.057/s), from memory.
func clearSky(sine float64) float64 {
	if sine <= 0 {
		return 0
	}
	return 1098 * sine * math.Exp(-0.057/sine)
}

// diffuseShare is the share of the global radiation that comes from the sky and not
// from the sun, for global over what would arrive without the air.
//
// Source: Erbs, Klein and Duffie (1982), from memory.
func diffuseShare(kt float64) float64 {
	switch {
	case kt <= 0.22:
		return 1 - 0.09*kt
	case kt <= 0.8:
		return 0.9511 + kt*(-0.1604+kt*(4.388+kt*(-16.638+kt*12.336)))
	}
	return 0.165
}
