package world

import (
	"math"

	"underlap/physics/airflow"
	"underlap/physics/moistair"
)

// sweat is a cold surface over a ceiling that room air reaches.
type sweat struct {
	area   float64 // m2 of cold surface that takes part
	leak   float64 // open area that room air rises through, m2
	sd     float64 // of the ceiling, m
	vent   float64 // m3/s of outside air at 4 m/s
	holds  float64 // L on each m2 before it drips
	coldC  func(i int) float64
	roomPa func(i int) float64 // nil: that of the room
}

// run follows water and frost on the surface, step by step, and returns what drips, L
// a step, and the share of it that was frost. The void is mixed: room air through the
// leak (orifice under the rise of warm air), vapour through the ceiling, outside air;
// what is above saturation at the surface settles on it. Source: as physics/airflow,
// with a surface coefficient of 3 W/m2K by the Lewis relation.
func (v sweat) run(s *scene) (out []float64, frostShare float64) {
	const gas = 461.5
	const beta = 3.0 / (1.2 * 1006 * gas * 280) // kg/(m2 s Pa)
	out = make([]float64, s.w.Steps())
	water, frost := 0.0, 0.0 // L
	melted, dripped := 0.0, 0.0
	fresh := 0.0 // L of water on the surface that was frost
	for i := range out {
		cold := v.coldC(i)
		ps, pr := moistair.PSat(cold), s.roomPa[i]
		if v.roomPa != nil {
			pr = v.roomPa(i)
		}
		rise, err := airflow.Stack(2.4, s.w.TempC[i], s.h.RoomC)
		if err != nil {
			panic(err)
		}
		flow, err := airflow.Orifice(0.6, v.leak, math.Max(0.15, 0.5*rise+0.02*s.w.Wind[i]*s.w.Wind[i]), 1.2)
		if err != nil {
			panic(err)
		}
		vent := v.vent * math.Max(0.2, s.w.Wind[i]/4)
		a := flow / (gas * 285)
		b := vent / (gas * 285)
		c := 2e-10 / v.sd * v.area
		e := beta * v.area
		free := (a*pr + b*s.w.Vapour[i] + c*pr) / (a + b + c)
		pv := (a*pr + b*s.w.Vapour[i] + c*pr + e*ps) / (a + b + c + e)
		kg := 0.0
		if free > ps || water+frost > 0 {
			kg = e * (pv - ps) * stepH * 3600
		}
		if cold < 0 {
			frost = math.Max(0, frost+water+kg) // a film on the boards freezes too
			water, fresh = 0, 0
		} else {
			go1 := math.Min(frost, 0.35*v.area*stepH*math.Min(cold, 4)) // let go within hours
			frost -= go1
			fresh += go1
			water = math.Max(0, water+kg+go1)
			fresh = math.Min(fresh, water)
		}
		if over := water - v.holds*v.area; over > 0 && cold >= 0 {
			q := over * (1 - math.Exp(-stepH/1.5))
			share := fresh / water
			melted += q * share
			dripped += q
			fresh -= q * share
			water -= q
			out[i] = q
		}
	}
	if dripped > 0 {
		frostShare = melted / dripped
	}
	return out, frostShare
}

// fittingCM2 is the open area of one downlight.
func (h *House) fittingCM2() float64 {
	return map[string]float64{"open": 12, "fire-rated": 5, "sealed": 0.6}[h.DownlightKind]
}

// ceilingLeak is all the open area of the ceiling, m2.
func (h *House) ceilingLeak() float64 {
	return (h.GapCM2 + float64(h.Downlights)*h.fittingCM2()) * 1e-4
}

// ventFlow is outside air through the void at 4 m/s, m3/s.
func (h *House) ventFlow() float64 {
	return h.VentACH * h.area() * math.Max(h.ClearVoid, 30) / 1000 / 3600
}
