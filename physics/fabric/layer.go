// Package fabric describes what a roof is made of and how well it keeps heat
// in: a table of materials in which every value says where it is from, layers, the
// U-value by ISO 6946 with its corrections, tapered insulation, air layers, moist
// conductivity by ISO 10456 and a band about it, and the temperature of a surface
// under sun and clear sky.
package fabric

import (
	"fmt"

	"underlap/physics/internal/check"
)

// Layer is one layer of a roof, taken from the room outwards.
//
// Its thermal resistance is R when R is above 0 or FixedR is set, else
// Thickness over Lambda. Its vapour resistance, as the thickness of still air
// that is as tight, is Sd when Sd is above 0 or FixedSd is set, else Mu times
// Thickness.
type Layer struct {
	Name      string
	Thickness float64 // m
	Lambda    float64 // conductivity, W/(m K)
	Mu        float64 // vapour resistance factor, 1 for still air
	R         float64 // m2K/W, given outright
	Sd        float64 // m, given outright
	FixedR    bool    // R counts even when it is 0
	FixedSd   bool    // Sd counts even when it is 0
	Bridge    *Bridge // timber through the layer, or nil
}

// Bridge is the part of a layer that is timber instead.
type Bridge struct {
	Fraction float64 // share of the area, 0 to 1
	Lambda   float64 // conductivity of the timber, W/(m K)
	// Member names the timber. Layers crossed by the same member share its
	// path; bridges without a name are taken to lie independently.
	Member string
}

// Resistance returns the thermal resistance of the layer in m2K/W, beside any
// bridge. A negative thickness, or a thickness with no conductivity, is an error.
//
// Source: ISO 6946, R = d / lambda.
func (l Layer) Resistance() (float64, error) {
	if err := l.check(); err != nil {
		return 0, err
	}
	switch {
	case l.R > 0 || l.FixedR:
		return l.R, nil
	case l.Thickness == 0:
		return 0, nil
	case l.Lambda == 0:
		return 0, fmt.Errorf("fabric: layer %q has a thickness but no conductivity or resistance", l.Name)
	default:
		return l.Thickness / l.Lambda, nil
	}
}

// VapourResistance returns the vapour resistance s_d of the layer in m of still
// air. A negative thickness, or a thickness with no mu, is an error.
//
// Source: EN ISO 13788, s_d = mu d.
func (l Layer) VapourResistance() (float64, error) {
	if err := l.check(); err != nil {
		return 0, err
	}
	switch {
	case l.Sd > 0 || l.FixedSd:
		return l.Sd, nil
	case l.Thickness == 0:
		return 0, nil
	case l.Mu == 0:
		return 0, fmt.Errorf("fabric: layer %q has a thickness but no vapour resistance", l.Name)
	default:
		return l.Mu * l.Thickness, nil
	}
}

// bridgeResistance is the resistance of the layer along its bridge.
func (l Layer) bridgeResistance() float64 {
	return l.Thickness / l.Bridge.Lambda
}

func (l Layer) check() error {
	// The names are put together only for an error: a balance asks for thousands of
	// roofs a second.
	if err := check.First("fabric",
		check.NotNegative("thickness", l.Thickness),
		check.NotNegative("conductivity", l.Lambda),
		check.NotNegative("vapour resistance factor", l.Mu),
		check.NotNegative("thermal resistance", l.R),
		check.NotNegative("vapour resistance", l.Sd),
	); err != nil {
		return fmt.Errorf("layer %s: %w", l.Name, err)
	}
	if l.Bridge == nil {
		return nil
	}
	if err := check.First("fabric",
		check.Within("fraction", l.Bridge.Fraction, 0, 1),
		check.Positive("conductivity", l.Bridge.Lambda),
		check.Positive("thickness of the bridged layer", l.Thickness),
	); err != nil {
		return fmt.Errorf("bridge in layer %s: %w", l.Name, err)
	}
	return nil
}
