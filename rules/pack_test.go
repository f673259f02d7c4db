package rules

import "testing"

func TestBuiltInPackIsSound(t *testing.T) {
	p := Built()
	if len(p.Causes) < 26 || len(p.Questions) < 35 {
		t.Fatalf("%d causes, %d questions", len(p.Causes), len(p.Questions))
	}
	t.Logf("%d causes, %d questions, hash %s", len(p.Causes), len(p.Questions), p.Hash)
}
