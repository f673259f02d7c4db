package entry

import (
	"math"

	"underlap/diagnose/measure"
)

// Sides of the plan, seen from the garden as one faces the house.
const (
	Garden = "garden"
	House  = "house"
	Left   = "left"
	Right  = "right"
)

// What stands at a side.
const (
	Wall    = "wall"
	Tiles   = "tiles"
	Parapet = "parapet"
	Edge    = "edge" // open
)

// Plan is the flat roof from above, in metres: x from the left, y from the house wall.
type Plan struct {
	Along      float64           `json:"along"`     // length along the house wall
	Out        float64           `json:"out"`       // depth from the house wall to the garden
	Fall       string            `json:"fall"`      // likeliest side it falls towards; "" when it is level
	FallTold   bool              `json:"fall_told"` // somebody said so
	Rate       float64           `json:"rate"`      // rise over run; 0 when nobody measured it
	Joists     string            `json:"joists"`    // "out" or "along", the likelier
	JoistsTold bool              `json:"joists_told"`
	Centres    float64           `json:"joist_centres"`
	Sides      map[string]string `json:"sides"` // what stands at each side
	Rooflights []Mark            `json:"rooflights"`
	Outlets    []Mark            `json:"outlets"`
	Pipes      []Mark            `json:"pipes"`
	Stains     []Mark            `json:"stains"` // from left to right
}

// Mark is a place on the plan: a point, or somewhere in a box about it.
type Mark struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	W float64 `json:"w"` // of the box, along the house wall; 0 for a point told in metres
	H float64 `json:"h"`
}

// MarkOf sets a told spot down on a plan of that size. It is false when the spot lies
// outside.
func MarkOf(s measure.Spot, along, out float64) (Mark, bool) {
	if s.Key > 0 {
		w, h := along/3, out/3
		return Mark{X: w * (float64((s.Key-1)%3) + 0.5), Y: h * (float64((s.Key-1)/3) + 0.5), W: w, H: h}, true
	}
	return Mark{X: s.X, Y: s.Y}, s.X <= along && s.Y <= out
}

// opposite is the side across the roof.
func opposite(side string) string {
	switch side {
	case Garden:
		return House
	case House:
		return Garden
	case Left:
		return Right
	default:
		return Left
	}
}

// outward tells whether a side is reached by going out from the house or back to it.
func outward(side string) bool { return side == Garden || side == House }

// grid is the plan in cells.
type grid struct {
	along, out float64
	nx, ny     int
	hx, hy     float64
}

// mostCells is the most cells along a side: enough for half a metre on a roof of twenty,
// and few enough that a reading does not wait for its map.
const mostCells = 40

func gridOf(p *Plan, cell float64) grid {
	n := func(side float64) int { return max(1, min(mostCells, int(math.Ceil(side/cell-1e-9)))) }
	g := grid{along: p.Along, out: p.Out, nx: n(p.Along), ny: n(p.Out)}
	g.hx, g.hy = p.Along/float64(g.nx), p.Out/float64(g.ny)
	return g
}

func (g grid) len() int        { return g.nx * g.ny }
func (g grid) x(i int) float64 { return (float64(i) + 0.5) * g.hx }
func (g grid) y(j int) float64 { return (float64(j) + 0.5) * g.hy }
func (g grid) at(i, j int) int { return j*g.nx + i }
func (g grid) area() float64   { return g.along * g.out }
func (g grid) whole() box      { return box{0, 0, g.along, g.out} }
func (g grid) clip(b box) box {
	return box{max(b.x0, 0), max(b.y0, 0), min(b.x1, g.along), min(b.y1, g.out)}
}
func (b box) area() float64              { return max(0, b.x1-b.x0) * max(0, b.y1-b.y0) }
func overlap(a, b, c, d float64) float64 { return max(0, min(b, d)-max(a, c)) }

// box is a rectangle on the plan.
type box struct{ x0, y0, x1, y1 float64 }

// share is a cell with a weight.
type share struct {
	cell int
	p    float64
}

// spread is the uniform distribution over a box, by cell. It is empty for a box without
// area.
func (g grid) spread(b box) []share {
	b = g.clip(b)
	total := b.area()
	if !(total > 0) {
		return nil
	}
	var out []share
	for j := max(0, int(b.y0/g.hy)-1); j < g.ny && float64(j)*g.hy < b.y1; j++ {
		dy := overlap(b.y0, b.y1, float64(j)*g.hy, float64(j+1)*g.hy)
		for i := max(0, int(b.x0/g.hx)-1); i < g.nx && float64(i)*g.hx < b.x1; i++ {
			if a := dy * overlap(b.x0, b.x1, float64(i)*g.hx, float64(i+1)*g.hx); a > 0 {
				out = append(out, share{g.at(i, j), a / total})
			}
		}
	}
	return out
}
