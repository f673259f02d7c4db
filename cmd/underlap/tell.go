package main

import (
	"errors"
	"fmt"
	"strings"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/diagnose/explain"
	"underlap/rules"
)

// runTell gives answers from the command line. All of them are read before the
// first is written, so that a slip in the third leaves the file untouched.
func runTell(e *env, args []string) (err error) {
	fs := flags("tell")
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
	given := map[string]bool{}
	for _, line := range rest[1:] {
		id, _, _ := strings.Cut(line, "=")
		if id = strings.TrimSpace(id); given[id] {
			return usagef("%s is given twice; give each question one answer at a time", id)
		}
		given[id] = true
	}
	// A trial in memory first: a slip in the third answer leaves the file untouched,
	// and starts no case.
	trial := &casefile.Case{}
	if *title == "" {
		if trial, err = e.caseToWrite(rest[0]); err != nil {
			return err
		}
	}
	if err := e.tellAll(diagnose.NewMemoryLog(trial), p, *by, rest[1:]); err != nil {
		return err
	}
	store, err := e.open(rest[0], *title)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	if err := e.tellAll(store, p, *by, rest[1:]); err != nil {
		return err
	}
	c, err := diagnose.NewCall(store, p, *by, e.now)
	if err != nil {
		return err
	}
	r := c.Reading()
	fmt.Fprintf(e.out, "%s in %s\n%s (%s)\n", explain.Count(r.Answered, "answer"), store.Path(), r.Why.Text, r.Why.Hedge)
	for _, x := range r.Recheck {
		fmt.Fprintf(e.out, "Look again: %s\n", x.Text)
	}
	return nil
}

// tellAll gives every answer to a log. An answer that is in the file but may not
// survive a power cut counts as given; a note says so.
func (e *env) tellAll(log diagnose.Log, p *rules.Pack, by string, lines []string) error {
	c, err := diagnose.NewCall(log, p, by, e.now)
	if err != nil {
		return err
	}
	for _, line := range lines {
		err := diagnose.Tell(c, line, e.now().Year())
		if errors.Is(err, casefile.ErrUnflushed) {
			fmt.Fprintln(e.err, "note: "+err.Error())
			continue
		}
		if err != nil {
			return err
		}
	}
	return nil
}
