package main

import (
	"errors"
	"fmt"

	"underlap/diagnose"
)

// runTell gives answers from the command line. All of them are read before the
// first is written, so that a slip in the third leaves the file untouched.
func runTell(e *env, args []string) (err error) {
	fs := flags(e, "tell")
	title := fs.String("new", "", "start the case with this title first")
	by := fs.String("by", e.user, "name written beside each answer")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	if len(rest) == 0 {
		return usagef("tell needs a case; usage: underlap tell CASE QUESTION=ANSWER ...")
	}
	if len(rest) == 1 && *title == "" {
		return usagef("tell needs answers; for example: underlap tell %s kerb-inside=480", rest[0])
	}
	p, err := e.pack()
	if err != nil {
		return err
	}
	year := e.now().Year()
	for _, line := range rest[1:] {
		if _, _, err := diagnose.ParseTell(p, line, year); err != nil {
			return err
		}
	}
	store, err := e.open(rest[0], *title)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	c, err := diagnose.NewCall(store, p, *by, e.now)
	if err != nil {
		return err
	}
	for _, line := range rest[1:] {
		if err := diagnose.Tell(c, line, year); err != nil {
			return err
		}
	}
	r := c.Reading()
	fmt.Fprintf(e.out, "%d answers in %s\n%s (%s)\n", r.Answered, store.Path(), r.Why.Text, r.Why.Hedge)
	return nil
}
