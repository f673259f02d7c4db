package world

import (
	"math"

	"underlap/physics/drainage"
	"underlap/physics/moistair"
)

// scene is the house in its weather: what every defect reads, step by step.
type scene struct {
	h *House
	w *Weather

	film   []float64 // depth of water running off, m
	puddle []float64 // depth in the hollow, m
	low    []float64 // depth backed up at the outlet or scupper, m
	spill  []float64 // L/h that the gutter cannot take
	deckC  []float64 // underside of a deck on the cold side of the insulation
	sheetC []float64 // the sheet over insulation
	roomPa []float64
	used   []bool    // a shower, bath or cooking ends in this step
	since  []float64 // h since the last use
}

func newScene(d dice, h *House, w *Weather) *scene {
	n := w.Steps()
	s := &scene{h: h, w: w, used: make([]bool, n)}
	for _, p := range []*[]float64{&s.film, &s.puddle, &s.low, &s.spill, &s.deckC, &s.sheetC, &s.roomPa, &s.since} {
		*p = make([]float64, n)
	}
	s.temperatures()
	s.uses(d)
	s.water()
	return s
}

// temperatures of sheet and deck: a clear calm night takes them some degrees below the
// air, the sun tens of degrees above. Linear in sky and sun: rough, and enough.
func (s *scene) temperatures() {
	for i := range s.w.TempC {
		night := 0.0
		if s.w.Sun[i] < 20 {
			night = 5.5 * (1 - s.w.Cloud[i]) / (1 + s.w.Wind[i]/5)
		}
		out := s.w.TempC[i]
		s.sheetC[i] = out - night + 0.055*s.w.Sun[i]/(1+s.w.Wind[i]/8)
		s.deckC[i] = out - 0.7*night + 0.02*s.w.Sun[i] + 0.06*(s.h.RoomC-out)
	}
}

// uses puts the showers, baths and cooking of the house into the days, and the damp
// of the room that follows.
func (s *scene) uses(d dice) {
	h := s.h
	wet := h.Use == "bathroom" || h.Use == "kitchen" || h.Use == "utility" || h.Pipes == "wet-room"
	for day := range s.w.Days {
		if !wet {
			break
		}
		for range 1 + d.IntN(2) {
			hour := pickOf(d, []float64{7.5, 7.5, 18.5, 21})
			s.used[day*stepsDay+int(clamp(hour+d.normal(0, 0.6), 0, 23.7)/stepH)] = true
		}
	}
	last, bump := 1e3, 0.0
	for i := range s.roomPa {
		last += stepH
		if s.used[i] {
			last = 0
			if h.Use == "bathroom" || h.Use == "kitchen" || h.Use == "utility" {
				bump = 600 // Pa
			}
		}
		bump *= math.Exp(-stepH / 1.2)
		s.since[i] = last
		cold := clamp((22-s.w.TempC[i])/20, 0.15, 1.15)
		s.roomPa[i] = math.Min(s.w.Vapour[i]+h.ExtraPa*cold+bump, 0.9*moistair.PSat(h.RoomC))
	}
}

// water follows the rain over the roof: running film (Manning), puddle, and what is
// held back at an outlet (a wedge, emptied by the weir of the outlet) or a gutter.
func (s *scene) water() {
	h := s.h
	outlet, err := drainage.Circular(h.OutletMM/1000, map[bool]float64{true: 0.5, false: drainage.Open}[h.Guard])
	if err != nil {
		panic(err) // the sizes are our own
	}
	gutter, err := drainage.HalfRoundGutter(h.GutterMM / 1000)
	if err != nil {
		panic(err)
	}
	held, puddle := 0.0, 0.0 // m3, mm
	for i := range s.film {
		r := s.w.Rain[i] + s.w.Melt[i]
		s.film[i] = math.Pow(r/1000/3600*h.D*0.02/math.Sqrt(h.Fall), 0.6)
		puddle = clamp(puddle+3*r*stepH-s.dries(i), 0, h.Hollow)
		s.puddle[i] = puddle / 1000
		in := r / 1000 / 3600 * (h.area() + h.OtherDrains) // m3/s
		if h.Drainage == "gutter" {
			// The falls of a day are gentler than the burst that a gutter is sized for: a
			// quarter of an hour hides peaks of about twice its mean.
			s.spill[i] = math.Max(0, 2*in-gutter*h.Flow) / 2 * 1000 * 3600
			continue
		}
		held += in * stepH * 3600
		depth := math.Sqrt(2 * held * h.Fall / h.W)
		if out, err := outlet.Flow(depth); err == nil {
			held = math.Max(0, held-out*h.Flow*stepH*3600)
			if h.Flow > 0 && in > 0 { // what stands to drive that flow through
				if head, err := outlet.Head(in / h.Flow); err == nil {
					depth = math.Min(depth, head)
				}
			}
		}
		held = math.Min(held, 0.15*0.15*h.W/(2*h.Fall)) // it spills over the kerb somewhere
		s.low[i] = depth
	}
}

// opening is a hole or crack in the field of the roof.
type opening struct {
	flow  func(head, waterC float64) (float64, error) // m3/s
	deep  bool                                        // it lies in the hollow
	strip float64                                     // m2 of roof whose water runs past
	bed   float64                                     // share that the deck below lets by: the sheet lies on it
}

// hollowM2 is the size of the puddle in the hollow.
const hollowM2 = 1.5

// pours follows the water through an opening. It cannot take more than runs past,
// unless it lies in the hollow: then it empties the puddle too.
func (o opening) pours(s *scene) []float64 {
	out := make([]float64, s.w.Steps())
	puddle := 0.0 // m
	for i := range out {
		r := (s.w.Rain[i] + s.w.Melt[i]) * stepH // mm, or L/m2
		head, there := s.film[i], r*o.strip
		if o.deep {
			puddle = clamp(puddle+(3*r-s.dries(i))/1000, 0, s.h.Hollow/1000)
			head = math.Max(head, puddle)
			there += puddle * 1000 * hollowM2
		}
		if head <= 0 || there <= 0 {
			continue
		}
		q, err := o.flow(head, math.Max(s.w.TempC[i], 1))
		if err != nil {
			panic(err) // sizes are our own
		}
		out[i] = math.Min(q*o.bed*1000*3600*stepH, there)
		if o.deep {
			puddle = math.Max(0, puddle-math.Max(0, out[i]-r*o.strip)/1000/hollowM2)
		}
	}
	return out
}

// dries is what the sun and the air take from a puddle in a step, mm.
func (s *scene) dries(i int) float64 { return (0.6 + 0.012*s.w.Sun[i]) / 24 * stepH }

func roundHole(area float64) func(head, waterC float64) (float64, error) {
	return func(head, _ float64) (float64, error) { return drainage.HoleFlow(area, head) }
}

func slit(length, gap, thickness float64) func(head, waterC float64) (float64, error) {
	return func(head, waterC float64) (float64, error) {
		return drainage.SlitFlow(length, math.Min(gap, length), thickness, head, waterC)
	}
}

// thickM is the thickness of the sheet that a crack goes through, m.
func (h *House) thickM() float64 { return math.Max(h.Sheet, 1.2) / 1000 }

// wallWater is rain driven on a wall facing so, L on each m2 in the step.
func (s *scene) wallWater(i int, facing float64) float64 {
	return s.w.onWall(i, facing, s.h.Shelter) * stepH
}

// way is what lies between the hole and the ceiling: it soaks up so much first, then
// lets water through as a store with a time constant, and dries slowly.
type way struct {
	soak  float64 // L
	tau   float64 // h
	dries float64 // L/day
}

// through sends water in down the way, L a step each.
func (y way) through(in []float64) []float64 {
	out := make([]float64, len(in))
	pass := 1 - math.Exp(-stepH/math.Max(y.tau, 0.02))
	store := 0.0
	for i, q := range in {
		store += q
		if store > y.soak {
			out[i] = (store - y.soak) * pass
			store -= out[i]
		}
		store = math.Max(0, store-y.dries*stepH/24)
	}
	return out
}

// down is the usual way of rain through this roof. In a cold roof it drops through the
// deck into the quilt; over a vapour layer it spreads first, tens of litres at a
// millimetre or so, and drains through the laps over days.
func (h *House) down(d dice) way {
	if h.overVapour() && h.VapourLayer == "sheet" {
		return way{soak: d.about(6, 3), tau: d.about(22, 2.5), dries: 0.02}
	}
	y := way{soak: d.about(0.5, 2.5), tau: d.about(1, 2.5), dries: 0.4}
	if h.Quilt || h.VapourLayer == "sheet" {
		y.soak, y.tau = y.soak*2.5, y.tau*1.8
	}
	return y
}

// besideWall is the way in at an edge, where there is often less to soak.
func (h *House) besideWall(d dice) way {
	y := h.down(d)
	if d.chance(0.5) { // down the wall head and past the insulation
		y = way{soak: d.about(0.4, 2.5), tau: d.about(1, 2.5), dries: 0.5}
	}
	return y
}
