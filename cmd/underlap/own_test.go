package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"underlap/diagnose/casefile"
	"underlap/rules"
)

// own writes a file of the firm's own knowledge and returns its folder.
func (w *world) own(t testing.TB, name, text string) string {
	t.Helper()
	folder, _ := w.e.ownFolder()
	if err := os.MkdirAll(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return folder
}

func (w *world) knowledge(t testing.TB) string {
	t.Helper()
	var r struct{ Knowledge string }
	if err := json.Unmarshal([]byte(w.must(t, "reading", "example", "--json")), &r); err != nil {
		t.Fatal(err)
	}
	return r.Knowledge
}

// A firm starts from the example, sees what it changes, and gets other readings for it.
func TestOwnKnowledge(t *testing.T) {
	w := newWorld(t)
	if out := w.must(t, "rules", "own"); !strings.Contains(out, filepath.Join(w.e.config, "rules")) || !strings.Contains(out, "rules own --example") {
		t.Errorf("with nothing of one's own it prints\n%s", out)
	}
	w.own(t, "own.toml", w.must(t, "rules", "own", "--example"))
	if out := w.must(t, "rules", "own"); !strings.Contains(out, "It changes nothing") || w.knowledge(t) != rules.Built().Hash {
		t.Errorf("the example as it stands changes something:\n%s", out)
	}
	w.own(t, "own.toml", "[[cause]]\nid = \"worn-out-covering\"\ncalls_per_100 = 4\n")
	w.own(t, "words.toml", "[[question]]\nid = \"wet-near-electrics\"\nsay = \"Any lamp wet?\"\n")
	for _, want := range []string{
		"2 files",
		"cause worn-out-covering (Covering worn out by age and sun)\n  calls_per_100: 6 -> 4  [own.toml:3]",
		`-> "Any lamp wet?"  [words.toml:3]`,
	} {
		if out := w.must(t, "rules", "own"); !strings.Contains(out, want) {
			t.Errorf("rules own does not say %q:\n%s", want, out)
		}
	}
	if w.knowledge(t) == rules.Built().Hash {
		t.Error("the hash of the knowledge does not cover the firm's own")
	}
	if out := w.must(t, "questions", "--branch", "Safety"); !strings.Contains(out, "Any lamp wet?") {
		t.Error("the question has not the firm's own words")
	}
	if out := w.must(t, "rules", "check"); !strings.Contains(out, "Of your own: 2 changes") {
		t.Errorf("rules check says\n%s", out)
	}
}

// A fault stops the text commands with file, line and key, and touches no case. A call on
// the screen goes on with what is built in, and says so.
func TestOwnKnowledgeWithAFault(t *testing.T) {
	w := newWorld(t)
	file := filepath.Join(w.dir, "hill.toml")
	w.must(t, "tell", file, "--new", "Hill", "seen=drip")
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	folder := w.own(t, "own.toml", "[[cause]]\nid = \"puncture\"\ncalls_per_100 = -4\n")
	for _, x := range []struct {
		code int
		args []string
	}{
		{exitFailed, []string{"reading", file}},
		{exitFailed, []string{"tell", file, "seen=stain"}},
		{exitFailed, []string{"close", file, "--not-found"}},
		{exitFailed, []string{"reply", file}},
		{exitFailed, []string{"questions"}},
		{exitFailed, []string{"rules", "learn"}},
		{exitFaults, []string{"rules", "check"}},
		{exitFaults, []string{"rules", "own"}},
	} {
		code, out, errs := w.run(x.args...)
		if code != x.code || out != "" {
			t.Errorf("%v: exit %d, want %d; printed %q", x.args, code, x.code, out)
		}
		for _, want := range []string{folder, `own.toml:3: cause "puncture": calls_per_100 must be a number over 0`, "take the file out"} {
			if !strings.Contains(errs, want) {
				t.Errorf("%v: the error does not say %q:\n%s", x.args, want, errs)
			}
		}
	}
	if after, err := os.ReadFile(file); err != nil || string(after) != string(before) {
		t.Error("the case was touched")
	}
	store, err := casefile.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	c, o, err := w.e.callOf(store)
	if err != nil {
		t.Fatal(err)
	}
	if c.Pack() != rules.Built() || !strings.Contains(o.Notice, "rules check") {
		t.Errorf("the call runs on %s and says %q", c.Pack().Hash, o.Notice)
	}
	// Prices of one's own stay in use.
	if err := os.WriteFile(filepath.Join(w.e.config, "prices.toml"), []byte(strings.Replace(w.must(t, "rules", "prices"), "low = 120, high = 300", "low = 121, high = 300", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	p, notice := w.e.packOnScreen()
	if visit, _ := p.Prices.Price("visit"); visit.Low != 121 || notice == "" {
		t.Errorf("visit %v, notice %q", visit, notice)
	}
	w.e.getenv = func(name string) string {
		return map[string]string{"UNDERLAP_RULES": filepath.Join(w.dir, "nowhere")}[name]
	}
	if code, _, errs := w.run("reading", "example"); code != exitFailed || !strings.Contains(errs, "UNDERLAP_RULES") {
		t.Errorf("a folder that is not there: exit %d, %s", code, errs)
	}
}

// A letter that went out under other knowledge is told of until the next one goes out.
func TestLetterUnderOtherKnowledge(t *testing.T) {
	w := newWorld(t)
	file := filepath.Join(w.dir, "hill.toml")
	w.must(t, "tell", file, "--new", "Hill", "seen=drip", "weather-pattern=any-rain")
	store, err := casefile.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	c, _, err := w.e.callOf(store)
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Issued("reply letter"); err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	if out := w.must(t, "reading", file); strings.Contains(out, "was written with knowledge") {
		t.Errorf("nothing has changed, but it says\n%s", out)
	}
	w.own(t, "own.toml", "[[cause]]\nid = \"puncture\"\ncalls_per_100 = 9\n")
	now := w.knowledge(t)
	want := fmt.Sprintf("The letter of 1 Dec 2026 was written with knowledge %s; this is %s.", rules.Built().Hash, now)
	if out := w.must(t, "reading", file); !strings.Contains(out, want) {
		t.Errorf("the reading does not say %q:\n%s", want, out)
	}
	var r struct {
		Then    string `json:"knowledge_then"`
		Changed bool   `json:"knowledge_changed"`
	}
	if err := json.Unmarshal([]byte(w.must(t, "reading", file, "--json")), &r); err != nil {
		t.Fatal(err)
	}
	if r.Then != rules.Built().Hash || !r.Changed {
		t.Errorf("JSON says %+v", r)
	}
}

// Closing a case: what is refused, what is written, and how it is taken back.
func TestClose(t *testing.T) {
	w := newWorld(t)
	w.must(t, "tell", "hill", "--new", "Hill", "seen=drip", "surface=open-lap")
	file := filepath.Join(w.e.cases, "hill.toml")
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		args []string
		want string
	}{
		{[]string{"close"}, "close takes one case"},
		{[]string{"close", "hill"}, "one of --found CAUSE, --not-found and --reopen"},
		{[]string{"close", "hill", "--found", "open-lap", "--not-found"}, "one of"},
		{[]string{"close", "hill", "--found", ","}, "--found needs a cause"},
		{[]string{"close", "hill", "--found", "open-lapp"}, "there is no cause \"open-lapp\"; the causes are asphalt-fillet"},
		{[]string{"close", "hill", "--found", "open-lap,open-lap"}, "named twice"},
		{[]string{"close", "hill", "--found", "open-lap", "--how", "told"}, "opened, repaired-and-dry, guess"},
		{[]string{"close", "hill", "--reopen"}, "the case is open"},
		{[]string{"close", "dale", "--not-found"}, `there is no case "dale"`},
	} {
		if code, _, errs := w.run(x.args...); code != exitUsage || !strings.Contains(errs, x.want) {
			t.Errorf("%v: exit %d, %s", x.args, code, errs)
		}
	}
	if after, err := os.ReadFile(file); err != nil || string(after) != string(before) {
		t.Error("a refused outcome touched the case")
	}
	out := w.must(t, "close", "hill", "--found", "open-lap,something-else", "--how", "repaired-and-dry", "--note", "dry for a winter")
	if !strings.Contains(out, "Found: Lap or seam open. It was number 1 of the suspects") {
		t.Errorf("close prints\n%s", out)
	}
	k, err := casefile.Read(file)
	if err != nil || len(k.Warnings) > 0 {
		t.Fatalf("%v %v", err, k.Warnings)
	}
	if o := k.State().Outcomes; len(o) != 1 || strings.Join(o[0].Answers, " ") != "open-lap something-else" || o[0].Known != "repaired-and-dry" || o[0].Pack != rules.Built().Hash || o[0].Note != "dry for a winter" {
		t.Errorf("outcome %+v", o)
	}
	if out := w.must(t, "desk"); !strings.Contains(out, "closed: Lap or seam open; Something not on this list (repaired and dry)") {
		t.Errorf("the desk says\n%s", out)
	}
	w.must(t, "close", "hill", "--not-found")
	if out := w.must(t, "desk"); !strings.Contains(out, "closed: the cause was never found") {
		t.Errorf("a later outcome does not stand:\n%s", out)
	}
	w.must(t, "close", "hill", "--reopen")
	if out := w.must(t, "desk"); strings.Contains(out, "closed") {
		t.Errorf("it was opened again, but the desk says\n%s", out)
	}
	if k, err = casefile.Read(file); err != nil || len(k.State().Outcomes) != 0 || len(k.Events) != 6 {
		t.Errorf("%d events, outcomes %v, %v", len(k.Events), k.State().Outcomes, err)
	}
}

// Learning shows, keeps only when told to, and gives back byte for byte what was there.
func TestLearnWriteUndo(t *testing.T) {
	w := newWorld(t)
	folder, _ := w.e.ownFolder()
	learned := filepath.Join(folder, rules.LearnedFile)
	if out := w.must(t, "rules", "learn"); !strings.Contains(out, "nothing to learn from yet") {
		t.Errorf("without cases it prints\n%s", out)
	}
	w.must(t, "rules", "learn", "--write")
	if _, err := os.Stat(folder); err == nil {
		t.Error("with nothing to keep it made a folder")
	}
	for i := range 3 {
		name := fmt.Sprint("case", i)
		w.must(t, "tell", name, "--new", name, "seen=drip", "surface=open-lap")
		w.must(t, "close", name, "--found", "pond-seep", "--how", "opened")
	}
	w.must(t, "tell", "guess", "--new", "Guess", "seen=drip")
	w.must(t, "close", "guess", "--found", "puncture")
	out := w.must(t, "rules", "learn")
	for _, want := range []string{"3 closed cases", "Left out: 1 case (the cause is a guess)", "WARNING: under 30 cases", "Pond finding a pin-hole            3", "Nothing has been changed"} {
		if !strings.Contains(out, want) {
			t.Errorf("rules learn does not say %q:\n%s", want, out)
		}
	}
	if _, err := os.Stat(learned); err == nil {
		t.Fatal("it was kept without being told to")
	}
	plain := w.knowledge(t)
	w.must(t, "rules", "learn", "--write")
	first, err := os.ReadFile(learned)
	if err != nil {
		t.Fatal(err)
	}
	taught := w.knowledge(t)
	if taught == plain {
		t.Error("what was learned does not tell on the hash")
	}
	if out := w.must(t, "rules", "check"); !strings.Contains(out, "learned from 3 closed cases on 2026-12-01") || strings.Contains(out, "from before") {
		t.Errorf("rules check says\n%s", out)
	}
	// What was learned is not learned on.
	if again := w.must(t, "rules", "learn"); again != out {
		t.Errorf("a second look says\n%s\nand not\n%s", again, out)
	}
	w.must(t, "tell", "more", "--new", "More", "seen=drip")
	w.must(t, "close", "more", "--found", "puncture", "--how", "opened")
	w.must(t, "rules", "learn", "--write")
	if second, _ := os.ReadFile(learned); string(second) == string(first) {
		t.Error("a case more changed nothing")
	}
	if kept, err := os.ReadFile(filepath.Join(folder, "learned.1.toml")); err != nil || string(kept) != string(first) {
		t.Errorf("the one before is not kept: %v", err)
	}
	w.must(t, "rules", "learn", "--undo")
	if back, _ := os.ReadFile(learned); string(back) != string(first) || w.knowledge(t) != taught {
		t.Error("undo did not bring back what was there")
	}
	w.own(t, "own.toml", "[[cause]]\nid = \"puncture\"\ncalls_per_100 = 9\n")
	if out := w.must(t, "rules", "check"); !strings.Contains(out, "from before your knowledge last changed") {
		t.Errorf("rules check does not say that it is stale:\n%s", out)
	}
	if err := os.Remove(filepath.Join(folder, "own.toml")); err != nil {
		t.Fatal(err)
	}
	w.must(t, "rules", "learn", "--undo")
	if w.knowledge(t) != plain {
		t.Error("undo of all does not give the built-in back")
	}
	if code, _, errs := w.run("rules", "learn", "--undo"); code != exitUsage || !strings.Contains(errs, "no learned numbers") {
		t.Errorf("nothing to undo: exit %d, %s", code, errs)
	}
	if code, _, _ := w.run("rules", "learn", "--undo", "--write"); code != exitUsage {
		t.Errorf("both: exit %d", code)
	}
}
