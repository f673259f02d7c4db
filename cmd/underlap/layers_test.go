package main

import (
	"os/exec"
	"strings"
	"testing"
)

// Dependence runs one way: cmd -> tui -> diagnose -> rules and physics. Terminal
// code stays above diagnose, and knowledge and physics know nothing of each other.
func TestLayers(t *testing.T) {
	for _, x := range []struct {
		pkg    string
		forbid []string
	}{
		{"underlap/physics/...", []string{"charmbracelet", "underlap/rules", "underlap/diagnose", "underlap/tui"}},
		{"underlap/rules", []string{"charmbracelet", "underlap/physics", "underlap/diagnose", "underlap/tui"}},
		{"underlap/diagnose/...", []string{"charmbracelet", "underlap/tui"}},
		{"underlap/tui", []string{"underlap/cmd"}},
	} {
		out, err := exec.Command("go", "list", "-deps", x.pkg).Output()
		if err != nil {
			t.Fatalf("go list -deps %s: %v", x.pkg, err)
		}
		for _, dep := range strings.Fields(string(out)) {
			for _, f := range x.forbid {
				if strings.Contains(dep, f) {
					t.Errorf("%s depends on %s", x.pkg, dep)
				}
			}
		}
	}
}
