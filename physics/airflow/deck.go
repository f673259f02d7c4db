package airflow

import (
	"math"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// deck is the deck of a ColdVoid on its way. Heat in its lower face and the water
// there are kept as one sum, so that melting needs no rule of its own: the heat says
// how much of the water is liquid.
type deck struct {
	v    ColdVoid
	half float64 // heat capacity of either face, J/m2K

	heat  float64 // of the lower face above ice at 0 degC, its water included, J/m2
	stock float64 // frost and water, kg/m2
	under float64 // lower face, degC
	outer float64 // outer face, degC
}

// moment is one step as it would be with the lower face at some temperature.
type moment struct {
	heat, stock float64 // at its end
	air         voidAir
	outer       float64
	skyHeat     float64 // W/m2, as in DeckHour
	windHeat    float64
	voidHeat    float64
	gained      float64 // water from the air, kg/m2
}

func newDeck(v ColdVoid, s DeckState) *deck {
	d := &deck{v: v, half: v.DeckHeat / 2, stock: s.Frost + s.Water, under: s.UndersideC, outer: s.OuterC}
	d.heat = d.half*s.UndersideC + latentFusion*s.Water
	return d
}

// hour takes the deck through one hour of weather.
func (d *deck) hour(w VoidHour, steps int) (DeckHour, error) {
	if err := check.First("airflow: weather",
		check.Within("outdoor temperature", w.OutC, -60, 60), check.Within("outdoor vapour pressure", w.OutPa, 0, 20e3),
		check.Within("wind", w.Wind, 0, 100), check.Within("sun", w.Sun, 0, 1500), check.Within("sky radiation", w.Sky, 0, 700),
	); err != nil {
		return DeckHour{}, err
	}
	dp, err := Stack(d.v.Height, w.OutC, d.v.RoomC)
	if err != nil {
		return DeckHour{}, err
	}
	room, err := Orifice(SharpEdge, d.v.Gaps, math.Max(0, dp), airRho)
	if err != nil {
		return DeckHour{}, err
	}
	void := Void{
		Area: d.v.Area, OutFlow: d.v.Tight + d.v.PerWind*w.Wind, RoomFlow: room, CeilingU: d.v.CeilingU, CeilSd: d.v.CeilSd,
		RoomC: d.v.RoomC, RoomPa: d.v.RoomPa, OutC: w.OutC, OutPa: w.OutPa, Transfer: d.v.Transfer,
	}
	h := DeckHour{SunHeat: d.v.Absorptance * w.Sun}
	var m moment
	for range steps {
		water := d.water()
		frost := d.stock - water
		m = d.step(void, w, 3600/float64(steps))
		now := d.water()
		h.Condensed += m.gained
		h.Melted += math.Min(frost, math.Max(0, now-water))
		h.SkyHeat += m.skyHeat / float64(steps)
		h.WindHeat += m.windHeat / float64(steps)
		h.VoidHeat += m.voidHeat / float64(steps)
		if drip := now - d.v.Holds; drip > 0 {
			h.Dripped += drip
			d.stock = d.stock - now + d.v.Holds // exactly Holds when no frost is left
			d.heat -= latentFusion * drip
		}
	}
	// The curve of saturation ends there, and so does any roof.
	if err := check.First("airflow: deck in this weather",
		check.Within("underside", d.under, -100, 100), check.Within("outer face", d.outer, -100, 100),
	); err != nil {
		return DeckHour{}, err
	}
	h.AirC = m.air.airC
	h.VapourPa = d.vapour(void, m, 3600/float64(steps))
	h.DeckState = DeckState{UndersideC: d.under, OuterC: d.outer, Water: d.water()}
	h.Frost = d.stock - h.Water
	return h, nil
}

// water is the liquid part of the stock, kg/m2.
func (d *deck) water() float64 {
	switch {
	case d.under > 0:
		return d.stock
	case d.under < 0:
		return 0
	}
	return math.Min(d.stock, math.Max(0, d.heat/latentFusion))
}

// step moves the deck on by dt seconds. Everything is taken at the end of the step.
// The lower face is below 0 degC, above it, or at it while water and frost are both
// there; the step at 0 degC tells which.
func (d *deck) step(void Void, w VoidHour, dt float64) moment {
	zero := d.at(0, void, w, dt)
	under := 0.0
	switch {
	case zero.heat < 0:
		under = falling(func(t float64) float64 { return d.at(t, void, w, dt).heat - d.half*t }, 0, math.Min(d.under, 0)-1)
	case zero.heat > latentFusion*zero.stock:
		under = falling(func(t float64) float64 {
			m := d.at(t, void, w, dt)
			return m.heat - latentFusion*m.stock - d.half*t
		}, 0, math.Max(d.under, 0)+1)
	}
	m := zero
	if under != 0 {
		m = d.at(under, void, w, dt)
	}
	d.heat, d.stock, d.under, d.outer = m.heat, m.stock, under, m.outer
	return m
}

// at works out a step that ends with the lower face at t degC.
func (d *deck) at(t float64, void Void, w VoidHour, dt float64) moment {
	var m moment
	m.outer = d.outerAt(t, w, dt)
	k := m.outer + kelvin
	m.skyHeat = d.v.Emissivity * (w.Sky - stefanBoltzmann*k*k*k*k)
	m.windHeat = outside(w) * (w.OutC - m.outer)
	m.air = void.air(t)
	m.voidHeat = void.Transfer * (m.air.airC - t)
	if m.air.out+m.air.room > 0 {
		deckPa := moistair.PSat(t)
		m.gained = dt * m.air.toDeck * (m.air.wetPa(void, deckPa) - deckPa) / void.Area
	}
	m.gained = math.Max(m.gained, -d.stock) // no more dries off than is there
	m.stock = d.stock + m.gained
	m.heat = d.heat + dt*((m.outer-t)/d.v.DeckR+m.voidHeat) + latentFrost*m.gained
	return m
}

// outerAt is the temperature of the outer face after dt seconds when the lower one
// ends at t, degC. The heat balance falls ever more steeply with it, so Newton's
// method closes in from anywhere.
func (d *deck) outerAt(t float64, w VoidHour, dt float64) float64 {
	store, air, through := d.half/dt, outside(w), 1/d.v.DeckR
	in := d.v.Absorptance*w.Sun + d.v.Emissivity*w.Sky + air*w.OutC + through*t + store*d.outer
	x := d.outer
	for range 50 {
		k := x + kelvin
		radiated := d.v.Emissivity * stefanBoltzmann * k * k * k
		move := (in - (air+through+store)*x - radiated*k) / (air + through + store + 4*radiated)
		x += move
		if math.Abs(move) < 1e-11 {
			break
		}
	}
	return x
}

// outside is the coefficient between outdoor air and the covering, W/m2K.
func outside(w VoidHour) float64 { return 4 + 4*w.Wind }

// vapour is the vapour pressure of the void air that goes with a step, Pa.
func (d *deck) vapour(void Void, m moment, dt float64) float64 {
	if m.air.out+m.air.room > 0 {
		return (m.air.out*void.OutPa + m.air.room*void.RoomPa - m.gained*void.Area/dt) / (m.air.out + m.air.room)
	}
	if m.stock > 0 {
		return moistair.PSat(d.under)
	}
	return void.OutPa
}

// falling returns where a falling function passes 0. The crossing lies on the side of
// a on which b is, perhaps beyond b. It is kept between two points and cut by the
// chord, halving the weight of an end that stays (the Illinois rule).
func falling(f func(float64) float64, a, b float64) float64 {
	fa, fb := f(a), f(b)
	for range 10 {
		if fa*fb <= 0 {
			break
		}
		b, fb = 2*b-a, f(2*b-a)
	}
	for range 200 {
		if fb == 0 || math.Abs(b-a) < 1e-12 || fa == fb {
			break
		}
		x := b - fb*(b-a)/(fb-fa)
		fx := f(x)
		if fx*fb < 0 {
			a, fa = b, fb
		} else {
			fa /= 2
		}
		b, fb = x, fx
	}
	return b
}
