package drainage

import (
	"math"

	"underlap/physics/internal/check"
)

// Wedge is water held against the low edge of a roof with a fall.
type Wedge struct {
	Depth float64 // at the low edge, m
	Reach float64 // up the roof, m
}

// Blocked returns the wedge of water of the given volume in m3 behind a low edge of the
// given length in m on a roof of the given fall. The ends are taken as square and the
// roof as long enough.
//
// Source: geometry, depth = sqrt(2 V fall / W).
func Blocked(volume, edge, fall float64) (Wedge, error) {
	if err := check.First("drainage: wedge", check.NotNegative("volume", volume), check.Positive("edge", edge), check.Positive("fall", fall)); err != nil {
		return Wedge{}, err
	}
	depth := math.Sqrt(2 * volume * fall / edge)
	return Wedge{Depth: depth, Reach: depth / fall}, nil
}

// PondLoad returns the load of standing water in Pa for a depth in m; 1000 Pa is
// 1 kN/m2.
//
// Source: rho g h with 1000 kg/m3 and 9.81 m/s2.
func PondLoad(depth float64) (float64, error) {
	if err := check.First("drainage", check.NotNegative("depth", depth)); err != nil {
		return 0, err
	}
	return water * g * depth, nil
}

// MaintenanceLoad is the load in Pa usually allowed on a flat roof with access for
// maintenance only, snow included: 0.75 kN/m2 (from memory of BS 6399-3).
const MaintenanceLoad = 750.0

// HoleFlow returns the flow in m3/s through a hole of area m2 under water of the given
// depth in m, free to fall on the other side.
//
// Source: standard fluid mechanics, Q = 0.6 A sqrt(2 g h).
func HoleFlow(area, depth float64) (float64, error) {
	if err := check.First("drainage: hole", check.NotNegative("area", area), check.NotNegative("depth", depth)); err != nil {
		return 0, err
	}
	return 0.6 * area * math.Sqrt(2*g*depth), nil
}
