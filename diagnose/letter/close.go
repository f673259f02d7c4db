package letter

import "underlap/diagnose/explain"

import "strings"

func (w *writer) limits() {
	var photo, tape, opened bool
	for _, f := range w.r.Facts {
		photo = photo || f.Known == "photo"
		tape = tape || f.Known == "measured"
		opened = opened || f.Known == "opened"
	}
	text := "This is an opinion, not a survey."
	put := func(s string) { text += " " + s }
	if opened {
		put("It was opened up only where we say so above. The rest was not looked into.")
	} else {
		put("Nothing was opened up: what is inside the roof is worked out, not seen.")
	}
	switch {
	case photo:
		put("It rests on photographs, which do not show everything, and on what we were told.")
	case tape:
		put("We have seen no photographs yet. It rests on what we were told and on the readings.")
	default:
		put("We have seen no photographs yet. It rests on what we were told.")
	}
	weather := ""
	if !w.early() {
		until := ""
		if !w.o.Date.IsZero() {
			until = ", to " + w.o.Date.Add(valid).Format(dateForm)
		}
		put("This opinion holds for 30 days" + until + ". Prices are guides, not a quotation.")
		if w.r.Place != "" && len(w.r.Findings) > 0 {
			weather = "Weather used in the sums: " + w.r.Place + "."
		}
	}
	w.add(SectionLimits, "What this letter is and is not", Block{Text: strings.TrimSpace(text + " " + weather)})
}

// How many lines the last section holds of each sort: more are not read.
const (
	mostChanges = 4
	mostAgain   = 4
)

// change is always there and always last.
func (w *writer) change() {
	var lines, again []Item
	had := map[string]bool{}
	add := func(list *[]Item, most int, lead, text string) {
		text = sentence(toOwner.Replace(forOwner(text)))
		if len(*list) < most && text != "" && !had[text] {
			had[text] = true
			*list = append(*list, Item{Lead: lead, Text: text})
		}
	}
	put := func(lead, text string) { add(&lines, mostChanges, lead, text) }
	ask := func(lead, text string) { add(&again, mostAgain, lead+" Would you look again, please", text) }
	for _, c := range w.r.Change {
		put("", c.Text)
	}
	if !w.early() {
		for _, c := range w.top() {
			most := 2
			for _, s := range c.Look {
				if most == 0 {
					break
				}
				if s.Text == "" {
					continue
				}
				most--
				side := "for"
				if s.Decibans < 0 {
					side = "against"
				}
				put("This would speak "+side+" "+explain.LowerFirst(c.Name), s.Text)
			}
		}
	}
	for _, x := range w.r.Recheck {
		switch x.Kind {
		case "reading":
			ask("We may have noted a reading wrongly.", x.Text)
		case "pair":
			ask("We may have noted one of two answers wrongly.", x.Text)
		default:
			// The answer itself stands among the facts; its name is enough here.
			ask("This is unusual beside the rest.", strings.Join(w.labels(x.Questions), "; "))
		}
	}
	if w.r.BuildUp != nil {
		for _, p := range w.r.BuildUp.Problems {
			ask("We may have noted a reading wrongly.", p.Text)
		}
	}
	intro := "We would gladly be put right. Any of these may change what we say."
	if len(lines)+len(again) == 0 {
		intro = "We would gladly be put right."
		if w.early() {
			intro += " On so few answers, nearly any new one may change what we say."
		} else {
			intro += " One look inside the roof, or one day when it is wet without rain, may change what we say."
		}
	}
	w.add(SectionChange, "What would change our mind",
		Block{Text: intro},
		Block{Kind: List, Voice: Inferred, Items: lines},
		// What is asked again is what was told or read, and nothing of ours.
		Block{Kind: List, Voice: Told, Items: again})
}

// forOwner leaves out what a recheck says to the one who asks the questions.
func forOwner(text string) string {
	for _, order := range []string{" Ask ", " Do not round "} {
		if i := strings.Index(text, "."+order); i >= 0 {
			text = text[:i+1]
		}
	}
	return text
}

// labels names the answered questions as the letter does.
func (w *writer) labels(questions []string) []string {
	var out []string
	for _, q := range questions {
		for _, f := range w.r.Facts {
			if f.Question == q {
				out = append(out, toOwner.Replace(f.Short))
			}
		}
	}
	return out
}
