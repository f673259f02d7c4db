package casefile

import (
	"io"
	"io/fs"
	"os"
)

// disk is what a save does to the file system, so that a test can let any
// step of it fail.
type disk interface {
	Create(path string, mode fs.FileMode) (file, error)
	Remove(path string) error
	Rename(from, to string) error
	SyncFolder(path string) error
}

type file interface {
	io.WriteCloser
	Chmod(fs.FileMode) error
	Sync() error
}

type realDisk struct{}

func (realDisk) Create(path string, mode fs.FileMode) (file, error) {
	// O_EXCL: never write through a link that somebody put there. Owner's
	// writing is added for now, or a read-only case could not be saved by
	// the rename that its folder allows; Chmod puts the mode right.
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, mode|0o200)
	if err != nil {
		return nil, err // not f: a nil *os.File in an interface is not nil
	}
	return f, nil
}

func (realDisk) Remove(path string) error     { return os.Remove(path) }
func (realDisk) Rename(from, to string) error { return os.Rename(from, to) }
func (realDisk) SyncFolder(path string) error { return syncFolder(path) }
