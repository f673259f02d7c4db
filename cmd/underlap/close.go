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

// runClose writes down what was found, or takes that back.
func runClose(e *env, args []string) (err error) {
	fs := flags("close")
	found := fs.String("found", "", "`causes` that were found, by id, with commas; \"something-else\" for one that is not listed")
	never := fs.Bool("not-found", false, "the cause was never found")
	how := fs.String("how", casefile.KnownGuess, "how it is known: "+strings.Join(diagnose.Hows, ", "))
	note := fs.String("note", "", "a note on it")
	reopen := fs.Bool("reopen", false, "take the outcome back; the file keeps it as history")
	by := fs.String("by", e.user, "name written beside it")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	given := 0
	for _, is := range []bool{*found != "", *never, *reopen} {
		if is {
			given++
		}
	}
	switch {
	case len(rest) != 1:
		return usagef("close takes one case; usage: underlap close CASE --found CAUSE --how opened")
	case given != 1:
		return usagef("close needs one of --found CAUSE, --not-found and --reopen")
	}
	p, err := e.pack()
	if err != nil {
		return err
	}
	causes := splitIDs(*found)
	if *found != "" && len(causes) == 0 {
		return usagef("--found needs a cause; write for example --found open-lap")
	}
	// A trial in memory first, so that a slip leaves the file and its lock alone.
	trial, err := e.caseToWrite(rest[0])
	if err != nil {
		return err
	}
	do := func(log diagnose.Log) (*diagnose.Call, error) {
		c, err := diagnose.NewCall(log, p, *by, e.now)
		if err != nil {
			return nil, err
		}
		if *reopen {
			return c, c.Reopen()
		}
		return c, c.Close(causes, *how, *note)
	}
	if _, err := do(diagnose.NewMemoryLog(trial)); err != nil {
		return err
	}
	store, err := e.open(rest[0], "")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	c, err := do(store)
	if errors.Is(err, casefile.ErrUnflushed) {
		fmt.Fprintln(e.err, "note: "+err.Error())
	} else if err != nil {
		return err
	}
	if *reopen {
		fmt.Fprintf(e.out, "Open again: %s\n", store.Path())
		return nil
	}
	printOutcome(e, c, store.Path())
	return nil
}

func splitIDs(s string) []string {
	return strings.FieldsFunc(s, func(r rune) bool { return r == ',' || r == ' ' })
}

// printOutcome says what was written down, and where the causes stood on the list.
func printOutcome(e *env, c *diagnose.Call, path string) {
	o, _ := c.Outcome()
	fmt.Fprintf(e.out, "Closed: %s\n", path)
	if len(o.Found) == 0 {
		fmt.Fprintln(e.out, "The cause was never found. The case does not count when numbers are learned.")
		return
	}
	r := c.Reading()
	for _, id := range o.Found {
		for i, x := range r.Causes {
			if x.ID == id {
				fmt.Fprintf(e.out, "Found: %s. It was number %d of the suspects, at %s (%s).\n", x.Name, i+1, explain.Percent(x.P), x.Hedge)
			}
		}
	}
	if o.How == casefile.KnownGuess {
		fmt.Fprintln(e.out, "Nobody looked, so the case does not count when numbers are learned; --how opened or --how repaired-and-dry says otherwise.")
	}
}

// closedState is how the desk shows a case that is closed; ok is false while it is open.
func closedState(c *casefile.Case, p *rules.Pack) (state string, ok bool) {
	o, ok := diagnose.OutcomeOf(c.State())
	if !ok {
		return "", false
	}
	var names []string
	for _, id := range o.Found {
		name := id
		if x, ok := p.Cause(id); ok {
			name = x.Name
		}
		names = append(names, name)
	}
	if len(names) == 0 {
		return "closed: the cause was never found", true
	}
	return fmt.Sprintf("closed: %s (%s)", strings.Join(names, "; "), strings.ReplaceAll(o.How, "-", " ")), true
}
