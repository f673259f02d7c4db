package scope_test

import (
	"math"
	"strings"
	"testing"

	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/diagnose/scope"
	"underlap/rules"
)

func price(t *testing.T, area float64, choices map[string]string) scope.Result {
	t.Helper()
	s := casefile.State{Answers: map[string]casefile.Answer{}}
	if area > 0 {
		s.Answers["roof-area"] = casefile.Answer{Question: "roof-area", Value: &area}
	}
	for q, c := range choices {
		s.Answers[q] = casefile.Answer{Question: q, Choices: []string{c}, Known: casefile.KnownTold}
	}
	return scope.Price(facts.From(s, rules.Built()), rules.Built())
}

func option(t *testing.T, r scope.Result, id string) scope.Option {
	t.Helper()
	o, ok := r.Option(id)
	if !ok {
		t.Fatalf("no %s", id)
	}
	return o
}

// The price of a warm conversion of 18 m2, added up by hand from the price book:
// strip 15, deck 0.5 x 30, foam 45, covering 50 a m2 is 2250; edges 5 x sqrt(12) = 17.3 m
// x 30 is 519.6; kerb 250, skip 250, control 250, scaffold 450: 3969.6, to the nearest 50
// is 3950. The high end: (30 + 25 + 75 + 95) x 18 = 4050; 17.3 x 60 = 1039.2; 600, 400,
// 500, 1200: 7789.2, with 15 % risk 8957.6, to the nearest 50 is 8950.
func TestConversionAddsUp(t *testing.T) {
	o := option(t, price(t, 18, nil), "convert-warm")
	if o.Low != 3950 || o.High != 8950 {
		t.Errorf("%v to %v, want 3950 to 8950", o.Low, o.High)
	}
	low := 0.0
	for _, l := range o.Lines {
		low += l.Low
	}
	if math.Abs(low-o.Low) > 25 {
		t.Errorf("lines add up to %v, the price says %v", low, o.Low)
	}
}

func TestPricesFollowTheRoof(t *testing.T) {
	small, large := option(t, price(t, 10, nil), "strip-renew"), option(t, price(t, 40, nil), "strip-renew")
	if small.Low >= large.Low {
		t.Errorf("10 m2 from %v, 40 m2 from %v", small.Low, large.Low)
	}
	if r := price(t, 0, nil); !r.Assumed || r.Area != 20 {
		t.Errorf("no size told: %+v", r.Area)
	}
	ladder, scaffold := option(t, price(t, 20, map[string]string{"access": "easy"}), "field-repair"), option(t, price(t, 20, map[string]string{"access": "scaffold"}), "field-repair")
	if scaffold.Low-ladder.Low < 400 {
		t.Errorf("scaffold adds %v", scaffold.Low-ladder.Low)
	}
	if a, b := option(t, price(t, 20, map[string]string{"access": "scaffold"}), "plumber"), option(t, price(t, 20, nil), "plumber"); a.Low != b.Low {
		t.Errorf("a plumber needs no scaffold: %v and %v", a.Low, b.Low)
	}
}

func TestBarred(t *testing.T) {
	for _, x := range []struct{ question, answer, repair, says string }{
		{"covering", "felt-chippings", "overlay", "chippings"},
		{"bubbles", "squelch", "overlay", "wet"},
		{"insulation-seen", "quilt-between", "close-edges", "vents"},
		{"deck-seen", "straw-slab", "strip-renew", "straw"},
		{"rooflight", "none", "rooflight-repair", "no such part"},
	} {
		o := option(t, price(t, 20, map[string]string{x.question: x.answer}), x.repair)
		if !strings.Contains(o.Barred, x.says) {
			t.Errorf("%s with %s=%s: barred %q, want %q", x.repair, x.question, x.answer, o.Barred, x.says)
		}
		if o := option(t, price(t, 20, nil), x.repair); o.Barred != "" {
			t.Errorf("%s is barred with nothing known: %s", x.repair, o.Barred)
		}
	}
}

// Rungs from four up wait for a core or a hatch, and no longer wait once it is opened.
func TestOpening(t *testing.T) {
	r := price(t, 20, nil)
	for _, o := range r.Options {
		if want := o.Rung >= 3; o.Opening != want {
			t.Errorf("%s on rung %d: needs opening %v", o.ID, o.Rung, o.Opening)
		}
	}
	s := casefile.State{Answers: map[string]casefile.Answer{"deck-seen": {Question: "deck-seen", Choices: []string{"ply-osb"}, Known: casefile.KnownOpened}}}
	if o := option(t, scope.Price(facts.From(s, rules.Built()), rules.Built()), "overlay"); o.Opening {
		t.Error("it has been opened")
	}
}

// Every line of every price follows the region, the way up included.
func TestPricesFollowTheRegion(t *testing.T) {
	s := casefile.State{Answers: map[string]casefile.Answer{}}
	base := *rules.Built()
	base.Prices.Region = map[string]float64{"here": 1, "dear": 2}
	base.Prices.Use = "here"
	dear := base
	dear.Prices.Use = "dear"
	f := facts.From(s, &base)
	a, b := scope.Price(f, &base), scope.Price(f, &dear)
	for i, o := range a.Options {
		for j, l := range o.Lines {
			if d := b.Options[i].Lines[j]; d.Low != 2*l.Low || d.High != 2*l.High {
				t.Errorf("%s, %s: %v to %v, and %v to %v where all costs double", o.ID, l.Name, l.Low, l.High, d.Low, d.High)
			}
		}
	}
}
