package sightings

import (
	"math"
	"sort"

	"underlap/diagnose/explain"
)

// The drivers, by id.
const (
	Rain     = "rain"
	Wind     = "wind"
	Cold     = "cold"
	Thaw     = "thaw"
	InUse    = "use"
	Constant = "constant"
	None     = "none"
)

// names of the drivers, as a roofer would say them. Equal weight before any day.
var drivers = []struct{ id, name, lacks string }{
	{Rain, "Rain", ""},
	{Wind, "Rain with wind", "no wind on record"},
	{Cold, "Cold (condensation)", "no temperatures on record"},
	{Thaw, "Thaw after frost", "no temperatures on record"},
	{InUse, "Use of the house", ""},
	{Constant, "Nothing that changes: every day", ""},
	{None, "None of these", ""},
}

// The chance of a wet day when a driver says no, and when it says yes. Neither is ever 0
// or 1: people misremember, and strange things happen. Judgements.
var (
	unasked  = []value{{0.01, 0.4}, {0.06, 0.4}, {0.2, 0.2}}
	asked    = []value{{0.55, 0.25}, {0.8, 0.4}, {0.95, 0.35}}
	everyDay = []value{{0.85, 0.3}, {0.92, 0.4}, {0.97, 0.3}}
	coins    = []float64{0.05, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75, 0.85, 0.95}
	// Wet days come in runs, whatever brings them: the share of yesterday that stays.
	stays = []value{{0, 0.4}, {0.35, 0.35}, {0.7, 0.25}}
)

// mixture sums weighted likelihoods. They can be far below the least number there is, so
// it works on logarithms.
type mixture struct {
	log    []float64
	weight float64
}

func (m *mixture) add(logL, weight float64) {
	m.log = append(m.log, logL+math.Log(weight))
	m.weight += weight
}

// mean is the logarithm of the weighted mean; minus infinity when there is nothing.
func (m *mixture) mean() float64 {
	return logSum(m.log) - math.Log(m.weight)
}

func logSum(v []float64) float64 {
	top := math.Inf(-1)
	for _, x := range v {
		top = math.Max(top, x)
	}
	if math.IsInf(top, -1) {
		return top
	}
	sum := 0.0
	for _, x := range v {
		sum += math.Exp(x - top)
	}
	return top + math.Log(sum)
}

// pairs is how many chances of no and yes are tried with each response.
const pairs = 9

// pairWeight are the logarithms of their weights.
var pairWeight = func() (out [pairs]float64) {
	for i, lo := range unasked {
		for j, hi := range asked {
			out[i*len(asked)+j] = math.Log(lo.weight * hi.weight)
		}
	}
	return out
}()

// likelihoods are the logarithms of the chance of all looks under a response, for each
// pair of unasked and asked.
func (s *series) likelihoods(x response) (out [pairs]float64) {
	var base, rise, p [pairs]float64
	var halved [pairs]int
	for i, lo := range unasked {
		for j, hi := range asked {
			k := i*len(asked) + j
			base[k], rise[k], p[k] = lo.x, hi.x-lo.x, 1
		}
	}
	for n, i := range s.at {
		r := x.r[max(i-x.delay, 0)]
		if s.wet[n] {
			for k := range p {
				p[k] *= base[k] + rise[k]*r
			}
		} else {
			for k := range p {
				p[k] *= 1 - (base[k] + rise[k]*r)
			}
		}
		if n%64 == 63 { // 0.01 to the 64th is far from the least number there is
			for k := range p {
				f, e := math.Frexp(p[k])
				p[k], halved[k] = f, halved[k]+e
			}
		}
	}
	for k := range p {
		out[k] = math.Log(p[k]) + float64(halved[k])*math.Ln2
	}
	return out
}

// weigh is the likelihood of a driver, with its lag and, by answer to the question
// "weather-pattern", its parts.
func (s *series) weigh(list []response) (total float64, lags []value, parts map[string]float64) {
	var all mixture
	split := map[string]*mixture{}
	for _, x := range list {
		part, ok := split[x.answer]
		if !ok {
			part = &mixture{}
			split[x.answer] = part
		}
		l := s.likelihoods(x)
		for k := range l {
			l[k] += pairWeight[k]
		}
		m := logSum(l[:])
		all.add(m, x.weight)
		part.add(m, x.weight)
		lags = append(lags, value{x.lag, m + math.Log(x.weight)})
	}
	parts = map[string]float64{}
	for a, m := range split {
		parts[a] = m.mean()
	}
	return all.mean(), lags, parts
}

// flat is the likelihood when every day is alike: wet with the same chance, and nothing
// of it has to do with the day before.
func (s *series) flat(chances []value) float64 {
	var m mixture
	for _, c := range chances {
		sum := 0.0
		for _, wet := range s.wet {
			if wet {
				sum += math.Log(c.x)
			} else {
				sum += math.Log(1 - c.x)
			}
		}
		m.add(sum, c.weight)
	}
	return m.mean()
}

// runs is the likelihood when wet days come by themselves, alone or in runs.
func (s *series) runs() float64 {
	var m mixture
	for _, stay := range stays {
		for _, p := range coins {
			sum := 0.0
			for n, wet := range s.wet {
				chance := p
				if n > 0 {
					y := 0.0
					if s.wet[n-1] {
						y = 1
					}
					chance += math.Pow(stay.x, float64(s.at[n]-s.at[n-1])) * (y - p)
				}
				if !wet {
					chance = 1 - chance
				}
				sum += math.Log(chance)
			}
			m.add(sum, stay.weight/float64(len(coins)))
		}
	}
	return m.mean()
}

func evenly(x []float64) []value {
	out := make([]value, len(x))
	for i := range x {
		out[i] = value{x[i], 1 / float64(len(x))}
	}
	return out
}

// flatUse is the share of "use of the house" that shows no pattern by the day of the week.
const flatUse = 0.5

// Driver is one of the things that may drive the water.
type Driver struct {
	ID       string  `json:"id"`
	Name     string  `json:"name"`
	P        float64 `json:"p"` // share among the drivers that could be judged, each alike before any day; never quite 0 or 1
	Hedge    string  `json:"hedge"`
	Decibans float64 `json:"decibans"` // 10 log10 of the likelihood against that of "none of these"
	Lag      *Lag    `json:"lag,omitempty"`
}

// Lag is how many days the water comes after what drives it.
type Lag struct {
	Days float64 `json:"days"`
	Low  float64 `json:"low"`  // 10 %
	High float64 `json:"high"` // 90 %
}

// Result is what the days say.
type Result struct {
	Wet     int    `json:"wet"`     // days on record on which it was wet
	Dry     int    `json:"dry"`     // days on which somebody looked and it was dry
	Weighed int    `json:"weighed"` // of those, days whose weather is known as well
	Enough  bool   `json:"enough"`  // enough of them to compare drivers
	Text    string `json:"text"`
	Short   string `json:"short"` // the first driver in a few words; "" when there is not enough
	Hint    string `json:"hint"`  // what to ask or look up to say more; "" when nothing

	Drivers   []Driver `json:"drivers"`    // likeliest first; empty when there is not enough
	NotJudged []string `json:"not_judged"` // drivers left out, with the reason
	LagDays   *Lag     `json:"lag_days,omitempty"`
	Record    []Shown  `json:"record"` // the last days on record, oldest first

	Unread []string `json:"unread"` // entries of the case that cannot be read

	byAnswer map[string]float64 // logarithms, by answer to "weather-pattern"
}

// Least record that is compared at all: fewer days fit anything. Judgements.
const (
	leastDays = 5
	leastEach = 2
	leastRun  = 7 // or so many days on end, all wet: then there is no dry day to be had
)

// longest is how many days before the last look a look is weighed: a roof changes.
const longest = 730

// Compare weighs the drivers against each other. It is nil when no day is on record.
func Compare(h History) *Result {
	if len(h.Looks) == 0 && len(h.Weather) == 0 {
		return nil
	}
	r := &Result{Drivers: []Driver{}, NotJudged: []string{}, Unread: append([]string{}, h.Unread...), Record: record(h)}
	var recent History
	recent.Weather = h.Weather
	for _, l := range h.Looks {
		switch l.Saw {
		case Drip:
			r.Wet++
		case Dry:
			r.Dry++
		}
		if l.Day >= h.Looks[len(h.Looks)-1].Day-longest {
			recent.Looks = append(recent.Looks, l)
		}
	}
	s := newSeries(recent)
	if s != nil {
		r.Weighed = len(s.at)
	}
	if s == nil || !s.enough() {
		r.tooFew(s)
		return r
	}
	r.Enough = true
	r.compare(s)
	r.words(s)
	return r
}

// enough tells whether there is a contrast to be seen.
func (s *series) enough() bool {
	wet, run, best := 0, 0, 0
	for n, w := range s.wet {
		switch {
		case !w:
			run = 0
		case n > 0 && s.at[n] == s.at[n-1]+1:
			run++
		default:
			run = 1
		}
		if w {
			wet++
		}
		best = max(best, run)
	}
	if len(s.wet) < leastDays {
		return false
	}
	return wet >= leastEach && len(s.wet)-wet >= leastEach || best >= leastRun
}

func (r *Result) compare(s *series) {
	r.byAnswer = map[string]float64{}
	logL, lags := map[string]float64{}, map[string][]value{}
	for id, list := range map[string][]response{
		Rain: s.rainResponses(), Wind: s.windResponses(), Cold: s.coldResponses(), Thaw: s.thawResponses(),
	} {
		if len(list) == 0 {
			continue
		}
		total, lag, parts := s.weigh(list)
		logL[id], lags[id] = total, lag
		for a, l := range parts {
			r.byAnswer[a] = l
		}
	}
	logL[None], logL[Constant] = s.runs(), s.flat(everyDay)
	pattern, _, _ := s.weigh(s.useResponses())
	var use mixture
	use.add(pattern, 1-flatUse)
	use.add(s.flat(evenly(coins)), flatUse)
	logL[InUse] = use.mean()
	r.byAnswer["after-use"], r.byAnswer["every-day"], r.byAnswer["no-pattern"] = logL[InUse], logL[Constant], logL[None]
	if l, ok := r.byAnswer["thaw-or-hot"]; ok {
		// The first hot day belongs to the same answer and is not compared here.
		r.byAnswer["thaw-or-hot"] = logSum([]float64{l, logL[None]}) - math.Ln2
	}
	var all []float64
	for _, d := range drivers {
		if l, ok := logL[d.id]; ok {
			all = append(all, l)
		} else {
			r.NotJudged = append(r.NotJudged, d.name+": "+d.lacks)
		}
	}
	total := logSum(all)
	for _, d := range drivers {
		l, ok := logL[d.id]
		if !ok {
			continue
		}
		x := Driver{ID: d.id, Name: d.name, P: capped(math.Exp(l-total), len(all), plainness), Decibans: 10 * (l - logL[None]) / math.Ln10}
		x.Hedge, x.Lag = explain.Hedge(x.P), lagOf(lags[d.id])
		r.Drivers = append(r.Drivers, x)
	}
	sort.SliceStable(r.Drivers, func(i, j int) bool {
		return math.Round(r.Drivers[i].P*1e9) > math.Round(r.Drivers[j].P*1e9)
	})
	r.LagDays = r.Drivers[0].Lag
}

// lagOf is the median of the lags, each weighed by how well it fits, with the 10 and 90 %
// points; nil when there are none.
func lagOf(lags []value) *Lag {
	if len(lags) == 0 {
		return nil
	}
	logs := make([]float64, len(lags))
	for i, l := range lags {
		logs[i] = l.weight
	}
	total := logSum(logs)
	sort.SliceStable(lags, func(i, j int) bool { return lags[i].x < lags[j].x })
	at := func(share float64) float64 {
		sum := 0.0
		for _, l := range lags {
			if sum += math.Exp(l.weight - total); sum >= share-1e-9 {
				return l.x
			}
		}
		return lags[len(lags)-1].x
	}
	return &Lag{Days: at(0.5), Low: at(0.1), High: at(0.9)}
}

// Reliability caps how far dated days may speak: dates are a better memory than a pattern,
// and a memory still. Common practice, no source.
const Reliability = 0.93

// plainness caps the shares that are shown: the drivers are plainer than any roof, so
// none is ever quite ruled out. A judgement.
const plainness = 0.97

// capped leaves something to each of n.
func capped(p float64, n int, limit float64) float64 { return limit*p + (1-limit)/float64(n) }

// Pattern is the likelihood of the days for each answer to the question "weather-pattern",
// summing to one and never under what Reliability leaves; nil when there are too few days
// to say. An answer whose driver could not be judged counts as "no pattern" does.
func (r *Result) Pattern(answers []string) []float64 {
	if r == nil || !r.Enough {
		return nil
	}
	logs := make([]float64, len(answers))
	for i, a := range answers {
		l, ok := r.byAnswer[a]
		if !ok {
			l = r.byAnswer["no-pattern"]
		}
		logs[i] = l
	}
	total := logSum(logs)
	out := make([]float64, len(answers))
	for i, l := range logs {
		out[i] = capped(math.Exp(l-total), len(answers), Reliability)
	}
	return out
}
