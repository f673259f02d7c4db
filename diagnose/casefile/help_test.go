package casefile

import (
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

var day = time.Date(2026, 1, 12, 9, 30, 0, 0, time.UTC)

// nanEqual: keys of a later version may hold not-a-number, which is unequal
// to itself; an empty and a missing list are the same in a file.
var nanEqual = cmp.Options{
	cmp.FilterValues(func(a, b float64) bool { return math.IsNaN(a) && math.IsNaN(b) }, cmp.Comparer(func(_, _ float64) bool { return true })),
	cmpopts.EquateEmpty(),
	// A local time of day keeps its clock face, not its moment.
	cmp.Comparer(func(a, b time.Time) bool {
		return a.Format(time.RFC3339Nano) == b.Format(time.RFC3339Nano)
	}),
}

func ptr(x float64) *float64 { return &x }

func newStore(t testing.TB) *Store {
	t.Helper()
	s, err := Create(filepath.Join(t.TempDir(), "case.toml"), Head{ID: "garage-7f3a", Title: "Music room", Created: day})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

func answered(question string, minute int, choices ...string) Event {
	return Event{At: day.Add(time.Duration(minute) * time.Minute), By: "dk", Kind: KindAnswered, Question: question, Answers: choices}
}

func mustAppend(t testing.TB, s *Store, e Event) Event {
	t.Helper()
	e, err := s.Append(e)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func contents(t testing.TB, path string) string {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

var errFull = errors.New("no space left on device")

// brokenDisk fails at the step that is named, and otherwise is a real disk.
type brokenDisk struct {
	realDisk
	failAt string
}

func (d *brokenDisk) Create(path string, mode fs.FileMode) (file, error) {
	if d.failAt == "create" {
		return nil, errFull
	}
	f, err := d.realDisk.Create(path, mode)
	return &brokenFile{file: f, d: d}, err
}

func (d *brokenDisk) Rename(from, to string) error {
	if d.failAt == "rename" {
		return errFull
	}
	return d.realDisk.Rename(from, to)
}

func (d *brokenDisk) SyncFolder(path string) error {
	if d.failAt == "folder" {
		return errFull
	}
	return d.realDisk.SyncFolder(path)
}

type brokenFile struct {
	file
	d *brokenDisk
}

func (f *brokenFile) Write(b []byte) (int, error) {
	if f.d.failAt == "write" {
		n, _ := f.file.Write(b[:len(b)/2]) // a disk fills up in the middle
		return n, errFull
	}
	return f.file.Write(b)
}

func (f *brokenFile) Chmod(m fs.FileMode) error {
	if f.d.failAt == "chmod" {
		return errFull
	}
	return f.file.Chmod(m)
}

func (f *brokenFile) Sync() error {
	if f.d.failAt == "sync" {
		return errFull
	}
	return f.file.Sync()
}

func (f *brokenFile) Close() error {
	err := f.file.Close()
	if f.d.failAt == "close" {
		return errFull
	}
	return err
}

// appended gives the text that Append would write, without a disk.
func appended(t *testing.T, s *Store, e Event) []byte {
	t.Helper()
	e, err := tidyEvent(e)
	if err != nil {
		t.Fatal(err)
	}
	if e.ID, err = s.newEventID(e); err != nil {
		t.Fatal(err)
	}
	text, err := s.with([]Event{e})
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func removeFile(path string) {
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		panic(err)
	}
}
