package diagnose_test

import (
	"testing"

	"underlap/diagnose"
	"underlap/rules"
)

// fullCall is a long call, so that the benchmark bears the whole pack.
var fullCall = []string{
	"wet-near-electrics=no", "ceiling-bulging=flat", "going-up=no", "seen=drip,stain", "stain-colour=colourless", "weather-pattern=cold-dry",
	"dry-spell=yes", "frosty-morning=wet", "use-link=no", "lag=no-link", "litres=cup", "where-inside=downlight", "place=leeds",
	"roof-form=parapet", "form-also=tiled-slope,parapet-side", "roof-area=6 x 4", "covering=single-ply", "covering-age=2-10", "built-when=2011-2021",
	"sold-as=warm", "kerb-inside=417", "kerb-outside=152", "joist-span=3.4", "rooflight=fixed", "downlight-count=12", "downlight-kind=open", "room-use=living",
}

// BenchmarkSign is one answer about a sign in a call under way: the build-up and the
// sums stand.
func BenchmarkSign(b *testing.B) {
	c := newCall(b, fullCall...)
	c.Reading()
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		n++
		if err := diagnose.Tell(c, "edge-trim-state="+[]string{"tight", "cracked"}[n%2], 2026); err != nil {
			b.Fatal(err)
		}
		c.Reading()
	}
}

// BenchmarkAnswer is one answer to a redrawn reading, without the drawing: the bar
// is 16 ms with it.
func BenchmarkAnswer(b *testing.B) {
	c := newCall(b, fullCall...)
	kase := c.Case()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := diagnose.Consult(kase, rules.Built()); err != nil {
			b.Fatal(err)
		}
	}
}
