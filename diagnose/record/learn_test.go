package record

import (
	"testing"
	"time"

	"underlap/rules"
)

func TestSpeed(t *testing.T) {
	w := newWorld(1)
	w.times["puncture"] = 4
	cases := w.cases(rules.Built(), 60)
	t.Log(len(asked(rules.Built())), len(cases[0].Case.Events))
	start := time.Now()
	l := learn(t, cases, rules.Built())
	t.Log(time.Since(start), l.Rho, l.Tau, l.Other, l.Before, l.After)
	for _, s := range l.Causes {
		t.Log(s)
	}
}
