package main

import (
	"fmt"
	"io"
	"math"
	"sort"

	"underlap/testdata/trial/score"
	"underlap/testdata/trial/world"
)

// bins is the number of rows of a reliability table.
const bins = 10

// The gates.
const (
	mostECE      = 0.05
	leastSure    = 0.85 // share true among what was said at 0.9 or more
	mostShaken   = 0.10 // fall of top-1 with every number moved up to a factor of two
	otherFlagged = 0.25 // said of something else, from which a call counts as flagged
)

// figures are the headline figures of one way of diagnosing.
type figures struct {
	top1, top3, recall, brier, log, regret, eceAll, eceFirst, sure score.Interval
	sureCount                                                      int
}

func (res *result) figures(v []verdict) figures {
	n := len(v)
	boot := func(f func(cases []int) float64) score.Interval {
		return score.Bootstrap(n, res.plan.draws, res.plan.seed, f)
	}
	mean := func(f func(x *verdict) float64) score.Interval {
		each := make([]float64, n)
		for i := range v {
			each[i] = f(&v[i])
		}
		return boot(func(cases []int) float64 {
			t := 0.0
			for _, i := range cases {
				t += each[i]
			}
			return t / float64(len(cases))
		})
	}
	var f figures
	f.top1 = mean(func(x *verdict) float64 { return num(x.right()) })
	f.top3 = mean(func(x *verdict) float64 { return num(x.rightOfThree()) })
	f.recall = mean((*verdict).recall)
	f.brier = mean(func(x *verdict) float64 { return score.Brier(x.p, x.is) })
	f.log = mean(func(x *verdict) float64 { return score.Log(x.p, x.is) })
	f.regret = mean(func(x *verdict) float64 { return x.regret })
	f.eceAll = boot(func(cases []int) float64 { p, is := all(v, cases); return score.ECE(score.Reliability(p, is, bins)) })
	f.eceFirst = boot(func(cases []int) float64 { p, is := first(v, cases); return score.ECE(score.Reliability(p, is, bins)) })
	count, was := make([]int, n), make([]int, n)
	for i := range v {
		for c, p := range v[i].p {
			if p >= 0.9 {
				count[i]++
				was[i] += int(num(v[i].is[c]))
			}
		}
		f.sureCount += count[i]
	}
	f.sure = boot(func(cases []int) float64 {
		a, b := 0, 0
		for _, i := range cases {
			a, b = a+was[i], b+count[i]
		}
		return float64(a) / float64(b)
	})
	return f
}

// all are the probabilities of every cause in these calls, first those of the
// first-ranked only.
func all(v []verdict, cases []int) (p []float64, is []bool) {
	for _, i := range cases {
		p, is = append(p, v[i].p...), append(is, v[i].is...)
	}
	return p, is
}

func first(v []verdict, cases []int) (p []float64, is []bool) {
	for _, i := range cases {
		c := v[i].ranked[0]
		p, is = append(p, v[i].p[c]), append(is, v[i].is[c])
	}
	return p, is
}

func num(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

func upTo(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

// alarm is how what was said of something else goes with its being so.
type alarm struct {
	unlisted, listed int
	flagged, false1  float64
	auc, gap         score.Interval // gap: mean said where it is so, less where not
}

func (res *result) alarm() alarm {
	other := res.t.cause[world.OtherID]
	n := len(res.full)
	p, is := make([]float64, n), make([]bool, n)
	var a alarm
	for i, c := range res.calls {
		p[i], is[i] = res.full[i].p[other], c.Unlisted()
		up := num(p[i] > otherFlagged)
		if is[i] {
			a.unlisted++
			a.flagged += up
		} else {
			a.listed++
			a.false1 += up
		}
	}
	a.flagged, a.false1 = a.flagged/float64(a.unlisted), a.false1/float64(a.listed)
	sub := func(cases []int) (q []float64, b []bool) {
		for _, i := range cases {
			q, b = append(q, p[i]), append(b, is[i])
		}
		return q, b
	}
	a.auc = score.Bootstrap(n, res.plan.draws, res.plan.seed, func(cases []int) float64 { return score.AUC(sub(cases)) })
	a.gap = score.Bootstrap(n, res.plan.draws, res.plan.seed, func(cases []int) float64 {
		var yes, no []float64
		for _, i := range cases {
			if is[i] {
				yes = append(yes, p[i])
			} else {
				no = append(no, p[i])
			}
		}
		return score.Mean(yes) - score.Mean(no)
	})
	return a
}

// print writes the report and returns the gates that were missed.
func (res *result) print(w io.Writer) (missed []string) {
	say := func(format string, a ...any) { fmt.Fprintf(w, format+"\n", a...) }
	pc := func(i score.Interval) string {
		return fmt.Sprintf("%.1f %% (%.1f–%.1f)", i.At*100, i.Low*100, i.High*100)
	}
	f, prior, flash, damp := res.figures(res.full), res.figures(res.prior), res.figures(res.flashing), res.figures(res.damp)
	a := res.alarm()
	say("%d invented calls, seed %d, knowledge %s. 95 %% intervals by drawing the calls again %d times.", len(res.calls), res.plan.seed, res.t.pack.Hash, res.plan.draws)
	say("")
	columns, rule := []figures{f, prior, flash, damp}, "| --- | --- | --- | --- | --- |"
	head := "| | engine, all answers | nothing asked | always the wall flashing | always condensation |"
	if len(res.learnt) > 0 {
		columns = append(columns, res.figures(res.learnt))
		head, rule = head+fmt.Sprintf(" counting %d other calls |", res.plan.learn), rule+" --- |"
	}
	say("%s", head)
	say("%s", rule)
	row := func(name string, show func(f figures) string) {
		line := "| " + name + " |"
		for _, c := range columns {
			line += " " + show(c) + " |"
		}
		say("%s", line)
	}
	row("first suspect is a true cause", func(f figures) string { return pc(f.top1) })
	row("a true cause among the first three", func(f figures) string { return pc(f.top3) })
	row("true causes found in the first three", func(f figures) string { return pc(f.recall) })
	row("Brier score, sum over causes", func(f figures) string {
		return fmt.Sprintf("%.3f (%.3f–%.3f)", f.brier.At, f.brier.Low, f.brier.High)
	})
	row("log score, nats a call", func(f figures) string { return fmt.Sprintf("%.2f (%.2f–%.2f)", f.log.At, f.log.Low, f.log.High) })
	row("calibration error, all causes", func(f figures) string { return fmt.Sprintf("%.4f", f.eceAll.At) })
	row("calibration error, first suspect", func(f figures) string {
		return fmt.Sprintf("%.3f (%.3f–%.3f)", f.eceFirst.At, f.eceFirst.Low, f.eceFirst.High)
	})
	row("true where 90 % or more was said", func(f figures) string {
		if f.sureCount == 0 {
			return "never said"
		}
		return fmt.Sprintf("%s of %d", pc(f.sure), f.sureCount)
	})
	row("regret of the repair", func(f figures) string {
		return fmt.Sprintf("£%.0f (%.0f–%.0f)", f.regret.At, f.regret.Low, f.regret.High)
	})
	say("")
	if len(res.learnt) > 0 {
		say("The last column is a yardstick that knows nothing of roofs and has counted the answers of %d other calls of this world with their truth (naive Bayes): what the answers hold for one who has seen the world itself.", res.plan.learn)
		say("")
	}
	say("Regret is price and damage left by the true causes, above the best repair in hindsight; prices, damage and chances of cure are the program's own.")
	say("")
	say("Causes that are not on the list (%d calls): %.0f %% get more than %.0f %% for \"something else\", %.1f %% of the other calls do. AUC %.3f (%.3f–%.3f); mean said higher by %.3f (%.3f–%.3f).",
		a.unlisted, a.flagged*100, otherFlagged*100, a.false1*100, a.auc.At, a.auc.Low, a.auc.High, a.gap.At, a.gap.Low, a.gap.High)
	fall := math.NaN()
	if len(res.shaken) > 0 {
		worst := 1.0
		for _, x := range res.shaken {
			worst = math.Min(worst, x)
		}
		fall = res.unshaken - score.Mean(res.shaken)
		say("")
		say("Every number of the knowledge moved by up to a factor of two: first suspect true %.1f %% as it is, %.1f %% on average of %d packs (worst %.1f %%), %d calls each.",
			res.unshaken*100, score.Mean(res.shaken)*100, len(res.shaken), worst*100, min(res.plan.shaken, len(res.calls)))
	}
	res.printAsking(say)
	res.printReliability(say)
	res.printConfusion(say)

	miss := func(bad bool, format string, a ...any) {
		if bad {
			missed = append(missed, fmt.Sprintf(format, a...))
		}
	}
	miss(!(f.eceAll.At <= mostECE), "calibration error over all causes %.3f, at most %.2f asked", f.eceAll.At, mostECE)
	miss(!(f.sure.At >= leastSure), "true where 90 %% or more was said: %.1f %% of %d, at least %.0f %% asked", f.sure.At*100, f.sureCount, leastSure*100)
	miss(len(res.shaken) > 0 && !(fall <= mostShaken), "perturbed knowledge loses %.1f points, at most %.0f asked", fall*100, mostShaken*100)
	miss(!(a.gap.Low > 0), "the alarm for what is not listed is no better than chance: mean %.3f higher (%.3f–%.3f)", a.gap.At, a.gap.Low, a.gap.High)
	say("")
	if len(missed) == 0 {
		say("All gates are met.")
	}
	for _, m := range missed {
		say("MISSED GATE: %s", m)
	}
	return missed
}

func (res *result) printAsking(say func(string, ...any)) {
	n := len(res.engine)
	if n == 0 {
		return
	}
	say("")
	say("Asked one by one, %d calls: first suspect true after so many questions, and at the engine's stop.", n)
	say("")
	say("| | 5 | 10 | 15 | 20 | 25 | at the stop | cost of asking | regret |")
	say("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
	row := func(name string, list []asking) {
		line := "| " + name + " |"
		for _, m := range marks {
			k := 0.0
			for i := range list {
				k += num(list[i].right[m])
			}
			line += fmt.Sprintf(" %.1f %% |", k/float64(n)*100)
		}
		right, spent, regret := 0.0, 0.0, 0.0
		for i := range list {
			right, spent, regret = right+num(list[i].end.right()), spent+list[i].spent, regret+list[i].end.regret
		}
		say("%s %.1f %% | £%.0f | £%.0f |", line, right/float64(n)*100, spent/float64(n), regret/float64(n))
	}
	row("the engine's choice", res.engine)
	row("the order of the interview", res.order)
	row("a random order", res.random)
	stops := make([]int, n)
	sum := 0
	for i := range stops {
		stops[i] = res.engine[i].stop
		sum += stops[i]
	}
	sort.Ints(stops)
	capped := 0
	for _, k := range stops {
		if k >= mostAsked {
			capped++
		}
	}
	say("")
	say("The engine stops after %.1f questions on average (half between %d and %d); %.0f %% of the calls were ended at %d.", float64(sum)/float64(n), stops[n/4], stops[n*3/4], float64(capped)/float64(n)*100, mostAsked)
}

func (res *result) printReliability(say func(string, ...any)) {
	p, is := all(res.full, upTo(len(res.full)))
	q, isq := first(res.full, upTo(len(res.full)))
	a, b := score.Reliability(p, is, bins), score.Reliability(q, isq, bins)
	say("")
	say("Reliability: what was said and what was so.")
	say("")
	say("| said | all causes: count | mean said | true | first suspect: count | mean said | true |")
	say("| --- | --- | --- | --- | --- | --- | --- |")
	for i := range a {
		say("| %.0f–%.0f %% | %d | %.1f %% | %.1f %% | %d | %.1f %% | %.1f %% |", a[i].From*100, a[i].To*100, a[i].Count, a[i].Said*100, a[i].Was*100, b[i].Count, b[i].Said*100, b[i].Was*100)
	}
}

// printConfusion names the true causes that are most often taken for another, and the
// mean probability that each true cause is given.
func (res *result) printConfusion(say func(string, ...any)) {
	type pair struct{ is, said string }
	taken := map[pair]int{}
	given, count, hit := map[string]float64{}, map[string]int{}, map[string]int{}
	for i, c := range res.calls {
		v := &res.full[i]
		top := res.t.pack.Causes[v.ranked[0]].ID
		for _, x := range c.Truth {
			name := x.ID
			given[name] += v.p[res.t.cause[x.ID]]
			count[name]++
			hit[name] += int(num(c.True(top)))
			if !c.True(top) {
				taken[pair{name, top}]++
			}
		}
	}
	var pairs []pair
	for p := range taken {
		pairs = append(pairs, p)
	}
	sort.Slice(pairs, func(a, b int) bool {
		x, y := pairs[a], pairs[b]
		if taken[x] != taken[y] {
			return taken[x] > taken[y]
		}
		return x.is+"/"+x.said < y.is+"/"+y.said
	})
	most := min(15, len(pairs))
	if res.plan.detail {
		most = len(pairs)
	}
	say("")
	say("Taken for another, most often first:")
	say("")
	say("| truly | first suspect | calls |")
	say("| --- | --- | --- |")
	for _, p := range pairs[:most] {
		say("| %s | %s | %d |", p.is, p.said, taken[p])
	}
	var ids []string
	for id := range count {
		ids = append(ids, id)
	}
	sort.Slice(ids, func(a, b int) bool {
		x, y := given[ids[a]]/float64(count[ids[a]]), given[ids[b]]/float64(count[ids[b]])
		if x != y {
			return x < y
		}
		return ids[a] < ids[b]
	})
	say("")
	say("What each true cause was given, least first:")
	say("")
	say("| truly | calls | mean given | first suspect true |")
	say("| --- | --- | --- | --- |")
	for _, id := range ids {
		say("| %s | %d | %.1f %% | %.0f %% |", id, count[id], given[id]/float64(count[id])*100, float64(hit[id])/float64(count[id])*100)
	}
}
