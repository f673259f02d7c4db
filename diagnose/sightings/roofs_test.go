package sightings

import (
	"math"
	"math/rand"
	"sync"
	"testing"
	"time"

	"underlap/physics/climate"
)

// The roofs of this file are models of their own: hour by hour, with litres, vapour and
// sun, where the package counts days. They share no code with what they are to test.

// hour is an hour of a made year of a place, with a wind direction added.
type hour struct {
	climate.Hour
	from float64 // radians
}

// towns of several climates; what is made of their months is likely weather, not a record.
var towns = []string{"London", "Manchester", "Glasgow", "Leeds", "Dublin", "Berlin", "Copenhagen", "Boston"}

var madeYears = sync.OnceValues(func() ([][]hour, error) {
	var out [][]hour
	for n, name := range towns {
		p, err := climate.ByName(name)
		if err != nil {
			return nil, err
		}
		h, err := climate.Synthetic(p)
		if err != nil {
			return nil, err
		}
		rnd := rand.New(rand.NewSource(int64(n)))
		year, from := make([]hour, len(h.Hours)), 4.0
		for i := range year {
			from += 0.15*rnd.NormFloat64() - 0.02*(from-4) // about south-west, as in the British Isles
			year[i] = hour{h.Hours[i], from}
		}
		out = append(out, year)
	}
	return out, nil
})

// roof tells day by day whether it is wet, from hours of weather.
type roof func(rnd *rand.Rand, weather []hour, first Day) []bool

// daysOver is true on the days of which the hours give more than least.
func daysOver(hours []float64, least float64) []bool {
	out := make([]bool, len(hours)/24)
	for d := range out {
		sum := 0.0
		for _, x := range hours[24*d : 24*d+24] {
			sum += x
		}
		out[d] = sum > least
	}
	return out
}

func between(rnd *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rnd.Float64() }

// drains is a leaking bucket of hours, with some lost on the way to the air.
func drains(in []float64, hours, delay, dries float64) []float64 {
	out, held := make([]float64, len(in)), 0.0
	for i := range in {
		if k := i - int(delay); k >= 0 {
			held += in[k]
		}
		held = math.Max(0, held-dries)
		out[i] = held / hours
		held -= out[i]
	}
	return out
}

var roofs = map[string]roof{
	Rain: func(rnd *rand.Rand, weather []hour, _ Day) []bool {
		in := make([]float64, len(weather))
		for i, h := range weather {
			if h.TempC > 0 {
				in[i] = h.RainMM
			}
		}
		return daysOver(drains(in, math.Exp(between(rnd, math.Log(1.5), math.Log(100))), between(rnd, 0, 30), 0.01), between(rnd, 0.8, 6))
	},
	Wind: func(rnd *rand.Rand, weather []hour, _ Day) []bool {
		in, face := make([]float64, len(weather)), between(rnd, 2, 6)
		for i, h := range weather {
			in[i] = h.RainMM * h.WindMS * math.Max(0, math.Cos(h.from-face)) / 4.5
		}
		return daysOver(drains(in, between(rnd, 2, 40), between(rnd, 0, 12), 0.02), between(rnd, 0.8, 5))
	},
	Cold: func(rnd *rand.Rand, weather []hour, _ Day) []bool {
		// Room air with vapour of its own over that outside, less of it the milder it is (the
		// humidity classes of EN ISO 13788, from memory), against a surface that lags.
		made, factor, slow := between(rnd, 300, 900), between(rnd, 0.1, 0.5), between(rnd, 2, 20)
		out, surface, outside := make([]float64, len(weather)), 10.0, 10.0
		for i, h := range weather {
			surface += (h.TempC + factor*(20-h.TempC) - surface) / slow
			outside += (h.TempC - outside) / 48
			sat := 610.5 * math.Exp(17.269*surface/(237.3+surface))
			excess := made * math.Max(0, math.Min(1, (20-outside)/20))
			out[i] = math.Max(0, h.VapourPa+excess-sat) / 100
		}
		return daysOver(out, between(rnd, 3, 12))
	},
	Thaw: func(rnd *rand.Rand, weather []hour, _ Day) []bool {
		grow, melts := between(rnd, 0.02, 0.06), between(rnd, 0.05, 0.3)
		out, frost := make([]float64, len(weather)), 0.0
		for i, h := range weather {
			deck := h.TempC + 0.01*h.GlobalWM2 - 0.5
			if deck < 0 {
				frost = math.Min(frost-grow*deck, 30)
				continue
			}
			out[i] = math.Min(frost, melts*deck)
			frost -= out[i]
		}
		return daysOver(out, between(rnd, 0.7, 2.5))
	},
	InUse: func(rnd *rand.Rand, weather []hour, first Day) []bool {
		out, weekend := make([]bool, len(weather)/24), rnd.Intn(2) == 0
		for d := range out {
			out[d] = (first+Day(d)).Time().Weekday() == time.Saturday || (first+Day(d)).Time().Weekday() == time.Sunday
			if !weekend {
				out[d] = !out[d]
			}
		}
		return out
	},
	Constant: func(_ *rand.Rand, weather []hour, _ Day) []bool {
		out := make([]bool, len(weather)/24)
		for d := range out {
			out[d] = true
		}
		return out
	},
	None: func(rnd *rand.Rand, weather []hour, _ Day) []bool {
		out, p, stays := make([]bool, len(weather)/24), between(rnd, 0.2, 0.7), between(rnd, 0, 0.6)
		for d := range out {
			out[d] = rnd.Float64() < p
			if d > 0 && rnd.Float64() < stays {
				out[d] = out[d-1]
			}
		}
		return out
	},
}

// told is what the owner remembers of a roof: looks more often when it rains or drips,
// names the day beside it now and then, and is wrong now and then.
func told(rnd *rand.Rand, weather []hour, wet []bool, first Day) History {
	looks := map[Day]Look{}
	var h History
	for d := range wet {
		day := weather[24*d : 24*d+24]
		w := NewWeather(first + Day(d))
		w.Rain, w.Mean, w.Min, w.Max, w.Wind = 0, 0, math.Inf(1), math.Inf(-1), 0
		var x, y float64
		for _, h := range day {
			w.Rain += h.RainMM
			w.Mean += h.TempC / 24
			w.Min, w.Max = math.Min(w.Min, h.TempC), math.Max(w.Max, h.TempC)
			w.Wind += h.WindMS / 24
			x, y = x+math.Cos(h.from), y+math.Sin(h.from)
		}
		w.From = math.Mod(math.Atan2(y, x)*180/math.Pi+360, 360)
		h.Weather = append(h.Weather, w)
		chance := 0.25
		if w.Rain > 3 {
			chance = 0.5
		}
		if wet[d] {
			chance += 0.2
		}
		if d < 5 || rnd.Float64() > chance {
			continue
		}
		l := Look{Day: first + Day(d), Saw: Dry}
		if wet[d] != (rnd.Float64() < 0.03) {
			l.Saw = Drip
		}
		if rnd.Float64() < 0.15 && d > 5 && d < len(wet)-1 {
			l.Day += Day(2*rnd.Intn(2) - 1)
		}
		looks[l.Day] = l
	}
	for _, l := range looks {
		h.Looks = append(h.Looks, l)
	}
	h.sort()
	return h
}

// someRoof makes one record of a roof of that kind, with enough in it to be compared.
func someRoof(t testing.TB, rnd *rand.Rand, kind string, days int) History {
	t.Helper()
	years, err := madeYears()
	if err != nil {
		t.Fatal(err)
	}
	for range 400 {
		year := years[rnd.Intn(len(years))]
		twice := append(append([]hour{}, year...), year...) // a winter does not end with the year
		from := 270 + rnd.Intn(100)                         // October to early January
		weather := twice[24*from : 24*(from+days)]
		first := DayOf(time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)) + Day(from)
		wet := roofs[kind](rnd, weather, first)
		n := 0
		for _, w := range wet[5:] {
			if w {
				n++
			}
		}
		if kind != Constant && (n < 4 || n > len(wet)*3/4) {
			continue // such a roof gives no contrast to tell it by
		}
		return told(rnd, weather, wet, first)
	}
	t.Fatalf("no roof of the kind %s was made", kind)
	return History{}
}
