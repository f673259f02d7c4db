package main

import (
	"flag"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"underlap/physics/climate"
	"underlap/rules"
)

func printHelp(w io.Writer) {
	fmt.Fprint(w, `underlap - say, from afar, why a flat roof is wet, what it is made of, and what repair is honest

  underlap                 open the desk; with no cases yet, the built-in example
`)
	for _, c := range commands() {
		fmt.Fprintf(w, "  underlap %-10s %-42s %s\n", c.name, c.args, c.does)
	}
	fmt.Fprint(w, `
"underlap COMMAND --help" shows the flags and an example. CASE is a file, or the
name or title of a case in the folder of cases; the first whole words of a name will
do when they fit one case only. "example" and "example-frost" are built in.

Environment: UNDERLAP_CASES is the folder of cases; UNDERLAP_RULES the folder of your
own knowledge; UNDERLAP_BY the name written beside each answer; NO_COLOR turns colour
off.

Exit codes: 0 done; 1 a file or the machine said no; 2 the command line, a case's
name or an answer was not understood; 3 the case is open elsewhere; 4 rules check or
rules own found faults; 130 stopped with Ctrl-C.
`)
}

func helpOf(e *env, c command) error {
	fmt.Fprintf(e.out, "underlap %s %s\n\n%s.\n\nExample: %s\n", c.name, c.args, c.does, c.example)
	return errHelp
}

// flags makes the flag set of a command; its usage is our own help.
func flags(name string) *flag.FlagSet {
	fs := flag.NewFlagSet(name, flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	return fs
}

// parse reads flags wherever they stand, before or after the arguments, and
// returns the arguments.
func parse(e *env, fs *flag.FlagSet, args []string) ([]string, error) {
	var rest []string
	for {
		if err := fs.Parse(args); err != nil {
			c, _ := find(fs.Name())
			if err == flag.ErrHelp {
				fmt.Fprintf(e.out, "underlap %s %s\n\n%s.\n\n", c.name, c.args, c.does)
				fs.SetOutput(e.out)
				fs.PrintDefaults()
				fmt.Fprintf(e.out, "\nExample: %s\n", c.example)
				return nil, errHelp
			}
			text := err.Error()
			if flag, ok := strings.CutPrefix(text, "flag provided but not defined: -"); ok {
				text = "there is no flag --" + flag
			}
			return nil, usagef("%s; usage: underlap %s %s", text, c.name, c.args)
		}
		if fs.NArg() == 0 {
			return rest, nil
		}
		rest = append(rest, fs.Arg(0))
		args = fs.Args()[1:]
	}
}

func versionLine() string {
	v := "development"
	if b, ok := debug.ReadBuildInfo(); ok && b.Main.Version != "" {
		v = b.Main.Version
	}
	return "underlap " + v + ", knowledge " + rules.Built().Hash
}

func printPlaces(w io.Writer) error {
	all, err := climate.Places()
	if err != nil {
		return err
	}
	for _, p := range all {
		fmt.Fprintf(w, "%-16s %s (%s)\n", p.ID, p.Name, p.Country)
	}
	fmt.Fprintln(w)
	fmt.Fprint(w, climate.Credits)
	return nil
}
