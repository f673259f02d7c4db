package rules

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"
)

// The whole pack laid over itself changes nothing, wherever it is put.
func TestRestatingThePackChangesNothing(t *testing.T) {
	files, err := OwnFiles(builtFiles(t))
	if err != nil {
		t.Fatal(err)
	}
	o, err := WithOwn(Built(), files)
	if err != nil {
		t.Fatal(err)
	}
	if len(o.Changes) > 0 || o.Pack.Hash != Built().Hash {
		t.Errorf("it changed\n%s", changesOf(o))
	}
	if o, err = WithOwn(Built(), nil); err != nil || o.Pack != Built() {
		t.Errorf("no files gave another pack: %v", err)
	}
}

// Dropping an entry and saying it anew gives what was said, whatever the order of keys
// and of what else is changed; each file alone names only what it changes.
func TestOrderOfKeysDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var entries [][]string
		want := map[string]float64{}
		some := rapid.SliceOfNDistinct(rapid.IntRange(0, len(Built().Causes)-1), 1, 6, rapid.ID[int]).Draw(t, "causes")
		for _, i := range some {
			c := Built().Causes[i]
			share := rapid.Float64Range(0.5, 20).Draw(t, "share")
			want[c.ID] = share
			keys := []string{
				fmt.Sprintf("id = %q", c.ID), fmt.Sprintf("calls_per_100 = %v", share),
				fmt.Sprintf("tell = %q", "ours "+c.ID), fmt.Sprintf("damage = %d", rapid.IntRange(100, 9000).Draw(t, "damage")),
			}
			entries = append(entries, keys)
		}
		write := func(order []int, within func([]string) []string) string {
			var b strings.Builder
			for _, i := range order {
				b.WriteString("[[cause]]\n" + strings.Join(within(entries[i]), "\n") + "\n\n")
			}
			return b.String()
		}
		order := make([]int, len(entries))
		for i := range order {
			order[i] = i
		}
		plain, err := own(write(order, func(k []string) []string { return k }))
		if err != nil {
			t.Fatal(err)
		}
		shuffled, err := own("# the same\n" + write(rapid.Permutation(order).Draw(t, "order"), func(k []string) []string {
			return rapid.Permutation(slices.Clone(k)).Draw(t, "keys")
		}))
		if err != nil {
			t.Fatal(err)
		}
		if plain.Pack.Hash != shuffled.Pack.Hash || !reflect.DeepEqual(plain.Pack.Causes, shuffled.Pack.Causes) {
			t.Fatal("the order of keys made another pack")
		}
		if plain.Pack.Hash == Built().Hash {
			t.Fatal("the hash does not cover the change")
		}
		for i, c := range plain.Pack.Causes {
			was := Built().Causes[i]
			if share, ok := want[c.ID]; ok {
				if c.PerCalls != share || c.Tell != "ours "+c.ID {
					t.Fatalf("%s: %v %q", c.ID, c.PerCalls, c.Tell)
				}
				c.PerCalls, c.Tell, c.Damage = was.PerCalls, was.Tell, was.Damage
			}
			if !reflect.DeepEqual(c, was) {
				t.Fatalf("%s: more was changed than was named", c.ID)
			}
		}
	})
}

// What is read and in which order: by name, learned.toml last, kept ones not at all.
func TestOwnFilesInOrder(t *testing.T) {
	files, err := OwnFiles(fstest.MapFS{
		"learned.toml": {}, "z.toml": {}, "b/a.toml": {}, "learned.1.toml": {}, ".hidden.toml": {}, ".git/x.toml": {}, "notes.txt": {}, "a.TOML": {},
	})
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	if got := strings.Join(names, " "); got != "a.TOML b/a.toml z.toml learned.toml" {
		t.Errorf("files %s", got)
	}
	if _, err := OwnFiles(fstest.MapFS{"big.toml": {Data: make([]byte, mostOwn+1)}}); err == nil {
		t.Error("a huge file was taken")
	}
}

// Any text at all is read or refused, never a panic, and a refusal names the file.
func FuzzOwnKnowledge(f *testing.F) {
	f.Add(newQuestion + newCause)
	f.Add("[[cause]]\nid = \"puncture\"\ndrop = true\n[[question]]\nid = \"surface\"\ndrop = true\n")
	f.Add("cause = [{ id = \"puncture\", link = [{ question = \"surface\", answer = [\"cut\"], of_100 = { cut = 3 } }] }]")
	f.Add("[words]\nknown = [{ id = \"told\", drop = true }]\n[learned]\nrho = 0.5\ntau = nan\n")
	f.Add("[buildup]\nera = [{ id = \"x\", types = { cold = -1 } }]\n[[buildup.hint]]\nwhen = [\"vents is none\"]\n[moisture]\nroom = [{ answer = \"living\", class = 9 }]")
	f.Add("[prices]\nprice = 3\n[[context]]\nwhen = [\"a\"]\n[[together]]\ncauses = [\"puncture\", \"puncture\"]\n[[implied]]\nquestion = \"seen\"")
	f.Fuzz(func(t *testing.T, text string) {
		o, err := own(text)
		if err == nil {
			if o.Pack == nil || len(Lint(o.Pack, locator{})) > 0 {
				t.Fatal("it was taken and is not sound")
			}
			return
		}
		if !strings.HasPrefix(err.Error(), "a.toml") {
			t.Fatalf("the fault names no file: %v", err)
		}
	})
}
