package entry

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"underlap/diagnose/explain"
	"underlap/rules"
)

// Share is one of several with its probability.
type Share struct {
	ID string
	P  float64
}

// Input is what a map is worked out from.
type Input struct {
	Plan  Plan
	Fall  map[string]float64 // chance that it falls towards each side; they sum to 1
	Out   float64            // chance that the joists run out from the house
	Types []Share            // of the build-ups, rules.NotListed among them
	// Causes are each with the chance that it is at work; more than one may be. Where it
	// shows must not be among what they were weighed by when the plan has stains: the
	// stains say it, more closely.
	Causes []Share
	All    []Share     // the same with all that is known, for Outside; nil: Causes
	Lag    *Lag        // from rain to the first sign, when it was told
	Facts  rules.Facts // for what forbids a test
	Assume []string    // what of the plan nobody told
}

// Map is where the water gets in.
type Map struct {
	Plan  Plan    `json:"plan"`
	CellX float64 `json:"cell_x"` // metres
	CellY float64 `json:"cell_y"`
	// Cells are the chances, rows from the house wall outward, each from the left. They
	// sum to 1: they are what holds if it gets in from outside at all.
	Cells   [][]float64 `json:"cells"`
	Outside float64     `json:"outside"` // chance of that, from the causes alone
	Zones   []Zone      `json:"zones"`   // named places, the likeliest first; they sum to 1
	Hose    []Step      `json:"hose"`    // in order
	Not     []Caution   `json:"not"`     // when not to, before anything else
	NoHose  bool        `json:"no_hose"` // water may not be put on it at all for now
	NoFlood bool        `json:"no_flood"`
	Assumed []string    `json:"assumed"`
}

// Zone is a named place with its chance.
type Zone struct {
	ID     string   `json:"id"`
	Name   string   `json:"name"`
	Share  float64  `json:"share"`
	Before float64  `json:"before"` // from the causes alone, before any stain
	Causes []string `json:"causes"` // ids of the causes that bring most of it, at most three
	Why    string   `json:"why,omitempty"`
}

// small is a share too small to follow.
const small = 1e-3

// Find works the map out. Stains may come in any order. The pack has passed its lint.
func Find(in Input, pack *rules.Pack) *Map {
	t := &pack.Travel
	p := in.Plan
	// The same answers in another order are the same map, to the last bit.
	p.Stains = slices.Clone(p.Stains)
	slices.SortFunc(p.Stains, func(a, b Mark) int {
		return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y), cmp.Compare(a.W, b.W), cmp.Compare(a.H, b.H))
	})
	g := gridOf(&p, t.Cell)
	f := finder{in: &in, pack: pack, t: t, p: &p, g: g, list: placesOf(&p, t, g), holes: holesOf(&p, t), axes: map[axisOf][]float64{}, met: map[meeting]ahead{}}
	f.weigh()
	m := &Map{Plan: p, CellX: g.hx, CellY: g.hy, Outside: f.outside, Assumed: in.Assume}
	for j := range g.ny {
		m.Cells = append(m.Cells, f.cells[j*g.nx:(j+1)*g.nx])
	}
	f.zones(m)
	f.steps(m)
	return m
}

// finder is one map under way.
type finder struct {
	in   *Input
	pack *rules.Pack
	t    *rules.Travel
	p    *Plan
	g    grid
	list []place

	holes []hole
	axes  map[axisOf][]float64
	met   map[meeting]ahead

	outside float64
	cells   []float64
	share   []float64   // by place, given the stains
	before  []float64   // by place, from the causes alone
	brings  [][]float64 // by place, by cause: parts of share
}

// weigh sums over falls, joists and build-ups.
func (f *finder) weigh() {
	n, causes := len(f.list), len(f.in.Causes)
	f.cells = make([]float64, f.g.len())
	f.share, f.before, f.brings = make([]float64, n), make([]float64, n), make([][]float64, n)
	for z := range f.brings {
		f.brings[z] = make([]float64, causes)
	}
	total := 0.0
	for _, c := range f.in.Causes {
		total += c.P
	}
	likely := make([]float64, f.g.len())
	var mass float64
	for _, fall := range rules.Sides {
		pf := f.in.Fall[fall]
		if pf < small {
			continue
		}
		f.likelihood(fall, likely)
		evidence := make([]float64, n)
		for z := range f.list {
			for _, s := range f.list[z].on {
				evidence[z] += s.p * likely[s.cell]
			}
		}
		weight, seats := make([]float64, n), map[string][]share{}
		for c, k := range f.in.Causes {
			cause, ok := f.pack.Cause(k.ID)
			if !ok || total <= 0 {
				continue
			}
			sits, _ := f.t.SitsOf(cause)
			for _, name := range names(sits.At) {
				w := pf * k.P / total * sits.At[name] / 100
				if name == rules.TravelNowhere {
					continue
				}
				on, ok := seats[name]
				if !ok {
					on = seat(f.list, f.t, name, fall)
					seats[name] = on
				}
				for _, s := range on {
					weight[s.cell] += w * s.p
					f.brings[s.cell][c] += w * s.p * evidence[s.cell]
				}
			}
		}
		for z, w := range weight {
			f.before[z] += w
			f.share[z] += w * evidence[z]
			mass += w * evidence[z]
			for _, s := range f.list[z].on {
				f.cells[s.cell] += w * s.p * likely[s.cell]
			}
		}
	}
	f.outside = f.fromOutside()
	scale(f.before, sum(f.before))
	scale(f.share, mass)
	scale(f.cells, mass)
	for z := range f.brings {
		scale(f.brings[z], mass)
	}
}

// fromOutside is the chance that the water comes in from outside.
func (f *finder) fromOutside() float64 {
	all := f.in.All
	if all == nil {
		all = f.in.Causes
	}
	total, none := 0.0, 0.0
	for _, k := range all {
		if cause, ok := f.pack.Cause(k.ID); ok {
			sits, _ := f.t.SitsOf(cause)
			none += k.P * sits.At[rules.TravelNowhere] / 100
			total += k.P
		}
	}
	if total <= 0 {
		return 0
	}
	return 1 - none/total
}

func names(at map[string]float64) []string {
	out := make([]string, 0, len(at))
	for k := range at {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

func sum(v []float64) (s float64) {
	for _, x := range v {
		s += x
	}
	return s
}

func scale(v []float64, by float64) {
	if by > 0 {
		for i := range v {
			v[i] /= by
		}
	}
}

// likelihood fills in, for each cell, how well water that enters there suits all stains,
// if the roof falls to that side.
func (f *finder) likelihood(fall string, out []float64) {
	for i := range out {
		out[i] = 0
	}
	if len(f.p.Stains) == 0 {
		for i := range out {
			out[i] = 1
		}
		return
	}
	product := make([]float64, len(out))
	for _, b := range f.in.Types {
		typ, ok := f.t.Type(b.ID)
		if !ok || b.P < small {
			continue
		}
		for _, run := range [2]struct {
			out bool
			p   float64
		}{{true, f.in.Out}, {false, 1 - f.in.Out}} {
			if run.p < small {
				continue
			}
			for i := range product {
				product[i] = b.P * run.p
			}
			f.suits(typ, fall, run.out, product)
			for i, v := range product {
				out[i] += v
			}
		}
	}
}

// ahead is one way of travel made ready for one fall and one run of the joists.
type ahead struct {
	way  *rules.Way
	x, y run
	// With holes in the layer: the share that stays on it, and that which comes out at
	// each hole, by cell.
	stays  []float64
	leaves [][]float64
}

// suits multiplies into each cell how well it suits each stain, in one build-up.
func (f *finder) suits(typ *rules.TravelType, fall string, joistsOut bool, product []float64) {
	g := f.g
	ways := make([]ahead, len(typ.Ways))
	for k := range ways {
		w := &typ.Ways[k]
		ways[k].way = w
		ways[k].x, ways[k].y = runs(w, f.p, fall, joistsOut)
		if w.Holes > 0 && len(f.holes) > 0 {
			ways[k].stays, ways[k].leaves = f.meetings(w, fall)
		}
	}
	like := make([]float64, g.len())
	stray := f.t.Astray / g.area()
	for s := range f.p.Stains {
		clear(like)
		for k := range ways {
			w := &ways[k]
			dx, dy := f.densities(w.x, s, false), f.densities(w.y, s, true)
			for j, d := range dy {
				d *= w.way.Share
				row := like[j*g.nx : (j+1)*g.nx]
				if w.stays == nil {
					for i := range row {
						row[i] += d * dx[i]
					}
					continue
				}
				stays := w.stays[j*g.nx : (j+1)*g.nx]
				for i := range row {
					row[i] += d * dx[i] * stays[i]
				}
			}
			for h, leaves := range w.leaves {
				at := w.way.Share * f.under(h, s)
				for c, q := range leaves {
					like[c] += q * at
				}
			}
		}
		for c, v := range like {
			product[c] *= (1-f.t.Astray)*v + stray
		}
	}
}

// axisOf names the densities of one run on one axis about one stain.
type axisOf struct {
	run
	stain int
	y     bool
}

// densities is the density of a run at one stain, from each cell of an axis. Many
// build-ups, falls and joists share one.
func (f *finder) densities(r run, stain int, y bool) []float64 {
	key := axisOf{r, stain, y}
	if d, ok := f.axes[key]; ok {
		return d
	}
	tx, ty := toldOf(f.p.Stains[stain], f.t.SpotSD)
	d := make([]float64, f.g.nx)
	if y {
		d = make([]float64, f.g.ny)
	}
	for i := range d {
		if y {
			d[i] = r.density(f.g.y(i), ty)
		} else {
			d[i] = r.density(f.g.x(i), tx)
		}
	}
	f.axes[key] = d
	return d
}

// under is the density of a stain under a hole.
func (f *finder) under(h, stain int) float64 {
	x := &f.holes[h]
	tx, ty := toldOf(f.p.Stains[stain], f.t.SpotSD)
	sd := math.Hypot(f.t.HoleSD, 2*x.half/math.Sqrt(12)) // anywhere across the hole
	return run{sd: sd, length: f.p.Along}.density(x.X, tx) * run{sd: sd, length: f.p.Out}.density(x.Y, ty)
}

// meeting names the meetings of a way with the holes.
type meeting struct {
	way  rules.Way
	fall string
}

// meetings are the shares of a way that stay on the layer, by cell, and that come out, by
// hole and cell.
func (f *finder) meetings(w *rules.Way, fall string) (stays []float64, leaves [][]float64) {
	key := meeting{*w, fall}
	if m, ok := f.met[key]; ok {
		return m.stays, m.leaves
	}
	g := f.g
	stays, leaves = make([]float64, g.len()), make([][]float64, len(f.holes))
	for h := range leaves {
		leaves[h] = make([]float64, g.len())
	}
	q, at := make([]float64, len(f.holes)), make([]reach, len(f.holes))
	for j := range g.ny {
		for i := range g.nx {
			meets(w, f.holes, fall, g.x(i), g.y(j), q, at)
			if all := sum(q); all > 1 { // two holes on one spot
				scale(q, all)
			}
			c := g.at(i, j)
			stays[c] = 1 - sum(q)
			for h := range q {
				leaves[h][c] = q[h]
			}
		}
	}
	f.met[key] = ahead{stays: stays, leaves: leaves}
	return stays, leaves
}

// shown is the share under which a place is neither named nor hosed.
const shown = 0.03

// zones lists the places with their shares.
func (f *finder) zones(m *Map) {
	for z := range f.list {
		if f.share[z] <= 0 && f.before[z] <= 0 {
			continue
		}
		x := Zone{ID: f.list[z].id, Name: f.list[z].name, Share: f.share[z], Before: f.before[z]}
		for _, c := range f.bringers(z) {
			x.Causes = append(x.Causes, f.in.Causes[c].ID)
		}
		if x.Share >= shown {
			x.Why = "entry/" + x.ID
		}
		m.Zones = append(m.Zones, x)
	}
	// To a millionth: what only rounding parts stays in the order of the plan.
	slices.SortStableFunc(m.Zones, func(a, b Zone) int {
		return cmp.Compare(math.Round(b.Share*1e6), math.Round(a.Share*1e6))
	})
}

// bringers are the causes that bring most of a place's share, at most three and none
// under a tenth of it.
func (f *finder) bringers(z int) []int {
	var order []int
	for c, p := range f.brings[z] {
		if p > 0.1*f.share[z] {
			order = append(order, c)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(f.brings[z][b], f.brings[z][a]) })
	return order[:min(3, len(order))]
}

// Best is the likeliest place and its share in words; "" when there is none.
func (m *Map) Best() string {
	if len(m.Zones) == 0 {
		return ""
	}
	return m.Zones[0].Name + ", " + explain.Percent(m.Zones[0].Share)
}

// In is the chance that it gets in within a rectangle of the plan: x from the left, y from
// the house wall, in metres.
func (m *Map) In(x0, y0, x1, y1 float64) float64 {
	p := 0.0
	for j, row := range m.Cells {
		dy := overlap(y0, y1, float64(j)*m.CellY, float64(j+1)*m.CellY) / m.CellY
		if dy == 0 {
			continue
		}
		for i, v := range row {
			p += v * dy * overlap(x0, x1, float64(i)*m.CellX, float64(i+1)*m.CellX) / m.CellX
		}
	}
	return p
}

// Named are the places with a share worth a line, the likeliest first.
func (m *Map) Named() []Zone {
	n := 0
	for n < len(m.Zones) && m.Zones[n].Why != "" {
		n++
	}
	return m.Zones[:n]
}
