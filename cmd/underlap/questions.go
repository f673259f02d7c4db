package main

import (
	"fmt"
	"strings"

	"underlap/diagnose"
	"underlap/rules"
)

// questionLine is a question as JSON gives it.
type questionLine struct {
	ID      string       `json:"id"`
	Branch  string       `json:"branch"`
	Short   string       `json:"short"`
	Say     string       `json:"say"`
	Why     string       `json:"why"`
	Look    string       `json:"look,omitempty"`
	Kind    string       `json:"kind"`
	Unit    string       `json:"unit,omitempty"`
	Expects string       `json:"expects"`
	When    []string     `json:"when,omitempty"`
	Unless  []string     `json:"unless,omitempty"`
	Answers []answerLine `json:"answers,omitempty"`
	Source  string       `json:"source"`
	Sure    string       `json:"confidence"`
}

type answerLine struct {
	Key  int    `json:"key"`
	ID   string `json:"id"`
	Says string `json:"says"`
}

func runQuestions(e *env, args []string) error {
	fs := flags("questions")
	asJSON := fs.Bool("json", false, "print JSON")
	branch := fs.String("branch", "", "only this branch")
	rest, err := parse(e, fs, args)
	if err != nil {
		return err
	}
	if len(rest) > 0 {
		return usagef("questions takes no case; got %q", rest)
	}
	p, err := e.pack()
	if err != nil {
		return err
	}
	var out []questionLine
	branches := map[string]bool{}
	for i := range p.Questions {
		q := &p.Questions[i]
		branches[q.Branch] = true
		if *branch != "" && !strings.EqualFold(q.Branch, *branch) {
			continue
		}
		out = append(out, lineOfQuestion(q))
	}
	if len(out) == 0 {
		var names []string
		for i := range p.Questions {
			if b := p.Questions[i].Branch; branches[b] {
				names = append(names, b)
				branches[b] = false
			}
		}
		return usagef("there is no branch %q; the branches are %s", *branch, strings.Join(names, ", "))
	}
	if *asJSON {
		return printJSON(e.out, out)
	}
	last := ""
	for _, q := range out {
		if q.Branch != last {
			fmt.Fprintf(e.out, "%s\n", strings.ToUpper(q.Branch))
			last = q.Branch
		}
		fmt.Fprintf(e.out, "\n  %s\n    Say:  %s\n    Why:  %s\n", q.ID, q.Say, q.Why)
		if q.Look != "" {
			fmt.Fprintf(e.out, "    Look: %s\n", q.Look)
		}
		if len(q.When) > 0 {
			fmt.Fprintf(e.out, "    Asked when: %s\n", strings.Join(q.When, " and "))
		}
		if len(q.Unless) > 0 {
			fmt.Fprintf(e.out, "    Not asked when: %s\n", strings.Join(q.Unless, " or "))
		}
		for _, a := range q.Answers {
			fmt.Fprintf(e.out, "      %d %-14s %s\n", a.Key, a.ID, a.Says)
		}
		if len(q.Answers) == 0 || q.Kind == rules.KindAmount {
			fmt.Fprintf(e.out, "    Takes: %s\n", q.Expects)
		}
		fmt.Fprintf(e.out, "    Source: %s\n", q.Source)
	}
	return nil
}

func lineOfQuestion(q *rules.Question) questionLine {
	l := questionLine{ID: q.ID, Branch: q.Branch, Short: q.Short, Say: q.Say, Why: q.Why, Look: q.Look, Kind: q.Kind, Unit: q.Unit, Expects: diagnose.Expects(q), When: q.When, Unless: q.Unless, Source: q.Source, Sure: q.Sure}
	for i, a := range q.Answers {
		l.Answers = append(l.Answers, answerLine{Key: i + 1, ID: a.ID, Says: a.Says})
	}
	return l
}
