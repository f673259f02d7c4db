package condense

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// Workspace holds the scratch of the monthly balance, so that it can be run many
// times without new memory. The zero value is ready. One goroutine at a time.
type Workspace struct {
	p     []float64 // vapour pressure bound at each node: saturation, or fixed at the ends
	water []float64 // kg/m2 at each node
	rate  []float64 // net gain at each node, kg/(m2 s)
	chain []int     // nodes at which the tight string bends
	room  [12]struct{ tempC, pa float64 }
	in    float64 // vapour taken in from the room so far, kg/m2
	out   float64 // vapour given off outdoors so far, kg/m2
}

var monthDays = [12]float64{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// prepare sizes the scratch, empties it and works out the room for each month.
func (w *Workspace) prepare(roof *Roof, c *Climate, indoor Indoor) error {
	if roof == nil || len(roof.sd) < 2 {
		return fmt.Errorf("condense: no roof")
	}
	if indoor == nil {
		return fmt.Errorf("condense: no indoor air")
	}
	if err := c.check(); err != nil {
		return err
	}
	for m := range w.room {
		tempC, pa := indoor.Room(c.TempC[m], c.VapourPa[m])
		if !(tempC >= -20 && tempC <= 60) || !(pa >= 0) || math.IsInf(pa, 0) {
			return check.First("condense: indoor air", check.Within("temperature", tempC, -20, 60), check.NotNegative("vapour pressure", pa))
		}
		w.room[m].tempC, w.room[m].pa = tempC, pa
	}
	n := len(roof.sd)
	if cap(w.p) < n {
		w.p, w.water, w.rate = make([]float64, n), make([]float64, n), make([]float64, n)
		w.chain = make([]int, 0, n)
	}
	w.p, w.water, w.rate = w.p[:n], w.water[:n], w.rate[:n]
	w.dry()
	return nil
}

func (w *Workspace) dry() {
	clear(w.water)
	w.in, w.out = 0, 0
}

// bounds puts the pressure bound of month m at each node. It reports whether the
// room side surface itself is below the dew point.
func (w *Workspace) bounds(roof *Roof, c *Climate, m int) (surfaceWet bool) {
	ti, te := w.room[m].tempC, c.TempC[m]
	for k, r := range roof.r {
		w.p[k] = moistair.PSat(ti + (te-ti)*r/roof.rTotal)
	}
	surfaceWet = w.room[m].pa > w.p[0]
	w.p[0] = w.room[m].pa
	w.p[len(w.p)-1] = c.VapourPa[m]
	return surfaceWet
}

// string pulls the string tight: it fills chain with the nodes where vapour
// pressure bends and rate with the net gain of each node. Nodes holding water
// stay at saturation; between two such nodes, or an end, the string is the lower
// convex hull of the saturation points. It returns the flow in from the room and
// out to the open, kg/(m2 s).
func (w *Workspace) string(sd []float64) (in, out float64) {
	w.chain = append(w.chain[:0], 0)
	fixed := 0 // place in chain of the last node that may not be dropped
	for k := 1; k < len(sd); k++ {
		for len(w.chain)-1 > fixed {
			a, b := w.chain[len(w.chain)-2], w.chain[len(w.chain)-1]
			// b goes when it lies on or above the line from a to k.
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
	// The ends are air, not places where water gathers.
	w.rate[0], w.rate[len(sd)-1] = 0, 0
	return in, out
}

// month carries the water through month m, splitting it at each instant at which
// a node runs dry.
func (w *Workspace) month(roof *Roof, c *Climate, m int) (surfaceWet bool, err error) {
	surfaceWet = w.bounds(roof, c, m)
	left := monthDays[m] * 86400
	for events := 0; left > 0; events++ {
		if events > 20*len(roof.sd)+100 {
			return surfaceWet, fmt.Errorf("condense: month %d does not settle", m+1)
		}
		in, out := w.string(roof.sd)
		step, empties := left, -1
		for k, rate := range w.rate {
			if w.water[k] > 0 && rate < 0 && w.water[k]+rate*step <= 0 {
				step, empties = w.water[k]/-rate, k
			}
		}
		for k, rate := range w.rate {
			// A dry node of the string gains or, by rounding, loses nothing to speak of.
			w.water[k] = math.Max(0, w.water[k]+rate*step)
		}
		if empties >= 0 {
			w.water[empties] = 0
		}
		w.in += in * step
		w.out += out * step
		left -= step
	}
	return surfaceWet, nil
}

func (w *Workspace) total() float64 {
	sum := 0.0
	for _, kg := range w.water {
		sum += kg
	}
	return sum
}
