//go:build unix

package casefile

import (
	"errors"
	"os"
	"syscall"
)

// syncFolder makes a rename in the folder last through a power cut.
func syncFolder(path string) error {
	d, err := os.Open(path)
	if err != nil {
		return err
	}
	defer d.Close()
	// Some network and removable disks cannot do this for folders and say so.
	if err := d.Sync(); err != nil && !errors.Is(err, syscall.EINVAL) && !errors.Is(err, errors.ErrUnsupported) {
		return err
	}
	return nil
}
