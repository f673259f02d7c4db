package buildup

import (
	"math"
	"sort"

	"underlap/diagnose/facts"
	"underlap/rules"
)

// Share is the probability of one type.
type Share struct {
	Type string  `json:"type"`
	Name string  `json:"name"`
	P    float64 `json:"p"`
}

// Look is something that would settle the type: one look or one reading.
type Look struct {
	Question string  `json:"question"`
	Bits     float64 `json:"bits"` // expected fall of the type's entropy
	Text     string  `json:"text"`
}

// Result is what is believed about the build-up.
type Result struct {
	Types     []Share    `json:"types"`      // all six, likeliest first
	NotListed float64    `json:"not_listed"` // share of a build-up that is none of them
	Stacks    []Stack    `json:"stacks"`     // of the likeliest type first, then by share, down to Covered
	Covered   float64    `json:"covered"`    // share of the listed weight that Stacks carry
	Measured  *Thickness `json:"measured,omitempty"`
	Problems  []Problem  `json:"problems,omitempty"`
	Closes    bool       `json:"closes"` // some stack meets the tape within the closure limit
	Closure   float64    `json:"closure"`
	Settle    []Look     `json:"settle,omitempty"`
	Expected  []Expect   `json:"expected,omitempty"`
}

// Expect is the total that is usual for a type in the era of this roof.
type Expect struct {
	Type string  `json:"type"`
	Low  float64 `json:"low"`  // metres, 10 %
	Mid  float64 `json:"mid"`  // metres, 50 %
	High float64 `json:"high"` // metres, 90 %
}

// Type returns the share of one type.
func (r *Result) Type(id string) float64 {
	for _, s := range r.Types {
		if s.Type == id {
			return s.P
		}
	}
	return 0
}

// keep is how many stacks a result carries at most; enough for 99 % of the
// weight once the tape has spoken.
const keep = 160

// Likelier joist depths for a span come from the caller, so that this package
// needs no span tables: factor of each joist option by depth in metres.
type JoistHabit func(depth float64) float64

// Infer weighs every stack. habit may be nil.
func Infer(f *facts.Set, b *rules.BuildUpTables, habit JoistHabit) *Result {
	r := &Result{Closure: b.ClosureMM / 1000}
	r.Measured, r.Problems = Measure(f, *b)
	prior := typePrior(f, b)
	era := f.Choice("built-when")
	w := weights{
		joist:    joistWeights(f, b, habit),
		deck:     optionWeights(f, b.Decks, "deck-seen", era),
		ceiling:  optionWeights(f, b.Ceilings, "", era),
		covering: optionWeights(f, b.Coverings, "covering", era),
		firring:  optionWeights(f, b.Firrings, "", era),
	}
	sd := b.BuildSDMM / 1000
	if r.Measured != nil {
		sd = math.Hypot(sd, r.Measured.SD)
	}
	e := enumeration{b: b, w: w, era: era}
	if r.Measured != nil {
		e.density = densityTable(r.Measured.M, sd)
	}
	types, joists := e.walk(prior, r)
	if sumOf(types) == 0 {
		// Nothing on the market comes near the tape. The readings stand, and so does
		// what would be believed without them, for as little as it is worth.
		e.density = nil
		types, joists = e.walk(prior, r)
		for k := range types {
			types[k] *= b.OtherShare * flatDensity * nothingFits
		}
	}
	// A build-up that is not listed has no sum of its own: its total is flat
	// over half a metre.
	other := b.OtherShare
	if r.Measured != nil {
		other = b.OtherShare * flatDensity
	}
	sum := other + sumOf(types)
	r.NotListed = other / sum
	for k, t := range types {
		r.Types = append(r.Types, Share{b.Types[k].ID, b.Types[k].Name, t / sum})
	}
	sort.SliceStable(r.Types, func(i, j int) bool { return r.Types[i].P > r.Types[j].P })
	listed := sum - other
	scale := listed / e.offered
	for _, c := range e.best() {
		s := build(b, c)
		s.P = c.weight * scale / sum
		if r.Measured != nil {
			s.Gap = r.Measured.M - s.Total
			s.Residual = residual(r.Measured.M, b, c)
		}
		r.Stacks = append(r.Stacks, s)
		r.Covered += c.weight / e.offered
		if r.Covered >= 0.99 {
			break
		}
	}
	// The picture must not contradict the headline: the stacks of the likeliest type
	// come first.
	sort.SliceStable(r.Stacks, func(i, j int) bool { return r.Type(r.Stacks[i].Type) > r.Type(r.Stacks[j].Type) })
	r.Settle = settle(f, b, types, joists, e.totals)
	r.Expected = e.expected()
	return r
}

// densityTable gives the density of the tape's total for each sum of layers, by
// tenth of a millimetre up to 1.2 m: sums are multiples of that, and a table
// spares an exponential for each of the many stacks.
func densityTable(m, sd float64) []float64 {
	out := make([]float64, 12001)
	for i := range out {
		z := (float64(i)/1e4 - m) / sd
		if math.Abs(z) <= 8 { // beyond that it is nothing
			out[i] = math.Exp(-z*z/2) / (sd * math.Sqrt(2*math.Pi))
		}
	}
	return out
}

// nothingFits is what is left of the listed build-ups, against one that is not
// listed, when none of them comes within eight standard deviations of the tape.
const nothingFits = 0.02

// walk goes through all stacks. It returns the weight by type, and by type and
// joist, and keeps the best stacks.
func (e *enumeration) walk(prior []float64, r *Result) (types []float64, joists [][]float64) {
	e.top, e.totals, e.offered = nil, nil, 0
	types, joists = make([]float64, len(prior)), make([][]float64, len(prior))
	for k := range prior {
		joists[k] = make([]float64, len(e.b.Joists))
		e.kind(k, prior[k], func(c parts) {
			types[k] += c.weight
			joists[k][c.joist] += c.weight
			e.offered += c.weight
			r.Closes = r.Closes || r.Measured != nil && math.Abs(r.Measured.M-c.total) <= r.Closure
			e.offer(c)
		})
	}
	return types, joists
}

func sumOf(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum
}

// flatDensity is the density of a total that could be anything between 0.1
// and 0.6 m.
const flatDensity = 1 / 0.5

// residual is what an expert works out in his head: the measured total less the
// parts that every roof has.
func residual(m float64, b *rules.BuildUpTables, c parts) float64 {
	return m - (b.Ceilings[c.ceiling].MM+b.Joists[c.joist].MM+b.Decks[c.deck].MM+b.Coverings[c.covering].MM)/1000
}

// typePrior is the share of each type by era, times what has been seen.
func typePrior(f *facts.Set, b *rules.BuildUpTables) []float64 {
	era := f.Choice("built-when")
	rel := 1.0
	if fact, ok := f.Get("built-when"); ok {
		rel = fact.Reliability
	}
	prior := make([]float64, len(b.Types))
	for k := range b.Types {
		mean, own := 0.0, 0.0
		for _, e := range b.Eras {
			mean += e.Types[b.Types[k].ID] / float64(len(b.Eras))
			if e.ID == era {
				own = e.Types[b.Types[k].ID]
			}
		}
		prior[k] = mean
		if era != "" {
			prior[k] = rel*own + (1-rel)*mean
		}
	}
	for _, h := range b.Hints {
		if rules.All(h.When, f) != rules.Yes {
			continue
		}
		c, _ := rules.ParseCondition(h.When[0])
		fact, _ := f.Get(c.Question)
		for k := range b.Types {
			// An answer that may be noise moves the odds by that much less.
			prior[k] *= fact.Reliability*h.Times[b.Types[k].ID] + (1 - fact.Reliability)
		}
	}
	normalise(prior)
	return prior
}

func normalise(v []float64) {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	for i := range v {
		v[i] /= sum
	}
}

type weights struct{ joist, deck, ceiling, covering, firring []float64 }

// optionWeights is the habit of the trade, times what was answered about it.
func optionWeights(f *facts.Set, list []rules.Option, question, era string) []float64 {
	w := make([]float64, len(list))
	fact, known := f.Get(question)
	known = known && question != ""
	for i, o := range list {
		w[i] = o.Weight * inEra(o, era)
		if known && len(fact.Choices) > 0 {
			hit := false
			for _, a := range o.Answers {
				hit = hit || a == fact.Choices[0]
			}
			if !hit {
				w[i] *= 1 - fact.Reliability
			}
		}
	}
	normalise(w)
	return w
}

// inEra keeps a little weight for a size outside its years: roofs are repaired.
func inEra(o rules.Option, era string) float64 {
	if era == "" || len(o.Eras) == 0 {
		return 1
	}
	for _, e := range o.Eras {
		if e == era {
			return 1
		}
	}
	return 0.04
}

// joistDepthSD is how far a stated joist depth may be from the size meant, metres.
const joistDepthSD = 0.004

func joistWeights(f *facts.Set, b *rules.BuildUpTables, habit JoistHabit) []float64 {
	w := make([]float64, len(b.Joists))
	fact, known := f.Get("joist-depth")
	for i, o := range b.Joists {
		w[i] = o.Weight
		if habit != nil {
			w[i] *= habit(o.MM / 1000)
		}
		if known && fact.HasValue {
			sd := math.Max(joistDepthSD, fact.Tolerance/2)
			z := (o.MM/1000 - fact.Value) / sd
			w[i] *= fact.Reliability*math.Exp(-z*z/2) + (1-fact.Reliability)*0.02
		}
	}
	normalise(w)
	return w
}

// enumeration walks all stacks and keeps the best.
type enumeration struct {
	b       *rules.BuildUpTables
	w       weights
	era     string
	offered float64   // weight of all stacks gone through
	density []float64 // of the measured total, by tenth of a millimetre of a stack's sum
	top     []parts   // min-heap by weight
	totals  []spread  // by type, before the tape
}

// spread counts weight by total, one bin a millimetre.
type spread [1200]float64

// kind walks the stacks of one type. give gets each with its weight: the prior
// times the density of the measured total.
func (e *enumeration) kind(k int, prior float64, give func(parts)) {
	t := &e.b.Types[k]
	main, under := make([]float64, len(t.Thickness)), make([]float64, len(t.Under))
	for i, o := range t.Thickness {
		main[i] = o.Weight * inEra(o, e.era)
	}
	for i, o := range t.Under {
		under[i] = o.Weight * inEra(o, e.era)
	}
	normalise(main)
	normalise(under)
	// Insulation that does not fit between the joists drops out; what does fit shares
	// the type's whole prior, so that the era's shares stand until something is seen.
	fits := 0.0
	for j, wj := range e.w.joist {
		for m, wm := range main {
			for u, wu := range under {
				if _, ok := zone(t, e.b.Joists[j].MM, t.Thickness[m].MM, t.Under[u].MM); ok {
					fits += wj * wm * wu
				}
			}
		}
	}
	if fits == 0 {
		e.totals = append(e.totals, spread{})
		return
	}
	prior /= fits
	var by spread
	for j, wj := range e.w.joist {
		for m, wm := range main {
			for u, wu := range under {
				if _, ok := zone(t, e.b.Joists[j].MM, t.Thickness[m].MM, t.Under[u].MM); !ok {
					continue
				}
				for d, wd := range e.w.deck {
					for g, wg := range e.w.firring {
						base := prior * wj * wm * wu * wd * wg
						if base < negligible {
							continue
						}
						core := total(e.b, parts{kind: k, joist: j, deck: d, firring: g, insulation: m, under: u})
						for c, wc := range e.w.ceiling {
							for v, wv := range e.w.covering {
								weight := base * wc * wv
								if weight < negligible {
									continue
								}
								sum := core + (e.b.Ceilings[c].MM+e.b.Coverings[v].MM)/1000
								if i := int(sum*1000 + 0.5); i < len(by) {
									by[i] += weight
								}
								if e.density != nil {
									weight *= e.density[min(int(sum*1e4+0.5), len(e.density)-1)]
									if weight == 0 {
										continue
									}
								}
								give(parts{kind: k, joist: j, deck: d, ceiling: c, covering: v, firring: g, insulation: m, under: u, weight: weight, total: sum})
							}
						}
					}
				}
			}
		}
	}
	e.totals = append(e.totals, by)
}

// negligible is the prior weight under which a stack is not looked at: all of
// them together would not move a share by a thousandth.
const negligible = 2e-8

// offer keeps the best stacks in a small heap.
func (e *enumeration) offer(c parts) {
	if len(e.top) < keep {
		e.top = append(e.top, c)
		for i := len(e.top) - 1; i > 0 && e.top[i].weight < e.top[(i-1)/2].weight; i = (i - 1) / 2 {
			e.top[i], e.top[(i-1)/2] = e.top[(i-1)/2], e.top[i]
		}
		return
	}
	if c.weight <= e.top[0].weight {
		return
	}
	e.top[0] = c
	for i := 0; ; {
		l := 2*i + 1
		if l >= len(e.top) {
			break
		}
		if l+1 < len(e.top) && e.top[l+1].weight < e.top[l].weight {
			l++
		}
		if e.top[i].weight <= e.top[l].weight {
			break
		}
		e.top[i], e.top[l] = e.top[l], e.top[i]
		i = l
	}
}

func (e *enumeration) best() []parts {
	sort.SliceStable(e.top, func(i, j int) bool {
		a, b := e.top[i], e.top[j]
		if a.weight != b.weight {
			return a.weight > b.weight
		}
		return less(a, b)
	})
	return e.top
}

// less breaks ties by position in the tables, so that the order is always the same.
func less(a, b parts) bool {
	x := [8]int{a.kind, a.joist, a.insulation, a.under, a.deck, a.firring, a.ceiling, a.covering}
	y := [8]int{b.kind, b.joist, b.insulation, b.under, b.deck, b.firring, b.ceiling, b.covering}
	for i := range x {
		if x[i] != y[i] {
			return x[i] < y[i]
		}
	}
	return false
}

// expected gives the usual totals before the tape.
func (e *enumeration) expected() []Expect {
	var out []Expect
	for k := range e.totals {
		by := &e.totals[k]
		all := 0.0
		for _, w := range by {
			all += w
		}
		if all <= 0 {
			continue
		}
		x := Expect{Type: e.b.Types[k].ID}
		run := 0.0
		for i, w := range by {
			before := run / all
			run += w
			now := run / all
			mark := func(q float64, at *float64) {
				if before < q && now >= q {
					*at = float64(i) / 1000
				}
			}
			mark(0.10, &x.Low)
			mark(0.50, &x.Mid)
			mark(0.90, &x.High)
		}
		out = append(out, x)
	}
	return out
}
