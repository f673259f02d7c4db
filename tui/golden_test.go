package tui

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	"underlap/testdata/golden"
)

// onFile compares a screen, without its styles, with the one on file.
func onFile(t *testing.T, name, view string) {
	t.Helper()
	lines := strings.Split(ansi.Strip(view), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	golden.Same(t, filepath.Join("testdata", name+".txt"), strings.Join(lines, "\n")+"\n")
}
