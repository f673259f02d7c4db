package record

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"underlap/rules"
)

// TOML is the lesson as a file of a firm's own knowledge. date is the day it was
// learned on, year-month-day. Only what moved is in it.
func (l *Lesson) TOML(date string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "# Counted from closed cases by \"underlap rules learn --write\". To undo it: \"underlap rules\n# learn --undo\", or delete this file. It is read after all other files in this folder.\n\n[learned]\ncases = %d\ndate = %q\nknowledge = %q\n", l.Cases, date, l.Knowledge)
	for _, c := range []struct {
		key string
		Constant
	}{{"rho", l.Rho}, {"tau", l.Tau}, {"other", l.Other}} {
		if c.New != c.Old {
			fmt.Fprintf(&b, "%s = %.6g # was %.6g; the cases alone would have %.6g\n", c.key, c.New, c.Old, c.Best)
		}
	}
	for _, s := range l.Causes {
		if s.New != s.Old {
			fmt.Fprintf(&b, "\n[[cause]] # found %d, expected %.1f; was %.6g\nid = %q\ncalls_per_100 = %.6g\n", s.Found, s.Expected, s.Old, s.ID, s.New)
		}
	}
	return []byte(b.String())
}

// ErrNothingKept says that there is nothing to undo.
var ErrNothingKept = errors.New("there are no learned numbers to take back")

// Keep writes learned.toml into a folder of own knowledge and returns its path. One that
// is there is kept as learned.1.toml, learned.2.toml and so on, the latest with the
// highest number; before is its path.
func Keep(folder string, text []byte) (path, before string, err error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", "", err
	}
	path = filepath.Join(folder, rules.LearnedFile)
	if _, err := os.Stat(path); err == nil {
		before = kept(folder, lastKept(folder)+1)
		if err := os.Rename(path, before); err != nil {
			return "", "", err
		}
	}
	if err := writeWhole(path, text); err != nil {
		if before != "" {
			err = errors.Join(err, os.Rename(before, path))
		}
		return "", "", err
	}
	return path, before, nil
}

// Undo puts back the learned.toml that was there before, or takes away the only one.
// back is the path of the one that was put back, empty when there was none.
func Undo(folder string) (back string, err error) {
	path := filepath.Join(folder, rules.LearnedFile)
	if n := lastKept(folder); n > 0 {
		back = kept(folder, n)
		return back, os.Rename(back, path)
	}
	if err = os.Remove(path); errors.Is(err, fs.ErrNotExist) {
		return "", ErrNothingKept
	}
	return "", err
}

func kept(folder string, n int) string {
	return filepath.Join(folder, fmt.Sprintf("learned.%d.toml", n))
}

// lastKept is the highest number of a kept file, 0 when there is none.
func lastKept(folder string) int {
	last := 0
	entries, _ := os.ReadDir(folder)
	for _, e := range entries {
		var n int
		if _, err := fmt.Sscanf(e.Name(), "learned.%d.toml", &n); err == nil && n > last && kept(folder, n) == filepath.Join(folder, e.Name()) {
			last = n
		}
	}
	return last
}

// writeWhole writes a file so that there is never half of it.
func writeWhole(path string, text []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".learned-*")
	if err != nil {
		return err
	}
	_, err = f.Write(text)
	err = errors.Join(err, f.Chmod(0o644), f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return errors.Join(err, os.Remove(f.Name()))
	}
	return nil
}
