package tui

import (
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose"
	"underlap/diagnose/buildup"
	"underlap/diagnose/casefile"
	"underlap/diagnose/entry"
	"underlap/diagnose/explain"
	"underlap/diagnose/scope"
	"underlap/diagnose/sightings"
	"underlap/rules"
)

var head = casefile.Head{
	Format: casefile.Format, ID: "test", Title: "Garden room, drip by the door", Created: time.Date(2026, 1, 12, 9, 30, 0, 0, time.UTC),
}

// callOn is a call in memory on the built-in knowledge, with a clock that moves
// a second at each entry.
func callOn(log *casefile.Case) (*diagnose.Call, error) {
	at := head.Created.Add(time.Duration(len(log.Events)) * time.Second)
	return diagnose.NewCall(diagnose.NewMemoryLog(log), rules.Built(), "test", func() time.Time { at = at.Add(time.Second); return at })
}

// newCall is a call with a few answers given.
func newCall(t testing.TB, answers ...string) *diagnose.Call {
	t.Helper()
	c, err := callOn(&casefile.Case{Head: head})
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range answers {
		if err := diagnose.Tell(c, a, 2026); err != nil {
			t.Fatal(err)
		}
	}
	return c
}

// answered is a call far enough on for every part of a reading to be there.
var answered = []string{
	"wet-near-electrics=1", "ceiling-bulging=1", "seen=1,3", "weather-pattern=4", "frosty-morning=1", "lag=3", "litres=3",
	"kerb-inside=480", "kerb-outside=150", "joist-depth=195", "covering=single-ply", "roof-area=18", "place=Birmingham",
	"downlight-count=6", "room-use=1", "drip-form=ask",
}

// answeredCase is the log of those answers, worked out once.
var answeredCase = sync.OnceValues(func() (*casefile.Case, error) {
	c, err := callOn(&casefile.Case{Head: head})
	if err != nil {
		return nil, err
	}
	for _, a := range answered {
		if err := diagnose.Tell(c, a, 2026); err != nil {
			return nil, err
		}
	}
	return c.Case(), nil
})

// answeredCall is a call that is well under way.
func answeredCall(t testing.TB) *diagnose.Call {
	t.Helper()
	log, err := answeredCase()
	if err != nil {
		t.Fatal(err)
	}
	c, err := callOn(log)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// press sends keys to a model: names of special keys, else text sent as one
// message, the way fast typing arrives.
func press(m tea.Model, keys ...string) {
	special := map[string]tea.KeyType{
		"enter": tea.KeyEnter, "esc": tea.KeyEsc, "tab": tea.KeyTab, "up": tea.KeyUp, "down": tea.KeyDown,
		"left": tea.KeyLeft, "right": tea.KeyRight, "pgdown": tea.KeyPgDown, "pgup": tea.KeyPgUp, "backspace": tea.KeyBackspace,
		"ctrl+c": tea.KeyCtrlC, "ctrl+u": tea.KeyCtrlU,
	}
	for _, k := range keys {
		if k == " " {
			m.Update(tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}})
		} else if s, ok := special[k]; ok {
			m.Update(tea.KeyMsg{Type: s})
		} else {
			m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)})
		}
	}
}

func size(m tea.Model, w, h int) { m.Update(tea.WindowSizeMsg{Width: w, Height: h}) }

// open is a model on a call, placed at a question.
func open(t testing.TB, c *diagnose.Call, question string) *model {
	t.Helper()
	m := newModel(c, Options{Path: "garden-room.toml", Save: func() (string, error) { return "letters/reply.txt", nil }, Build: letterOf})
	size(m, 80, 24)
	if question != "" {
		m.goQuestion(question)
	}
	return m
}

func letterOf(r *diagnose.Reading) (string, string) {
	return "Reply to the owner", "Dear owner,\n\n" + r.Why.Text + "\n\n" + strings.Repeat("A line of the letter that says something.\n", 40)
}

// still is a call whose reading and questions stand still, so that a drawing
// does not change with the knowledge or the engine.
type still struct {
	r     *diagnose.Reading
	steps []diagnose.Step
}

func (s still) Reading() *diagnose.Reading          { return s.r }
func (s still) Steps() []diagnose.Step              { return s.steps }
func (s still) Year() int                           { return 2026 }
func (s still) Given() []string                     { return nil }
func (s still) Following(string) string             { return s.steps[0].Question.ID }
func (s still) Case() *casefile.Case                { return &casefile.Case{} }
func (s still) Answer(string, diagnose.Input) error { return nil }
func (s still) Know(string, string) error           { return nil }
func (s still) Note(string, string) error           { return nil }
func (s still) Withdraw(string) error               { return nil }
func (s still) Day(string) (string, error)          { return "2026-01-12 drip", nil }
func (s still) Today() sightings.Day                { return sightings.DayOf(head.Created) }
func (s still) Pack() *rules.Pack {
	return &rules.Pack{Words: rules.Words{Known: []rules.Known{
		{ID: "told", Key: "t", Name: "told on the phone"},
		{ID: "photo", Key: "p", Name: "seen in a photo"},
		{ID: "measured", Key: "m", Name: "measured"},
		{ID: "opened", Key: "o", Name: "opened up and seen"},
	}}}
}

func invented(t testing.TB) *model {
	t.Helper()
	return newModel(still{inventedReading(), inventedSteps()}, Options{Path: "garden-room.toml", Build: letterOf})
}

// inventedSteps are questions of every kind, made up.
func inventedSteps() []diagnose.Step {
	choice := &rules.Question{
		ID: "when", Branch: "Weather", Short: "When it drips", Kind: rules.KindChoice,
		Say:  "Think of the last three times it dripped. What was the weather on the day, and on the three days before it?",
		Why:  "The weather tells rain from breath and from pipes. It is also the thing that people remember worst of all.",
		Look: "Dates on the photographs, to be set against the rain that fell in that week.",
		Answers: []rules.Answer{
			{ID: "rain", Says: "Any good rain"},
			{ID: "wind", Says: "Rain with the wind on one side"},
			{ID: "frost", Says: "Dry frosty mornings, a while after the heating has come on"},
			{ID: "always", Says: "All the time"},
		},
	}
	several := &rules.Question{
		ID: "marks", Branch: "Weather", Short: "Marks on the ceiling", Kind: rules.KindSeveral, Say: "What marks are there?",
		Why: "Each mark is a different story.", Look: "Rings, spots, peeling.",
		Answers: []rules.Answer{{ID: "ring", Says: "A brown ring"}, {ID: "spots", Says: "Black spots"}, {ID: "peel", Says: "Peeling paint"}},
	}
	length := &rules.Question{ID: "height", Branch: "Build-up", Short: "Height of the kerb", Kind: rules.KindLength, Unit: "mm", Say: "How high is the kerb?", Why: "Low kerbs drown.", Look: "A tape."}
	return []diagnose.Step{
		{Question: choice, State: "answered", Answer: "Any good rain", Known: "photo", Choices: []string{"rain"}, Note: "sure of it", Revised: 1},
		{Question: several, State: "open"},
		{Question: length, State: "asked", Answer: "asked them for it"},
	}
}

// inventedReading has every part of a reading, with long words. Nothing in it
// was worked out.
func inventedReading() *diagnose.Reading {
	layers := []buildup.Layer{
		{Role: "ceiling", Name: "12.5 mm plasterboard and skim", M: 0.0155},
		{Role: "void", Name: "air between 47 x 195 joists", M: 0.195},
		{Role: "deck", Name: "18 mm ply or strand board", M: 0.018},
		{Role: "vapour-layer", Name: "vapour control layer", M: 0.00025},
		{Role: "board", Name: "100 mm foam board", M: 0.1},
		{Role: "covering", Name: "Plastic sheet (single ply)", M: 0.0015},
	}
	cold := []buildup.Layer{
		{Role: "ceiling", Name: "plasterboard", M: 0.0155},
		{Role: "joist-insulation", Name: "100 mm quilt", M: 0.1},
		{Role: "void", Name: "air", M: 0.12},
		{Role: "firring", Name: "firrings", M: 0.05},
		{Role: "deck", Name: "ply", M: 0.018},
		{Role: "covering", Name: "felt", M: 0.009},
		{Role: "ballast", Name: "chippings", M: 0.012},
	}
	var causes []diagnose.Cause
	for i, n := range []string{"Wall flashing", "Condensing under the deck", "Outlet joint", "Puncture or cut", "Rain through the wall", "Pipe under pressure", "Cold spot, surface damp", "Old stain", "Something not listed"} {
		p := []float64{0.46, 0.38, 0.07, 0.04, 0.03, 0.01, 0.006, 0.003, 0.001}[i]
		causes = append(causes, diagnose.Cause{
			ID: n, Name: n + ", told at its full length", Short: n, Group: "walls", P: p, Prior: 0.1, Hedge: explain.Hedge(p), Why: "cause/" + n,
			For:     []diagnose.Reason{{Text: "It drips when the wind blows on the wall and not otherwise, said twice", Decibans: 12, Strength: "strong"}, {Text: "The mark is near the wall", Decibans: 4, Strength: "fair"}},
			Against: []diagnose.Reason{{Text: "It was dry in the storm of last week", Decibans: -4, Strength: "fair"}},
			Look:    []diagnose.Sign{{Text: "A damp line along the wall", Decibans: 6}, {Text: "Dry after a storm", Decibans: -7}},
			How:     "Rain gets behind the lead where it has come out of the joint.", Tell: "It drips with the wind.", Test: "Hose, from the bottom up.",
			FirstAid: "Tape.", Repair: "New lead.", Source: "common practice, no source",
		})
	}
	r := &diagnose.Reading{
		Title: "Garden room, drip by the door", Place: "Anywhere", Answered: 12,
		Cautions: []diagnose.Caution{
			{Rank: 1, Says: "Water near electrics: switch that circuit off at the board with dry hands, touch no switch or fitting, and have an electrician test it before it is used again.", Source: "common practice, no source"},
			{Rank: 2, Says: "Ceiling loaded with water: keep out from under it."},
			{Rank: 8, Says: "Nobody climbs for this. Treat every rooflight as fragile."},
		},
		Call: []string{"an electrician"},
		Why:  diagnose.Statement{Text: "rain behind the lead at the house wall, closely followed by condensing under the deck", Hedge: "possible", P: 0.46, Why: "why-wet"},
		What: diagnose.Statement{Text: "warm roof, 330 mm thick by the tape", Hedge: "likely", P: 0.71, Why: "what"}, Built: diagnose.Statement{Text: "probably not", Hedge: "less likely", P: 0.2, Why: "built"},
		Causes: causes, More: 0.21, Close: true,
		Sources: []diagnose.Source{{ID: "rain", Name: "rain alone", P: 0.52}, {ID: "breath", Name: "breath of the room alone", P: 0.36}, {ID: "mixed", Name: "more than one kind", P: 0.11}, {ID: "other", Name: "off the list", P: 0.01}},
		BuildUp: &buildup.Result{
			Types:     []buildup.Share{{Type: "warm", Name: "Warm roof", P: 0.71}, {Type: "hybrid", Name: "Hybrid: insulation between the joists and above the deck", P: 0.2}, {Type: "cold", Name: "Cold roof", P: 0.06}},
			NotListed: 0.03, Stacks: []buildup.Stack{{Type: "warm", Layers: layers, Total: 0.33, Residual: 0.1, Gap: 0.0003, P: 0.4}, {Type: "cold", Layers: cold, Total: 0.3245, Residual: 0.09, Gap: 0.006, P: 0.05}},
			Measured: &buildup.Thickness{M: 0.33, SD: 0.007, Inside: 0.48, Outside: 0.15, HasFall: true, Fall: 0.0125}, Closes: true, Closure: 0.03,
			Joined: &buildup.Joined{M: 0.33, SD: 0.0065, Growing: 0.8},
			Used: []buildup.Used{
				{Question: "kerb-inside", Name: "Skylight", M: 0.33, SD: 0.007, Off: -3.4, Says: "480 mm less 150 mm"},
				{Question: "head-depth", Name: "Thickness at a door or window head", M: 0.395, SD: 0.018, Off: 3.4, Says: "395 mm"},
				{Question: "edge-depth", Name: "Depth of the roof edge", SD: 0.04, Says: "Over 300 mm"},
			},
			Residual: &buildup.Residual{M: 0.1, SD: 0.012, From: "parts", Growth: "steady", ID: "boards", Says: "boards on the deck", Source: "common practice, no source"},
			Usual:    []buildup.Usual{{Type: "warm", Name: "a warm roof of 2010 to 2022", Low: 0.31, High: 0.38, Least: 0.28, Most: 0.42, Source: "common practice, no source"}},
			Settle:   []buildup.Look{{Text: "One look at where the insulation lies, at a hatch or a fitting with the power off"}},
			Problems: []buildup.Problem{{Text: "A second pair of readings does not go with the first."}},
		},
		Findings: []explain.Finding{
			{Title: "Litres that vapour can account for", Text: "Breath of the room can leave about 0.1 L a day.", Value: 0.1, Low: 0.02, High: 1.8, Unit: "L/day", Verdict: "note", Why: "vapour"},
			{Title: "How long trapped water stays", Text: "About ten years.", Value: 120, Low: 60, High: 240, Unit: "months", Verdict: "bad"},
			{Title: "Fall", Text: "Fast enough.", Verdict: "good"},
		},
		Days:    inventedDays(),
		Entry:   inventedMap(),
		Recheck: []diagnose.Recheck{{Questions: []string{"when", "height"}, Text: "Wet after rain, yet dry in the storm. Ask both again.", Kind: "pair"}},
		Next:    diagnose.Next{Question: "marks", Reason: "It splits the first two suspects."},
		Pending: []diagnose.Request{{Question: "height", Text: "A photo of a tape at the kerb.", Asked: "2026-01-12"}},
		Change:  []diagnose.Change{{Question: "when", Text: "If it drips on dry frosty mornings, condensing comes first.", Given: true}},
		Scope: scope.Result{
			Symbol: "£", Area: 20, Assumed: true, Note: "before tax", Best: "safe", RunnerUp: "lead",
			Test: &scope.Test{Name: "Hose test at the wall", Why: "The first two are close.", How: "From the bottom up, ten minutes each.", Low: 150, High: 300, Result: []string{"If it drips: new lead."}},
			Options: []scope.Option{
				{ID: "safe", Rung: 0, Name: "Make safe and wait", What: "Bucket.", Life: "days", Leaves: "Everything.", Cures: 0.05, Source: "common practice, no source"},
				{ID: "lead", Rung: 2, Name: "New lead at the house wall, in short lengths", What: "Rake out and fit.", Life: "many years", Leaves: "Vapour.", Low: 360, High: 1780, Cures: 0.45, Why: "lead", Regs: []string{"none"}, Call: []string{"a scaffolder"}, Lines: []scope.Line{{Name: "Lead", Count: 4, Unit: "m", Low: 300, High: 700}}},
				{ID: "strip", Rung: 5, Name: "Strip and renew", Low: 3250, High: 7350, Cures: 0.8, Opening: true},
				{ID: "kerb", Rung: 2, Name: "Skylight kerb", Low: 200, High: 300, Barred: "this roof has no such part"},
			},
		},
		Whys: []explain.Why{
			{ID: "why-wet", Title: "Why it is wet", Result: "46 %", Formula: "a share", Inputs: []explain.Input{{Name: "The mark is near the wall", Value: "+4 dB", From: "told"}}, Source: "nowhere: this is made up", Note: "A note."},
			{ID: "what", Title: "What it is"},
			{ID: "built", Title: "Built well"},
			{ID: "vapour", Title: "Litres"},
			{ID: "lead", Title: "Lead"},
			{ID: "cause/Wall flashing", Title: "Wall flashing"},
			{ID: "build-up/thickness", Title: "Thickness"},
			{ID: "days", Title: "Days"},
			{ID: "entry/map", Title: "Where it gets in"},
			{ID: "entry/wall-foot", Title: "Foot of the wall"},
		},
	}
	return r
}

// inventedDays are sixty days of invented weather, and what was seen on some of them.
func inventedDays() *sightings.Result {
	rain := []float64{0, 0, 3, 12, 0.2, 0, 7, 0, 0, 18, 4, 0, 0, 0, 1, 0, 9}
	var h sightings.History
	first := sightings.DayOf(head.Created) - 60
	for d := range 61 {
		w := sightings.NewWeather(first + sightings.Day(d))
		w.Rain, w.Mean, w.Min = rain[d%len(rain)], float64(9-d/5+d%4), float64(5-d/5+d%3)
		h.Weather = append(h.Weather, w)
		l := sightings.Look{Day: w.Day, Saw: sightings.Dry}
		switch {
		case d < 3 || d%3 == 1:
			continue
		case d == 27:
			l.Saw, l.Note = sightings.NotLooked, "on holiday, and the neighbour with the key was away as well"
		case w.Rain > 5:
			l.Saw, l.Litres = sightings.Drip, 0.3
		}
		h.Looks = append(h.Looks, l)
	}
	return sightings.Compare(h)
}

// inventedMap has every part of a map. Nothing in it was worked out.
func inventedMap() *entry.Map {
	m := &entry.Map{
		Plan: entry.Plan{
			Along: 6, Out: 3.5, Fall: entry.Garden, FallTold: true, Rate: 0.0125, Joists: "out", Centres: 0.4,
			Sides:      map[string]string{entry.House: entry.Wall, entry.Garden: entry.Tiles, entry.Left: entry.Parapet, entry.Right: entry.Edge},
			Rooflights: []entry.Mark{{X: 4, Y: 1.8}}, Outlets: []entry.Mark{{X: 5.7, Y: 3.3}}, Pipes: []entry.Mark{{X: 0.6, Y: 3}},
			Stains: []entry.Mark{{X: 1.2, Y: 0.8}, {X: 3, Y: 1.75, W: 2, H: 1.17}},
		},
		CellX: 0.25, CellY: 0.25, Outside: 0.83,
		Zones: []entry.Zone{
			{ID: "wall-foot", Name: "Foot of the wall, house side, left half", Share: 0.46, Before: 0.2, Why: "entry/wall-foot"},
			{ID: "kerb", Name: "Skylight kerb, upslope face (house side)", Share: 0.34, Before: 0.3, Why: "entry/kerb"},
			{ID: "field", Name: "Field of the roof, third by the garden", Share: 0.15, Before: 0.3, Why: "entry/field"},
			{ID: "edge", Name: "Outer edge, right side, half by the house", Share: 0.05, Before: 0.2},
		},
		Hose: []entry.Step{
			{Zone: "field", Name: "Field of the roof, third by the garden", Share: 0.15, Hose: 15, Wait: 60, Shown: 0.8, Flood: 50, How: "Hose only the sheet"},
			{Zone: "kerb", Name: "Skylight kerb, upslope face (house side)", Share: 0.34, Hose: 10, Wait: 55, Shown: 0.81, How: "Hose this face of the kerb below the glass, both its corners too"},
			{Zone: "wall-foot", Name: "Foot of the wall, house side, left half", Share: 0.46, Hose: 12, Wait: 120, Shown: 0.44, How: "Hose the upstand and the flashing"},
		},
		Not: []entry.Caution{
			{What: "hose", Says: "Wet near electrics: no hose and no flood before an electrician has tested the circuit."},
			{What: "flood", Says: "Never flood over 50 mm, nor with snow or people on the roof."},
		},
		NoHose: true, NoFlood: true,
		Assumed: []string{"the joists run the short way"},
	}
	for j := range 14 {
		m.Cells = append(m.Cells, make([]float64, 24))
		for i := range 24 {
			m.Cells[j][i] = math.Exp(-float64((i-5)*(i-5)+(j-1)*(j-1))/20) / 60
		}
	}
	return m
}
