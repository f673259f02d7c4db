package diagnose_test

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/diagnose/scope"
	"underlap/physics/climate"
	"underlap/physics/fabric"
	"underlap/rules"
)

// The same log and the same knowledge give the same reading, byte for byte.
func TestReadingIsDeterministic(t *testing.T) {
	for _, name := range exampleNames(t) {
		a, b := jsonOf(t, readExample(t, name)), jsonOf(t, readExample(t, name))
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two readings of one case differ", name)
		}
	}
}

func jsonOf(t testing.TB, r *diagnose.Reading) []byte {
	t.Helper()
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// The order in which answers were given does not change what they say.
func TestOrderOfAnswersDoesNotMatter(t *testing.T) {
	want := newCall(t, fullCall...).Reading()
	shuffled := append([]string(nil), fullCall...)
	rand.New(rand.NewPCG(7, 7)).Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
	got := newCall(t, shuffled...).Reading()
	for i := range want.Causes {
		if want.Causes[i].ID != got.Causes[i].ID || want.Causes[i].P != got.Causes[i].P {
			t.Fatalf("place %d: %s %v, shuffled %s %v", i, want.Causes[i].ID, want.Causes[i].P, got.Causes[i].ID, got.Causes[i].P)
		}
	}
}

// What is remembered from one answer to the next never shows: a call under way
// reads the same as the case read afresh after each answer.
func TestMemoryNeverShows(t *testing.T) {
	c := newCall(t)
	for i, a := range append(append([]string(nil), fullCall...), "kerb-inside=380", "room-use=bathroom", "kerb-inside=withdraw", "vents=two-sides", "sold-as=cold") {
		if err := diagnose.Tell(c, a, 2026); err != nil {
			t.Fatal(err)
		}
		fresh, err := diagnose.Consult(c.Case(), rules.Built())
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(jsonOf(t, c.Reading()), jsonOf(t, fresh)) {
			t.Fatalf("answer %d, %s: the call and the case disagree", i, a)
		}
	}
}

// Don't know, skip and ask are no evidence: not a hair moves.
func TestNotKnowingMovesNothing(t *testing.T) {
	want := newCall(t, fullCall...).Reading()
	for _, word := range []string{"unknown", "skip", "ask"} {
		got := newCall(t, append(append([]string(nil), fullCall...), "edge-trim-state="+word, "trades-on-roof="+word)...).Reading()
		for i := range want.Causes {
			if want.Causes[i].P != got.Causes[i].P {
				t.Fatalf("%s moved %s from %v to %v", word, want.Causes[i].ID, want.Causes[i].P, got.Causes[i].P)
			}
		}
	}
}

// A photo weighs more than hearsay, and opening up more still.
func TestHowKnownChangesTheWeight(t *testing.T) {
	base := []string{"form-also=tiled-slope", "weather-pattern=any-rain"}
	p := func(known string) float64 {
		for _, c := range newCall(t, append(append([]string(nil), base...), "tile-apron=short@"+known)...).Reading().Causes {
			if c.ID == "tile-junction" {
				return c.P
			}
		}
		t.Fatal("no tile-junction")
		return 0
	}
	told, photo, opened := p("told"), p("photo"), p("opened")
	if !(told < photo && photo < opened) {
		t.Errorf("told %v, photo %v, opened %v: each should say more than the one before", told, photo, opened)
	}
}

// Probabilities are probabilities, hedges fit their numbers, every figure has its
// why, and something not listed keeps a share, in any call a person could give.
func TestAnyCallGivesASoundReading(t *testing.T) {
	pack := rules.Built()
	rapid.Check(t, func(rt *rapid.T) {
		var answers []string
		n := rapid.IntRange(0, 25).Draw(rt, "n")
		for range n {
			q := pack.Questions[rapid.IntRange(0, len(pack.Questions)-1).Draw(rt, "question")]
			switch q.Kind {
			case rules.KindChoice, rules.KindAmount, rules.KindSeveral:
				answers = append(answers, q.ID+"="+rapid.SampledFrom(q.Answers).Draw(rt, "answer").ID)
			case rules.KindLength:
				answers = append(answers, q.ID+"="+rapid.SampledFrom([]string{"unknown", "ask", fmtLength(q, rapid.Float64Range(0, 1).Draw(rt, "x"))}).Draw(rt, "length"))
			}
		}
		r := newCall(t, answers...).Reading()
		soundReading(rt, r)
	})
}

func fmtLength(q rules.Question, x float64) string {
	v := *q.Low + x*(*q.High-*q.Low)
	return strconv.Itoa(int(math.Ceil(v*1000))) + " mm"
}

type failer interface {
	Errorf(string, ...any)
}

func soundReading(t failer, r *diagnose.Reading) {
	other := 0.0
	for i, c := range r.Causes {
		if math.IsNaN(c.P) || c.P <= 0 || c.P >= 1 {
			t.Errorf("%s has probability %v", c.ID, c.P)
		}
		if i > 0 && c.P > r.Causes[i-1].P+1e-9 {
			t.Errorf("%s is ranked below a less likely cause", c.ID)
		}
		if c.ID == "something-else" {
			other = c.P
		}
		if _, ok := r.WhyOf(c.Why); !ok {
			t.Errorf("cause %s has no why", c.ID)
		}
	}
	if other <= 0 {
		t.Errorf("something not listed has no share")
	}
	sum := r.BuildUp.NotListed
	for _, x := range r.BuildUp.Types {
		sum += x.P
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("build-up shares sum to %v", sum)
	}
	for _, f := range r.Findings {
		if math.IsNaN(f.Value) || f.Low > f.High+1e-12 || f.Text == "" || f.Unit == "" {
			t.Errorf("finding %+v is not sound", f)
		}
		if w, ok := r.WhyOf(f.Why); !ok || w.Source == "" || w.Formula == "" || len(w.Inputs) == 0 {
			t.Errorf("finding %s has no full why", f.ID)
		}
	}
	for _, s := range []diagnose.Statement{r.Why, r.What, r.Built} {
		if _, ok := r.WhyOf(s.Why); !ok || s.Text == "" {
			t.Errorf("statement %q has no why", s.Text)
		}
	}
	if len(r.Cautions) == 0 {
		t.Errorf("no safety line")
	}
	for _, g := range r.Mechanisms {
		if g.Gate < 0.02 || g.Gate > 1 {
			t.Errorf("gate of %s is %v", g.ID, g.Gate)
		}
	}
	if !r.Next.Stop && r.Next.Question == "" {
		t.Errorf("no next question and no stop")
	}
	if r.Scope.Best == "" {
		t.Errorf("no repair is best")
	}
}

// The guided order reaches every question that applies, and ends.
func TestGuidedOrderEnds(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		c := newCall(t)
		at := ""
		for n := 0; ; n++ {
			if n > len(rules.Built().Questions) {
				rt.Fatalf("the interview does not end")
			}
			at = c.Following(at)
			if at == "" {
				break
			}
			q, _ := c.Pack().Question(at)
			word := "unknown"
			if len(q.Answers) > 0 && rapid.Bool().Draw(rt, "answer it") {
				word = rapid.SampledFrom(q.Answers).Draw(rt, "answer").ID
			}
			if err := diagnose.Tell(c, at+"="+word, 2026); err != nil {
				rt.Fatal(err)
			}
		}
		for _, s := range c.Steps() {
			if s.State == "open" {
				rt.Errorf("%s is still open at the end", s.Question.ID)
			}
		}
	})
}

// A revised answer counts, the old one is kept as history, a withdrawn one counts
// no more.
func TestReviseAndWithdraw(t *testing.T) {
	c := newCall(t, "weather-pattern=any-rain", "weather-pattern=every-day")
	if s, _ := c.Step("weather-pattern"); s.Answer != "Every day, wet or dry" || s.Revised != 1 {
		t.Fatalf("step %+v", s)
	}
	if got := len(c.Case().Events); got != 2 {
		t.Fatalf("%d events, want both answers in the log", got)
	}
	if err := c.Withdraw("weather-pattern"); err != nil {
		t.Fatal(err)
	}
	if s, _ := c.Step("weather-pattern"); s.State != "open" {
		t.Fatalf("step %+v after taking back", s)
	}
	fresh := newCall(t).Reading()
	for i, x := range c.Reading().Causes {
		if x.P != fresh.Causes[i].P {
			t.Fatalf("%s: %v after taking back, %v fresh", x.ID, x.P, fresh.Causes[i].P)
		}
	}
}

func TestBadAnswersAreRefused(t *testing.T) {
	for _, x := range []struct{ line, want string }{
		{"kerb-inside=banana", "kerb"},
		{"kerb-inside=-40", ""},
		{"kerb-inside=9 m", "believable"},
		{"weather-pattern=sideways", "any-rain"},
		{"weather-pattern=", "nothing was typed"},
		{"no-such-question=1", "underlap questions"},
		{"kerb-inside=480@rumour", "told, photo, measured or opened"},
		{"place=atlantis", ""},
		{"room-humidity=140%", ""},
		{"litres=lots", "or give one of"},
		{"plain words", "question=answer"},
	} {
		c := newCall(t, "kerb-inside=480")
		err := diagnose.Tell(c, x.line, 2026)
		if err == nil {
			t.Errorf("%q was taken", x.line)
			continue
		}
		if !strings.Contains(strings.ToLower(err.Error()), strings.ToLower(x.want)) && x.want != "kerb" {
			t.Errorf("%q: error %q does not say %q", x.line, err, x.want)
		}
		if n := len(c.Case().Events); n != 1 {
			t.Errorf("%q left %d events; the earlier answer must stand alone", x.line, n)
		}
	}
}

// The knowledge of question ids that code relies on is in the pack.
func TestCodeAndPackAgree(t *testing.T) {
	p := rules.Built()
	for _, id := range []string{
		"kerb-inside", "kerb-outside", "second-inside", "second-outside", "sides-apart", "joist-depth", "joist-span", "joist-centres",
		"insulation-seen", "deck-seen", "vapour-layer", "edge-depth", "measure-at", "sold-as", "certificate", "built-when", "covering", "covering-age",
		"place", "roof-area", "room-use", "room-humidity", "windows-run", "downlight-count", "downlight-kind", "vents", "clear-void", "blocked-bays",
		"rooflight", "kerb-kind", "glass", "trimmers", "warm-stops", "drainage", "outlet-size", "outlet-guard", "overflow", "other-roof-drains",
		"upstand-height", "door-upstand", "litres", "hours-dripping", "form-also", "access",
	} {
		if _, ok := p.Question(id); !ok {
			t.Errorf("the code asks for question %q, which the pack does not have", id)
		}
	}
	var c casefile.Case
	if _, err := diagnose.Consult(&c, p); err != nil {
		t.Errorf("an empty case: %v", err)
	}
}

// A bare number typed for an amount is a number, never the number of a key.
func TestBareNumberIsAnAmount(t *testing.T) {
	c := newCall(t, "covering-age=3", "lag=2")
	for id, want := range map[string]string{"covering-age": "3 years", "lag": "2 h"} {
		if s, _ := c.Step(id); s.Answer != want {
			t.Errorf("%s reads %q, want %q", id, s.Answer, want)
		}
	}
	if r := c.Reading(); r.Facts[0].Question != "lag" {
		t.Errorf("facts %v", r.Facts)
	}
}

// Every place can be found again by the name that is kept for it.
func TestPlacesAreFoundByName(t *testing.T) {
	all, err := climate.Places()
	if err != nil || len(all) < 30 {
		t.Fatalf("%v, %d places", err, len(all))
	}
	for _, p := range all {
		got, err := climate.ByName(p.Name)
		if err != nil || got.ID != p.ID {
			t.Errorf("%q finds %q, %v", p.Name, got.ID, err)
		}
	}
}

// Physics decides whether a mechanism can act: where it says no, the causes that need
// it fall, whatever else was or was not asked.
func TestGateShutsItsCauses(t *testing.T) {
	base := []string{"seen=drip", "rooflight=fixed", "rooflight-wet=beads", "kerb-kind=timber", "glass=double", "place=birmingham"}
	p := func(more ...string) float64 {
		for _, c := range newCall(t, append(append([]string(nil), base...), more...)...).Reading().Causes {
			if c.ID == "rooflight-condensation" {
				return c.P
			}
		}
		t.Fatal("no rooflight-condensation")
		return 0
	}
	for _, weather := range []string{"weather-pattern=unknown", "weather-pattern=no-pattern", "weather-pattern=cold-dry"} {
		dry, damp := p(weather, "room-humidity=20%"), p(weather, "room-humidity=75%")
		if dry > 0.8*damp {
			t.Errorf("%s: %.3f in a dry room, %.3f in a damp one", weather, dry, damp)
		}
	}
}

// A repair is not named that does not touch the first suspect, and none that already
// failed is sold for the money it saves.
func TestRepairTouchesTheFirstSuspect(t *testing.T) {
	pack := rules.Built()
	for _, c := range allCalls(t) {
		r := newCall(t, c.Answers...).Reading()
		best, ok := r.Scope.Option(r.Scope.Best)
		if !ok || best.Barred != "" {
			t.Errorf("%s: best is %q, barred %q", c.ID, r.Scope.Best, best.Barred)
			continue
		}
		top := r.Causes[0]
		if top.ID == "something-else" || best.Rung == 0 {
			continue
		}
		cause, _ := pack.Cause(top.ID)
		for i := range pack.Repairs {
			if pack.Repairs[i].ID == best.ID && scope.FixOf(&pack.Repairs[i], cause) < 0.3 {
				t.Errorf("%s: %s is named for %s and does not touch it", c.ID, best.ID, top.ID)
			}
		}
		if best.Opening && r.Answered >= 6 && r.Scope.Test == nil {
			t.Errorf("%s: %s needs an opening and no test is sold", c.ID, best.ID)
		}
	}
}

// Following the most telling question alone opens the branches that matter and ends.
func TestMostTellingQuestionFindsTheBranches(t *testing.T) {
	truth := map[string]string{
		"roof-form": "lean-to", "house-wall-kind": "cavity", "weep-holes": "none", "wall-flashing-state": "tight", "repairs-before": "twice", "what-redone": "flashing",
		"patch-result": "no-change", "weather-pattern": "windy-rain", "wind-side": "one-side", "long-rain-only": "hours", "where-inside": "house-wall", "covering": "felt",
		"covering-age": "10-20", "rooflight": "none", "drainage": "gutter", "lag": "same-day", "litres": "cup", "seen": "drip,stain", "room-use": "kitchen",
		"wet-near-electrics": "no", "ceiling-bulging": "flat", "going-up": "no", "old-materials": "none", "anyone-unwell": "no", "form-also": "house-wall",
	}
	c := newCall(t)
	asked := map[string]bool{}
	for range 40 {
		n := c.Reading().Next
		if n.Stop || n.Question == "" {
			break
		}
		if asked[n.Question] {
			t.Fatalf("%s is asked again", n.Question)
		}
		asked[n.Question] = true
		a, ok := truth[n.Question]
		if !ok {
			a = "unknown"
		}
		if err := diagnose.Tell(c, n.Question+"="+a, 2026); err != nil {
			t.Fatal(err)
		}
	}
	r := c.Reading()
	if r.Causes[0].ID != "missing-cavity-tray" || r.Scope.Best != "cavity-tray" {
		t.Errorf("after %d questions: %s %.2f, repair %s", len(asked), r.Causes[0].ID, r.Causes[0].P, r.Scope.Best)
	}
	t.Logf("%d questions, %s %.2f", len(asked), r.Causes[0].ID, r.Causes[0].P)
}

// What the pack names outside itself is there: materials in physics, and a moisture
// entry or an era for every answer that asks for one.
func TestPackNamesWhatExists(t *testing.T) {
	p := rules.Built()
	options := append([]rules.Option(nil), p.BuildUp.Decks...)
	options = append(append(options, p.BuildUp.Ceilings...), p.BuildUp.Coverings...)
	for _, k := range p.BuildUp.Types {
		options = append(append(options, k.Thickness...), k.Under...)
	}
	for _, o := range options {
		if o.MM == 0 {
			continue
		}
		if _, err := fabric.FindMaterial(o.Material); err != nil {
			t.Errorf("%s: %v", o.ID, err)
		}
	}
	has := map[string]bool{}
	for _, r := range p.Moisture.Rooms {
		has["room-use "+r.Answer] = true
	}
	for _, f := range p.Moisture.Fittings {
		has["downlight-kind "+f.Answer] = true
	}
	for _, e := range p.BuildUp.Eras {
		has["built-when "+e.ID] = true
	}
	for _, id := range []string{"room-use", "downlight-kind", "built-when"} {
		q, _ := p.Question(id)
		for _, a := range q.Answers {
			if !has[id+" "+a.ID] {
				t.Errorf("answer %s of %s has no entry", a.ID, id)
			}
		}
	}
}
