package diagnose

import (
	"fmt"

	"underlap/diagnose/casefile"
)

// knowledge says when the last letter went out under other knowledge than this: the
// same answers may then come to something else.
func (w *work) knowledge() {
	last := casefile.Event{}
	for _, e := range w.state.Issued {
		if e.Pack != "" {
			last = e
		}
	}
	w.r.Then, w.r.Changed = last.Pack, last.Pack != "" && last.Pack != w.pack.Hash
	if !w.r.Changed {
		return
	}
	w.r.Recheck = append(w.r.Recheck, Recheck{
		Kind: "knowledge",
		Text: fmt.Sprintf("The letter of %s was written with knowledge %s; this is %s. Read it again before you rely on it.", last.At.Format("2 Jan 2006"), w.r.Then, w.pack.Hash),
	})
}
