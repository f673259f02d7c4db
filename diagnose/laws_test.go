package diagnose

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"underlap/rules"
)

// told is one answer of a made-up call: words or an input, for one question.
type told struct {
	q    *rules.Question
	text string
	in   *Input
}

func (a told) String() string { return a.q.ID + "=" + a.text }

func (a told) give(t fataler, c *Call) {
	var err error
	if a.in != nil {
		err = c.Answer(a.q.ID, *a.in)
	} else {
		err = Tell(c, a.String(), 2026)
	}
	if err != nil {
		t.Fatalf("%v: %v", a, err)
	}
}

type fataler interface{ Fatalf(string, ...any) }

// drawAnswers draws one answer each to some questions, whether they apply or not: a
// person may answer what was not asked.
func drawAnswers(t *rapid.T, pack *rules.Pack, most int, use func(*rules.Question) bool) []told {
	n := rapid.IntRange(1, most).Draw(t, "answers")
	r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
	var list []told
	for _, k := range r.Perm(len(pack.Questions)) {
		q := &pack.Questions[k]
		if len(list) == n || !use(q) {
			continue
		}
		text, in := randomAnswer(r, pack, q)
		list = append(list, told{q, text, in})
	}
	return list
}

func anyQuestion(*rules.Question) bool { return true }

// emptyCall is a call in memory in which nothing has been said.
func emptyCall(pack *rules.Pack) *Call {
	v := newInterview(nil, 0)
	v.c.pack = pack
	return v.c
}

func jsonText(t fataler, r *Reading) []byte {
	text, err := json.MarshalIndent(r, "", " ")
	if err != nil {
		t.Fatalf("%v", err)
	}
	return text
}

func sameReading(t fataler, what string, got, want *Reading) {
	a, b := bytes.Split(jsonText(t, got), []byte("\n")), bytes.Split(jsonText(t, want), []byte("\n"))
	for i := range min(len(a), len(b)) {
		if !bytes.Equal(a[i], b[i]) {
			t.Fatalf("%s: line %d of the reading is\n%s\nwant\n%s", what, i+1, a[i], b[i])
		}
	}
	if len(a) != len(b) {
		t.Fatalf("%s: %d lines of reading, want %d", what, len(a), len(b))
	}
}

// TestLawsOfACall: the order of the answers is nothing, not knowing is nothing, and an
// answer taken back was never given. The first and the last byte for byte. A reading is
// dear, so each call is put to one law.
func TestLawsOfACall(t *testing.T) {
	pack := rules.Built()
	laws := map[string]func(t *rapid.T, r *rand.Rand, c *Call, answers []told, rest []*rules.Question){
		"another order": func(t *rapid.T, _ *rand.Rand, c *Call, answers []told, _ []*rules.Question) {
			shuffled := emptyCall(pack)
			for _, a := range rapid.Permutation(answers).Draw(t, "order") {
				a.give(t, shuffled)
			}
			sameReading(t, "answers in another order", shuffled.Reading(), c.Reading())
		},
		"taken back": func(t *rapid.T, r *rand.Rand, c *Call, _ []told, rest []*rules.Question) {
			before := c.Reading()
			q := rest[r.IntN(len(rest))]
			text, in := randomAnswer(r, pack, q)
			told{q, text, in}.give(t, c)
			if err := c.Withdraw(q.ID); err != nil {
				t.Fatalf("%v", err)
			}
			sameReading(t, q.ID+"="+text+" taken back", c.Reading(), before)
		},
		"not knowing": func(t *rapid.T, r *rand.Rand, c *Call, _ []told, rest []*rules.Question) {
			before := c.Reading()
			for _, word := range []string{"unknown", "skip", "ask"} {
				told{rest[r.IntN(len(rest))], word, nil}.give(t, c)
			}
			for i, x := range c.Reading().Causes {
				if y := before.Causes[i]; x.ID != y.ID || x.P != y.P {
					t.Fatalf("not knowing moved place %d from %s %v to %s %v", i, y.ID, y.P, x.ID, x.P)
				}
			}
		},
	}
	rapid.Check(t, func(t *rapid.T) {
		answers := drawAnswers(t, pack, 40, anyQuestion)
		c := emptyCall(pack)
		for _, a := range answers {
			a.give(t, c)
		}
		var rest []*rules.Question
		for i := range pack.Questions {
			q := &pack.Questions[i]
			if !slices.ContainsFunc(answers, func(a told) bool { return a.q == q }) {
				rest = append(rest, q)
			}
		}
		law := rapid.SampledFrom(slices.Sorted(maps.Keys(laws))).Draw(t, "law")
		laws[law](t, rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "other seed"), 0)), c, answers, rest)
	})
}

// TestHearsayOfNoWorth: answers from a source that is worth nothing leave the ranking
// as it was. Only answers that are signs and nothing else are given: others also go
// into the sums, which take them as they stand.
func TestHearsayOfNoWorth(t *testing.T) {
	const worth = 1e-9
	pack := *rules.Built()
	pack.Words.Known = slices.Clone(pack.Words.Known)
	for i := range pack.Words.Known {
		pack.Words.Known[i].Reliability = worth
	}
	fed := map[string]bool{} // by implication
	for _, m := range pack.Implied {
		for _, line := range m.When {
			if c, err := rules.ParseCondition(line); err == nil {
				fed[c.Question] = true
			}
		}
	}
	prior := emptyCall(&pack).Reading()
	was := map[string]float64{}
	for _, c := range prior.Causes {
		was[c.ID] = c.P
	}
	rapid.Check(t, func(t *rapid.T) {
		answers := drawAnswers(t, &pack, 30, func(q *rules.Question) bool {
			return q.Evidence() && len(q.Feeds) == 0 && q.Told == 0 && !fed[q.ID]
		})
		c := emptyCall(&pack)
		for _, a := range answers {
			a.give(t, c)
		}
		for _, x := range c.Reading().Causes {
			if math.Abs(x.P-was[x.ID]) > 1e-5 {
				t.Fatalf("%v moved %s from %v to %v", answers, x.ID, was[x.ID], x.P)
			}
		}
	})
}
