package letter

import (
	"strings"
	"time"

	"underlap/diagnose"
)

// mostAsked is how many requests a letter carries where few are awaited, and
// leastNew how many new ones it carries in any case: a longer list is not
// answered. Common practice, no source.
const (
	mostAsked     = 4
	leastNew      = 2
	mostRequested = 10
)

const (
	noClimbing = "Nobody climbs for this: from the floor, a window or a pole, or not at all."
	howToShoot = "Please give the date of each picture and when it last rained. No filters, no zoom, and where you can a tape or a coin in the picture."
)

// Requests writes the photo-and-tape request alone, numbered, the awaited ones
// first and then the most telling.
func Requests(r *diagnose.Reading, o Options) Document {
	w := newWriter(r, o)
	w.safety()
	hello := "Hello,"
	if o.To != "" {
		hello = "Dear " + o.To + ","
	}
	items := w.requests(mostRequested)
	ask := "To say more about your roof we need the following. The first in the list help most."
	if len(items) == 0 {
		ask = "There is nothing more that we need to ask for now."
	}
	var blocks []Block
	blocks = append(blocks, Block{Text: hello}, Block{Text: ask})
	if len(items) > 0 {
		blocks = append(blocks,
			Block{Text: noClimbing},
			Block{Kind: Numbered, Items: items},
			Block{Text: howToShoot})
	}
	if o.From != "" {
		blocks = append(blocks, Block{Text: "With thanks, " + o.From})
	}
	w.add(SectionNeed, "Photographs and tape readings, please", blocks...)
	return w.finish("Photos and readings: " + r.Title)
}

// need is what we wait for and what would tell us most.
func (w *writer) need() {
	items := w.requests(max(leastNew, mostAsked-len(w.r.Pending)))
	if len(items) == 0 {
		return
	}
	w.add(SectionNeed, "What we need next",
		Block{Text: noClimbing},
		Block{Kind: Numbered, Items: items},
		Block{Text: howToShoot, Tight: true})
}

// requests lists what is awaited, then at most so many open ones, each once.
func (w *writer) requests(most int) []Item {
	var items []Item
	asked, said := map[string]bool{}, map[string]bool{}
	put := func(question, text string) bool {
		text = sentence(toOwner.Replace(text))
		if text == "" || asked[question] || said[text] {
			return false
		}
		asked[question], said[text] = true, true
		items = append(items, Item{Text: text})
		return true
	}
	for _, p := range w.r.Pending {
		text := sentence(p.Text)
		if text != "" && p.Asked != "" {
			text = strings.TrimRight(text, ".") + " (asked on " + day(p.Asked) + ")"
		}
		put(p.Question, text)
	}
	for _, open := range w.r.Open {
		if most == 0 {
			return items
		}
		if put(open.Question, w.howToTake(open.Question)) {
			most--
			w.other(open.Question, put)
		}
	}
	if w.r.BuildUp != nil {
		for _, l := range w.r.BuildUp.Settle {
			if most == 0 {
				break
			}
			text := w.howToTake(l.Question)
			if text == "" {
				text = l.Text
			}
			if put(l.Question, text) {
				most--
				w.other(l.Question, put)
			}
		}
	}
	return items
}

// other asks for the second half of a pair of tape readings: one alone says
// nothing about thickness.
func (w *writer) other(question string, put func(question, text string) bool) {
	half := map[string]string{
		"kerb-inside": "kerb-outside", "kerb-outside": "kerb-inside",
		"second-inside": "second-outside", "second-outside": "second-inside",
	}[question]
	if half != "" && len(w.labels([]string{half})) == 0 {
		put(half, w.howToTake(half))
	}
}

// howToTake is what the pack says to ask for; "" when the question is one for
// the telephone.
func (w *writer) howToTake(question string) string {
	if w.pack == nil {
		return ""
	}
	q, ok := w.pack.Question(question)
	if !ok {
		return ""
	}
	return strings.TrimSpace(q.Ask)
}

// day writes a date of the log as people do; anything else is left as it is.
func day(s string) string {
	if t, err := time.Parse(time.DateOnly, s); err == nil {
		return t.Format(dateForm)
	}
	return s
}
