package facts_test

import (
	"reflect"
	"testing"

	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/rules"
)

func set(answers ...casefile.Answer) *facts.Set {
	s := casefile.State{Answers: map[string]casefile.Answer{}}
	for _, a := range answers {
		s.Answers[a.Question] = a
	}
	return facts.From(s, rules.Built())
}

func TestChoicesAndNumbers(t *testing.T) {
	litres, age := 0.010, 12.0
	f := set(
		casefile.Answer{Question: "covering", Choices: []string{"epdm"}, Known: "photo"},
		casefile.Answer{Question: "seen", Choices: []string{"none"}},
		casefile.Answer{Question: "litres", Value: &litres, Typed: "10 L"},
		casefile.Answer{Question: "covering-age", Value: &age},
		casefile.Answer{Question: "lag", Choices: []string{"unknown"}},
		casefile.Answer{Question: "drainage", Choices: []string{"ask"}},
		casefile.Answer{Question: "from-another-pack", Choices: []string{"x"}},
		casefile.Answer{Question: "kerb-kind", Choices: []string{"no-longer-an-answer"}},
	)
	for q, want := range map[string][]string{"covering": {"epdm"}, "litres": {"bucket"}, "covering-age": {"10-20"}} {
		if got, ok := f.Choices(q); !ok || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v %v, want %v", q, got, ok, want)
		}
	}
	if got, ok := f.Choices("seen"); !ok || len(got) != 0 {
		t.Errorf("none of them: %v %v", got, ok)
	}
	for _, q := range []string{"lag", "drainage", "from-another-pack", "kerb-kind", "room-use"} {
		if _, ok := f.Get(q); ok {
			t.Errorf("%s is a fact", q)
		}
	}
	if v, ok := f.Number("litres"); !ok || v != 10 {
		t.Errorf("litres %v %v, want 10 in the question's own unit", v, ok)
	}
	if x, _ := f.Get("covering"); x.Reliability != 0.93 {
		t.Errorf("photo has reliability %v", x.Reliability)
	}
	if x, _ := f.Get("litres"); x.Reliability != 0.8 {
		t.Errorf("litres told has reliability %v, want the question's own", x.Reliability)
	}
}

func TestImplied(t *testing.T) {
	f := set(casefile.Answer{Question: "roof-form", Choices: []string{"lean-to"}})
	if !f.Is("form-also", "house-wall") {
		t.Error("a lean-to has a house wall")
	}
	f = set(casefile.Answer{Question: "roof-form", Choices: []string{"lean-to"}}, casefile.Answer{Question: "form-also", Choices: []string{"pipes"}})
	if !f.Is("form-also", "house-wall") || !f.Is("form-also", "pipes") {
		t.Error("what follows is added to what was said")
	}
	if x, _ := f.Get("form-also"); x.Implied {
		t.Error("an answer that was given counts as given")
	}
}

func TestBins(t *testing.T) {
	q, _ := rules.Built().Question("litres")
	for v, want := range map[float64]string{0.0001: "film", 0.05: "film", 0.1: "cup", 2.9: "pan", 3: "bucket", 1e6: "buckets"} {
		if got := facts.Bin(q, v); got != want {
			t.Errorf("%v L is in %q, want %q", v, got, want)
		}
	}
}

// A computation is remembered only while all it looked at is the same, what it found
// missing included.
func TestWatch(t *testing.T) {
	a := casefile.Answer{Question: "covering", Choices: []string{"epdm"}}
	f := set(a)
	reads, err := f.Watch(func() error { f.Is("covering", "epdm"); f.Number("kerb-inside"); return nil })
	if err != nil {
		t.Fatal(err)
	}
	if !reads.Same(f) || !reads.Same(set(a, casefile.Answer{Question: "seen", Choices: []string{"drip"}})) {
		t.Error("an answer nobody looked at is no change")
	}
	v := 0.4
	if reads.Same(set(a, casefile.Answer{Question: "kerb-inside", Value: &v})) {
		t.Error("what was missing is there now")
	}
	if reads.Same(set(casefile.Answer{Question: "covering", Choices: []string{"felt"}})) || reads.Same(set()) {
		t.Error("the answer changed")
	}
	if reads.Same(set(casefile.Answer{Question: "covering", Choices: []string{"epdm"}, Known: "opened"})) {
		t.Error("how it is known changed")
	}
	var nothing facts.Reads
	if nothing.Same(f) {
		t.Error("nothing was remembered")
	}
}
