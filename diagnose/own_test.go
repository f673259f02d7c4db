package diagnose_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"underlap/diagnose"
	"underlap/rules"
)

func withOwn(t testing.TB, text string) *rules.Pack {
	t.Helper()
	own, err := rules.WithOwn(rules.Built(), []rules.OwnFile{{Name: "own.toml", Text: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	return own.Pack
}

// The pack said once more, file by file, gives the same readings to the byte.
func TestRestatedPackGivesTheSameReadings(t *testing.T) {
	folder := os.DirFS(filepath.Join("..", "rules", "pack"))
	var files []rules.OwnFile
	err := fs.WalkDir(folder, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := fs.ReadFile(folder, name)
		files = append(files, rules.OwnFile{Name: name, Text: text})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	// Something is changed as well, so that it is a merged pack that is read.
	files = append(files, rules.OwnFile{Name: "zz.toml", Text: []byte("[[group]]\nid = \"unusual\"\nsource = \"shown nowhere\"\n")})
	own, err := rules.WithOwn(rules.Built(), files)
	if err != nil {
		t.Fatal(err)
	}
	if own.Pack.Hash == rules.Built().Hash {
		t.Fatal("the merged pack has the hash of the built-in one")
	}
	for _, name := range exampleNames(t) {
		got, err := diagnose.Consult(exampleCase(t, name), own.Pack)
		if err != nil {
			t.Fatal(err)
		}
		want := readExample(t, name)
		got.Knowledge = want.Knowledge
		if !bytes.Equal(jsonOf(t, got), jsonOf(t, want)) {
			t.Errorf("%s: the pack said twice reads otherwise", name)
		}
	}
}

// Each cause and each question can be taken out, or is held back with a reason; whatever
// is left still reads both examples.
func TestAnyEntryMayGo(t *testing.T) {
	gone, held := 0, 0
	try := func(kind, id string) {
		own, err := rules.WithOwn(rules.Built(), []rules.OwnFile{{Name: "own.toml", Text: fmt.Appendf(nil, "[[%s]]\nid = %q\ndrop = true\n", kind, id)}})
		if err != nil {
			if !strings.HasPrefix(err.Error(), "own.toml:3: ") {
				t.Errorf("%s %s: the fault names no line: %v", kind, id, err)
			}
			held++
			return
		}
		gone++
		r, err := diagnose.Consult(exampleCase(t, exampleNames(t)[gone%len(exampleNames(t))]), own.Pack)
		if err != nil {
			t.Fatalf("without %s %s: %v", kind, id, err)
		}
		for _, c := range r.Causes {
			if kind == "cause" && c.ID == id || math.IsNaN(c.P) {
				t.Errorf("without %s %s: %s has %v", kind, id, c.ID, c.P)
			}
		}
	}
	for _, c := range rules.Built().Causes {
		try("cause", c.ID)
	}
	for _, q := range rules.Built().Questions {
		try("question", q.ID)
	}
	t.Logf("%d may go, %d are held back", gone, held)
	if gone < 30 || held < 10 {
		t.Errorf("%d may go, %d are held back", gone, held)
	}
}

// A cause met more often is suspected more, and a Weigher says what a reading says.
func TestOwnPriorsTell(t *testing.T) {
	c := exampleCase(t, "music-room.toml")
	w := diagnose.NewWeigher(c)
	rapid.Check(t, func(rt *rapid.T) {
		i := rapid.IntRange(0, len(rules.Built().Causes)-1).Draw(rt, "cause")
		x := rules.Built().Causes[i]
		p := withOwn(t, fmt.Sprintf("[[cause]]\nid = %q\ncalls_per_100 = %v\n", x.ID, x.PerCalls*rapid.Float64Range(1.1, 8).Draw(rt, "times")))
		before, err := w.Weigh(rules.Built())
		if err != nil {
			rt.Fatal(err)
		}
		after, err := w.Weigh(p)
		if err != nil {
			rt.Fatal(err)
		}
		if !(after[x.ID] > before[x.ID]) {
			rt.Fatalf("%s: %v, met more often %v", x.ID, before[x.ID], after[x.ID])
		}
	})
	r := readExample(t, "music-room.toml")
	got, err := w.Weigh(rules.Built())
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range r.Causes {
		if got[x.ID] != x.P {
			t.Errorf("%s: the reading says %v, the weigher %v", x.ID, x.P, got[x.ID])
		}
	}
}

// A power of 1 is to the byte the same as none; the smaller it is the nearer all is to
// what was believed before any sign.
func TestTempering(t *testing.T) {
	c := exampleCase(t, "music-room.toml")
	var plain [2][]byte
	for i, power := range []float64{0, 1} {
		p := *rules.Built()
		p.Words.Tempering = power
		r, err := diagnose.Consult(c, &p)
		if err != nil {
			t.Fatal(err)
		}
		plain[i] = jsonOf(t, r)
	}
	if !bytes.Equal(plain[0], plain[1]) {
		t.Error("a power of 1 is not the same as none")
	}
	w := diagnose.NewWeigher(c)
	prior, err := w.Prior(rules.Built())
	if err != nil {
		t.Fatal(err)
	}
	last := math.Inf(1)
	for _, power := range []float64{1, 0.7, 0.4, 0.1, 1e-6} {
		p := *rules.Built()
		p.Words.Tempering = power
		got, err := w.Weigh(&p)
		if err != nil {
			t.Fatal(err)
		}
		off := 0.0
		for id, x := range prior {
			off = math.Max(off, math.Abs(got[id]-x))
		}
		if off >= last {
			t.Errorf("at power %v the shares are %v off the prior, before %v", power, off, last)
		}
		last = off
	}
	if last > 1e-4 {
		t.Errorf("at a power of nearly nought the answers still move a cause by %v", last)
	}
}
