package climate_test

import (
	"math"
	"sort"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"underlap/physics/climate"
	"underlap/physics/internal/vectortest"
	"underlap/physics/moistair"
)

func places(t testing.TB) []climate.Place {
	t.Helper()
	all, err := climate.Places()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 50 {
		t.Fatalf("only %d places", len(all))
	}
	return all
}

func synthetic(t testing.TB, p climate.Place) *climate.Hourly {
	t.Helper()
	h, err := climate.Synthetic(p)
	if err != nil {
		t.Fatalf("%s: %v", p.ID, err)
	}
	return h
}

type tester interface {
	Helper()
	Fatalf(format string, args ...any)
}

// keepsTheMeans fails unless the months of a made-up year are those of the place.
func keepsTheMeans(t tester, p climate.Place, h *climate.Hourly) {
	t.Helper()
	if len(h.Hours) != 8760 {
		t.Fatalf("%s: %d hours", p.ID, len(h.Hours))
	}
	var temp, vapour, solar, wind, rain [12]float64
	for i, r := range h.Hours {
		m := h.Month(i)
		temp[m] += r.TempC
		vapour[m] += r.VapourPa
		solar[m] += r.GlobalWM2
		wind[m] += r.WindMS
		rain[m] += r.RainMM
	}
	days := [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	for m := range 12 {
		n := 24 * days[m]
		for _, x := range []struct {
			name      string
			got, want float64
		}{
			{"temperature", temp[m] / n, p.TempC[m]},
			{"vapour pressure", vapour[m] / n, p.VapourPa[m]},
			{"radiation", solar[m] / n, p.SolarWM2[m]},
			{"rain", rain[m], p.RainMM[m]},
			{"wind", wind[m] / n, windOf(p, m)},
		} {
			if !(math.Abs(x.got-x.want) <= 1e-6*math.Abs(x.want)+1e-9) {
				t.Fatalf("%s, month %d: %s %v, want %v", p.ID, m+1, x.name, x.got, x.want)
			}
		}
	}
}

func windOf(p climate.Place, m int) float64 {
	if p.HasWind {
		return p.WindMS[m]
	}
	return 4
}

// isPossible fails on an hour that cannot be, and where direct, diffuse and global
// radiation do not agree with the height of the sun.
func isPossible(t tester, p climate.Place, h *climate.Hourly) {
	t.Helper()
	for i, r := range h.Hours {
		sine := math.Sin(h.SunHeight(i) * math.Pi / 180)
		sat := moistair.PSat(r.TempC)
		ok := r.VapourPa > 0 && r.VapourPa <= sat && r.RH > 0 && r.RH <= 1 &&
			math.Abs(r.RH*water(r.TempC)-r.VapourPa) < 1e-6*r.VapourPa &&
			r.WindMS >= 0 && r.WindMS < 60 && r.RainMM >= 0 &&
			r.GlobalWM2 >= 0 && r.GlobalWM2 < 1361*1.035 && r.DirectWM2 >= 0 && r.DirectWM2 < 1361 && r.DiffuseWM2 >= 0 &&
			r.DiffuseWM2 <= r.GlobalWM2+1e-9 &&
			math.Abs(r.DirectWM2*math.Max(0, sine)+r.DiffuseWM2-r.GlobalWM2) < 8 &&
			(r.GlobalWM2 == 0 || sine > -0.15) &&
			r.SkyWM2 > 0 && r.SkyWM2 <= black(r.TempC) &&
			r.Missing == climate.FieldCloud
		if !ok {
			t.Fatalf("%s, row %d, sun's sine %v, saturation %v: %+v", p.ID, i, sine, sat, r)
		}
	}
}

// black is the radiation of a black surface, W/m2.
func black(tC float64) float64 { return 5.670374e-8 * math.Pow(tC+273.15, 4) }

func TestSyntheticKeepsTheMeansOfEveryPlace(t *testing.T) {
	worst, worstBritish := 0.0, 0.0
	for _, p := range places(t) {
		h := synthetic(t, p)
		keepsTheMeans(t, p, h)
		isPossible(t, p, h)
		if noted(h, "4 m/s") == p.HasWind {
			t.Errorf("%s: has wind %v; %q", p.ID, p.HasWind, h.Notes)
		}
		got, err := h.Place()
		if err != nil {
			t.Fatal(err)
		}
		for m := range 12 {
			d := math.Abs(got.RH[m] - p.RH[m])
			worst = math.Max(worst, d)
			if p.Country == "GB" || p.Country == "IE" {
				worstBritish = math.Max(worstBritish, d)
			}
		}
	}
	t.Logf("relative humidity within %.3f, in the British Isles within %.3f", worst, worstBritish)
	if worst > 0.1 || worstBritish > 0.03 {
		t.Errorf("relative humidity within %.3f, in the British Isles within %.3f", worst, worstBritish)
	}
}

// A place drawn at random, as long as its climate can be, keeps its means.
func TestSyntheticOfAnyPlace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := climate.Place{ID: "any", Lat: rapid.Float64Range(-62, 62).Draw(t, "lat"), Lon: rapid.Float64Range(-180, 180).Draw(t, "lon"), HasWind: true}
		mean, swing := rapid.Float64Range(-15, 28).Draw(t, "mean"), rapid.Float64Range(0, 15).Draw(t, "swing")
		clear := rapid.Float64Range(0.1, 1).Draw(t, "clear")
		for m := range 12 {
			season := -math.Cos((float64(m) - 0.5) * math.Pi / 6)
			if p.Lat < 0 {
				season = -season
			}
			p.TempC[m] = mean + swing*season
			p.RH[m] = rapid.Float64Range(0.3, 0.9).Draw(t, "rh")
			p.VapourPa[m] = p.RH[m] * moistair.PSat(p.TempC[m])
			p.WindMS[m] = rapid.Float64Range(0, 9).Draw(t, "wind")
			p.RainMM[m] = rapid.Float64Range(0, 400).Draw(t, "rain")
			// A share of the clear sky of Haurwitz on the middle day of the month, by steps.
			for hour := 0.5; hour < 24; hour++ {
				height, err := climate.SunHeight(p.Lat, 0, m+1, 15, hour)
				if err != nil {
					t.Fatal(err)
				}
				if sine := math.Sin(height * math.Pi / 180); sine > 0 {
					p.SolarWM2[m] += clear * 1098 / 24 * sine * math.Exp(-0.057/sine)
				}
			}
		}
		h, err := climate.Synthetic(p)
		if err != nil {
			t.Fatalf("refused: %v", err)
		}
		keepsTheMeans(t, p, h)
		isPossible(t, p, h)
	})
}

// weatherOf are figures by which made and real weather are held against each other.
type weatherOf struct {
	days               [12]float64 // standard deviation of the daily means, K
	swing              [12]float64 // mean daily range, K
	vapour             [12]float64 // standard deviation of the daily vapour pressures, Pa
	coldest            [12]int     // hour of the mean day
	frost              float64     // share of the hours
	saturated          float64     // share of the hours above 97 % relative humidity
	sky                float64     // mean, W/m2
	winter, clearFrost int         // nights of frost under a clear sky, November to February and in all
	warmAndBright      [12]float64 // correlation of temperature and radiation by days
	tomorrow           float64     // share of a daily mean kept the next day
}

func deviation(v []float64) float64 {
	mean, square := 0.0, 0.0
	for _, x := range v {
		mean += x / float64(len(v))
	}
	for _, x := range v {
		square += (x - mean) * (x - mean) / float64(len(v))
	}
	return math.Sqrt(square)
}

func correlation(a, b []float64) float64 {
	var sum []float64
	for i := range a {
		sum = append(sum, a[i]/deviation(a)+b[i]/deviation(b))
	}
	return deviation(sum)*deviation(sum)/2 - 1
}

func figures(h *climate.Hourly) (w weatherOf) {
	var temp, sun, vapour [12][]float64
	var course [12][24]float64
	w.clearFrost = clearFrostyNights(h, func(int) bool { return true })
	w.winter = clearFrostyNights(h, func(m int) bool { return m >= 10 || m <= 1 })
	for d := range 365 {
		m := h.Month(24 * d)
		mean, light, pv, least, most := 0.0, 0.0, 0.0, math.Inf(1), math.Inf(-1)
		for k := range 24 {
			r := h.Hours[24*d+k]
			mean += r.TempC / 24
			light += r.GlobalWM2 / 24
			pv += r.VapourPa / 24
			least, most = math.Min(least, r.TempC), math.Max(most, r.TempC)
			course[m][k] += r.TempC
			w.sky += r.SkyWM2 / 8760
			if r.TempC < 0 {
				w.frost += 1.0 / 8760
			}
			if r.RH > 0.97 {
				w.saturated += 1.0 / 8760
			}
		}
		temp[m] = append(temp[m], mean)
		sun[m] = append(sun[m], light)
		vapour[m] = append(vapour[m], pv)
		w.swing[m] += most - least
	}
	for m := range 12 {
		n := len(temp[m])
		w.swing[m] /= float64(n)
		w.days[m], w.vapour[m] = deviation(temp[m]), deviation(vapour[m])
		w.warmAndBright[m] = correlation(temp[m], sun[m])
		w.tomorrow += correlation(temp[m][:n-1], temp[m][1:]) / 12
		for k := range 24 {
			if course[m][k] < course[m][w.coldest[m]] {
				w.coldest[m] = k
			}
		}
	}
	return w
}

func average(v [12]float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x / 12
	}
	return s
}

// A year made from the monthly means of Antwerp against the real hours of Antwerp.
func TestSyntheticAgainstTheRealYear(t *testing.T) {
	real := lowland(t)
	p, err := real.Place()
	if err != nil {
		t.Fatal(err)
	}
	a, b := figures(real), figures(synthetic(t, p))
	const january, july = 0, 6
	for _, x := range []struct {
		name            string
		real, made, tol float64
	}{
		{"deviation of daily means, K", average(a.days), average(b.days), 0.6},
		{"the same in January, K", a.days[january], b.days[january], 1},
		{"the same in July, K", a.days[july], b.days[july], 1},
		{"kept from day to day", a.tomorrow, b.tomorrow, 0.15},
		{"daily range over the year, K", average(a.swing), average(b.swing), 1},
		{"daily range in January, K", a.swing[january], b.swing[january], 1},
		{"daily range in July, K", a.swing[july], b.swing[july], 1.5},
		{"hour of the minimum in January", float64(a.coldest[january]), float64(b.coldest[january]), 1},
		{"hour of the minimum in July", float64(a.coldest[july]), float64(b.coldest[july]), 1},
		{"share of hours below 0 degC", a.frost, b.frost, 0.015},
		{"share of hours above 97 %", a.saturated, b.saturated, 0.015},
		{"deviation of daily vapour pressures, Pa", average(a.vapour), average(b.vapour), 40},
		{"sky, W/m2", a.sky, b.sky, 6},
		{"clear frosty nights in winter", float64(a.winter), float64(b.winter), 3},
		// The real March was harder than its mean tells.
		{"clear frosty nights", float64(a.clearFrost), float64(b.clearFrost), 17},
		{"bright and warm in January", a.warmAndBright[january], b.warmAndBright[january], 0.3},
		{"bright and warm in July", a.warmAndBright[july], b.warmAndBright[july], 0.3},
	} {
		t.Logf("%-40s real %8.3f made %8.3f", x.name, x.real, x.made)
		vectortest.Near(t, x.name, x.made, x.real, x.tol)
	}
}

// clearFrostyNights counts the dates of some months, from 0, with a dark hour of frost in which the sky gives
// 70 W/m2 less than it gets, so that a roof grows much colder than the air.
func clearFrostyNights(h *climate.Hourly, in func(month int) bool) int {
	nights := 0
	for d := range 365 {
		if !in(h.Month(24 * d)) {
			continue
		}
		for k := range 24 {
			r := h.Hours[24*d+k]
			if h.SunHeight(24*d+k) < 0 && r.TempC < 0 && black(r.TempC)-r.SkyWM2 > 70 {
				nights++
				break
			}
		}
	}
	return nights
}

// Where winter is cold enough there are nights with frost under a clear sky.
func TestSyntheticHasClearFrostyNights(t *testing.T) {
	for _, p := range places(t) {
		coldest := math.Inf(1)
		for _, v := range p.TempC {
			coldest = math.Min(coldest, v)
		}
		nights, least := clearFrostyNights(synthetic(t, p), func(int) bool { return true }), 0
		switch {
		case coldest < 5:
			least = 4
		case coldest < 6.5:
			least = 1
		}
		if nights < least {
			t.Errorf("%s, coldest month %v degC: %d clear frosty nights, want %d", p.ID, coldest, nights, least)
		}
		if coldest > 15 && nights > 0 {
			t.Errorf("%s, coldest month %v degC: %d frosty nights", p.ID, coldest, nights)
		}
	}
}

// The coldest hours against the usual winter design temperatures of the places: those of
// the United Kingdom from memory, those of the United States read from hourly years.
func TestSyntheticColdAgainstDesignTemperatures(t *testing.T) {
	n, square := 0.0, 0.0
	for _, p := range places(t) {
		if !p.HasDesignMin {
			continue
		}
		got, err := synthetic(t, p).Place()
		if err != nil {
			t.Fatal(err)
		}
		d := got.DesignMinC - p.DesignMinC
		n, square = n+1, square+d*d
		if math.Abs(d) > 2.5 {
			t.Errorf("%s: coldest hours %.1f, design temperature %.1f degC", p.ID, got.DesignMinC, p.DesignMinC)
		}
	}
	if n < 10 || math.Sqrt(square/n) > 1.5 {
		t.Errorf("%v places, %.2f K root mean square", n, math.Sqrt(square/n))
	}
	t.Logf("%v places, %.2f K root mean square", n, math.Sqrt(square/n))
}

// Rain comes in spells: wet hours stand together, and dull hours are the wet ones.
func TestSyntheticRainFallsInSpells(t *testing.T) {
	p, err := climate.ByName("london")
	if err != nil {
		t.Fatal(err)
	}
	h := synthetic(t, p)
	wet, follow, days := 0, 0, 0
	var wetSun, drySun []float64
	for d := range 365 {
		rain, sun := 0.0, 0.0
		for k := range 24 {
			r := h.Hours[24*d+k]
			rain += r.RainMM
			sun += r.GlobalWM2
			if r.RainMM > 0 {
				wet++
				if i := 24*d + k + 1; i < 8760 && h.Hours[i].RainMM > 0 {
					follow++
				}
			}
		}
		if rain >= 1 {
			days++
		}
		if m := h.Month(24 * d); m == 5 || m == 6 {
			if rain > 0 {
				wetSun = append(wetSun, sun)
			} else {
				drySun = append(drySun, sun)
			}
		}
	}
	// Heathrow has about 110 days a year with 1 mm or more (from memory).
	if days < 80 || days > 150 || float64(wet)/8760 > 0.15 || float64(follow)/float64(wet) < 0.6 {
		t.Errorf("%d days, %d hours, %d followed by rain", days, wet, follow)
	}
	sort.Float64s(wetSun)
	sort.Float64s(drySun)
	if wetSun[len(wetSun)/2] > 0.8*drySun[len(drySun)/2] {
		t.Errorf("wet days have %.0f of sun, dry days %.0f", wetSun[len(wetSun)/2], drySun[len(drySun)/2])
	}
	t.Logf("%d days of 1 mm and more, rain in %.3f of the hours", days, float64(wet)/8760)
}

func TestSyntheticIsAlwaysTheSame(t *testing.T) {
	p, err := climate.ByName("glasgow")
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(synthetic(t, p), synthetic(t, p)); d != "" {
		t.Error(d)
	}
}

// The sun stands in the made-up radiation where it stands in the sky: the year ends
// where it begins, and the reader's own test of the time finds no fault.
func TestSyntheticGoesRound(t *testing.T) {
	p, err := climate.ByName("london")
	if err != nil {
		t.Fatal(err)
	}
	h := synthetic(t, p)
	a, b := h.Hours[8759], h.Hours[0]
	if math.Abs(a.TempC-b.TempC) > 2 || math.Abs(a.SkyWM2-b.SkyWM2) > 20 {
		t.Errorf("from %+v to %+v over New Year", a, b)
	}
	if left := closure(h); left > 2 {
		t.Errorf("direct and diffuse leave %.2f W/m2 of the global", left)
	}
}

func TestSyntheticRefusesWhatCannotBe(t *testing.T) {
	good, err := climate.ByName("london")
	if err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	for name, spoil := range map[string]func(*climate.Place){
		"latitude":           func(p *climate.Place) { p.Lat = 91 },
		"longitude":          func(p *climate.Place) { p.Lon = nan },
		"temperature":        func(p *climate.Place) { p.TempC[3] = nan },
		"heat":               func(p *climate.Place) { p.TempC[3] = 51 },
		"humidity":           func(p *climate.Place) { p.RH[3] = 1.1 },
		"no vapour":          func(p *climate.Place) { p.VapourPa[3] = 0 },
		"above saturation":   func(p *climate.Place) { p.VapourPa[0] = 2000 },
		"wind":               func(p *climate.Place) { p.WindMS[3] = -1 },
		"sun":                func(p *climate.Place) { p.SolarWM2[3] = -1 },
		"sun in winter":      func(p *climate.Place) { p.SolarWM2[11] = 120 },
		"sun without a day":  func(p *climate.Place) { p.Lat = 85 },
		"rain":               func(p *climate.Place) { p.RainMM[3] = math.Inf(1) },
		"rain below nothing": func(p *climate.Place) { p.RainMM[3] = -1 },
	} {
		p := good
		spoil(&p)
		if _, err := climate.Synthetic(p); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	// A polar night without sun is in order, and so are months without rain or wind.
	p := good
	p.Lat = 85
	p.SolarWM2 = [12]float64{0, 0, 5, 100, 150, 200, 180, 100, 5, 0, 0, 0}
	p.RainMM[0], p.WindMS[0] = 0, 0
	h := synthetic(t, p)
	keepsTheMeans(t, p, h)
	isPossible(t, p, h)
}

func BenchmarkSynthetic(b *testing.B) {
	p, err := climate.ByName("london")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := climate.Synthetic(p); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkLowland(b *testing.B) {
	for b.Loop() {
		if _, err := climate.Lowland(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFillGaps(b *testing.B) {
	h := lowland(b)
	for i := range h.Hours {
		h.Hours[i].Missing |= climate.FieldSky
	}
	for b.Loop() {
		h.FillGaps()
	}
}
