package condense

import (
	"fmt"
	"math"

	"underlap/physics/fabric"
	"underlap/physics/internal/check"
)

const (
	// stripR is the largest thermal resistance of a strip, m2K/W: thicker layers
	// are cut into equal strips so that saturation is followed closely.
	stripR = 0.25
	// thinnest is the least vapour resistance in m of a layer that has a thermal
	// resistance. A tenth of a millimetre of air has as much.
	thinnest = 1e-4
	// delta0 is the vapour permeability of still air, kg/(m s Pa), EN ISO 13788.
	delta0 = 2e-10
)

// Roof is a build-up made ready for the monthly balance. It is not changed after
// it is made, so several Workspaces may use one Roof at the same time.
type Roof struct {
	sd     []float64 // s_d from the inside surface to each node, m
	r      []float64 // thermal resistance from room air to each node, m2K/W
	rTotal float64
	place  []place
	wet    int // node of the trapped water, or -1
}

// place says where a node lies in terms of the layers given.
type place struct {
	inner, outer int     // layers on the room side and on the outer side
	depth        float64 // share of the way through the layer when both are one
}

// NewRoof prepares layers, given from the room outwards, between surface
// resistances rsi and rse in m2K/W. Bridges are left out: the balance runs through
// the insulation. A layer with neither thermal nor vapour resistance is dropped.
// It fails for bad layers and when no vapour resistance is left.
//
// Source: EN ISO 13788 clause 6; the limit of 0.25 m2K/W is from memory of it.
func NewRoof(layers []fabric.Layer, rsi, rse float64) (*Roof, error) {
	return build(layers, rsi, rse, -1)
}

// NewTrapped prepares layers as NewRoof does, with a plane for trapped water in the
// middle of layer number wet, counted from 0 at the room. It fails also when there
// is no such layer or it has no vapour resistance.
//
// Source: EN ISO 13788 (2012) clause 7, from memory of it.
func NewTrapped(layers []fabric.Layer, rsi, rse float64, wet int) (*Roof, error) {
	if wet < 0 || wet >= len(layers) {
		return nil, fmt.Errorf("condense: no layer %d of %d", wet, len(layers))
	}
	return build(layers, rsi, rse, wet)
}

func build(layers []fabric.Layer, rsi, rse float64, wet int) (*Roof, error) {
	if err := check.First("condense", check.NotNegative("inside surface resistance", rsi), check.NotNegative("outside surface resistance", rse)); err != nil {
		return nil, err
	}
	roof := &Roof{sd: []float64{0}, r: []float64{rsi}, place: []place{{}}, wet: -1}
	last := -1 // last layer that was not dropped
	for i, l := range layers {
		r, err := l.Resistance()
		if err != nil {
			return nil, err
		}
		sd, err := l.VapourResistance()
		if err != nil {
			return nil, err
		}
		if r == 0 && sd == 0 {
			continue
		}
		sd = math.Max(sd, thinnest)
		if last >= 0 {
			// The node at the end of the layer before is the interface with this one.
			roof.place[len(roof.place)-1] = place{inner: last, outer: i}
		}
		if i == wet {
			half := strips(r / 2)
			roof.add(i, r/2, sd/2, half, 0, 0.5)
			roof.wet = len(roof.sd) - 1
			roof.add(i, r/2, sd/2, half, 0.5, 0.5)
		} else {
			roof.add(i, r, sd, strips(r), 0, 1)
		}
		last = i
	}
	if last < 0 {
		return nil, fmt.Errorf("condense: no layer with a resistance")
	}
	if wet >= 0 && roof.wet < 0 {
		return nil, fmt.Errorf("condense: the wet layer has no resistance")
	}
	roof.rTotal = roof.r[len(roof.r)-1] + rse
	if roof.rTotal <= 0 {
		return nil, fmt.Errorf("condense: total thermal resistance is 0")
	}
	return roof, nil
}

// strips is the number of equal strips for a resistance; a hair over a whole
// number is rounding and does not cost a strip.
func strips(r float64) int {
	return max(1, int(math.Ceil(r/stripR-1e-9)))
}

func (roof *Roof) add(layer int, r, sd float64, n int, from, share float64) {
	sd0, r0 := roof.sd[len(roof.sd)-1], roof.r[len(roof.r)-1]
	for k := 1; k <= n; k++ {
		f := float64(k) / float64(n)
		roof.sd = append(roof.sd, sd0+f*sd)
		roof.r = append(roof.r, r0+f*r)
		roof.place = append(roof.place, place{layer, layer, from + f*share})
	}
}

// Resistance returns the total thermal resistance with surfaces, m2K/W.
func (roof *Roof) Resistance() float64 { return roof.rTotal }

// VapourResistance returns the total s_d in m.
func (roof *Roof) VapourResistance() float64 { return roof.sd[len(roof.sd)-1] }
