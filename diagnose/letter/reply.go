package letter

import (
	"strings"
	"time"

	"underlap/diagnose"
	"underlap/rules"
)

// Options are what a letter needs beside the reading.
type Options struct {
	Date time.Time   // day of the letter; the zero time leaves the date out
	From string      // who writes; may be empty
	To   string      // who is written to; may be empty
	Pack *rules.Pack // the knowledge of the reading, for how to take each photo; nil: the built-in knowledge where the reading was made with it
}

// Ids of the sections of a letter.
const (
	SectionSafety  = "safety"
	SectionOpening = "opening"
	SectionShort   = "short"
	SectionTold    = "told"
	SectionSeen    = "seen"
	SectionEarly   = "early"
	SectionWhy     = "why"
	SectionWhat    = "what"
	SectionBuilt   = "built"
	SectionSums    = "sums"
	SectionTest    = "test"
	SectionRepairs = "repairs"
	SectionRules   = "rules"
	SectionNeed    = "need"
	SectionLimits  = "limits"
	SectionChange  = "change"
)

// valid is how long prices and opinion hold: 30 days. Common practice, no source.
const valid = 30 * 24 * time.Hour

// Reply writes the answer to the owner. A reading with few answers gives a
// short letter that says so and asks for what is needed. No section is empty.
func Reply(r *diagnose.Reading, o Options) Document {
	w := newWriter(r, o)
	w.safety()
	w.opening()
	if !w.early() {
		w.short()
	}
	w.told()
	w.seen()
	if w.early() {
		w.tooEarly()
	} else {
		w.why()
		w.what()
		w.built()
		w.sums()
		w.test()
		w.repairs()
		w.rules()
	}
	w.need()
	w.limits()
	w.change()
	return w.finish("Reply: " + r.Title)
}

// writer gathers the sections of one letter.
type writer struct {
	r    *diagnose.Reading
	o    Options
	pack *rules.Pack // nil when the knowledge of the reading is not at hand
	doc  Document
}

func newWriter(r *diagnose.Reading, o Options) *writer {
	w := &writer{r: r, o: o, pack: o.Pack}
	if built := rules.Built(); w.pack == nil && built.Hash == r.Knowledge {
		w.pack = built
	}
	return w
}

// add appends a section unless there is nothing in it.
func (w *writer) add(id, title string, blocks ...Block) {
	var kept []Block
	for _, b := range blocks {
		if b.Text == "" && len(b.Items) == 0 && len(b.Table.Rows) == 0 {
			continue
		}
		kept = append(kept, b)
	}
	if len(kept) > 0 {
		w.doc.Sections = append(w.doc.Sections, Section{ID: id, Title: title, Blocks: kept})
	}
}

func (w *writer) finish(title string) Document {
	w.doc.Title = strings.TrimSpace(strings.TrimSuffix(title, ": "))
	w.doc.clean()
	w.doc.gloss()
	return w.doc
}

// early tells that there is too little to send an opinion on.
func (w *writer) early() bool {
	return w.r.Answered < diagnose.Early || len(w.r.Causes) == 0
}

func (w *writer) safety() {
	var lines []Item
	for _, c := range w.r.Cautions {
		it := Item{Text: sentence(usual(c.Says, c.Source))}
		lines = append(lines, it)
	}
	if len(lines) == 0 {
		lines = []Item{{Text: "Nobody climbs for this. Please keep off the roof, and treat every skylight and old sheet as fragile."}}
	}
	call := ""
	if who := distinct(w.r.Call); len(who) > 0 {
		call = "Who to call: " + strings.Join(who, "; ") + "."
	}
	w.add(SectionSafety, "Safety first", Block{Kind: List, Items: lines}, Block{Text: call, Tight: true})
}

func (w *writer) opening() {
	about := ""
	if w.r.Title != "" {
		about = "About: " + w.r.Title
	}
	var head []string
	if w.o.From != "" {
		head = append(head, "From "+w.o.From)
	}
	if !w.o.Date.IsZero() {
		head = append(head, w.o.Date.Format(dateForm))
	}
	hello := "Hello,"
	if w.o.To != "" {
		hello = "Dear " + w.o.To + ","
	}
	w.add(SectionOpening, "Your flat roof",
		Block{Text: about},
		Block{Text: strings.Join(head, ", "), Tight: true},
		Block{Text: hello},
		Block{Tight: true, Text: "Thank you for asking us. Told, seen and worked out stand apart below."})
}

const dateForm = "2 January 2006"
