package rules

import (
	"slices"
	"strings"
)

// readings checks the ways to measure, what a residual says, and the usual totals.
func (l *linter) readings() {
	b := &l.p.BuildUp
	seen := map[string]bool{}
	for i, m := range b.Readings {
		at := entry("buildup.reading", m.Question, i, len(b.Readings))
		l.once(at, m.Question, seen)
		q, ok := l.p.Question(m.Question)
		if !ok {
			l.say(at, "question", "no question %q", m.Question)
			continue
		}
		if !slices.Contains([]string{PartWhole, PartBelowDeck, PartInsulation}, m.Part) {
			l.say(at, "part", "part %q is not one of %s, %s, %s", m.Part, PartWhole, PartBelowDeck, PartInsulation)
		}
		if !positive(m.SDMM) {
			l.say(at, "sd_mm", "sd_mm must be a number over 0")
		}
		if !finite(m.BiasMM) || !(m.AlongM >= 0) || !finite(m.AlongM) || !(m.AlongSDM >= 0) || !finite(m.AlongSDM) {
			l.say(at, "along_m", "bias_mm, along_m and along_sd_m must be numbers, the last two not below 0")
		}
		if !inside(m.There, 0, 1) {
			l.say(at, "there", "there must lie between 0 and 1, and be neither")
		}
		if m.Place != "" && !l.ofQuestion("measure-at", m.Place) {
			l.say(at, "place", "question \"measure-at\" has no answer %q", m.Place)
		}
		l.filled(at, "text", m.Text)
		l.source(at, m.Source)
		for _, id := range []string{m.Distance, m.InsteadOf} {
			if _, ok := l.p.Question(id); id != "" && !ok {
				l.say(at, "", "no question %q", id)
			}
		}
		if q.Kind != KindLength && q.Kind != KindChoice || (q.Kind == KindChoice) != (len(m.Bands) > 0) {
			l.say(at, "band", "a length has no bands, and a choice needs one for each answer")
			continue
		}
		for k, a := range q.Answers {
			if k >= len(m.Bands) || m.Bands[k].Answer != a.ID || !(m.Bands[k].From < m.Bands[k].To) || k > 0 && m.Bands[k].From != m.Bands[k-1].To {
				l.say(at.rowAt("band", "answer", a.ID), "", "the bands must follow the answers of %q and one another, from_mm below to_mm", m.Question)
				break
			}
		}
	}
	g := b.Growth
	for key, v := range map[string]float64{"slope_mm_per_m": g.SlopeMM, "slope_sd_mm_per_m": g.SlopeSDMM, "steady_sd_mm_per_m": g.SteadySDMM, "sides_apart_m": g.SidesM} {
		if !positive(v) {
			l.say(table("buildup.growth", ""), key, "%s must be a number over 0", key)
		}
	}
	for key, v := range map[string]float64{"firring": g.Firring, "boards": g.Boards, "bare": g.Bare} {
		if !inside(v, 0, 1) {
			l.say(table("buildup.growth", ""), key, "%s must lie between 0 and 1, and be neither", key)
		}
	}
	l.source(table("buildup.growth", ""), g.Source)
	l.residuals()
	l.usual()
}

func (l *linter) residuals() {
	list := l.p.BuildUp.Residuals
	seen := map[string]bool{}
	for i, r := range list {
		at := entry("buildup.residual", r.ID, i, len(list))
		l.once(at, r.ID, seen)
		if !finite(r.From) || !finite(r.To) || !(r.From < r.To) {
			l.say(at, "to_mm", "from_mm must lie below to_mm")
		}
		if !slices.Contains([]string{"", "growing", "steady", "hole"}, r.When) {
			l.say(at, "when", "when %q is not growing, steady, hole or left out", r.When)
		}
		l.filled(at, "says", r.Says)
		l.source(at, r.Source)
	}
}

// usual checks that each type has one total for an era, no more.
func (l *linter) usual() {
	list := l.p.BuildUp.Usual
	seen := map[string]bool{}
	for i, u := range list {
		at := entry("buildup.usual", u.Name, i, len(list))
		if !slices.Contains(BuildTypes, u.Type) {
			l.say(at, "type", "is not one of %s", strings.Join(BuildTypes, ", "))
		}
		if !(u.Least > 0) || !(u.Least <= u.Low) || !(u.Low < u.High) || !(u.High <= u.Most) || !finite(u.Most) {
			l.say(at, "high_mm", "least_mm, low_mm, high_mm and most_mm must rise")
		}
		l.filled(at, "name", u.Name)
		l.source(at, u.Source)
		eras := u.Eras
		if len(eras) == 0 {
			for _, e := range l.p.BuildUp.Eras {
				eras = append(eras, e.ID)
			}
		}
		for _, e := range eras {
			if !slices.ContainsFunc(l.p.BuildUp.Eras, func(era Era) bool { return era.ID == e }) {
				l.say(at, "eras", "eras: %q has no [[buildup.era]] entry", e)
			}
			if seen[u.Type+" "+e] {
				l.say(at, "eras", "type %q has two totals for %q", u.Type, e)
			}
			seen[u.Type+" "+e] = true
		}
	}
}
