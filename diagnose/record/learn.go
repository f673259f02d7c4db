package record

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"
	"sync"

	"underlap/diagnose"
	"underlap/rules"
)

// Worth is how many calls, or closed cases, the numbers of the knowledge are held to be
// worth: a judgement. As many cases as that move a number half of the way.
const Worth = 100

// Thin is the number of cases below which what is learned is mostly chance; common
// practice, no source.
const Thin = 30

// least is the share by which a number must move to be worth a line.
const least = 0.005

// paysFor is what the sum of log scores must rise by for a constant more to earn its
// place: Akaike's criterion, one unit of log-likelihood for each (from memory).
const paysFor = 1.0

// The fixed grids on which the constants are looked for.
var (
	rhoGrid   = []float64{0.5, 0.6, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95}
	tauGrid   = []float64{0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1}      // it only blunts; to sharpen would be to be too sure
	otherGrid = []float64{0.25, 0.35, 0.5, 0.7, 1.4, 2, 2.8, 4} // times what it is
)

// Lesson is what closed cases say of the numbers.
type Lesson struct {
	Cases  int            // that count
	Left   map[string]int // closed cases that do not, by the reason
	Causes []Share        // all listed causes, in the order of the knowledge
	Rho    Constant       // reliability of what was told on the phone
	Tau    Constant       // power that the likelihood of each answer is raised to
	Other  Constant       // calls in 100 with a cause that is not listed
	// Before and After are means over the cases of the natural logarithm of the share of
	// suspicion that fell on the causes found. After, each case is scored with the counts
	// of the others only; the three constants have seen it.
	Before, After float64
	Knowledge     string // hash of the knowledge that this was learned on
}

// Share is how often a cause is met.
type Share struct {
	ID, Name string // the name in few words
	Found    int
	Expected float64 // in as many cases, from the knowledge and the kind of roof
	Old, New float64 // calls in 100
}

// Constant is one of the three numbers that all cases share.
type Constant struct {
	Old  float64
	Best float64 // of the grid
	New  float64 // drawn towards Old
}

// Moved tells whether anything would change.
func (l *Lesson) Moved() bool {
	for _, c := range []Constant{l.Rho, l.Tau, l.Other} {
		if c.New != c.Old {
			return true
		}
	}
	return slices.ContainsFunc(l.Causes, func(s Share) bool { return s.New != s.Old })
}

// Learn works out a lesson from closed cases. pack must be the knowledge without what
// was learned before, or that would be counted twice. The same cases and the same pack
// give the same lesson. It fails only when the knowledge is at odds.
func Learn(closed []Closed, pack *rules.Pack) (*Lesson, error) {
	l := &Lesson{Left: map[string]int{}, Knowledge: pack.Hash}
	f := &fit{pack: pack}
	for _, k := range closed {
		if ok, why := k.Counts(pack); !ok {
			l.Left[why]++
			continue
		}
		f.cases = append(f.cases, &one{Closed: k, weigher: diagnose.NewWeigher(k.Case)})
	}
	l.Cases = len(f.cases)
	other, _ := pack.Cause(rules.OtherCause)
	was := numbers{rho: told(pack), tau: pack.Words.Temper(), other: other.PerCalls}
	l.Rho, l.Tau, l.Other = still(was.rho), still(was.tau), still(was.other)
	if err := f.count(); err != nil {
		return nil, err
	}
	l.Causes = f.shares()
	if l.Cases == 0 {
		return l, nil
	}
	var err error
	if l.Before, err = f.score(was, false); err != nil {
		return nil, err
	}
	n := float64(l.Cases)
	now := was

	grid := make([]float64, len(otherGrid))
	for i, x := range otherGrid {
		grid[i] = x * was.other
	}
	if l.Other.Best, _, err = f.best(now, grid, func(x *numbers, v float64) { x.other = v }, was.other); err != nil {
		return nil, err
	}
	l.Other.New = moved(was.other, Towards(was.other, l.Other.Best, n, Worth, math.Log, math.Exp))
	now.other = l.Other.New

	var gain float64
	if l.Rho.Best, _, err = f.best(now, rhoGrid, func(x *numbers, v float64) { x.rho = v }, was.rho); err != nil {
		return nil, err
	}
	l.Rho.New = moved(was.rho, Towards(was.rho, l.Rho.Best, n, Worth, logit, logistic))
	// Tempering does the work that reliability does. It is looked at with hearsay at its
	// best, so that it cannot make up for what drawing back has left undone.
	full := now
	full.rho = l.Rho.Best
	if l.Tau.Best, gain, err = f.best(full, tauGrid, func(x *numbers, v float64) { x.tau = v }, was.tau); err != nil {
		return nil, err
	}
	if gain*n > paysFor {
		l.Tau.New = moved(was.tau, Towards(was.tau, l.Tau.Best, n, Worth, math.Log, math.Exp))
	}
	now.rho, now.tau = l.Rho.New, l.Tau.New
	l.After, err = f.score(now, true)
	return l, err
}

func still(v float64) Constant { return Constant{v, v, v} }

// moved is a new number with three figures, or the old one when it hardly moved.
func moved(old, now float64) float64 {
	if math.Abs(now-old) < least*old {
		return old
	}
	return rounded(now)
}

func told(pack *rules.Pack) float64 {
	for _, k := range pack.Words.Known {
		if k.ID == "told" {
			return k.Reliability
		}
	}
	return 0
}

// numbers are the three constants.
type numbers struct{ rho, tau, other float64 }

// one is a case that counts.
type one struct {
	Closed
	weigher  *diagnose.Weigher
	expected map[string]float64 // of the listed causes found in it, where they were to be expected
}

// fit holds what the search for numbers goes back to again and again.
type fit struct {
	pack     *rules.Pack
	cases    []*one
	found    map[string]float64
	expected map[string]float64
}

// each runs something over all cases at once and joins what went wrong.
func (f *fit) each(do func(i int, k *one) error) error {
	errs := make([]error, len(f.cases))
	next := make(chan int)
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), max(1, len(f.cases))) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				if err := do(i, f.cases[i]); err != nil {
					errs[i] = fmt.Errorf("%s: %w", f.cases[i].Path, err)
				}
			}
		}()
	}
	for i := range f.cases {
		next <- i
	}
	close(next)
	wg.Wait()
	return errors.Join(errs...)
}

// count adds up what was found and what was to be expected. A roof with two causes
// counts for both. The cause for what is not listed is left out: its share is one of the
// three constants.
func (f *fit) count() error {
	err := f.each(func(_ int, k *one) error {
		prior, err := k.weigher.Prior(f.pack)
		if err != nil {
			return err
		}
		listed := 0.0
		for _, id := range k.Outcome.Found {
			if id != rules.OtherCause {
				listed++
			}
		}
		sum := 0.0
		for i := range f.pack.Causes { // in the order of the pack: the same sum every time
			if id := f.pack.Causes[i].ID; id != rules.OtherCause {
				sum += prior[id]
			}
		}
		k.expected = map[string]float64{}
		for id, p := range prior {
			if id != rules.OtherCause {
				k.expected[id] = listed * p / sum
			}
		}
		return nil
	})
	f.found, f.expected = map[string]float64{}, map[string]float64{}
	for _, k := range f.cases {
		for _, id := range k.Outcome.Found {
			f.found[id]++
		}
		for id, e := range k.expected {
			f.expected[id] += e
		}
	}
	return err
}

// perCalls are the calls in 100 of each cause, in the order of the pack, with the
// counts of all cases but one, which may be nil.
func (f *fit) perCalls(but *one) []float64 {
	total := 0.0
	for i := range f.pack.Causes {
		total += f.pack.Causes[i].PerCalls
	}
	out := make([]float64, len(f.pack.Causes))
	was, now := 0.0, 0.0
	for i := range f.pack.Causes {
		c := &f.pack.Causes[i]
		out[i] = c.PerCalls
		if c.ID == rules.OtherCause {
			continue
		}
		n, e := f.found[c.ID], f.expected[c.ID]
		if but != nil {
			e = math.Max(0, e-but.expected[c.ID])
			if slices.Contains(but.Outcome.Found, c.ID) {
				n--
			}
		}
		out[i] *= Rate(Worth*c.PerCalls/total, n, e)
		was += c.PerCalls
		now += out[i]
	}
	// The listed causes keep their sum: how often the cause is not listed is told apart.
	for i := range out {
		if f.pack.Causes[i].ID != rules.OtherCause {
			out[i] *= was / now
		}
	}
	return out
}

// shares are the counts as a lesson tells them.
func (f *fit) shares() []Share {
	now := f.perCalls(nil)
	var out []Share
	for i := range f.pack.Causes {
		c := &f.pack.Causes[i]
		if c.ID == rules.OtherCause {
			continue
		}
		out = append(out, Share{ID: c.ID, Name: c.Short, Found: int(f.found[c.ID]), Expected: f.expected[c.ID], Old: c.PerCalls, New: moved(c.PerCalls, now[i])})
	}
	return out
}

// with is the pack with other numbers.
func (f *fit) with(x numbers, perCalls []float64) *rules.Pack {
	p := *f.pack
	p.Causes = slices.Clone(p.Causes)
	for i := range p.Causes {
		c := &p.Causes[i]
		if perCalls != nil {
			c.PerCalls = perCalls[i]
		}
		if c.ID == rules.OtherCause {
			c.PerCalls = x.other
		}
	}
	p.Words.Known = slices.Clone(p.Words.Known)
	for i := range p.Words.Known {
		if k := &p.Words.Known[i]; k.ID == "told" {
			k.Reliability = x.rho
		}
	}
	p.Words.Tempering = x.tau
	return &p
}

// score is the mean log score of the causes found, with the counts of the other cases
// or without any.
func (f *fit) score(x numbers, counted bool) (float64, error) {
	scores := make([]float64, len(f.cases))
	err := f.each(func(i int, k *one) error {
		var perCalls []float64
		if counted {
			perCalls = f.perCalls(k)
		}
		p, err := k.weigher.Weigh(f.with(x, perCalls))
		scores[i] = Score(p, k.Outcome.Found)
		return err
	})
	sum := 0.0
	for _, s := range scores {
		sum += s
	}
	return sum / float64(len(scores)), err
}

// Score is the mean over the causes found of the natural logarithm of their share of all
// suspicion. Shares sum to 1, so suspecting everything does not pay (Good 1952, the
// logarithmic score; from memory).
func Score(p map[string]float64, found []string) float64 {
	ids := make([]string, 0, len(p))
	for id := range p {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	total, sum := 0.0, 0.0
	for _, id := range ids {
		total += p[id]
	}
	for _, id := range found {
		sum += math.Log(math.Max(p[id]/total, 1e-6))
	}
	return sum / float64(len(found))
}

// best is the value on a grid that scores best, and how much better it is than old. From
// old it walks either way for as long as the score rises: log scores have one summit.
// The old value stays unless another is better.
func (f *fit) best(x numbers, grid []float64, set func(*numbers, float64), old float64) (best, gain float64, err error) {
	at := func(v float64) (float64, error) {
		y := x
		set(&y, v)
		return f.score(y, true)
	}
	start, err := at(old)
	if err != nil {
		return old, 0, err
	}
	best = old
	down := slices.DeleteFunc(slices.Clone(grid), func(v float64) bool { return v >= old })
	slices.Reverse(down)
	up := slices.DeleteFunc(slices.Clone(grid), func(v float64) bool { return v <= old })
	for _, way := range [][]float64{down, up} {
		for _, v := range way {
			s, err := at(v)
			if err != nil {
				return old, 0, err
			}
			if s-start <= gain+1e-9 {
				break
			}
			best, gain = v, s-start
		}
	}
	return best, gain, nil
}
