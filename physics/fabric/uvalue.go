package fabric

import (
	"fmt"

	"underlap/physics/internal/check"
)

// Surface resistances in m2K/W for the direction of heat flow (ISO 6946).
const (
	RsiUp         = 0.10
	RsiHorizontal = 0.13
	RsiDown       = 0.17
	Rse           = 0.04
)

// maxPaths limits the number of heat paths: one doubling for each member.
const maxPaths = 256

// Result is the outcome of the combined method.
type Result struct {
	Upper    float64 // upper limit of the total resistance, m2K/W
	Lower    float64 // lower limit of the total resistance, m2K/W
	Total    float64 // their mean, m2K/W
	U        float64 // 1/Total, W/m2K
	MaxError float64 // largest relative error of Total, (Upper-Lower)/(2 Total)
	// TooFarApart says that Upper/Lower exceeds 1.5: the method does not hold.
	TooFarApart bool
	// MetalBridge says that metal crosses a layer: the method does not hold and a
	// calculation in two or three dimensions is needed.
	MetalBridge bool
}

// metal is the conductivity in W/(m K) from which a bridge is taken to be metal: no
// timber, concrete or plastic comes near it and stainless steel has 17.
const metal = 10.0

// CombinedMethod returns the thermal resistance of layers, given from the room
// outwards, between surface resistances rsi and rse in m2K/W. Layers may be
// crossed by timber. No corrections are included. Metal across a layer is worked out
// like timber but flagged, as the method then gives too much resistance. It fails for no layers, for bad
// layers and for more than 8 independent members.
//
// Source: ISO 6946 (2007 clause 6.2, 2017 clause 6.7.2); the limit of 1.5, the rule
// on metal and the error bound are from memory of it.
func CombinedMethod(layers []Layer, rsi, rse float64) (Result, error) {
	if err := check.First("fabric", check.NotNegative("inside surface resistance", rsi), check.NotNegative("outside surface resistance", rse)); err != nil {
		return Result{}, err
	}
	if len(layers) == 0 {
		return Result{}, fmt.Errorf("fabric: no layers")
	}
	members, err := membersOf(layers)
	if err != nil {
		return Result{}, err
	}
	lower, metalBridge := rsi+rse, false
	for _, l := range layers {
		r, err := l.Resistance()
		if err != nil {
			return Result{}, err
		}
		lower += meanResistance(l, r)
		metalBridge = metalBridge || (l.Bridge != nil && l.Bridge.Fraction > 0 && l.Bridge.Lambda >= metal)
	}
	if lower <= 0 {
		return Result{}, fmt.Errorf("fabric: total resistance is 0")
	}
	upper, err := upperLimit(layers, members, rsi+rse)
	if err != nil {
		return Result{}, err
	}
	total := (upper + lower) / 2
	return Result{
		Upper: upper, Lower: lower, Total: total, U: 1 / total,
		MaxError:    (upper - lower) / (2 * total),
		TooFarApart: upper > 1.5*lower,
		MetalBridge: metalBridge,
	}, nil
}

// meanResistance is the resistance of one layer when its faces are isothermal.
func meanResistance(l Layer, r float64) float64 {
	if l.Bridge == nil || l.Bridge.Fraction == 0 {
		return r
	}
	rb := l.bridgeResistance()
	if r == 0 {
		return 0
	}
	return 1 / ((1-l.Bridge.Fraction)/r + l.Bridge.Fraction/rb)
}

// member is one timber and the share of area it takes.
type member struct {
	name     string // empty: a member of the one layer only
	layer    int    // that layer, when unnamed
	fraction float64
}

func membersOf(layers []Layer) ([]member, error) {
	var ms []member
	for i, l := range layers {
		if err := l.check(); err != nil {
			return nil, err
		}
		if l.Bridge == nil {
			continue
		}
		known := false
		for _, m := range ms {
			if l.Bridge.Member == "" || m.name != l.Bridge.Member {
				continue
			}
			known = true
			if m.fraction != l.Bridge.Fraction {
				return nil, fmt.Errorf("fabric: member %q takes the share %v in one layer and %v in another", m.name, m.fraction, l.Bridge.Fraction)
			}
		}
		if !known {
			ms = append(ms, member{l.Bridge.Member, i, l.Bridge.Fraction})
		}
	}
	if 1<<len(ms) > maxPaths {
		return nil, fmt.Errorf("fabric: %d independent members, want 8 at most", len(ms))
	}
	return ms, nil
}

// upperLimit is the resistance of all straight heat paths side by side.
func upperLimit(layers []Layer, members []member, surfaces float64) (float64, error) {
	conductance := 0.0
	for path := 0; path < 1<<len(members); path++ {
		share := 1.0
		for k, m := range members {
			if path&(1<<k) != 0 {
				share *= m.fraction
			} else {
				share *= 1 - m.fraction
			}
		}
		if share == 0 {
			continue
		}
		r := surfaces
		for i, l := range layers {
			if onTimber(l, i, path, members) {
				r += l.bridgeResistance()
				continue
			}
			rl, err := l.Resistance()
			if err != nil {
				return 0, err
			}
			r += rl
		}
		if r <= 0 {
			return 0, fmt.Errorf("fabric: a heat path has no resistance")
		}
		conductance += share / r
	}
	return 1 / conductance, nil
}

func onTimber(l Layer, i, path int, members []member) bool {
	if l.Bridge == nil {
		return false
	}
	for k, m := range members {
		if path&(1<<k) != 0 && ((m.name != "" && m.name == l.Bridge.Member) || (m.name == "" && m.layer == i)) {
			return true
		}
	}
	return false
}

// Temperatures returns the temperatures in degrees Celsius at the faces between
// the resistances rs in m2K/W, from thetaI on the inside of the first to thetaE
// on the outside of the last, steady state. The answer has len(rs)+1 entries. It
// fails when the resistances do not add up to more than 0.
//
// Source: ISO 6946 and EN ISO 13788: temperature falls in proportion to resistance.
func Temperatures(rs []float64, thetaI, thetaE float64) ([]float64, error) {
	if err := check.First("fabric", check.Finite("inside temperature", thetaI), check.Finite("outside temperature", thetaE)); err != nil {
		return nil, err
	}
	total := 0.0
	for _, r := range rs {
		if err := check.First("fabric", check.NotNegative("resistance", r)); err != nil {
			return nil, err
		}
		total += r
	}
	if total <= 0 {
		return nil, fmt.Errorf("fabric: total resistance is 0")
	}
	out := make([]float64, 1, len(rs)+1)
	out[0] = thetaI
	sum := 0.0
	for _, r := range rs {
		sum += r
		out = append(out, thetaI+(thetaE-thetaI)*sum/total)
	}
	return out, nil
}
