package diagnose

import (
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"underlap/diagnose/casefile"
	"underlap/physics/climate"
	"underlap/rules"
)

var (
	interviews = flag.Int("interviews", 24, "how many random interviews to hold")
	interview1 = flag.Int("interview-from", 0, "number of the first, to hold one again that failed")
)

// TestInterviews holds random interviews: any answer that a person could give, also
// "don't know", "ask them" and "skip", answers given anew and taken back, in the
// guided order or leaping about. It asks for a reading at one step of each third, and
// at every step of one in a thousand, which follows the most telling question to its
// end. The rest walk the questions without it. With -interviews 100000 it takes a
// quarter of an hour.
func TestInterviews(t *testing.T) {
	var next, steps, readings atomic.Int64
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for !t.Failed() {
				i := int(next.Add(1)) - 1
				if i >= *interviews {
					return
				}
				v := newInterview(t, *interview1+i)
				v.hold()
				if steps.Add(int64(v.steps)); (i+1)%10_000 == 0 {
					t.Logf("%d held", i+1)
				}
				readings.Add(int64(v.readings))
			}
		})
	}
	wait.Wait()
	t.Logf("%d interviews, %d steps, %d readings", *interviews, steps.Load(), readings.Load())
}

// interview is one of them under way.
type interview struct {
	t        *testing.T
	number   int
	r        *rand.Rand
	c        *Call
	guided   bool     // by the most telling question all the way
	said     []string // for the report of a failure
	steps    int
	extra    int // steps over one to a question: given anew, taken back, answered again
	readings int
}

func newInterview(t *testing.T, number int) *interview {
	log := NewMemoryLog(&casefile.Case{Head: casefile.Head{Format: casefile.Format, ID: "interview", Title: "interview"}})
	at := time.Date(2026, 1, 12, 9, 30, 0, 0, time.UTC)
	v := &interview{t: t, number: number, r: rand.New(rand.NewPCG(1, uint64(number))), guided: number%1000 == 0}
	// As NewCall does, but without the first reading, which nobody looks at here.
	v.c = &Call{log: log, pack: rules.Built(), author: "test", now: func() time.Time { at = at.Add(time.Second); return at }}
	v.c.refresh()
	return v
}

func (v *interview) failf(format string, a ...any) {
	v.t.Errorf("interview %d, step %d: %s\n%s", v.number, v.steps, fmt.Sprintf(format, a...), strings.Join(v.said, "\n"))
}

func (v *interview) hold() {
	defer func() {
		if p := recover(); p != nil {
			buf := make([]byte, 4096)
			v.failf("panic: %v\n%s", p, buf[:runtime.Stack(buf, false)])
		}
	}()
	order := v.r.IntN(3) // 0 guided order, 1 leaping about, 2 both
	lookAt := -1
	if v.number%3 == 0 {
		lookAt = v.r.IntN(70)
	}
	at := ""
	for open := v.open(); !v.t.Failed(); {
		following := v.c.Following(at)
		if (following == "") != (len(open) == 0) || following != "" && !slices.Contains(open, following) {
			v.failf("after %q comes %q, open are %v", at, following, open)
		}
		ask := following
		if order == 1 || order == 2 && v.r.IntN(2) == 0 {
			ask = pick(v.r, open)
		}
		if v.guided || v.steps == lookAt || len(open) == 0 && lookAt >= v.steps {
			lookAt = -1
			if telling := v.look(open); telling != "" {
				ask = telling
			} else {
				v.guided = false // what is left does not part the suspects
			}
		}
		if ask == "" {
			return
		}
		if v.c.state.Order != nil && v.extra < 12 && v.r.IntN(8) == 0 {
			v.again()
			open = v.open()
			continue
		}
		open = v.answer(ask, open)
		at = ask
		if n := len(v.c.pack.Questions); v.steps > n+v.extra {
			v.failf("%d questions, %d answers given anew or taken back, and the interview has not ended", n, v.extra)
		}
	}
}

func pick(r *rand.Rand, list []string) string {
	if len(list) == 0 {
		return ""
	}
	return list[r.IntN(len(list))]
}

// open lists the questions that can be asked now.
func (v *interview) open() []string {
	var list []string
	for _, s := range v.c.Steps() {
		if s.State == "open" {
			list = append(list, s.Question.ID)
		}
	}
	return list
}

// answer gives a random answer to an open question, and returns what is open then. The
// question must leave the list, and only such as hang on it may come on to it.
func (v *interview) answer(id string, before []string) []string {
	q, _ := v.c.pack.Question(id)
	v.give(q)
	after := v.open()
	for _, now := range after {
		if now == id {
			v.failf("%s was answered and is still open", id)
		}
		if !slices.Contains(before, now) && !v.hangsOn(now, id) {
			v.failf("%s came up after %s, which it does not hang on", now, id)
		}
	}
	return after
}

// hangsOn tells whether a question may be asked or not because of the answer to
// another, or because of something that follows from that answer.
func (v *interview) hangsOn(id, on string) bool {
	q, _ := v.c.pack.Question(id)
	for _, line := range append(slices.Clone(q.When), q.Unless...) {
		c, err := rules.ParseCondition(line)
		if err != nil {
			v.failf("%s: %v", line, err)
		}
		if c.Question == on {
			return true
		}
		for _, m := range v.c.pack.Implied {
			for _, when := range m.When {
				if x, _ := rules.ParseCondition(when); m.Question == c.Question && x.Question == on {
					return true
				}
			}
		}
	}
	return false
}

// again gives an answer anew, or takes it back.
func (v *interview) again() {
	q, _ := v.c.pack.Question(pick(v.r, v.c.state.Order))
	if v.r.IntN(2) == 0 {
		v.extra++
		v.give(q)
		return
	}
	v.steps++
	v.extra += 2 // for it may be asked again
	v.said = append(v.said, q.ID+"=withdraw")
	if err := v.c.Withdraw(q.ID); err != nil {
		v.failf("%v", err)
	}
	if s, _ := v.c.Step(q.ID); s.State != "open" && s.State != "later" {
		v.failf("%s was taken back and is %s", q.ID, s.State)
	}
}

// give gives a random answer that a person could give to the question.
func (v *interview) give(q *rules.Question) {
	v.steps++
	text, in := randomAnswer(v.r, v.c.pack, q)
	v.said = append(v.said, fmt.Sprintf("%s=%s", q.ID, text))
	want := "answered"
	switch text {
	case "unknown":
		want = "unknown"
	case "ask":
		want = "asked"
	case "skip":
		want = "skipped"
	}
	var err error
	if in != nil {
		err = v.c.Answer(q.ID, *in)
	} else {
		if known := v.r.IntN(len(v.c.pack.Words.Known) + 1); known > 0 {
			text += "@" + v.c.pack.Words.Known[known-1].ID
			v.said[len(v.said)-1] = q.ID + "=" + text
		}
		err = Tell(v.c, q.ID+"="+text, 2026)
	}
	if err != nil {
		v.failf("%s=%s: %v", q.ID, text, err)
		return
	}
	if s, _ := v.c.Step(q.ID); s.State != want {
		v.failf("%s=%s leaves it %s, want %s", q.ID, text, s.State, want)
	}
}

// randomAnswer is an answer in words, or one in numbers as the screen gives it.
func randomAnswer(r *rand.Rand, pack *rules.Pack, q *rules.Question) (text string, in *Input) {
	switch r.IntN(12) {
	case 0:
		return "unknown", nil
	case 1:
		return []string{"ask", "skip"}[r.IntN(2)], nil
	}
	someAnswer := func() string { return q.Answers[r.IntN(len(q.Answers))].ID }
	value := func(v float64) *Input {
		in := &Input{Value: &v, Typed: fmt.Sprint(v), Known: pack.Words.Known[r.IntN(len(pack.Words.Known))].ID}
		if r.IntN(3) == 0 {
			in.Tolerance = v * r.Float64() / 4
		}
		return in
	}
	switch q.Kind {
	case rules.KindChoice:
		if r.IntN(4) == 0 {
			return fmt.Sprint(1 + r.IntN(len(q.Answers))), nil
		}
		return someAnswer(), nil
	case rules.KindSeveral:
		if r.IntN(6) == 0 {
			return rules.NoneChosen, nil
		}
		var list []string
		for _, k := range r.Perm(len(q.Answers))[:1+r.IntN(min(3, len(q.Answers)))] {
			list = append(list, q.Answers[k].ID)
		}
		return strings.Join(list, ", "), nil
	case rules.KindAmount:
		if r.IntN(2) == 0 {
			return someAnswer(), nil
		}
		return []string{"1", "about 4", "0.2", "12-20", "300"}[r.IntN(5)], nil
	case rules.KindLength, rules.KindNumber:
		in := value(*q.Low + r.Float64()*(*q.High-*q.Low))
		return in.Typed, in
	case rules.KindPlace:
		all, err := climate.Places()
		if err != nil {
			panic(err)
		}
		return all[r.IntN(len(all))].Name, nil
	case rules.KindSpots:
		return []string{"5", "1;9", "1.2x0.8", "0.5x0.4;3x2;2.2x1.1"}[r.IntN(4)], nil
	default:
		return []string{"water on the sill", "see photo 3", "@home"}[r.IntN(3)], nil
	}
}

// look asks for the reading, checks it, and returns the question it finds most
// telling.
func (v *interview) look(open []string) string {
	v.readings++
	r := v.c.Reading()
	if _, err := json.Marshal(r); err != nil { // no number that is none
		v.failf("%v", err)
	}
	share := func(what string, p float64) {
		if !(p >= 0 && p <= 1) {
			v.failf("%s has probability %v", what, p)
		}
	}
	for i, c := range r.Causes {
		share(c.ID, c.P)
		share(c.ID+" before any sign", c.Prior)
		if i > 0 && c.P > r.Causes[i-1].P+1e-9 {
			v.failf("%s stands below %s, which is less likely", c.ID, r.Causes[i-1].ID)
		}
	}
	total := 0.0
	for _, s := range r.Sets {
		share(strings.Join(s.Causes, "+"), s.P)
		total += s.P
	}
	share("all sets shown", total-1e-9)
	for _, m := range r.Mechanisms {
		share(m.ID, m.P)
		share("gate of "+m.ID, m.Gate)
	}
	for _, s := range []Statement{r.Why, r.What, r.Built} {
		share(s.Text, s.P)
	}
	share("more than one", r.More)
	share("the chosen repair", r.Scope.Ideal)
	if r.Scope.Best == "" || r.Scope.EVPI < 0 {
		v.failf("repair %q, knowing everything worth %v", r.Scope.Best, r.Scope.EVPI)
	}
	seen := map[string]bool{}
	for _, w := range r.Open {
		if !slices.Contains(open, w.Question) || seen[w.Question] {
			v.failf("%s is ranked among the open questions, which are %v", w.Question, open)
		}
		seen[w.Question] = true
		if w.Bits < 0 || w.Pounds < 0 {
			v.failf("%s is worth %v bits and %v pounds", w.Question, w.Bits, w.Pounds)
		}
	}
	n := r.Next
	switch {
	case n.Question == "" && (!n.Stop || len(r.Open) > 0):
		v.failf("nothing to ask, and no stop: %+v, ranked %v", n, r.Open)
	case n.Question != "" && (n.Question != r.Open[0].Question || n.Reason == "" || n.Short == ""):
		v.failf("%s is to be asked, %s ranks first: %+v", n.Question, r.Open[0].Question, n)
	case n.Stop != (n.StopWhy != ""):
		v.failf("stop and its reason do not go together: %+v", n)
	}
	return n.Question
}
