package diagnose_test

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/BurntSushi/toml"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
)

// call is one short call of testdata/checks: answers in, what the reading must say.
type call struct {
	ID          string   `toml:"id"`
	Says        string   `toml:"says"`
	Source      string   `toml:"source"`
	Answers     []string `toml:"answers"`
	ThicknessMM float64  `toml:"thickness_mm"`
	ResidualMM  float64  `toml:"residual_mm"`
	TypesOver   struct {
		Types []string `toml:"types"`
		P     float64  `toml:"p"`
	} `toml:"types_over"`
	FallOneIn float64 `toml:"fall_one_in"`
	Finding   struct {
		ID      string  `toml:"id"`
		Verdict string  `toml:"verdict"`
		Text    string  `toml:"text"`
		Value   float64 `toml:"value"`
		Within  float64 `toml:"within"`
	} `toml:"finding"`
	Recheck     string  `toml:"recheck"`
	CallsFor    string  `toml:"calls_for"`
	First       string  `toml:"first"`
	FirstGroup  string  `toml:"first_group"`
	RainUnder   float64 `toml:"rain_under"` // that nothing but rain explains it
	CausesUnder struct {
		Causes []string `toml:"causes"`
		P      float64  `toml:"p"`
	} `toml:"causes_under"`
	InFirst struct {
		Cause string `toml:"cause"`
		N     int    `toml:"n"`
	} `toml:"in_first"`
	CauseOver struct {
		Cause string  `toml:"cause"`
		Over  string  `toml:"over"`
		Times float64 `toml:"times"`
	} `toml:"cause_over"`
	RungAtMost *int `toml:"repair_rung_at_most"`
}

// newCall opens a consultation in memory and gives it the answers, each
// "question=answer", with "@known" after it where it matters.
func newCall(t testing.TB, answers ...string) *diagnose.Call {
	t.Helper()
	log := diagnose.NewMemoryLog(&casefile.Case{Head: casefile.Head{Format: casefile.Format, ID: "test", Title: "test"}})
	at := time.Date(2026, 1, 12, 9, 30, 0, 0, time.UTC)
	c, err := diagnose.NewCall(log, rules.Built(), "test", func() time.Time { at = at.Add(time.Second); return at })
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range answers {
		if err := diagnose.Tell(c, a, 2026); err != nil {
			t.Fatalf("%s: %v", a, err)
		}
	}
	return c
}

func TestCalls(t *testing.T) {
	for _, c := range allCalls(t) {
		t.Run(c.ID, func(t *testing.T) {
			r := newCall(t, c.Answers...).Reading()
			if fails := c.check(r); len(fails) > 0 {
				t.Errorf("%s\n%s\n%s", c.Says, strings.Join(fails, "\n"), summary(r))
			}
		})
	}
}

// allCalls reads every file of calls.
func allCalls(t testing.TB) []call {
	t.Helper()
	files, err := filepath.Glob("../testdata/checks/*.toml")
	if err != nil || len(files) < 2 {
		t.Fatalf("%v, %d files of calls", err, len(files))
	}
	var all []call
	for _, name := range files {
		var file struct {
			Call []call `toml:"call"`
		}
		md, err := toml.DecodeFile(name, &file)
		if err != nil {
			t.Fatal(err)
		}
		if un := md.Undecoded(); len(un) > 0 {
			t.Fatalf("%s: keys nobody checks: %v", name, un)
		}
		all = append(all, file.Call...)
	}
	return all
}

func (c call) check(r *diagnose.Reading) (fails []string) {
	say := func(format string, a ...any) { fails = append(fails, fmt.Sprintf(format, a...)) }
	checks := 0
	if c.ThicknessMM > 0 {
		checks++
		if m := r.BuildUp.Measured; m == nil || math.Abs(m.M*1000-c.ThicknessMM) > 0.01 {
			say("thickness %+v, want %v mm", m, c.ThicknessMM)
		}
	}
	if c.ResidualMM > 0 {
		checks++
		if got := r.BuildUp.Stacks[0].Residual * 1000; math.Abs(got-c.ResidualMM) > 0.01 {
			say("residual %.2f mm, want %v", got, c.ResidualMM)
		}
	}
	if len(c.TypesOver.Types) > 0 {
		checks++
		sum := 0.0
		for _, id := range c.TypesOver.Types {
			sum += r.BuildUp.Type(id)
		}
		if sum < c.TypesOver.P {
			say("types %v have %.2f, want over %.2f", c.TypesOver.Types, sum, c.TypesOver.P)
		}
	}
	if c.FallOneIn > 0 {
		checks++
		if m := r.BuildUp.Measured; m == nil || math.Abs(1/m.Fall-c.FallOneIn) > 0.01 {
			say("fall %+v, want 1 in %v", m, c.FallOneIn)
		}
	}
	if c.Finding.ID != "" {
		checks++
		found := false
		for _, f := range r.Findings {
			if f.ID != c.Finding.ID {
				continue
			}
			found = true
			if c.Finding.Verdict != "" && f.Verdict != c.Finding.Verdict {
				say("finding %s is %q, want %q: %s", f.ID, f.Verdict, c.Finding.Verdict, f.Text)
			}
			if !strings.Contains(f.Text, c.Finding.Text) {
				say("finding %s says %q, want %q in it", f.ID, f.Text, c.Finding.Text)
			}
			if c.Finding.Within > 0 && math.Abs(f.Value-c.Finding.Value) > c.Finding.Within {
				say("finding %s = %v, want %v within %v", f.ID, f.Value, c.Finding.Value, c.Finding.Within)
			}
			if _, ok := r.WhyOf(f.Why); !ok {
				say("finding %s has no why", f.ID)
			}
		}
		if !found {
			say("finding %s is missing", c.Finding.ID)
		}
	}
	if c.Recheck != "" {
		checks++
		ok := false
		for _, x := range r.Recheck {
			ok = ok || strings.Contains(x.Text, c.Recheck)
		}
		if !ok {
			say("no re-check with %q in %+v", c.Recheck, r.Recheck)
		}
	}
	if c.CallsFor != "" {
		checks++
		if !strings.Contains(strings.Join(r.Call, ","), c.CallsFor) {
			say("calls for %v, want %q", r.Call, c.CallsFor)
		}
	}
	p := map[string]float64{}
	for _, x := range r.Causes {
		p[x.ID] = x.P
	}
	if c.First != "" {
		checks++
		if r.Causes[0].ID != c.First {
			say("first is %s, want %s", r.Causes[0].ID, c.First)
		}
	}
	if c.FirstGroup != "" {
		checks++
		if r.Causes[0].Group != c.FirstGroup {
			say("first is %s of group %s, want group %s", r.Causes[0].ID, r.Causes[0].Group, c.FirstGroup)
		}
	}
	if c.RainUnder > 0 {
		checks++
		for _, x := range r.Sources {
			if x.ID == "rain" && (x.P >= c.RainUnder || x.P == 0) {
				say("rain alone has %.3f, want under %v", x.P, c.RainUnder)
			}
		}
	}
	for _, id := range c.CausesUnder.Causes {
		checks++
		if v, ok := p[id]; !ok || v >= c.CausesUnder.P {
			say("cause %s has %.3f, want under %v", id, v, c.CausesUnder.P)
		}
	}
	if c.InFirst.Cause != "" {
		checks++
		ok := false
		for _, x := range r.Causes[:c.InFirst.N] {
			ok = ok || x.ID == c.InFirst.Cause
		}
		if !ok {
			say("%s is not in the first %d", c.InFirst.Cause, c.InFirst.N)
		}
	}
	if c.CauseOver.Cause != "" {
		checks++
		if p[c.CauseOver.Cause] < c.CauseOver.Times*p[c.CauseOver.Over] {
			say("%s %.3f is not %v times %s %.3f", c.CauseOver.Cause, p[c.CauseOver.Cause], c.CauseOver.Times, c.CauseOver.Over, p[c.CauseOver.Over])
		}
	}
	if c.RungAtMost != nil {
		checks++
		if o, ok := r.Scope.Option(r.Scope.Best); !ok || o.Rung > *c.RungAtMost {
			say("best repair is %s, rung %d, want at most rung %d", o.ID, o.Rung, *c.RungAtMost)
		}
	}
	if checks == 0 {
		say("the call expects nothing")
	}
	return fails
}

// summary prints a reading for a failed check.
func summary(r *diagnose.Reading) string {
	var b strings.Builder
	for _, s := range []diagnose.Statement{r.Why, r.What, r.Built} {
		fmt.Fprintf(&b, "  %s: %s %.2f\n", s.Text, s.Hedge, s.P)
	}
	for _, c := range r.Causes[:8] {
		fmt.Fprintf(&b, "  %5.1f%% %-28s prior %4.1f%%", c.P*100, c.ID, c.Prior*100)
		for i, x := range append(append([]diagnose.Reason(nil), c.For...), c.Against...) {
			if i < 6 {
				fmt.Fprintf(&b, " %s%+.0f", x.Question, x.Decibans)
			}
		}
		fmt.Fprintln(&b)
	}
	for _, t := range r.BuildUp.Types {
		fmt.Fprintf(&b, "  %s %.2f", t.Type, t.P)
	}
	for _, m := range r.Mechanisms {
		fmt.Fprintf(&b, "\n  %s %.2f gate %.2f", m.ID, m.P, m.Gate)
	}
	fmt.Fprintf(&b, "\n  scope %s, next %+v\n", r.Scope.Best, r.Next)
	for _, f := range r.Findings {
		fmt.Fprintf(&b, "  %s %.3g (%.3g-%.3g) %s: %s\n", f.ID, f.Value, f.Low, f.High, f.Verdict, f.Text)
	}
	return b.String()
}
