package main

import (
	"fmt"
	"os"
	"strings"

	"underlap/diagnose/explain"
	"underlap/rules"
)

func runRules(e *env, args []string) error {
	if len(args) > 0 {
		if run := ruleWord(args[0]); run != nil {
			return run(e, args[1:])
		}
	}
	fs := flags("rules")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	if len(rest) == 0 {
		return usagef("rules needs a word: check, show, own, learn, prices or places")
	}
	if most := map[string]int{"check": 2, "show": 2}[rest[0]]; len(rest) > max(1, most) {
		return usagef("rules %s does not take %q", rest[0], rest[len(rest)-1])
	}
	switch rest[0] {
	case "check":
		if len(rest) > 1 {
			return checkFolder(e, rest[1])
		}
		own, err := e.own(true)
		if err != nil {
			return &codedError{exitFaults, err.Error()}
		}
		printPackLine(e, own.Pack)
		printOwnLine(e, own)
		return nil
	case "prices":
		text, err := rules.PriceText()
		if err != nil {
			return err
		}
		fmt.Fprint(e.out, text)
		fmt.Fprintf(e.err, "Save this as %s%cprices.toml and change it: it is read in place of the built-in one.\n", e.config, os.PathSeparator)
		return nil
	case "places":
		return printPlaces(e.out)
	case "show":
		return e.showRules(rest[1:])
	default:
		return usagef("rules does not know %q; the words are check, show, own, learn, prices and places", rest[0])
	}
}

// checkFolder lints a whole pack in a folder of one's own.
func checkFolder(e *env, folder string) error {
	if st, err := os.Stat(folder); err != nil || !st.IsDir() {
		return usagef("%s is not a folder with a knowledge pack", folder)
	}
	p, err := rules.Load(os.DirFS(folder))
	if err != nil {
		n := strings.Count(err.Error(), "\n") + 1
		return &codedError{exitFaults, fmt.Sprintf("%s in %s\n%v", explain.Count(n, "fault"), folder, err)}
	}
	printPackLine(e, p)
	return nil
}

func printPackLine(e *env, p *rules.Pack) {
	links, unsourced := 0, 0
	for _, c := range p.Causes {
		links += len(c.Links)
		for _, l := range c.Links {
			if strings.HasPrefix(l.Source, "common practice") {
				unsourced++
			}
		}
	}
	fmt.Fprintf(e.out, "Knowledge %s is sound: %d causes, %d questions, %d links (%d of them common practice), %d repairs.\n",
		p.Hash, len(p.Causes), len(p.Questions), links, unsourced, len(p.Repairs))
	printNotes(e.out, p)
}
