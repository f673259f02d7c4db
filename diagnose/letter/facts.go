package letter

import (
	"strings"

	"underlap/diagnose/explain"

	"underlap/diagnose"
	"underlap/rules"
)

// told lists what the owner said, a line for each branch of the interview.
func (w *writer) told() {
	lines, left := w.byBranch("told", "")
	note := ""
	if left > 0 && len(lines) > 0 {
		note = "Other answers and photographs are on file; they went into the sums."
	}
	w.add(SectionTold, "What you told us",
		Block{Kind: List, Voice: Told, Items: lines},
		Block{Voice: Told, Text: note, Tight: true})
}

// seen lists what was looked at or measured; each line says how it is known.
func (w *writer) seen() {
	var lines []Item
	for _, k := range []struct{ known, title string }{
		{"opened", "Opened up and seen"}, {"measured", "Measured"}, {"photo", "Photographs"},
	} {
		some, _ := w.byBranch(k.known, k.title)
		lines = append(lines, some...)
	}
	w.add(SectionSeen, "What we saw", Block{Kind: List, Voice: Seen, Items: lines})
}

// byBranch gathers the facts known in one way, a line for each branch, and counts
// those left out. People's own words get a line to themselves.
func (w *writer) byBranch(known, title string) (lines []Item, left int) {
	needed, many := w.needed(), 0
	for _, f := range w.r.Facts {
		if how(f.Known) == known && f.Says != "" {
			many++
		}
	}
	type line struct {
		lead   string
		parts  []string
		quoted bool
	}
	var all []line
	at := map[string]int{} // branch -> its line
	for _, f := range w.r.Facts {
		if how(f.Known) != known || f.Says == "" {
			continue
		}
		if f.Says == unsaid || !needed[f.Question] && (many > mostFacts || idle(f)) {
			left++
			continue
		}
		text, own := w.says(f)
		label := toOwner.Replace(f.Short)
		if own {
			all = append(all, line{label, []string{text}, true})
			continue
		}
		i, ok := at[f.Branch]
		if !ok {
			i = len(all)
			at[f.Branch] = i
			lead := f.Branch
			if title != "" {
				lead = title + ", " + explain.LowerFirst(f.Branch)
			}
			// Without the pack nobody knows which words are the pack's.
			all = append(all, line{lead: lead, quoted: w.pack == nil})
		}
		if len(all[i].parts) > 0 {
			label = explain.LowerFirst(label)
		}
		if strings.EqualFold(label, f.Branch) {
			all[i].parts = append(all[i].parts, text) // the lead says it already
			continue
		}
		all[i].parts = append(all[i].parts, label+": "+text)
	}
	for _, l := range all {
		it := Item{Lead: l.lead, Text: strings.Join(l.parts, "; "), Quoted: l.quoted}
		if !l.quoted {
			it.Text = sentence(it.Text)
		}
		lines = append(lines, it)
	}
	return lines, left
}

// says is an answer as it stands in a line of several, and whether it is in
// somebody's own words. Notes are for the firm and stay out of letters.
func (w *writer) says(f diagnose.Told) (text string, own bool) {
	if w.pack == nil {
		return f.Says, f.Question == "caller-words"
	}
	q, ok := w.pack.Question(f.Question)
	if !ok {
		return f.Says, true
	}
	switch q.Kind {
	case rules.KindText, rules.KindPlace:
		return f.Says, true
	case rules.KindSeveral:
		several := strings.Split(f.Says, "; ")
		for i := range several {
			several[i] = explain.LowerFirst(several[i])
		}
		return strings.Join(several, ", "), false
	}
	return explain.LowerFirst(f.Says), false
}

// how sorts what is known: anything not looked at was told.
func how(known string) string {
	switch known {
	case "photo", "measured", "opened":
		return known
	}
	return "told"
}

// forUs are the questions asked for the sums and the price: their answers tell an
// owner nothing about the roof.
var forUs = map[string]bool{"place": true, "access": true}

// safetyBranch is the branch of the interview of which every answer is repeated.
const safetyBranch = "Safety"

// idle tells that an answer carries nothing for an owner.
func idle(f diagnose.Told) bool {
	if f.Branch == safetyBranch {
		return false
	}
	switch f.Says {
	case "No", "None", "None of these", "0":
		return true
	}
	return forUs[f.Question]
}

// unsaid is the answer that there is no answer.
const unsaid = "Nothing was said"

// mostFacts is how many answers known in one way a letter repeats in full. Of
// more, it repeats those that something in it rests on. Common practice, no source.
const mostFacts = 12

// always are the answers that a letter repeats however many there are: what the
// thickness is worked out from, what the sums are held against, and people's own
// words.
var always = map[string]bool{
	"kerb-inside": true, "kerb-outside": true, "second-inside": true, "second-outside": true,
	"head-depth": true, "outlet-depth": true, "hole-depth": true, "edge-height": true,
	"weather-pattern": true, "dry-spell": true, "litres": true, "covering-age": true,
	"sold-as": true, "built-when": true, "caller-words": true,
}

// needed are the questions whose answers something in the letter rests on: a
// reason that it gives, or one that weighs as much without being given; an answer
// that is asked again; one about safety that is not a plain no.
func (w *writer) needed() map[string]bool {
	out := map[string]bool{}
	if !w.early() {
		for n, c := range w.top() {
			for i, r := range c.For {
				if i < mostFor || n == 0 && r.Strength == diagnose.Strong {
					out[r.Question] = true
				}
			}
			for i, r := range c.Against {
				if i < mostAgainst || n == 0 && r.Strength == diagnose.Strong {
					out[r.Question] = true
				}
			}
		}
	}
	for _, x := range w.r.Recheck {
		for _, q := range x.Questions {
			out[q] = true
		}
	}
	for _, f := range w.r.Facts {
		no := strings.HasPrefix(f.Says, "No") || f.Says == "Flat"
		if always[f.Question] || f.Branch == safetyBranch && !no {
			out[f.Question] = true
		}
	}
	return out
}
