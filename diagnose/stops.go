package diagnose

import (
	"regexp"
	"strings"

	"underlap/diagnose/explain"

	"underlap/rules"
)

// stops are what forbids water on this roof for now, in the order of the knowledge.
type stops struct {
	hose  []string // no water at all before this is settled
	flood []string // no standing water
}

func (w *work) stops() stops {
	var s stops
	for _, x := range w.pack.Travel.Stops {
		if x.Always || rules.All(x.When, w.facts) != rules.Yes {
			continue
		}
		if x.What == "hose" {
			s.hose = append(s.hose, x.Says)
		} else {
			s.flood = append(s.flood, x.Says)
		}
	}
	return s
}

// standing finds a test that lets water stand.
var standing = regexp.MustCompile(`(?i)\b(flood|fill|filled|plug|plugged|pond|bund|bunded|bowl)`)

// dry is a test without water standing where it may not.
func (s stops) dry(test string) string {
	if len(s.flood) > 0 && standing.MatchString(test) {
		return strings.Join(s.flood, " ") + " Probe, dye or hose lightly instead"
	}
	return test
}

// guarded is a test with what must come before it.
func (s stops) guarded(test string) string {
	test = s.dry(test)
	if len(s.hose) == 0 || test == "" {
		return test
	}
	return strings.Join(s.hose, " ") + " Only then: " + explain.LowerFirst(test)
}
