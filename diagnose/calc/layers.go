package calc

import (
	"underlap/diagnose/buildup"
	"underlap/physics/fabric"
)

const (
	joistWidth     = 0.047 // m, common practice
	defaultCentres = 0.400 // m
	timberLambda   = 0.13  // W/(m K), softwood, ISO 10456 (from memory)
	// quiltSd of ceiling paint: two coats of emulsion, m, ISO 10456 (from memory).
	paintSd = 0.1
)

// centres is the joist spacing in metres.
func (s *site) centres() float64 {
	switch s.facts.Choice("joist-centres") {
	case "450":
		return 0.450
	case "600":
		return 0.600
	}
	return defaultCentres
}

// layers turns a stack into layers for the sums, from the room up. Outside air
// that crosses a void takes the place of all that lies above it (ISO 6946, well
// ventilated air layer); then cut is true and the list ends there.
func (s *site) layers(st buildup.Stack, vented bool) (list []fabric.Layer, cut bool, err error) {
	bridge := func() *fabric.Bridge {
		return &fabric.Bridge{Fraction: joistWidth / s.centres(), Lambda: timberLambda, Member: "joist"}
	}
	foil := s.facts.Is("vapour-layer", "foil-board")
	sheet := s.facts.Is("vapour-layer", "sheet")
	airUsed := false
	for _, l := range st.Layers {
		switch l.Role {
		case "void", "firring":
			if airUsed || l.M < 0.005 {
				continue // one air space: the firring stands in the same air
			}
			airUsed = true
			if vented && l.Role == "void" && st.Type != "warm" {
				return list, true, nil
			}
			r, err := fabric.AirLayer{Thickness: min(l.M, 0.3), Direction: fabric.Up, EmissivityA: 0.9, EmissivityB: 0.9, MeanC: 10}.Resistance()
			if err != nil {
				return nil, false, err
			}
			a := fabric.Layer{Name: "air", Thickness: l.M, R: r, Sd: 0.01}
			if l.Role == "void" {
				a.Bridge = bridge()
			}
			list = append(list, a)
		default:
			m, err := fabric.FindMaterial(l.Material)
			if err != nil {
				return nil, false, err
			}
			x, err := m.Layer(l.M)
			if err != nil {
				return nil, false, err
			}
			if l.Role == "joist-insulation" {
				x.Bridge = bridge()
			}
			list = append(list, x)
			if l.Role == "ceiling" {
				list = append(list, fabric.Layer{Name: "paint", Sd: paintSd, FixedR: true})
				if sheet && st.Type != "warm" && st.Type != "inverted" {
					list = append(list, fabric.Layer{Name: "polythene", Sd: 50, FixedR: true}) // holes and laps halve the sheet's 100 m
				}
			}
			// Foil faces make the boards tight, but the joints between them are not:
			// what a run of boards is worth as a layer is set low.
			if foil && l.Role == "board" && st.Type == "on-joists" {
				list = append(list, fabric.Layer{Name: "foil face with open joints", Sd: 2, FixedR: true})
			}
		}
	}
	return list, false, nil
}
