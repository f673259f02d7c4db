package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strings"
	"time"

	"github.com/mattn/go-isatty"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/physics/climate"
	"underlap/testdata"
)

func systemEnv() *env {
	e := &env{out: os.Stdout, err: os.Stderr, now: time.Now, getenv: os.Getenv}
	term := func(f *os.File) bool { return isatty.IsTerminal(f.Fd()) || isatty.IsCygwinTerminal(f.Fd()) }
	// Both ends: bubbletea would paint escapes into a pipe.
	e.tty = term(os.Stdin) && term(os.Stdout)
	base, err := os.UserConfigDir()
	if err != nil {
		base = "."
	}
	e.config = filepath.Join(base, "underlap")
	e.cases = e.getenv("UNDERLAP_CASES")
	if e.cases == "" {
		e.cases = filepath.Join(e.config, "cases")
	}
	e.user = e.getenv("UNDERLAP_BY")
	if e.user == "" {
		if u, err := user.Current(); err == nil {
			e.user = u.Username
		}
	}
	return e
}

// examples that are built in, by the name they are called with.
var examples = map[string]string{"example": "music-room.toml", "example-frost": "dairy-office.toml"}

// path turns a case's name into a path: a file as it stands, one in the folder of
// cases with or without its ending, or the only case there that is alike.
func (e *env) path(name string) string {
	for _, p := range []string{name, filepath.Join(e.cases, name), filepath.Join(e.cases, name+".toml")} {
		if st, err := os.Stat(p); err == nil && !st.IsDir() {
			return p
		}
	}
	if strings.ContainsAny(name, `/\`) || strings.HasSuffix(name, ".toml") {
		return name
	}
	if like := e.alike(name); len(like) == 1 {
		return like[0]
	}
	return filepath.Join(e.cases, name+".toml")
}

// alike are the cases with that title or, when there is none, those whose file name
// begins with that name as whole words: "hill" stands for "hill-road-ns8h.toml" and
// not for "hillside.toml".
func (e *env) alike(name string) []string {
	list, err := casefile.List(e.cases)
	if err != nil || name == "" {
		return nil
	}
	var titled, begins []string
	for _, l := range list {
		if l.Err == nil && strings.EqualFold(l.Head.Title, name) {
			titled = append(titled, l.Path)
		}
		if strings.HasPrefix(strings.ToLower(filepath.Base(l.Path)), strings.ToLower(name)+"-") {
			begins = append(begins, l.Path)
		}
	}
	if len(titled) > 0 {
		return titled
	}
	return begins
}

// newPath is where a case that is started under a name goes.
func (e *env) newPath(name string) string {
	if !strings.EqualFold(filepath.Ext(name), ".toml") {
		name += ".toml" // the desk lists nothing else
	}
	if strings.ContainsAny(name, `/\`) {
		return name
	}
	return filepath.Join(e.cases, name)
}

// noCase says that a case was not found, and which were meant when several may be.
func (e *env) noCase(name, remedy string) error {
	if like := e.alike(name); len(like) > 1 {
		for i := range like {
			like[i] = filepath.Base(like[i])
		}
		return usagef("%q may be any of %s; write the whole name", name, strings.Join(like, ", "))
	}
	return usagef("there is no case %q; \"underlap desk\" lists the cases, %s", name, remedy)
}

// readCase reads a case for looking at only. A file of that name goes before a
// built-in example.
func (e *env) readCase(name string) (*casefile.Case, error) {
	path := e.path(name)
	if _, err := os.Stat(path); err != nil {
		if file, ok := examples[name]; ok {
			return example(file)
		}
	}
	c, err := casefile.Read(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, e.noCase(name, `"underlap call --new TITLE" starts one`)
	}
	return c, err
}

func example(file string) (*casefile.Case, error) {
	text, err := testdata.Cases.ReadFile("cases/" + file)
	if err != nil {
		return nil, err
	}
	return casefile.Decode(text, file)
}

func inUse(err error) bool { return errors.Is(err, casefile.ErrInUse) }

// reading reads a case and consults on it.
//
// weather is that of the case's place when empty, else a file of hours or "lowland".
func (e *env) reading(name, weather string) (*diagnose.Reading, error) {
	p, err := e.pack()
	if err != nil {
		return nil, err
	}
	c, err := e.readCase(name)
	if err != nil {
		return nil, err
	}
	e.warn(c)
	for _, id := range c.State().Order {
		if _, ok := p.Question(id); !ok {
			fmt.Fprintf(e.err, "note: the case answers a question %q that this knowledge does not have; it stays in the file and is not used\n", id)
		}
	}
	year, err := hours(weather)
	if err != nil {
		return nil, err
	}
	if year != nil {
		for _, n := range year.Notes {
			fmt.Fprintf(e.err, "note: weather: %s\n", n)
		}
	}
	return diagnose.ConsultFully(context.Background(), c, p, year)
}

// hours reads a year of weather: an EPW file, or the one that is built in. It is nil for
// no name.
func hours(name string) (*climate.Hourly, error) {
	switch name {
	case "":
		return nil, nil
	case "lowland":
		return climate.Lowland()
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("the weather file: %w; give an EPW file, or \"lowland\" for the year that is built in", err)
	}
	defer f.Close()
	year, err := climate.ReadEPW(f)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return year.FillGaps(), nil
}

// warn prints what was read but not understood. Nothing is lost by it.
func (e *env) warn(c *casefile.Case) {
	for _, w := range c.Warnings {
		_, _ = e.err.Write([]byte("note: " + w + "\n"))
	}
}
