package climate

import (
	"math"

	"underlap/physics/internal/check"
)

func radians(deg float64) float64 { return deg * math.Pi / 180 }
func degrees(rad float64) float64 { return rad * 180 / math.Pi }

// SunHeight returns the height of the sun's middle above the horizon in degrees at a
// latitude and longitude in degrees, north and east positive, for a day of the year
// (month 1 to 12) and a time in hours of UTC, which may run over midnight at either
// end. Below the horizon it is negative. The bending of light by the air, 0.6 degrees
// at the horizon, is left out. 29 February counts as 1 March. It fails for a position
// or date that is none and for a time outside -24 to 48.
//
// Source: low-precision formulas of the Astronomical Almanac, from memory, good to 0.01
// degrees, taken at the middle of the leap cycle 2021 to 2024. As no year is given, the
// height is up to 0.25 degrees off in some year.
func SunHeight(lat, lon float64, month, day int, hourUTC float64) (float64, error) {
	if err := checkPosition(lat, lon); err != nil {
		return 0, err
	}
	if err := check.First("climate", check.Within("month", float64(month), 1, 12), check.Within("time", hourUTC, -24, 48)); err != nil {
		return 0, err
	}
	if err := check.First("climate", check.Within("day of the month", float64(day), 1, float64(daysIn(month, true)))); err != nil {
		return 0, err
	}
	return degrees(sunAt(lat, lon, month, day, hourUTC)), nil
}

// sunAt is SunHeight in radians for a position and date known to be good.
func sunAt(lat, lon float64, month, day int, hourUTC float64) float64 {
	days := float64(Stamp{Month: month, Day: day}.ofYear(false) / 24)
	s := sunOn(lat, days+hourUTC/24)
	return math.Asin(math.Max(-1, math.Min(1, s.sine(lon, hourUTC))))
}

// sunDay is the sun over a place within some hours of a time of the year: the sine of
// its height is up + round times the cosine of the hour angle.
type sunDay struct {
	up, round float64
	equation  float64 // apparent solar time less mean solar time, h
	nearness  float64 // square of the mean distance of the sun over the distance
}

// sunOn is the sun at a latitude in degrees, some days (and a part) after the beginning
// of a year of 365 days in UTC.
func sunOn(lat, days float64) sunDay {
	// From noon of 1 January 2000 to the beginning of the mean of the years 2021 to
	// 2024, of which one has its 29 February behind it for most of the year.
	const begin = 7670.39
	n := begin + days
	mean := radians(math.Mod(280.460+0.9856474*n, 360)) // longitude of the mean sun
	sinG, cosG := math.Sincos(radians(357.528 + 0.9856003*n))
	sinLambda, cosLambda := math.Sincos(mean + radians(1.915*sinG+0.020*2*sinG*cosG))
	sinEps, cosEps := math.Sincos(radians(23.439 - 4e-7*n))
	sinD := sinEps * sinLambda
	sinL, cosL := math.Sincos(radians(lat))
	ascension := math.Atan2(cosEps*sinLambda, cosLambda)
	distance := 1.00014 - 0.01671*cosG - 0.00014*(2*cosG*cosG-1)
	return sunDay{
		up: sinL * sinD, round: cosL * math.Sqrt(1-sinD*sinD),
		equation: math.Remainder(mean-ascension, 2*math.Pi) * 12 / math.Pi,
		nearness: 1 / (distance * distance),
	}
}

// hourAngle is the sun's in radians, 0 when it stands highest.
func (s sunDay) hourAngle(lon, hourUTC float64) float64 {
	return (hourUTC + lon/15 + s.equation - 12) * math.Pi / 12
}

// sine is the sine of the sun's height.
func (s sunDay) sine(lon, hourUTC float64) float64 {
	return s.up + s.round*math.Cos(s.hourAngle(lon, hourUTC))
}

// hourMean is the mean sine of the sun's height over the part of the hour from hourUTC
// on in which the sun is up, and the length of that part in h. The integral is exact.
func (s sunDay) hourMean(lon, hourUTC float64) (sine, up float64) {
	from := s.hourAngle(lon, hourUTC)
	// Bring the middle of the hour within half a turn of noon.
	const hour = math.Pi / 12
	from -= 2 * math.Pi * math.Round((from+hour/2)/(2*math.Pi))
	to := from + hour
	if s.round <= 0 {
		if s.up > 0 {
			return s.up, 1
		}
		return 0, 0
	}
	set := math.Acos(math.Max(-1, math.Min(1, -s.up/s.round)))
	if set < math.Pi { // with the sun up all day the hour may run past midnight
		from, to = math.Max(from, -set), math.Min(to, set)
	}
	if to <= from {
		return 0, 0
	}
	return math.Max(0, s.up+s.round*(math.Sin(to)-math.Sin(from))/(to-from)), (to - from) / hour
}
