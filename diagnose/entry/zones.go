package entry

import (
	"fmt"
	"slices"
	"strings"

	"underlap/rules"
)

// place is a named part of the plan.
type place struct {
	id   string
	kind *rules.TravelPlace
	side string // which side of the plan, or which face of a kerb; "" for none
	name string
	area float64
	x, y float64 // its middle
	on   []share // uniform over its cells
}

// placer gathers the places of a plan.
type placer struct {
	p     *Plan
	t     *rules.Travel
	g     grid
	list  []place
	third string // the side that thirds of the field are counted from
}

// placesOf are all the places there are on the plan, in a fixed order.
func placesOf(p *Plan, t *rules.Travel, g grid) []place {
	z := placer{p: p, t: t, g: g, third: p.Fall}
	if z.third == "" {
		z.third = Garden
	}
	z.field()
	for _, side := range rules.Sides {
		deep := z.strip(side, t.PondShare*z.depth(side))
		z.add("pond", side, deep, z.by(side))
	}
	many := func(list []Mark, n int) string {
		if len(list) == 1 {
			return ""
		}
		return fmt.Sprint(n + 1)
	}
	for n, m := range p.Outlets {
		z.spot("outlet", many(p.Outlets, n), m, t.Strip)
	}
	for n, m := range p.Rooflights {
		z.rooflight(many(p.Rooflights, n), m)
	}
	for n, m := range p.Pipes {
		z.spot("pipe", many(p.Pipes, n), m, t.Strip)
	}
	for _, side := range rules.Sides {
		strip := z.strip(side, t.Strip)
		switch p.Sides[side] {
		case Wall:
			z.halves("wall-foot", side, strip)
			z.halves("wall-above", side, strip)
		case Tiles:
			z.halves("tiles-foot", side, strip)
		case Parapet:
			z.halves("parapet", side, strip)
		default:
			z.halves("edge", side, strip)
		}
	}
	z.add("unplaced", "", g.whole(), "")
	return z.list
}

// add puts a place on the list, if any of it lies on the plan.
func (z *placer) add(kind, side string, b box, words string) {
	k, _ := z.t.Place(kind)
	b = z.g.clip(b)
	on := z.g.spread(b)
	if len(on) == 0 {
		return
	}
	id, name := kind, k.Name
	if words != "" {
		name += ", " + words
		id += "/" + strings.NewReplacer(",", "", " ", "-").Replace(words)
	}
	z.list = append(z.list, place{id: id, kind: k, side: side, name: name, area: b.area(), x: (b.x0 + b.x1) / 2, y: (b.y0 + b.y1) / 2, on: on})
}

// by names a side.
func (z *placer) by(side string) string {
	switch side {
	case House:
		return "house side"
	case Garden:
		return "garden side"
	default:
		return side + " side"
	}
}

// depth is how far the plan goes back from a side.
func (z *placer) depth(side string) float64 {
	if outward(side) {
		return z.p.Out
	}
	return z.p.Along
}

// strip is the band of that depth along a side.
func (z *placer) strip(side string, depth float64) box {
	b := z.g.whole()
	switch side {
	case House:
		b.y1 = depth
	case Garden:
		b.y0 = b.y1 - depth
	case Left:
		b.x1 = depth
	default:
		b.x0 = b.x1 - depth
	}
	return b
}

// halves adds the two halves of a band along a side; while no stain is told there is
// nothing to part them by, and they are one place.
func (z *placer) halves(kind, side string, b box) {
	if len(z.p.Stains) == 0 {
		z.add(kind, side, b, z.by(side))
		return
	}
	one, two := b, b
	if outward(side) {
		one.x1 = (b.x0 + b.x1) / 2
		two.x0 = one.x1
		z.add(kind, side, one, z.by(side)+", left half")
		z.add(kind, side, two, z.by(side)+", right half")
		return
	}
	one.y1 = (b.y0 + b.y1) / 2
	two.y0 = one.y1
	z.add(kind, side, one, z.by(side)+", half by the house")
	z.add(kind, side, two, z.by(side)+", half by the garden")
}

// field adds the open sheet, clear of the edges: in thirds along the fall once a stain
// parts them.
func (z *placer) field() {
	s := z.t.Strip
	b := box{s, s, z.p.Along - s, z.p.Out - s}
	if b.area() <= 0 || b.x1 <= b.x0 {
		b = z.g.whole() // a roof no wider than its edges
	}
	if len(z.p.Stains) == 0 {
		z.add("field", "", b, "")
		return
	}
	for n := range 3 {
		part, words := b, "middle third"
		if outward(z.third) {
			d := (b.y1 - b.y0) / 3
			part.y0, part.y1 = b.y0+float64(n)*d, b.y0+float64(n+1)*d
			words = [...]string{"third by the house", words, "third by the garden"}[n]
		} else {
			d := (b.x1 - b.x0) / 3
			part.x0, part.x1 = b.x0+float64(n)*d, b.x0+float64(n+1)*d
			words = [...]string{"left third", words, "right third"}[n]
		}
		z.add("field", "", part, words)
	}
}

// spot adds a small square about a mark.
func (z *placer) spot(kind, number string, m Mark, half float64) {
	z.add(kind, "", box{m.X - half, m.Y - half, m.X + half, m.Y + half}, number)
}

// rooflight adds the four faces of a kerb and the glass in it.
func (z *placer) rooflight(number string, m Mark) {
	r, s := z.t.Rooflight/2, z.t.Strip
	glass := box{m.X - r, m.Y - r, m.X + r, m.Y + r}
	for _, side := range rules.Sides {
		b := box{m.X - r - s/2, m.Y - r - s/2, m.X + r + s/2, m.Y + r + s/2} // the corners belong to both faces
		switch side {
		case House:
			b.y0, b.y1 = glass.y0-s, glass.y0
		case Garden:
			b.y0, b.y1 = glass.y1, glass.y1+s
		case Left:
			b.x0, b.x1 = glass.x0-s, glass.x0
		default:
			b.x0, b.x1 = glass.x1, glass.x1+s
		}
		words := z.by(side)
		switch {
		case z.p.FallTold && side == opposite(z.p.Fall):
			words = "upslope face (" + words + ")"
		case z.p.FallTold && side == z.p.Fall:
			words = "downslope face (" + words + ")"
		}
		z.add("kerb", side, b, strings.TrimSpace(number+" "+words))
	}
	z.add("glass", "", glass, number)
}

// seat finds the places that a seat such as "kerb:up" means, with their shares by area,
// when the roof falls to that side. What the plan does not have is somewhere on it.
func seat(list []place, t *rules.Travel, name, fall string) []share {
	kind, part, _ := strings.Cut(name, ":")
	if kind == "pond" {
		part = "low" // water stands at the low side
	}
	if s := seated(list, kind, func(side string) bool { return inPart(side, part, fall) }); s != nil {
		return s
	}
	if s := seated(list, kind, func(string) bool { return true }); s != nil && kind != "pond" {
		return s
	}
	if k, _ := t.Place(kind); k.Else != "" {
		if s := seated(list, k.Else, func(side string) bool { return inPart(side, part, fall) }); s != nil {
			return s
		}
		if s := seated(list, k.Else, func(string) bool { return true }); s != nil {
			return s
		}
	}
	return seated(list, "unplaced", func(string) bool { return true })
}

func inPart(side, part, fall string) bool {
	switch part {
	case "up":
		return side == opposite(fall)
	case "low":
		return side == fall
	case "side":
		return side != fall && side != opposite(fall)
	}
	return true
}

// seated is the places of a kind that want holds of, shared by area; nil when there is
// none.
func seated(list []place, kind string, want func(side string) bool) []share {
	var out []share
	total := 0.0
	for i := range list {
		if z := &list[i]; z.kind.ID == kind && want(z.side) {
			out = append(out, share{i, z.area})
			total += z.area
		}
	}
	for i := range out {
		out[i].p /= total
	}
	return slices.Clip(out)
}
