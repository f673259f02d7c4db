package buildup

import (
	"math"
	"sort"

	"underlap/diagnose/facts"
	"underlap/rules"
)

// settle ranks the looks and readings that would tell the types apart, by the
// expected fall of the type's entropy in bits. For a reading that is the exact
// expectation over what it may show: how likely each figure is under each type, by
// every stack that is still held, its place along the fall and its error.
func (e *enumeration) settle(f *facts.Set, covered [][growths]spread) []Look {
	now := append([]float64(nil), e.types...)
	normalise(now)
	h := entropy(now)
	if h < 0.05 {
		return nil
	}
	var out []Look
	add := func(id, text string, after float64) {
		out = append(out, Look{id, h - after, text})
	}
	known := func(id string) bool {
		_, ok := f.Get(id)
		return ok
	}
	b, a := e.b, e.ahead(covered)
	pair := 2 * square(b.TapeSDMM/1000)
	switch {
	case f.Is("rooflight", "none"):
	case !known("kerb-inside"):
		add("kerb-inside", "The two tape readings at the skylight", a.whole(&whole{v: pair}, true))
	case !known("kerb-outside"):
		add("kerb-outside", "The outside tape reading at the skylight", a.whole(&whole{v: pair}, true))
	case !known("second-inside"):
		add("second-inside", "The same two readings at the other side of the skylight", a.otherSide(2*pair))
	}
	if !known("joist-depth") {
		add("joist-depth", "The depth of the joists, from a drawing or a hatch", e.afterJoist())
	}
	place, bits, there := "", 0.0, 0.0
	for i := range b.Readings {
		r := &b.Readings[i]
		if known(r.Question) || e.ev.replaced(f, r.Question) || r.InsteadOf != "" && !known(r.InsteadOf) {
			continue
		}
		after, ok := a.reading(f, r)
		if !ok {
			continue
		}
		switch {
		case r.Place == "" || f.Is("measure-at", r.Place):
			add(r.Question, r.Text, after)
		case !known("measure-at") && (h-after)*r.There > bits*there:
			place, bits, there = r.Text, h-after, r.There
		}
	}
	if place != "" {
		add("measure-at", "Another place where the thickness shows. "+place, h-bits*there)
	}
	for _, q := range []struct{ id, text string }{
		{"insulation-seen", "One look at where the insulation lies, at a hatch or a fitting with the power off"},
		{"vents", "Whether there are vents at the edges"},
	} {
		if !known(q.id) {
			if gain := hintGain(b, q.id, now, h); gain > 0 {
				add(q.id, q.text, h-gain)
			}
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Bits > out[j].Bits })
	for i, l := range out {
		if l.Bits < 0.02 {
			return out[:i]
		}
	}
	return out
}

// afterJoist is the entropy of the type that is left once the joist is known.
func (e *enumeration) afterJoist() float64 {
	sum, after := sumOf(e.types), 0.0
	col := make([]float64, len(e.types))
	for j := range e.b.Joists {
		p := 0.0
		for k := range e.types {
			col[k] = e.joists[k][j]
			p += col[k]
		}
		if p > 0 {
			normalise(col)
			after += p / sum * entropy(col)
		}
	}
	return after
}

// ahead is what is believed now, laid out for asking what a further reading may show.
type ahead struct {
	e       *enumeration
	covered [][growths]spread // by type: sums with coverings, before the readings of the whole
	held    [][growths]spread // the same after them
}

func (e *enumeration) ahead(covered [][growths]spread) *ahead {
	a := &ahead{e: e, covered: covered, held: make([][growths]spread, len(covered))}
	for c := range growths {
		a.weigh(c, true, func(k int) *spread { return &a.held[k][c] })
	}
	return a
}

// weigh puts the readings of the whole roof on the sums of each type.
func (a *ahead) weigh(class int, banded bool, into func(kind int) *spread) {
	var density spread
	for i := range density {
		density[i] = a.e.ev.at(float64(i)/1000, class, banded)
	}
	for k := range a.covered {
		to := into(k)
		for i, x := range a.covered[k][class] {
			to[i] = x * density[i]
		}
	}
}

// guess is what a type holds a reading to show: a spread of its middles, which lie at
// by's own times near, plus at, and a standard deviation about each.
type guess struct {
	kind     int
	by       *spread
	near, at float64
	sd       float64
}

// middle is where bin i of the guess lies, metres.
func (g *guess) middle(i int) float64 { return float64(i)/1000*g.near + g.at }

// whole is the entropy left after a reading of the whole roof. Its middle, for a sum
// of layers, is where the roof itself lies by that sum and the readings so far.
func (a *ahead) whole(w *whole, banded bool) float64 {
	return expectation(a.guesses(w, banded), len(a.covered), nil)
}

func (a *ahead) guesses(w *whole, banded bool) []guess {
	ev := a.e.ev
	var out []guess
	for c := range growths {
		mu, sd := slope(&a.e.b.Growth, c)
		near, v := 1.0, ev.scatter() // weight of the sum in the middle, and variance about it
		at := 0.0
		if len(ev.wholes) > 0 {
			m, mv := 0.0, 0.0
			k := 0.0
			for _, p := range ev.pieces[c] {
				k += p.k
				m += p.k * p.m
				mv += p.k * (p.v + p.m*p.m)
			}
			if k > 0 {
				m /= k
				mv = mv/k - m*m
				near, at, v = mv/(mv+v), m*v/(mv+v), mv*v/(mv+v)
			}
		}
		v += w.v + w.astray*(square(mu)+square(sd)) + square(w.along*sd)
		var free []spread
		if !banded {
			free = make([]spread, len(a.covered))
			a.weigh(c, false, func(k int) *spread { return &free[k] })
		}
		for k := range a.covered {
			g := guess{kind: k, by: &a.held[k][c], near: near, at: at + w.along*mu, sd: math.Sqrt(v)}
			if !banded {
				g.by = &free[k]
			}
			out = append(out, g)
		}
	}
	return out
}

// otherSide is the entropy left after the other side of the skylight: the difference
// of the two sides, which tells a roof that grows along its fall from one that does
// not. v is the variance of the difference by the tape. What the second side adds to
// the thickness itself is left out; it is little beside the first.
func (a *ahead) otherSide(v float64) float64 {
	const middle = 0.6 // metres: differences lie either side of nought, spreads do not
	d := a.e.b.Growth.SidesM
	var out []guess
	for c := range growths {
		mu, sd := slope(&a.e.b.Growth, c)
		for k := range a.covered {
			p := sumOf(a.held[k][c][:])
			for _, m := range []float64{mu * d, -mu * d} {
				out = append(out, guess{kind: k, by: &spread{p / 2}, near: 1, at: middle + m, sd: math.Sqrt(v + square(d*sd))})
			}
		}
	}
	return expectation(out, len(a.covered), nil)
}

// reading is the entropy left after one reading of the table; ok is false when it
// does not apply.
func (a *ahead) reading(f *facts.Set, r *rules.Measuring) (after float64, ok bool) {
	w := whole{v: square(r.SDMM / 1000)}
	if r.Downhill {
		w.along, w.astray = -r.AlongM, square(r.AlongSDM)
	} else {
		w.astray = square(r.AlongM) + square(r.AlongSDM)
	}
	n := len(a.covered)
	switch {
	case len(r.Bands) > 0:
		return banded(a.guesses(&w, true), n, a.e.ev.shifted(r)), true
	case r.InsteadOf != "":
		// The answer it replaces tells in which range it falls, if that was no noise, and then
		// counts no more.
		for _, band := range a.e.ev.bands {
			if band.used.Question == r.InsteadOf {
				return expectation(a.guesses(&w, false), n, func(m float64) float64 {
					noise := (1 - band.weight) / float64(band.answers)
					if m >= band.band.From/1000 && m < band.band.To/1000 {
						return band.weight + noise
					}
					return noise
				}), true
			}
		}
		return 0, false
	case r.Part == rules.PartWhole:
		return a.whole(&w, true), true
	case r.Part == rules.PartBelowDeck:
		var out []guess
		for c := range growths {
			mu, sd := slope(&a.e.b.Growth, c)
			for k := range a.e.lower {
				out = append(out, guess{kind: k, by: &a.e.lower[k][c], near: 1, sd: math.Sqrt(w.v + w.astray*(square(mu)+square(sd)))})
			}
		}
		return expectation(out, n, nil), true
	}
	return a.layer(f, math.Sqrt(w.v), n)
}

// layer is the entropy left after the thickness of the insulation that was seen.
func (a *ahead) layer(f *facts.Set, sd float64, n int) (after float64, ok bool) {
	if seen := f.Choice("insulation-seen"); seen == "" || seen == "none" {
		return 0, false
	}
	var out []guess
	for k, list := range a.e.layers {
		g := guess{kind: k, by: &spread{}, near: 1, sd: sd}
		for _, l := range list {
			sizes := a.e.ev.sizes(&a.e.b.Types[k], l.main, l.under)
			for _, s := range sizes {
				g.by.add(s, l.weight/float64(len(sizes)))
			}
			if len(sizes) == 0 {
				const bins = 20 // anything up to 1/flatLayer
				for i := range bins {
					g.by.add((float64(i)+0.5)/bins/flatLayer, l.weight/bins)
				}
			}
		}
		out = append(out, g)
	}
	return expectation(out, n, nil), true
}

// banded is the entropy expected to be left after an answer that stands for a range.
// Middles are taken together on bins an eighth of a standard deviation wide.
func banded(list []guess, n int, bands []rules.BandOfMM) float64 {
	p := make([][]float64, len(bands))
	for i := range p {
		p[i] = make([]float64, n)
	}
	for i := range list {
		g := &list[i]
		width := max(1, int(g.sd*1000/8))
		for lo := 0; lo < len(g.by); lo += width {
			w := sumOf(g.by[lo:min(lo+width, len(g.by))])
			if w == 0 {
				continue
			}
			m := g.middle(lo) + g.near*float64(width-1)/2000
			below := 0.0
			for b := range bands {
				upTo := phi((bands[b].To/1000 - m) / g.sd)
				p[b][g.kind] += w * (upTo - below)
				below = upTo
			}
		}
	}
	all, after := 0.0, 0.0
	for _, col := range p {
		if share := sumOf(col); share > 0 {
			all += share
			normalise(col)
			after += share * entropy(col)
		}
	}
	if all == 0 {
		return 0
	}
	return after / all
}

// expectation is the entropy expected to be left after a reading. told, when there is
// one, is how likely what was told before is with each figure. Figures are summed at half a standard deviation of the
// sharpest guess, on bins a sixth of it wide: for sums of normal curves that is as
// good as the integral.
func expectation(list []guess, n int, told func(m float64) float64) float64 {
	least := math.Inf(1)
	for _, g := range list {
		least = min(least, g.sd)
	}
	bin := max(1, int(least*1000/6)) // mm
	stride := max(1, int(least*1000/2)/bin)
	const pad = 4.0 // standard deviations
	wide := 0.0
	for _, g := range list {
		wide = max(wide, g.sd)
	}
	margin := int(pad*wide*1000)/bin + stride
	bins := len(spread{})/bin + 1
	flat := make([]float64, n*((bins+2*margin)/stride+1))
	p := make([][]float64, n)
	for k := range p {
		p[k] = flat[k*len(flat)/n : (k+1)*len(flat)/n]
	}
	binned := make([]float64, bins)
	kernel := []float64{}
	for i := range list {
		g := &list[i]
		clear(binned)
		for i, w := range g.by {
			if w > 0 {
				if at := int(g.middle(i)*1000+0.5) / bin; at >= 0 && at < bins {
					binned[at] += w
				}
			}
		}
		reach := int(pad * g.sd * 1000 / float64(bin))
		kernel = kernel[:0]
		for d := range reach + 1 {
			kernel = append(kernel, normal(float64(d*bin)/1000, square(g.sd)))
		}
		row := p[g.kind]
		for at, w := range binned {
			if w == 0 {
				continue
			}
			at += margin
			for y := max((at-reach+stride-1)/stride, 0); y*stride <= at+reach && y < len(row); y++ {
				d := y*stride - at
				if d < 0 {
					d = -d
				}
				row[y] += w * kernel[d]
			}
		}
	}
	all, after := 0.0, 0.0
	col := make([]float64, n)
	for y := range p[0] {
		like := 1.0
		if told != nil {
			like = told(float64((y*stride-margin)*bin)/1000 + float64(bin-1)/2000)
		}
		sum := 0.0
		for k := range p {
			col[k] = p[k][y] * like
			sum += col[k]
		}
		if sum > 0 {
			all += sum
			normalise(col)
			after += sum * entropy(col)
		}
	}
	if all == 0 {
		return 0
	}
	return after / all
}

// hintGain treats the hints of one question as the likelihood of its answers.
func hintGain(b *rules.BuildUpTables, question string, now []float64, h float64) float64 {
	var rows [][]float64
	for _, hint := range b.Hints {
		c, err := rules.ParseCondition(hint.When[0])
		if err != nil || c.Question != question || len(hint.When) > 1 {
			continue
		}
		row := make([]float64, len(now))
		for k := range b.Types {
			row[k] = hint.Times[b.Types[k].ID]
		}
		rows = append(rows, row)
	}
	if len(rows) < 2 {
		return 0
	}
	after := 0.0
	for _, row := range rows {
		p, post := 0.0, make([]float64, len(now))
		for k := range now {
			all := 0.0
			for _, r := range rows {
				all += r[k]
			}
			post[k] = now[k] * row[k] / all
			p += post[k]
		}
		if p > 0 {
			normalise(post)
			after += p * entropy(post)
		}
	}
	return h - after
}

func entropy(p []float64) float64 {
	h := 0.0
	for _, x := range p {
		if x > 0 {
			h -= x * math.Log2(x)
		}
	}
	return h
}
