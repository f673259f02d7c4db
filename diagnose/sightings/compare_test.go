package sightings

import (
	"math"
	"math/rand"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// close: sums in another order differ in the last digits.
func same(a, b float64) bool { return math.Abs(a-b) <= 1e-9*(1+math.Abs(a)) }

var sameResult = cmp.Options{cmp.AllowUnexported(Result{}), cmpopts.EquateEmpty(), cmp.Comparer(same)}

// weeks is some invented weather with rain, wind, frost and thaw in it.
func weeks(n int) History {
	rnd := rand.New(rand.NewSource(5))
	var h History
	first, _ := date(2025, 11, 1)
	t := 4.0
	for d := range n {
		w := NewWeather(first + Day(d))
		t += 2*rnd.NormFloat64() - 0.2*(t-2)
		w.Mean, w.Min, w.Max, w.Rain, w.Wind, w.From = t, t-3, t+4, 0, 3+2*rnd.Float64(), 360*rnd.Float64()
		if rnd.Float64() < 0.4 {
			w.Rain = 12 * rnd.ExpFloat64()
		}
		h.Weather = append(h.Weather, w)
	}
	return h
}

func (h History) with(saw ...Saw) History {
	h.Looks = nil
	for k, s := range saw {
		h.Looks = append(h.Looks, Look{Day: h.Weather[10].Day + Day(2*k), Saw: s})
	}
	return h
}

// Over all ways in which eight days may have been wet and dry, the chances that a driver
// gives sum to one: the likelihoods are those of a model, not of a score.
func TestChancesSumToOne(t *testing.T) {
	h := weeks(40)
	sums := map[string]float64{}
	for mask := range 256 {
		saw := make([]Saw, 8)
		for k := range saw {
			saw[k] = Dry
			if mask>>k&1 == 1 {
				saw[k] = Drip
			}
		}
		s := newSeries(h.with(saw...))
		for id, list := range map[string][]response{
			Rain: s.rainResponses(), Wind: s.windResponses(), Cold: s.coldResponses(), Thaw: s.thawResponses(), InUse: s.useResponses(),
		} {
			total, _, parts := s.weigh(list)
			sums[id] += math.Exp(total)
			for a, l := range parts {
				sums[id+"/"+a] += math.Exp(l)
			}
		}
		sums[Constant] += math.Exp(s.flat(everyDay))
		sums[None] += math.Exp(s.runs())
	}
	if len(sums) != 7+3+4 {
		t.Fatalf("%d sums: %v", len(sums), sums)
	}
	for id, sum := range sums {
		if !same(sum, 1) {
			t.Errorf("%s: the chances of all records sum to %.12f", id, sum)
		}
	}
}

// The likelihood of rain by brute force: every point of the grid written out with plain
// sums over the days, no logarithms, no sharing.
func TestRainByBruteForce(t *testing.T) {
	h := weeks(40).with(Drip, Dry, Drip, Drip, Dry, Dry)
	s := newSeries(h)
	rain := append([]float64{}, s.rain...)
	mean := 0.0
	for _, x := range rain {
		mean += x / float64(len(rain))
	}
	want, weights := 0.0, 0.0
	for _, life := range halfLives {
		for _, at := range rainAt {
			for _, k := range steep {
				for _, late := range delays {
					for _, lo := range unasked {
						for _, hi := range asked {
							bent := make([]float64, len(rain))
							for i := range rain {
								// What the bucket lets go on day i, as a sum over all days before.
								a := math.Pow(0.5, 1/life.x)
								flow := (1 - a) * math.Pow(a, float64(i)) * mean * a / (1 - a)
								for j := 0; j <= i; j++ {
									flow += (1 - a) * math.Pow(a, float64(i-j)) * rain[j]
								}
								bent[i] = math.Pow(flow, k.x) / (math.Pow(flow, k.x) + math.Pow(at.x, k.x))
							}
							l := 1.0
							for n, i := range s.at {
								d := i - int(late.x)
								r := 0.84*bent[d] + 0.08*bent[d-1] + 0.08*bent[min(d+1, len(bent)-1)]
								p := lo.x + (hi.x-lo.x)*r
								if !s.wet[n] {
									p = 1 - p
								}
								l *= p
							}
							w := life.weight * at.weight * k.weight * late.weight * lo.weight * hi.weight
							want += w * l
							weights += w
						}
					}
				}
			}
		}
	}
	got, _, _ := s.weigh(s.rainResponses())
	if !same(weights, 1) || !same(math.Exp(got), want) {
		t.Errorf("likelihood %.12g, by brute force %.12g (weights sum to %.12f)", math.Exp(got), want, weights)
	}
}

// Snow lies until it thaws: what falls and what runs are the same in the end.
func TestSnowRunsWhenItMelts(t *testing.T) {
	rain, mean := []float64{10, 6, 0, 0, 0, 2}, []float64{-4, 0, -1, 2.5, 4.5, 6}
	melt(rain, mean)
	if d := cmp.Diff([]float64{0, 0, 0, 6, 10, 2}, rain, cmp.Comparer(same)); d != "" {
		t.Error(d)
	}
}

// A bucket loses nothing: what a single shower puts in comes out, half of it by the half-life.
func TestBucketKeepsTheWater(t *testing.T) {
	in := make([]float64, 400)
	in[0] = 8
	for _, life := range halfLives {
		out := bucket(in, life.x)
		sum, late := 0.0, 0.0
		for i, x := range out {
			// It starts as full as it is in the mean: that is taken off.
			x -= (1 - kept(life.x)) * math.Pow(kept(life.x), float64(i)) * 8.0 / 400 * meanStay(life.x)
			sum += x
			late += x * float64(i)
		}
		if math.Abs(sum-8) > 1e-3 || math.Abs(late/sum-meanStay(life.x)) > 0.01*meanStay(life.x)+1e-3 {
			t.Errorf("half-life %g: %.5f of 8 mm comes out, %.4f days late (want %.4f)", life.x, sum, late/sum, meanStay(life.x))
		}
	}
}

func share(r *Result, id string) float64 {
	for _, d := range r.Drivers {
		if d.ID == id {
			return d.P
		}
	}
	return math.NaN()
}

// The order of the days entered, and days on which nobody looked, change nothing.
func TestOrderAndDaysNotLooked(t *testing.T) {
	rnd := rand.New(rand.NewSource(3))
	for _, kind := range []string{Rain, Cold, None} {
		h := someRoof(t, rnd, kind, 60)
		want := Compare(h)
		mixed := History{Looks: slices.Clone(h.Looks), Weather: slices.Clone(h.Weather)}
		rnd.Shuffle(len(mixed.Looks), func(i, j int) { mixed.Looks[i], mixed.Looks[j] = mixed.Looks[j], mixed.Looks[i] })
		rnd.Shuffle(len(mixed.Weather), func(i, j int) { mixed.Weather[i], mixed.Weather[j] = mixed.Weather[j], mixed.Weather[i] })
		mixed.sort()
		if d := cmp.Diff(want, Compare(mixed), cmp.AllowUnexported(Result{})); d != "" {
			t.Errorf("%s, in another order: %s", kind, d)
		}
		more := History{Looks: slices.Clone(h.Looks), Weather: h.Weather}
		for _, w := range h.Weather[20:40] {
			if _, ok := h.LookOn(w.Day); !ok && w.Day > h.Looks[0].Day && w.Day < h.Looks[len(h.Looks)-1].Day {
				more.Looks = append(more.Looks, Look{Day: w.Day, Saw: NotLooked})
			}
		}
		if len(more.Looks) == len(h.Looks) {
			t.Fatal("no day was added")
		}
		more.sort()
		got := Compare(more)
		got.Record = want.Record // which shows them, of course
		if d := cmp.Diff(want, got, sameResult); d != "" {
			t.Errorf("%s, with days not looked: %s", kind, d)
		}
	}
}

// A day of heavy rain on which it stayed dry speaks against rain; one on which it dripped,
// for it. A dry frosty day speaks against cold.
func TestADayMovesItsDriver(t *testing.T) {
	h := weeks(60)
	for i := range h.Weather {
		h.Weather[i].Rain, h.Weather[i].Mean, h.Weather[i].Min, h.Weather[i].Max = 0, 8, 5, 11
		if i%5 == 0 {
			h.Weather[i].Rain = 25
		}
	}
	for _, i := range []int{7, 8, 22, 23, 48} {
		h.Weather[i].Mean, h.Weather[i].Min, h.Weather[i].Max = -4, -8, 0
	}
	look := func(i int, s Saw) { h.Looks = append(h.Looks, Look{Day: h.Weather[i].Day, Saw: s}) }
	look(10, Drip)
	look(13, Dry)
	look(15, Drip)
	look(18, Dry)
	look(22, Dry)
	look(30, Dry)
	before := Compare(h)
	look(35, Drip)
	wet := Compare(h)
	h.Looks[len(h.Looks)-1].Saw = Dry
	dry := Compare(h)
	if !(share(dry, Rain) < share(before, Rain) && share(before, Rain) < share(wet, Rain)) {
		t.Errorf("rain: %.3f, after a dry day of rain %.3f, after a wet one %.3f", share(before, Rain), share(dry, Rain), share(wet, Rain))
	}
	h.Looks = h.Looks[:len(h.Looks)-1]
	look(48, Dry)
	dry = Compare(h)
	h.Looks[len(h.Looks)-1].Saw = Drip
	wet = Compare(h)
	if !(share(dry, Cold) < share(before, Cold) && 2*share(before, Cold) < share(wet, Cold)) {
		t.Errorf("cold: %.4f, after a dry day of frost %.4f, after a wet one %.4f", share(before, Cold), share(dry, Cold), share(wet, Cold))
	}
}

func TestTooFewDays(t *testing.T) {
	h := weeks(60)
	for _, x := range []struct {
		what   string
		h      History
		enough bool
	}{
		{"nothing but weather", h, false},
		{"four days", h.with(Drip, Drip, Dry, Dry), false},
		{"one dry day", h.with(Drip, Drip, Dry, Drip, Drip, Drip), false},
		{"one wet day", h.with(Drip, Dry, Dry, Dry, Dry, Dry), false},
		{"wet days with gaps", h.with(Drip, Drip, Drip, Drip, Drip, Drip, Drip, Drip), false},
		{"five days", h.with(Drip, Drip, Dry, Dry, Dry), true},
		{"no weather", History{Looks: h.with(Drip, Drip, Dry, Dry, Dry, Drip).Looks}, false},
	} {
		r := Compare(x.h)
		if r.Enough != x.enough || r.Enough != (len(r.Drivers) > 0) || r.Text == "" || !x.enough && (r.Pattern([]string{"any-rain"}) != nil || r.Hint == "") {
			t.Errorf("%s: %+v", x.what, r)
		}
	}
	// A week on end, all wet: no dry day is to be had of a pipe.
	week := h
	for d := range 9 {
		week.Looks = append(week.Looks, Look{Day: h.Weather[20].Day + Day(d), Saw: Drip})
	}
	if r := Compare(week); !r.Enough || r.Drivers[0].ID != Constant {
		t.Errorf("nine wet days on end: %+v", r.Drivers)
	}
	if Compare(History{}) != nil {
		t.Error("an empty record has a result")
	}
}

// What is not on record is not judged, and says so; the answers that hang on it are moved
// as "no pattern" is.
func TestWithoutTemperatureOrWind(t *testing.T) {
	rnd := rand.New(rand.NewSource(9))
	h := someRoof(t, rnd, Rain, 60)
	for i := range h.Weather {
		w := NewWeather(h.Weather[i].Day)
		w.Rain = h.Weather[i].Rain
		h.Weather[i] = w
	}
	r := Compare(h)
	if len(r.NotJudged) != 3 || len(r.Drivers) != 4 {
		t.Fatalf("%v, %v", r.NotJudged, r.Drivers)
	}
	v := r.Pattern([]string{"any-rain", "windy-rain", "cold-dry", "thaw-or-hot", "no-pattern"})
	for i, x := range v[1:] {
		if !same(x, v[4]) {
			t.Errorf("likelihoods %v: number %d differs from that of no pattern", v, i+1)
		}
	}
}

// The likelihoods handed on sum to one and none is under what the cap leaves.
func TestPatternIsCapped(t *testing.T) {
	answers := []string{"any-rain", "windy-rain", "cloudburst", "after-rain", "cold-dry", "thaw-or-hot", "after-use", "every-day", "no-pattern"}
	rnd := rand.New(rand.NewSource(17))
	for _, d := range drivers {
		r := Compare(someRoof(t, rnd, d.id, 90))
		v := r.Pattern(answers)
		if v == nil {
			continue
		}
		sum := 0.0
		for _, x := range v {
			sum += x
			if x < (1-Reliability)/9-1e-12 || x > Reliability+(1-Reliability)/9+1e-12 {
				t.Errorf("%s: %v", d.id, v)
			}
		}
		if !same(sum, 1) {
			t.Errorf("%s: sum %.12f", d.id, sum)
		}
		p := 0.0
		for _, x := range r.Drivers {
			p += x.P
		}
		if !same(p, 1) || !same(r.Drivers[slices.IndexFunc(r.Drivers, func(x Driver) bool { return x.ID == None })].Decibans, 0) {
			t.Errorf("%s: drivers %v", d.id, r.Drivers)
		}
	}
}

// A thousand days do not fall below the least number there is.
func TestLongRecords(t *testing.T) {
	h := weeks(900)
	for i, w := range h.Weather[30:] {
		s := Dry
		if w.Rain > 4 || i%17 == 0 {
			s = Drip
		}
		h.Looks = append(h.Looks, Look{Day: w.Day, Saw: s})
	}
	r := Compare(h)
	if r.Drivers[0].ID != Rain || r.Weighed != longest+1 {
		t.Errorf("%d weighed, %+v", r.Weighed, r.Drivers)
	}
	for _, d := range r.Drivers {
		if math.IsNaN(d.P) || math.IsInf(d.Decibans, 0) {
			t.Errorf("%+v", d)
		}
	}
}

func BenchmarkCompare120Days(b *testing.B) {
	h := weeks(200)
	for i, w := range h.Weather[80:] {
		s := Dry
		if w.Rain > 4 || i%17 == 0 {
			s = Drip
		}
		h.Looks = append(h.Looks, Look{Day: w.Day, Saw: s})
	}
	if n := len(h.Looks); n != 120 {
		b.Fatal(n)
	}
	for b.Loop() {
		if !Compare(h).Enough {
			b.Fatal("not enough")
		}
	}
}

// Frost is stored while it freezes and let go on the first mild days; then there is none
// left, however mild it is.
func TestFrostIsLetGoOnce(t *testing.T) {
	h := weeks(60)
	for i := range h.Weather {
		w := NewWeather(h.Weather[i].Day)
		w.Rain, w.Mean = 0, 7
		if i >= 20 && i < 30 {
			w.Mean = -4
		}
		h.Weather[i] = w
	}
	h.Looks = []Look{{Day: h.Weather[10].Day, Saw: Dry}, {Day: h.Weather[50].Day, Saw: Dry}} // so that there is a series
	s := newSeries(h)
	at := func(i int) int { return int(h.Weather[i].Day - s.first) }
	n := 0
	for _, x := range s.thawResponses() {
		if x.delay > 0 {
			continue
		}
		n++
		if frozen, first, later := x.r[at(25)], x.r[at(30)], x.r[at(45)]; frozen > 0.02 || first < 0.5 || later > 0.02 {
			t.Errorf("in the frost %.3f, on the first mild day %.3f, two weeks on %.3f", frozen, first, later)
		}
	}
	if n == 0 {
		t.Error("no response was tried")
	}
}

// Wind from one side on wet days and from the other on dry ones, with rain alike: it takes
// the wind. Without the directions on record it cannot be told.
func TestWindFromOneSide(t *testing.T) {
	h := weeks(80)
	for i := range h.Weather {
		w := NewWeather(h.Weather[i].Day)
		w.Rain, w.Mean, w.Wind, w.From = 0, 8, 5, 250
		if i%3 == 0 {
			w.Rain = 10
		}
		if i%6 == 0 {
			w.From = 80
		}
		h.Weather[i] = w
	}
	for i := 5; i < 65; i++ {
		switch {
		case i%6 == 3:
			h.Looks = append(h.Looks, Look{Day: h.Weather[i].Day, Saw: Drip})
		case i%6 == 0, i%5 == 1:
			h.Looks = append(h.Looks, Look{Day: h.Weather[i].Day, Saw: Dry})
		}
	}
	with := Compare(h)
	if with.Drivers[0].ID != Wind || with.Drivers[0].P < 0.85 {
		t.Errorf("with directions: %+v", with.Drivers)
	}
	for i := range h.Weather {
		h.Weather[i].From = math.NaN()
	}
	if p := share(Compare(h), Wind); p > 0.65 {
		t.Errorf("without directions rain with wind has %.2f", p)
	}
}
