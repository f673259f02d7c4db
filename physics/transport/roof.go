package transport

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Part is one part of a roof, from the room outwards: a body with a material, a
// thickness and cells, or a film with resistances only.
type Part struct {
	Material  *Material // nil for a film
	Thickness float64   // of a body, m
	Cells     int       // of a body: volumes it is cut into
	// Stretch is the width of the last cell over that of the first; 0 counts as 1.
	Stretch float64
	R       float64 // of a film, m2K/W
	Sd      float64 // of a film, m
}

// Body returns a part of that material, thickness in m, cut into equal cells.
func Body(m Material, thickness float64, cells int) Part {
	return Part{Material: &m, Thickness: thickness, Cells: cells}
}

// Film returns a sheet, paint or thin layer of thermal resistance r in m2K/W and
// vapour resistance sd in m, which stores nothing.
func Film(r, sd float64) Part { return Part{R: r, Sd: sd} }

// Outside tells how the covering meets weather.
type Outside struct {
	Absorptance float64 // for sun, 0 to 1; about 0.9 for a dark sheet
	Emissivity  float64 // for long waves, 0 to 1
}

// Roof is a build-up cut into volumes. It is not changed by a run.
type Roof struct {
	outside Outside
	dx      []float64
	body    []int // of each cell: number of its part
	mats    []porous
	mat     []int     // of each cell: entry of mats
	heatCap []float64 // dry, J/(m3 K)
	faceR   []float64 // of films at each face, m2K/W; face 0 is the room side
	faceZ   []float64 // of films at each face, m2 s Pa/kg
	parts   int
}

const maxCells = 2000

// NewRoof cuts parts, from the room outwards, into volumes. rsi is the surface
// resistance inside, m2K/W; that outside comes with the weather. It fails for bad
// parts, without a body, and for more than 2000 cells.
//
// Source: EN 15026.
func NewRoof(parts []Part, rsi float64, outside Outside) (*Roof, error) {
	if err := check.First("transport", check.NotNegative("inside surface resistance", rsi),
		check.Within("absorptance", outside.Absorptance, 0, 1), check.Within("emissivity", outside.Emissivity, 0, 1)); err != nil {
		return nil, err
	}
	r := &Roof{outside: outside, faceR: []float64{rsi}, faceZ: []float64{0}, parts: len(parts)}
	for i, p := range parts {
		last := len(r.faceR) - 1
		if p.Material == nil {
			if err := check.First("transport: film", check.NotNegative("thermal resistance", p.R), check.NotNegative("s_d", p.Sd)); err != nil {
				return nil, err
			}
			r.faceR[last] += p.R
			r.faceZ[last] += p.Sd / delta0
			continue
		}
		stretch := p.Stretch
		if stretch == 0 {
			stretch = 1
		}
		if err := check.First("transport: "+p.Material.Name, check.Positive("thickness", p.Thickness),
			check.Within("cells", float64(p.Cells), 1, maxCells), check.Within("stretch", stretch, 1e-9, 1e9)); err != nil {
			return nil, err
		}
		if err := p.Material.check(); err != nil {
			return nil, err
		}
		r.mats = append(r.mats, newPorous(*p.Material))
		for _, dx := range widths(p.Thickness, p.Cells, stretch) {
			r.dx = append(r.dx, dx)
			r.body = append(r.body, i)
			r.mat = append(r.mat, len(r.mats)-1)
			r.heatCap = append(r.heatCap, p.Material.HeatCapacity)
			r.faceR = append(r.faceR, 0)
			r.faceZ = append(r.faceZ, 0)
		}
	}
	if len(r.dx) == 0 || len(r.dx) > maxCells {
		return nil, fmt.Errorf("transport: %d cells, want 1 to %d", len(r.dx), maxCells)
	}
	return r, nil
}

// widths cuts a thickness into n cells in geometric progression.
func widths(thickness float64, n int, stretch float64) []float64 {
	out := make([]float64, n)
	ratio := 1.0
	if n > 1 {
		ratio = math.Pow(stretch, 1/float64(n-1))
	}
	x, sum := 1.0, 0.0
	for i := range out {
		out[i] = x
		sum += x
		x *= ratio
	}
	for i := range out {
		out[i] *= thickness / sum
	}
	return out
}

// Cells returns the number of volumes.
func (r *Roof) Cells() int { return len(r.dx) }

// Centres returns the depth of the middle of each cell from the inside face of the
// first body, m.
func (r *Roof) Centres() []float64 {
	out := make([]float64, len(r.dx))
	x := 0.0
	for i, dx := range r.dx {
		out[i] = x + dx/2
		x += dx
	}
	return out
}
