package condense

import (
	"fmt"
	"slices"

	"underlap/physics/internal/check"
)

// Workspace holds the scratch of the monthly balance, so that it can be run many
// times without new memory. The zero value is ready. One goroutine at a time.
type Workspace struct {
	months [12]month
	water  []float64 // kg/m2 at each node
	wet    []int     // nodes that hold water, from the room outwards
	seen   []int     // nodes of the interfaces recorded
	in     float64   // vapour taken in from the room so far, kg/m2
	out    float64   // vapour given off outdoors so far, kg/m2

	// Memory for all months.
	bounds []float64
	nodes  []int
	rates  []float64
}

// month is one month of the year. What the weather does is the same in every year,
// so saturation is worked out once, and the string that was pulled last is kept for
// as long as it holds.
type month struct {
	seconds    float64
	p          []float64 // bound on vapour pressure at each node: saturation, or the air at the ends
	surfaceWet bool      // the room side surface is below the dew point
	string     tight
}

var monthDays = [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// prepare works out the bounds of each month and starts with a dry roof.
func (w *Workspace) prepare(roof *Roof, c *Climate, indoor Indoor) error {
	if roof == nil || len(roof.share) < 2 {
		return fmt.Errorf("condense: no roof")
	}
	if indoor == nil {
		return fmt.Errorf("condense: no indoor air")
	}
	if err := c.check(); err != nil {
		return err
	}
	n := len(roof.sd)
	if cap(w.water) < n {
		w.water, w.wet = make([]float64, n), make([]int, 0, n)
		w.bounds, w.nodes, w.rates = make([]float64, 12*n), make([]int, 12*n), make([]float64, 12*n)
	}
	w.water = w.water[:n]
	for i := range w.months {
		roomC, roomPa := indoor.Room(c.TempC[i], c.VapourPa[i])
		if !(roomC >= -20 && roomC <= 60 && roomPa >= 0 && roomPa <= mostPa) {
			return check.First("condense: indoor air", check.Within("temperature", roomC, -20, 60), check.Within("vapour pressure", roomPa, 0, mostPa))
		}
		from, to := i*n, (i+1)*n
		m := &w.months[i]
		m.seconds = monthDays[i] * 86400
		m.string = tight{node: w.nodes[from:from:to], rate: w.rates[from:from:to]}
		m.p = w.bounds[from:to:to]
		bound(m.p, roof.share, roomC, c.TempC[i])
		m.surfaceWet = roomPa > m.p[0]
		m.p[0], m.p[n-1] = roomPa, c.VapourPa[i]
	}
	w.dry()
	return nil
}

// bound fills p with saturation pressure for a temperature that goes from one side
// to the other in proportion to share.
func bound(p, share []float64, roomC, outC float64) {
	t := curve
	from, step := cellsPer*roomC, cellsPer*(outC-roomC)
	share = share[:len(p)]
	for k := range p {
		c, d := t.find(from + step*share[k])
		p[k] = c.at(d)
	}
}

func (w *Workspace) dry() {
	clear(w.water)
	w.wet = w.wet[:0]
	w.in, w.out = 0, 0
}

// put adds kg per m2 to node k.
func (w *Workspace) put(k int, kg float64) {
	if kg <= 0 {
		return
	}
	w.water[k] += kg
	if at, found := slices.BinarySearch(w.wet, k); !found {
		w.wet = slices.Insert(w.wet, at, k)
	}
}

// run carries the water through a month, splitting it at each instant at which a
// node runs dry.
func (w *Workspace) run(roof *Roof, m *month) error {
	left := m.seconds
	for events := 0; left > 0; events++ {
		if events > 20*len(roof.sd)+100 {
			return fmt.Errorf("condense: a month does not settle")
		}
		s := &m.string
		if !s.holds(w.water, w.wet) {
			s.pull(m.p, roof.sd, w.wet)
		}
		last := len(s.node) - 1
		step, empties := left, -1
		for i := 1; i < last; i++ {
			k, rate := s.node[i], s.rate[i]
			if kg := w.water[k]; kg > 0 && rate < 0 && kg+rate*step <= 0 {
				step, empties = kg/-rate, k
			}
		}
		w.wet = w.wet[:0]
		for i := 1; i < last; i++ {
			k := s.node[i]
			// A dry node of the string gains or, by rounding, loses nothing to speak of.
			kg := w.water[k] + s.rate[i]*step
			if kg > 0 && k != empties {
				w.water[k] = kg
				w.wet = append(w.wet, k)
			} else {
				w.water[k] = 0
			}
		}
		w.in += s.in * step
		w.out += s.out * step
		left -= step
	}
	return nil
}

func (w *Workspace) total() float64 {
	sum := 0.0
	for _, k := range w.wet {
		sum += w.water[k]
	}
	return sum
}
