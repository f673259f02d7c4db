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
	// mostR and mostSd bound one layer, m2K/W and m: four metres of insulation, and
	// some thousand times what any foil is credited with. Beyond them numbers lose their
	// neighbours to rounding.
	mostR  = 100.0
	mostSd = 1e7
	// delta0 is the vapour permeability of still air, kg/(m s Pa), EN ISO 13788.
	delta0 = 2e-10
)

// Roof is a build-up made ready for the monthly balance. Only Reset changes it, so
// several Workspaces may use one Roof at the same time.
type Roof struct {
	sd     []float64 // s_d from the inside surface to each node, m
	r      []float64 // thermal resistance from room air to each node, m2K/W
	share  []float64 // the same as a share of the total
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
// the insulation. A layer with neither thermal nor vapour resistance is dropped;
// one with a thermal resistance alone gets an s_d of 0.1 mm. It fails for bad
// layers, for more than 100 m2K/W or 1e7 m in one layer, and when no vapour
// resistance is left.
//
// Source: EN ISO 13788 clause 6; the limit of 0.25 m2K/W is from memory of it.
func NewRoof(layers []fabric.Layer, rsi, rse float64) (*Roof, error) {
	roof := new(Roof)
	if err := roof.Reset(layers, rsi, rse); err != nil {
		return nil, err
	}
	return roof, nil
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
	roof := new(Roof)
	if err := roof.build(layers, rsi, rse, wet); err != nil {
		return nil, err
	}
	return roof, nil
}

// Reset makes the roof anew from other layers, as NewRoof does and with the memory
// it has. No Workspace may be using it. After a failure the roof is empty.
//
// Source: as NewRoof.
func (roof *Roof) Reset(layers []fabric.Layer, rsi, rse float64) error {
	return roof.build(layers, rsi, rse, -1)
}

func (roof *Roof) build(layers []fabric.Layer, rsi, rse float64, wet int) error {
	err := roof.fill(layers, rsi, rse, wet)
	if err != nil {
		roof.empty()
	}
	return err
}

func (roof *Roof) empty() {
	roof.sd, roof.r, roof.share, roof.place = roof.sd[:0], roof.r[:0], roof.share[:0], roof.place[:0]
	roof.rTotal, roof.wet = 0, -1
}

func (roof *Roof) fill(layers []fabric.Layer, rsi, rse float64, wet int) error {
	if err := check.First("condense", check.Within("inside surface resistance", rsi, 0, mostR), check.Within("outside surface resistance", rse, 0, mostR)); err != nil {
		return err
	}
	roof.empty()
	roof.sd, roof.r, roof.place = append(roof.sd, 0), append(roof.r, rsi), append(roof.place, place{})
	last := -1 // last layer that was not dropped
	for i := range layers {
		r, sd, err := resistances(&layers[i])
		if err != nil {
			return err
		}
		if r == 0 && sd == 0 {
			continue
		}
		sd = max(sd, thinnest)
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
		return fmt.Errorf("condense: no layer with a resistance")
	}
	if wet >= 0 && roof.wet < 0 {
		return fmt.Errorf("condense: the wet layer has no resistance")
	}
	roof.rTotal = roof.r[len(roof.r)-1] + rse
	if roof.rTotal <= 0 {
		return fmt.Errorf("condense: total thermal resistance is 0")
	}
	for k, r := range roof.r {
		if k > 0 && !(roof.sd[k] > roof.sd[k-1]) {
			return fmt.Errorf("condense: a vapour resistance is lost beside %v m", roof.sd[k])
		}
		roof.share = append(roof.share, r/roof.rTotal)
	}
	return nil
}

// strips is the number of equal strips for a resistance; a hair over a whole
// number is rounding and does not cost a strip.
func strips(r float64) int {
	return max(1, int(math.Ceil(r/stripR-1e-9)))
}

// resistances returns the thermal and the vapour resistance of a layer within the
// bounds that the balance can carry.
func resistances(l *fabric.Layer) (r, sd float64, err error) {
	if r, err = l.Resistance(); err != nil {
		return 0, 0, err
	}
	if sd, err = l.VapourResistance(); err != nil {
		return 0, 0, err
	}
	if !(r <= mostR && sd <= mostSd) {
		return 0, 0, check.First("condense: layer "+l.Name, check.Within("thermal resistance", r, 0, mostR), check.Within("vapour resistance", sd, 0, mostSd))
	}
	return r, sd, nil
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

// VapourResistance returns the total s_d in m, 0 for an empty roof.
func (roof *Roof) VapourResistance() float64 {
	if len(roof.sd) == 0 {
		return 0
	}
	return roof.sd[len(roof.sd)-1]
}
