package diagnose_test

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"sort"
	"strconv"
	"strings"
	"testing"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
	"underlap/testdata"
	"underlap/testdata/golden"
)

const rankingsFile = "../testdata/golden/rankings.txt"

// moves is how far a percentage may drift before it has moved, in points.
const moves = 0.05

// TestWhatMoved runs every call and example and compares the first six suspects
// with what they were. Change a strength in the knowledge, and it says what moved
// and by how much. When the move is meant: go test ./diagnose -run Moved -update
func TestWhatMoved(t *testing.T) {
	got := rankings(t)
	if golden.Updating() {
		writeRankings(t, got)
		return
	}
	want := readRankings(t)
	var out []string
	for key, w := range want {
		g, ok := got[key]
		switch {
		case !ok:
			out = append(out, fmt.Sprintf("%s: no longer among the first six (was %.1f %%)", key, w))
		case math.Abs(g-w) >= moves:
			out = append(out, fmt.Sprintf("%s: %.1f %% -> %.1f %%", key, w, g))
		}
	}
	for key, g := range got {
		if _, ok := want[key]; !ok {
			out = append(out, fmt.Sprintf("%s: new among the first six, %.1f %%", key, g))
		}
	}
	sort.Strings(out)
	if len(out) > 0 {
		t.Errorf("%d figures moved; if that is meant, run go test ./diagnose -run Moved -update\n%s", len(out), strings.Join(out, "\n"))
	}
}

// rankings is "call: cause" -> percent for the first six suspects of every call.
func rankings(t *testing.T) map[string]float64 {
	t.Helper()
	out := map[string]float64{}
	add := func(id string, r *diagnose.Reading) {
		for _, c := range r.Causes[:6] {
			out[id+": "+c.ID] = c.P * 100
		}
	}
	for _, c := range allCalls(t) {
		add(c.ID, newCall(t, c.Answers...).Reading())
	}
	for _, name := range exampleNames(t) {
		add("example "+name, readExample(t, name))
	}
	return out
}

func exampleNames(t testing.TB) []string {
	t.Helper()
	entries, err := testdata.Cases.ReadDir("cases")
	if err != nil || len(entries) == 0 {
		t.Fatalf("no example cases: %v", err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func exampleCase(t testing.TB, name string) *casefile.Case {
	t.Helper()
	text, err := testdata.Cases.ReadFile("cases/" + name)
	if err != nil {
		t.Fatal(err)
	}
	c, err := casefile.Decode(text, name)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Warnings) > 0 {
		t.Fatalf("%s: %v", name, c.Warnings)
	}
	return c
}

func readExample(t testing.TB, name string) *diagnose.Reading {
	t.Helper()
	r, err := diagnose.Consult(exampleCase(t, name), rules.Built())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func writeRankings(t *testing.T, got map[string]float64) {
	t.Helper()
	keys := make([]string, 0, len(got))
	for k := range got {
		keys = append(keys, k)
	}
	sort.Slice(keys, func(i, j int) bool {
		a, _, _ := strings.Cut(keys[i], ": ")
		b, _, _ := strings.Cut(keys[j], ": ")
		if a != b {
			return a < b
		}
		if x, y := math.Round(got[keys[i]]*100), math.Round(got[keys[j]]*100); x != y {
			return x > y
		}
		return keys[i] < keys[j]
	})
	var b strings.Builder
	b.WriteString("# What each call came to when this was last looked at: the first six suspects, percent.\n")
	for _, k := range keys {
		fmt.Fprintf(&b, "%6.2f  %s\n", got[k], k)
	}
	if err := os.WriteFile(rankingsFile, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

func readRankings(t *testing.T) map[string]float64 {
	t.Helper()
	f, err := os.Open(rankingsFile)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[string]float64{}
	s := bufio.NewScanner(f)
	for s.Scan() {
		line := strings.TrimSpace(s.Text())
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		num, key, ok := strings.Cut(line, "  ")
		v, err := strconv.ParseFloat(num, 64)
		if !ok || err != nil {
			t.Fatalf("%s: cannot read %q", rankingsFile, line)
		}
		out[strings.TrimSpace(key)] = v
	}
	return out
}
