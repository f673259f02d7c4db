package entry

import (
	"math"

	"underlap/rules"
)

// run is travel along one axis: from e, a distance that is normal with that mean and
// standard deviation. Water is turned back at both ends; with stop it stays at the far end
// instead, which is the low edge.
type run struct {
	mean, sd float64
	length   float64
	flip     bool // distances are counted down from the far end
	stop     bool
}

// told is where a stain was said to be, on one axis: a point with its standard deviation,
// or anywhere between two ends.
type told struct {
	at, sd   float64
	from, to float64 // used when to is over from
}

func (s told) isBox() bool { return s.to > s.from }

// flipped is the same seen from the other end.
func (s told) flipped(length float64) told {
	return told{at: length - s.at, sd: s.sd, from: length - s.to, to: length - s.from}
}

// density is that with which water from e shows at s, per metre: the mean over a box.
func (r run) density(e float64, s told) float64 {
	if r.flip {
		e, s = r.length-e, s.flipped(r.length)
	}
	mu, d := e+r.mean, 0.0
	// A place beyond an end is its mirror image within, and there are mirrors at both ends:
	// as many images as the travel can reach, the same number on both sides.
	most := min(10, 1+int((r.mean+6*r.sd)/(2*r.length)))
	far := 9 * (r.sd + s.sd) // nothing beyond is worth the sum
	for k := -most; k <= most; k++ {
		shift := 2 * float64(k) * r.length
		d += r.image(mu, s, shift, 1, far)
		if k > -most {
			d += r.image(mu, s, shift, -1, far)
		}
	}
	if s.isBox() {
		d /= s.to - s.from
	}
	if !r.stop {
		return d
	}
	stopped := upper((r.length - mu) / r.sd)
	switch {
	case s.isBox() && s.to >= r.length-1e-9:
		d += stopped / (s.to - s.from)
	case !s.isBox():
		d += stopped * 2 * normal(s.at-r.length, s.sd) // on this side of the edge only
	}
	return d
}

// image is the part of one image: what was told, as it is or mirrored, and shifted.
func (r run) image(mu float64, s told, shift, sign, far float64) float64 {
	if s.isBox() {
		a, b := shift+sign*s.from, shift+sign*s.to
		if a > b {
			a, b = b, a
		}
		if a > mu+far || b < mu-far {
			return 0
		}
		return r.between(mu, a, b)
	}
	x := shift + sign*s.at
	if math.Abs(x-mu) > far {
		return 0
	}
	return r.point(mu, x, s.sd)
}

// between is the chance of ending from a to b.
func (r run) between(mu, a, b float64) float64 {
	if r.stop {
		b = min(b, r.length)
		if b <= a {
			return 0
		}
	}
	return upper((a-mu)/r.sd) - upper((b-mu)/r.sd)
}

// point is the density of being told at x, when what is told scatters by sd about where
// the water ended.
func (r run) point(mu, x, sd float64) float64 {
	v := r.sd*r.sd + sd*sd
	d := normal(x-mu, math.Sqrt(v))
	if !r.stop || d == 0 {
		return d
	}
	// Only what ended before the low edge: the normal of the end given what was told, cut
	// there.
	mean := (mu*sd*sd + x*r.sd*r.sd) / v
	scatter := r.sd * sd / math.Sqrt(v)
	if scatter == 0 {
		if x < r.length {
			return d
		}
		return 0
	}
	return d * (1 - upper((r.length-mean)/scatter))
}

func normal(x, sd float64) float64 {
	z := x / sd
	return math.Exp(-0.5*z*z) / (sd * math.Sqrt(2*math.Pi))
}

// upper is the chance that a standard normal exceeds z.
func upper(z float64) float64 { return 0.5 * math.Erfc(z/math.Sqrt2) }

// runs are the two axes of a way of travel, for one fall and one run of the joists.
func runs(w *rules.Way, p *Plan, fall string, joistsOut bool) (x, y run) {
	x, y = run{length: p.Along}, run{length: p.Out}
	along, across := &x, &y // the axes of the way
	var fallsAlong bool
	switch w.By {
	case rules.WayDrop:
		x.sd, y.sd = w.SD, w.SD
		return x, y
	case rules.WayLayer:
		if outward(fall) {
			along, across = &y, &x
		}
		fallsAlong = true
	default: // a bay runs with the joists, a joint of the boards across them
		if joistsOut == (w.By == rules.WayBay) {
			along, across = &y, &x
		}
		fallsAlong = outward(fall) == (along == &y)
	}
	along.sd, across.sd = w.SD, w.Across
	if w.By == rules.WayBay {
		// Two places anywhere in one bay: their difference is triangular, and its standard
		// deviation is the spacing over the root of six.
		across.sd = p.Centres / math.Sqrt(6)
	}
	if fallsAlong {
		along.mean, along.stop = w.Along, true
		along.flip = fall == House || fall == Left
	}
	return x, y
}

// toldOf is a mark on the two axes.
func toldOf(m Mark, sd float64) (x, y told) {
	x, y = told{at: m.X, sd: sd}, told{at: m.Y, sd: sd}
	if m.W > 0 {
		x.from, x.to = m.X-m.W/2, m.X+m.W/2
	}
	if m.H > 0 {
		y.from, y.to = m.Y-m.H/2, m.Y+m.H/2
	}
	return x, y
}

// hole is an opening in the layer, where water that meets it comes out.
type hole struct {
	Mark
	half float64 // half its width
}

// holesOf are the openings that the plan knows of.
func holesOf(p *Plan, t *rules.Travel) []hole {
	var out []hole
	for _, m := range p.Rooflights {
		out = append(out, hole{m, t.Rooflight / 2})
	}
	for _, m := range p.Pipes {
		out = append(out, hole{m, t.Strip / 2})
	}
	return out
}

// reach is how far down the fall a hole is, and from where to where across it, as seen from
// an entry.
type reach struct{ d, from, to float64 }

// rounding is what two distances on the plan may differ by and be the same, in metres: a
// plan seen in a mirror has the same map.
const rounding = 1e-9

// meets is the chance that water from x, y on the layer comes out at each hole. Water
// takes a line down the fall, off the entry by a normal with the scatter across, and keeps
// to it; it comes out at a hole that the line meets and that it runs as far as, if it has
// not come out at one nearer on the same line. at is room to work in.
func meets(w *rules.Way, holes []hole, fall string, x, y float64, out []float64, at []reach) {
	for k, h := range holes {
		d, c := h.Y-y, h.X-x
		if !outward(fall) {
			d, c = c, d
		}
		if fall == House || fall == Left {
			d = -d
		}
		at[k] = reach{d - h.half, c - h.half, c + h.half}
		if at[k].d <= rounding {
			at[k].d = math.Inf(1) // it lies behind
		}
	}
	for k := range at {
		out[k] = 0
		if math.IsInf(at[k].d, 1) {
			continue
		}
		arrives := w.Holes * upper((at[k].d-w.Along)/w.SD)
		for from := at[k].from; from < at[k].to; {
			// As far as the next edge of a nearer hole the same of them are on the line.
			to, stays := at[k].to, 1.0
			for n := range at {
				if at[n].d >= at[k].d-rounding {
					continue
				}
				if at[n].from <= from && from < at[n].to {
					stays *= 1 - w.Holes
				}
				for _, edge := range [2]float64{at[n].from, at[n].to} {
					if edge > from {
						to = min(to, edge)
					}
				}
			}
			out[k] += arrives * stays * (upper(from/w.Across) - upper(to/w.Across))
			from = to
		}
	}
}
