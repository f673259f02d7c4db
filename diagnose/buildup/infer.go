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
	Types     []Share    `json:"types"`              // all six, likeliest first
	NotListed float64    `json:"not_listed"`         // share of a build-up that is none of them
	Stacks    []Stack    `json:"stacks"`             // of the likeliest type first, then by share, down to Covered
	Covered   float64    `json:"covered"`            // share of the listed weight that Stacks carry
	Measured  *Thickness `json:"measured,omitempty"` // at the skylight
	Joined    *Joined    `json:"joined,omitempty"`   // by all readings of the whole roof together
	Used      []Used     `json:"used"`               // all readings that were used, of the whole and of parts
	Residual  *Residual  `json:"residual,omitempty"`
	Problems  []Problem  `json:"problems,omitempty"`
	Closes    bool       `json:"closes"` // some believable stack meets the readings within the closure limit
	Closure   float64    `json:"closure"`
	Settle    []Look     `json:"settle,omitempty"`
	Expected  []Expect   `json:"expected,omitempty"`
	Usual     []Usual    `json:"usual,omitempty"` // what the trade expects by type, for the era of this roof
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
	var ev *evidence
	ev, r.Measured, r.Problems = gather(f, b)
	r.Joined, r.Used = ev.joined, ev.used()
	prior := typePrior(f, b)
	era := f.Choice("built-when")
	e := newEnumeration(b, ev, weights{
		joist:    joistWeights(f, b, habit),
		deck:     optionWeights(f, b.Decks, "deck-seen", era),
		ceiling:  optionWeights(f, b.Ceilings, "", era),
		covering: optionWeights(f, b.Coverings, "covering", era),
		firring:  optionWeights(f, b.Firrings, "", era),
	}, era)
	e.walk(prior)
	other := b.OtherShare * ev.unlisted()
	if sumOf(e.types) < other*vanishing {
		// Nothing on the market comes near the readings. They stand, and so does what
		// would be believed without them, for as little as it is worth.
		e = newEnumeration(b, &evidence{b: b}, e.w, era)
		e.walk(prior)
		other /= nothingFits
	}
	sum := other + sumOf(e.types)
	r.NotListed = other / sum
	for k, t := range e.types {
		r.Types = append(r.Types, Share{b.Types[k].ID, b.Types[k].Name, t / sum})
	}
	sort.SliceStable(r.Types, func(i, j int) bool { return r.Types[i].P > r.Types[j].P })
	listed := sumOf(e.types)
	for _, c := range e.best() {
		s := build(b, c)
		s.P = c.weight / sum
		if r.Joined != nil {
			s.Gap = r.Joined.M - s.Total
			s.Residual = residual(r.Joined.M, b, c)
		}
		r.Stacks = append(r.Stacks, s)
		r.Covered += c.weight / listed
		if r.Covered >= 0.99 {
			break
		}
	}
	r.order()
	covered := e.covered()
	all := totals(covered)
	r.Closes = r.Joined != nil && nearby(all, r.Joined.M, r.Closure) >= believable
	r.Residual = leftOver(b, ev, &e.w)
	r.Expected = expected(b, all)
	r.Usual = usual(b, era)
	r.Settle = e.settle(f, covered)
	return r
}

// order puts the stacks of the likeliest type first: the picture must not contradict
// the headline.
func (r *Result) order() {
	sort.SliceStable(r.Stacks, func(i, j int) bool { return r.Type(r.Stacks[i].Type) > r.Type(r.Stacks[j].Type) })
}

// vanishing is how small the listed build-ups may become beside one that is not listed
// before the readings are taken as fitting none of them. nothingFits is then what is
// left of the listed ones.
const (
	vanishing   = 1e-9
	nothingFits = 0.02
)

// believable is the least share of the listed build-ups, before the readings of the
// whole roof, that must come within the closure limit of them. One freak among
// thousands of sums explains nothing.
const believable = 0.002

// nearby is the share of the totals of all types that lie within limit of m, metres.
func nearby(totals []spread, m, limit float64) float64 {
	all, in := 0.0, 0.0
	for k := range totals {
		for i, w := range totals[k] {
			all += w
			if math.Abs(float64(i)/1000-m) <= limit+5e-4 {
				in += w
			}
		}
	}
	if all == 0 {
		return 0
	}
	return in / all
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
