package casefile

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func event(id string, minute int, kind, question string, answers ...string) Event {
	return Event{ID: id, At: day.Add(time.Duration(minute) * time.Minute), Kind: kind, Question: question, Answers: answers}
}

func about(id string, minute int, target string) Event {
	return Event{ID: id, At: day.Add(time.Duration(minute) * time.Minute), Kind: KindWithdrawn, About: target}
}

func TestState(t *testing.T) {
	c := &Case{Events: []Event{
		event("0001-a", 1, KindAnswered, "first", "yes"),
		event("0002-a", 2, KindAnswered, "second", "unknown"),
		event("0003-a", 3, KindRevised, "first", "no"),
		event("0004-a", 4, KindAnswered, "third", "ask"),
		event("0005-a", 5, KindWithdrawn, "second"),
		event("0006-a", 6, KindNoted, ""),
		event("0007-a", 7, KindPhoto, ""),
		event("0008-a", 8, KindSighting, ""),
		event("0009-a", 9, KindSighting, ""),
		about("0010-a", 10, "0009-a"),
		event("0011-a", 11, KindIssued, ""),
		event("0012-a", 12, KindOutcome, "", "lap-open"),
		event("0013-a", 13, KindRemark, ""),
		event("0014-a", 14, KindSigned, ""),
		event("0015-a", 15, "wibble", ""),
	}}
	s := c.State()
	if diff := cmp.Diff([]string{"first", "third"}, s.Order); diff != "" {
		t.Error(diff)
	}
	if a := s.Answers["first"]; !a.Is("no") || a.Is("yes") || a.Revised != 1 || a.Event != "0003-a" || !a.Given() {
		t.Errorf("%+v", a)
	}
	if _, stands := s.Answers["second"]; stands || len(s.History["second"]) != 2 {
		t.Errorf("a withdrawn answer stands, or its history is gone: %v", s.History["second"])
	}
	if a := s.Answers["third"]; !a.Asked() || a.Given() || a.Unknown() || a.Skipped() {
		t.Errorf("%+v", a)
	}
	if len(s.Sightings) != 1 || s.Sightings[0].ID != "0008-a" {
		t.Errorf("sightings %v", s.Sightings)
	}
	for name, n := range map[string]int{
		"notes": len(s.Notes), "photos": len(s.Photos), "issued": len(s.Issued), "outcomes": len(s.Outcomes),
		"remarks": len(s.Remarks), "signed": len(s.Signed), "other": len(s.Other),
	} {
		if n != 1 {
			t.Errorf("%s: %d", name, n)
		}
	}
	if a := c.Until(2).State().Answers["second"]; !a.Unknown() || a.Given() {
		t.Errorf("after two events: %+v", a)
	}
	if n := len(c.Until(-1).Events) + len(c.Until(99).Events); n != 15 {
		t.Errorf("Until beyond the ends: %d", n)
	}
}

func TestWithdrawnAnswers(t *testing.T) {
	yes := event("0001-a", 1, KindAnswered, "q", "yes")
	no := event("0002-a", 2, KindRevised, "q", "no")
	for name, c := range map[string]struct {
		events  []Event
		want    string // the choice that stands, "" for none
		earlier int
	}{
		"the latest by id":               {[]Event{yes, no, about("0003-a", 3, "0002-a")}, "", 0},
		"an older one by id":             {[]Event{yes, no, about("0003-a", 3, "0001-a")}, "no", 1},
		"given again after it":           {[]Event{yes, event("0002-a", 2, KindWithdrawn, "q"), event("0003-a", 3, KindAnswered, "q", "no")}, "no", 1},
		"from a slow clock":              {[]Event{yes, about("0003-a", 0, "0001-a")}, "", 0},
		"withdrawal itself withdrawn":    {[]Event{yes, about("0002-b", 2, "0001-a"), about("0003-a", 3, "0002-b")}, "yes", 0},
		"withdrawal of nothing":          {[]Event{yes, about("0002-b", 2, "0099-z")}, "yes", 0},
		"file order is not what counts":  {[]Event{no, yes}, "no", 1},
		"same second, number decides":    {[]Event{event("10000-a", 2, KindRevised, "q", "late"), event("9999-a", 2, KindRevised, "q", "soon")}, "late", 1},
		"an answer without its question": {[]Event{event("0001-a", 1, KindAnswered, "", "yes")}, "", 0},
	} {
		t.Run(name, func(t *testing.T) {
			a, stands := (&Case{Events: c.events}).State().Answers["q"]
			if stands != (c.want != "") || (stands && (!a.Is(c.want) || a.Revised != c.earlier)) {
				t.Errorf("got %+v", a)
			}
		})
	}
}

// Two people take a copy each, go on alone, and merge: nothing is lost, it
// does not matter who merges whose, and merging again changes nothing.
func TestMerge(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		base := caseWith(t, dir, Head{ID: "x", Created: day}, nil, "base")
		a := caseWith(t, dir, base.Head, base.Events, "a")
		b := caseWith(t, dir, base.Head, base.Events, "b")
		ab, err := Merge(a, b)
		if err != nil {
			t.Fatal(err)
		}
		ba, err := Merge(b, a)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(ab.State(), ba.State()); diff != "" {
			t.Fatal(diff)
		}
		ids := map[string]bool{}
		for _, e := range append(a.Log(), b.Log()...) {
			ids[e.ID] = true
		}
		if len(ab.Events) != len(ids) {
			t.Fatalf("%d events of %d", len(ab.Events), len(ids))
		}
		again, err := Merge(ab, a)
		if err != nil || len(again.Events) != len(ab.Events) {
			t.Fatalf("merging twice: %v", err)
		}
	})
}

// caseWith makes a case on disk by absorbing events and then adding some.
func caseWith(t *rapid.T, dir string, head Head, events []Event, label string) *Case {
	path := dir + "/" + label + ".toml"
	removeFile(path)
	s, err := Create(path, head)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Absorb(&Case{Head: head, Events: events}); err != nil {
		t.Fatal(err)
	}
	for range rapid.IntRange(0, 3).Draw(t, label) {
		if _, err := s.Append(drawEvent(t)); err != nil {
			t.Fatal(err)
		}
	}
	c, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestMergeRefuses(t *testing.T) {
	a := &Case{Head: Head{ID: "x"}, Events: []Event{event("0001-a", 1, KindNoted, "")}}
	b := &Case{Head: Head{ID: "y"}}
	if _, err := Merge(a, b); err == nil {
		t.Error("two different cases were merged")
	}
	changed := event("0001-a", 1, KindNoted, "")
	changed.Note = "put in by hand"
	b = &Case{Head: Head{ID: "x"}, Events: []Event{changed}}
	if _, err := Merge(a, b); err == nil {
		t.Error("one id with two meanings was merged")
	}
	b = &Case{Head: Head{ID: "x", Title: "renamed"}}
	if m, err := Merge(a, b); err != nil || len(m.Warnings) != 1 {
		t.Errorf("a changed head: %v", err)
	}
}

// Keys of a later version travel with their events.
func TestAbsorbKeepsUnknownKeys(t *testing.T) {
	other, err := Read("testdata/whole.toml")
	if err != nil {
		t.Fatal(err)
	}
	s, err := Create(t.TempDir()+"/copy.toml", Head{ID: other.ID, Title: other.Title, Place: other.Place, Created: other.Created})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if n, err := s.Absorb(other); n != 3 || err != nil {
		t.Fatal(n, err)
	}
	if n, err := s.Absorb(other); n != 0 || err != nil {
		t.Fatal("a second time:", n, err)
	}
	back, err := Read(s.Path())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(other.Events, back.Events); diff != "" {
		t.Error(diff)
	}
}
