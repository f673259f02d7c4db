package diagnose_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"underlap/diagnose"
	"underlap/rules"
)

// doubts asks how far a call's reading hangs on the knowledge's numbers.
func doubts(t testing.TB, answers ...string) (*diagnose.Reading, *diagnose.Doubted) {
	t.Helper()
	r := newCall(t, answers...).Reading()
	if r.Doubts() == nil {
		t.Fatal("nothing to ask")
	}
	found, err := r.Doubts().Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return r, found
}

// closeCall has two suspects side by side: numbers decide between them.
var closeCall = []string{"seen=drip", "weather-pattern=any-rain", "where-inside=house-wall", "roof-form=lean-to", "wind-side=any", "covering=felt", "covering-age=over-20", "surface=worn"}

// A plain case holds whatever the numbers; a close one does not, and says what else.
func TestRobust(t *testing.T) {
	r, d := doubts(t, "seen=drip,stain", "weather-pattern=every-day", "dry-spell=yes", "use-link=no", "pressure-falling=yes", "pipes-in-roof=pipes", "lag=no-link", "ceiling-feel=wet")
	found := d.Robust
	if !found.Robust || found.Cause < 0.9 || !strings.HasPrefix(found.Text, "Holds in ") || found.Causes[0].ID != r.Causes[0].ID {
		t.Errorf("a burst pipe: %+v", found)
	}
	r, d = doubts(t, closeCall...)
	found = d.Robust
	if found.Robust || !strings.HasPrefix(found.Text, "Not robust: ") {
		t.Errorf("two side by side: %s (first %s %.2f)", found.Text, r.Causes[0].ID, r.Causes[0].P)
	}
	sum := 0.0
	for _, x := range found.Causes {
		sum += x.P
		if x.ID == r.Causes[0].ID && math.Abs(x.P-found.Cause) > 1e-12 {
			t.Errorf("the first suspect holds in %.3f and comes first in %.3f", found.Cause, x.P)
		}
	}
	if sum > 1+1e-9 || found.Runs != 200 {
		t.Errorf("%d runs, shares sum to %.3f", found.Runs, sum)
	}
	_, again := doubts(t, closeCall...)
	if diff := cmp.Diff(d, again, cmpopts.IgnoreUnexported(diagnose.Visit{})); diff != "" {
		t.Errorf("asked twice:\n%s", diff)
	}
	full := r.WithDoubts(d)
	if why, ok := full.WhyOf("robust"); !ok || len(why.Inputs) < 2 || r.Robust != nil {
		t.Errorf("why %+v, before %+v", why, r.Robust)
	}
}

// openCall is so early that many suspects are near one another.
var openCall = []string{"seen=drip", "weather-pattern=any-rain", "lag=hours", "roof-form=lean-to", "covering=felt", "covering-age=10-20"}

// A number that is said to tip the conclusion does, when the knowledge itself is changed.
func TestTipsTip(t *testing.T) {
	r, d := doubts(t, openCall...)
	found := d.Robust
	if len(found.Tips) == 0 {
		t.Fatal("nothing tips a close call")
	}
	tried := 0
	for _, tip := range found.Tips {
		p := *rules.Built()
		p.Causes = append([]rules.Cause(nil), p.Causes...)
		for i := range p.Causes {
			if p.Causes[i].ID != tip.Rule {
				continue
			}
			tried++
			p.Causes[i].PerCalls = tip.Is
			turned, err := diagnose.Consult(newCall(t, openCall...).Case(), &p)
			if err != nil {
				t.Fatal(err)
			}
			now := fmt.Sprint(turned.Causes[0].ID, turned.Scope.Best)
			if now == fmt.Sprint(r.Causes[0].ID, r.Scope.Best) {
				t.Errorf("%s: with the share at %g nothing changed", tip.Text, tip.Is)
			}
		}
	}
	if tried == 0 {
		t.Errorf("no tip is about how often a cause is met: %+v", found.Tips)
	}
}

// A hose test is worth more to a call with suspects inside and outside than the water
// costs; an answer that came already is worth nothing more.
func TestVisits(t *testing.T) {
	r, d := doubts(t, openCall...)
	by := map[string]diagnose.Visit{}
	for i, v := range d.Visits {
		by[v.ID] = v
		if v.Worth < 0 || v.Changes < 0 || v.Changes > 1 || math.Abs(v.Net-(v.Worth-v.Cost)) > 1e-9 {
			t.Errorf("%+v", v)
		}
		if i > 0 && v.Net > d.Visits[i-1].Net {
			t.Errorf("%s stands after %s and is worth more", v.ID, d.Visits[i-1].ID)
		}
	}
	if hose := by["hose"]; hose.Worth <= 0 || hose.High <= hose.Low || hose.Days != 7 {
		t.Errorf("hose test: %+v", hose)
	}
	full := r.WithDoubts(d)
	if why, ok := full.WhyOf("visit/hose"); !ok || why.Formula == "" {
		t.Errorf("why %+v", why)
	}
	_, d = doubts(t, append([]string{"hose-test=edge"}, openCall...)...)
	for _, v := range d.Visits {
		if v.ID == "hose" {
			t.Errorf("still offered after it was done: %+v", v)
		}
	}
}

// The shares add up to the whole: from the share before any sign to the share now.
func TestContributionsAddUp(t *testing.T) {
	r, d := doubts(t, closeCall...)
	if len(d.Contributions) != 3 {
		t.Fatalf("%d causes shared out", len(d.Contributions))
	}
	for i, c := range d.Contributions {
		x := r.Causes[i]
		sum := 0.0
		for _, s := range c.Topics {
			sum += s.Decibans
		}
		odds := func(p float64) float64 { return 10 * math.Log10(p/(1-p)) }
		if want := odds(x.P) - odds(x.Prior); c.Cause != x.ID || math.Abs(sum-want) > 1e-6 || math.Abs(c.Total-want) > 1e-6 {
			t.Errorf("%s: shares sum to %.6f, total %.6f; the odds of %s moved by %.6f", c.Cause, sum, c.Total, x.ID, want)
		}
	}
	if says := d.Contributions[0].Says(); !strings.HasPrefix(says, "Of what speaks for it: ") {
		t.Errorf("says %q", says)
	}
	if _, ok := r.WithDoubts(d).WhyOf("shares/" + r.Causes[0].ID); !ok {
		t.Error("nothing explains them")
	}
}

// What a test shows moves what it was meant to part.
func TestTestsSpeak(t *testing.T) {
	at := func(group string, r *diagnose.Reading) float64 {
		sum := 0.0
		for _, c := range r.Causes {
			if c.Group == group {
				sum += c.P
			}
		}
		return sum
	}
	before := newCall(t, openCall...).Reading()
	for _, x := range []struct{ answer, up, down string }{
		{"hose-test=edge@measured", "edges", "field"},
		{"hose-test=wall-above@measured", "walls", "field"},
		{"hose-test=nowhere@measured", "condensation", "edges"},
		{"opened-up=water-on-layer@opened", "trapped", "edges"},
		{"opened-up=wet-at-a-pipe@opened", "services", "field"},
		{"logger-test=void-wet@measured", "condensation", "field"},
	} {
		after := newCall(t, append([]string{x.answer}, openCall...)...).Reading()
		if at(x.up, after) <= at(x.up, before) || at(x.down, after) >= at(x.down, before) {
			t.Errorf("%s: %s %.3f -> %.3f, %s %.3f -> %.3f", x.answer, x.up, at(x.up, before), at(x.up, after), x.down, at(x.down, before), at(x.down, after))
		}
	}
}

// Too early there is no conclusion to doubt.
func TestNoDoubtsEarly(t *testing.T) {
	if newCall(t, "seen=drip").Reading().Doubts() != nil {
		t.Error("doubts after one answer")
	}
}

func BenchmarkDoubts(b *testing.B) {
	r := newCall(b, fullCall...).Reading()
	for b.Loop() {
		if _, err := r.Doubts().Run(context.Background()); err != nil {
			b.Fatal(err)
		}
	}
}
