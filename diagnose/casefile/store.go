package casefile

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sync"
)

// Errors that a caller may want to tell apart with errors.Is.
var (
	ErrInUse     = errors.New("another window has this case open")
	ErrChanged   = errors.New("the case changed on disk since it was opened here")
	ErrExists    = errors.New("there is a file of this name already")
	ErrClosed    = errors.New("the case is closed")
	ErrUnflushed = errors.New("saved, but the disk did not confirm it")
)

// Store is a case file held open for adding events. It holds the lock of the
// file until Close. Its methods may be called from several goroutines.
type Store struct {
	path string // the real file, after following links
	lock *lock
	disk disk

	mu     sync.Mutex
	closed bool
	text   []byte // the file as it is on disk
	sum    [sha256.Size]byte
	mode   fs.FileMode
	kase   *Case // replaced, never changed, when an event is added
	next   int   // running number of the next event
	ids    map[string]bool
}

// Create makes a new case file and opens it. Format is filled in; ID and
// Created must be given. A file that is there already is never replaced.
func Create(path string, head Head) (*Store, error) {
	head.Format = Format
	head.ID = oneLine(clean(head.ID))
	head.Title = oneLine(clean(head.Title))
	head.Place = oneLine(clean(head.Place))
	head.Created = tidyTime(head.Created)
	switch {
	case head.ID == "":
		return nil, errors.New("a new case needs an id")
	case head.Created.IsZero() || !yearFits(head.Created):
		return nil, errors.New("a new case needs the time when it was opened")
	case len(head.Extra) > 0:
		return nil, errors.New("a new case cannot carry keys of a later version")
	}
	text, err := encodeHead(head)
	if err != nil {
		return nil, err
	}
	// The folder may be a link, the file is not there yet.
	folder, err := filepath.EvalSymlinks(filepath.Dir(path))
	if err != nil {
		return nil, fmt.Errorf("the folder for the new case: %w", err)
	}
	path = filepath.Join(folder, filepath.Base(path))
	l, err := takeLock(path)
	if err != nil {
		return nil, err
	}
	s := &Store{path: path, lock: l, disk: realDisk{}, mode: 0o644}
	if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
		l.release()
		if err == nil {
			err = fmt.Errorf("%s: %w. Choose another name, or open that case", path, ErrExists)
		}
		return nil, err
	}
	err = s.replace(text, false)
	if err != nil && !errors.Is(err, ErrUnflushed) {
		l.release()
		return nil, err
	}
	if loadErr := s.load(); loadErr != nil {
		l.release()
		return nil, loadErr
	}
	return s, err
}

// Open opens a case file for adding events. While it is open, a second Open
// of the same file fails with ErrInUse; Read still works.
func Open(path string) (*Store, error) {
	real, err := filepath.EvalSymlinks(path)
	if err != nil {
		return nil, err
	}
	l, err := takeLock(real)
	if err != nil {
		return nil, err
	}
	s := &Store{path: real, lock: l, disk: realDisk{}}
	if err := s.load(); err != nil {
		l.release()
		return nil, err
	}
	return s, nil
}

// Read reads a case without a lock, for looking only.
func Read(path string) (*Case, error) {
	text, _, err := readFile(path)
	if err != nil {
		return nil, err
	}
	return Decode(text, path)
}

// readFile reads a regular file of no more than a byte above MaxSize, which
// Decode then refuses with its own words.
func readFile(path string) ([]byte, fs.FileMode, error) {
	// Asked before opening, as opening a named pipe would wait for ever.
	info, err := os.Stat(path)
	if err != nil {
		return nil, 0, err
	}
	if !info.Mode().IsRegular() {
		return nil, 0, &FileError{File: path, Cause: "this is not an ordinary file", Remedy: "Give the name of a case file."}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, 0, err
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, MaxSize+1))
	return text, info.Mode().Perm(), err
}

func (s *Store) load() error {
	text, mode, err := readFile(s.path)
	if err != nil {
		return err
	}
	kase, err := Decode(text, s.path)
	if err != nil {
		return err
	}
	s.text, s.sum, s.mode, s.kase = text, sha256.Sum256(text), mode, kase
	s.next, s.ids = 1, map[string]bool{}
	for _, e := range kase.Events {
		s.took(e)
	}
	return nil
}

func (s *Store) took(e Event) {
	s.ids[e.ID] = true
	s.next = max(s.next, eventNumber(e.ID)+1)
}

// Path gives the real path of the file, after following links.
func (s *Store) Path() string { return s.path }

// Case gives the case as it is on disk. It is a value to keep: later events
// do not appear in it.
func (s *Store) Case() *Case {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.kase
}

// Append adds one event and returns once it is on disk. The caller gives the
// time and the author; the id is filled in from the running number and from
// the content, so the same event added to the same file always gets the same
// id, and two copies that part get different ones.
//
// An event is never older than the one before it: if the clock was put back,
// it takes the time of the last event, so that the order of the log stays the
// order in which things were entered.
//
// On an error the file and the case are as they were, with one exception:
// with ErrUnflushed the event is in the file and is returned, but the disk did
// not confirm that it would survive a power cut. Do not add it again.
func (s *Store) Append(e Event) (Event, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return Event{}, ErrClosed
	}
	e, err := tidyEvent(e)
	if err != nil {
		return Event{}, fmt.Errorf("nothing was saved: %w", err)
	}
	if n := len(s.kase.Events); n > 0 && e.At.Before(s.kase.Events[n-1].At) {
		e.At = s.kase.Events[n-1].At
	}
	if e.ID, err = s.newEventID(e); err != nil {
		return Event{}, fmt.Errorf("nothing was saved: %w", err)
	}
	if err := s.add([]Event{e}); err != nil {
		if errors.Is(err, ErrUnflushed) {
			return e, err
		}
		return Event{}, err
	}
	return e, nil
}

// Absorb adds the events of another copy of the same case that are not in
// this one, in one save, and tells how many there were. Keys that this
// version does not know come along. See Merge for when it fails.
func (s *Store) Absorb(other *Case) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return 0, ErrClosed
	}
	more, err := missing(s.kase, other)
	if err != nil {
		return 0, fmt.Errorf("nothing was saved: %w", err)
	}
	if len(more) == 0 {
		return 0, nil
	}
	err = s.add(more)
	if err != nil && !errors.Is(err, ErrUnflushed) {
		return 0, err
	}
	return len(more), err
}

func (s *Store) newEventID(e Event) (string, error) {
	e.ID = ""
	content, err := encodeEventBody(e)
	if err != nil {
		return "", err
	}
	for salt := byte(0); salt < 255; salt++ {
		id := fmt.Sprintf("%04d-%s", s.next, fourLetters(s.sum[:], content, []byte{salt}))
		if !s.ids[id] {
			return id, nil
		}
	}
	return "", errors.New("no free event id was found")
}

// with gives the text on disk with the events behind it. The old bytes are
// never encoded anew, so comments, layout and unknown keys stay as they are.
func (s *Store) with(events []Event) ([]byte, error) {
	text := slices.Clone(s.text)
	newline := "\n"
	if bytes.Contains(text, []byte("\r\n")) {
		newline = "\r\n"
	}
	if len(text) > 0 && text[len(text)-1] != '\n' {
		text = append(text, newline...)
	}
	for _, e := range events {
		table, err := encodeEvent(e)
		if err != nil {
			return nil, err
		}
		text = append(text, newline...)
		text = append(text, bytes.ReplaceAll(table, []byte{'\n'}, []byte(newline))...)
	}
	if len(text) > MaxSize {
		return nil, fmt.Errorf("the case would be larger than %d bytes and could not be opened again", MaxSize)
	}
	return text, nil
}

// add saves the events and takes them into the case.
func (s *Store) add(events []Event) error {
	text, err := s.with(events)
	if err != nil {
		return fmt.Errorf("nothing was saved: %w", err)
	}
	err = s.replace(text, true)
	if err != nil && !errors.Is(err, ErrUnflushed) {
		return err
	}
	s.text, s.sum = text, sha256.Sum256(text)
	// A new Case each time, and a full slice, so that what Case handed out
	// before never grows.
	kase := *s.kase
	kase.Events = append(slices.Clip(s.kase.Events), events...)
	s.kase = &kase
	for _, e := range events {
		s.took(e)
	}
	return err
}

// replace puts text in place of the file so that a crash at any moment leaves
// either the old file or the new one.
func (s *Store) replace(text []byte, there bool) (err error) {
	if there {
		now, _, err := readFile(s.path)
		if err != nil {
			return fmt.Errorf("nothing was saved: the case cannot be read any more: %w", err)
		}
		if len(now) != len(s.text) || sha256.Sum256(now) != s.sum {
			return fmt.Errorf("%w: %s. Nothing was saved, and the other change is untouched. "+
				"Close the case, open it again and enter this once more", ErrChanged, filepath.Base(s.path))
		}
	}
	defer func() {
		if err != nil && !errors.Is(err, ErrUnflushed) {
			err = fmt.Errorf("nothing was saved: %w", err)
		}
	}()
	// One fixed name, not a new one each time: the lock keeps others away,
	// and what a crash leaves behind is cleared by the next save.
	temporary := sideFile(s.path, ".saving")
	if err := s.disk.Remove(temporary); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	f, err := s.disk.Create(temporary, s.mode)
	if err != nil {
		return err
	}
	if err := writeAll(f, text, s.mode, there); err != nil {
		s.disk.Remove(temporary)
		return err
	}
	if err := s.disk.Rename(temporary, s.path); err != nil {
		s.disk.Remove(temporary)
		return err
	}
	if err := s.disk.SyncFolder(filepath.Dir(s.path)); err != nil {
		return fmt.Errorf("%w: %w", ErrUnflushed, err)
	}
	return nil
}

func writeAll(f file, text []byte, mode fs.FileMode, keepMode bool) error {
	_, err := f.Write(text)
	if err == nil && keepMode {
		// The mode given at creation is cut down by the user's mask.
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if closeErr := f.Close(); err == nil {
		err = closeErr
	}
	return err
}

// Close gives the file free. Everything is on disk already.
func (s *Store) Close() error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.closed {
		return nil
	}
	s.closed = true
	return s.lock.release()
}

// sideFile names a hidden file next to the case.
func sideFile(path, ending string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+ending)
}
