package main

import (
	"fmt"

	"underlap/diagnose"
	"underlap/rules"

	"underlap/testdata/trial/world"
)

// result is the whole trial.
type result struct {
	plan  plan
	t     *trial
	calls []*world.Call

	full, prior, flashing, damp, learnt []verdict // by call

	engine, order, random []asking
	shaken                []float64 // top-1 of each perturbed pack
	unshaken              float64   // of the same calls with the pack as it is
}

func run(pack *rules.Pack, p plan) (*result, error) {
	t := newTrial(pack)
	res := &result{plan: p, t: t}
	var err error
	if res.calls, err = t.calls(p.seed, p.calls); err != nil {
		return nil, err
	}
	n := len(res.calls)
	res.full, res.prior = make([]verdict, n), make([]verdict, n)
	res.flashing, res.damp = make([]verdict, n), make([]verdict, n)
	done := make([]*diagnose.Call, n)
	var l *learner
	if p.learn > 0 {
		if l, err = t.learn(p.seed+1_000_000, p.learn); err != nil {
			return nil, err
		}
		res.learnt = make([]verdict, n)
	}
	empty, err := t.open(0)
	if err != nil {
		return nil, err
	}
	nothing := empty.Reading()
	err = inParallel(n, func(i int) error {
		c := res.calls[i]
		call, err := t.whole(c)
		if err != nil {
			return fmt.Errorf("call %d of seed %d: %w", i, p.seed, err)
		}
		r := call.Reading()
		res.full[i] = t.judge(r, c)
		res.prior[i] = t.judge(nothing, c)
		res.flashing[i] = t.guess(t.sure("wall-flashing"), &r.Scope, c)
		res.damp[i] = t.guess(t.sure("cold-roof-condensation"), &r.Scope, c)
		if l != nil {
			res.learnt[i] = t.guess(l.probabilities(c), &r.Scope, c)
		}
		if i < p.shaken && p.packs > 0 {
			done[i] = call
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if err := res.perturb(done); err != nil {
		return nil, err
	}
	return res, res.ask()
}

// perturb consults perturbed packs on the same answers.
func (res *result) perturb(done []*diagnose.Call) error {
	p, t := res.plan, res.t
	n := min(p.shaken, len(res.calls))
	if p.packs == 0 || n == 0 {
		return nil
	}
	for i := range n {
		if res.full[i].right() {
			res.unshaken += 1 / float64(n)
		}
	}
	right := make([][]bool, p.packs)
	packs := make([]*rules.Pack, p.packs)
	for k := range packs {
		packs[k] = shaken(t.pack, seeded(p.seed, 1<<50+uint64(k)))
		right[k] = make([]bool, n)
	}
	err := inParallel(p.packs*n, func(j int) error {
		k, i := j/n, j%n
		r, err := diagnose.Consult(done[i].Case(), packs[k])
		if err != nil {
			return fmt.Errorf("perturbed pack %d, call %d: %w", k, i, err)
		}
		right[k][i] = res.calls[i].True(r.Causes[0].ID)
		return nil
	})
	if err != nil {
		return err
	}
	for k := range right {
		res.shaken = append(res.shaken, share(right[k]))
	}
	return nil
}

// ask plays the calls question by question in three orders.
func (res *result) ask() error {
	n := min(res.plan.asking, len(res.calls))
	res.engine, res.order, res.random = make([]asking, n), make([]asking, n), make([]asking, n)
	return inParallel(n, func(i int) (err error) {
		c, t := res.calls[i], res.t
		if res.engine[i], err = t.byEngine(c); err != nil {
			return err
		}
		stop := res.engine[i].stop
		if res.order[i], err = t.inOrder(c, t.packOrder(), stop); err != nil {
			return err
		}
		res.random[i], err = t.inOrder(c, t.randomOrder(res.plan.seed, c.N), stop)
		return err
	})
}

func share(b []bool) float64 {
	n := 0
	for _, x := range b {
		if x {
			n++
		}
	}
	return float64(n) / float64(len(b))
}
