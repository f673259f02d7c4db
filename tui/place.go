package tui

// screen names what is drawn.
type screen int

const (
	onQuestion screen = iota
	onReading
	onCauses
	onBuildUp
	onFindings
	onEntry
	onScope
	onLetter
	onWaiting
	onRecheck
	onSafety
	onJump
	onWhy
	onHelp
	onDays
)

// names are the headings of the screens.
var names = [...]string{
	onQuestion: "Question",
	onReading:  "Reading",
	onCauses:   "Causes",
	onBuildUp:  "Build-up",
	onFindings: "Physics",
	onEntry:    "Where it gets in",
	onScope:    "Repairs",
	onLetter:   "Letter",
	onWaiting:  "Waiting for",
	onRecheck:  "Look again",
	onSafety:   "Safety",
	onJump:     "All questions",
	onWhy:      "Why this figure",
	onHelp:     "Keys",
	onDays:     "Days",
}

func (s screen) String() string { return names[s] }

// place is where the user is: enough, with the reading and the size, to draw
// the screen again. Going back restores it whole.
type place struct {
	screen   screen
	question string // "" when no question is open
	cursor   int    // row or answer under the mark; -1 for none
	cause    string // selected cause; "" for the likeliest
	stack    int    // which build-up is drawn
	scroll   int    // lines moved down
	why      string // figure explained
	filter   string // typed on the jump list
	side     bool   // arrows move in the reading beside the question
}

// at gives a fresh place on another screen that keeps what is selected.
func (p place) at(s screen) place {
	return place{screen: s, question: p.question, cause: p.cause, stack: p.stack, cursor: firstRow(s)}
}

// firstRow is where the mark stands on a screen just opened. Answers have none:
// nothing is chosen by itself.
func firstRow(s screen) int {
	if s == onQuestion {
		return -1
	}
	return 0
}
