package diagnose_test

import (
	"encoding/json"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/diagnose/entry"
	"underlap/rules"
)

// drawn is a call with a roof of 6 by 3.5 m and what else is told.
func drawn(t *testing.T, told ...string) *diagnose.Reading {
	t.Helper()
	return newCall(t, append([]string{
		"seen=drip", "weather-pattern=any-rain", "lag=hours", "where-inside=house-wall", "roof-form=lean-to", "rooflight=fixed", "drainage=gutter",
	}, told...)...).Reading()
}

func zoneOf(r *diagnose.Reading, prefix string) (share float64) {
	for _, z := range r.Entry.Zones {
		if strings.HasPrefix(z.ID, prefix) {
			share += z.Share
		}
	}
	return share
}

func TestThereIsNoMapBeforeAnythingIsToldOfThePlan(t *testing.T) {
	if r := drawn(t); r.Entry != nil {
		t.Errorf("a map out of nothing: %+v", r.Entry.Plan)
	}
	for _, a := range []string{"roof-area=18", "plan-along=6", "plan-out=3", "stain-spots=5", "rooflight-spots=1"} {
		if r := drawn(t, a); r.Entry == nil {
			t.Errorf("%s: no map", a)
		}
	}
}

// The map takes the causes and gives nothing back: where it shows is weighed already.
func TestNoAnswerAboutThePlanMovesACause(t *testing.T) {
	bare := drawn(t, "roof-area=21") // a size is a size, however it was told
	full := drawn(t, "plan-along=6", "plan-out=3.5", "fall-towards=left", "joist-run=along", "plan-sides=wall-left,tiles-garden", "stain-spots=1.2x0.8;9", "rooflight-spots=5")
	if full.Entry == nil {
		t.Fatal("no map")
	}
	if !reflect.DeepEqual(bare.Causes, full.Causes) || !reflect.DeepEqual(bare.Sets, full.Sets) || !reflect.DeepEqual(bare.Open, openBut(full.Open)) {
		t.Error("the plan moved the causes or the questions")
	}
	if !reflect.DeepEqual(bare.Scope.Options, full.Scope.Options) {
		t.Error("the plan moved the repairs")
	}
}

// openBut leaves out what is only about the plan; it is open in the one and not the other.
func openBut(list []diagnose.Worth) []diagnose.Worth {
	return slices.DeleteFunc(slices.Clone(list), func(w diagnose.Worth) bool {
		q, _ := rules.Built().Question(w.Question)
		return q.Branch == "Plan"
	})
}

// Both move: the answer where it shows moves the causes, the stain on the plan moves the map.
func TestAStainByTheHouseWallMovesTheMap(t *testing.T) {
	size := []string{"plan-along=6", "plan-out=3.5", "fall-towards=garden", "joist-run=out"}
	at := func(spot string) *diagnose.Reading { return drawn(t, append(size, "stain-spots="+spot)...) }
	wall, garden, left, right := at("2"), at("8"), at("1"), at("3")
	if a, b := zoneOf(wall, "wall-foot"), zoneOf(garden, "wall-foot"); a < b+0.1 {
		t.Errorf("wall line with the stain by the wall %.2f, at the garden %.2f", a, b)
	}
	if a, b := zoneOf(left, "wall-foot/house-side-left"), zoneOf(right, "wall-foot/house-side-left"); a < 3*b {
		t.Errorf("left half with the stain left %.2f, right %.2f", a, b)
	}
}

func TestThePlanIsReadFromWhatWasAskedBefore(t *testing.T) {
	for _, x := range []struct {
		told       []string
		along, out float64
		assumed    bool
	}{
		{[]string{"plan-along=6", "plan-out=3.5", "roof-area=99"}, 6, 3.5, false},
		{[]string{"roof-area=3 x 6"}, 6, 3, true},
		{[]string{"plan-along=6", "roof-area=18"}, 6, 3, true},
		{[]string{"plan-out=3", "roof-area=18"}, 6, 3, true},
		{[]string{"roof-area=20", "joist-span=4"}, 5, 4, true},
		{[]string{"roof-area=24"}, 6, 4, true},
		{[]string{"stain-spots=9x1"}, 9, math.Sqrt(12), true},
	} {
		m := drawn(t, x.told...).Entry
		if math.Abs(m.Plan.Along-x.along) > 1e-9 || math.Abs(m.Plan.Out-x.out) > 1e-9 {
			t.Errorf("%v: %v by %v, want %v by %v", x.told, m.Plan.Along, m.Plan.Out, x.along, x.out)
		}
		if size := slices.ContainsFunc(m.Assumed, func(s string) bool { return strings.Contains(s, "plan is") || strings.Contains(s, "long side") }); size != x.assumed {
			t.Errorf("%v: assumed %v", x.told, m.Assumed)
		}
	}
}

func TestASpotOutsideThePlanIsLookedAtAgain(t *testing.T) {
	r := drawn(t, "plan-along=6", "plan-out=3.5", "stain-spots=7x1;5")
	if n := len(r.Entry.Plan.Stains); n != 1 {
		t.Errorf("%d stains on the plan", n)
	}
	found := false
	for _, x := range r.Recheck {
		found = found || strings.Contains(x.Text, "outside the plan of 6") && slices.Contains(x.Questions, "stain-spots")
	}
	if !found {
		t.Errorf("nobody says that it lies outside: %+v", r.Recheck)
	}
}

func TestASkylightThatIsUnsaidIsOffThePlan(t *testing.T) {
	if n := len(drawn(t, "plan-along=6", "rooflight-spots=5").Entry.Plan.Rooflights); n != 1 {
		t.Errorf("%d skylights", n)
	}
	if n := len(drawn(t, "plan-along=6", "rooflight-spots=5", "rooflight=none").Entry.Plan.Rooflights); n != 0 {
		t.Errorf("%d skylights where there is none", n)
	}
}

func TestALevelRoofLeadsTheWaterNowhere(t *testing.T) {
	m := drawn(t, "plan-along=6", "plan-out=6", "fall-towards=level", "stain-spots=5").Entry
	if m.Plan.Fall != "" || !m.Plan.FallTold {
		t.Errorf("falls towards %q", m.Plan.Fall)
	}
	for _, s := range m.Hose {
		if strings.Contains(s.Name, "slope") {
			t.Errorf("%s on a level roof", s.Name)
		}
	}
}

// What the screens, the letter and the JSON read is the same map.
func TestTheMapInJSON(t *testing.T) {
	r := drawn(t, "plan-along=6", "plan-out=3.5", "stain-spots=5")
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var out struct{ Entry *entry.Map }
	if err := json.Unmarshal(text, &out); err != nil {
		t.Fatal(err)
	}
	if out.Entry == nil || len(out.Entry.Cells) != 14 || len(out.Entry.Cells[0]) != 24 {
		t.Fatalf("%d rows of cells", len(out.Entry.Cells))
	}
	for _, key := range []string{`"not":null`, `"assumed":null`, `"hose":null`, `"causes":null`, `"pipes":null`} {
		if strings.Contains(string(text), key) {
			t.Errorf("the JSON holds %s", key)
		}
	}
	for _, z := range r.Entry.Zones {
		if _, ok := r.WhyOf(z.Why); z.Why != "" && !ok {
			t.Errorf("%s: its explanation %q is missing", z.Name, z.Why)
		}
	}
}

// Two sides are an area: it is not asked for again, and nothing is priced on a guess.
func TestTheSidesOfThePlanAreItsArea(t *testing.T) {
	r := drawn(t, "plan-along=6", "plan-out=3.5")
	if r.Scope.Assumed || math.Abs(r.Scope.Area-21) > 1e-9 {
		t.Errorf("priced for %v m2, assumed %v", r.Scope.Area, r.Scope.Assumed)
	}
	if r := drawn(t, "plan-along=6", "plan-out=3.5", "roof-area=18"); math.Abs(r.Scope.Area-18) > 1e-9 {
		t.Errorf("priced for %v m2, told 18", r.Scope.Area)
	}
}

// Where it shows is heard once: with a stain on the plan the map is the same whether
// where-inside was answered or not, but for what else that answer says.
func TestWhereItShowsIsHeardOnce(t *testing.T) {
	base := []string{"seen=drip", "weather-pattern=any-rain", "roof-form=lean-to", "roof-area=21", "plan-along=6", "plan-out=3.5", "stain-spots=2"}
	m := newCall(t, base...).Reading().Entry
	n := newCall(t, append(base, "where-inside=middle")...).Reading().Entry
	if !reflect.DeepEqual(m.Cells, n.Cells) {
		t.Error("where-inside moved the cells, though a stain is on the plan")
	}
	// Without a stain it is all that is known of the place, and moves them.
	m = newCall(t, base[:6]...).Reading().Entry
	n = newCall(t, append(base[:6:6], "where-inside=middle")...).Reading().Entry
	if reflect.DeepEqual(m.Cells, n.Cells) {
		t.Error("where-inside does not move the cells, though no stain is on the plan")
	}
}

// A spot is written one way in the case, however it was typed, and reads back the same.
func TestSpotsInTheCase(t *testing.T) {
	c := newCall(t, "stain-spots=120 cm x 80cm ; 3 by 2", "rooflight-spots= 5 9 ")
	for id, want := range map[string]string{"stain-spots": "1.2x0.8;3x2", "rooflight-spots": "5;9"} {
		s, _ := c.Step(id)
		if s.Typed != want {
			t.Errorf("%s: %q in the case, want %q", id, s.Typed, want)
		}
		if err := diagnose.Tell(c, id+"="+s.Typed, 2026); err != nil {
			t.Errorf("%s: its own words are refused: %v", id, err)
		}
		if again, _ := c.Step(id); again.Typed != want {
			t.Errorf("%s: told again it is %q", id, again.Typed)
		}
	}
	if err := diagnose.Tell(c, "stain-spots=by the door", 2026); err == nil || !strings.Contains(err.Error(), "1.2x0.8") {
		t.Errorf("by the door: %v", err)
	}
	if s, _ := c.Step("stain-spots"); s.Typed != "1.2x0.8;3x2" {
		t.Errorf("after a bad answer the case holds %q", s.Typed)
	}
}

// A case that was edited by hand opens; the place that cannot be read is left out and said.
func TestASpotThatCannotBeReadIsLeftOut(t *testing.T) {
	at := time.Date(2026, 1, 12, 9, 0, 0, 0, time.UTC)
	c := &casefile.Case{
		Head: casefile.Head{Format: casefile.Format, ID: "x", Title: "X", Created: at},
		Events: []casefile.Event{
			{ID: "0001-aaaa", At: at, By: "t", Kind: casefile.KindAnswered, Question: "stain-spots", Typed: "somewhere", Known: "told"},
			{ID: "0002-aaab", At: at, By: "t", Kind: casefile.KindAnswered, Question: "plan-along", Value: ptr(6.0), Known: "told"},
		},
	}
	r, err := diagnose.Consult(c, rules.Built())
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Entry.Plan.Stains) != 0 || !slices.ContainsFunc(r.Recheck, func(x diagnose.Recheck) bool { return slices.Contains(x.Questions, "stain-spots") }) {
		t.Errorf("stains %v, look again at %+v", r.Entry.Plan.Stains, r.Recheck)
	}
}

func ptr(v float64) *float64 { return &v }
