package main

import (
	"slices"

	"underlap/diagnose"
	"underlap/testdata/trial/world"
)

// marks are the numbers of questions after which the ways of asking are compared.
var marks = []int{5, 10, 15, 20, 25}

// mostAsked is where an interview that never stops is ended.
const mostAsked = 40

// asking is one call asked in one way.
type asking struct {
	right map[int]bool // first-ranked cause true, after so many questions
	stop  int          // questions when the engine said stop
	spent float64      // pounds that those questions cost, by the pack
	end   verdict      // at the stop
}

// byEngine follows the engine's own choice of the next question. It notes where it
// would stop, and goes on to the last mark so that all ways are compared at equal
// numbers of questions.
func (t *trial) byEngine(c *world.Call) (asking, error) {
	a := asking{right: map[int]bool{}}
	call, err := t.open(c.N)
	if err != nil {
		return a, err
	}
	stopped := false
	for n := 0; ; n++ {
		r := call.Reading()
		if slices.Contains(marks, n) {
			a.right[n] = t.rightNow(r, c)
		}
		over := r.Next.Question == "" || n >= mostAsked
		if !stopped && (r.Next.Stop || over) {
			stopped, a.stop, a.end = true, n, t.judge(r, c)
		}
		if stopped && (over || n >= marks[len(marks)-1]) {
			for _, m := range marks {
				if m > n {
					a.right[m] = t.rightNow(r, c)
				}
			}
			return a, nil
		}
		q, _ := t.pack.Question(r.Next.Question)
		if !stopped {
			a.spent += q.Cost
		}
		if err := put(call, q.ID, c.Says[q.ID]); err != nil {
			return a, err
		}
	}
}

func (t *trial) rightNow(r *diagnose.Reading, c *world.Call) bool { return c.True(r.Causes[0].ID) }

// inOrder asks in a given order, open questions only, and reads at the marks and at
// the number of questions where the engine stopped.
func (t *trial) inOrder(c *world.Call, order []string, stop int) (asking, error) {
	a := asking{right: map[int]bool{}, stop: stop}
	call, err := t.open(c.N)
	if err != nil {
		return a, err
	}
	last := max(stop, marks[len(marks)-1])
	for n := 0; ; n++ {
		if n == stop {
			a.end = t.judge(call.Reading(), c)
		}
		if slices.Contains(marks, n) {
			a.right[n] = t.rightNow(call.Reading(), c)
		}
		next := ""
		for _, q := range order {
			if s, _ := call.Step(q); s.State == "open" {
				next = q
				break
			}
		}
		if n >= last || next == "" {
			for _, m := range marks {
				if m > n {
					a.right[m] = t.rightNow(call.Reading(), c)
				}
			}
			if n < stop {
				a.end = t.judge(call.Reading(), c)
			}
			return a, nil
		}
		if n < stop {
			q, _ := t.pack.Question(next)
			a.spent += q.Cost
		}
		if err := put(call, next, c.Says[next]); err != nil {
			return a, err
		}
	}
}

// packOrder is the guided order of the interview.
func (t *trial) packOrder() []string {
	out := make([]string, len(t.asked))
	for i, q := range t.asked {
		out[i] = q.ID
	}
	return out
}

// randomOrder shuffles it, the same for the same seed and call.
func (t *trial) randomOrder(seed, n uint64) []string {
	out := t.packOrder()
	r := seeded(seed, 1<<40+n)
	r.Shuffle(len(out), func(i, k int) { out[i], out[k] = out[k], out[i] })
	return out
}
