package physics

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// opened finds the vector files that a test source loads.
var opened = regexp.MustCompile(`vectortest\.Load\(t, "([^"]+)"`)

// notPhysics begins the names of files in the same folder that are no business of
// the calculation packages; the packages they belong to test them.
const notPhysics = "bayes-"

// Every vector file must be opened by a test of some calculation package, and every
// file that a test opens must be there: a check value nobody reads proves nothing.
func TestEveryVectorFileIsUsed(t *testing.T) {
	used := map[string]bool{}
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		for _, match := range opened.FindAllStringSubmatch(string(text), -1) {
			used[match[1]] = true
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(filepath.Join("..", "testdata", "vectors"))
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) == 0 {
		t.Fatal("no vector files")
	}
	there := map[string]bool{}
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), notPhysics) {
			continue
		}
		there[e.Name()] = true
		if !used[e.Name()] {
			t.Errorf("vector file %s is opened by no test", e.Name())
		}
	}
	for name := range used {
		if !there[name] {
			t.Errorf("a test opens %s, which is not there", name)
		}
	}
}

// A check value without a source is a rumour.
func TestEveryVectorFileNamesItsSource(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "vectors", "*.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if strings.HasPrefix(filepath.Base(file), notPhysics) {
			continue
		}
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, key := range []string{"name", "source", "status"} {
			if !regexp.MustCompile(`(?m)^` + key + ` = "[^"]`).Match(text) {
				t.Errorf("%s has no %s", file, key)
			}
		}
	}
}
