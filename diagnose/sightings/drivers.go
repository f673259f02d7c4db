package sightings

import "math"

// A driver is one way in which wet days may come about. Its grid is a list of responses:
// each is a number from 0 to 1 for every day of the series, how far the driver would have
// it wet that day, with the lag it stands for and its share of the prior weight.
type response struct {
	r      []float64 // by day of the series
	lag    float64   // days from the weather to the water, in the mean
	weight float64
	answer string // answer to the question "weather-pattern" that it would be
	delay  int    // days that r is looked up late
}

// value is a point of a grid with its weight.
type value struct{ x, weight float64 }

// Lags. A hole drips the same day, a wall or a wet build-up holds it for days or weeks;
// short lags are met more often: common practice, no source.
var (
	halfLives = []value{{0.2, 0.27}, {0.7, 0.25}, {1.5, 0.18}, {3, 0.12}, {7, 0.1}, {20, 0.08}}
	shortLife = []value{{0.2, 0.4}, {1, 0.35}, {3, 0.25}}
	delays    = []value{{0, 0.6}, {1, 0.3}, {2, 0.1}}
	delaysTwo = []value{{0, 0.65}, {1, 0.35}}
)

// Thresholds: where the chance of a wet day is half way up.
var (
	rainAt   = []value{{1, 0.2}, {2.5, 0.2}, {5, 0.2}, {10, 0.2}, {20, 0.2}}  // mm a day let go by the bucket
	driveAt  = []value{{1, 0.25}, {3, 0.25}, {6, 0.25}, {12, 0.25}}           // L/m2 a day on the wall
	coldMean = []value{{-3, 0.15}, {0, 0.2}, {3, 0.25}, {6, 0.25}, {9, 0.15}} // degrees Celsius
	coldLeft = 3.5                                                            // least temperatures lie lower by about this
	coldWide = []value{{0.8, 0.5}, {2, 0.5}}                                  // K
	thawOver = []value{{-1, 0.25}, {1, 0.5}, {3, 0.25}}                       // degrees Celsius
	thawPace = []value{{0.1, 0.5}, {0.4, 0.5}}                                // share of the store let go, for each K over it
	thawAt   = []value{{1, 0.4}, {3, 0.35}, {8, 0.25}}                        // K days let go in the day
	steep    = []value{{2, 0.5}, {5, 0.5}}                                    // power of the bend
	faces    = []float64{0, 1.0 / 3, 2.0 / 3, 1, 4.0 / 3, 5.0 / 3}            // of pi: the ways that a wall may face
	longLag  = 1.65                                                           // days; over it, it "goes on for days after rain"
	burst    = 8.0                                                            // mm; a threshold over it is "only cloudbursts"
)

// bend is 0 for nothing, half at the threshold, and 1 for much: x^k/(x^k + at^k). Its odds
// are a power of x, so that a caller who is surer to look on wet days only moves the
// threshold.
func bend(x, at, k float64) float64 {
	if x <= 0 {
		return 0
	}
	return 1 / (1 + pow(at/x, k))
}

// pow is math.Pow for the whole powers of the grids: it is called a great deal.
func pow(x float64, k float64) float64 {
	switch k {
	case 2:
		return x * x
	case 3:
		return x * x * x
	case 5:
		return x * x * x * x * x
	}
	return math.Pow(x, k)
}

// kept is the share of a bucket that is left after a day.
func kept(halfLife float64) float64 { return math.Exp2(-1 / halfLife) }

// meanStay is how many days a drop stays in the bucket, in the mean.
func meanStay(halfLife float64) float64 { a := kept(halfLife); return a / (1 - a) }

// bucket is what a leaking bucket lets go each day of what falls into it; what falls in
// and what comes out are the same in the long run. It starts as full as it is in the mean.
func bucket(in []float64, halfLife float64) []float64 {
	a := kept(halfLife)
	mean := 0.0
	for _, x := range in {
		mean += x / float64(len(in))
	}
	held := mean * a / (1 - a)
	out := make([]float64, len(in))
	for i, x := range in {
		held += x
		out[i] = (1 - a) * held
		held *= a
	}
	return out
}

// dayOut is how often a caller names the day before, and how often the day after: one time
// in six in all. Common practice, no source.
const dayOut = 0.08

// heard is the response f to an index as callers tell of it. Only the days that a look can
// ask for are worked out.
func (s *series) heard(index []float64, f func(float64) float64) []float64 {
	out := make([]float64, len(index))
	from := max(0, s.at[0]-before)
	yesterday := f(index[max(from-1, 0)])
	today := f(index[from])
	for i := from; i < len(index); i++ {
		tomorrow := today
		if i+1 < len(index) {
			tomorrow = f(index[i+1])
		}
		out[i] = (1-2*dayOut)*today + dayOut*(yesterday+tomorrow)
		yesterday, today = today, tomorrow
	}
	return out
}

func itself(x float64) float64 { return x }

// rainResponses: rain fills a bucket that leaks.
func (s *series) rainResponses() (out []response) {
	for _, life := range halfLives {
		flow := bucket(s.rain, life.x)
		for _, at := range rainAt {
			for _, k := range steep {
				r := s.heard(flow, func(x float64) float64 { return bend(x, at.x, k.x) })
				for _, d := range delays {
					one := response{r: r, delay: int(d.x), lag: d.x + meanStay(life.x), weight: life.weight * at.weight * k.weight * d.weight}
					switch {
					case one.lag > longLag:
						one.answer = "after-rain"
					case at.x > burst:
						one.answer = "cloudburst"
					default:
						one.answer = "any-rain"
					}
					out = append(out, one)
				}
			}
		}
	}
	return out
}

// windResponses: rain that the wind drives onto a wall, from any side or from one.
func (s *series) windResponses() (out []response) {
	if s.drive == nil {
		return nil
	}
	walls := [][]float64{s.drive}
	if s.from != nil {
		walls = walls[:0]
		for _, face := range faces {
			wall := make([]float64, len(s.drive))
			for i, x := range s.drive {
				wall[i] = x * math.Max(0, math.Cos(s.from[i]-face*math.Pi))
			}
			walls = append(walls, wall)
		}
	}
	for _, wall := range walls {
		for _, life := range shortLife {
			flow := bucket(wall, life.x)
			for _, at := range driveAt {
				r := s.heard(flow, func(x float64) float64 { return bend(x, at.x, 3) })
				for _, d := range delaysTwo {
					out = append(out, response{
						r: r, delay: int(d.x), lag: d.x + meanStay(life.x), answer: "windy-rain",
						weight: life.weight * at.weight * d.weight / float64(len(walls)),
					})
				}
			}
		}
	}
	return out
}

// coldResponses: breath of the room turns to water on what the outside air keeps cold. The
// temperature is smoothed, for a roof takes its time.
func (s *series) coldResponses() (out []response) {
	if s.mean == nil {
		return nil
	}
	type basis struct {
		t    []float64
		less float64
	}
	of := []basis{{s.mean, 0}}
	if s.min != nil {
		of = append(of, basis{s.min, coldLeft})
	}
	for _, b := range of {
		for _, life := range shortLife {
			t := bucket(b.t, life.x)
			for _, at := range coldMean {
				for _, wide := range coldWide {
					r := s.heard(t, func(x float64) float64 { return 1 / (1 + math.Exp((x-at.x+b.less)/wide.x)) })
					out = append(out, response{
						r: r, lag: meanStay(life.x), answer: "cold-dry",
						weight: life.weight * at.weight * wide.weight / float64(len(of)),
					})
				}
			}
		}
	}
	return out
}

// mostFrost is how much frost a roof stores, in K days: after some weeks no more is laid
// on than is lost. A judgement.
const mostFrost = 60

// thawResponses: frost days store, the first mild day lets go.
func (s *series) thawResponses() (out []response) {
	if s.mean == nil {
		return nil
	}
	// By the means of the days; or by their ends, so that the noon after a frosty night lets go.
	type ends struct{ night, noon []float64 }
	of := []ends{{s.mean, s.mean}}
	if s.min != nil {
		of = append(of, ends{s.min, s.max})
	}
	for _, b := range of {
		for _, over := range thawOver {
			for _, pace := range thawPace {
				store, gone := 0.0, make([]float64, len(s.mean))
				for i := range gone {
					store = math.Min(store+math.Max(0, over.x-b.night[i]), mostFrost)
					gone[i] = store * -math.Expm1(-pace.x*math.Max(0, b.noon[i]-over.x))
					store -= gone[i]
				}
				for _, at := range thawAt {
					r := s.heard(gone, func(x float64) float64 { return bend(x, at.x, 2) })
					for _, d := range delaysTwo {
						out = append(out, response{
							r: r, delay: int(d.x), lag: d.x, answer: "thaw-or-hot",
							weight: over.weight * pace.weight * at.weight * d.weight / float64(len(of)),
						})
					}
				}
			}
		}
	}
	return out
}

// useResponses: weekends, working days, one day of the week, and what was said of the use.
func (s *series) useResponses() (out []response) {
	const answer = "after-use"
	n := len(s.rain)
	calendar := func(on func(weekday int) bool, weight float64) {
		r := make([]float64, n)
		for i := range r {
			if on((s.first + Day(i)).weekday()) {
				r[i] = 1
			}
		}
		out = append(out, response{r: s.heard(r, itself), weight: weight, answer: answer})
	}
	calendar(func(d int) bool { return d >= 5 }, 0.35)
	calendar(func(d int) bool { return d < 5 }, 0.35)
	for w := range 7 {
		calendar(func(d int) bool { return d == w }, 0.3/7)
	}
	said := 0
	r := make([]float64, n)
	for k, i := range s.at {
		switch s.use[k] {
		case Used:
			r[i] = 1
			said++
		case Unused:
			said++
		default:
			r[i] = 0.5
		}
	}
	if said >= 3 {
		for i := range out {
			out[i].weight /= 4
		}
		out = append(out, response{r: r, weight: 0.75, answer: answer})
	}
	return out
}
