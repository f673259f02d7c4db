package fabric

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Direction is the direction of heat flow through a layer.
type Direction int

// The three directions of ISO 6946. Horizontal holds within 30 degrees.
const (
	Up Direction = iota
	Horizontal
	Down
)

// stefanBoltzmann is in W/(m2 K4), rounded as ISO 6946 has it.
const stefanBoltzmann = 5.67e-8

// MaxAirLayer is the greatest thickness in m for which the air layer formula of
// ISO 6946 holds (from memory of it). Treat a thicker space as a room.
const MaxAirLayer = 0.3

// AirLayer is an unventilated air layer between two faces.
type AirLayer struct {
	Thickness   float64 // m, above 0 to MaxAirLayer
	Direction   Direction
	EmissivityA float64 // of one face, above 0 to 1; 0.9 for most materials
	EmissivityB float64 // of the other face
	MeanC       float64 // mean temperature of the layer, degC; the standard uses 10
	DeltaK      float64 // temperature difference across it, K; up to 5 takes the usual values
}

// RadiativeCoefficient returns the radiative heat transfer coefficient of a black
// surface in W/m2K at a mean temperature of tC degrees Celsius, 4 sigma T^3.
//
// Source: ISO 6946, from memory of it.
func RadiativeCoefficient(tC float64) float64 {
	t := tC + 273.15
	return 4 * stefanBoltzmann * t * t * t
}

// Resistance returns the thermal resistance of the air layer in m2K/W. It fails
// for a thickness or emissivity out of range.
//
// Source: ISO 6946 Annex B (2007) or D (2017), formula from memory of it; it
// gives back all 24 entries of the standard's table.
func (a AirLayer) Resistance() (float64, error) {
	ha, err := a.convection()
	if err != nil {
		return 0, err
	}
	return 1 / (ha + a.exchange()*RadiativeCoefficient(a.MeanC)), nil
}

// DividedResistance returns the thermal resistance in m2K/W of an air space
// broken up into cells of the given width in m across the heat flow, as between
// battens. It fails for a width of 0 or less, or a thickness or emissivity out of range.
//
// Source: ISO 6946 Annex B (2007) or D (2017), from memory of it.
func (a AirLayer) DividedResistance(width float64) (float64, error) {
	if err := check.First("fabric", check.Positive("width of the air space", width)); err != nil {
		return 0, err
	}
	ha, err := a.convection()
	if err != nil {
		return 0, err
	}
	x := a.Thickness / width
	hr := 0.5 * a.exchange() * RadiativeCoefficient(a.MeanC) * (1 + math.Sqrt(1+x*x) - x)
	return 1 / (ha + hr), nil
}

func (a AirLayer) exchange() float64 {
	return 1 / (1/a.EmissivityA + 1/a.EmissivityB - 1)
}

// convection is the coefficient for conduction and convection, whichever is more.
func (a AirLayer) convection() (float64, error) {
	if err := check.First("fabric: air layer",
		check.Positive("thickness", a.Thickness),
		check.Within("thickness", a.Thickness, 0, MaxAirLayer),
		check.Positive("emissivity", a.EmissivityA),
		check.Within("emissivity", a.EmissivityA, 0, 1),
		check.Positive("emissivity", a.EmissivityB),
		check.Within("emissivity", a.EmissivityB, 0, 1),
		check.Within("mean temperature", a.MeanC, -100, 200),
		check.NotNegative("temperature difference", a.DeltaK),
	); err != nil {
		return 0, err
	}
	var conv float64
	wide := a.DeltaK > 5
	switch a.Direction {
	case Up:
		conv = 1.95
		if wide {
			conv = 1.14 * math.Cbrt(a.DeltaK)
		}
	case Horizontal:
		conv = 1.25
		if wide {
			conv = 0.73 * math.Cbrt(a.DeltaK)
		}
	case Down:
		conv = 0.12 * math.Pow(a.Thickness, -0.44)
		if wide {
			conv = 0.09 * math.Pow(a.DeltaK, 0.187) * math.Pow(a.Thickness, -0.44)
		}
	default:
		return 0, fmt.Errorf("fabric: direction %d is not known", a.Direction)
	}
	return math.Max(0.025/a.Thickness, conv), nil
}

// SlightlyVentilated returns the total resistance in m2K/W of an element with an
// air layer whose openings are av, in m2 per m2 (or per m of length when
// vertical): rtu with the layer unventilated, rtv with it well ventilated. Up to
// 0.0005 the layer counts as unventilated, from 0.0015 as well ventilated.
//
// Source: ISO 6946, from memory of it.
func SlightlyVentilated(av, rtu, rtv float64) (float64, error) {
	if err := check.First("fabric", check.NotNegative("opening", av), check.Positive("unventilated resistance", rtu), check.Positive("ventilated resistance", rtv)); err != nil {
		return 0, err
	}
	share := (av - 0.0005) / 0.001
	share = math.Min(1, math.Max(0, share))
	return (1-share)*rtu + share*rtv, nil
}

// VentilatedTotal returns the total resistance in m2K/W of layers, from the room
// outwards, of which the one at index air is an air layer with openings of av m2 per m2
// (per m of length when vertical) to the outside; as SlightlyVentilated between the
// two ends. A well ventilated layer counts for nothing, nor does what lies outside it,
// and still air stands in front of what is left: rsi is taken on both sides. It fails
// when there is nothing inside the air layer, and as CombinedMethod does.
//
// Source: ISO 6946, from memory of it.
func VentilatedTotal(layers []Layer, air int, av, rsi, rse float64) (float64, error) {
	if air < 1 || air >= len(layers) {
		return 0, fmt.Errorf("fabric: air layer %d of %d, want one with layers inside it", air, len(layers))
	}
	closed, err := CombinedMethod(layers, rsi, rse)
	if err != nil {
		return 0, err
	}
	open, err := CombinedMethod(layers[:air], rsi, rsi)
	if err != nil {
		return 0, err
	}
	return SlightlyVentilated(av, closed.Total, open.Total)
}
