package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"time"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/diagnose/scope"
	"underlap/rules"
	"underlap/testdata/trial/world"
)

// thisYear is when the invented calls come in.
const thisYear = 2026

func clock() time.Time { return time.Date(thisYear, 6, 1, 9, 0, 0, 0, time.UTC) }

// interview is what the world may know of the pack: questions and the ids of their
// answers.
func interview(pack *rules.Pack) []world.Question {
	out := make([]world.Question, len(pack.Questions))
	for i, q := range pack.Questions {
		out[i] = world.Question{ID: q.ID, Kind: q.Kind}
		for _, a := range q.Answers {
			out[i].Answers = append(out[i].Answers, a.ID)
		}
	}
	return out
}

// verdict is what was made of a call, and what was true.
type verdict struct {
	p      []float64 // by cause of the pack
	is     []bool
	ranked []int // causes, likeliest first
	loss   float64
	regret float64 // loss above the best in hindsight
}

func (v *verdict) right() bool { return v.is[v.ranked[0]] }

func (v *verdict) rightOfThree() bool {
	return v.is[v.ranked[0]] || v.is[v.ranked[1]] || v.is[v.ranked[2]]
}

// recall is the share of the true causes among the first three.
func (v *verdict) recall() float64 {
	n, hit := 0.0, 0.0
	for _, b := range v.is {
		if b {
			n++
		}
	}
	for _, c := range v.ranked[:3] {
		if v.is[c] {
			hit++
		}
	}
	return hit / min(n, 3)
}

// trial is the knowledge under trial with what is needed to hold calls against it.
type trial struct {
	pack  *rules.Pack
	cause map[string]int
	asked []world.Question
}

func newTrial(pack *rules.Pack) *trial {
	t := &trial{pack: pack, cause: map[string]int{}, asked: interview(pack)}
	for i := range pack.Causes {
		t.cause[pack.Causes[i].ID] = i
	}
	return t
}

func (t *trial) truth(c *world.Call) []bool {
	is := make([]bool, len(t.pack.Causes))
	for _, x := range c.Truth {
		is[t.cause[x.ID]] = true
	}
	return is
}

// open starts a consultation on nothing.
func (t *trial) open(n uint64) (*diagnose.Call, error) {
	head := casefile.Head{Format: casefile.Format, ID: fmt.Sprintf("trial-%d", n), Title: "Trial", Created: clock()}
	return diagnose.NewCall(diagnose.NewMemoryLog(&casefile.Case{Head: head}), t.pack, "trial", clock)
}

// put gives the caller's answer to one question.
func put(call *diagnose.Call, q string, a world.Answer) error {
	question, ok := call.Pack().Question(q)
	if !ok {
		return fmt.Errorf("the pack has no question %q", q)
	}
	in, err := diagnose.ParseInput(question, a.Text, thisYear)
	if err != nil {
		return fmt.Errorf("%s=%s: %w", q, a.Text, err)
	}
	in.Known = a.Known
	if err := call.Answer(q, in); err != nil {
		return fmt.Errorf("%s=%s: %w", q, a.Text, err)
	}
	return nil
}

// whole answers every question that the interview puts, in its order.
func (t *trial) whole(c *world.Call) (*diagnose.Call, error) {
	call, err := t.open(c.N)
	if err != nil {
		return nil, err
	}
	for range 2 { // an answer may open an earlier question
		for _, q := range t.asked {
			if s, _ := call.Step(q.ID); s.State != "open" {
				continue
			}
			if err := put(call, q.ID, c.Says[q.ID]); err != nil {
				return nil, err
			}
		}
	}
	return call, nil
}

// judge holds a reading against the truth.
func (t *trial) judge(r *diagnose.Reading, c *world.Call) verdict {
	v := verdict{p: make([]float64, len(t.pack.Causes)), is: t.truth(c)}
	for _, x := range r.Causes {
		i := t.cause[x.ID]
		v.p[i] = x.P
		v.ranked = append(v.ranked, i)
	}
	v.loss, v.regret = t.regret(&r.Scope, r.Scope.Best, v.is)
	return v
}

// regret is what the chosen repair costs with what it leaves of the true causes, and
// how much that is above the repair that was best in hindsight. Prices, chances of cure
// and damage are the pack's own.
func (t *trial) regret(s *scope.Result, chosen string, is []bool) (loss, regret float64) {
	best, at := math.Inf(1), 0.0
	for _, o := range s.Options {
		l := t.lossOf(o, is)
		if o.ID == chosen {
			at = l
		}
		if o.Barred == "" {
			best = math.Min(best, l)
		}
	}
	return at, at - best
}

func (t *trial) lossOf(o scope.Option, is []bool) float64 {
	l := (o.Low + o.High) / 2
	for k := range t.pack.Repairs {
		if t.pack.Repairs[k].ID != o.ID {
			continue
		}
		for i, b := range is {
			if b {
				l += t.pack.Causes[i].Damage * (1 - scope.FixOf(&t.pack.Repairs[k], &t.pack.Causes[i]))
			}
		}
	}
	return l
}

// guess is a verdict that looks at nothing: always the same probabilities. The repair
// is the best for the first of them alone.
func (t *trial) guess(p []float64, s *scope.Result, c *world.Call) verdict {
	v := verdict{p: p, is: t.truth(c)}
	for i := range p {
		v.ranked = append(v.ranked, i)
	}
	slices.SortStableFunc(v.ranked, func(a, b int) int {
		switch {
		case p[a] > p[b]:
			return -1
		case p[a] < p[b]:
			return 1
		}
		return 0
	})
	only := make([]bool, len(p))
	only[v.ranked[0]] = true
	chosen, best := "", 0.0
	for _, o := range s.Options {
		if l := t.lossOf(o, only); o.Barred == "" && (chosen == "" || l < best) {
			chosen, best = o.ID, l
		}
	}
	v.loss, v.regret = t.regret(s, chosen, v.is)
	return v
}

// sure puts 0.8 on one cause and spreads the rest evenly.
func (t *trial) sure(id string) []float64 {
	p := make([]float64, len(t.pack.Causes))
	for i := range p {
		p[i] = 0.2 / float64(len(p)-1)
	}
	p[t.cause[id]] = 0.8
	return p
}

// inParallel runs f for 0 to n-1 on all processors and returns the first error by
// number. What f writes, it writes under its own number.
func inParallel(n int, f func(i int) error) error {
	errs := make([]error, n)
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range next {
				errs[i] = f(i)
			}
		}()
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// calls makes the invented calls 0 to n-1 of a seed.
func (t *trial) calls(seed uint64, n int) ([]*world.Call, error) {
	out := make([]*world.Call, n)
	err := inParallel(n, func(i int) (err error) {
		out[i], err = world.Make(seed, uint64(i), t.asked)
		return err
	})
	return out, err
}

func seeded(seed, stream uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, stream)) }
