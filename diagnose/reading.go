package diagnose

import (
	"underlap/diagnose/buildup"
	"underlap/diagnose/calc"
	"underlap/diagnose/entry"
	"underlap/diagnose/explain"
	"underlap/diagnose/scope"
	"underlap/diagnose/sightings"
)

// Reading is everything the program says about a case at one moment. It is a
// value: screens, letters and JSON are drawn from it and change nothing in it.
// The same log and the same knowledge give the same Reading.
type Reading struct {
	Case      string   `json:"case"`
	Title     string   `json:"title"`
	Knowledge string   `json:"knowledge"`                   // hash of the pack
	Then      string   `json:"knowledge_then,omitempty"`    // hash of the pack that the last letter was written with
	Changed   bool     `json:"knowledge_changed,omitempty"` // it is another one
	Place     string   `json:"place"`                       // climate place used in the sums
	Answered  int      `json:"answered"`                    // questions with a real answer
	Closed    string   `json:"closed"`                      // how the case ended, in words; empty while it is open
	Facts     []Told   `json:"facts"`                       // what is known, in the order of the interview
	Notes     []string `json:"notes"`                       // what was noted on the case as a whole

	Cautions []Caution `json:"cautions"` // most urgent first
	Call     []string  `json:"call"`     // who else to call, for safety; a repair names its own trades

	Why   Statement `json:"why_wet"`
	What  Statement `json:"what_it_is"`
	Built Statement `json:"built_well"`

	Causes     []Cause     `json:"causes"`        // likeliest first, all of them
	Sets       []CauseSet  `json:"sets"`          // likeliest combinations
	More       float64     `json:"more_than_one"` // probability of more than one cause
	Sources    []Source    `json:"sources"`       // what water explains the wet; they sum to 1
	Mechanisms []Mechanism `json:"mechanisms"`
	Close      bool        `json:"close"` // the first two are within 15 points: sell a test, not a repair

	BuildUp  *buildup.Result   `json:"build_up"`
	Findings []explain.Finding `json:"findings"`
	// Hourly says whether findings followed hour by hour are among them: "done", "waiting"
	// when they were not asked for or are still on their way, "none" when this roof calls
	// for none.
	Hourly string `json:"hourly"`

	Days *sightings.Result `json:"days,omitempty"` // what the days on record say; nil when there are none

	Recheck []Recheck `json:"recheck"` // contradictions and readings that cannot be
	Next    Next      `json:"next"`
	Open    []Worth   `json:"open"`    // open questions, most telling first
	Pending []Request `json:"pending"` // photos and readings still awaited

	// Entry is where on the plan it gets in; nil while nothing is known of the plan.
	Entry *entry.Map `json:"entry"`

	Scope  scope.Result `json:"scope"`
	Change []Change     `json:"would_change"` // what would change our mind

	Whys []explain.Why `json:"whys"`

	// Robust says how far the conclusion hangs on the knowledge's numbers. It is nil until
	// it was worked out, which takes longer than a key may wait.
	Robust *Robust `json:"robust"`
	// Visits is what could be bought beyond the call, the best first; nil until it was
	// worked out, with Robust.
	Visits []Visit `json:"visits"`
	// Contributions shares the weight of the answers out, for the first causes; nil until
	// it was worked out, with Robust.
	Contributions []Contribution `json:"contributions"`

	course *calc.Course
	doubts *Doubts
}

// noNulls makes empty lists empty, not null, in JSON: a program that reads a Reading
// can always range over them.
func (r *Reading) noNulls() {
	empty(&r.Facts)
	empty(&r.Notes)
	empty(&r.Cautions)
	empty(&r.Call)
	empty(&r.Sets)
	empty(&r.Findings)
	empty(&r.Recheck)
	empty(&r.Open)
	empty(&r.Pending)
	empty(&r.Change)
	for i := range r.Causes {
		empty(&r.Causes[i].For)
		empty(&r.Causes[i].Against)
		empty(&r.Causes[i].Look)
	}
}

func empty[T any](list *[]T) {
	if *list == nil {
		*list = []T{}
	}
}

// WhyOf returns the explanation with that id.
func (r *Reading) WhyOf(id string) (explain.Why, bool) {
	for _, w := range r.Whys {
		if w.ID == id {
			return w, true
		}
	}
	return explain.Why{}, false
}

// Told is one answer, as a letter puts it.
type Told struct {
	Question string `json:"question"`
	Branch   string `json:"branch"`
	Short    string `json:"short"`
	Says     string `json:"says"`
	Known    string `json:"known"` // told, photo, measured, opened
	Note     string `json:"note,omitempty"`
}

// Caution is one safety line.
type Caution struct {
	ID     string `json:"id"`
	Rank   int    `json:"rank"`
	Says   string `json:"says"`
	Source string `json:"source"`
}

// Statement is one of the three answers. P is the probability that Text holds; 0
// means that it is too early to say.
type Statement struct {
	Text  string  `json:"text"`
	Hedge string  `json:"hedge"`
	P     float64 `json:"p"`
	Why   string  `json:"why"` // id of the explanation
}

// Cause is one suspect, ranked.
type Cause struct {
	ID         string   `json:"id"`
	Name       string   `json:"name"`
	Short      string   `json:"short"`
	Group      string   `json:"group"`
	P          float64  `json:"p"`
	Prior      float64  `json:"prior"` // before any sign
	Hedge      string   `json:"hedge"`
	For        []Reason `json:"for"`     // strongest first
	Against    []Reason `json:"against"` // strongest first, absent signs included
	Look       []Sign   `json:"look"`    // open questions that would speak for or against it most
	Where      string   `json:"where"`
	How        string   `json:"how"`
	Tell       string   `json:"tell"`
	RuledOutBy string   `json:"ruled_out_by"`
	Test       string   `json:"test"`
	FirstAid   string   `json:"first_aid"`
	Repair     string   `json:"repair"`
	Source     string   `json:"source"`
	Why        string   `json:"why"`
}

// Reason is one answer's weight for a cause.
type Reason struct {
	Question string  `json:"question"`
	Text     string  `json:"text"`
	Decibans float64 `json:"decibans"` // positive for, negative against
	Source   string  `json:"source"`
	Strength string  `json:"strength"` // "strong", "fair", "slight"
}

// Sign is an unasked answer that would move a cause.
type Sign struct {
	Question string  `json:"question"`
	Answer   string  `json:"answer"`
	Text     string  `json:"text"`
	Decibans float64 `json:"decibans"`
}

// Source is a kind of water that explains the wet by itself, or the mixtures.
type Source struct {
	ID   string  `json:"id"` // rain, breath, pipes, held, other, mixed
	Name string  `json:"name"`
	P    float64 `json:"p"`
}

// CauseSet is one combination of causes.
type CauseSet struct {
	Causes []string `json:"causes"`
	P      float64  `json:"p"`
}

// Mechanism is how likely a way of getting wet is at work.
type Mechanism struct {
	ID   string  `json:"id"`
	Name string  `json:"name"`
	P    float64 `json:"p"`
	Gate float64 `json:"gate"` // probability from physics that it can act at all
}

// Recheck asks to look at answers again. It never accuses.
type Recheck struct {
	Questions []string `json:"questions"`
	Text      string   `json:"text"`
	Kind      string   `json:"kind"` // "reading": cannot be; "pair": do not go together; "surprise": unlikely given the rest; "knowledge": a letter went out under other knowledge
}

// Next is the most telling question, or the reason to stop.
type Next struct {
	Question string `json:"question"` // empty when there is nothing worth asking
	Short    string `json:"short"`    // the question in a few words
	Reason   string `json:"reason"`
	Stop     bool   `json:"stop"`
	StopWhy  string `json:"stop_why,omitempty"`
}

// Worth is what an open question is worth now.
type Worth struct {
	Question string  `json:"question"`
	Bits     float64 `json:"bits"`   // expected fall of the entropy of the causes
	Pounds   float64 `json:"pounds"` // expected loss saved by asking, before its cost
	Cost     float64 `json:"cost"`
	Score    float64 `json:"score"`
}

// Request is a photo or reading that was asked for and has not come.
type Request struct {
	Question string `json:"question"`
	Text     string `json:"text"`
	Asked    string `json:"asked"` // date
}

// Change is an answer that would change the conclusion.
type Change struct {
	Question string `json:"question"`
	Text     string `json:"text"`
	Given    bool   `json:"given"` // true: another answer to a question already answered
}
