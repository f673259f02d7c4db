package transport

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Weather is a year of air at both faces, one entry an hour, gone through again and
// again.
type Weather []Air

// advance takes a run through hour k counted from the start of the weather.
func (w Weather) advance(r *Run, k int) error {
	n := len(w)
	return r.Advance(3600, w[k%n], w[(k+1)%n])
}

func (w Weather) check(years int) error {
	if len(w) < 24 {
		return fmt.Errorf("transport: %d hours of weather, want a year", len(w))
	}
	return check.First("transport", check.Within("years", float64(years), 1, 100))
}

// Drying tells how trapped water leaves a roof.
type Drying struct {
	Gone bool
	Days float64 // until it is gone, when it is
	// Left is what is left of the trapped water at the end of each year, kg/m2: the water
	// of the roof less that of the same roof that never was wet. It is more than what was
	// trapped when the wet roof takes in more than the dry one.
	Left []float64
	// Dry is the water in the roof that never was wet, at the same times.
	Dry []float64
	// Imbalance is water made or lost by rounding in either run, kg/m2.
	Imbalance float64
}

// Dry follows water trapped in a roof for up to the given number of years and tells
// when no more than share of it is left. It begins at hour first of the weather. The
// roof that never was wet is followed beside it, since every roof takes up and gives
// off water with the seasons.
//
// Source: EN 15026; that nothing but the difference counts is our own choice.
func Dry(roof *Roof, weather Weather, first int, start Start, years int, share float64, acc Accuracy) (Drying, error) {
	var out Drying
	if err := weather.check(years); err != nil {
		return out, err
	}
	trapped := 0.0
	for _, kg := range start.Trapped {
		trapped += kg
	}
	if err := check.First("transport", check.Positive("trapped water", trapped), check.Within("share left", share, 1e-6, 1), check.Within("first hour", float64(first), 0, float64(len(weather)))); err != nil {
		return out, err
	}
	wet, err := NewRun(roof, start, acc)
	if err != nil {
		return out, err
	}
	start.Trapped = nil
	dry, err := NewRun(roof, start, acc)
	if err != nil {
		return out, err
	}
	hours := years * len(weather)
	for k := range hours {
		if err := weather.advance(wet, first+k); err != nil {
			return out, err
		}
		if err := weather.advance(dry, first+k); err != nil {
			return out, err
		}
		if (k+1)%24 != 0 {
			continue
		}
		left := wet.Total() - dry.Total()
		if left <= share*trapped && !out.Gone {
			out.Gone, out.Days = true, float64(k+1)/24
		}
		if (k+1)%len(weather) == 0 || out.Gone {
			out.Left = append(out.Left, left)
			out.Dry = append(out.Dry, dry.Total())
		}
		if out.Gone {
			break
		}
	}
	for _, r := range []*Run{wet, dry} {
		b := r.Balance()
		out.Imbalance = math.Max(out.Imbalance, math.Abs(b.WaterHeld-b.WaterIn+b.WaterOut))
	}
	return out, nil
}

// Year is how wet one part of a roof gets in one year.
type Year struct {
	Peak     float64 // highest mean water content of the part, kg/m3
	PeakHour int     // hour of the weather at which it stands
	Lowest   float64 // kg/m3
	End      float64 // at the year's end, kg/m3
	Over     float64 // days on which it is over the limit given
	FaceRH   float64 // highest daily mean of relative humidity in the part's dampest cell, 0 to 1
	Inner    []Hour  // of the last year only: the cell on the room side, by the hour
}

// Hour is the state of one cell at the end of an hour.
type Hour struct {
	TempC   float64 // degC
	RH      float64 // in its pores, 0 to 1 or a little more
	Content float64 // water, kg/m3
}

// Years follows a roof for a number of years and returns how wet the part of that number
// gets in each. limit is in kg/m3. It fails when the part is a film.
//
// Source: EN 15026.
func Years(roof *Roof, weather Weather, first int, start Start, part, years int, limit float64, acc Accuracy) ([]Year, error) {
	if err := weather.check(years); err != nil {
		return nil, err
	}
	if err := check.First("transport", check.NotNegative("limit", limit), check.Within("first hour", float64(first), 0, float64(len(weather)))); err != nil {
		return nil, err
	}
	run, err := NewRun(roof, start, acc)
	if err != nil {
		return nil, err
	}
	var cells []int
	for i, b := range roof.body {
		if b == part {
			cells = append(cells, i)
		}
	}
	if len(cells) == 0 {
		return nil, fmt.Errorf("transport: part %d is no body", part)
	}
	thick := roof.thickness(part)
	out := make([]Year, years)
	damp := make([]float64, len(cells))
	for y := range out {
		v := &out[y]
		v.Lowest = math.Inf(1)
		for k := range len(weather) {
			at := first + y*len(weather) + k
			if err := weather.advance(run, at); err != nil {
				return nil, err
			}
			for i, c := range cells {
				damp[i] += run.RH(c) / 24
			}
			if y == years-1 {
				v.Inner = append(v.Inner, run.hour(cells[0]))
			}
			if (k+1)%24 != 0 {
				continue
			}
			content := run.Water(part) / thick
			if content > v.Peak {
				v.Peak, v.PeakHour = content, (at+1)%len(weather)
			}
			v.Lowest = min(v.Lowest, content)
			if content > limit {
				v.Over++
			}
			for i := range damp {
				v.FaceRH = max(v.FaceRH, damp[i])
				damp[i] = 0
			}
			v.End = content
		}
	}
	return out, nil
}
