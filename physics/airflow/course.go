package airflow

import (
	"fmt"

	"underlap/physics/internal/check"
)

const (
	// BeadLimit is the water in kg/m2 that hangs under a deck as beads before it
	// drips: 30 to 50 g/m2, from memory of older editions of BS 5250.
	BeadLimit = 0.05
	// latentVapour is the heat of evaporation of water at 0 degC, J/kg, from memory
	// of common tables.
	latentVapour = 2501e3
	// latentFrost is the heat of sublimation of ice.
	latentFrost = latentVapour + latentFusion
	// stefanBoltzmann is in W/(m2 K4), rounded as ISO 6946 has it.
	stefanBoltzmann = 5.67e-8
	// stepsPerHour makes steps of two minutes. With steps ten times as fine the peak
	// of frost moves by under 0.5 % and the litres of a thaw by under 2 % (tested).
	stepsPerHour = 30
)

// ColdVoid is the void of a cold roof with the deck above it, made to be followed
// through the weather.
type ColdVoid struct {
	Area        float64 // of ceiling and of deck, m2
	Tight       float64 // outdoor air that crosses the void without wind, m3/s
	PerWind     float64 // more of it for each m/s of wind, m3/s: CrossFlow at 1 m/s
	Gaps        float64 // openings in the ceiling through which room air rises, m2
	Height      float64 // height over which the warm air stands under them, m
	CeilingU    float64 // from the room to the void, W/m2K
	CeilSd      float64 // vapour resistance of the ceiling, m; 0 leaves diffusion out
	RoomC       float64 // degC
	RoomPa      float64 // vapour pressure, Pa
	Transfer    float64 // heat from void air to the deck, W/m2K; 2 is usual for still air
	DeckR       float64 // deck and covering from underside to outer face, m2K/W
	DeckHeat    float64 // heat capacity of deck and covering, J/m2K; half of it at each face
	Absorptance float64 // of the covering for sun, 0 to 1
	Emissivity  float64 // of the covering, 0 to 1
	Holds       float64 // water that hangs under the deck before it drips, kg/m2: BeadLimit
}

// VoidHour is the weather of one hour.
type VoidHour struct {
	OutC  float64 // degC
	OutPa float64 // vapour pressure, Pa
	Wind  float64 // at the roof, m/s
	Sun   float64 // global radiation on the horizontal, W/m2
	Sky   float64 // long-wave radiation from the sky, W/m2
}

// DeckState is the state of the deck at one moment.
type DeckState struct {
	UndersideC float64 // degC
	OuterC     float64 // face of the covering, degC
	Frost      float64 // under the deck, kg/m2
	Water      float64 // hanging under the deck, kg/m2
}

// DeckHour is what one hour does to the deck.
type DeckHour struct {
	DeckState         // at the end of the hour
	AirC      float64 // air of the void at the end of the hour, degC
	VapourPa  float64 // of that air, Pa
	Condensed float64 // kg/m2; negative when more dries off than condenses
	Melted    float64 // frost that turned to water, kg/m2
	Dripped   float64 // kg/m2
	// Heat into the deck, mean over the hour, W/m2: sun, long-wave radiation net,
	// outdoor air and air of the void. The heat of condensing comes on top.
	SunHeat, SkyHeat, WindHeat, VoidHeat float64
}

// Thaw is an unbroken run of hours in which frost melts and water drips from the
// deck. Hours are counted from 0.
type Thaw struct {
	Start  int     // its first hour
	End    int     // the hour after its last
	Litres float64 // that drip from the whole deck
	Most   int     // hour in which most drips
	Rate   float64 // litres in that hour
	Melted float64 // litres of frost that melt; the rest of them hangs as beads or dries off
}

// FrostCourse is the way of a ColdVoid through the weather.
type FrostCourse struct {
	Hours      []DeckHour
	PeakFrost  float64 // kg/m2
	PeakLitres float64 // the same over the whole deck
	PeakHour   int     // hour at the end of which it is reached, -1 without frost
	Thaws      []Thaw
}

// Largest returns the thaw that lets most water drip, and false when there is none.
func (c FrostCourse) Largest() (Thaw, bool) {
	var best Thaw
	for _, t := range c.Thaws {
		if t.Litres > best.Litres {
			best = t
		}
	}
	return best, len(c.Thaws) > 0
}

// Course follows the deck through the hours from a state at their beginning:
// condensation, frost, its melting and the dripping of what beads cannot hold, and
// drying into outside air. The weather is steady within an hour. Air and vapour of
// the void are as in Void.Balance at every moment; room air rises by stack effect
// as in Downlights.Leak. Timber soaks up nothing, so the water is an upper bound; no
// snow lies on the roof, under which frost would keep longer. Frost does not hinder
// the passage of heat. Outside, air gives 4 + 4 v W/m2K to
// the covering. It fails for weather outside what is met on Earth and for a state
// with frost above or water below 0 degC.
//
// Source: heat balance of a deck with half its heat capacity at each face and the
// heats of condensing and melting, implicit in steps of two minutes; analogy of
// Lewis as in Void.Balance; outside coefficient of ISO 6946, from memory of it.
// Checked against a second algorithm made for it; no published check.
func (v ColdVoid) Course(start DeckState, hours []VoidHour) (FrostCourse, error) {
	return v.course(start, hours, stepsPerHour)
}

func (v ColdVoid) course(start DeckState, hours []VoidHour, steps int) (FrostCourse, error) {
	if err := v.check(start); err != nil {
		return FrostCourse{}, err
	}
	c := FrostCourse{Hours: make([]DeckHour, len(hours)), PeakHour: -1}
	d := newDeck(v, start)
	for i, w := range hours {
		h, err := d.hour(w, steps)
		if err != nil {
			return FrostCourse{}, fmt.Errorf("hour %d: %w", i, err)
		}
		c.Hours[i] = h
		if h.Frost > c.PeakFrost {
			c.PeakFrost, c.PeakLitres, c.PeakHour = h.Frost, h.Frost*v.Area, i
		}
		c.thaw(i, h.Dripped*v.Area, h.Melted*v.Area)
	}
	return c, nil
}

// thaw enters the litres of hour i into the list of thaws.
func (c *FrostCourse) thaw(i int, dripped, melted float64) {
	if dripped == 0 || melted == 0 {
		return
	}
	n := len(c.Thaws)
	if n == 0 || c.Thaws[n-1].End < i {
		c.Thaws = append(c.Thaws, Thaw{Start: i})
		n++
	}
	t := &c.Thaws[n-1]
	t.End = i + 1
	t.Litres += dripped
	t.Melted += melted
	if dripped > t.Rate {
		t.Most, t.Rate = i, dripped
	}
}

func (v ColdVoid) check(start DeckState) error {
	if err := check.First("airflow: cold void",
		check.Positive("area", v.Area), check.NotNegative("flow without wind", v.Tight), check.NotNegative("flow by wind", v.PerWind),
		check.NotNegative("gaps", v.Gaps), check.NotNegative("height", v.Height),
		check.NotNegative("U-value of the ceiling", v.CeilingU), check.NotNegative("s_d of the ceiling", v.CeilSd),
		check.Within("room temperature", v.RoomC, -60, 60), check.NotNegative("room vapour pressure", v.RoomPa),
		check.Positive("heat transfer", v.Transfer), check.Positive("resistance of the deck", v.DeckR), check.Positive("heat capacity of the deck", v.DeckHeat),
		check.Within("absorptance", v.Absorptance, 0, 1), check.Within("emissivity", v.Emissivity, 0, 1),
		check.NotNegative("water that hangs", v.Holds),
		check.Within("underside of the deck", start.UndersideC, -100, 100), check.Within("outer face of the deck", start.OuterC, -100, 100),
		check.NotNegative("frost", start.Frost), check.NotNegative("water", start.Water),
	); err != nil {
		return err
	}
	if start.Frost > 0 && start.UndersideC > 0 || start.Water > 0 && start.UndersideC < 0 {
		return fmt.Errorf("airflow: cold void: a deck at %v degC holds %v kg/m2 of frost and %v of water, want frost up to 0 degC and water from 0 degC", start.UndersideC, start.Frost, start.Water)
	}
	return nil
}
