package casefile

import (
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Listed is one case file of a folder.
type Listed struct {
	Path   string
	Size   int64 // bytes
	Head   Head
	Events int
	Last   time.Time // of the newest event; zero when there is none
	Case   *Case     // the case as it was read, read-only
	Err    error     // why the file cannot be read; then only Path and Size hold
}

// List gives the case files (*.toml) of a folder by name. A broken file is
// listed with its error, not left out, so that no enquiry drops from sight.
func List(dir string) ([]Listed, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var out []Listed
	for _, entry := range entries {
		name := entry.Name()
		if strings.HasPrefix(name, ".") || !strings.EqualFold(filepath.Ext(name), ".toml") || entry.IsDir() {
			continue
		}
		item := Listed{Path: filepath.Join(dir, name)}
		if info, err := os.Stat(item.Path); err == nil {
			item.Size = info.Size()
		}
		c, err := Read(item.Path)
		if err != nil {
			item.Err = err
			out = append(out, item)
			continue
		}
		item.Case, item.Head, item.Events = c, c.Head, len(c.Events)
		for _, e := range c.Events {
			if e.At.After(item.Last) {
				item.Last = e.At
			}
		}
		out = append(out, item)
	}
	return out, nil
}
