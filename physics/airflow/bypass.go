package airflow

import (
	"fmt"
	"math"

	"underlap/physics/fabric"
	"underlap/physics/internal/check"
)

// Bounds of resistance, m2K/W: a roof has at least a film of outside air, and no
// layer insulates like ten metres of foam.
const (
	leastOthers = 0.01
	mostR       = 500.0
)

// Bypassed is a roof sold as warm, with its insulation above the deck, that lets
// outside air into the void between ceiling and deck. All resistances are in
// m2K/W. The joists are left out: heat passes them without meeting the air.
type Bypassed struct {
	Area       float64 // of the roof, m2
	Inside     float64 // surface resistance of the ceiling to the room; fabric.RsiUp is usual
	Ceiling    float64 // boards and anything that lies on them
	Void       float64 // of the void as an unventilated air layer, fabric.RsiUp or more
	Insulation float64 // above the deck
	Others     float64 // deck, vapour layer, covering and outside surface together
	Flow       float64 // outside air through the void, m3/s
	RoomC      float64 // degC
	OutC       float64 // degC
	// Mixed takes the air of the void as mixed throughout. Otherwise it passes from
	// one side to the other and warms on its way.
	Mixed bool
}

// BypassState is the steady state of a Bypassed. Temperatures are means over the
// roof unless said otherwise, in degC.
type BypassState struct {
	U     float64 // heat leaving the room for each K between room and outside, W/m2K
	UFull float64 // without air in the void: ISO 6946 for the whole roof
	UNone float64 // with the void at outdoor temperature: ISO 6946, well ventilated
	// Kept is the share of the saving that is left, (UNone-U)/(UNone-UFull), from 0
	// to 1. It measures against a bare ceiling, so 0.9 may still mean twice UFull.
	Kept float64
	// ActsAs is the resistance of insulation that would lose as much without air in
	// the void, m2K/W; 0 when it would take less than none.
	ActsAs    float64
	AirC      float64 // air of the void
	OutletC   float64 // air as it leaves the void
	CeilingC  float64 // face of the ceiling in the room
	ColdestC  float64 // the same where the air comes in
	DeckC     float64 // underside of the deck
	RoomHeat  float64 // leaves the room, W/m2
	AirHeat   float64 // of it, carried off by the air, W/m2
	CoverHeat float64 // of it, lost upwards through the covering, W/m2
}

// Balance returns the steady state. Radiation across the void is counted with the
// heat that its faces give to the air: fabric.RsiUp between ceiling and air, the
// rest of Void between air and deck, so that without air the sum is that of ISO
// 6946 and with much air its well ventilated layer. Covering and outdoor air are
// taken to be equally warm. It fails for a Void below fabric.RsiUp.
//
// Source: steady heat balance of the air; passing air warms exponentially with its
// path (effectiveness of a heat exchanger with one side constant, any textbook of
// heat transfer). The limits are those of ISO 6946 (the rule for well ventilated
// layers from memory of it).
func (b Bypassed) Balance() (BypassState, error) {
	if err := b.check(); err != nil {
		return BypassState{}, err
	}
	below, above := b.conductances()
	total := below + above
	shortfall := 1.0
	units := total / (airRho * airHeat * (b.Flow / b.Area)) // infinite without air
	switch {
	case b.Mixed:
		shortfall = 1 / (1 + units)
	case units > 0:
		shortfall = meanShortfall(units)
	}

	// Everything is linear, so it is worked out for 1 K between room and outside.
	full := below / total // air of the void above outdoors, without ventilation
	air := full * (1 - shortfall)
	outlet, inlet := air, air
	if !b.Mixed && b.Flow > 0 {
		outlet, inlet = -full*math.Expm1(-units), 0
	}
	s := BypassState{UFull: below * above / total, UNone: below, Kept: 1 - shortfall}
	s.U = s.UFull + shortfall*(s.UNone-s.UFull)
	s.ActsAs = math.Max(0, 1/s.U-1/s.UFull+b.Insulation)
	dt := b.RoomC - b.OutC
	s.AirC = b.OutC + dt*air
	s.OutletC = b.OutC + dt*outlet
	s.CeilingC = b.RoomC - dt*s.U*b.Inside
	s.ColdestC = b.RoomC - dt*below*(1-inlet)*b.Inside
	s.CoverHeat = dt * air * above
	s.DeckC = s.AirC - s.CoverHeat*(b.Void-fabric.RsiUp)
	s.RoomHeat = dt * s.U
	s.AirHeat = dt * below * shortfall // what the air takes up until it leaves at OutletC
	return s, nil
}

// FlowAt returns the flow of outside air in m3/s at which the roof loses u W/m2K.
// The flow given in b does not matter. It fails unless u lies above UFull and below
// UNone.
//
// Source: inverse of Balance; in closed form when the air is mixed, by halving
// otherwise.
func (b Bypassed) FlowAt(u float64) (float64, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	below, above := b.conductances()
	full := below * above / (below + above)
	if !(u > full && u < below) {
		return 0, fmt.Errorf("airflow: bypassed insulation: U-value is %v, want more than %v and less than %v", u, full, below)
	}
	shortfall := (u - full) / (below - full)
	units := 1/shortfall - 1
	if !b.Mixed {
		// The mean shortfall lies between 1 - n/2 and 1/n.
		lo, hi := 2*(1-shortfall), 1/shortfall
		for range 100 {
			units = (lo + hi) / 2
			if meanShortfall(units) > shortfall {
				lo = units
			} else {
				hi = units
			}
		}
	}
	return b.Area * (below + above) / (airRho * airHeat * units), nil
}

// HalfFlow returns the flow of outside air in m3/s at which half of what the
// insulation saves is gone, that is Kept is 0.5.
//
// Source: FlowAt halfway from UFull to UNone.
func (b Bypassed) HalfFlow() (float64, error) {
	if err := b.check(); err != nil {
		return 0, err
	}
	below, above := b.conductances()
	return b.FlowAt((below*above/(below+above) + below) / 2)
}

// conductances are from room air to the air of the void, and from there to
// outside, W/m2K.
func (b Bypassed) conductances() (below, above float64) {
	return 1 / (b.Inside + b.Ceiling + fabric.RsiUp), 1 / (b.Void - fabric.RsiUp + b.Insulation + b.Others)
}

func (b Bypassed) check() error {
	return check.First("airflow: bypassed insulation",
		check.Positive("area", b.Area), check.Within("inside surface resistance", b.Inside, 0, mostR),
		check.Within("resistance of the ceiling", b.Ceiling, 0, mostR),
		check.Within("resistance of the void", b.Void, fabric.RsiUp, mostR),
		check.Within("resistance of the insulation", b.Insulation, 0, mostR),
		check.Within("resistance of the other layers", b.Others, leastOthers, mostR),
		check.NotNegative("flow of air", b.Flow),
		check.Within("room temperature", b.RoomC, -60, 60), check.Within("outdoor temperature", b.OutC, -60, 60),
	)
}

// meanShortfall is how far air that passes falls short of its final warming, as a
// mean over its path: (1 - e^-n)/n for n transfer units.
func meanShortfall(n float64) float64 { return -math.Expm1(-n) / n }
