package diagnose

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"underlap/diagnose/buildup"
	"underlap/diagnose/calc"
	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/diagnose/infer"
	"underlap/rules"
	"underlap/testdata/golden"
)

const linksFile = "../testdata/checks/links.toml"

// linkRow is one belief of the pack beside what the engine makes of it. The file of
// them is written by the program and read by people.
type linkRow struct {
	Of string  `toml:"of"`       // cause, or "mechanism ID"
	On string  `toml:"on"`       // question and answers
	P  float64 `toml:"of_100"`   // of 100 with only this at work
	B  float64 `toml:"else"`     // of 100 where nothing linked is
	To string  `toml:"speaks"`   // for, against or neither, from those two alone
	DB float64 `toml:"decibans"` // what the answer, told, says by itself on a roof of which nothing is known
}

func (r linkRow) name() string { return r.Of + ": " + r.On }

// direction is the rule that needs no engine: an answer speaks for what makes it
// commoner than it is anyway, by an eighth at least.
func direction(p, b float64) string {
	switch db := 10 * math.Log10(p/b); {
	case db > 0.5:
		return "for"
	case db < -0.5:
		return "against"
	}
	return "neither"
}

// TestLinks holds every link of the pack to three things: it has a row on file; the
// engine, told that one answer, moves the cause (or mechanism) the way the word and the
// background say; and nothing moved unseen since somebody last looked. When a move is
// meant: go test ./diagnose -run Links -update
//
// What it compares with: the direction is worked out from strength and background and
// not by the engine. The decibans are this program's own; they guard against drift.
func TestLinks(t *testing.T) {
	got := linkRows(t)
	for _, r := range got {
		if fault := r.fault(); fault != "" {
			t.Error(fault)
		}
	}
	if golden.Updating() {
		writeLinks(t, got)
		return
	}
	want := map[string]linkRow{}
	for _, r := range readLinks(t) {
		want[r.name()] = r
	}
	var changed, moved []string
	for _, g := range got {
		w, ok := want[g.name()]
		delete(want, g.name())
		switch {
		case !ok:
			t.Errorf("%s has no row in %s", g.name(), linksFile)
		case math.Abs(g.P-w.P) >= 0.05 || math.Abs(g.B-w.B) >= 0.05:
			changed = append(changed, fmt.Sprintf("%s: %.1f of 100 (else %.1f) -> %.1f (else %.1f); %+.1f -> %+.1f decibans", g.name(), w.P, w.B, g.P, g.B, w.DB, g.DB))
		case math.Abs(g.DB-w.DB) >= 0.1:
			moved = append(moved, fmt.Sprintf("%s: %+.1f -> %+.1f decibans", g.name(), w.DB, g.DB))
		}
	}
	for name := range want {
		t.Errorf("%s is on file and no longer in the pack", name)
	}
	if len(changed)+len(moved) > 0 {
		t.Errorf("%d links changed and %d moved with them; if that is meant, run go test ./diagnose -run Links -update\nchanged:\n%s\nmoved:\n%s",
			len(changed), len(moved), strings.Join(changed, "\n"), strings.Join(moved, "\n"))
	}
}

// fault says how the engine disagrees with the rule, "" if it does not.
func (r linkRow) fault() string {
	agrees := map[string]bool{"for": r.DB > 0, "against": r.DB < 0, "neither": math.Abs(r.DB) < 2}[r.To]
	if agrees && r.To == direction(r.P, r.B) {
		return ""
	}
	return fmt.Sprintf("%s: %.1f of 100 against %.1f speaks %q, and the engine gives %+.2f decibans", r.name(), r.P, r.B, r.To, r.DB)
}

// A link that the engine reads the other way round is found.
func TestLinkFaultIsFound(t *testing.T) {
	for _, r := range []linkRow{
		{P: 60, B: 20, To: "for", DB: -1},
		{P: 10, B: 20, To: "against", DB: 1},
		{P: 20, B: 20, To: "neither", DB: 3},
		{P: 60, B: 20, To: "against", DB: -1},
	} {
		if r.fault() == "" {
			t.Errorf("%+v passes", r)
		}
	}
}

// unknownRoof is the model of a roof of which nothing has been said.
func unknownRoof(t *testing.T) *model {
	t.Helper()
	pack := rules.Built()
	f := facts.From(casefile.State{}, pack)
	b := buildup.Infer(f, &pack.BuildUp, calc.JoistHabit(f))
	sums, err := calc.Run(f, pack, b, calc.Where{})
	if err != nil {
		t.Fatal(err)
	}
	return newModel(pack, f, b, sums)
}

func linkRows(t *testing.T) []linkRow {
	t.Helper()
	m := unknownRoof(t)
	engine, err := infer.Compile(m.spec)
	if err != nil {
		t.Fatal(err)
	}
	prior, err := engine.Update(infer.Evidence{})
	if err != nil {
		t.Fatal(err)
	}
	var out []linkRow
	for j := range m.pack.Mechanisms {
		x := &m.pack.Mechanisms[j]
		one := onlyMechanism(t, m, j)
		before := mechanismAfter(t, one, infer.Evidence{})
		for _, h := range heard(t, m, x.Links) {
			out = append(out, h.row("mechanism "+x.ID, odds(mechanismAfter(t, one, h.evidence()))-odds(before)))
		}
	}
	for i := range m.pack.Causes {
		c := &m.pack.Causes[i]
		for _, h := range heard(t, m, c.Links) {
			alone, err := prior.ByThemselves(h.evidence())
			if err != nil {
				t.Fatal(err)
			}
			out = append(out, h.row(c.ID, alone[h.finding][i]))
		}
	}
	return out
}

// onlyMechanism is the model without the other mechanisms. Beside them every answer is
// weighed against what they would have said; alone it is weighed against nothing at work.
func onlyMechanism(t *testing.T, m *model, j int) *infer.Engine {
	t.Helper()
	spec := m.spec
	spec.Mechanisms = spec.Mechanisms[j : j+1]
	spec.Findings = slices.Clone(spec.Findings)
	for i := range spec.Findings {
		fi := &spec.Findings[i]
		if fi.Over != infer.OverMechanisms {
			continue
		}
		var rows []infer.Row
		for _, r := range fi.Rows {
			if r.Parent == j {
				r.Parent = 0
				rows = append(rows, r)
			}
		}
		fi.Rows = rows
	}
	engine, err := infer.Compile(spec)
	if err != nil {
		t.Fatal(err)
	}
	return engine
}

func mechanismAfter(t *testing.T, engine *infer.Engine, ev infer.Evidence) float64 {
	t.Helper()
	post, err := engine.Update(ev)
	if err != nil {
		t.Fatal(err)
	}
	return post.Mechanism(0)
}

func odds(p float64) float64 { return 10 * math.Log10(p/(1-p)) }

// hearing is one thing a caller may say that a link speaks of.
type hearing struct {
	on         string
	p, b       float64
	finding    int
	likelihood []float64
}

func (h hearing) evidence() infer.Evidence {
	return infer.Evidence{Likelihood: map[int][]float64{h.finding: h.likelihood}}
}

func (h hearing) row(of string, db float64) linkRow {
	round := func(v float64) float64 { return math.Round(v*100)/100 + 0 } // no minus nought
	return linkRow{Of: of, On: h.on, P: round(h.p), B: round(h.b), To: direction(h.p, h.b), DB: round(db)}
}

// heard is what the links speak of: a link with a strength of the answers it names, a
// whole row of each answer by itself.
func heard(t *testing.T, m *model, links []rules.Link) []hearing {
	t.Helper()
	var out []hearing
	for _, sign := range m.pack.Signs(links) {
		for _, k := range sign.Links {
			sets := [][]string{k.Answer}
			if len(k.Of100) > 0 {
				sets = nil
				for _, a := range sign.Question.Answers {
					sets = append(sets, []string{a.ID})
				}
			}
			for _, answers := range sets {
				h := hearing{on: k.Question + " is " + strings.Join(answers, " or "), finding: -1}
				h.p, h.b = sign.Said(answers)
				for _, fi := range m.at[k.Question] {
					if m.findings[fi].option == sign.Option {
						h.finding = fi
					}
				}
				if h.finding < 0 {
					t.Fatalf("%s is no finding", h.on)
				}
				h.likelihood = m.said(h.finding, answers)
				out = append(out, h)
			}
		}
	}
	return out
}

// said is the likelihood of having been told one of the answers.
func (m *model) said(finding int, answers []string) []float64 {
	spec := &m.spec.Findings[finding]
	list := answers
	if m.findings[finding].option != "" {
		list = []string{"yes"}
	}
	out := make([]float64, len(spec.Answers))
	for _, a := range list {
		for i, p := range infer.Reliable(len(out), slices.Index(spec.Answers, a), spec.Reliability) {
			out[i] += p
		}
	}
	return out
}

// TestSignsAreWhatIsWeighed holds the numbers that rules shows to the rows that the
// model is made of: they are worked out in two places, and must not part company.
func TestSignsAreWhatIsWeighed(t *testing.T) {
	m := unknownRoof(t)
	checked := 0
	check := func(of string, parent int, over infer.Parents, links []rules.Link) {
		for _, sign := range m.pack.Signs(links) {
			for _, fi := range m.at[sign.Question.ID] {
				spec := &m.spec.Findings[fi]
				if m.findings[fi].option != sign.Option || spec.Over != over {
					continue
				}
				for _, row := range spec.Rows {
					if row.Parent != parent {
						continue
					}
					checked++
					for a := range row.P {
						// The model keeps a floor under every answer and norms again.
						if math.Abs(row.P[a]-sign.Share[a]) > 0.011 || math.Abs(spec.Background[a]-sign.Background[a]) > 1e-12 {
							t.Errorf("%s on %s, answer %s: shown %.4f else %.4f, weighed %.4f else %.4f", of, sign.Question.ID, spec.Answers[a], sign.Share[a], sign.Background[a], row.P[a], spec.Background[a])
						}
					}
				}
			}
		}
	}
	signs := 0
	for j, x := range m.pack.Mechanisms {
		check(x.ID, j, infer.OverMechanisms, x.Links)
		signs += len(m.pack.Signs(x.Links))
	}
	for i, c := range m.pack.Causes {
		check(c.ID, i, infer.OverCauses, c.Links)
		signs += len(m.pack.Signs(c.Links))
	}
	if checked != signs || signs < 300 {
		t.Errorf("%d signs, %d of them found in the model", signs, checked)
	}
}

// TestLinksSayNoLessThanTheRange: a link to lag or litres stands in place of what the
// cause's own range says, so one that is vaguer takes knowledge away.
func TestLinksSayNoLessThanTheRange(t *testing.T) {
	m := unknownRoof(t)
	checked := 0
	for i := range m.pack.Causes {
		c := &m.pack.Causes[i]
		for _, sign := range m.pack.Signs(c.Links) {
			q := sign.Question
			if q.Range == "" || q.Range == "litres" && c.LitresFrom != "" {
				continue // not a range, or one that the sums give for each roof
			}
			row := rangeRow(q, rangeOf(q.Range, c, nil))
			for _, k := range sign.Links {
				said, ranged := 0.0, 0.0
				for a := range q.Answers {
					if slices.Contains(k.Answer, q.Answers[a].ID) {
						said += sign.Share[a]
						ranged += row[a]
					}
				}
				checked++
				if said < ranged-0.10 {
					t.Errorf("%s: %s is %v: the link says %.0f of 100, the range of the cause itself %.0f; leave the link out or make it stronger", c.ID, q.ID, k.Answer, 100*said, 100*ranged)
				}
			}
		}
	}
	if checked < 20 {
		t.Errorf("%d links to lag and litres", checked)
	}
}

func writeLinks(t *testing.T, rows []linkRow) {
	t.Helper()
	var b strings.Builder
	b.WriteString(`# Every belief of the knowledge, one a line, and what the engine makes of it.
# Written by go test ./diagnose -run Links -update; do not edit it, edit rules/pack.
#
# of_100    of 100 roofs with only this cause (or mechanism) at work, how many give the answer
# else      of 100 roofs where nothing linked is
# speaks    for, against or neither: from those two numbers alone
# decibans  what the answer, told on the phone, says by itself for that cause, on a roof of
#           which nothing else is known: 10 is ten to one, 3 two to one, minus is against;
#           for a mechanism, as if there were no other
link = [
`)
	last := ""
	for _, r := range rows {
		if r.Of != last {
			fmt.Fprintf(&b, "  # %s\n", r.Of)
			last = r.Of
		}
		fmt.Fprintf(&b, "  { of = %q, on = %q, of_100 = %v, else = %v, speaks = %q, decibans = %v },\n", r.Of, r.On, r.P, r.B, r.To, r.DB)
	}
	b.WriteString("]\n")
	if err := os.WriteFile(linksFile, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

func readLinks(t *testing.T) []linkRow {
	t.Helper()
	var file struct {
		Link []linkRow `toml:"link"`
	}
	md, err := toml.DecodeFile(linksFile, &file)
	if err != nil {
		t.Fatal(err)
	}
	if un := md.Undecoded(); len(un) > 0 {
		t.Fatalf("%s: keys nobody checks: %v", linksFile, un)
	}
	return file.Link
}
