package record

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
)

// Where all cases are alike, the rate is the posterior mean of Dirichlet shares,
// (a + n)/(A + N): Gelman and others, Bayesian Data Analysis, section 3.4 (from memory).
func TestRateIsTheDirichletMean(t *testing.T) {
	// By hand: ten of 100 believed calls, 8 found in 50 cases: (10 + 8)/(100 + 50) = 0.12.
	if got := 0.1 * Rate(10, 8, 5); math.Abs(got-0.12) > 1e-15 {
		t.Errorf("%v, by hand 0.12", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		shares := rapid.SliceOfN(rapid.Float64Range(0.1, 20), 2, 12).Draw(t, "calls")
		counts := rapid.SliceOfN(rapid.IntRange(0, 60), len(shares), len(shares)).Draw(t, "found")
		believed, found := 0.0, 0.0
		for i := range shares {
			believed += shares[i]
			found += float64(counts[i])
		}
		sum := 0.0
		for i := range shares {
			share := shares[i] / believed
			got := share * Rate(Worth*share, float64(counts[i]), found*share)
			want := (Worth*share + float64(counts[i])) / (Worth + found)
			if math.Abs(got-want) > 1e-12 {
				t.Fatalf("%v, the closed form %v", got, want)
			}
			sum += got
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Fatalf("the shares sum to %v", sum)
		}
	})
}

// A hundred cases go half of the way, on the scale that the constant lives on.
func TestTowards(t *testing.T) {
	for _, x := range []struct {
		name               string
		old, best, n, want float64
		by, back           func(float64) float64
	}{
		{"half way in odds: 4 to 9, so 6", 0.8, 0.9, 100, 6.0 / 7, logit, logistic},
		{"half way in logs: 1 to 4, so 2", 1, 4, 100, 2, math.Log, math.Exp},
		{"no cases", 0.8, 0.9, 0, 0.8, logit, logistic},
		{"nothing better", 0.8, 0.8, 500, 0.8, logit, logistic},
	} {
		if got := Towards(x.old, x.best, x.n, Worth, x.by, x.back); math.Abs(got-x.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", x.name, got, x.want)
		}
	}
}

// By hand: of three suspects at 0.6, 0.3 and 0.1 (two at once included, so they sum to
// 1.25 here), the second found: ln(0.3/1.25).
func TestScore(t *testing.T) {
	p := map[string]float64{"a": 0.8, "b": 0.3, "c": 0.15}
	if got, want := Score(p, []string{"b"}), math.Log(0.3/1.25); math.Abs(got-want) > 1e-15 {
		t.Errorf("%v, by hand %v", got, want)
	}
	if got, want := Score(p, []string{"a", "b"}), (math.Log(0.8/1.25)+math.Log(0.3/1.25))/2; math.Abs(got-want) > 1e-15 {
		t.Errorf("%v, by hand %v", got, want)
	}
}

// Without cases, and with cases that do not count, nothing moves.
func TestNothingToLearnFrom(t *testing.T) {
	cases := newWorld(3).cases(rules.Built(), 4)
	cases[0].Outcome.How = casefile.KnownGuess
	cases[1].Outcome.Found = nil
	cases[2].Outcome.Found = []string{"no-such-cause"}
	cases[3].Outcome.How = "" // an outcome of another hand, not said how
	for _, list := range [][]Closed{nil, cases} {
		l := learn(t, list, rules.Built())
		if l.Cases != 0 || l.Moved() {
			t.Errorf("%d cases: %+v", len(list), l)
		}
		left := 0
		for _, n := range l.Left {
			left += n
		}
		if left != len(list) {
			t.Errorf("of %d cases %v are told of", len(list), l.Left)
		}
		for _, s := range l.Causes {
			if s.Old != s.New {
				t.Errorf("%s moved from %v to %v", s.ID, s.Old, s.New)
			}
		}
	}
}

// In a world where pin-holes are met five times as often and worn-out coverings a fifth
// as often, two hundred closed cases move both towards what holds there, and cases of
// that world that were not learned on score better for it.
func TestLearnsAShiftedWorld(t *testing.T) {
	p := rules.Built()
	w := newWorld(11)
	w.times["pond-seep"], w.times["worn-out-covering"] = 5, 0.2
	l := learn(t, w.cases(p, 200), p)
	if l.Cases != 200 {
		t.Fatalf("%d cases count", l.Cases)
	}
	pond, worn := l.share(t, "pond-seep"), l.share(t, "worn-out-covering")
	t.Logf("pond-seep %.3g -> %.3g of %d, worn-out-covering %.3g -> %.3g of %d; rho %v tau %v other %v; score %.4f -> %.4f",
		pond.Old, pond.New, pond.Found, worn.Old, worn.New, worn.Found, l.Rho, l.Tau, l.Other, l.Before, l.After)
	if !(pond.New > 1.5*pond.Old && pond.New < 5*pond.Old) {
		t.Errorf("pond-seep went from %v to %v; 5 times is true", pond.Old, pond.New)
	}
	if !(worn.New < 0.75*worn.Old && worn.New > 0.2*worn.Old) {
		t.Errorf("worn-out-covering went from %v to %v; a fifth is true", worn.Old, worn.New)
	}
	if !(l.After > l.Before) {
		t.Errorf("the score went from %v to %v", l.Before, l.After)
	}
	taught, err := rules.WithOwn(p, []rules.OwnFile{{Name: rules.LearnedFile, Text: l.TOML("2026-11-25")}})
	if err != nil {
		t.Fatal(err)
	}
	fresh := newWorld(12)
	fresh.times = w.times
	before, after := 0.0, 0.0
	for _, k := range fresh.cases(p, 60) {
		x := diagnose.NewWeigher(k.Case)
		for _, y := range []struct {
			pack *rules.Pack
			sum  *float64
		}{{p, &before}, {taught.Pack, &after}} {
			got, err := x.Weigh(y.pack)
			if err != nil {
				t.Fatal(err)
			}
			*y.sum += Score(got, k.Outcome.Found) / 60
		}
	}
	t.Logf("60 other cases: %.4f -> %.4f", before, after)
	if !(after > before) {
		t.Errorf("cases that were not learned on score %v, before %v", after, before)
	}
}

// Where two answers in five mean nothing, hearsay is to be relied on less.
func TestLearnsCarelessAnswers(t *testing.T) {
	w := newWorld(21)
	w.noise = 0.6
	l := learn(t, w.cases(rules.Built(), 40), rules.Built())
	t.Logf("rho %v, tau %v, other %v", l.Rho, l.Tau, l.Other)
	if !(l.Rho.New < l.Rho.Old) {
		t.Errorf("rho went from %v to %v", l.Rho.Old, l.Rho.New)
	}
	if l.Rho.New < l.Rho.Best {
		t.Errorf("rho went past the best of the cases: %+v", l.Rho)
	}
}

// The file says what the lesson says, and is read as such.
func TestTheFileIsTheLesson(t *testing.T) {
	p := rules.Built()
	l := learn(t, newWorld(31).cases(p, 8), p)
	own, err := rules.WithOwn(p, []rules.OwnFile{{Name: rules.LearnedFile, Text: l.TOML("2026-11-25")}})
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range l.Causes {
		if c, _ := own.Pack.Cause(s.ID); c.PerCalls != s.New {
			t.Errorf("%s: %v in the pack, %v in the lesson", s.ID, c.PerCalls, s.New)
		}
	}
	other, _ := own.Pack.Cause(rules.OtherCause)
	if other.PerCalls != l.Other.New || own.Pack.Words.Temper() != l.Tau.New || told(own.Pack) != l.Rho.New {
		t.Errorf("constants %v %v %v, lesson %+v %+v %+v", other.PerCalls, own.Pack.Words.Temper(), told(own.Pack), l.Other, l.Tau, l.Rho)
	}
	if x := own.Pack.Learned; x == nil || x.Cases != 8 || x.Date != "2026-11-25" || x.Knowledge != p.Hash || own.Stale {
		t.Errorf("learned %+v, stale %v", x, own.Stale)
	}
}

// The same cases in another order teach the same.
func TestOrderOfCasesDoesNotMatter(t *testing.T) {
	cases := newWorld(41).cases(rules.Built(), 4)
	a := learn(t, cases, rules.Built())
	slices.Reverse(cases)
	b := learn(t, cases, rules.Built())
	if !bytes.Equal(a.TOML("2026-11-25"), b.TOML("2026-11-25")) {
		t.Errorf("%s\nand the other way round\n%s", a.TOML(""), b.TOML(""))
	}
}

// What was answered after the outcome does not count: it may have come of knowing.
func TestAnswersAfterTheOutcomeAreLeftOut(t *testing.T) {
	at := time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)
	c := &casefile.Case{Events: []casefile.Event{
		{ID: "0001-aaaa", At: at, Kind: casefile.KindAnswered, Question: "seen", Answers: []string{"drip"}},
		{ID: "0002-aaaa", At: at.Add(time.Minute), Kind: casefile.KindOutcome, Answers: []string{"open-lap"}, Known: casefile.KnownOpened},
		{ID: "0003-aaaa", At: at.Add(time.Hour), Kind: casefile.KindAnswered, Question: "surface", Answers: []string{"open-lap"}},
	}}
	k, ok := Close("x", c)
	if !ok || len(k.Case.Events) != 1 || k.Case.Events[0].Question != "seen" {
		t.Errorf("%v %+v", ok, k.Case)
	}
	if _, ok := Close("x", c.Until(1)); ok {
		t.Error("an open case passes for closed")
	}
}

// Keep and Undo give back byte for byte what was there.
func TestKeepAndUndo(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "rules")
	read := func() string {
		text, err := os.ReadFile(filepath.Join(folder, rules.LearnedFile))
		if errors.Is(err, os.ErrNotExist) {
			return "(none)"
		}
		return string(text)
	}
	if _, err := Undo(folder); !errors.Is(err, ErrNothingKept) {
		t.Errorf("undo of nothing: %v", err)
	}
	for _, text := range []string{"one", "two", "three"} {
		if _, _, err := Keep(folder, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if read() != text {
			t.Fatalf("kept %q", read())
		}
	}
	for _, want := range []string{"two", "one", "(none)"} {
		if _, err := Undo(folder); err != nil {
			t.Fatal(err)
		}
		if read() != want {
			t.Errorf("undo gave %q, want %q", read(), want)
		}
	}
	if _, err := Undo(folder); !errors.Is(err, ErrNothingKept) {
		t.Errorf("undo of all: %v", err)
	}
	if left, err := os.ReadDir(folder); err != nil || len(left) != 0 {
		t.Errorf("left behind: %v %v", left, err)
	}
}

// A case is scored with the counts of the others: they are what they are without it.
func TestCountsLeaveTheCaseItselfOut(t *testing.T) {
	counted := func(cases []Closed) *fit {
		f := &fit{pack: rules.Built()}
		for _, k := range cases {
			f.cases = append(f.cases, &one{Closed: k, weigher: diagnose.NewWeigher(k.Case)})
		}
		if err := f.count(); err != nil {
			t.Fatal(err)
		}
		return f
	}
	cases := newWorld(51).cases(rules.Built(), 5)
	cases[2].Outcome.Found = []string{"pond-seep", "puncture"}
	all := counted(cases)
	found, expected := 0.0, 0.0
	for id, n := range all.found {
		if id != rules.OtherCause {
			found += n
		}
	}
	for _, e := range all.expected {
		expected += e
	}
	if math.Abs(found-expected) > 1e-9 {
		t.Errorf("%v listed causes were found, %v expected", found, expected)
	}
	for i := range cases {
		others := counted(slices.Delete(slices.Clone(cases), i, i+1))
		got, want := all.perCalls(all.cases[i]), others.perCalls(nil)
		for c := range got {
			if math.Abs(got[c]-want[c]) > 1e-9 {
				t.Errorf("without case %d %s is met %v times in 100 calls, counted anew %v", i, rules.Built().Causes[c].ID, got[c], want[c])
			}
		}
	}
}
