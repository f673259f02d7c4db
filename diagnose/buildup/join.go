package buildup

import (
	"fmt"
	"math"
	"strings"

	"underlap/diagnose/explain"
	"underlap/diagnose/facts"
	"underlap/rules"
)

// Joined is what all readings of the whole roof say together: the thickness at
// the middle of the skylight, or at mid-fall where there is none.
type Joined struct {
	M       float64 `json:"m"`       // metres
	SD      float64 `json:"sd"`      // metres, one standard deviation, readings only
	Growing float64 `json:"growing"` // probability that the thickness grows along the fall, against steady, even before the readings
}

// Used is one reading and how it sits with the others.
type Used struct {
	Question string  `json:"question"`
	Name     string  `json:"name"`
	Part     string  `json:"part"`          // rules.PartWhole and its like
	M        float64 `json:"m"`             // metres, its bias taken off; 0 for a choice
	SD       float64 `json:"sd"`            // metres, way of measuring and stated tolerance; without what the fall may do
	Off      float64 `json:"off,omitempty"` // standard deviations from what the others say; 0 for one alone
	Says     string  `json:"says"`          // as it was answered
}

// whole is a reading of the thickness at a place: T + along·g, where g is the
// growth along the fall, metres a metre.
type whole struct {
	used    Used
	ids     []string
	y, v    float64 // metres, and variance of the reading
	along   float64 // metres up the fall from the place of T, where the side is known
	side    bool    // one of the two sides of a skylight: either may be the upper one
	astray  float64 // variance for each unit of g squared, where place or direction is not known
	weight  float64 // share of the told answer that is not noise, for a band
	band    *rules.BandOfMM
	answers int
}

// growths are the two ways a roof goes along its fall.
const (
	steady = iota
	growing
	growths
)

// slope returns mean and standard deviation of the growth, metres a metre.
func slope(g *rules.Growth, class int) (mean, sd float64) {
	if class == growing {
		return g.SlopeMM / 1000, g.SlopeSDMM / 1000
	}
	return 0, g.SteadySDMM / 1000
}

// piece is one Gaussian piece of the likelihood of the thickness: k·N(T; m, v).
type piece struct {
	k, m, v float64
}

// evidence is everything the readings say, ready to be asked about any stack.
type evidence struct {
	b      *rules.BuildUpTables
	wholes []whole // with a figure
	bands  []whole // with a band only
	pieces [growths][]piece
	below  *whole // ceiling face to deck
	layer  *whole // thickness of insulation seen
	seen   string // where it was seen
	joined *Joined
}

// gather reads all readings from the facts. A pair that cannot be right is left
// out, with the problem.
func gather(f *facts.Set, b *rules.BuildUpTables) (*evidence, *Thickness, []Problem) {
	e := &evidence{b: b, seen: f.Choice("insulation-seen")}
	measured, problems := Measure(f, *b)
	e.sides(f, measured)
	for i := range b.Readings {
		e.take(f, &b.Readings[i])
	}
	if len(e.wholes) > 0 {
		problems = append(problems, e.join()...)
	}
	return e, measured, problems
}

// sides adds the one or two sides of the skylight.
func (e *evidence) sides(f *facts.Set, m *Thickness) {
	if m == nil {
		return
	}
	first := m.M
	if m.Second > 0 {
		first = 2*m.M - m.Second
	}
	in, _ := f.Get("kerb-inside")
	out, _ := f.Get("kerb-outside")
	one := func(name string, y float64, in, out facts.Fact) whole {
		v := square(tapeSD(in, *e.b)) + square(tapeSD(out, *e.b))
		return whole{
			y: y, v: v, ids: []string{in.Question.ID, out.Question.ID},
			used: Used{Question: in.Question.ID, Name: name, Part: rules.PartWhole, M: y, SD: math.Sqrt(v), Says: in.Says() + " less " + out.Says()},
		}
	}
	w := one("Skylight", first, in, out)
	if m.Second == 0 {
		e.wholes = append(e.wholes, w)
		return
	}
	in2, _ := f.Get("second-inside")
	out2, _ := f.Get("second-outside")
	apart := e.b.Growth.SidesM
	if d, ok := f.Number("sides-apart"); ok && d > 0 {
		apart = d
	}
	w2 := one("Skylight, other side", m.Second, in2, out2)
	w.side, w2.side = true, true
	w.along, w2.along = apart/2, -apart/2
	e.wholes = append(e.wholes, w, w2)
}

// take adds one reading of the table, if it was given.
func (e *evidence) take(f *facts.Set, r *rules.Measuring) {
	fact, ok := f.Get(r.Question)
	if !ok {
		return
	}
	w := whole{
		ids:  []string{r.Question},
		used: Used{Question: r.Question, Name: fact.Question.Short, Part: r.Part, Says: fact.Says()},
		v:    square(math.Hypot(r.SDMM/1000, fact.Tolerance/2)), weight: fact.Reliability,
	}
	w.used.SD = math.Sqrt(w.v)
	along, sd := r.AlongM, r.AlongSDM
	if d, ok := f.Number(r.Distance); ok && r.Distance != "" {
		along, sd = d, 0
	}
	if r.Downhill {
		w.along, w.astray = -along, square(sd)
	} else {
		w.astray = square(along) + square(sd)
	}
	switch {
	case len(r.Bands) > 0:
		for i := range r.Bands {
			if len(fact.Choices) > 0 && r.Bands[i].Answer == fact.Choices[0] && !e.replaced(f, r.Question) {
				w.band, w.answers = &e.shifted(r)[i], len(r.Bands)
				e.bands = append(e.bands, w)
			}
		}
	case fact.HasValue:
		w.y = fact.Value - r.BiasMM/1000
		w.used.M = w.y
		switch r.Part {
		case rules.PartWhole:
			e.wholes = append(e.wholes, w)
		case rules.PartBelowDeck:
			e.below = &w
		case rules.PartInsulation:
			e.layer = &w
		}
	}
}

// shifted takes the bias of a way of measuring off its bands.
func (e *evidence) shifted(r *rules.Measuring) []rules.BandOfMM {
	out := append([]rules.BandOfMM(nil), r.Bands...)
	for i := range out {
		out[i].From -= r.BiasMM
		out[i].To -= r.BiasMM
	}
	// The first and the last are open: under 200 means anything under it.
	out[0].From, out[len(out)-1].To = math.Inf(-1), math.Inf(1)
	return out
}

// replaced tells whether a figure about the same thing makes the answer needless:
// one thing counts once.
func (e *evidence) replaced(f *facts.Set, question string) bool {
	for _, r := range e.b.Readings {
		if r.InsteadOf == question {
			if fact, ok := f.Get(r.Question); ok && fact.HasValue {
				return true
			}
		}
	}
	return false
}

func square(x float64) float64 { return x * x }

// apartSD is how many standard deviations a reading may lie from the others
// before it is called at odds with them.
const apartSD = 3

// join brings the readings of the whole roof together. Readings at odds are said
// to be so, and all errors are widened by the root of chi squared over its degrees
// of freedom, as is done for measurements that scatter more than they claim
// (Birge, Physical Review 40, 1932, 207; from memory).
func (e *evidence) join() []Problem {
	var problems []Problem
	chi, worst := 0.0, 0.0
	m, v, _ := e.moments(e.wholes)
	for i := range e.wholes {
		w := &e.wholes[i]
		chi += square(w.y-m-w.mean(e.b)) / w.total(e.b)
		if len(e.wholes) == 1 {
			break
		}
		rest := append(append([]whole(nil), e.wholes[:i]...), e.wholes[i+1:]...)
		mi, vi, _ := e.moments(rest)
		w.used.Off = (w.y - mi - w.mean(e.b)) / math.Sqrt(vi+w.total(e.b))
		worst = max(worst, math.Abs(w.used.Off))
	}
	if worst > apartSD {
		var ids, said []string
		for _, w := range e.wholes {
			ids = append(ids, w.ids...)
			said = append(said, fmt.Sprintf("%s %.0f mm", explain.LowerFirst(w.used.Name), w.y*1000))
		}
		problems = append(problems, Problem{ids, "The readings of the whole roof do not agree: " + strings.Join(said, ", ") + ". One of them is wrong, or was taken at another build-up. Ask for a photo of the tape at each."})
		wider := math.Max(1, chi/float64(len(e.wholes)-1))
		for i := range e.wholes {
			e.wholes[i].v *= wider
		}
		m, v, _ = e.moments(e.wholes)
	}
	j := &Joined{M: m, SD: math.Sqrt(v)}
	var ks [growths]float64
	for c := range e.pieces {
		e.pieces[c] = pieces(&e.b.Growth, e.wholes, c)
		for _, p := range e.pieces[c] {
			ks[c] += p.k
		}
	}
	j.Growing = 0.5
	if sum := ks[steady] + ks[growing]; sum > 0 {
		j.Growing = ks[growing] / sum
	}
	e.joined = j
	return problems
}

// mean is what the place of a reading adds to it on average, growing and steady
// taken as equally likely; total is the variance with what the fall may do.
func (w *whole) mean(b *rules.BuildUpTables) float64 {
	if w.side {
		return 0
	}
	g, _ := slope(&b.Growth, growing)
	return w.along * g / 2
}

func (w *whole) total(b *rules.BuildUpTables) float64 {
	m, sd := slope(&b.Growth, growing)
	_, flat := slope(&b.Growth, steady)
	second := (square(m) + square(sd) + square(flat)) / 2 // mean square of the growth
	return w.v + (square(w.along)+w.astray)*second - square(w.mean(b))
}

// moments gives mean and variance of the thickness by the readings alone, over
// both ways of growing.
func (e *evidence) moments(list []whole) (m, v, k float64) {
	var all []piece
	for c := range growths {
		all = append(all, pieces(&e.b.Growth, list, c)...)
	}
	for _, p := range all {
		k += p.k
		m += p.k * p.m
	}
	if k <= 0 { // beyond any figure that can be held: the plain weighted mean
		for _, w := range list {
			k += 1 / w.total(e.b)
			m += (w.y - w.mean(e.b)) / w.total(e.b)
		}
		return m / k, 1 / k, 0
	}
	m /= k
	for _, p := range all {
		v += p.k / k * (p.v + square(p.m-m))
	}
	return m, v, k
}

// pieces joins readings y = T + h·g + error exactly for one way of growing, g
// normal: the growth is integrated out, and what is left is normal in T. Which
// side of a skylight is the upper one is not asked, so both are held.
func pieces(g *rules.Growth, list []whole, class int) []piece {
	mu, sd := slope(g, class)
	ups := []float64{1}
	for _, w := range list {
		if w.side {
			ups = []float64{1, -1}
			break
		}
	}
	var out []piece
	for _, up := range ups {
		var a, b, c, p, q, w2, logdet float64 // sums of 1, h and r over the variances
		for _, w := range list {
			h := w.along
			if w.side {
				h *= up
			}
			v := w.v + w.astray*(square(mu)+square(sd))
			r := w.y - h*mu
			a += 1 / v
			b += h / v
			c += h * h / v
			p += r / v
			q += h * r / v
			w2 += r * r / v
			logdet += math.Log(v)
		}
		kappa := square(sd) / (1 + square(sd)*c)
		prec := a - kappa*b*b
		lin := p - kappa*b*q
		m := lin / prec
		// The quadratic form at its least, summed from the residuals so that nothing cancels.
		least, qr := 0.0, 0.0
		for _, w := range list {
			h := w.along
			if w.side {
				h *= up
			}
			v := w.v + w.astray*(square(mu)+square(sd))
			r := w.y - h*mu - m
			least += r * r / v
			qr += h * r / v
		}
		least -= kappa * qr * qr
		logk := -least/2 - (logdet+math.Log1p(square(sd)*c)+math.Log(prec))/2 - float64(len(list)-1)/2*math.Log(2*math.Pi)
		out = append(out, piece{k: math.Exp(logk) / float64(len(ups)), m: m, v: 1 / prec})
	}
	return out
}

// used lists the readings as they were used.
func (e *evidence) used() []Used {
	out := []Used{}
	for _, w := range e.wholes {
		out = append(out, w.used)
	}
	for _, w := range e.bands {
		out = append(out, w.used)
	}
	for _, w := range []*whole{e.below, e.layer} {
		if w != nil {
			out = append(out, w.used)
		}
	}
	return out
}

// reach is how many standard deviations from a reading a stack is looked at; beyond
// that it is nothing.
const reach = 8

// steps is how finely sums of layers are told apart: tenths of a millimetre up to
// 1.2 m. Sizes on the market are multiples of that.
const steps = 12001

func step(m float64) int { return min(max(int(m*1e4+0.5), 0), steps-1) }

// table is a density by step of a sum, nought outside; nil stands for a density of 1
// everywhere.
type table struct {
	from int
	v    []float64
}

func (t *table) at(i int) float64 {
	if i -= t.from; i >= 0 && i < len(t.v) {
		return t.v[i]
	}
	return 0
}

// density tabulates, for one way of growing, how likely the readings of the whole
// roof are with each sum of layers. The build scatters about its sum; that scatter
// is the same for all readings of one roof, so it is put in once, after the join.
func (e *evidence) density(class int) *table {
	if len(e.wholes)+len(e.bands) == 0 {
		return nil
	}
	from, to := 0, steps-1
	if len(e.wholes) > 0 {
		from, to = steps, -1
		for _, p := range e.pieces[class] {
			sd := math.Sqrt(p.v + e.scatter())
			from, to = min(from, step(p.m-reach*sd)), max(to, step(p.m+reach*sd))
		}
	}
	out := &table{from, make([]float64, to-from+1)}
	for i := range out.v {
		out.v[i] = e.at(float64(from+i)/1e4, class, true)
	}
	return out
}

// scatter is the variance of real builds about the sum of their nominal layers.
func (e *evidence) scatter() float64 { return square(e.b.BuildSDMM / 1000) }

// at is the density of the readings of the whole roof for a sum of t metres; without
// the answers that stand for a range when banded is false.
func (e *evidence) at(t float64, class int, banded bool) float64 {
	if len(e.wholes) == 0 {
		if banded {
			return e.banded(t, e.scatter(), class)
		}
		return 1
	}
	sum := 0.0
	for _, p := range e.pieces[class] {
		v := p.v + e.scatter()
		d := t - p.m
		if d*d > reach*reach*v {
			continue
		}
		like := p.k * normal(d, v)
		if banded && len(e.bands) > 0 {
			// Where the roof itself lies, given its sum and the other readings.
			like *= e.banded((t*p.v+p.m*e.scatter())/v, p.v*e.scatter()/v, class)
		}
		sum += like
	}
	return sum
}

// banded is how likely the answers that stand for a range are when the thickness is
// normal with that mean and variance.
func (e *evidence) banded(t, v float64, class int) float64 {
	mu, sd := slope(&e.b.Growth, class)
	like := 1.0
	for _, w := range e.bands {
		s := math.Sqrt(w.v + v + w.astray*(square(mu)+square(sd)))
		at := t + w.along*mu
		p := phi((w.band.To/1000-at)/s) - phi((w.band.From/1000-at)/s)
		like *= w.weight*p + (1-w.weight)/float64(w.answers)
	}
	return like
}

func phi(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// lowerPart is how likely the reading up to the deck is when the layers below it add
// up to t; firring there makes it grow with the roof.
func (e *evidence) lowerPart(t float64, firring bool, class int) float64 {
	if e.below == nil {
		return 1
	}
	v := e.below.v
	if firring {
		mu, sd := slope(&e.b.Growth, class)
		v += e.below.astray * (square(mu) + square(sd))
	}
	return math.Max(normal(e.below.y-t, v), faint)
}

// faint keeps the weight of a stack that a part reading all but rules out from
// vanishing altogether: that would leave nothing to compare when every stack is out.
const faint = 1e-30

func normal(d, v float64) float64 { return math.Exp(-d*d/(2*v)) / math.Sqrt(2*math.Pi*v) }

// The densities of a reading that no listed layer explains: any depth up to the deck
// over 0.4 m, any insulation over 0.2 m.
const (
	flatBelow = 1 / 0.4
	flatLayer = 1 / 0.2
)

// layerSeen is how likely the thickness of the insulation seen is, with the layers of
// a stack, metres.
func (e *evidence) layerSeen(t *rules.BuildType, main, under float64) float64 {
	if e.layer == nil {
		return 1
	}
	sizes := e.sizes(t, main, under)
	p := flatLayer
	if len(sizes) > 0 {
		p = 0
		for _, s := range sizes {
			p += normal(e.layer.y-s, e.layer.v) / float64(len(sizes))
		}
	}
	return e.layer.weight*p + (1-e.layer.weight)*flatLayer
}

// sizes are the layers of a stack that may be the insulation seen. Where that lies
// follows from what was seen; when that is not said, or both were seen, each layer
// may be the one.
func (e *evidence) sizes(t *rules.BuildType, main, under float64) []float64 {
	between := e.seen == "quilt-between" || e.seen == "board-between"
	above := e.seen == "board-above" || e.seen == "on-joists"
	var out []float64
	if t.ID == "cold" && !above || t.ID != "cold" && !between && t.ID != "uninsulated" {
		out = append(out, main)
	}
	if t.ID == "hybrid" && !above {
		out = append(out, under)
	}
	return out
}

// unlisted is how likely all readings are when the roof is none of the listed ones:
// its thickness is flat over half a metre.
func (e *evidence) unlisted() float64 {
	like := 1.0
	switch {
	case len(e.wholes) > 0:
		like = 0
		for c, list := range e.pieces {
			for _, p := range list {
				like += p.k * flatDensity * e.banded(p.m, p.v, c) / growths
			}
		}
	case len(e.bands) > 0:
		const n = 100
		like = 0
		for i := range n {
			t := 0.1 + 0.5*(float64(i)+0.5)/n
			like += (e.banded(t, 0, steady) + e.banded(t, 0, growing)) / growths / n
		}
	}
	if e.below != nil {
		like *= flatBelow
	}
	if e.layer != nil {
		like *= flatLayer
	}
	return like
}
