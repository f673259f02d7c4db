package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"underlap/diagnose/explain"
	"underlap/rules"
)

// ownFolder is where the firm's own knowledge lies; named tells that somebody said so,
// and that it must then be there.
func (e *env) ownFolder() (folder string, named bool) {
	if f := e.getenv("UNDERLAP_RULES"); f != "" {
		return f, true
	}
	return filepath.Join(e.config, "rules"), false
}

// priced is the built-in knowledge with the firm's own price book when there is one.
func (e *env) priced() (*rules.Pack, error) {
	p := rules.Built()
	path := filepath.Join(e.config, "prices.toml")
	text, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return p, nil
	}
	if err != nil {
		return nil, err
	}
	return rules.WithPrices(p, path, text)
}

// ownFiles reads the firm's own files, none when there is no folder of them.
func (e *env) ownFiles() ([]rules.OwnFile, error) {
	folder, named := e.ownFolder()
	if st, err := os.Stat(folder); err != nil || !st.IsDir() {
		switch {
		case named:
			return nil, fmt.Errorf("UNDERLAP_RULES says that your own knowledge is in %s, but there is no such folder; make it, or unset UNDERLAP_RULES", folder)
		case errors.Is(err, os.ErrNotExist):
			return nil, nil
		case err != nil:
			return nil, err
		}
		return nil, fmt.Errorf("%s is a file; it should be a folder with your own knowledge", folder)
	}
	files, err := rules.OwnFiles(os.DirFS(folder))
	if err != nil {
		return nil, fmt.Errorf("your own knowledge in %s: %w", folder, err)
	}
	return files, nil
}

// own is the knowledge with the firm's own over it, with or without the numbers that
// were learned from closed cases. Half a pack would mislead, so any fault stops it.
func (e *env) own(learned bool) (*rules.Own, error) {
	base, err := e.priced()
	if err != nil {
		return nil, err
	}
	files, err := e.ownFiles()
	if err != nil {
		return nil, err
	}
	if !learned {
		files = slices.DeleteFunc(files, func(f rules.OwnFile) bool { return f.Name == rules.LearnedFile })
	}
	own, err := rules.WithOwn(base, files)
	if err != nil {
		folder, _ := e.ownFolder()
		n := strings.Count(err.Error(), "\n") + 1
		return nil, fmt.Errorf("%s in your own knowledge in %s\n%w\nPut it right, or take the file out of that folder, and run \"underlap rules check\"", explain.Count(n, "fault"), folder, err)
	}
	return own, nil
}

// pack loads the knowledge: what is built in, with the firm's own over it.
func (e *env) pack() (*rules.Pack, error) {
	own, err := e.own(true)
	if err != nil {
		return nil, err
	}
	return own.Pack, nil
}

// packOnScreen is the knowledge for a call in progress. Nobody on the phone can mend a
// file, so where the firm's own is faulty the built-in goes on without it, and notice is
// the line that says so on every screen.
func (e *env) packOnScreen() (p *rules.Pack, notice string) {
	p, err := e.pack()
	if err == nil {
		return p, ""
	}
	if p, err = e.priced(); err == nil {
		return p, "Built-in knowledge in use: your own has a fault (underlap rules check)"
	}
	return rules.Built(), "All built in here: your own price book has a fault (underlap rules check)"
}
