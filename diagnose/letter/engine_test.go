package letter

import (
	"strings"
	"testing"
	"time"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
)

// read takes invented answers through the real engine: "question=answer", with
// "@known" after it where it matters.
func read(t *testing.T, answers ...string) *diagnose.Reading {
	t.Helper()
	log := diagnose.NewMemoryLog(&casefile.Case{Head: casefile.Head{Format: casefile.Format, ID: "letter-test", Title: "Back extension, wet on some mornings"}})
	at := time.Date(2025, 11, 24, 9, 30, 0, 0, time.UTC)
	c, err := diagnose.NewCall(log, rules.Built(), "test", func() time.Time { at = at.Add(time.Minute); return at })
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range answers {
		if err := diagnose.Tell(c, a, 2025); err != nil {
			t.Fatalf("%s: %v", a, err)
		}
	}
	return c.Reading()
}

var calls = map[string][]string{
	"wind and a kerb": {
		"wet-near-electrics=yes", "ceiling-bulging=flat", "seen=drip,stain", "stain-colour=tea-ring@photo", "weather-pattern=windy-rain", "dry-spell=no",
		"litres=2 L", "rooflight=fixed", "kerb-inside=480", "kerb-outside=150", "kerb-dressing=mastic@photo", "built-when=2003-2010", "sold-as=cold", "wall-flashing-state=ask",
	},
	"frost": {
		"wet-near-electrics=no", "seen=drip,mould", "weather-pattern=cold-dry", "dry-spell=yes", "frosty-morning=wet", "use-link=yes", "litres=film",
		"built-when=1976-1989", "insulation-seen=quilt-between@opened", "vents=none", "caller-words=it is *always* <wet> | and [no] 100 cure",
	},
	"two answers":      {"wet-near-electrics=no", "seen=stain"},
	"nothing":          {},
	"swapped readings": {"seen=drip", "weather-pattern=any-rain", "dry-spell=yes", "litres=nothing", "rooflight=fixed", "kerb-inside=150", "kerb-outside=480", "covering=felt", "stain-colour=tea-ring"},
}

// Letters from real readings keep the same rules as the invented one.
func TestLettersOfTheEngine(t *testing.T) {
	for name, answers := range calls {
		t.Run(name, func(t *testing.T) {
			r := read(t, answers...)
			d, asks := Reply(r, onDay()), Requests(r, onDay())
			order := ids(d)
			if order[0] != SectionSafety || order[len(order)-1] != SectionChange {
				t.Errorf("sections are %v", order)
			}
			isEarly := strings.Contains(strings.Join(order, " "), SectionEarly)
			if isEarly != (r.Answered < diagnose.Early) {
				t.Errorf("%d answers, early is %v", r.Answered, isEarly)
			}
			if !isEarly {
				checkPercentages(t, r, d)
				for _, id := range []string{SectionWhy, SectionWhat, SectionBuilt, SectionSums, SectionRepairs} {
					if _, ok := d.Section(id); !ok {
						t.Errorf("no section %s", id)
					}
				}
			}
			checkWords(t, r, d)
			checkWords(t, r, asks)
			for _, width := range []int{24, 40, 72} {
				checkText(t, d, width)
				checkText(t, asks, width)
			}
			need, ok := asks.Section(SectionNeed)
			if !ok || len(r.Open) > 0 && !strings.Contains((&Document{Sections: []Section{need}}).Markdown(), "\n1. ") {
				t.Error("the request asks for nothing, yet questions are open")
			}
			checkVoices(t, r, d, 12)
		})
	}
}
