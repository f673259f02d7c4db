package diagnose_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"underlap/diagnose"
	"underlap/rules"
)

// doubts asks how far a call's reading hangs on the knowledge's numbers.
func doubts(t testing.TB, answers ...string) (*diagnose.Reading, *diagnose.Robust) {
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
	r, found := doubts(t, "seen=drip,stain", "weather-pattern=every-day", "dry-spell=yes", "use-link=no", "pressure-falling=yes", "pipes-in-roof=pipes", "lag=no-link", "ceiling-feel=wet")
	if !found.Robust || found.Cause < 0.9 || !strings.HasPrefix(found.Text, "Holds in ") || found.Causes[0].ID != r.Causes[0].ID {
		t.Errorf("a burst pipe: %+v", found)
	}
	r, found = doubts(t, closeCall...)
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
	if d := cmp.Diff(found, again); d != "" {
		t.Errorf("asked twice:\n%s", d)
	}
	full := r.WithDoubts(found)
	if why, ok := full.WhyOf("robust"); !ok || len(why.Inputs) < 2 || r.Robust != nil {
		t.Errorf("why %+v, before %+v", why, r.Robust)
	}
}

// openCall is so early that many suspects are near one another.
var openCall = []string{"seen=drip", "weather-pattern=any-rain", "lag=hours", "roof-form=lean-to", "covering=felt", "covering-age=10-20"}

// A number that is said to tip the conclusion does, when the knowledge itself is changed.
func TestTipsTip(t *testing.T) {
	r, found := doubts(t, openCall...)
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
