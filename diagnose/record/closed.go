package record

import (
	"slices"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/rules"
)

// Closed is a case with an outcome.
type Closed struct {
	Path    string
	Case    *casefile.Case // as it stood before the outcome was written down
	Outcome diagnose.Outcome
}

// Close gives a case with its outcome; ok is false while it is open. What was written
// after the outcome is left out: it may have come of knowing.
func Close(path string, c *casefile.Case) (k Closed, ok bool) {
	o, ok := diagnose.OutcomeOf(c.State())
	if !ok {
		return k, false
	}
	log := c.Log()
	at := slices.IndexFunc(log, func(e casefile.Event) bool { return e.ID == o.Event })
	return Closed{path, c.Until(at), o}, true
}

// Why a closed case does not count.
const (
	notFound = "the cause was never found"
	guessed  = "the cause is a guess"
	unlisted = "the cause found is not in this knowledge"
)

// Counts tells whether the case bears on the numbers, and if not why.
func (k Closed) Counts(pack *rules.Pack) (bool, string) {
	switch o := k.Outcome; {
	case len(o.Found) == 0:
		return false, notFound
	case o.How != casefile.KnownOpened && o.How != casefile.KnownRepaired:
		return false, guessed
	}
	for _, id := range k.Outcome.Found {
		if _, ok := pack.Cause(id); !ok {
			return false, unlisted
		}
	}
	return true, ""
}
