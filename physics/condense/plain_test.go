package condense

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/moistair"
)

// plain is the monthly balance written down as simply as it can be: saturation by
// the formula at each node in each month, the string drawn anew by a chain that
// drops points on or above the line, all nodes looked at each time and both years
// run in full. The package was first written so, and the quick form is held to it.
type plain struct {
	roof    *Roof
	climate Climate
	indoor  Indoor
	p       []float64
	water   []float64
	rate    []float64
	chain   []int
	in, out float64
	moved   float64 // vapour through both surfaces, either way
}

func (w *plain) bounds(m int) (surfaceWet bool) {
	ti, pi := w.indoor.Room(w.climate.TempC[m], w.climate.VapourPa[m])
	te := w.climate.TempC[m]
	w.p = w.p[:0]
	for _, r := range w.roof.r {
		w.p = append(w.p, moistair.PSat(ti+(te-ti)*r/w.roof.rTotal))
	}
	surfaceWet = pi > w.p[0]
	w.p[0], w.p[len(w.p)-1] = pi, w.climate.VapourPa[m]
	return surfaceWet
}

func (w *plain) string() (in, out float64) {
	sd := w.roof.sd
	w.chain = append(w.chain[:0], 0)
	fixed := 0 // place in chain of the last node that may not be dropped
	for k := 1; k < len(sd); k++ {
		for len(w.chain)-1 > fixed {
			a, b := w.chain[len(w.chain)-2], w.chain[len(w.chain)-1]
			if (w.p[b]-w.p[a])*(sd[k]-sd[a]) < (w.p[k]-w.p[a])*(sd[b]-sd[a]) {
				break
			}
			w.chain = w.chain[:len(w.chain)-1]
		}
		w.chain = append(w.chain, k)
		if w.water[k] > 0 {
			fixed = len(w.chain) - 1
		}
	}
	clear(w.rate)
	for i := 1; i < len(w.chain); i++ {
		a, b := w.chain[i-1], w.chain[i]
		g := delta0 * (w.p[a] - w.p[b]) / (sd[b] - sd[a])
		w.rate[a] -= g
		w.rate[b] += g
		if a == 0 {
			in = g
		}
		out = g
	}
	w.rate[0], w.rate[len(sd)-1] = 0, 0
	return in, out
}

func (w *plain) month(t *rapid.T, m int) {
	w.bounds(m)
	left := monthDays[m] * 86400
	for events := 0; left > 0; events++ {
		if events > 20*len(w.water)+100 {
			t.Fatal("the plain form does not settle")
		}
		in, out := w.string()
		step, empties := left, -1
		for k, rate := range w.rate {
			if w.water[k] > 0 && rate < 0 && w.water[k]+rate*step <= 0 {
				step, empties = w.water[k]/-rate, k
			}
		}
		for k, rate := range w.rate {
			w.water[k] = math.Max(0, w.water[k]+rate*step)
		}
		if empties >= 0 {
			w.water[empties] = 0
		}
		w.in += in * step
		w.out += out * step
		w.moved += (math.Abs(in) + math.Abs(out)) * step
		left -= step
	}
}

// start is the start rule; some is false when no month condenses.
func (w *plain) start() (start int, some bool) {
	var wet [12]bool
	warmest := 0
	for m := range wet {
		w.bounds(m)
		w.string()
		gain := 0.0
		for _, rate := range w.rate {
			gain += math.Max(0, rate) * monthDays[m] * 86400
		}
		wet[m] = gain > trace
		some = some || wet[m]
		if w.climate.TempC[m] > w.climate.TempC[warmest] {
			warmest = m
		}
	}
	for i := range 12 {
		m := (warmest + i) % 12
		if wet[m] && !wet[(m+11)%12] {
			return m, some
		}
	}
	return 9, some
}

func newPlain(roof *Roof, c Climate, indoor Indoor) *plain {
	n := len(roof.sd)
	return &plain{roof: roof, climate: c, indoor: indoor, water: make([]float64, n), rate: make([]float64, n)}
}

// The quick form gives what the plain form gives, at each node and in each month of
// the first year, after the second, and with the same start and verdict. What they
// may differ by is rounding: 1e-12 of the water handled.
func TestYearIsThePlainYear(t *testing.T) {
	var w Workspace
	var res YearResult
	roof := new(Roof)
	rapid.Check(t, func(t *rapid.T) {
		if err := roof.Reset(drawLayers(t), 0.10, 0.04); err != nil {
			t.Fatal(err)
		}
		c, indoor := drawClimate(t), drawIndoor(t)
		if err := w.Year(&res, roof, c, indoor); err != nil {
			t.Fatal(err)
		}
		want := newPlain(roof, c, indoor)
		for m := range 12 {
			if wet := want.bounds(m); wet != res.SurfaceWet[m] {
				t.Fatalf("month %d: surface wet %v, want %v", m, res.SurfaceWet[m], wet)
			}
		}
		start, some := want.start()
		if some != (res.Outcome != None) {
			t.Fatalf("outcome %v, the plain form condenses: %v", res.Outcome, some)
		}
		if !some {
			return
		}
		if start != res.Start {
			t.Fatalf("start in month %d, want %d", res.Start, start)
		}
		var monthly [12][]float64
		for i := range 12 {
			want.month(t, (start+i)%12)
			monthly[i] = append([]float64(nil), want.water...)
		}
		after1 := sum(want.water)
		for i := range 12 {
			want.month(t, (start+i)%12)
		}
		near := 1e-12*(1e-3+want.moved) + want.rounding()
		peak := 0.0
		for i, water := range monthly {
			for _, f := range res.Interfaces {
				k := nodeAt(roof, f.Sd)
				if !(math.Abs(f.Water[i]-water[k]) <= near) {
					t.Fatalf("month %d, node %d: %v kg/m2, want %v within %v", i, k, f.Water[i], water[k], near)
				}
				water[k] -= f.Water[i]
			}
			if !(math.Abs(sum(water)) <= near) {
				t.Fatalf("month %d: %v kg/m2 at planes that are not reported", i, sum(water))
			}
			peak = math.Max(peak, res.Total[i])
		}
		if !(math.Abs(res.AfterYear1-after1) <= near && math.Abs(res.AfterYear2-sum(want.water)) <= near) {
			t.Fatalf("after the years %v and %v, want %v and %v within %v", res.AfterYear1, res.AfterYear2, after1, sum(want.water), near)
		}
		if !(math.Abs(w.in-want.in) <= near && math.Abs(w.out-want.out) <= near) {
			t.Fatalf("in %v and out %v, want %v and %v", w.in, w.out, want.in, want.out)
		}
		if peak != res.Peak {
			t.Fatalf("peak %v, want %v", res.Peak, peak)
		}
	})
}

// rounding is the vapour that 1e-14 of the pressure drives through the thinnest gap
// between nodes in a year. Flows through thin gaps are differences of nearly equal
// pressures, and no form of the balance knows them better.
func (w *plain) rounding() float64 {
	gap, pressure := math.Inf(1), 0.0
	for k, p := range w.p {
		if k > 0 {
			gap = math.Min(gap, w.roof.sd[k]-w.roof.sd[k-1])
		}
		pressure = math.Max(pressure, p)
	}
	return 1e-14 * pressure * delta0 / gap * 365 * 86400
}

func sum(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s
}

func nodeAt(roof *Roof, sd float64) int {
	for k, x := range roof.sd {
		if x == sd {
			return k
		}
	}
	return -1
}
