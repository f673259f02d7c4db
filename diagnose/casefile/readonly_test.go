//go:build linux

package casefile

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// asNobody runs f without the right to write everywhere that root has.
func asNobody(t *testing.T, f func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		f()
		return
	}
	runtime.LockOSThread() // the file-system user belongs to the thread
	defer runtime.UnlockOSThread()
	if err := syscall.Setfsuid(65534); err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := syscall.Setfsuid(0); err != nil {
			panic(err)
		}
	}()
	f()
}

func TestReadOnlyFolder(t *testing.T) {
	dir := t.TempDir()
	for d := dir; d != os.TempDir() && len(d) > 1; d = filepath.Dir(d) {
		if err := os.Chmod(d, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(dir, "case.toml")
	s, err := Create(path, Head{ID: "x", Created: day})
	if err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, answered("q", 1, "yes"))
	before := contents(t, path)
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(dir, 0o755) })

	asNobody(t, func() {
		if _, err := s.Append(answered("q", 2, "no")); !errors.Is(err, fs.ErrPermission) || !strings.HasPrefix(err.Error(), "nothing was saved") {
			t.Errorf("append: %v", err)
		}
	})
	if contents(t, path) != before || len(s.Case().Events) != 1 {
		t.Error("the failed save left a trace")
	}
	os.Chmod(dir, 0o755)
	s.Close()
	os.Chmod(dir, 0o555)
	asNobody(t, func() {
		if _, err := Open(path); err == nil || !strings.Contains(err.Error(), "can be read but not changed") {
			t.Errorf("open: %v", err)
		}
		if _, err := Read(path); err != nil {
			t.Errorf("read: %v", err)
		}
		if _, err := Create(filepath.Join(dir, "new.toml"), Head{ID: "y", Created: day}); err == nil {
			t.Error("a case was made in a read-only folder")
		}
	})
	if contents(t, path) != before {
		t.Error("the file was touched")
	}
}
