package world

import (
	"math"

	"underlap/physics/climate"
	"underlap/physics/moistair"
)

// The simulation goes in quarters of an hour: short enough for a lag of minutes.
const (
	stepH      = 0.25
	stepsDay   = 96
	dropPerMMH = stepH // mm in a step for each mm/h
)

// Weather is the weather over the roof before the call, in steps of stepH hours.
type Weather struct {
	Days   int
	First  int       // day of the year of the first step, 0 to 364
	TempC  []float64 // degC
	Rain   []float64 // mm/h as rain
	Melt   []float64 // mm/h let go by lying snow
	Snow   []float64 // mm of water lying as snow
	Wind   []float64 // m/s
	From   []float64 // direction the wind comes from, rad
	Cloud  []float64 // 0 to 1
	Sun    []float64 // W/m2 on the horizontal
	Vapour []float64 // Pa
}

// Steps is the number of steps.
func (w *Weather) Steps() int { return len(w.TempC) }

// month of a day counted from the first, 0 to 11.
func (w *Weather) month(day int) int { return ((w.First + day) % 365) * 12 / 365 }

func (w *Weather) monthly(v [12]float64, day int) float64 {
	x := float64((w.First+day)%365)*12/365 - 0.5
	i := int(math.Floor(x+12)) % 12
	f := x - math.Floor(x)
	return v[i]*(1-f) + v[(i+1)%12]*f
}

// makeWeather draws the weather of so many days before a day of the year. Wet and dry
// spells follow each other; a wet day brings fronts (long, windy, mostly from the
// south-west), showers and, in the warm half of the year, cloudbursts. Rain is then
// brought near to the place's monthly amounts, all but the cloudbursts. Clear dry spells are cold
// in winter and warm in summer. Source: self-made; monthly means of the place.
func makeWeather(d dice, p *climate.Place, days, last int) *Weather {
	n := days * stepsDay
	w := &Weather{Days: days, First: ((last-days)%365 + 365) % 365}
	for _, s := range []*[]float64{&w.TempC, &w.Rain, &w.Melt, &w.Snow, &w.Wind, &w.From, &w.Cloud, &w.Sun, &w.Vapour} {
		*s = make([]float64, n)
	}
	wet := d.chance(0.55)
	anomaly, from := d.normal(0, 3), d.normal(1.25*math.Pi, 0.9)
	usual := make([]float64, n)
	usuals, bursts, want := 0.0, 0.0, 0.0
	for day := range days {
		if d.chance(map[bool]float64{true: 0.18, false: 0.22}[wet]) {
			wet = !wet
		}
		month := w.month(day)
		winter := math.Cos(2 * math.Pi * (float64(month) - 0.5) / 12) // 1 in January, -1 in July
		pull := -2.2 * winter
		if wet {
			pull = 1.2 * winter
		}
		anomaly = 0.78*anomaly + 0.22*pull + d.normal(0, 1.7)
		cloud := clamp(d.normal(map[bool]float64{true: 0.8, false: 0.4}[wet], 0.25), 0, 1)
		swing := (1.2 + 3.6*(1-cloud)) * (1 - 0.3*winter)
		mean := w.monthly(p.TempC, day) + anomaly
		rh := clamp(w.monthly(p.RH, day)+map[bool]float64{true: 0.03, false: -0.03}[wet], 0.5, 0.98)
		pv := rh * moistair.PSat(mean)
		wind := w.monthly(p.WindMS, day)
		if !p.HasWind || wind <= 0 {
			wind = 4
		}
		wind *= d.about(0.85, 2)
		from = from + d.normal(0, 0.5) + 0.25*math.Sin(1.25*math.Pi-from)
		// The sun of a day: a half sine between rise and set.
		half := 6 - 2.1*winter
		mid := w.monthly(p.SolarWM2, day) * 24 / (2 * half) * math.Pi / 2 * (1.45 - 0.9*cloud)
		for k := range stepsDay {
			i, hour := day*stepsDay+k, float64(k)*stepH
			w.TempC[i] = mean - swing*math.Cos(2*math.Pi*(hour-3)/24)
			w.Cloud[i], w.Wind[i], w.From[i] = cloud, wind, from
			if x := (hour - 12) / half; math.Abs(x) < 1 {
				w.Sun[i] = mid * math.Cos(x*math.Pi/2)
			}
			w.Vapour[i] = math.Min(pv, moistair.PSat(w.TempC[i]))
		}
		want += w.monthly(p.RainMM, day) / 30.4
		if !wet {
			continue
		}
		for range 1 + d.IntN(2) {
			if !d.chance(0.7) {
				continue
			}
			at := day*stepsDay + d.IntN(stepsDay)
			kind := d.one(odd{"front", 0.5}, odd{"shower", 0.5}, odd{"burst", 0.10 * math.Max(0, -winter)})
			long, rate, blow := d.between(3, 14), d.about(1.2, 2.5), wind*d.about(1.6, 1.6)
			dir := d.normal(1.25*math.Pi, 0.7)
			switch kind {
			case "shower":
				long, rate, blow, dir = d.between(0.3, 1.2), d.about(4, 3), wind*d.about(1.2, 1.5), from
			case "burst":
				long, rate, blow, dir = d.between(0.25, 0.8), d.about(40, 2), wind, from
			}
			for k := range int(math.Ceil(long / stepH)) {
				i := at + k
				if i >= n {
					break
				}
				r := rate * d.about(1, 2.2)
				if kind == "burst" {
					w.Rain[i] += r
					bursts += r * stepH
				} else {
					usual[i] += r
					usuals += r * stepH
				}
				w.Wind[i], w.From[i], w.Cloud[i] = math.Max(w.Wind[i], blow), dir, math.Max(w.Cloud[i], 0.9)
				w.Sun[i] *= 0.3
			}
		}
	}
	scale := 1.0
	if usuals > 0 {
		scale = clamp((want*d.about(1, 1.6)-bursts)/usuals, 0.2, 3)
	}
	for i := range w.Rain {
		w.Rain[i] += usual[i] * scale
	}
	w.lieAndMelt()
	return w
}

// lieAndMelt turns rain below half a degree into lying snow, and lets it go again:
// 4 mm a day for each degree, the usual degree-day sum of hydrology (from memory).
func (w *Weather) lieAndMelt() {
	lying := 0.0
	for i := range w.Rain {
		if w.TempC[i] < 0.5 {
			lying += w.Rain[i] * stepH
			w.Rain[i], w.Melt[i] = 0, 0
		} else if lying > 0 {
			m := math.Min(lying, 4*w.TempC[i]/24*stepH)
			lying -= m
			w.Melt[i] = m / stepH
		}
		w.Snow[i] = lying
	}
}

// onWall is the rain that the wind drives on a wall facing the given direction, in
// mm/h: 0.222 v r^0.88 cos, the free-field sum of BS EN ISO 15927-3 (from memory).
func (w *Weather) onWall(i int, facing, shelter float64) float64 {
	c := math.Cos(w.From[i] - facing)
	if c <= 0 || w.Rain[i] <= 0 {
		return 0
	}
	return 0.222 * w.Wind[i] * shelter * math.Pow(w.Rain[i], 0.88) * c
}
