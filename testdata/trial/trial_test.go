package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os/exec"
	"reflect"
	"strings"
	"testing"

	"underlap/diagnose"
	"underlap/rules"
	"underlap/testdata/trial/world"
)

// small is the trial in little, on a development seed.
var small = plan{calls: 60, seed: 3, asking: 1, packs: 1, shaken: 8, draws: 40}

// The world may not read the beliefs that it is to try.
func TestWorldDoesNotReadTheKnowledge(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "underlap/testdata/trial/world").Output()
	if err != nil {
		t.Fatalf("go list -deps: %v", err)
	}
	for _, dep := range strings.Fields(string(out)) {
		if strings.HasPrefix(dep, "underlap/rules") || strings.HasPrefix(dep, "underlap/diagnose") {
			t.Errorf("the world depends on %s", dep)
		}
	}
}

func TestSameSeedSameCalls(t *testing.T) {
	tr := newTrial(rules.Built())
	differ := 0
	for n := range uint64(6) {
		a, err := world.Make(5, n, tr.asked)
		if err != nil {
			t.Fatal(err)
		}
		b, err := world.Make(5, n, tr.asked)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(a, b) {
			t.Errorf("call %d of seed 5 came out in two ways", n)
		}
		c, err := world.Make(6, n, tr.asked)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(a.Says, c.Says) {
			differ++
		}
	}
	if differ < 6 {
		t.Errorf("only %d of 6 calls differ between seeds", differ)
	}
}

// Every answer that a caller gives can be given in the interview, asked for or not, and
// every truth is a cause of the pack.
func TestAnswersAndTruthsAreOfThePack(t *testing.T) {
	tr := newTrial(rules.Built())
	for _, id := range world.Listed() {
		if _, ok := tr.cause[id]; !ok {
			t.Errorf("the world makes %q, which the pack does not list", id)
		}
	}
	calls, err := tr.calls(4, 60)
	if err != nil {
		t.Fatal(err)
	}
	one, answered := 0, 0
	for _, c := range calls {
		if len(c.Truth) == 1 {
			one++
		}
		for _, x := range c.Truth {
			if _, ok := tr.cause[x.ID]; !ok {
				t.Errorf("call %d: truth %q is not in the pack", c.N, x.ID)
			}
			if (x.Unlisted != "") != (x.ID == world.OtherID) {
				t.Errorf("call %d: %q unlisted as %q", c.N, x.ID, x.Unlisted)
			}
		}
		for _, q := range tr.asked {
			if a, ok := c.Says[q.ID]; !ok {
				t.Errorf("call %d says nothing to %s", c.N, q.ID)
			} else if a.Text != "unknown" {
				answered++
			}
		}
	}
	for _, c := range calls[:15] {
		call, err := tr.open(c.N)
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range tr.asked {
			if err := put(call, q.ID, c.Says[q.ID]); err != nil {
				t.Errorf("call %d: %v", c.N, err)
			}
		}
	}
	if one < 33 || one > 55 {
		t.Errorf("%d of 60 calls have one cause, about 46 expected", one)
	}
	if mean := answered / 60; mean < 35 || mean > 75 {
		t.Errorf("%d answers a call", mean)
	}
}

// The engine must be worth more than looking at nothing, on calls that do not know it.
func TestEngineBeatsGuessing(t *testing.T) {
	res, err := run(rules.Built(), small)
	if err != nil {
		t.Fatal(err)
	}
	f := res.figures(res.full)
	for name, v := range map[string][]verdict{"nothing asked": res.prior, "the wall flashing": res.flashing, "condensation": res.damp} {
		g := res.figures(v)
		if f.top1.At <= g.top1.At || f.top3.At <= g.top3.At {
			t.Errorf("first suspect %.2f, first three %.2f; %s: %.2f, %.2f", f.top1.At, f.top3.At, name, g.top1.At, g.top3.At)
		}
		if f.log.At >= g.log.At || f.brier.At >= g.brier.At {
			t.Errorf("log %.2f, Brier %.3f; %s: %.2f, %.3f", f.log.At, f.brier.At, name, g.log.At, g.brier.At)
		}
		if f.regret.At >= g.regret.At {
			t.Errorf("regret %.0f; %s: %.0f", f.regret.At, name, g.regret.At)
		}
	}
	if len(res.engine) != small.asking || len(res.shaken) != 1 {
		t.Errorf("%d calls asked, %d packs perturbed", len(res.engine), len(res.shaken))
	}
	for _, a := range res.engine {
		if a.stop < 1 || a.stop > mostAsked || a.spent <= 0 || len(a.right) != len(marks) {
			t.Errorf("asked %d questions for %.2f, marks %v", a.stop, a.spent, a.right)
		}
	}
	var out bytes.Buffer
	missed := res.print(&out)
	if n := strings.Count(out.String(), "MISSED GATE"); n != len(missed) {
		t.Errorf("%d gates missed, %d named", len(missed), n)
	}
	if !strings.Contains(out.String(), "seed 3") {
		t.Error("the report does not print its seed")
	}
}

// Probabilities of a reading, regret against a plain sum, and a verdict on itself.
func TestRegretIsAPlainSum(t *testing.T) {
	tr := newTrial(rules.Built())
	calls, err := tr.calls(4, 3)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range calls {
		call, err := tr.whole(c)
		if err != nil {
			t.Fatal(err)
		}
		r := call.Reading()
		v := tr.judge(r, c)
		least := math.Inf(1)
		for _, o := range r.Scope.Options {
			if o.Barred == "" {
				least = math.Min(least, tr.lossOf(o, v.is))
			}
		}
		if v.regret < 0 || math.Abs(v.loss-v.regret-least) > 1e-9 {
			t.Errorf("call %d: loss %.2f, regret %.2f, least loss %.2f", c.N, v.loss, v.regret, least)
		}
		none := make([]bool, len(v.is))
		for _, o := range r.Scope.Options {
			if got := tr.lossOf(o, none); got != (o.Low+o.High)/2 {
				t.Errorf("with nothing wrong %s costs %.2f, its price is %.2f", o.ID, got, (o.Low+o.High)/2)
			}
		}
	}
}

// A perturbed pack is another pack that still consults, and leaves the first as it was.
func TestShakenLeavesThePackAlone(t *testing.T) {
	base := rules.Built()
	before, err := json.Marshal(base)
	if err != nil {
		t.Fatal(err)
	}
	p, q := shaken(base, seeded(1, 1)), shaken(base, seeded(1, 1))
	after, err := json.Marshal(base)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before, after) {
		t.Error("the pack itself was changed")
	}
	if !reflect.DeepEqual(p.Words, q.Words) || !reflect.DeepEqual(p.Causes, q.Causes) {
		t.Error("the same seed perturbs in two ways")
	}
	odds := func(x float64) float64 { return x / (1 - x) }
	moved := 0
	for i := range base.Causes {
		for k, l := range base.Causes[i].Links {
			if l.Of100 != nil {
				continue
			}
			a, b := odds(base.Words.Strength[l.Strength]), odds(p.Words.Strength[p.Causes[i].Links[k].Strength])
			if math.Abs(math.Log(b/a)) > math.Ln2+1e-9 {
				t.Errorf("%s, link %d: moved by more than a factor of two", base.Causes[i].ID, k)
			}
			if math.Abs(math.Log(b/a)) > 0.05 {
				moved++
			}
		}
	}
	if moved < 100 {
		t.Errorf("only %d links moved", moved)
	}
	tr := newTrial(p)
	c, err := world.Make(4, 0, tr.asked)
	if err != nil {
		t.Fatal(err)
	}
	call, err := tr.whole(c)
	if err != nil {
		t.Fatal(err)
	}
	r, err := diagnose.Consult(call.Case(), p)
	if err != nil || len(r.Causes) != len(p.Causes) {
		t.Errorf("a perturbed pack does not consult: %v", err)
	}
}
