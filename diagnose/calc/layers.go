package calc

import (
	"underlap/diagnose/buildup"
	"underlap/physics/fabric"
)

const (
	joistWidth     = 0.047 // m, common practice
	defaultCentres = 0.400 // m
	timberLambda   = 0.13  // W/(m K), softwood, ISO 10456 (from memory)
	// paintSd is that of two coats of emulsion, m, ISO 10456 (from memory).
	paintSd = 0.1
	// sheetSd is what polythene over the ceiling is worth: holes and laps halve the
	// 100 m of the sheet; judgement.
	sheetSd = 50.0
	// insulates is the conductivity in W/(m K) below which a layer is insulation.
	insulates = 0.06
	// wetInsulates is the same for insulation that may be worse than declared, or wet.
	wetInsulates = 0.12
)

// variant is one way the layers may be, of what no answer tells.
type variant struct {
	lambda float64 // conductivity of the insulation, as a factor
	timber float64 // timber in the joist zone, as a factor
	paint  float64 // s_d of the paint, m
	sheet  float64 // s_d of polythene over the ceiling, m
	vcl    float64 // s_d of the vapour layer under boards, as a factor
}

// typical is the way that the middle of the U-value's band has: some more timber than
// the joists alone. Gaps are at level 1 with it.
var typical = variant{lambda: 1, timber: 1.15, paint: paintSd, sheet: sheetSd, vcl: 1}

// usual is the likeliest way.
var usual = variant{lambda: 1, timber: 1, paint: paintSd, sheet: sheetSd, vcl: 1}

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
	return s.variantLayers(st, vented, usual)
}

// variantLayers is layers in one of the ways they may be.
func (s *site) variantLayers(st buildup.Stack, vented bool, v variant) (list []fabric.Layer, cut bool, err error) {
	bridge := func() *fabric.Bridge {
		return &fabric.Bridge{Fraction: v.timber * joistWidth / s.centres(), Lambda: timberLambda, Member: "joist"}
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
			if x.Lambda < insulates {
				x.Lambda *= v.lambda
			}
			switch l.Role {
			case "joist-insulation":
				x.Bridge = bridge()
			case "vapour-layer":
				x.Sd *= v.vcl
			}
			list = append(list, x)
			if l.Role == "ceiling" {
				list = append(list, fabric.Layer{Name: "paint", Sd: v.paint, FixedR: true})
				if sheet && st.Type != "warm" && st.Type != "inverted" {
					list = append(list, fabric.Layer{Name: "polythene", Sd: v.sheet, FixedR: true})
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
