package casefile

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"

	"github.com/gofrs/flock"
)

// lock is held on a side file, not on the case itself: a save puts a new file
// in the place of the case, and a lock would stay with the old one.
type lock struct {
	path string
	f    *flock.Flock
}

// takeLock takes the lock for the case at path, or fails at once.
func takeLock(path string) (*lock, error) {
	l := &lock{path: sideFile(path, ".lock")}
	// Repeated, because the file that was just locked may have been removed
	// by its last owner a moment before; then the lock guards nothing.
	for range 10 {
		l.f = flock.New(l.path)
		got, err := l.f.TryLock()
		if err != nil {
			if errors.Is(err, fs.ErrPermission) || errors.Is(err, fs.ErrNotExist) {
				return nil, fmt.Errorf("the folder of %s cannot be written to, so the case can be read but not changed: %w", filepath.Base(path), err)
			}
			return nil, fmt.Errorf("%s cannot be locked: %w", filepath.Base(path), err)
		}
		if !got {
			return nil, fmt.Errorf("%s: %w. Close it there first; \"underlap reading\" can look at it meanwhile", filepath.Base(path), ErrInUse)
		}
		held, err := l.f.Stat()
		if err == nil {
			named, err := os.Stat(l.path)
			if err == nil && os.SameFile(held, named) {
				return l, nil
			}
		}
		l.f.Unlock()
	}
	return nil, fmt.Errorf("%s: %w, and it opens and closes it all the time", filepath.Base(path), ErrInUse)
}

// release removes the side file and gives the lock free, in the order that
// is safe on the system at hand. Where the file cannot be removed it stays;
// an unlocked side file stops nobody.
func (l *lock) release() error {
	if runtime.GOOS == "windows" {
		// An open file cannot be removed here. If somebody opens it between
		// these two steps, removing fails, which is what is wanted.
		err := l.f.Unlock()
		os.Remove(l.path)
		return err
	}
	// While it is still held, so that nobody can lock the file that goes;
	// whoever has it open already will see that it has no name any more.
	os.Remove(l.path)
	return l.f.Unlock()
}
