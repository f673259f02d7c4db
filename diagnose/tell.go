package diagnose

import (
	"fmt"
	"strings"

	"underlap/rules"
)

// Tell gives one answer written as "question=answer", as the command line and the
// tests do. After the answer may stand "@" and how it is known: told, photo,
// measured or opened.
func Tell(c *Call, line string, thisYear int) error {
	id, text, ok := strings.Cut(line, "=")
	if !ok {
		return &InputError{Text: fmt.Sprintf("%q is not an answer; write question=answer, for example kerb-inside=480", line)}
	}
	id = strings.TrimSpace(id)
	q, ok := c.pack.Question(id)
	if !ok {
		return &InputError{Question: id, Text: fmt.Sprintf("there is no question %q; run \"underlap questions\" for the list", id)}
	}
	known := ""
	if at := strings.LastIndex(text, "@"); at >= 0 {
		word := strings.TrimSpace(text[at+1:])
		for _, k := range c.pack.Words.Known {
			if k.ID == word {
				known = word
			}
		}
		if known == "" && q.Kind != rules.KindText {
			return inputError(q, "%q after @ is not how something is known; write told, photo, measured or opened", word)
		}
		if known != "" {
			text = text[:at]
		}
	}
	if strings.TrimSpace(text) == "withdraw" {
		return c.Withdraw(id)
	}
	in, err := ParseInput(q, text, thisYear)
	if err != nil {
		return err
	}
	in.Known = known
	return c.Answer(id, in)
}
