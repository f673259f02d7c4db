package climate

import (
	"fmt"
	"math"
	"sort"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// The character of the made-up weather. The figures were set by hand to come near three
// hourly years, Antwerp and Belfast (PVGIS) and Minneapolis (TMY3); they have no other
// source.
const (
	// seed is the one among the first forty whose coldest hours come nearest to the
	// design temperatures of the places that have one.
	seed noise = 24

	// Wander of the daily mean of the air temperature, K, in the coldest and in the
	// warmest month: a constant and a share of the yearly swing of the monthly means.
	wanderWinter, wanderWinterSwing = 0.95, 0.17
	wanderSummer, wanderSummerSwing = 0.7, 0.07
	passing                         = 0.7 // K, what passes within a day

	// The daily course of the temperature: the sun warms, a clear sky cools, and what
	// they did fades.
	fadeH    = 5.0    // h
	sunWarms = 0.0075 // K in an hour for each W/m2
	sunEases = 600.0  // W/m2 at which the warmth goes twice as deep into the air
	skyCools = 0.5    // K in an hour under a clear sky at night
	balance  = 100.0  // W/m2 at which the sun makes good what the sky takes

	// Share of the clear-sky radiation on the dullest and on the brightest day.
	dullest, brightest = 0.12, 1.03
	// How far a bright day goes with a warm one, apart from what the sun and the sky do.
	brightWinter, brightSummer = -0.45, -0.15
	broken                     = 0.8 // how much the hours of a half-clouded day differ

	drierClear  = 0.3  // relative humidity less on a clear than on an overcast day
	humidWander = 0.03 // of the relative humidity from day to day
	dewFollows  = 0.5  // share of the daily course that the dew point follows

	windDays, windHours = 0.33, 0.22 // wander of the logarithm of the wind
	windCourse          = 0.03       // of the wind for each K of the daily course
	// usualWind in m/s is taken where a place has no wind; the surface resistances of
	// EN ISO 6946 are for it (from memory).
	usualWind = 4.0

	mostWetDays = 0.75 // of the days of a month
	wettingMM   = 80.0 // mm in a month that wet 63 % of that share

	// Of a value, what is left in the next.
	keepTemp, keepBright, keepWind, keepWet = 0.75, 0.35, 0.4, 0.3 // the next day
	keepHumid                               = 0.5                  // the next day
	keepPassing, keepBroken, keepGust       = 0.9, 0.7, 0.7        // the next hour
)

// Synthetic returns a made-up year of 8760 hours for a place from its monthly means,
// on standard time, for where there is no measured one. The same place always gives the
// same year. The means of air temperature, vapour pressure, global radiation and wind
// and the sum of rain of each month are those of the place to 1e-6. Relative humidity
// follows from temperature and vapour pressure, over liquid water; its mean is that of
// the place as nearly as the place's own figures agree, to 0.02 in the British Isles
// and to 0.1 elsewhere. Vapour pressure is never above moistair.PSat. Without wind in
// the place a mean of 4 m/s is taken, and Notes says so.
//
// Days wander from the season; bright days go with cold in winter. The daily course
// follows the sun and the clear sky of the day. Radiation is a clear sky's times a
// clearness by day and hour. Rain falls in spells on dull days. Long-wave radiation of
// the sky follows from the clearness.
//
// Made from the monthly means of Antwerp and held against the real hours there, the
// tests have: standard deviation of the daily means 2.4 K on average of the months
// against 2.7 real; mean daily range 4.3 against 4.3 K in January and 9.3 against 8.3 in
// July; hours below 0 degC 2.7 against 3.5 %; the coldest hour of the mean day within an
// hour; long-wave radiation of the sky 5 W/m2 higher on the year; clear frosty nights 10
// against 11 from November to February, but 3 against 18 in the rest of the year, as the
// real March was harder than its mean tells. The 0.4th percentile of temperature is 1 K
// (root mean square) from the design temperature of the 14 places that have one, by
// which the seed was chosen. It is likely weather, and no forecast or record.
//
// It fails for a place that is not on the globe, for means that cannot be, for more
// radiation than a clear sky gives and for more vapour than the air can hold.
//
// Source: self-made; the figures are compared with measured years in the test. Clear
// sky of Haurwitz (1945), parted by Erbs, Klein and Duffie (1982); long-wave radiation
// as for FillGaps; all from memory.
func Synthetic(p Place) (*Hourly, error) {
	s, err := newMaker(p)
	if err != nil {
		return nil, err
	}
	if err := s.radiation(); err != nil {
		return nil, err
	}
	s.temperature()
	if err := s.vapour(); err != nil {
		return nil, err
	}
	s.sky()
	s.wind()
	s.rain()
	return s.out, nil
}

// maker makes the quantities of a year one after the other.
type maker struct {
	place Place
	out   *Hourly
	suns  [yearDays]sunDay
	cold  [yearDays]float64 // 0 in the warmest month, 1 in the coldest

	// Wandering numbers of variance 1, by day.
	warmth, bright, windy, wet []float64

	clearDay []float64 // share of the clear-sky radiation, by day
	clear    []float64 // the same, running from noon to noon, by hour
	course   []float64 // daily course of the temperature, by hour, K
	random   noise
}

func newMaker(p Place) (*maker, error) {
	if err := checkPosition(p.Lat, p.Lon); err != nil {
		return nil, err
	}
	for m := range 12 {
		if err := check.First("climate",
			check.Within("temperature", p.TempC[m], -60, 50), check.Within("relative humidity", p.RH[m], 0, 1),
			check.Within("vapour pressure", p.VapourPa[m], 1, 6000), check.Within("wind", p.WindMS[m], 0, 40),
			check.Within("solar radiation", p.SolarWM2[m], 0, 500), check.Within("rain", p.RainMM[m], 0, 5000)); err != nil {
			return nil, err
		}
	}
	s := &maker{place: p, random: seed}
	zone := math.Round(p.Lon / 15)
	s.out = &Hourly{
		Name: p.Name, Country: p.Country, Lat: p.Lat, Lon: p.Lon, AltitudeM: p.AltitudeM,
		ZoneH: zone, SunZoneH: zone, SunAtH: 0.5, Start: Stamp{Month: 1, Day: 1},
		Source: "made up from monthly means: " + p.Source, Licence: p.Licence,
		Hours: make([]Hour, yearHours),
		Notes: []string{"The hours are made up from the means of the months; no such year was measured."},
	}
	for i := range s.out.Hours {
		s.out.Hours[i].Missing = FieldCloud
	}
	coldest, warmest := math.Inf(1), math.Inf(-1)
	for _, t := range p.TempC {
		coldest, warmest = math.Min(coldest, t), math.Max(warmest, t)
	}
	months(func(m, from, to int) {
		for d := from / 24; d < to/24; d++ {
			s.suns[d] = sunOn(p.Lat, float64(d)+0.5-p.Lon/360)
			s.cold[d] = (warmest - p.TempC[m]) / math.Max(1, warmest-coldest)
		}
	})
	// What the days are like, and how that hangs together.
	s.warmth = s.random.wander(yearDays, keepTemp)
	s.bright = s.random.wander(yearDays, keepBright)
	s.windy = s.random.wander(yearDays, keepWind)
	s.wet = s.random.wander(yearDays, keepWet)
	for d := range yearDays {
		r := brightSummer + (brightWinter-brightSummer)*s.cold[d]
		s.bright[d] = r*s.warmth[d] + math.Sqrt(1-r*r)*s.bright[d]
		warm := 0.5*s.cold[d] - 0.3*(1-s.cold[d])
		s.windy[d] = 0.8*s.windy[d] - 0.35*s.bright[d] + 0.5*warm*s.warmth[d]
		s.wet[d] = 0.8*s.wet[d] - 0.6*s.bright[d]
	}
	return s, nil
}

// radiation gives each day a clearness between the dullest and the brightest, bent to
// the month's mean, lets the hours of the day stray from it, and parts the result into
// sun and sky.
func (s *maker) radiation() error {
	h := s.out
	type sunHour struct{ sine, clear float64 } // mean over the hour
	light := make([]sunHour, yearHours)
	var day [yearDays]float64 // sum of the clear-sky radiation
	for i := range light {
		sine, up := s.suns[i/24].hourMean(h.Lon, float64(i%24)-h.ZoneH)
		light[i] = sunHour{sine * up, clearSky(sine) * up}
		day[i/24] += light[i].clear
	}
	s.clearDay = make([]float64, yearDays)
	var err error
	months(func(m, from, to int) {
		want := s.place.SolarWM2[m] * float64(to-from)
		total := 0.0
		for d := from / 24; d < to/24; d++ {
			total += day[d]
		}
		if want > 1.1*total && err == nil {
			err = fmt.Errorf("climate: solar radiation in month %d is %v W/m2, want no more than the %.0f of a clear sky at latitude %v", m+1, s.place.SolarWM2[m], total/float64(to-from), h.Lat)
		}
		s.bend(want, day[:], from/24, to/24)
	})
	if err != nil {
		return err
	}
	s.clear = between(s.clearDay)

	stray := s.random.wander(yearHours, keepBroken)
	global := make([]float64, yearHours)
	for d := range yearDays {
		c, sum := s.clearDay[d], 0.0
		for i := 24 * d; i < 24*d+24; i++ {
			// Broken cloud strays most.
			hour := math.Max(0.05, math.Min(brightest, c+broken*c*math.Max(0, brightest-c)*stray[i]))
			global[i] = hour * light[i].clear
			sum += global[i]
		}
		for i := 24 * d; i < 24*d+24 && sum > 0; i++ {
			global[i] *= c * day[d] / sum
		}
	}
	s.scale(global, s.place.SolarWM2)
	for i := range global {
		s.part(i, global[i], light[i].sine)
	}
	return nil
}

// bend sets the clearness of the days of a month so that their radiation sums to want,
// as nearly as the range of clearness allows.
func (s *maker) bend(want float64, day []float64, from, to int) {
	lo, hi := -4.0, 4.0 // logarithm of the bend
	var low [31]float64 // logarithm of the share of days that are duller
	for d := from; d < to; d++ {
		low[d-from] = math.Log(spread(s.bright[d]))
	}
	for range 30 {
		middle, sum := (lo+hi)/2, 0.0
		bent := math.Exp(middle)
		for d := from; d < to; d++ {
			s.clearDay[d] = dullest + (brightest-dullest)*math.Exp(bent*low[d-from])
			sum += s.clearDay[d] * day[d]
		}
		if sum > want {
			lo = middle
		} else {
			hi = middle
		}
	}
}

// part parts the global radiation of an hour into sun and sky, so that the sun at the
// middle of the hour and the sky give the global radiation again.
func (s *maker) part(i int, global, sine float64) {
	const most = 0.8 * solarWM2 // of the sun's own, under the clearest sky
	h := s.out
	row := &h.Hours[i]
	row.GlobalWM2, row.DiffuseWM2 = global, global
	day := s.suns[i/24]
	middle := day.sine(h.Lon, float64(i%24)+h.SunAtH-h.ZoneH)
	if global <= 0 || middle < 0.02 {
		return
	}
	outside := solarWM2 * day.nearness * sine
	beam := global * (1 - diffuseShare(math.Min(1, global/outside)))
	row.DirectWM2 = math.Min(most, beam/middle)
	row.DiffuseWM2 = global - row.DirectWM2*middle
}

// temperature puts the season under the wander from day to day and the daily course.
func (s *maker) temperature() {
	h := s.out
	swing := 0.0
	for _, a := range s.place.TempC {
		for _, b := range s.place.TempC {
			swing = math.Max(swing, a-b)
		}
	}
	days := make([]float64, yearDays)
	for d := range days {
		winter, summer := wanderWinter+wanderWinterSwing*swing, wanderSummer+wanderSummerSwing*swing
		days[d] = s.warmth[d] * (summer + (winter-summer)*s.cold[d])
	}
	wander := between(days)
	s.course = make([]float64, yearHours)
	fade, v := math.Exp(-1/fadeH), 0.0
	for range 2 { // the first time round brings the value with which to begin
		for i := range s.course {
			g := h.Hours[i].GlobalWM2
			v = v*fade + sunWarms*g/(1+g/sunEases) - skyCools*s.clear[i]*math.Max(0, 1-g/balance)
			s.course[i] = v
		}
	}
	above := make([]float64, yearHours)
	fleeting := s.random.wander(yearHours, keepPassing)
	for i := range above {
		above[i] = wander[i] + s.course[i] + passing*fleeting[i]
	}
	left := meansOf(above)
	for m := range left {
		left[m] = s.place.TempC[m] - left[m]
	}
	for i, base := range season(left) {
		h.Hours[i].TempC = base + above[i]
	}
}

// vapour takes the relative humidity of the month, less on clear days, at a temperature
// without most of the daily course, and holds it at saturation.
func (s *maker) vapour() error {
	h := s.out
	humid := season(s.place.RH)
	stray := between(s.random.wander(yearDays, keepHumid))
	meanClear := season(meansOf(s.clear))
	mean := season(meansOf(s.course))
	full := make([]float64, yearHours)
	free := make([]float64, yearHours)
	for i := range h.Hours {
		row := &h.Hours[i]
		rh := humid[i] - drierClear*(s.clear[i]-meanClear[i]) + humidWander*stray[i]
		rh = math.Max(0.1, math.Min(1, rh))
		free[i] = rh * psatWater(row.TempC-(1-dewFollows)*(s.course[i]-mean[i]))
		full[i] = moistair.PSat(row.TempC)
	}
	var err error
	months(func(m, from, to int) {
		// What is cut off at saturation the other hours must make up for. From below,
		// each round comes nearer and none goes past.
		n, want := float64(to-from), s.place.VapourPa[m]
		scale := 0.0
		for range 60 {
			cut, rest := 0.0, 0.0
			for i := from; i < to; i++ {
				if scale*free[i] > full[i] {
					cut += full[i]
				} else {
					rest += free[i]
				}
			}
			if rest == 0 {
				break
			}
			next := (n*want - cut) / rest
			if next == scale {
				break
			}
			scale = next
		}
		sum := 0.0
		for i := from; i < to; i++ {
			row := &h.Hours[i]
			row.VapourPa = math.Min(scale*free[i], full[i])
			row.RH = row.VapourPa / psatWater(row.TempC)
			sum += row.VapourPa
		}
		if !(math.Abs(sum/n-want) < 1e-7*want) && err == nil {
			err = fmt.Errorf("climate: vapour pressure in month %d is %v Pa, want less than saturation at %v degC", m+1, want, s.place.TempC[m])
		}
	})
	return err
}

// sky works the long-wave radiation out from the clearness of the days.
func (s *maker) sky() {
	for i := range s.out.Hours {
		row := &s.out.Hours[i]
		row.SkyWM2 = skyUnderLoss(row.TempC, row.VapourPa, math.Max(0, math.Min(1, 1-s.clear[i])))
	}
}

func (s *maker) wind() {
	h := s.out
	want := s.place.WindMS
	if !s.place.HasWind {
		for m := range want {
			want[m] = usualWind
		}
		h.note("No wind is known for the place; a mean of %g m/s was taken.", usualWind)
	}
	days, hours := between(s.windy), s.random.wander(yearHours, keepGust)
	wind := make([]float64, yearHours)
	for i := range wind {
		wind[i] = math.Exp(windDays*days[i]+windHours*hours[i]) * (1 + windCourse*math.Max(-3, math.Min(6, s.course[i])))
	}
	s.scale(wind, want)
	for i := range wind {
		h.Hours[i].WindMS = wind[i]
	}
}

// rain falls on the wettest days of a month, in a spell or two of some hours.
func (s *maker) rain() {
	rain := make([]float64, yearHours)
	months(func(m, from, to int) {
		total := s.place.RainMM[m]
		if total == 0 {
			return
		}
		days := to/24 - from/24
		wet := max(1, int(math.Round(float64(days)*mostWetDays*(1-math.Exp(-total/wettingMM)))))
		order := make([]int, days)
		for i := range order {
			order[i] = from/24 + i
		}
		sort.Slice(order, func(i, j int) bool { return s.wet[order[i]] > s.wet[order[j]] })
		sum := 0.0
		for _, d := range order[:wet] {
			for range 2 {
				start, hours := int(24*s.random.even()), 1+int(5*s.random.even())
				depth := -math.Log(s.random.even()) / float64(hours)
				for i := range hours {
					at := 24*d + start + i
					if at < to {
						rain[at] += depth
						sum += depth
					}
				}
			}
		}
		for i := from; i < to; i++ {
			rain[i] *= total / sum
		}
	})
	for i := range rain {
		s.out.Hours[i].RainMM = rain[i]
	}
}

// scale multiplies a value by hour so that the months have the given means. A month of
// nothing stays so.
func (s *maker) scale(v []float64, want [12]float64) {
	mean := meansOf(v)
	months(func(m, from, to int) {
		if mean[m] <= 0 {
			return
		}
		for i := from; i < to; i++ {
			v[i] *= want[m] / mean[m]
		}
	})
}
