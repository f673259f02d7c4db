package world

import "math"

// episode is one time that it was wet: from the first water to four dry hours.
type episode struct {
	from, to int // steps
	litres   float64
}

// noticed is what a person who kept a perfect diary would know.
type noticed struct {
	episodes []episode
	flow     []float64

	pattern   string // of weather-pattern, "" when there is nothing to go by
	drySpell  string
	frosty    string
	sunAfter  string
	use       string
	lagH      float64 // NaN: no link with rain
	litres    float64 // of the usual episode, L
	hours     float64 // over which it came
	windSide  string
	longOnly  string
	snow      bool
	sinceWetH float64 // h from the last water to the call
	dripping  bool
}

// seenFlow is the least flow, L in a step, that grows a mark: 0.15 L a day.
const seenFlow = 0.15 / stepsDay

const gapSteps = 16 // four hours

// notice looks back from the call over what reached the ceiling.
func notice(s *scene, defects []*defect) *noticed {
	n := &noticed{flow: make([]float64, s.w.Steps()), lagH: math.NaN(), sinceWetH: math.Inf(1)}
	for _, x := range defects {
		for i, q := range x.flow {
			n.flow[i] += q
		}
	}
	for i, q := range n.flow {
		if q < seenFlow {
			continue
		}
		if k := len(n.episodes); k > 0 && i-n.episodes[k-1].to <= gapSteps {
			n.episodes[k-1].to = i
		} else {
			n.episodes = append(n.episodes, episode{from: i, to: i})
		}
		n.episodes[len(n.episodes)-1].litres += q
		n.sinceWetH = float64(s.w.Steps()-1-i) * stepH
		n.dripping = n.dripping || q > 0.08*stepH
	}
	if len(n.episodes) == 0 {
		return n
	}
	n.dryAndFrost(s)
	n.uses(s)
	n.rain(s)
	n.amounts()
	n.classify(s)
	return n
}

// rainBefore is the rain and melt in so many hours up to a step, mm.
func (s *scene) rainBefore(i int, hours float64) float64 {
	t := 0.0
	for k := max(0, i-int(hours/stepH)); k <= i; k++ {
		t += (s.w.Rain[k] + s.w.Melt[k]) * stepH
	}
	return t
}

func (s *scene) coldestBefore(i int, hours float64) float64 {
	t := math.Inf(1)
	for k := max(0, i-int(hours/stepH)); k <= i; k++ {
		t = math.Min(t, s.w.TempC[k])
	}
	return t
}

func (n *noticed) wetIn(from, to int) bool {
	for i := max(0, from); i < min(to, len(n.flow)); i++ {
		if n.flow[i] >= seenFlow {
			return true
		}
	}
	return false
}

func (n *noticed) dryAndFrost(s *scene) {
	n.drySpell = "no"
	dry := 0
	for i := range n.flow {
		dry++
		if s.w.Rain[i]+s.w.Melt[i] > 0.1 {
			dry = 0
		}
		if dry >= 5*stepsDay && n.flow[i] >= seenFlow {
			n.drySpell = "yes"
		}
		n.snow = n.snow || n.flow[i] >= seenFlow && s.w.Snow[i] > 2
	}
	frosts, wet := 0, 0
	for day := 1; day < s.w.Days; day++ {
		at := day*stepsDay + 8*4
		if s.coldestBefore(at, 8) < 0 && s.rainBefore(at, 24) < 0.2 {
			frosts++
			if n.wetIn(at-4, at+8) {
				wet++
			}
		}
	}
	if frosts > 0 {
		n.frosty = map[bool]string{true: "wet", false: "dry"}[2*wet >= frosts]
	}
	sun := 0
	for _, e := range n.episodes {
		hour := math.Mod(float64(e.from)*stepH, 24)
		frost := s.coldestBefore(e.from, 14) < -0.5
		hot := s.sheetC[e.from] > 30
		if hour >= 7.5 && hour <= 16 && (frost || hot) && s.w.Sun[e.from] > 40 && s.rainBefore(e.from, 24) < 0.3 {
			sun++
		}
	}
	n.sunAfter = map[bool]string{true: "yes", false: "no"}[10*sun >= 4*len(n.episodes)]
}

// uses holds the water within three hours of a shower against the share of the time.
func (n *noticed) uses(s *scene) {
	in, all, time := 0.0, 0.0, 0
	any := false
	for i, q := range n.flow {
		all += q
		any = any || s.used[i]
		if s.since[i] <= 3 {
			in += q
			time++
		}
	}
	n.use = "no"
	if any && all > 0 && in/all > 1.9*float64(time)/float64(len(n.flow)) && in/all > 0.45 {
		n.use = "yes"
	}
}

// spell is one rain: six dry hours end it.
type spell struct {
	from, to int
	mm, peak float64
	x, y     float64 // direction weighted by rain on the wind
	wet      bool
	lagH     float64
}

func (s *scene) spells() []spell {
	var out []spell
	for i := range s.w.Rain {
		r := s.w.Rain[i]
		if r < 0.1 {
			continue
		}
		if k := len(out); k == 0 || i-out[k-1].to > 24 {
			out = append(out, spell{from: i})
		}
		e := &out[len(out)-1]
		e.to = i
		e.mm += r * stepH
		e.peak = math.Max(e.peak, r)
		e.x += r * s.w.Wind[i] * math.Cos(s.w.From[i])
		e.y += r * s.w.Wind[i] * math.Sin(s.w.From[i])
	}
	var big []spell
	for _, e := range out {
		if e.mm >= 1.2 {
			big = append(big, e)
		}
	}
	return big
}

// rain learns lag, wind and length from the spells of rain. A spell brought water when
// an episode began in it or within a day and a half, or an old one grew.
func (n *noticed) rain(s *scene) {
	all := s.spells()
	var lags []float64
	for k := range all {
		e := &all[k]
		until := e.to + 36*4
		if k+1 < len(all) {
			until = min(until, all[k+1].from)
		}
		for _, w := range n.episodes {
			if w.from >= e.from && w.from <= until {
				e.wet = true
				e.lagH = float64(w.from-e.from) * stepH
				lags = append(lags, e.lagH)
				break
			}
		}
		if !e.wet { // it was wet already: did it grow?
			before, after := 0.0, 0.0
			for i := max(0, e.from-24); i < e.from; i++ {
				before += n.flow[i]
			}
			for i := e.from; i < min(until, len(n.flow)); i++ {
				after += n.flow[i]
			}
			if span := float64(min(until, len(n.flow)) - e.from); span > 0 && before > 0 && after/span > 1.5*before/24 {
				e.wet = true
			}
		}
	}
	fromRain := 0
	for _, w := range n.episodes {
		if s.rainBefore(w.from, 48) >= 1 {
			fromRain++
		}
	}
	if 10*fromRain >= 6*len(n.episodes) {
		n.lagH = median(lags)
		if len(lags) == 0 {
			n.lagH = 60 // days after any rain that it could be put to
		}
	}
	x, y := 0.0, 0.0
	for _, e := range all {
		if e.wet {
			x, y = x+e.x, y+e.y
		}
	}
	face := math.Atan2(y, x)
	var one, other, oneWet, otherWet, short, shortWet, long, longWet float64
	for _, e := range all {
		hit := map[bool]float64{true: 1, false: 0}[e.wet]
		if math.Cos(math.Atan2(e.y, e.x)-face) > 0.3 {
			one, oneWet = one+1, oneWet+hit
		} else {
			other, otherWet = other+1, otherWet+hit
		}
		switch h := float64(e.to-e.from) * stepH; {
		case h < 3:
			short, shortWet = short+1, shortWet+hit
		case h >= 6:
			long, longWet = long+1, longWet+hit
		}
	}
	if one >= 2 && other >= 2 && oneWet > 0 {
		n.windSide = map[bool]string{true: "one-side", false: "any"}[oneWet/one-otherWet/other > 0.4]
	}
	if short >= 2 && shortWet+longWet > 0 {
		n.longOnly = map[bool]string{true: "short", false: "hours"}[shortWet/short >= 0.3]
	}
}

// amounts are those of the usual one of the last five episodes; water that never
// stops is counted by the day.
func (n *noticed) amounts() {
	var litres, hours []float64
	for _, e := range n.episodes[max(0, len(n.episodes)-5):] {
		h := float64(e.to-e.from+1) * stepH
		q := e.litres
		if h > 72 {
			q *= 24 / h
		}
		litres, hours = append(litres, q), append(hours, h)
	}
	n.litres, n.hours = median(litres), median(hours)
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	c := append([]float64(nil), v...)
	for i := 1; i < len(c); i++ {
		for k := i; k > 0 && c[k] < c[k-1]; k-- {
			c[k], c[k-1] = c[k-1], c[k]
		}
	}
	return c[len(c)/2]
}

// days counts the days of some kind since the first water, and how many were wet, and
// the mean flow on them.
func (n *noticed) days(s *scene, kind func(noon int) bool) (share, flow float64, count int) {
	wet, litres := 0, 0.0
	for day := n.episodes[0].from / stepsDay; day < s.w.Days; day++ {
		if !kind(day*stepsDay + stepsDay/2) {
			continue
		}
		count++
		if n.wetIn(day*stepsDay, (day+1)*stepsDay) {
			wet++
		}
		litres += sumOf(n.flow[day*stepsDay : (day+1)*stepsDay])
	}
	if count == 0 {
		return 0, 0, 0
	}
	return float64(wet) / float64(count), litres / float64(count), count
}

// classify says which of the interview's patterns the diary shows best, as a fair
// reader of it would: one who holds the wet days against the dry ones.
func (n *noticed) classify(s *scene) {
	rainy := func(i int) bool { return s.rainBefore(i, 24) >= 1 }
	parched := func(i int) bool { return s.rainBefore(i, 72) < 0.5 }
	rainShare, rainFlow, _ := n.days(s, rainy)
	dryShare, dryFlow, dryDays := n.days(s, parched)
	frostShare, _, frosts := n.days(s, func(i int) bool { return parched(i) && s.coldestBefore(i, 12) < 1.5 })
	mildShare, _, milds := n.days(s, func(i int) bool { return parched(i) && s.coldestBefore(i, 12) > 4 })
	allShare, _, days := n.days(s, func(int) bool { return true })

	last := n.episodes[max(0, len(n.episodes)-6):]
	rain, burst, after, cold, sun := 0, 0, 0, 0, 0
	for _, e := range last {
		if s.rainBefore(e.from, 48) >= 1 {
			rain++
		}
		peak := 0.0
		for k := max(0, e.from-48); k <= e.from; k++ {
			peak = math.Max(peak, s.w.Rain[k])
		}
		if peak >= 18 {
			burst++
		}
		// Goes on: a day and a half of it or more with no rain falling.
		dry := 0
		for i := e.from; i <= e.to; i++ {
			if s.rainBefore(i, 12) < 0.2 {
				dry++
			}
		}
		if float64(dry)*stepH > 36 {
			after++
		}
		if s.coldestBefore(e.from, 24) < 1.5 && s.rainBefore(e.from, 24) < 0.5 {
			cold++
		}
		hour := math.Mod(float64(e.from)*stepH, 24)
		if (s.coldestBefore(e.from, 14) < -0.5 || s.sheetC[e.from] > 32) && hour > 7 && hour < 16 && s.w.Sun[e.from] > 40 && s.rainBefore(e.from, 12) < 0.3 {
			sun++
		}
	}
	k := len(last)
	spells := s.spells()
	bursts := 0
	for _, e := range spells {
		if e.peak >= 18 {
			bursts++
		}
	}
	steady := dryDays >= 3 && dryFlow > 0.6*rainFlow && dryFlow < 2.5*rainFlow
	byRain := 10*rain >= 7*k && (dryDays == 0 || rainShare > 1.5*dryShare || rainFlow > 1.7*dryFlow)
	switch {
	case n.use == "yes":
		n.pattern = "after-use"
	case days >= 5 && allShare >= 0.85 && steady:
		n.pattern = "every-day"
	case byRain && 10*after >= 5*k:
		n.pattern = "after-rain"
	case byRain && 10*burst >= 7*k && bursts*2 < len(spells):
		n.pattern = "cloudburst"
	case byRain && n.windSide == "one-side":
		n.pattern = "windy-rain"
	case byRain:
		n.pattern = "any-rain"
	case 10*sun >= 5*k:
		n.pattern = "thaw-or-hot"
	case 10*cold >= 5*k || frosts > 0 && milds > 0 && frostShare > 0.3 && frostShare > 2*mildShare:
		n.pattern = "cold-dry"
	case days >= 5 && allShare >= 0.85:
		n.pattern = "every-day"
	default:
		n.pattern = "no-pattern"
	}
}
