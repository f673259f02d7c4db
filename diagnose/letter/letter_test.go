package letter

import (
	"encoding/json"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"underlap/diagnose"
	"underlap/diagnose/explain"
	"underlap/rules"
	"underlap/testdata/golden"
)

func onFile(t *testing.T, name, got string) {
	t.Helper()
	golden.Same(t, filepath.Join("testdata", name), got)
}

// The golden letters were read by a person, line by line, when they were made.
func TestGolden(t *testing.T) {
	full := Reply(invented(), onDay())
	onFile(t, "reply.md", full.Markdown())
	onFile(t, "reply.txt", full.Text(72))
	onFile(t, "reply-narrow.txt", full.Text(40))
	short := Reply(thin(), onDay())
	onFile(t, "thin.md", short.Markdown())
	asks := Requests(invented(), onDay())
	onFile(t, "requests.md", asks.Markdown())
	onFile(t, "requests.txt", asks.Text(72))
}

func ids(d Document) []string {
	var out []string
	for _, s := range d.Sections {
		out = append(out, s.ID)
	}
	return out
}

func TestOrderOfSections(t *testing.T) {
	want := []string{
		SectionSafety, SectionOpening, SectionShort, SectionTold, SectionSeen, SectionWhy, SectionWhat, SectionBuilt, SectionSums,
		SectionTest, SectionRepairs, SectionRules, SectionNeed, SectionLimits, SectionChange,
	}
	if d := cmp.Diff(want, ids(Reply(invented(), onDay()))); d != "" {
		t.Errorf("sections (-want +got):\n%s", d)
	}
	thinWant := []string{SectionSafety, SectionOpening, SectionTold, SectionEarly, SectionNeed, SectionLimits, SectionChange}
	if d := cmp.Diff(thinWant, ids(Reply(thin(), onDay()))); d != "" {
		t.Errorf("sections of a thin reading (-want +got):\n%s", d)
	}
	nothing := ids(Reply(&diagnose.Reading{}, Options{}))
	if nothing[0] != SectionSafety || nothing[len(nothing)-1] != SectionChange {
		t.Errorf("an empty reading gives %v: safety must come first and the change of mind last", nothing)
	}
	if got := ids(Requests(invented(), onDay())); got[0] != SectionSafety {
		t.Errorf("the request starts with %v, want safety", got)
	}
}

// Safety stands before the greeting, in every shape.
func TestSafetyBeforeGreeting(t *testing.T) {
	for name, d := range map[string]Document{"full": Reply(invented(), onDay()), "thin": Reply(thin(), onDay()), "request": Requests(invented(), onDay())} {
		for shape, s := range map[string]string{"markdown": d.Markdown(), "text": d.Text(60)} {
			flat := strings.Join(strings.Fields(s), " ")
			safe, hello := strings.Index(flat, "switch that circuit off"), strings.Index(flat, "Dear Mr")
			if safe < 0 || hello < safe {
				t.Errorf("%s, %s: caution at %d, greeting at %d", name, shape, safe, hello)
			}
		}
	}
}

func TestNoEmptyHeadings(t *testing.T) {
	for name, d := range map[string]Document{
		"full": Reply(invented(), onDay()), "thin": Reply(thin(), onDay()), "nothing": Reply(&diagnose.Reading{}, Options{}),
		"request": Requests(invented(), onDay()), "no request": Requests(&diagnose.Reading{}, Options{}),
	} {
		for _, s := range d.Sections {
			if s.Title == "" || len(s.Blocks) == 0 {
				t.Errorf("%s: section %q is empty", name, s.ID)
			}
			for i, b := range s.Blocks {
				if b.Kind == Heading && (i+1 == len(s.Blocks) || s.Blocks[i+1].Kind == Heading) {
					t.Errorf("%s: nothing under the heading %q", name, b.Text)
				}
				if b.Text == "" && len(b.Items) == 0 && len(b.Table.Rows) == 0 {
					t.Errorf("%s: an empty block in %q", name, s.ID)
				}
			}
		}
	}
}

// text is every string of a block.
func (k *Block) strings() []string {
	d := Document{Sections: []Section{{Blocks: []Block{*k}}}}
	var out []string
	d.each(func(s *string) { out = append(out, *s) })
	return out
}

var odds = regexp.MustCompile(`\d+ %|\b(very likely|likely|possible|unlikely)\b`)

// checkVoices looks for facts of at least so many letters outside their voice,
// and for odds outside theirs.
func checkVoices(t *testing.T, r *diagnose.Reading, d Document, letters int) {
	t.Helper()
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			all := strings.Join(b.strings(), "\n")
			for _, f := range r.Facts {
				want := Told
				if f.Known != "told" {
					want = Seen
				}
				if len(f.Says) < letters || s.ID == SectionSums && f.Question == "built-when" {
					continue // a sum names the years whose rules it is held against
				}
				if s.ID == SectionChange && b.Voice == Told {
					continue // asked again: there the fact is repeated on purpose
				}
				if s.ID == SectionLimits && f.Question == "place" {
					continue // the weather of the sums is named
				}
				if f.Says == "None of these" {
					continue // the same words answer many questions, told and seen
				}
				// A bare "Yes" or "No" is in many words; it is looked for with its label.
				says := f.Says
				if len(says) < 5 {
					says = f.Short + "\n" + f.Says
				}
				// The sum of thickness repeats the readings it is made from.
				sum := s.ID == SectionWhat && f.Known == "measured"
				if b.Voice != want && strings.Contains(strings.ToLower(all), strings.ToLower(says)) && !sum {
					t.Errorf("section %s, voice %q: holds the fact %q, which is %s", s.ID, b.Voice, f.Says, want)
				}
			}
			if b.Voice == Seen {
				for _, f := range r.Facts {
					all = strings.ReplaceAll(all, f.Says, "") // a measured percentage is no odds
				}
			}
			if odds.MatchString(all) && b.Voice != Inferred {
				t.Errorf("section %s: odds in the voice %q: %q", s.ID, b.Voice, odds.FindString(all))
			}
		}
	}
}

// Told, seen and inferred do not share a block: no fact stands outside a block
// of its own voice, and no probability or hedge word inside one.
func TestVoicesApart(t *testing.T) {
	r := invented()
	d := Reply(r, onDay())
	checkVoices(t, r, d, 0)
	told, _ := d.Section(SectionTold)
	seen, _ := d.Section(SectionSeen)
	for _, f := range r.Facts {
		in := told
		if f.Known != "told" {
			in = seen
		}
		found := false
		for _, b := range in.Blocks {
			found = found || strings.Contains(strings.Join(b.strings(), "\n"), f.Says)
		}
		if !found {
			t.Errorf("the fact %q is not in section %s", f.Says, in.ID)
		}
	}
}

// Notes are the firm's own and never go to an owner.
func TestNotesStayIn(t *testing.T) {
	d := Reply(invented(), onDay())
	if s := d.Markdown(); strings.Contains(s, "sounded very sure") {
		t.Error("a private note is in the letter")
	}
}

var percent = regexp.MustCompile(`(under |over )?\d+ %`)

// percentages gathers every probability of a reading as the letter words it.
func percentages(r *diagnose.Reading) map[string]bool {
	out := map[string]bool{}
	add := func(p float64) { out[explain.Percent(p)] = true }
	add(r.Why.P)
	add(r.What.P)
	add(r.Built.P)
	add(r.More)
	add(r.Scope.Ideal)
	for _, c := range r.Causes {
		add(c.P)
	}
	for _, o := range r.Scope.Options {
		add(o.Cures)
	}
	if r.BuildUp != nil {
		add(r.BuildUp.NotListed)
		for _, s := range r.BuildUp.Types {
			add(s.P)
		}
		for _, s := range r.BuildUp.Stacks {
			add(s.P)
		}
	}
	return out
}

func checkPercentages(t *testing.T, r *diagnose.Reading, d Document) {
	t.Helper()
	ok := percentages(r)
	raw, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, p := range percent.FindAllString(d.Markdown(), -1) {
		n++
		if ok[p] || strings.Contains(string(raw), p) {
			continue
		}
		// A finding in per cent is printed with its own figures.
		hit := false
		for _, f := range r.Findings {
			for _, v := range []float64{f.Value, f.Low, f.High} {
				hit = hit || f.Unit == "%" && strings.HasSuffix(figure(v)+" %", p)
			}
		}
		if !hit {
			t.Errorf("%q is in the letter and not in the reading", p)
		}
	}
	if n == 0 {
		t.Error("no percentage in the letter")
	}
}

func TestPercentagesComeFromTheReading(t *testing.T) {
	r := invented()
	checkPercentages(t, r, Reply(r, onDay()))
}

// Each hedge word stands with a number of its own band.
func TestHedgeWordsMatchNumbers(t *testing.T) {
	d := Reply(invented(), onDay())
	pair := regexp.MustCompile(`(?i)\b(very likely|less likely|likely|possible|unlikely)(?:, | \()(under |over )?(\d+) %`)
	all := pair.FindAllStringSubmatch(d.Markdown(), -1)
	if len(all) < 6 {
		t.Fatalf("only %d hedge words with numbers", len(all))
	}
	for _, m := range all {
		p := 0.0
		if err := json.Unmarshal([]byte(m[3]), &p); err != nil {
			t.Fatal(err)
		}
		if got := explain.Hedge(p / 100); got != strings.ToLower(m[1]) {
			t.Errorf("%s: the word for this number is %q", m[0], got)
		}
	}
}

var forbidden = regexp.MustCompile(`(?i)\b(definite(ly)?|certain(ly)?|guarantee[ds]?|will cure|cures (it|this|the)|your fault|to blame|botched|cowboy|shoddy|decibans?)\b`)

func checkWords(t *testing.T, r *diagnose.Reading, d Document) {
	t.Helper()
	for _, s := range d.Sections {
		for _, b := range s.Blocks {
			if b.Voice == Told || b.Voice == Seen {
				continue // people's own words are theirs
			}
			for _, line := range b.strings() {
				if line == "About: "+r.Title {
					continue
				}
				if m := forbidden.FindString(line); m != "" {
					t.Errorf("section %s says %q: %s", s.ID, m, line)
				}
			}
		}
	}
}

func TestForbiddenWords(t *testing.T) {
	for name, r := range map[string]*diagnose.Reading{"full": invented(), "thin": thin(), "nothing": {}} {
		t.Run(name, func(t *testing.T) {
			checkWords(t, r, Reply(r, onDay()))
			checkWords(t, r, Requests(r, onDay()))
		})
	}
}

func TestNoPromiseWhereVapourIsPossible(t *testing.T) {
	const line = "A new covering or a patch does not stop that"
	r := invented()
	if d := Reply(r, onDay()); !strings.Contains(d.Markdown(), line) {
		t.Error("condensation is at 12 % and the letter does not say that a covering does not stop it")
	}
	r.Causes[2].P, r.Mechanisms[1].P = 0.02, 0.02
	if d := Reply(r, onDay()); strings.Contains(d.Markdown(), line) {
		t.Error("condensation is at 2 % and the letter still warns of it")
	}
}

// Figures of a weak source are said with "typically".
func TestTypically(t *testing.T) {
	d := Reply(invented(), onDay())
	s := d.Markdown()
	for _, want := range []string{
		"| Typical price | Typical life |", "| £250 to £690 |", "| £4,700 to £8,950 |", "| 25 to 40 years |",
		"typically £250 to £690", "typically £200 to £450", "(typical figures)",
	} {
		if !strings.Contains(s, want) {
			t.Errorf("the letter lacks %q", want)
		}
	}
	for _, m := range regexp.MustCompile(`.{0,14}£[0-9,]+`).FindAllString(s, -1) {
		if !strings.Contains(m, "typically £") && !strings.Contains(m, "to £") && !strings.Contains(m, "| £") {
			t.Errorf("a price without its word: %q", m)
		}
	}
	cases := []struct{ text, source, want string }{
		{"Levels rise by 120 mm.", habit, "Levels rise by 120 mm (typical figures)"},
		{"Bucket and wait", habit, "Bucket and wait"},
		{"Common since 1990", "from memory of a handbook", "Common since 1990"},
		{"76 mm of water", "calculation: 0.076 m x 1000; advice common practice", "76 mm of water"},
		{"9 in 10", "BS 6229:2018", "9 in 10"},
	}
	for _, c := range cases {
		if got := usual(c.text, c.source); got != c.want {
			t.Errorf("usual(%q, %q) = %q, want %q", c.text, c.source, got, c.want)
		}
	}
}

func TestBarredAndOpening(t *testing.T) {
	d := Reply(invented(), onDay())
	sec, _ := d.Section(SectionRepairs)
	one := Document{Sections: []Section{sec}}
	s := one.Markdown()
	for _, want := range []string{"Not for this roof: overlay (new sheet over the old) (not over an old patched sheet", "Higher steps wait until", "Left out here", "edge trim", "Not priced:"} {
		if !strings.Contains(s, want) {
			t.Errorf("the repairs lack %q", want)
		}
	}
	dear := invented()
	dear.Scope.RunnerUp = "convert"
	if d := Reply(dear, onDay()); !strings.Contains(d.Markdown(), "Not before the roof has been opened") {
		t.Error("a repair told in full does not say that it waits for an opening")
	}
	if strings.Contains(s, "£2,050") {
		t.Error("a barred repair is priced")
	}
	if i, j := strings.Index(s, "| 0 |"), strings.Index(s, "| 6 |"); i < 0 || j < i {
		t.Error("the rungs are not in order")
	}
}

// Every word of the trade that the letter uses is explained, once.
func TestGlossAtFirstUse(t *testing.T) {
	d := Reply(invented(), onDay())
	s := d.Markdown()
	n := 0
	for _, g := range glossary {
		explained := strings.Count(s, g.means)
		if explained > 1 {
			t.Errorf("%s is explained %d times", g.name, explained)
		}
		n += explained
		used := false
		for _, sec := range d.Sections {
			for _, b := range sec.Blocks {
				if b.Voice != Told && b.Voice != Seen && b.Kind != Heading {
					used = used || g.at.MatchString(strings.Join(b.strings(), "\n"))
				}
			}
		}
		if used && explained == 0 {
			t.Errorf("%s is used and not explained", g.name)
		}
		for _, other := range glossary {
			if other.at.MatchString(g.means) {
				t.Errorf("the meaning of %s uses %s", g.name, other.name)
			}
		}
	}
	if n < 6 {
		t.Errorf("only %d words explained", n)
	}
}

func TestRequestsAskThePackHowToTakeIt(t *testing.T) {
	p := rules.Built()
	o := onDay()
	o.Pack = p
	r := invented()
	d := Requests(r, o)
	s := d.Markdown()
	q, _ := p.Question("rooflight-wet")
	if q.Ask == "" || !strings.Contains(s, escape(q.Ask)) {
		t.Errorf("the request does not say how to take %q", q.Ask)
	}
	i, j := strings.Index(s, "two metres of the joint"), strings.Index(s, escape(q.Ask))
	if i < 0 || i > j {
		t.Error("what is awaited must come before what is new")
	}
	for _, want := range []string{"1. ", "2. ", "Nobody climbs", "No filters", "a tape", "date of each picture", "20 November 2025"} {
		if !strings.Contains(s, want) {
			t.Errorf("the request lacks %q", want)
		}
	}
	r.Open = nil
	for _, q := range p.Questions {
		r.Open = append(r.Open, diagnose.Worth{Question: q.ID, Bits: 0.1})
	}
	d = Requests(r, o)
	need, _ := d.Section(SectionNeed)
	for _, b := range need.Blocks {
		if b.Kind == Numbered && len(b.Items) != 1+mostRequested {
			t.Errorf("%d requests, want %d", len(b.Items), 1+mostRequested)
		}
	}
}

func TestReasonsDoNotRepeatFacts(t *testing.T) {
	w := writer{r: invented()}
	cases := []struct{ question, text, want string }{
		{"kerb-dressing", "How the sheet is dressed up the kerb: mastic at the corners (a bead does not last)", "how the sheet is dressed up the kerb (a bead does not last)"},
		{"kerb-dressing", "How the sheet is dressed up the kerb: mastic at the corners (a bead of 5 mm)", "how the sheet is dressed up the kerb (a bead of 5 mm, typical figures)"},
		{"kerb-dressing", "How the sheet is dressed up the kerb: mastic at the corners", `the photograph of "how the sheet is dressed up the kerb"`},
		{"seen", "A stain", `your answer on "what you see"`},
		{"seen", "Not mentioned: black spots", "what you see (not mentioned: black spots)"},
		{"seen", "Not there: a lifted or dirty joint", "what you see (not there: a lifted or dirty joint)"},
		{"not-a-fact", "Not there: black spots", "not there: black spots"},
		{"kerb-inside", "Inside reading: ceiling face to top of kerb: 480 ± 5 mm", `what was found of "inside reading: ceiling face to top of kerb"`},
		{"not-a-fact", "The age of the house", "the age of the house"},
	}
	for _, c := range cases {
		if got := w.reason(diagnose.Reason{Question: c.question, Text: c.text, Source: habit}); got != c.want {
			t.Errorf("%q gives %q, want %q", c.text, got, c.want)
		}
	}
}

func TestFigure(t *testing.T) {
	for _, c := range []struct {
		x    float64
		want string
	}{{0, "0"}, {0.213, "0.21"}, {1.25, "1.25"}, {12.34, "12.3"}, {1234.6, "1235"}, {0.0123, "0.012"}, {-0.001, "-0.001"}, {50, "50"}, {1e-300, "0"}} {
		if got := figure(c.x); got != c.want {
			t.Errorf("figure(%v) = %q, want %q", c.x, got, c.want)
		}
	}
}

// What a recheck tells the one on the phone to do is not told to the owner.
func TestRecheckIsAskedKindly(t *testing.T) {
	d := Reply(invented(), onDay())
	last, _ := d.Section(SectionChange)
	one := Document{Sections: []Section{last}}
	s := one.Markdown()
	for _, want := range []string{"Would you look again, please:** Water dripping, yet a ring", "please:** Wet after five dry days.", "please:** 330 mm fits no build-up"} {
		if !strings.Contains(s, want) {
			t.Errorf("the last section lacks %q:\n%s", want, s)
		}
	}
	for _, bad := range []string{"Ask both", "Do not round", "worth asking", "wrong answer"} {
		if strings.Contains(s, bad) {
			t.Errorf("the last section says %q", bad)
		}
	}
}

func TestResultIsSaidOnce(t *testing.T) {
	for _, c := range []struct {
		f    explain.Finding
		want string
	}{
		{explain.Finding{Text: "About 0.26 W/m²K, between 0.16 and 0.37", Value: 0.26, Low: 0.16, High: 0.37, Unit: "W/m²K"}, ""},
		{explain.Finding{Text: "About 0.26 W/m²K, between 0.17 and 1.80", Value: 0.26, Low: 0.17, High: 1.8, Unit: "W/m²K"}, ""},
		{explain.Finding{Text: "About 0.48 L a day (0.12 to 1.2)", Value: 0.48, Low: 0.12, High: 1.2, Unit: "L/day"}, ""},
		{explain.Finding{Text: "About 0.27 L a day", Value: 0.27, Low: 0.023, High: 1.3, Unit: "L"}, " Nine times in ten between 0.023 and 1.3 L."},
		{explain.Finding{Text: "It stays", Value: 120, Low: 60, High: 240, Unit: "months"}, " Result: 120 months, nine times in ten between 60 and 240 months."},
		{explain.Finding{Text: "It stays", Value: 120, Low: 120, High: 120, Unit: "months"}, " Result: 120 months."},
		{explain.Finding{Text: "Just words"}, ""},
	} {
		if got := result(c.f); got != c.want {
			t.Errorf("%q: %q, want %q", c.f.Text, got, c.want)
		}
	}
}
