package diagnose

import (
	"fmt"
	"strings"

	"underlap/rules"
)

// Tell gives one answer written as "question=answer", as the command line and the
// tests do. After the answer may stand "@" and how it is known: told, photo,
// measured or opened. "withdraw" takes the answer back.
func Tell(c *Call, line string, thisYear int) error {
	q, in, err := ParseTell(c.pack, line, thisYear)
	if err != nil {
		return err
	}
	if in.Typed == withdraw && len(in.Choices) == 0 {
		return c.Withdraw(q.ID)
	}
	return c.Answer(q.ID, in)
}

const withdraw = "withdraw"

// ParseTell reads "question=answer" without giving it. An Input typed "withdraw"
// means that the answer is taken back.
func ParseTell(pack *rules.Pack, line string, thisYear int) (*rules.Question, Input, error) {
	id, text, ok := strings.Cut(line, "=")
	if !ok {
		return nil, Input{}, &InputError{Text: fmt.Sprintf("%q is not an answer; write question=answer, for example kerb-inside=480", line)}
	}
	id = strings.TrimSpace(id)
	q, ok := pack.Question(id)
	if !ok {
		return nil, Input{}, &InputError{Question: id, Text: fmt.Sprintf("there is no question %q; run \"underlap questions\" for the list", id)}
	}
	known := ""
	if at := strings.LastIndex(text, "@"); at >= 0 {
		word := strings.TrimSpace(text[at+1:])
		for _, k := range pack.Words.Known {
			if k.ID == word {
				known = word
			}
		}
		if known == "" && q.Kind != rules.KindText {
			return nil, Input{}, inputError(q, "%q after @ is not how something is known; write told, photo, measured or opened", word)
		}
		if known != "" {
			text = text[:at]
		}
	}
	if strings.TrimSpace(text) == withdraw {
		return q, Input{Typed: withdraw}, nil
	}
	in, err := ParseInput(q, text, thisYear)
	in.Known = known
	return q, in, err
}
