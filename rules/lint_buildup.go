package rules

import (
	"slices"
	"strings"
)

// layerRoles are the layers that the order of a build-up may name.
var layerRoles = []string{"ceiling", "joist-insulation", "void", "firring", "deck", "vapour-layer", "board", "covering", "ballast"}

func (l *linter) buildUp() {
	b := &l.p.BuildUp
	for key, v := range map[string]float64{"closure_mm": b.ClosureMM, "build_sd_mm": b.BuildSDMM, "tape_sd_mm": b.TapeSDMM} {
		if !positive(v) {
			l.say(table("buildup", key), key, "%s must be a number over 0", key)
		}
	}
	if !inside(b.OtherShare, 0, 1) {
		l.say(table("buildup", "other_share"), "other_share", "other_share must lie between 0 and 1, and be neither")
	}
	l.source(table("buildup", "source"), b.Source)
	l.buildTypes()
	l.eras()
	l.hints()
	l.readings()
	l.sizes(sizeList{kind: "buildup.joist", list: b.Joists})
	l.sizes(sizeList{kind: "buildup.firring", list: b.Firrings})
	l.sizes(sizeList{kind: "buildup.ceiling", list: b.Ceilings, material: true})
	l.sizes(sizeList{kind: "buildup.deck", list: b.Decks, material: true, question: "deck-seen"})
	l.sizes(sizeList{kind: "buildup.covering", list: b.Coverings, material: true, question: "covering"})
}

func (l *linter) buildTypes() {
	types := l.p.BuildUp.Types
	if len(types) == 0 {
		l.say(missing("buildup.type", ""), "", "the list is empty")
	}
	seen := map[string]bool{}
	for i, t := range types {
		at := entry("buildup.type", t.ID, i, len(types))
		l.once(at, t.ID, seen)
		if !slices.Contains(BuildTypes, t.ID) {
			l.say(at, "id", "is not one of %s", strings.Join(BuildTypes, ", "))
		}
		if len(t.Order) == 0 {
			l.say(at, "order", "order must be filled in")
		}
		for _, role := range t.Order {
			if !slices.Contains(layerRoles, role) {
				l.say(at, "order", "order: layer %q is not one of %s", role, strings.Join(layerRoles, ", "))
			}
		}
		l.source(at, t.Source)
		l.inlineSizes(at, "insulation", t.Thickness)
		l.inlineSizes(at, "under", t.Under)
	}
}

func (l *linter) eras() {
	eras := l.p.BuildUp.Eras
	if len(eras) == 0 {
		l.say(missing("buildup.era", ""), "", "the list is empty")
	}
	seen := map[string]bool{}
	for i, e := range eras {
		at := entry("buildup.era", e.ID, i, len(eras))
		l.once(at, e.ID, seen)
		if !l.ofQuestion("built-when", e.ID) {
			l.say(at, "id", "question \"built-when\" has no answer %q", e.ID)
		}
		l.source(at, e.Source)
		l.confidence(at, e.Confidence)
		if !positive(e.TargetU) {
			l.say(at, "target_u", "target_u must be a number over 0")
		}
		l.perType(at, "types", "share", e.Types)
	}
}

func (l *linter) hints() {
	hints := l.p.BuildUp.Hints
	for i, h := range hints {
		at := entry("buildup.hint", h.Says, i, len(hints))
		l.needsWhen(at, h.When)
		l.filled(at, "says", h.Says)
		l.source(at, h.Source)
		l.confidence(at, h.Confidence)
		l.perType(at, "times", "factor", h.Times)
	}
}

// perType checks a table with a number for each way of stacking.
func (l *linter) perType(at place, key, what string, v map[string]float64) {
	for _, t := range BuildTypes {
		if !positive(v[t]) {
			l.say(at, key, "%s: type %q needs a %s over 0", key, t, what)
		}
	}
	for t := range v {
		if !slices.Contains(BuildTypes, t) {
			l.say(at, key, "%s: type %q is not one of %s", key, t, strings.Join(BuildTypes, ", "))
		}
	}
}

// sizeList is a list of sizes with entries of its own.
type sizeList struct {
	kind     string
	list     []Option
	material bool   // a size over 0 mm needs a material
	question string // its answers may name a size, "" for none
}

func (l *linter) sizes(s sizeList) {
	if len(s.list) == 0 {
		l.say(missing(s.kind, ""), "", "the list is empty")
	}
	seen := map[string]bool{}
	for i, o := range s.list {
		at := entry(s.kind, o.ID, i, len(s.list))
		l.once(at, o.ID, seen)
		l.size(at, o, s.material, s.question)
	}
}

// inlineSizes checks a list of sizes inside a way of stacking.
func (l *linter) inlineSizes(at place, key string, list []Option) {
	if len(list) == 0 {
		l.say(at, key, "%s must be filled in", key)
	}
	seen := map[string]bool{}
	for _, o := range list {
		row := at.rowAt(key, "id", o.ID)
		if o.ID == "" || seen[o.ID] {
			l.say(row, "", "%s: id %q is empty or doubled", key, o.ID)
		}
		seen[o.ID] = true
		l.size(row, o, true, "")
	}
}

func (l *linter) size(at place, o Option, material bool, question string) {
	if !positive(o.Weight) {
		l.say(at, "weight", "size %q: weight must be a number over 0", o.ID)
	}
	if !(o.MM >= 0) || !finite(o.MM) {
		l.say(at, "mm", "size %q: mm must be a number and not below 0", o.ID)
	}
	if material && o.MM > 0 && o.Material == "" {
		l.say(at, "material", "size %q: material must be filled in", o.ID)
	}
	for _, e := range o.Eras {
		if !slices.ContainsFunc(l.p.BuildUp.Eras, func(era Era) bool { return era.ID == e }) {
			l.say(at, "eras", "size %q: eras: %q has no [[buildup.era]] entry", o.ID, e)
		}
	}
	for _, a := range o.Answers {
		switch {
		case question == "":
			l.say(at, "answers", "size %q: answers: no question names these sizes; leave it out", o.ID)
		case !l.ofQuestion(question, a):
			l.say(at, "answers", "size %q: answers: question %q has no answer %q", o.ID, question, a)
		}
	}
}
