// Package vectortest reads the check values in testdata/vectors for the tests
// of the calculation packages. A test of the physics package reads the sources
// of all tests and fails when a vector file is opened by none of them, so call
// Load with the file name written out as a string.
package vectortest

import (
	"math"
	"path/filepath"
	"testing"

	"github.com/BurntSushi/toml"
)

// Load decodes the vector file of that name into v. It works from tests in
// folders directly below physics.
func Load(t testing.TB, name string, v any) {
	t.Helper()
	path := filepath.Join("..", "..", "testdata", "vectors", name)
	if _, err := toml.DecodeFile(path, v); err != nil {
		t.Fatalf("vector file %s: %v", name, err)
	}
}

// Near fails the test when got is further than tol from want.
func Near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tol)
	}
}

// NearRel fails the test when got differs from want by more than the share rel of want.
func NearRel(t testing.TB, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: got %.9g, want %.9g within %g of it", what, got, want, rel)
	}
}
