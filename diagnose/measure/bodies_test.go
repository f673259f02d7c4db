package measure

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Every name of every body is read, alone and with a count, as its size times the
// count, and every entry has a source. A name that another entry swallows fails here.
func TestEveryBodyIsRead(t *testing.T) {
	for _, b := range bodies {
		if b.source == "" || b.mm <= 0 || b.ends <= 0 {
			t.Errorf("%s: source %q, size %v, counting %v", b.names, b.source, b.mm, b.ends)
		}
		for _, name := range strings.Split(b.names, ",") {
			name = strings.TrimSpace(name)
			names := []string{name}
			for _, side := range strings.Split(b.sides, ",") {
				names = append(names, strings.TrimSpace(name+" "+side))
			}
			for _, name := range names {
				counts := map[string]float64{name: 1, "3 " + name: 3, "two " + name: 2}
				if strings.HasPrefix(name, "pound coin ") || strings.HasPrefix(name, "euro coin ") || name == "pound coin" || name == "euro coin" {
					delete(counts, "two "+name) // a two pound coin is one coin
				}
				for typed, n := range counts {
					got, err := Length(typed, Millimetres)
					if err != nil {
						t.Errorf("%q: %v", typed, err)
						continue
					}
					each := 2e-3 * math.Sqrt(n*b.each*b.each+n*n*b.all*b.all+b.ends*b.ends)
					if !near(got.Value, n*b.mm/1000) || math.Abs(got.Tolerance-each) > 1e-12 || !got.Vague {
						t.Errorf("%q is %+v, want %v ± %v", typed, got, n*b.mm/1000, each)
					}
				}
			}
		}
	}
}

// The more pieces, the longer and the less sure; a count never beats a tape.
func TestCounting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SampledFrom(bodies).Draw(t, "body")
		n := float64(rapid.IntRange(1, 20).Draw(t, "n"))
		few, finer := b.off(n)
		more, count := b.off(n + 1)
		if more < few || count != finer || count < 0.002*3-1e-12 {
			t.Fatalf("%s: %v of them are off %v and %v, one more %v and %v", b.names, n, few, finer, more, count)
		}
		if _, half := b.off(n + 0.5); half != finer/2 {
			t.Fatalf("%s: a half typed gives %v, whole ones %v", b.names, half, finer)
		}
	})
}

// Sizes of the standards, beside the table: 215 + 10, 102.5 + 10 and 65 + 10 of a
// UK brick and its joint stand 3 : 1.5 : 1, an A4 sheet has sides as 1 to the root of
// 2 (ISO 216, rounded to the mm), and two headers make a stretcher.
func TestSizesHangTogether(t *testing.T) {
	at := func(typed string) float64 {
		t.Helper()
		r, err := Length(typed, Millimetres)
		if err != nil {
			t.Fatal(err)
		}
		return r.Value * 1000
	}
	if !near(at("3 courses"), at("1 stretcher")) || !near(at("2 headers"), at("1 stretcher")) {
		t.Error("brickwork does not close")
	}
	if math.Abs(at("A4 long side")-math.Round(at("A4 short side")*math.Sqrt2)) > 0.5 {
		t.Error("A4 is not a sheet of the A row")
	}
	if math.Abs(at("bank card")-25.4*3.37) > 0.05 || math.Abs(at("bank card width")-25.4*2.125) > 0.05 {
		t.Error("ID-1 is 3.37 by 2.125 inches") // its older definition, from memory
	}
	if !near(at("3 us courses"), 8*25.4) {
		t.Error("three courses of modular brick are eight inches")
	}
}

// Sides of an area may be paced.
func TestAreaByPaces(t *testing.T) {
	r, err := Area("4 paces x 6 paces")
	if err != nil || math.Abs(r.Value-13.5) > 1e-9 || r.Tolerance < 2 {
		t.Errorf("%+v, %v", r, err)
	}
	both, err := Area("4 x 6 paces")
	if err != nil || both != r {
		t.Errorf("%+v, %v, want %+v", both, err, r)
	}
}
