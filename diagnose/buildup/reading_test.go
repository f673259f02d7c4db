package buildup

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"underlap/diagnose/facts"
	"underlap/rules"
)

// someReadings draws readings that a roof of about 0.3 m may give.
func someReadings(t *rapid.T) (map[string]string, map[string][2]float64) {
	lengths := map[string][2]float64{}
	put := func(id string, from, to float64) {
		if rapid.Bool().Draw(t, id+"?") {
			lengths[id] = [2]float64{rapid.Float64Range(from, to).Draw(t, id), rapid.SampledFrom([]float64{0, 0.010, 0.040}).Draw(t, id+" ±")}
		}
	}
	if rapid.Bool().Draw(t, "skylight") {
		lengths["kerb-inside"], lengths["kerb-outside"] = [2]float64{rapid.Float64Range(0.42, 0.50).Draw(t, "inside"), 0}, [2]float64{0.15, 0}
		if rapid.Bool().Draw(t, "second") {
			lengths["second-inside"], lengths["second-outside"] = [2]float64{rapid.Float64Range(0.42, 0.50).Draw(t, "inside"), 0}, [2]float64{0.15, 0}
			put("sides-apart", 0.6, 2)
		}
	}
	put("head-depth", 0.26, 0.36)
	put("outlet-depth", 0.24, 0.34)
	put("hole-depth", 0.18, 0.26)
	choices := map[string]string{"built-when": "2003-2010"}
	if rapid.Bool().Draw(t, "edge?") {
		choices["edge-depth"] = rapid.SampledFrom([]string{"thin", "middle", "deep"}).Draw(t, "edge")
		put("edge-height", 0.20, 0.40)
	}
	return choices, lengths
}

func same(t *rapid.T, what string, a, b *Result, within float64) {
	for _, x := range a.Types {
		if math.Abs(x.P-b.Type(x.Type)) > within {
			t.Fatalf("%s: %s %v and %v", what, x.Type, x.P, b.Type(x.Type))
		}
	}
	if (a.Joined == nil) != (b.Joined == nil) || a.Joined != nil && (math.Abs(a.Joined.M-b.Joined.M) > within || math.Abs(a.Joined.SD-b.Joined.SD) > within) {
		t.Fatalf("%s: joined %+v and %+v", what, a.Joined, b.Joined)
	}
}

// The order of the readings is nothing; a reading that may be anything is nothing; one
// that agrees with the rest makes the thickness no less sure.
func TestReadingsJoin(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		choices, lengths := someReadings(rt)
		b := *coarse()
		f := given(choices, lengths)
		r := Infer(f, &b, nil)

		turned := b
		turned.Readings = rapid.Permutation(b.Readings).Draw(rt, "order")
		same(rt, "another order", r, Infer(f, &turned, nil), 1e-9)

		for _, id := range []string{"head-depth", "outlet-depth"} {
			if _, ok := lengths[id]; ok || r.Joined == nil || len(r.Problems) > 0 {
				continue
			}
			lengths[id] = [2]float64{0.30, 1e5}
			same(rt, "anything at all", r, Infer(given(choices, lengths), &b, nil), 1e-6)
			// What agrees at the outlet is thinner by the fall to it.
			w := whole{}
			if id == "outlet-depth" {
				w.along = -1.5
			}
			lengths[id] = [2]float64{r.Joined.M + w.mean(&b), 0}
			if more := Infer(given(choices, lengths), &b, nil); len(more.Problems) == 0 && more.Joined.SD > r.Joined.SD+1e-9 {
				rt.Fatalf("%s at %v, which agrees, widens %v to %v", id, r.Joined.M, r.Joined.SD, more.Joined.SD)
			}
			delete(lengths, id)
		}
	})
}

// New shares of the types: they sum to one, stacks keep their shares within their
// type, and the shares that stood already change nothing.
func TestReweighed(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		choices, lengths := someReadings(rt)
		b := *coarse()
		r := Infer(given(choices, lengths), &b, nil)
		was := map[string]float64{NotListed: r.NotListed}
		for _, x := range r.Types {
			was[x.Type] = x.P
		}
		back := r.Reweighed(was)
		same(rt, "the same shares", r, back, 1e-12)
		if math.Abs(back.Covered-r.Covered) > 1e-9 || len(back.Stacks) != len(r.Stacks) || math.Abs(back.NotListed-r.NotListed) > 1e-12 {
			rt.Fatalf("the same shares: covered %v, was %v", back.Covered, r.Covered)
		}
		for i := range r.Stacks {
			if r.Stacks[i].Type != back.Stacks[i].Type || r.Stacks[i].Total != back.Stacks[i].Total || math.Abs(r.Stacks[i].P-back.Stacks[i].P) > 1e-12 {
				rt.Fatalf("the same shares: stack %d is %+v, was %+v", i, back.Stacks[i], r.Stacks[i])
			}
		}

		want, sum := map[string]float64{}, 0.0
		for id := range was {
			want[id] = rapid.Float64Range(0, 5).Draw(rt, id)
			sum += want[id]
		}
		before := r.Stacks[0]
		got := r.Reweighed(want)
		if r.Stacks[0].P != before.P || r.Types[0].P != was[r.Types[0].Type] {
			rt.Fatal("the first result was changed")
		}
		if sum == 0 {
			same(rt, "no shares", r, got, 0)
			return
		}
		all := got.NotListed
		for i, x := range got.Types {
			all += x.P
			if math.Abs(x.P-want[x.Type]/sum) > 1e-12 || i > 0 && x.P > got.Types[i-1].P {
				rt.Fatalf("types %+v, wanted %v of %v", got.Types, want, sum)
			}
		}
		if math.Abs(all-1) > 1e-12 || !(got.Covered >= 0 && got.Covered <= 1+1e-9) {
			rt.Fatalf("sum %v, covered %v", all, got.Covered)
		}
		first := map[string]float64{}
		for i, s := range got.Stacks {
			if i > 0 && (s.Type == got.Stacks[i-1].Type && s.P > got.Stacks[i-1].P || got.Type(s.Type) > got.Type(got.Stacks[i-1].Type)) {
				rt.Fatalf("stack %d is out of order", i)
			}
			if first[s.Type] == 0 {
				first[s.Type] = s.P
			}
		}
		firstWas := map[string]float64{}
		for _, s := range r.Stacks {
			if firstWas[s.Type] == 0 {
				firstWas[s.Type] = s.P
			}
		}
		for id, p := range first {
			if was[id] > 0 && math.Abs(p/got.Type(id)-firstWas[id]/was[id]) > 1e-9 && got.Type(id) > 0 {
				rt.Fatalf("%s: its first stack has %v of it, had %v", id, p/got.Type(id), firstWas[id]/was[id])
			}
		}
	})
	defer func() {
		if recover() == nil {
			t.Error("a probability below nought was taken")
		}
	}()
	b := rules.Built().BuildUp
	Infer(given(nil, nil), &b, nil).Reweighed(map[string]float64{"cold": -1})
}

// A thicker roof is no less likely to have its insulation above the deck, between 250
// and 360 mm, in any era; and with the era open or since 2022 no less likely warm, up
// to 400. It does not hold of "warm" in older eras: their boards are thin, and beyond
// 350 mm or so a hybrid or stones on top explain the rest better than a warm roof does.
func TestThickerIsWarmer(t *testing.T) {
	b := rules.Built().BuildUp
	for _, era := range []string{"", "1976-1989", "1990-2002", "2003-2010", "2011-2021", "since-2022"} {
		choices := map[string]string{}
		if era != "" {
			choices["built-when"] = era
		}
		was, above := 0.0, 0.0
		for mm := 250; mm <= 400; mm += 5 {
			r := Infer(given(choices, map[string][2]float64{"kerb-inside": {0.15 + float64(mm)/1000, 0}, "kerb-outside": {0.15, 0}}), &b, nil)
			warm := r.Type("warm")
			boards := warm + r.Type("hybrid") + r.Type("on-joists") + r.Type("inverted")
			if boards < above && mm <= 360 {
				t.Errorf("%q: %d mm has boards above with %.4f, less before %.4f", era, mm, boards, above)
			}
			if (era == "" || era == "since-2022") && warm < was {
				t.Errorf("%q: %d mm is warm with %.4f, thinner was %.4f", era, mm, warm, was)
			}
			was, above = warm, boards
		}
	}
}

// What is left over, against the subtraction by hand and the trade's table of what it
// means. Source of the meanings: common practice, no source.
func TestResidual(t *testing.T) {
	plain := map[string]string{"covering": "single-ply", "deck-seen": "ply-osb"}
	for _, x := range []struct {
		name    string
		lengths map[string][2]float64
		mm      float64 // by hand with a 15.5 ceiling, 18 deck, 1.5 sheet
		id      string
		growth  string
	}{
		{"330 on 195", map[string][2]float64{"kerb-inside": {0.480, 0}, "kerb-outside": {0.150, 0}, "joist-depth": {0.195, 0}}, 100, "boards", ""},
		{"330 on 195 at both sides", map[string][2]float64{"kerb-inside": {0.480, 0}, "kerb-outside": {0.150, 0}, "second-inside": {0.480, 0}, "second-outside": {0.150, 0}, "sides-apart": {1.5, 0}, "joist-depth": {0.195, 0}}, 100, "boards", "steady"},
		{"215 on 145", map[string][2]float64{"kerb-inside": {0.365, 0}, "kerb-outside": {0.150, 0}, "joist-depth": {0.145, 0}}, 35, "nothing", ""},
		{"25 in 1.25 m", map[string][2]float64{"kerb-inside": {0.3625, 0}, "kerb-outside": {0.150, 0}, "second-inside": {0.3375, 0}, "second-outside": {0.150, 0}, "sides-apart": {1.25, 0}, "joist-depth": {0.145, 0}}, 20, "firrings", "growing"},
		{"tapered", map[string][2]float64{"kerb-inside": {0.485, 0}, "kerb-outside": {0.150, 0}, "second-inside": {0.450, 0}, "second-outside": {0.150, 0}, "sides-apart": {2, 0}, "joist-depth": {0.170, 0}}, 112.5, "tapered", "growing"},
		{"no joist", map[string][2]float64{"kerb-inside": {0.480, 0}, "kerb-outside": {0.150, 0}}, math.NaN(), "", ""},
		{"a hole", map[string][2]float64{"kerb-inside": {0.480, 0}, "kerb-outside": {0.150, 0}, "hole-depth": {0.210, 0}}, 100.5, "hole-boards", ""},
		{"too little", map[string][2]float64{"kerb-inside": {0.350, 0}, "kerb-outside": {0.150, 0}, "joist-depth": {0.220, 0}}, -55, "short", ""},
	} {
		b := rules.Built().BuildUp
		b.Ceilings, b.Decks, b.Coverings = b.Ceilings[:1], b.Decks[:1], b.Coverings[3:4]
		r := Infer(given(plain, x.lengths), &b, nil).Residual
		if r == nil {
			t.Errorf("%s: no residual", x.name)
			continue
		}
		if r.ID != x.id || r.Growth != x.growth || r.Says == "" || r.Source == "" {
			t.Errorf("%s: %+v, want %q %q", x.name, r, x.id, x.growth)
		}
		// The middle of what it may be: a joist misheard moves it a little.
		if math.Abs(r.M*1000-x.mm) > 1 {
			t.Errorf("%s: %.1f mm left, by hand %.1f", x.name, r.M*1000, x.mm)
		}
	}
}

// What meets the readings within the limit explains them; a freak among thousands of
// sums does not, and readings that fit nothing say so.
func TestClosure(t *testing.T) {
	b := rules.Built().BuildUp
	for _, x := range []struct {
		name    string
		choices map[string]string
		lengths map[string][2]float64
		closes  bool
	}{
		{"a usual roof", nil, map[string][2]float64{"kerb-inside": {0.480, 0}, "kerb-outside": {0.150, 0}}, true},
		{"by the head alone", nil, map[string][2]float64{"head-depth": {0.300, 0}}, true},
		{"far too thick", nil, map[string][2]float64{"kerb-inside": {0.950, 0}, "kerb-outside": {0.100, 0}}, false},
		{"thinner than its joist", nil, map[string][2]float64{"kerb-inside": {0.320, 0}, "kerb-outside": {0.150, 0}, "joist-depth": {0.220, 0}}, false},
		{"nothing measured", nil, nil, false},
	} {
		r := Infer(given(x.choices, x.lengths), &b, nil)
		if r.Closes != x.closes {
			t.Errorf("%s: closes %v", x.name, r.Closes)
		}
	}
}

// Readings at odds are said to be, by name, and are no surer for being two.
func TestReadingsAtOdds(t *testing.T) {
	b := rules.Built().BuildUp
	r := Infer(given(nil, map[string][2]float64{"kerb-inside": {0.480, 0}, "kerb-outside": {0.150, 0}, "head-depth": {0.200, 0}}), &b, nil)
	if len(r.Problems) != 1 || !strings.Contains(r.Problems[0].Text, "do not agree") || !strings.Contains(r.Problems[0].Text, "330 mm") || len(r.Problems[0].Questions) != 3 {
		t.Errorf("%+v", r.Problems)
	}
	if r.Joined.SD < 0.02 {
		t.Errorf("joined as sure as %v", r.Joined.SD)
	}
}

// The trade's totals by era hold the middle of what the layers add up to.
func TestUsualTotalsHoldTheSums(t *testing.T) {
	b := rules.Built().BuildUp
	for _, e := range b.Eras {
		r := Infer(given(map[string]string{"built-when": e.ID}, nil), &b, nil)
		// Sheds and garages have shallow joists, which the table goes by.
		shallow := Infer(given(map[string]string{"built-when": e.ID}, map[string][2]float64{"joist-depth": {0.120, 0}}), &b, nil)
		for i, x := range r.Expected {
			u, ok := r.UsualOf(x.Type)
			if !ok {
				continue
			}
			if x.Type == "uninsulated" {
				x = shallow.Expected[i]
			}
			if x.Mid < u.Least || x.Mid > u.Most {
				t.Errorf("%s: %s, but the sums have their middle at %.0f mm", e.ID, u.Against(x.Mid), x.Mid*1000)
			}
		}
	}
	r := Infer(given(map[string]string{"built-when": "2011-2021"}, nil), &b, nil)
	u, ok := r.UsualOf("warm")
	if !ok || u.Against(0.330) != "a warm roof of 2010 to 2022 is usually 310 to 380 mm; this is within it" {
		t.Errorf("%q", u.Against(0.330))
	}
	for mm, want := range map[float64]string{250: "hardly ever as thin", 300: "thin side", 400: "thick side", 450: "hardly ever as thick"} {
		if !strings.Contains(u.Against(mm/1000), want) {
			t.Errorf("%v: %q", mm, u.Against(mm/1000))
		}
	}
}

// A figure for the edge takes the place of the answer for it: one edge counts once.
func TestTheEdgeCountsOnce(t *testing.T) {
	b := rules.Built().BuildUp
	with := Infer(given(map[string]string{"edge-depth": "deep"}, map[string][2]float64{"edge-height": {0.375, 0}}), &b, nil)
	without := Infer(given(nil, map[string][2]float64{"edge-height": {0.375, 0}}), &b, nil)
	for _, x := range with.Types {
		if math.Abs(x.P-without.Type(x.Type)) > 1e-12 {
			t.Errorf("%s: %v and %v", x.Type, x.P, without.Type(x.Type))
		}
	}
}

// Looks are offered where there is such a place, and not twice.
func TestSettleAsksForPlacesFirst(t *testing.T) {
	b := rules.Built().BuildUp
	offered := func(f *facts.Set) map[string]bool {
		out := map[string]bool{}
		for _, l := range Infer(f, &b, nil).Settle {
			out[l.Question] = true
		}
		return out
	}
	open := offered(given(map[string]string{"built-when": "2003-2010"}, nil))
	if !open["measure-at"] || open["head-depth"] || open["hole-depth"] {
		t.Errorf("nobody has said where else it can be measured: %v", open)
	}
	there := offered(given(map[string]string{"built-when": "2003-2010", "measure-at": "head"}, nil))
	if there["measure-at"] || !there["head-depth"] || there["hole-depth"] {
		t.Errorf("there is a head: %v", there)
	}
	edge := offered(given(map[string]string{"built-when": "2003-2010", "edge-depth": "deep"}, nil))
	if edge["edge-depth"] || !edge["edge-height"] {
		t.Errorf("the edge is deep: %v", edge)
	}
}
