package entry

import (
	"math"
	"math/rand"
	"testing"

	"underlap/rules"
)

// walker lets single drops run over a roof, a step at a time, in the words of the pack
// and with none of the formulas of the kernel. It exists to check them (self-made).
type walker struct {
	rnd        *rand.Rand
	along, out float64
	centres    float64
}

// turn walks a distance along one axis in steps, turning back at the ends; at the far end
// of the way down it stays, if it is to.
func (w *walker) turn(at, distance, length float64, stay bool) float64 {
	const step = 0.004
	dir := 1.0
	if distance < 0 {
		dir, distance = -1, -distance
	}
	for left := distance; left > 0; left -= step {
		at += dir * min(step, left)
		switch {
		case at >= length && stay:
			return length
		case at > length:
			at, dir = 2*length-at, -1
		case at < 0:
			at, dir = -at, 1
		}
	}
	return at
}

// stagger is a walk of many small steps either way, turned back at the ends.
func (w *walker) stagger(at, sd, length float64) float64 {
	const n = 300
	step := sd / math.Sqrt(n)
	for range n {
		if w.rnd.Intn(2) == 0 {
			at += step
		} else {
			at -= step
		}
		if at < 0 {
			at = -at
		}
		if at > length {
			at = 2*length - at
		}
	}
	return at
}

// drop lets one drop in at x, y and tells where it shows. The roof falls to the garden and
// the joists run out from the house.
func (w *walker) drop(t *rules.TravelType, x, y float64) (float64, float64) {
	way, u := t.Ways[0], w.rnd.Float64()
	for _, k := range t.Ways {
		way = k
		if u -= k.Share; u < 0 {
			break
		}
	}
	switch way.By {
	case rules.WayDrop:
		return w.stagger(x, way.SD, w.along), w.stagger(y, way.SD, w.out)
	case rules.WayBay:
		// The bay lies anyhow about the entry; the ceiling is wet anywhere across it.
		from := x - w.rnd.Float64()*w.centres
		x = from + w.rnd.Float64()*w.centres
		if x < 0 {
			x = -x
		}
		if x > w.along {
			x = 2*w.along - x
		}
		return x, w.turn(y, way.Along+way.SD*w.rnd.NormFloat64(), w.out, true)
	case rules.WayJoint: // across the joists, and so across the fall
		return w.stagger(x, way.SD, w.along), w.stagger(y, way.Across, w.out)
	default:
		return w.stagger(x, way.Across, w.along), w.turn(y, way.Along+way.SD*w.rnd.NormFloat64(), w.out, true)
	}
}

// Drops let in at single places by a walker that knows no formula show in each part of the
// ceiling as often as the kernel says.
func TestAWalkerGoesWhereTheKernelSays(t *testing.T) {
	const drops, nx, ny = 6000, 6, 4
	w := walker{rnd: rand.New(rand.NewSource(3)), along: 6, out: 4, centres: 0.4}
	p := Plan{Along: w.along, Out: w.out, Centres: w.centres}
	for _, id := range append([]string{rules.NotListed}, rules.BuildTypes...) {
		typ, _ := rules.Built().Travel.Type(id)
		for _, e := range [][2]float64{{3.1, 1.3}, {0.2, 3.7}, {5.6, 0.1}} {
			var seen [ny][nx]float64
			for range drops {
				x, y := w.drop(typ, e[0], e[1])
				seen[min(ny-1, int(y/w.out*ny))][min(nx-1, int(x/w.along*nx))] += 1.0 / drops
			}
			all := 0.0
			for j := range ny {
				for i := range nx {
					m := Mark{X: (float64(i) + 0.5) * w.along / nx, Y: (float64(j) + 0.5) * w.out / ny, W: w.along / nx, H: w.out / ny}
					tx, ty := toldOf(m, 0)
					want := 0.0
					for k := range typ.Ways {
						rx, ry := runs(&typ.Ways[k], &p, Garden, true)
						want += typ.Ways[k].Share * rx.density(e[0], tx) * ry.density(e[1], ty) * m.W * m.H
					}
					all += want
					// Four standard errors, and a little because a bay is no normal.
					if tol := 4*math.Sqrt(want*(1-want)/drops) + 0.006; math.Abs(seen[j][i]-want) > tol {
						t.Errorf("%s from %v, part %d, %d: the walker %.4f, the kernel %.4f", id, e, i, j, seen[j][i], want)
					}
				}
			}
			near(t, id+": all parts", all, 1, 1e-6)
		}
	}
}

// The share that comes out at a hole: a drop takes a line down the fall, meets the hole if
// the line does, and comes out there or runs on.
func TestAWalkerComesOutAtTheHoles(t *testing.T) {
	way := rules.Way{By: rules.WayLayer, Share: 1, Along: 1.8, SD: 1.2, Across: 0.5, Holes: 0.6}
	holes := []hole{{Mark{X: 3, Y: 2.5}, 0.5}, {Mark{X: 3.3, Y: 3.6}, 0.5}, {Mark{X: 1, Y: 0.5}, 0.5}}
	rnd := rand.New(rand.NewSource(4))
	for _, e := range [][2]float64{{3, 1}, {2.2, 1.2}, {3.3, 2.9}, {1, 3}} {
		const drops = 40000
		got := make([]float64, len(holes))
	drop:
		for range drops {
			line, reach := e[0]+way.Across*rnd.NormFloat64(), way.Along+way.SD*rnd.NormFloat64()
			met := make([]bool, len(holes))
			for gone := 0.0; gone < reach; gone += 0.01 {
				for k, h := range holes {
					if y := e[1] + gone; !met[k] && e[1] < h.Y-h.half && y >= h.Y-h.half && math.Abs(line-h.X) < h.half {
						met[k] = true
						if rnd.Float64() < way.Holes {
							got[k] += 1.0 / drops
							continue drop
						}
					}
				}
			}
		}
		want := make([]float64, len(holes))
		meets(&way, holes, Garden, e[0], e[1], want, make([]reach, len(holes)))
		for k := range holes {
			if tol := 4*math.Sqrt(want[k]*(1-want[k])/drops) + 0.003; math.Abs(got[k]-want[k]) > tol {
				t.Errorf("from %v, hole %d: the walker %.3f, the formula %.3f", e, k, got[k], want[k])
			}
		}
	}
}
