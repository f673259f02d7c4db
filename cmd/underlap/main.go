// Command underlap helps a flat-roof contractor say, from afar, why a roof is wet.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"underlap/cmd/underlap/internal/quietstart"

	"underlap/diagnose"
)

// Exit codes. They are part of the program's contract.
const (
	exitOK          = 0
	exitFailed      = 1   // a file or the machine said no
	exitUsage       = 2   // the command line or an answer could not be understood
	exitBusy        = 3   // the case is open in another window
	exitFaults      = 4   // rules check found faults
	exitInterrupted = 130 // Ctrl-C
)

// command is one entry of the table of commands.
type command struct {
	name    string
	args    string
	does    string
	example string
	run     func(*env, []string) error
}

// env is the world a command runs in; tests give it another.
type env struct {
	out, err io.Writer
	tty      bool // both ends are a terminal
	now      func() time.Time
	getenv   func(string) string
	cases    string // folder of cases
	config   string // folder with the firm's own prices and knowledge
	user     string
}

func commands() []command {
	return []command{
		{"call", "[CASE] [--new TITLE]", "start or resume a case in the terminal; without CASE, the desk", "underlap call --new \"Kitchen on the hill\"", runCall},
		{"desk", "[--json]", "list the cases, most urgent first", "underlap desk", runDesk},
		{"tell", "CASE QUESTION=ANSWER ...", "give answers without a terminal", "underlap tell hill kerb-inside=480 kerb-outside=150@measured", runTell},
		{"days", "CASE [DATE=drip ...] [--weather FILE.csv]", "enter or print days it was wet or dry, and their weather", "underlap days hill 2026-11-03=drip 2026-11-04=dry --weather daily.csv", runDays},
		{"reading", "CASE [--json] [--why ID]", "print the reading of a case", "underlap reading hill", runReading},
		{"reply", "CASE [--text] [--to NAME] [--from NAME]", "print the reply letter", "underlap reply hill --to \"Mrs Hale\" > reply.md", runReply},
		{"requests", "CASE [--text] [--to NAME] [--from NAME]", "print the photo-and-tape request", "underlap requests hill --text", runRequests},
		{"questions", "[--json] [--branch NAME]", "print all questions with ids, answers and why", "underlap questions --branch Outlet", runQuestions},
		{"close", "CASE --found CAUSE,... [--how HOW]", "write down what was found", "underlap close hill --found open-lap --how opened", runClose},
		{"rules", "check [FOLDER] | show [ID] | own | learn | prices | places", "check, show or change the knowledge; learn from closed cases; print prices or places", "underlap rules check", runRules},
	}
}

func main() {
	quietstart.Done()
	e := systemEnv()
	os.Exit(run(e, os.Args[1:]))
}

// run runs one command line and returns its exit code.
func run(e *env, args []string) int {
	err := dispatch(e, args)
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, errHelp):
		return exitOK
	}
	var code *codedError
	if errors.As(err, &code) {
		if code.text != "" {
			fmt.Fprintln(e.err, "underlap: "+code.text)
		}
		return code.code
	}
	fmt.Fprintln(e.err, "underlap: "+err.Error())
	var in *diagnose.InputError
	if errors.As(err, &in) {
		return exitUsage
	}
	if inUse(err) {
		return exitBusy
	}
	return exitFailed
}

func dispatch(e *env, args []string) error {
	if len(args) == 0 {
		return runNothing(e)
	}
	switch args[0] {
	case "help", "--help", "-h":
		if len(args) > 1 {
			if c, ok := find(args[1]); ok {
				return helpOf(e, c)
			}
		}
		printHelp(e.out)
		return nil
	case "version", "--version":
		fmt.Fprintln(e.out, versionLine())
		return nil
	}
	c, ok := find(args[0])
	if !ok {
		return usagef("there is no command %q; the commands are %s", args[0], names())
	}
	return c.run(e, args[1:])
}

func find(name string) (command, bool) {
	for _, c := range commands() {
		if c.name == name {
			return c, true
		}
	}
	return command{}, false
}

func names() string {
	var out []string
	for _, c := range commands() {
		out = append(out, c.name)
	}
	return strings.Join(out, ", ")
}

// codedError carries an exit code.
type codedError struct {
	code int
	text string
}

func (e *codedError) Error() string { return e.text }

func usagef(format string, a ...any) error {
	return &codedError{exitUsage, fmt.Sprintf(format, a...)}
}

var errHelp = errors.New("help was shown")
