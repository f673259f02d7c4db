package diagnose

import (
	"fmt"
	"math"
	"sort"

	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/diagnose/infer"
	"underlap/rules"
)

// The question policy. All of these are judgements: a value in pounds alone would stop too
// early, because the news of one question is often worth nothing without the next.
const (
	settled     = 0.90 // the chosen repair is what we would choose if we knew, with this chance
	worthAsking = 5.0  // pounds of net value over which a question is chosen for its value alone
	patience    = 1.5  // pounds that the owner's patience costs, each question
	framing     = 0.10 // bits that a question is worth for what it tells of which suspects apply at all
	phoneCost   = 8.0  // up to this it is still a phone question or a photo in the same call
)

// questions ranks what is still open and chooses the most telling.
func (w *work) questions() error {
	values, err := w.engine.Values(w.post, w.scopes, w.damage)
	if err != nil {
		return fmt.Errorf("valuing the questions: %w", err)
	}
	w.values = make(map[int]infer.QuestionValue, len(values))
	for _, v := range values {
		w.values[v.Finding] = v
	}
	for n, c := range w.post.Ranked() {
		if n < shown {
			w.r.Causes[n].Look = w.look(c)
		}
	}
	worth := map[string]*Worth{}
	wait := w.perDay()
	same := 1.0 // the least chance that one more answer on the phone leaves the repair as it is
	get := func(q *rules.Question) *Worth {
		x, ok := worth[q.ID]
		if !ok {
			x = &Worth{Question: q.ID, Cost: q.Cost + q.Days*wait}
			worth[q.ID] = x
		}
		return x
	}
	open := func(q *rules.Question) bool {
		_, asked := w.state.Answers[q.ID]
		return !asked && applies(q, w.facts, w.state)
	}
	opens := map[string]float64{} // by frame question: the news of the questions it may open
	for _, v := range values {
		q := w.model.findings[v.Finding].question
		if q == nil {
			continue
		}
		if !open(q) {
			for _, frame := range w.waitsFor(q) {
				opens[frame] = math.Max(opens[frame], v.EntropyGainBits)
			}
			continue
		}
		x := get(q)
		x.Bits += v.EntropyGainBits
		x.Pounds = math.Max(x.Pounds, v.EVSI)
		if q.Days == 0 {
			same = math.Min(same, v.SameDecision)
		}
	}
	// Looks and readings that settle the build-up matter as far as the type bears
	// on the causes: half of what they tell about the type is taken.
	left := 1.0 // of what was open about the type before the wet spoke of it
	if before := typeBits(w.alone); before > 0 {
		left = math.Min(1, typeBits(w.buildup)/before)
	}
	for _, l := range w.buildup.Settle {
		q, ok := w.pack.Question(l.Question)
		if ok && open(q) {
			x := get(q)
			x.Bits = math.Max(x.Bits, left*l.Bits/2)
		}
	}
	for i := range w.pack.Questions {
		q := &w.pack.Questions[i]
		if open(q) && (q.FeedsInto("safety") || q.Frame) {
			get(q)
		}
	}
	for _, x := range worth {
		q, _ := w.pack.Question(x.Question)
		if q.Frame {
			x.Bits += framing + opens[q.ID]/2 // it opens the others half the time, say
		}
		x.Score = x.Bits / (x.Cost + patience)
		if net := x.Pounds - x.Cost; net > worthAsking {
			x.Score = 1 + net/100 // any saving in money ranks above mere news
		}
		if q.FeedsInto("safety") {
			x.Score = 100 // in the order of the pack
		}
		w.r.Open = append(w.r.Open, *x)
	}
	order := map[string]int{}
	for i := range w.pack.Questions {
		order[w.pack.Questions[i].ID] = i
	}
	sort.Slice(w.r.Open, func(i, j int) bool {
		a, b := w.r.Open[i], w.r.Open[j]
		if x, y := math.Round(a.Score*1e9), math.Round(b.Score*1e9); x != y {
			return x > y
		}
		return order[a.Question] < order[b.Question]
	})
	w.next(same)
	return nil
}

// typeBits is the entropy of the type of build-up.
func typeBits(b *buildup.Result) float64 {
	sum := 0.0
	for _, t := range b.Types {
		if t.P > 0 {
			sum -= t.P * math.Log2(t.P)
		}
	}
	return sum
}

// waitsFor names the questions that are not answered yet and on which it hangs whether
// this one applies.
func (w *work) waitsFor(q *rules.Question) []string {
	var out []string
	if _, asked := w.state.Answers[q.ID]; asked || q.Test {
		return nil
	}
	for _, line := range q.When {
		c, err := rules.ParseCondition(line)
		if err != nil {
			continue
		}
		switch rules.All([]string{line}, w.facts) {
		case rules.No:
			return nil
		case rules.NotKnown:
			out = append(out, c.Question)
		}
	}
	return out
}

// next chooses the question, and says when to stop. same is the chance with which the
// most telling single answer on the phone leaves the repair as it is.
func (w *work) next(same float64) {
	n := &w.r.Next
	if len(w.r.Open) == 0 {
		n.Stop, n.StopWhy = true, "Nothing that is still open bears on the suspects."
		return
	}
	best := w.r.Open[0]
	q, _ := w.pack.Question(best.Question)
	n.Question, n.Short = q.ID, q.Short
	switch {
	case q.FeedsInto("safety"):
		n.Reason = "Safety first."
	case q.Frame:
		n.Reason = "It tells which other questions and suspects apply at all."
	case best.Pounds-best.Cost > worthAsking:
		n.Reason = fmt.Sprintf("The answer may change the repair: worth about %s%s of wrong work saved.", w.pack.Prices.Symbol, explain.Thousands(best.Pounds))
	case best.Bits > 0.02:
		n.Reason = "It parts the suspects best for the time it takes."
	default:
		n.Reason = "Little left to learn, but it is open."
	}
	if q.FeedsInto("safety") || q.Frame || w.r.Answered < 8 {
		return
	}
	s := w.r.Scope
	cheapest := math.Inf(1)
	for _, x := range w.r.Open {
		cheapest = math.Min(cheapest, x.Cost)
	}
	switch {
	case s.Ideal >= settled:
		n.Stop = true
		n.StopWhy = fmt.Sprintf("Nothing more on the phone is likely to change the repair (%.0f %%).", s.Ideal*100)
	case s.EVPI < cheapest:
		n.Stop = true
		n.StopWhy = fmt.Sprintf("Knowing everything would save no more than %s%.2f: stop asking.", w.pack.Prices.Symbol, s.EVPI)
	case best.Bits < 0.01 && best.Pounds < 1 && best.Cost <= phoneCost || best.Bits < 0.03 && same >= 0.98 && best.Pounds < best.Cost:
		n.Stop = true
		n.StopWhy = "Nothing more on the phone will tell the suspects apart: sell the test."
	}
}
