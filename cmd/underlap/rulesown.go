package main

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"underlap/diagnose/casefile"
	"underlap/diagnose/explain"
	"underlap/diagnose/record"
	"underlap/rules"
)

// ruleWord is a word of "rules" that takes flags of its own, or nil.
func ruleWord(word string) func(*env, []string) error {
	switch word {
	case "own":
		return runRulesOwn
	case "learn":
		return runRulesLearn
	}
	return nil
}

// runRulesOwn lists what the firm's own knowledge changes.
func runRulesOwn(e *env, args []string) error {
	fs := flags("rules")
	example := fs.Bool("example", false, "print a commented file of own knowledge to start from")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return usagef("rules own does not take %q", rest[0])
	}
	if *example {
		fmt.Fprint(e.out, rules.OwnExample)
		return nil
	}
	folder, _ := e.ownFolder()
	files, err := e.ownFiles()
	if err != nil {
		return err
	}
	if len(files) == 0 {
		fmt.Fprintf(e.out, "You have no knowledge of your own yet. It would be in %s\nTo start: make that folder, save there what \"underlap rules own --example\" prints under a name such as own.toml, and change it.\n", folder)
		return nil
	}
	own, err := e.own(true)
	if err != nil {
		return &codedError{exitFaults, err.Error()}
	}
	fmt.Fprintf(e.out, "Your own knowledge is in %s: %s, knowledge %s\n", folder, explain.Count(len(files), "file"), own.Pack.Hash)
	if len(own.Changes) == 0 {
		fmt.Fprintln(e.out, "It changes nothing that is built in.")
	}
	printChanges(e, own)
	printStale(e, own)
	return nil
}

func printChanges(e *env, own *rules.Own) {
	last := ""
	for _, c := range own.Changes {
		// What an entry without an id is known by is no name to print.
		id := strings.ReplaceAll(c.ID, "\x00", " + ")
		head := strings.TrimSpace(c.Kind + " " + id)
		if c.Name != "" {
			head += " (" + c.Name + ")"
		}
		if head != last {
			fmt.Fprintf(e.out, "\n%s\n", head)
			last = head
		}
		where := fmt.Sprintf("[%s:%d]", c.File, c.Line)
		what := c.What
		if what == "" {
			what = "the whole entry"
		}
		switch {
		case c.New == "":
			fmt.Fprintf(e.out, "  %s: taken out  %s\n", what, where)
		case c.Old == "":
			fmt.Fprintf(e.out, "  %s: added, %s  %s\n", what, c.New, where)
		default:
			fmt.Fprintf(e.out, "  %s: %s -> %s  %s\n", what, c.Old, c.New, where)
		}
	}
}

// printOwnLine says what stands over the built-in knowledge.
func printOwnLine(e *env, own *rules.Own) {
	if len(own.Changes) == 0 {
		return
	}
	fmt.Fprintf(e.out, "Of your own: %s to what is built in; \"underlap rules own\" lists them.\n", explain.Count(len(own.Changes), "change"))
	if l := own.Pack.Learned; l != nil && l.Cases > 0 {
		fmt.Fprintf(e.out, "Some numbers were learned from %s on %s.\n", explain.Count(l.Cases, "closed case"), l.Date)
	}
	printStale(e, own)
}

func printStale(e *env, own *rules.Own) {
	if own.Stale {
		fmt.Fprintln(e.out, "The learned numbers are from before your knowledge last changed; \"underlap rules learn\" shows what your cases say now.")
	}
}

// manyCases take more than a second or two.
const manyCases = 30

// runRulesLearn shows what closed cases say of the numbers, and keeps it when told to.
func runRulesLearn(e *env, args []string) error {
	fs := flags("rules")
	write := fs.Bool("write", false, "keep what is learned, in learned.toml in the folder of your own knowledge")
	undo := fs.Bool("undo", false, "put back the learned.toml that was there before")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	switch {
	case len(rest) > 0:
		return usagef("rules learn does not take %q", rest[0])
	case *write && *undo:
		return usagef("rules learn takes --write or --undo, not both")
	case *undo:
		return undoLearned(e)
	}
	own, err := e.own(false)
	if err != nil {
		return err
	}
	closed, err := e.closedCases()
	if err != nil {
		return err
	}
	if len(closed) > manyCases {
		fmt.Fprintf(e.err, "Weighing %d closed cases some ten times over; give it a moment.\n", len(closed))
	}
	l, err := record.Learn(closed, own.Pack)
	if err != nil {
		return err
	}
	printLesson(e, l)
	if !*write {
		if l.Moved() {
			fmt.Fprintln(e.out, "\nNothing has been changed. \"underlap rules learn --write\" keeps these numbers.")
		}
		return nil
	}
	if !l.Moved() {
		fmt.Fprintln(e.out, "\nThere is nothing to keep.")
		return nil
	}
	text := l.TOML(e.now().Format("2006-01-02"))
	if err := e.fits(text); err != nil {
		return err
	}
	folder, _ := e.ownFolder()
	path, before, err := record.Keep(folder, text)
	if err != nil {
		return err
	}
	fmt.Fprintf(e.out, "\nKept in %s; \"underlap rules learn --undo\" takes it back.\n", path)
	if before != "" {
		fmt.Fprintf(e.out, "The one before is now %s.\n", filepath.Base(before))
	}
	return nil
}

// fits checks that a learned.toml goes with the rest before it is kept.
func (e *env) fits(text []byte) error {
	base, err := e.priced()
	if err != nil {
		return err
	}
	files, err := e.ownFiles()
	if err != nil {
		return err
	}
	var others []rules.OwnFile
	for _, f := range files {
		if f.Name != rules.LearnedFile {
			others = append(others, f)
		}
	}
	_, err = rules.WithOwn(base, append(others, rules.OwnFile{Name: rules.LearnedFile, Text: text}))
	return err
}

func undoLearned(e *env) error {
	folder, _ := e.ownFolder()
	back, err := record.Undo(folder)
	switch {
	case errors.Is(err, record.ErrNothingKept):
		return usagef("%v in %s", err, folder)
	case err != nil:
		return err
	case back == "":
		fmt.Fprintln(e.out, "The learned numbers are taken back; there were none before them.")
	default:
		fmt.Fprintf(e.out, "The learned numbers before these are back, from %s.\n", filepath.Base(back))
	}
	return nil
}

// closedCases reads the cases in the folder that have an outcome. A file that cannot be
// read is named and left out.
func (e *env) closedCases() ([]record.Closed, error) {
	listed, err := casefile.List(e.cases)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	var out []record.Closed
	for _, l := range listed {
		if l.Err != nil {
			fmt.Fprintf(e.err, "note: %v; it is left out\n", l.Err)
			continue
		}
		if k, ok := record.Close(l.Path, l.Case); ok {
			out = append(out, k)
		}
	}
	return out, nil
}

func printLesson(e *env, l *record.Lesson) {
	p := func(format string, a ...any) { fmt.Fprintf(e.out, format+"\n", a...) }
	p("%s in %s: opened, or repaired and dry since.", explain.Count(l.Cases, "closed case"), e.cases)
	var why []string
	for reason := range l.Left {
		why = append(why, reason)
	}
	sort.Strings(why)
	for _, reason := range why {
		p("Left out: %s (%s).", explain.Count(l.Left[reason], "case"), reason)
	}
	if l.Cases == 0 {
		p("There is nothing to learn from yet. \"underlap close CASE --found CAUSE --how opened\" closes a case.")
		return
	}
	if l.Cases < record.Thin {
		p("WARNING: under %d cases, what follows is mostly chance. Better wait.", record.Thin)
	}
	p("\n  %-30s %5s  %8s   %s", "Calls in 100, before any sign", "found", "expected", "calls in 100")
	shares := append([]record.Share(nil), l.Causes...)
	sort.SliceStable(shares, func(i, j int) bool {
		a, b := shares[i], shares[j]
		if a.Found != b.Found {
			return a.Found > b.Found
		}
		return math.Abs(a.New-a.Old) > math.Abs(b.New-b.Old)
	})
	for _, s := range shares {
		switch {
		case s.New != s.Old:
			p("  %-30s %5d  %8.1f   %.3g -> %.3g", s.Name, s.Found, s.Expected, s.Old, s.New)
		case s.Found > 0:
			p("  %-30s %5d  %8.1f   %.3g, stays", s.Name, s.Found, s.Expected, s.Old)
		}
	}
	p("")
	for _, c := range []struct {
		name string
		record.Constant
	}{
		{"A cause that is not listed, calls in 100", l.Other},
		{"Reliability of what was told (rho)", l.Rho},
		{"Power that each answer is raised to (tau)", l.Tau},
	} {
		switch {
		case c.New != c.Old:
			p("  %-42s %.3g -> %.3g (the cases alone: %.3g)", c.name, c.Old, c.New, c.Best)
		case c.Best != c.Old:
			p("  %-42s %.3g, stays (the cases alone: %.3g; too few or too little to move it)", c.name, c.Old, c.Best)
		default:
			p("  %-42s %.3g, stays", c.name, c.Old)
		}
	}
	p("\nMean log score of the causes found, over %s: %.3f before, %.3f after (0 is the best there is).", explain.Count(l.Cases, "case"), l.Before, l.After)
	p("That is %s of all suspicion on what was found before, %s after (geometric mean; counts of the other cases only).", explain.Percent(math.Exp(l.Before)), explain.Percent(math.Exp(l.After)))
	p("All is drawn towards what it was, as if that rested on %d calls.", record.Worth)
}
