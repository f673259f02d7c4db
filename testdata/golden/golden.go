// Package golden compares what a test got with what a person once read and kept.
// Only tests import it.
package golden

import (
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Updating tells whether the files on record are to be written anew.
func Updating() bool { return *update }

// Same fails the test where got differs from the file at path. With -update it
// writes the file instead: read its diff before it is committed.
func Same(t testing.TB, path, got string) {
	t.Helper()
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("%s (-want +got; if it is meant, run the test with -update):\n%s", path, d)
	}
}
