package diagnose_test

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"underlap/rules"
)

// TestTextbookCallsAreRecognised tells the engine, for each cause in turn, what the pack
// itself says is typical of it: the answer of each of its signs that speaks for it most,
// what it needs, the facts of the roof that make it three times likelier, how the roof is
// stacked where that matters, and the weather of its first mechanism. Such a call must put it first.
// The pack is its own source here: the test shows that no cause is always hidden behind
// another, and nothing about roofs.
func TestTextbookCallsAreRecognised(t *testing.T) {
	pack := rules.Built()
	for i := range pack.Causes {
		c := &pack.Causes[i]
		if c.ID == rules.OtherCause {
			continue
		}
		t.Run(c.ID, func(t *testing.T) {
			r := newCall(t, textbook(pack, c)...).Reading()
			if r.Causes[0].ID != c.ID {
				t.Errorf("%q\n%s", textbook(pack, c), summary(r))
			}
		})
	}
}

// seenAs is what somebody sees of the insulation in a roof that is stacked so.
var seenAs = map[string]string{"cold": "quilt-between", "warm": "board-above", "hybrid": "both", "on-joists": "on-joists"}

// textbook is what a caller with only this cause would say.
func textbook(pack *rules.Pack, c *rules.Cause) []string {
	said := map[string]string{}
	var order []string
	say := func(question, answer string) {
		if old, ok := said[question]; ok {
			q, _ := pack.Question(question)
			if q.Kind == rules.KindSeveral {
				said[question] = old + "," + answer
			}
			return
		}
		order = append(order, question)
		said[question] = answer
	}
	fact := func(line string) {
		cond, err := rules.ParseCondition(line)
		if err != nil {
			return
		}
		q, _ := pack.Question(cond.Question)
		switch {
		case cond.Over && cond.Value == 0:
			say(q.ID, "6") // downlights
		case cond.Under:
			say(q.ID, fmt.Sprintf("%.0f mm", 600*cond.Value))
		case cond.Over:
			say(q.ID, fmt.Sprintf("%.0f mm", 1500*cond.Value))
		}
		for _, a := range q.Answers {
			if len(cond.Answers) > 0 && slices.Contains(cond.Answers, a.ID) != cond.Not {
				say(q.ID, a.ID)
				return
			}
		}
	}
	for _, line := range c.Needs {
		fact(line)
	}
	for _, x := range pack.Contexts {
		if x.Times[c.ID] >= 3 && len(x.When) == 1 {
			fact(x.When[0])
		}
	}
	signs := pack.Signs(c.Links)
	for _, m := range pack.Mechanisms {
		if m.ID == c.Acts[0].Mechanism && pack.Words.Strength[c.Acts[0].Strength] > 0.05 {
			signs = append(signs, pack.Signs(m.Links)...)
		}
	}
	for _, s := range signs {
		best, most := -1, 1.0
		for a := range s.Share {
			// What one caller in three would not say is no textbook answer.
			if ratio := s.Share[a] / s.Background[a]; ratio > most && s.Share[a] > 0.34 {
				best, most = a, ratio
			}
		}
		switch {
		case best < 0:
		case s.Option == "":
			say(s.Question.ID, s.Question.Answers[best].ID)
		case best == 1:
			say(s.Question.ID, s.Option)
		}
	}
	for question, r := range map[string][]float64{"lag": c.LagHours, "litres": c.Litres} {
		if len(r) != 2 {
			continue
		}
		q, _ := pack.Question(question)
		for _, a := range q.Answers {
			if mid := math.Sqrt(r[0] * r[1]); a.From != nil && *a.From <= mid && mid < *a.To {
				say(question, a.ID)
			}
		}
	}
	if c.LitresFrom == "frost" {
		say("litres", "bucket") // a night's frost let go at once
	}
	most, stacked := 1.4, ""
	for _, t := range rules.BuildTypes {
		if c.ByType[t] > most {
			most, stacked = c.ByType[t], t
		}
	}
	if answer, ok := seenAs[stacked]; ok {
		say("insulation-seen", answer)
	}
	out := make([]string, len(order))
	for i, q := range order {
		out[i] = q + "=" + said[q]
	}
	return out
}
