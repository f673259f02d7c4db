package main

import (
	"crypto/rand"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/diagnose/letter"
	"underlap/tui"
)

// runNothing is the program without arguments: the desk, or the built-in example
// while there is no case of one's own.
func runNothing(e *env) error {
	own, err := casefile.List(e.cases)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if len(own) > 0 {
		return runDesk(e, nil)
	}
	if !e.tty {
		return runReading(e, []string{"example"})
	}
	return showDesk(e, tui.DeskChoice{Path: builtIn + "example"})
}

func runCall(e *env, args []string) error {
	fs := flags("call")
	title := fs.String("new", "", "start a new case with this title")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	if len(rest) > 1 {
		return usagef("call takes one case; got %q", rest)
	}
	if !e.tty {
		return usagef("call needs a terminal; give answers with \"underlap tell CASE QUESTION=ANSWER\" instead")
	}
	if len(rest) == 0 && *title == "" {
		return runNothing(e)
	}
	if len(rest) == 1 && *title == "" {
		if _, ok := examples[rest[0]]; ok {
			if _, err := os.Stat(e.path(rest[0])); err != nil {
				return showDesk(e, tui.DeskChoice{Path: builtIn + rest[0]})
			}
		}
	}
	name := ""
	if len(rest) == 1 {
		name = rest[0]
	}
	store, err := e.open(name, *title)
	if err != nil {
		return err
	}
	return callOn(e, store)
}

// open opens a case for writing, or starts one when a title is given.
func (e *env) open(name, title string) (*casefile.Store, error) {
	if title == "" {
		if _, err := e.caseToWrite(name); err != nil {
			return nil, err
		}
		return casefile.Open(e.path(name))
	}
	entropy := make([]byte, 8)
	if _, err := rand.Read(entropy); err != nil {
		return nil, err
	}
	head := casefile.Head{ID: casefile.NewID(title, entropy), Title: title, Created: e.now()}
	path := ""
	if name == "" {
		path = filepath.Join(e.cases, head.ID+".toml")
	} else {
		path = e.newPath(name)
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	store, err := casefile.Create(path, head)
	if errors.Is(err, casefile.ErrExists) {
		return nil, usagef("%s is there already; leave --new out to go on with it", path)
	}
	if errors.Is(err, casefile.ErrUnflushed) {
		return store, nil // it is there; only the folder was not flushed
	}
	return store, err
}

// caseToWrite reads a case that is about to be written to, and says what to do when
// there is none.
func (e *env) caseToWrite(name string) (*casefile.Case, error) {
	c, err := casefile.Read(e.path(name))
	if errors.Is(err, os.ErrNotExist) {
		if _, ok := examples[name]; ok {
			return nil, usagef("%q is built in and keeps nothing; start a case of your own with --new \"TITLE\"", name)
		}
		return nil, e.noCase(name, `--new "TITLE" starts one`)
	}
	return c, err
}

func callOn(e *env, store *casefile.Store) (err error) {
	defer func() { err = errors.Join(err, store.Close()) }()
	c, o, err := e.callOf(store)
	if err != nil {
		return err
	}
	err = tui.RunCall(c, o)
	if err == nil || errors.Is(err, tui.ErrAtOnce) {
		// The alternate screen is gone now: say where the work is and how it stands.
		e.warn(store.Case())
		r := c.Reading()
		fmt.Fprintf(e.out, "Saved in %s\n%s (%s)\n", store.Path(), r.Why.Text, r.Why.Hedge)
	}
	return stopped(err)
}

// stopped turns Ctrl-C into its exit code.
func stopped(err error) error {
	if errors.Is(err, tui.ErrAtOnce) {
		code := &codedError{code: exitInterrupted}
		if err.Error() != tui.ErrAtOnce.Error() { // something was begun and is not kept
			code.text = err.Error()
		}
		return code
	}
	return err
}

func (e *env) callOf(store *casefile.Store) (*diagnose.Call, tui.Options, error) {
	p, notice := e.packOnScreen()
	c, err := diagnose.NewCall(store, p, e.user, e.now)
	if err != nil {
		return nil, tui.Options{}, err
	}
	o := e.options(c, store.Path())
	o.Notice = notice
	return c, o, nil
}

func (e *env) options(c *diagnose.Call, path string) tui.Options {
	return tui.Options{
		NoColor: e.getenv("NO_COLOR") != "",
		Path:    path,
		Build: func(r *diagnose.Reading) (string, string) {
			d := letter.Reply(r, letter.Options{Date: e.now(), Pack: c.Pack()})
			return "Reply", d.Text(textWidth)
		},
		Save: func() (string, error) {
			d := letter.Reply(c.Reading(), letter.Options{Date: e.now(), Pack: c.Pack()})
			out, err := keepLetter(path, d.Markdown())
			if err != nil {
				return "", err
			}
			return out, c.Issued("reply letter " + filepath.Base(out))
		},
	}
}

// keepLetter writes a letter beside its case and returns where. A letter that is
// there already may have been sent, or mended by hand, so it is never written over:
// the next one gets a number.
func keepLetter(casePath, text string) (string, error) {
	stem := "reply"
	if casePath != "" {
		stem = strings.TrimSuffix(casePath, filepath.Ext(casePath)) + "-reply"
	}
	for n := 1; ; n++ {
		out := stem + ".md"
		if n > 1 {
			out = fmt.Sprintf("%s-%d.md", stem, n)
		}
		if was, err := os.ReadFile(out); err == nil && string(was) == text {
			return out, nil
		}
		f, err := os.OpenFile(out, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if errors.Is(err, os.ErrExist) {
			continue
		}
		if err != nil {
			return "", err
		}
		_, err = f.WriteString(text)
		if err = errors.Join(err, f.Close()); err != nil {
			return "", errors.Join(err, os.Remove(out)) // half a letter is none
		}
		return out, nil
	}
}

// exampleCall opens a built-in example in memory: nothing is kept.
func (e *env) exampleCall(name string) (*diagnose.Call, tui.Options, error) {
	p, notice := e.packOnScreen()
	k, err := example(examples[name])
	if err != nil {
		return nil, tui.Options{}, err
	}
	c, err := diagnose.NewCall(diagnose.NewMemoryLog(k), p, e.user, e.now)
	if err != nil {
		return nil, tui.Options{}, err
	}
	o := e.options(c, "")
	o.Demo, o.Notice = true, notice
	return c, o, nil
}
