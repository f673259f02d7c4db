package rules

import (
	"slices"
	"strings"
)

// knownIDs are the ways of knowing an answer that the program has.
var knownIDs = []string{"told", "photo", "measured", "opened"}

// widest is the largest spread of log-odds that still leaves a number standing.
const widest = 3

// freeKeys are the letters that stand for nothing else on the program's screens.
const freeKeys = "moptyz"

func (l *linter) words() {
	w := l.p.Words
	if len(w.Strength) == 0 {
		l.say(missing("words", "strength"), "", "the table of strength words is missing")
	}
	for word, v := range w.Strength {
		if !inside(v, 0, 1) {
			l.say(table("words", word), word, "strength %v must lie between 0 and 1, and be neither", v)
		}
	}
	for _, word := range []string{"high", "medium", "low"} {
		if _, ok := w.Confidence[word]; !ok {
			l.say(table("words", "confidence"), "confidence", "the spread for %q is missing", word)
		}
	}
	for word, v := range w.Confidence {
		if !inside(v, 0, widest) {
			l.say(table("words", word), word, "confidence %v must lie between 0 and %v, and be neither", v, widest)
		}
	}
	l.source(table("words", "source"), w.Source)
	if w.Tempering != 0 && !inside(w.Tempering, 0, mostTempering) {
		l.say(table("words", "tempering"), "tempering", "tempering %v must lie between 0 and %v, and be neither", w.Tempering, mostTempering)
	}
	l.known()
	sum, fair := 0.0, true
	for _, v := range w.CauseCount {
		sum += v
		fair = fair && positive(v)
	}
	if n := len(w.CauseCount); n == 0 || n > 3 || !fair || !sumsTo(sum, 1) {
		l.say(table("words", "cause_count"), "cause_count", "must be one to three shares over 0 that sum to 1")
	}
}

func (l *linter) known() {
	list := l.p.Words.Known
	have, keys := map[string]bool{}, map[string]bool{}
	for i, k := range list {
		at := entry("words.known", k.ID, i, len(list))
		if !slices.Contains(knownIDs, k.ID) {
			l.say(at, "id", "the id is not one of %s", strings.Join(knownIDs, ", "))
		}
		l.once(at, k.ID, have)
		l.filled(at, "name", k.Name)
		if len(k.Key) != 1 || !strings.Contains(freeKeys, k.Key) {
			l.say(at, "key", "key %q must be one of the letters %s; the program uses the others", k.Key, strings.Join(strings.Split(freeKeys, ""), " "))
		}
		if keys[k.Key] {
			l.say(at, "key", "key %q is used twice", k.Key)
		}
		keys[k.Key] = true
		if !inside(k.Reliability, 0, 1) {
			l.say(at, "reliability", "reliability %v must lie between 0 and 1, and be neither", k.Reliability)
		}
	}
	for _, id := range knownIDs {
		if !have[id] {
			l.say(table("words", "known"), "known", "there is no [[words.known]] entry with id %q", id)
		}
	}
}
