package climate

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

func height(t testing.TB, lat, lon float64, month, day int, utc float64) float64 {
	t.Helper()
	h, err := SunHeight(lat, lon, month, day, utc)
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// highest is the height of the sun when it stands highest on a day at longitude 0.
func highest(t testing.TB, lat float64, month, day int) float64 {
	t.Helper()
	best := math.Inf(-1)
	for utc := 11.0; utc < 13; utc += 1.0 / 120 {
		best = math.Max(best, height(t, lat, 0, month, day, utc))
	}
	return best
}

// The obliquity of the ecliptic is 23.44 degrees; at the equinox the sun stands over the
// equator. The day of the equinox wanders with the leap cycle, 0.4 degrees to a day.
func TestSunAtSolsticeAndEquinox(t *testing.T) {
	for _, lat := range []float64{30, 45, 51.5, 60} {
		vectortest.Near(t, "summer solstice", highest(t, lat, 6, 21), 90-lat+23.44, 0.05)
		vectortest.Near(t, "winter solstice", highest(t, lat, 12, 21), 90-lat-23.44, 0.05)
		vectortest.Near(t, "spring equinox", highest(t, lat, 3, 20), 90-lat, 0.2)
		vectortest.Near(t, "autumn equinox", highest(t, lat, 9, 23), 90-lat, 0.3)
		vectortest.Near(t, "the other half of the globe", highest(t, -lat, 12, 21), 90-lat+23.44, 0.05)
	}
	vectortest.Near(t, "midnight sun", height(t, 70, 0, 6, 21, 0), 70+23.44-90, 0.05)
	vectortest.Near(t, "overhead at the tropic", highest(t, 23.44, 6, 21), 90, 0.1)
}

// Rising and setting at Greenwich as almanacs have them, from memory, to the minute. The
// upper edge is then on the horizon, the middle 0.83 degrees below it.
func TestSunRiseAndSet(t *testing.T) {
	for _, x := range []struct {
		name       string
		month, day int
		utc        float64
	}{
		{"midsummer rise", 6, 21, 3 + 43.0/60},
		{"midsummer set", 6, 21, 20 + 21.0/60},
		{"midwinter rise", 12, 21, 8 + 4.0/60},
		{"midwinter set", 12, 21, 15 + 53.0/60},
	} {
		vectortest.Near(t, x.name, height(t, 51.48, 0, x.month, x.day, x.utc), -0.83, 0.2)
	}
}

// The equation of time as almanacs have it, in minutes, from memory.
func TestEquationOfTime(t *testing.T) {
	for _, x := range []struct {
		month, day int
		minutes    float64
	}{{2, 11, -14.2}, {4, 15, 0}, {5, 14, 3.7}, {6, 13, 0}, {7, 26, -6.5}, {9, 1, 0}, {11, 3, 16.4}, {12, 25, 0}} {
		days := float64(Stamp{Month: x.month, Day: x.day}.ofYear(false)/24) + 0.5
		vectortest.Near(t, "equation of time", 60*sunOn(50, days).equation, x.minutes, 0.6)
	}
}

// A second way to the sun's height, for real years: Kepler's equation solved for the
// orbit of the Earth, with the elements and the sidereal time of Meeus, Astronomical
// Algorithms, from memory. Over a leap cycle a date wanders by up to six tenths of a day.
func TestSunHeightByKepler(t *testing.T) {
	worst := 0.0
	for day := time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC); day.Year() < 2025; day = day.AddDate(0, 0, 5) {
		for hour := 0.25; hour < 24; hour += 3 {
			for _, place := range [][2]float64{{51.5, -0.1}, {-34, 151}, {64, -21}, {1.4, 104}} {
				n := float64(day.Unix())/86400 + 2440587.5 + hour/24 - 2451545
				c := n / 36525
				m := radians(357.52911 + 35999.05029*c)
				e := 0.016708634 - 0.000042037*c
				anomaly := m
				for range 10 {
					anomaly -= (anomaly - e*math.Sin(anomaly) - m) / (1 - e*math.Cos(anomaly))
				}
				perihelion := radians(280.46646 + 36000.76983*c - 357.52911 - 35999.05029*c)
				lambda := perihelion + 2*math.Atan(math.Sqrt((1+e)/(1-e))*math.Tan(anomaly/2)) - radians(0.00569)
				eps := radians(23.439291 - 0.0130042*c)
				ra := math.Atan2(math.Cos(eps)*math.Sin(lambda), math.Cos(lambda))
				dec := math.Asin(math.Sin(eps) * math.Sin(lambda))
				sidereal := radians(280.46061837 + 360.98564736629*n + place[1])
				lat := radians(place[0])
				want := degrees(math.Asin(math.Sin(lat)*math.Sin(dec) + math.Cos(lat)*math.Cos(dec)*math.Cos(sidereal-ra)))
				got := height(t, place[0], place[1], int(day.Month()), day.Day(), hour)
				worst = math.Max(worst, math.Abs(got-want))
			}
		}
	}
	if worst > 0.27 {
		t.Errorf("the sun's height is up to %.3f degrees off", worst)
	}
	t.Logf("largest difference %.3f degrees", worst)
}

// The Earth is nearest to the sun in the first days of January, at 0.9833 of the mean
// distance, and farthest in those of July, at 1.0167 (from memory).
func TestDistanceOfTheSun(t *testing.T) {
	vectortest.Near(t, "nearest", sunOn(0, 2.5).nearness, 1/(0.9833*0.9833), 2e-4)
	vectortest.Near(t, "farthest", sunOn(0, 184.5).nearness, 1/(1.0167*1.0167), 2e-4)
}

// The three pieces of the diffuse share were fitted to meet: a coefficient recalled
// wrongly would leave a step.
func TestDiffuseShareHasNoStep(t *testing.T) {
	vectortest.Near(t, "dull", diffuseShare(0.22), diffuseShare(0.2200001), 5e-4)
	vectortest.Near(t, "bright", diffuseShare(0.8), diffuseShare(0.8000001), 5e-4)
	vectortest.Near(t, "none", diffuseShare(0), 1, 0)
}

func TestSunHeightRunsOverMidnight(t *testing.T) {
	vectortest.Near(t, "25 h of the day before", height(t, 51, 5, 5, 3, 25), height(t, 51, 5, 5, 4, 1), 1e-9)
	vectortest.Near(t, "29 February", height(t, 51, 5, 2, 29, 12), height(t, 51, 5, 3, 1, 12), 1e-12)
}

func TestSunHeightRefusesWhatCannotBe(t *testing.T) {
	nan := math.NaN()
	for _, x := range []struct {
		lat, lon   float64
		month, day int
		utc        float64
	}{
		{91, 0, 1, 1, 0},
		{nan, 0, 1, 1, 0},
		{0, 181, 1, 1, 0},
		{0, 0, 0, 1, 0},
		{0, 0, 13, 1, 0},
		{0, 0, 4, 31, 0},
		{0, 0, 2, 30, 0},
		{0, 0, 1, 0, 0},
		{0, 0, 1, 1, 49},
		{0, 0, 1, 1, nan},
	} {
		if h, err := SunHeight(x.lat, x.lon, x.month, x.day, x.utc); err == nil {
			t.Errorf("%+v gives %v", x, h)
		}
	}
}

// At the pole the sun goes round at one height.
func TestHourMeanAtThePole(t *testing.T) {
	for _, x := range []struct{ lat, day, sine, up float64 }{
		{90, 172, math.Sin(radians(23.44)), 1},
		{-90, 172, 0, 0},
	} {
		sine, up := sunOn(x.lat, x.day).hourMean(17, 5)
		vectortest.Near(t, "sine", sine, x.sine, 1e-3)
		vectortest.Near(t, "up", up, x.up, 1e-9)
	}
}

// The mean over an hour is an integral in closed form; the same by small steps.
func TestHourMeanBySmallSteps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := sunOn(rapid.Float64Range(-90, 90).Draw(t, "lat"), rapid.Float64Range(0, 365).Draw(t, "day"))
		lon := rapid.Float64Range(-180, 180).Draw(t, "lon")
		from := rapid.Float64Range(-12, 36).Draw(t, "from")
		sine, up := s.hourMean(lon, from)
		const steps = 4000
		sum, lit := 0.0, 0
		for i := range steps {
			if x := s.sine(lon, from+(float64(i)+0.5)/steps); x > 0 {
				sum += x
				lit++
			}
		}
		if math.Abs(up-float64(lit)/steps) > 2.0/steps || math.Abs(sine*up-sum/steps) > 1e-4 {
			t.Fatalf("mean %v over %v h, by steps %v over %v", sine, up, sum/math.Max(1, float64(lit)), float64(lit)/steps)
		}
	})
}
