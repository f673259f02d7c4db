package diagnose_test

import (
	"context"
	"strings"
	"testing"

	"underlap/diagnose"
)

// No test is named anywhere without what must come before it, and none that lets water
// stand where it may not.
func TestStopsComeBeforeTests(t *testing.T) {
	outlet := []string{"drainage=outlet", "outlet-joint=mastic", "where-inside=outlet", "lag=minutes", "outlet-blocked=clear", "roof-form=plain", "seen=drip"}
	for _, x := range []struct {
		name  string
		also  []string
		first string // stands before the test
		fill  bool   // filling may be named
		goes  bool   // somebody may go there with no stop
	}{
		{"nothing in the way", []string{"wet-near-electrics=no", "ceiling-bulging=flat"}, "", true, true},
		{"electrics", []string{"wet-near-electrics=yes"}, "an electrician has tested it", true, false},
		{"fuse board", []string{"wet-near-electrics=fuse-board"}, "an electrician has tested it", true, false},
		{"electrics not known", []string{"wet-near-electrics=unknown"}, "Nobody has said yet whether wiring", true, false},
		{"electrics not asked", nil, "Nobody has said yet whether wiring", true, false},
		{"loaded and electrics", []string{"wet-near-electrics=yes", "ceiling-bulging=bulging"}, "The ceiling is loaded", true, false},
		{"planks", []string{"wet-near-electrics=no", "old-materials=planks"}, "structural engineer has looked", true, false},
		{"sagging", []string{"wet-near-electrics=no", "ceiling-bulging=sagging"}, "The ceiling sags", false, true},
		{"snow", []string{"wet-near-electrics=no", "snow-then=yes"}, "With snow on the roof", false, true},
	} {
		r := newCall(t, append(x.also, outlet...)...).Reading()
		var seal diagnose.Cause
		for _, c := range r.Causes {
			if c.ID == "outlet-seal" {
				seal = c
			}
		}
		if !strings.Contains(seal.Test, x.first) || strings.Contains(seal.Test, "fill the bowl") != x.fill {
			t.Errorf("%s: the cause's test is %q", x.name, seal.Test)
		}
		if x.fill && x.first != "" && strings.Index(seal.Test, x.first) > strings.Index(seal.Test, "fill the bowl") {
			t.Errorf("%s: the stop comes after the test: %q", x.name, seal.Test)
		}
		if sold := r.Scope.Test; sold != nil {
			if !x.goes && !strings.Contains(sold.Why, x.first) {
				t.Errorf("%s: sold because %q", x.name, sold.Why)
			}
			if !x.fill && (strings.Contains(sold.How, "fill") || strings.Contains(sold.Name, "filled,")) {
				t.Errorf("%s: sold %q, %q", x.name, sold.Name, sold.How)
			}
		}
		found, err := r.Doubts().Run(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range found.Visits {
			if v.ID == "hose" && (v.First == "") != x.goes {
				t.Errorf("%s: the hose test says first %q", x.name, v.First)
			}
		}
	}
}
