package rules

import (
	"fmt"
	"slices"
)

// Learned are numbers counted from a firm's closed cases. Nought means: not learned.
type Learned struct {
	Cases     int     `toml:"cases"`     // closed cases they were learned from
	Date      string  `toml:"date"`      // when, year-month-day
	Knowledge string  `toml:"knowledge"` // hash of the knowledge they were learned on
	Rho       float64 `toml:"rho"`       // reliability of what was told on the phone
	Tau       float64 `toml:"tau"`       // power that the likelihood of every answer is raised to
	Other     float64 `toml:"other"`     // calls in 100 with a cause that is not listed
}

// learn puts learned constants into the pack.
func (m *merger) learn(l *Learned) {
	at := spot{kind: "learned", span: m.linesOf("learned")}
	for _, x := range []struct {
		key       string
		v         float64
		low, high float64
	}{
		{"rho", l.Rho, 0, 1},
		{"tau", l.Tau, 0, mostTempering},
		{"other", l.Other, 0, 1000},
	} {
		if x.v != 0 && !inside(x.v, x.low, x.high) {
			m.fault(at.line(x.key)-1, "learned: %s %v must lie between %v and %v, and be neither; \"underlap rules learn\" works it out", x.key, x.v, x.low, x.high)
			return
		}
	}
	p := m.pack
	set := func(key string, into *float64, v, was float64) {
		if v != 0 && v != was {
			m.changed(at, key, fmt.Sprint(was), fmt.Sprint(v))
			*into = v
		}
	}
	p.Words.Known = slices.Clone(p.Words.Known)
	for i := range p.Words.Known {
		if k := &p.Words.Known[i]; k.ID == "told" {
			set("rho", &k.Reliability, l.Rho, k.Reliability)
		}
	}
	set("tau", &p.Words.Tempering, l.Tau, p.Words.Temper())
	p.Causes = slices.Clone(p.Causes)
	for i := range p.Causes {
		if c := &p.Causes[i]; c.ID == OtherCause {
			set("other", &c.PerCalls, l.Other, c.PerCalls)
		}
	}
	m.learned = l
	p.Learned = l
}

// mostTempering is the largest power that answers may be raised to.
const mostTempering = 3

// Temper is the power that the likelihood of every answer is raised to: 1 when none is
// set.
func (w *Words) Temper() float64 {
	if w.Tempering == 0 {
		return 1
	}
	return w.Tempering
}
