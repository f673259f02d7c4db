package letter

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
	"underlap/testdata"
)

// example reads one of the built-in cases with the built-in knowledge.
func example(t *testing.T, name string) *diagnose.Reading {
	t.Helper()
	data, err := testdata.Cases.ReadFile("cases/" + name)
	if err != nil {
		t.Fatal(err)
	}
	c, err := casefile.Decode(data, name)
	if err != nil {
		t.Fatal(err)
	}
	r, err := diagnose.Consult(c, rules.Built())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// everything answers every question that the interview comes to, the nth answer of
// each list.
func everything(t *testing.T, n int) *diagnose.Reading {
	t.Helper()
	log := diagnose.NewMemoryLog(&casefile.Case{Head: casefile.Head{Format: casefile.Format, ID: "letter-full", Title: "Everything answered"}})
	at := time.Date(2025, 11, 24, 9, 30, 0, 0, time.UTC)
	p := rules.Built()
	c, err := diagnose.NewCall(log, p, "test", func() time.Time { at = at.Add(time.Minute); return at })
	if err != nil {
		t.Fatal(err)
	}
	given := 0
	for _, q := range p.Questions {
		says := ""
		switch {
		case q.Kind == rules.KindText:
			says = strings.Repeat("it has always been like that, ", 6)
		case q.Kind == rules.KindPlace:
			says = "Sheffield"
		case q.Kind == rules.KindSpots:
			says = fmt.Sprintf("%d;%d", 1+n, 5+n)
		case len(q.Answers) > 0:
			says = q.Answers[n%len(q.Answers)].ID
			if q.Kind == rules.KindSeveral && len(q.Answers) > 1 {
				says += "," + q.Answers[(n+1)%len(q.Answers)].ID
			}
		case q.Low != nil && q.High != nil:
			x := *q.Low + (*q.High-*q.Low)*float64(1+n)/8
			says = fmt.Sprintf("%.3f", x)
			switch {
			case q.Unit == "%":
				says = fmt.Sprintf("%.0f %%", x*100)
			case q.Kind == rules.KindLength:
				says += " m"
			}
		}
		if err := diagnose.Tell(c, q.ID+"="+says, 2025); err != nil {
			t.Errorf("%s=%s: %v", q.ID, says, err)
			continue
		}
		given++
	}
	if given < 60 {
		t.Fatalf("only %d answers were given", given)
	}
	return c.Reading()
}

// A letter of four hundred lines is not read. The limits are our own.
func TestLengthThatIsRead(t *testing.T) {
	const width, usual, full = 76, 185, 220
	lines := func(r *diagnose.Reading) int {
		d := Reply(r, onDay())
		return strings.Count(d.Text(width), "\n")
	}
	for _, name := range []string{"music-room.toml", "dairy-office.toml"} {
		if n := lines(example(t, name)); n >= usual {
			t.Errorf("%s: %d lines, want under %d", name, n, usual)
		}
	}
	for n := range 4 {
		if n := lines(everything(t, n)); n >= full {
			t.Errorf("everything answered: %d lines, want under %d", n, full)
		}
	}
}

// The letters of the built-in cases keep the rules of the invented one.
func TestLettersOfTheExamples(t *testing.T) {
	for _, name := range []string{"music-room.toml", "dairy-office.toml"} {
		r := example(t, name)
		d := Reply(r, onDay())
		checkPercentages(t, r, d)
		checkWords(t, r, d)
		checkVoices(t, r, d, 12)
		checkText(t, d, 76)
		short, ok := d.Section(SectionShort)
		if !ok || d.Sections[2].ID != SectionShort {
			t.Fatalf("%s: the short answer is not after the greeting", name)
		}
		for _, b := range short.Blocks {
			if b.Voice != Inferred || len(b.Items) < 4 || len(b.Items) > 6 {
				t.Errorf("%s: in short has voice %q and %d lines", name, b.Voice, len(b.Items))
			}
		}
		t.Logf("%s has %d lines", name, strings.Count(d.Text(76), "\n"))
	}
}

// A repair that would seldom stay the choice is not recommended with that number.
func TestTheTestDecides(t *testing.T) {
	for _, c := range []struct {
		ideal  float64
		number bool
	}{{0.001, false}, {0.2, false}, {0.52, true}} {
		r := invented()
		r.Scope.Ideal = c.ideal
		d := Reply(r, onDay())
		s := d.Markdown()
		if got := strings.Contains(s, "The chance that it stays our choice"); got != c.number {
			t.Errorf("at %v the chance is printed: %v, want %v", c.ideal, got, c.number)
		}
		if got := strings.Contains(s, "The test decides.") && strings.Contains(s, "It is the test that decides"); got == c.number {
			t.Errorf("at %v the letter says that the test decides: %v", c.ideal, got)
		}
	}
}

// Only these repairs are told in full: making safe, the best, the runner-up, and
// a lasting one where these only buy time.
func TestRepairsInFull(t *testing.T) {
	ids := func(r *diagnose.Reading) string {
		var out []string
		for _, o := range newWriter(r, onDay()).setOut() {
			out = append(out, o.ID)
		}
		return strings.Join(out, " ")
	}
	r := invented()
	if got, want := ids(r), "make-safe kerb wall-joint"; got != want {
		t.Errorf("in full: %s, want %s", got, want)
	}
	r.Scope.Best, r.Scope.RunnerUp = "make-safe", ""
	for i := range r.Scope.Options {
		r.Scope.Options[i].Loss = map[string]float64{"kerb": 900, "wall-joint": 1100}[r.Scope.Options[i].ID]
		if r.Scope.Options[i].ID == "convert" {
			r.Scope.Options[i].Loss = 5000
		}
	}
	if got, want := ids(r), "make-safe kerb"; got != want {
		t.Errorf("in full: %s, want %s", got, want)
	}
}

// A sum that found nothing wrong is named and no more.
func TestSumsInOrderAreNamed(t *testing.T) {
	r := invented()
	r.Findings[1].Verdict = "good"
	d := Reply(r, onDay())
	s := d.Markdown()
	if !strings.Contains(s, "In order: water from the room's air.") || strings.Contains(s, "What a cold week can leave") {
		t.Error("a sum in order is set out in full")
	}
	if !strings.Contains(s, "**Heat through the roof (poor):**") {
		t.Error("a poor sum is not set out")
	}
}
