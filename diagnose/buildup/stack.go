package buildup

import "underlap/rules"

// Layer is one layer of a stack.
type Layer struct {
	Role     string  `json:"role"` // ceiling, joist-insulation, void, firring, deck, vapour-layer, board, covering, ballast
	Name     string  `json:"name"`
	Material string  `json:"material"` // id in the physics material table, "" for air
	M        float64 `json:"m"`        // metres
}

// Stack is one way the roof may be built.
type Stack struct {
	Type       string  `json:"type"`
	Joist      float64 `json:"joist"`      // depth, metres; 0 on a solid deck
	Insulation float64 `json:"insulation"` // main insulation, metres
	Layers     []Layer `json:"layers"`     // from the room up; they add up to Total
	Total      float64 `json:"total"`      // metres
	Residual   float64 `json:"residual"`   // readings joined - ceiling - joist - deck - covering, metres; 0 when nothing was measured
	Gap        float64 `json:"gap"`        // readings joined - Total, metres
	P          float64 `json:"p"`          // share among all stacks, "not listed" included
}

// parts is one combination during enumeration, by index into the tables.
type parts struct {
	kind, joist, deck, ceiling, covering, firring, insulation, under int
	weight                                                           float64
	total                                                            float64
}

// zone returns what air is left in the joist zone, mm, and whether the insulation
// fits between the joists at all.
func zone(t *rules.BuildType, joist, insulation, under float64) (void float64, ok bool) {
	switch t.ID {
	case "cold":
		void = joist - insulation
	case "hybrid":
		void = joist - under
	default:
		void = joist
	}
	return void, void >= -1e-9
}

// build lays the layers of a combination in the type's own order.
func build(b *rules.BuildUpTables, c parts) Stack {
	t := &b.Types[c.kind]
	joist, deck := &b.Joists[c.joist], &b.Decks[c.deck]
	ceiling, covering := &b.Ceilings[c.ceiling], &b.Coverings[c.covering]
	firring, main, under := &b.Firrings[c.firring], &t.Thickness[c.insulation], &t.Under[c.under]
	s := Stack{Type: t.ID, Joist: joist.MM / 1000, Insulation: main.MM / 1000, Total: c.total, P: c.weight}
	void, _ := zone(t, joist.MM, main.MM, under.MM)
	add := func(role, name, material string, mm float64) {
		if mm > 0 {
			s.Layers = append(s.Layers, Layer{Role: role, Name: name, Material: material, M: mm / 1000})
		}
	}
	for _, role := range t.Order {
		switch role {
		case "ceiling":
			add(role, ceiling.Name, ceiling.Material, ceiling.MM)
			if t.ID == "cold" && under.MM > 0 {
				add("under-board", under.Name, under.Material, under.MM)
			}
		case "joist-insulation":
			if t.ID == "hybrid" {
				add(role, under.Name, under.Material, under.MM)
			} else {
				add(role, main.Name, main.Material, main.MM)
			}
		case "void":
			add(role, "air between "+joist.Name+" joists", "", void)
		case "firring":
			add(role, firring.Name, "", firring.MM)
		case "deck":
			add(role, deck.Name, deck.Material, deck.MM)
		case "vapour-layer":
			s.Layers = append(s.Layers, Layer{Role: role, Name: "vapour control layer", Material: "polythene-vcl", M: vapourSheet})
		case "board":
			add(role, main.Name, main.Material, main.MM)
		case "covering":
			add(role, covering.Name, covering.Material, covering.MM)
		case "ballast":
			add(role, under.Name, under.Material, under.MM)
		}
	}
	return s
}

// vapourSheet is the thickness of a vapour control layer, metres. It is left
// out of the total: it is below what a tape can tell.
const vapourSheet = 0.00025

// adds is what the insulation of a type adds to the total, and to what lies between
// the ceiling and the first boards above the joists: the underside of the deck, or of
// insulation laid on the joists. mm.
func adds(t *rules.BuildType, main, under float64) (all, below float64) {
	switch t.ID {
	case "cold":
		return under, under
	case "inverted":
		return main + under, 0
	}
	return main, 0
}
