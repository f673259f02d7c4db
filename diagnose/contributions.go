package diagnose

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"underlap/diagnose/explain"
	"underlap/diagnose/infer"
)

// sharedOut is for how many of the first causes the weight is shared out.
const sharedOut = 3

// Contribution is what the answers under each heading did to one cause. Unlike the
// weights of single answers, these add up.
type Contribution struct {
	Cause  string       `json:"cause"`
	Total  float64      `json:"total"`  // decibans, from before any answer to now
	Topics []TopicShare `json:"topics"` // the heaviest first
}

// TopicShare is one heading's part, in decibans.
type TopicShare struct {
	ID       string  `json:"id"`
	Name     string  `json:"name"`
	Decibans float64 `json:"decibans"`
}

// contributions shares the weight of all answers out among the topics, for the first
// causes. That water comes at all counts with the first topic.
func (d *Doubts) contributions() ([]Contribution, error) {
	groups := make([][]int, len(d.pack.Topics))
	for f, fd := range d.heard {
		at := 0
		if fd.question != nil {
			for i, t := range d.pack.Topics {
				if slices.Contains(t.Branches, fd.question.Branch) {
					at = i
				}
			}
		}
		groups[at] = append(groups[at], f)
	}
	var topics []int
	var used [][]int
	for i, g := range groups {
		if len(g) > 0 {
			topics, used = append(topics, i), append(used, g)
		}
	}
	if len(used) == 0 {
		return nil, nil
	}
	e, err := infer.Compile(d.spec)
	if err != nil {
		return nil, err
	}
	causes := d.ranked[:min(sharedOut, len(d.ranked))]
	list, err := e.Shapley(d.ev, causes, used)
	if err != nil {
		return nil, fmt.Errorf("sharing out the weight of the answers: %w", err)
	}
	var out []Contribution
	for i, s := range list {
		c := Contribution{Cause: d.pack.Causes[causes[i]].ID, Total: s.Total}
		for g, v := range s.Group {
			t := &d.pack.Topics[topics[g]]
			c.Topics = append(c.Topics, TopicShare{t.ID, t.Name, v})
		}
		slices.SortStableFunc(c.Topics, func(a, b TopicShare) int {
			return int(math.Round(1e6*math.Abs(b.Decibans))) - int(math.Round(1e6*math.Abs(a.Decibans)))
		})
		out = append(out, c)
	}
	return out, nil
}

// Says is the sharing out in a sentence, without numbers of decibans: how much of what
// speaks for the cause comes from where, and what speaks against it. It is empty when
// nothing speaks for it.
func (c *Contribution) Says() string {
	speaks := 0.0
	for _, t := range c.Topics {
		speaks += max(0, t.Decibans)
	}
	if speaks < strong {
		return ""
	}
	var by, against []string
	for _, t := range c.Topics {
		switch share := t.Decibans / speaks; {
		case share >= 0.1:
			by = append(by, fmt.Sprintf("%s %s", t.Name, explain.Percent(share)))
		case share <= -0.1:
			against = append(against, t.Name)
		}
	}
	text := "Of what speaks for it: " + strings.Join(by, ", ") + "."
	if len(against) > 0 {
		text += " Against it: " + strings.Join(against, ", ") + "."
	}
	return text
}

func (c *Contribution) explain(name string) explain.Why {
	y := explain.Why{
		ID: "shares/" + c.Cause, Title: "Where the weight comes from: " + name, Result: fmt.Sprintf("%+.1f dB in all", c.Total),
		Formula: "Shapley shares of the log-odds: what each heading's answers add, the mean over all orders in which the headings could be heard; they add up to the whole",
		Source:  "L. S. Shapley, A value for n-person games (1953), from memory",
	}
	for _, t := range c.Topics {
		y.Inputs = append(y.Inputs, explain.Input{Name: t.Name, Value: fmt.Sprintf("%+.1f dB", t.Decibans), From: "answers"})
	}
	return y
}
