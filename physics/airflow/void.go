package airflow

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// Void is the air space of a cold roof in steady state: outdoor air crosses it,
// room air leaks into it, vapour diffuses into it, and its deck may be colder than
// the outdoor air.
type Void struct {
	Area     float64 // of ceiling and of deck, m2
	OutFlow  float64 // outdoor air through the openings, m3/s
	RoomFlow float64 // room air through the ceiling, m3/s
	CeilingU float64 // from the room to the void, W/m2K
	CeilSd   float64 // vapour resistance of the ceiling, m; 0 leaves diffusion out
	RoomC    float64 // degC
	RoomPa   float64 // vapour pressure, Pa
	OutC     float64 // degC
	OutPa    float64 // vapour pressure, Pa
	DeckC    float64 // underside of the deck, degC: below OutC on a clear night
	Transfer float64 // heat from void air to the deck, W/m2K; 2 is usual for still air
}

// VoidState is the steady state of a Void.
type VoidState struct {
	AirC       float64 // degC
	VapourPa   float64 // Pa
	RH         float64 // of the void air, 0 to 1 or a little more
	DeckRH     float64 // at the deck surface, 1 when it is wet
	Condensing float64 // on the deck, kg/(m2 s); 0 when it is dry
	Frost      bool    // what condenses freezes
}

// Balance returns the steady state. Condensation is limited by the passage of
// vapour from the air to the deck, with the analogy of heat and mass transfer at a
// Lewis number of 1. The water that a wet timber deck gives back is left out. It
// fails when the void exchanges neither air nor heat.
//
// Source: steady balance of heat and vapour; analogy of Lewis, any textbook of
// building physics.
func (v Void) Balance() (VoidState, error) {
	if err := check.First("airflow: void",
		check.Positive("area", v.Area), check.NotNegative("outdoor flow", v.OutFlow), check.NotNegative("room flow", v.RoomFlow),
		check.NotNegative("U-value of the ceiling", v.CeilingU), check.NotNegative("s_d of the ceiling", v.CeilSd),
		check.Within("room temperature", v.RoomC, -60, 60), check.NotNegative("room vapour pressure", v.RoomPa),
		check.Within("outdoor temperature", v.OutC, -60, 60), check.NotNegative("outdoor vapour pressure", v.OutPa),
		check.Within("deck temperature", v.DeckC, -60, 100), check.NotNegative("heat transfer", v.Transfer),
	); err != nil {
		return VoidState{}, err
	}
	if v.heatExchange() <= 0 {
		return VoidState{}, fmt.Errorf("airflow: the void exchanges neither air nor heat")
	}
	a := v.air(v.DeckC)
	s := VoidState{AirC: a.airC, VapourPa: v.OutPa}
	deckPa := moistair.PSat(v.DeckC)
	if a.out+a.room > 0 {
		s.VapourPa = (a.out*v.OutPa + a.room*v.RoomPa) / (a.out + a.room)
	}
	if s.VapourPa > deckPa && a.toDeck > 0 {
		s.VapourPa = a.wetPa(v, deckPa)
		s.Condensing = a.toDeck * (s.VapourPa - deckPa) / v.Area
	}
	s.RH = s.VapourPa / moistair.PSat(s.AirC)
	s.DeckRH = math.Min(1, s.VapourPa/deckPa)
	s.Frost = s.Condensing > 0 && v.DeckC < 0
	return s, nil
}

// heatExchange is all that ties the void air to other temperatures, W/K.
func (v Void) heatExchange() float64 {
	return airRho*airHeat*v.OutFlow + airRho*airHeat*v.RoomFlow + v.CeilingU*v.Area + v.Transfer*v.Area
}

// voidAir is the air of a void over a deck of some temperature.
type voidAir struct {
	airC              float64 // degC
	out, room, toDeck float64 // vapour to and from it, kg/s for each Pa
}

func (v Void) air(deckC float64) voidAir {
	heatOut, heatRoom := airRho*airHeat*v.OutFlow, airRho*airHeat*v.RoomFlow
	ceiling, deck := v.CeilingU*v.Area, v.Transfer*v.Area
	a := voidAir{airC: (heatOut*v.OutC + (heatRoom+ceiling)*v.RoomC + deck*deckC) / v.heatExchange()}

	// Vapour as a flow by partial pressure, with one gas constant and temperature
	// for all: the error is the ratio of absolute temperatures, below 10 %.
	perPa := 1 / (moistair.VapourGasConstant * (a.airC + kelvin)) // kg/m3 for each Pa
	a.out, a.room = v.OutFlow*perPa, v.RoomFlow*perPa
	if v.CeilSd > 0 {
		a.room += perm / v.CeilSd * v.Area
	}
	a.toDeck = v.Transfer / (airRho * airHeat) * v.Area * perPa
	return a
}

// wetPa is the vapour pressure of the air over a wet deck with deckPa at its face.
func (a voidAir) wetPa(v Void, deckPa float64) float64 {
	return (a.out*v.OutPa + a.room*v.RoomPa + a.toDeck*deckPa) / (a.out + a.room + a.toDeck)
}

// Frost is water held as ice under a deck.
type Frost struct {
	KgPerM2 float64
	Litres  float64 // over the whole deck, when it melts
}

// StoredFrost returns the frost that gathers under the deck of v over a number of
// cold days with the deck frozen for the given share of each day, 0 to 1. It
// melts all at once when the deck first passes 0 degC. A deck at 0 degC or above
// stores none: what condenses there soaks in or drips as it comes.
//
// Source: Void.Balance summed over time; common experience of cold roofs, no
// published check.
func StoredFrost(v Void, days, share float64) (Frost, error) {
	if err := check.First("airflow: frost", check.NotNegative("days", days), check.Within("share of the day", share, 0, 1)); err != nil {
		return Frost{}, err
	}
	s, err := v.Balance()
	if err != nil || !s.Frost {
		return Frost{}, err
	}
	kg := s.Condensing * day * days * share
	return Frost{KgPerM2: kg, Litres: kg * v.Area}, nil
}

// latentFusion is the heat of melting of ice, J/kg, from memory of common tables.
const latentFusion = 334e3

// ThawTime returns the time in s that a heat flow in W/m2 takes to melt kgPerM2 of
// frost.
//
// Source: heat of fusion 334 kJ/kg, from memory of common tables.
func ThawTime(kgPerM2, heat float64) (float64, error) {
	if err := check.First("airflow: thaw", check.NotNegative("frost", kgPerM2), check.Positive("heat flow", heat)); err != nil {
		return 0, err
	}
	return kgPerM2 * latentFusion / heat, nil
}
