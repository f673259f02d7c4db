package letter

import (
	"time"

	"underlap/diagnose"
	"underlap/diagnose/buildup"
	"underlap/diagnose/explain"
	"underlap/diagnose/scope"
)

// The reading below is invented: an extension with a skylight, wet on windy
// days, half told and half seen. Place, people and numbers are nobody's. The
// shares of the causes need not add up: more than one can be at work.

const habit = "common practice, no source"

func invented() *diagnose.Reading {
	return &diagnose.Reading{
		Case: "c-invented", Title: "Kitchen extension, damp by the skylight", Knowledge: "0123456789ab", Place: "Leeds",
		Answered: 11,
		Facts: []diagnose.Told{
			{Question: "wet-near-electrics", Branch: "Safety", Short: "Water near lights, sockets or wiring", Says: "Yes", Known: "told"},
			{Question: "going-up", Branch: "Safety", Short: "Anyone been up, or planning to", Says: "No", Known: "told"},
			{Question: "seen", Branch: "What is seen", Short: "What they see", Says: "Water dripping or running; A stain", Known: "told"},
			{Question: "stain-colour", Branch: "What is seen", Short: "Colour of the stain", Says: "Brown ring", Known: "photo"},
			{Question: "weather-pattern", Branch: "Weather and timing", Short: "When it is wet", Says: "With rain and wind together", Known: "told", Note: "sounded very sure of herself"},
			{Question: "dry-spell", Branch: "Weather and timing", Short: "Wet after five dry days", Says: "No, dry by then", Known: "told"},
			{Question: "kerb-inside", Branch: "Build-up", Short: "Inside reading: ceiling face to top of kerb", Says: "480 ± 5 mm", Known: "measured"},
			{Question: "kerb-outside", Branch: "Build-up", Short: "Outside reading: roof surface to top of kerb", Says: "150 mm", Known: "measured"},
			{Question: "kerb-dressing", Branch: "Rooflight", Short: "How the sheet is dressed up the kerb", Says: "Mastic at the corners", Known: "photo"},
			{Question: "covering-age", Branch: "Covering and age", Short: "Age of the covering", Says: "12 years", Known: "told"},
			{Question: "caller-words", Branch: "History", Short: "In their own words", Says: "The last man definitely said it was cured", Known: "told"},
		},
		Cautions: []diagnose.Caution{
			{ID: "electric", Rank: 1, Says: "Water near electrics: switch that circuit off at the board with dry hands, and have an electrician test it before it is used again.", Source: habit},
			{ID: "height-always", Rank: 8, Says: "Nobody climbs for this. Treat every rooflight and old sheet as fragile.", Source: "HSE HSG33"},
		},
		Call:  []string{"electrician"},
		Why:   diagnose.Statement{Text: "Rain gets in by itself at the skylight kerb", P: 0.64, Hedge: "likely"},
		What:  diagnose.Statement{Text: "Warm roof, 330 mm thick by the tape; it was sold as a cold roof", P: 0.71, Hedge: "likely"},
		Built: diagnose.Statement{Text: "Built well is an open question: a fault of workmanship among the suspects", P: 0.38, Hedge: "possible"},
		Causes: []diagnose.Cause{
			{
				ID: "kerb-corner", Name: "Open corner at the skylight kerb", Group: "penetrations", P: 0.48, Source: habit,
				How: "The sheet is cut at the corner of the kerb and the mastic has let go", Tell: "A ring within 600 mm of the opening, on the uphill side",
				For: []diagnose.Reason{
					{Question: "kerb-dressing", Text: "How the sheet is dressed up the kerb: mastic at the corners (a bead in place of a patch does not last)", Decibans: 9, Source: habit},
					{Question: "weather-pattern", Text: "When it is wet: with rain and wind together", Decibans: 4, Source: habit},
				},
				Against: []diagnose.Reason{{Question: "seen", Text: "Not mentioned: wet on the boxing", Decibans: -2, Source: habit}},
				Look: []diagnose.Sign{
					{Question: "rooflight-wet", Answer: "boxing", Text: "Where the skylight is wet: on the boxing, below the kerb top", Decibans: 8},
					{Question: "rooflight-wet", Answer: "dry", Text: "Where the skylight is wet: dry", Decibans: -4},
				},
				Test: "Hose each corner by itself for 20 minutes, the lowest first",
			},
			{
				ID: "wall-flashing", Name: "Flashing at the house wall", Group: "walls", P: 0.37, Source: habit,
				How: "The lead has come out of its groove and wind drives rain behind it", Tell: "Wet after hours of wind on the wall",
				For: []diagnose.Reason{{Question: "weather-pattern", Text: "When it is wet: with rain and wind together (wind drives rain behind lead)", Decibans: 7, Source: habit}},
			},
			{
				ID: "room-air", Name: "Breath of the room under the deck", Group: "condensation", P: 0.12, Source: habit,
				How: "Moist air meets the cold deck", Tell: "Drips on dry frosty mornings",
				Against: []diagnose.Reason{{Question: "dry-spell", Text: "Wet after five dry days: no, dry by then", Decibans: -6, Source: habit}},
			},
			{ID: "something-else", Name: "Something not on this list", Group: "unusual", P: 0.09, Source: habit},
			{ID: "puncture", Name: "Hole in the sheet", Group: "field", P: 0.03, Source: habit},
		},
		More:       0.18,
		Mechanisms: []diagnose.Mechanism{{ID: "rain-gets-in", Name: "Rain gets in by itself", P: 0.64, Gate: 1}, {ID: "condensing-inside", Name: "Breath of the room condenses inside the roof", P: 0.13, Gate: 0.4}},
		Close:      true,
		BuildUp: &buildup.Result{
			Types:     []buildup.Share{{Type: "warm", Name: "Warm roof", P: 0.71}, {Type: "hybrid", Name: "Hybrid: insulation between the joists and above the deck", P: 0.24}, {Type: "cold", Name: "Cold roof", P: 0.004}},
			NotListed: 0.046,
			Stacks: []buildup.Stack{{
				Type: "warm", Joist: 0.195, Insulation: 0.1, Total: 0.3285, Residual: 0.1, Gap: 0.0015, P: 0.22,
				Layers: []buildup.Layer{
					{Role: "ceiling", Name: "plasterboard and skim", M: 0.0155},
					{Role: "void", Name: "air between 195 mm joists", M: 0.195},
					{Role: "deck", Name: "18 mm ply deck", M: 0.018},
					{Role: "vapour-layer", Name: "vapour control layer", M: 0.00025},
					{Role: "board", Name: "100 mm foam board", M: 0.1},
				},
			}},
			Measured: &buildup.Thickness{M: 0.33, SD: 0.004, Inside: 0.48, Outside: 0.15},
			Closes:   true, Closure: 0.03,
			Settle: []buildup.Look{{Question: "insulation-seen", Bits: 0.4, Text: "One look at where the insulation lies, at a hatch or a fitting with the power off"}},
		},
		Findings: []explain.Finding{
			{ID: "u-value", Title: "Heat through the roof", Text: "The U-value of the likeliest build-up", Value: 0.213, Low: 0.18, High: 0.34, Unit: "W/m²K", Verdict: "poor", Why: "finding/u-value"},
			{ID: "frost-litres", Title: "Water from the room's air", Text: "What a cold week can leave under the deck", Value: 0.4, Low: 0.05, High: 1.25, Unit: "L", Verdict: "note", Why: "finding/frost"},
		},
		Whys: []explain.Why{{ID: "finding/frost", Source: habit}, {ID: "finding/u-value", Source: "calculation to BS EN ISO 6946"}},
		Recheck: []diagnose.Recheck{
			{Questions: []string{"seen", "dry-spell"}, Kind: "pair", Text: "Water dripping, yet a ring that has dried out. Ask both again, in other words."},
			{Questions: []string{"dry-spell"}, Kind: "surprise", Text: "Wet after five dry days: no, dry by then. That is unusual beside the rest; worth asking once more."},
			{Questions: []string{"kerb-inside"}, Kind: "reading", Text: "330 mm fits no build-up within 30 mm. Do not round it to fit: ask for the joist size, or a second pair of readings."},
		},
		Next: diagnose.Next{Question: "rooflight-wet"},
		Open: []diagnose.Worth{{Question: "rooflight-wet", Bits: 0.5}, {Question: "weep-holes", Bits: 0.2}},
		Pending: []diagnose.Request{
			{Question: "abutment", Text: "A photo along two metres of the joint between the roof and the house wall.", Asked: "2025-11-20"},
		},
		Scope: scope.Result{
			Symbol: "£", Note: "before VAT, England outside London", Area: 20, Assumed: true, Best: "kerb", RunnerUp: "wall-joint", Ideal: 0.52,
			Test: &scope.Test{
				Name: "A staged hose test", Why: "The first two causes are close together", How: "Two people, one indoors; the lowest corner first, 20 minutes each.",
				Low: 200, High: 450, Result: []string{"Wet from a corner of the kerb: the kerb is repaired and nothing else", "Dry at the kerb, wet from the wall: the flashing"},
			},
			Options: []scope.Option{
				{ID: "convert", Rung: 6, Name: "Strip and convert to a warm roof", What: "All insulation above the deck.", Life: "25 to 40 years", Leaves: "Walls and pipes.", Low: 4700, High: 8950, Cures: 0.55, Opening: true, Source: habit, Regs: []string{"New insulation to about U 0.16 W/m2K in England; notify building control."}, Call: []string{"structural engineer", "electrician"}},
				{ID: "make-safe", Rung: 0, Name: "Make safe and wait", What: "Bucket, and the circuit off.", Life: "hours to days", Leaves: "Everything: it buys time.", Cures: 0.02, Source: habit},
				{ID: "kerb", Rung: 2, Name: "Detail repair: skylight kerb", What: "Corner pieces, kerb to 150 clear.", Life: "10 years and more", Leaves: "The rest of the roof.", Low: 250, High: 690, Cures: 0.46, Source: habit},
				{ID: "wall-joint", Rung: 2, Name: "Detail repair: flashing at the wall", What: "Rake out 25 mm, new lead.", Life: "5 to 10 years", Leaves: "A missing cavity tray.", Low: 370, High: 820, Cures: 0.34, Source: habit},
				{ID: "trim", Rung: 2, Name: "Detail repair: edge trim", What: "New trim.", Life: "5 to 15 years", Leaves: "The field.", Low: 400, High: 900, Cures: 0.01, Source: habit},
				{ID: "overlay", Rung: 4, Name: "Overlay", What: "New sheet over the old.", Life: "10 to 20 years", Low: 900, High: 2050, Cures: 0.3, Source: habit, Barred: "not over an old patched sheet that is past its life"},
			},
		},
		Change: []diagnose.Change{
			{Question: "weep-holes", Text: `If "weep holes above the roof" turns out "none", first would be: flashing at the house wall.`},
			{Question: "dry-spell", Text: `If "wet after five dry days" were "Yes" instead, first would be: breath of the room under the deck.`, Given: true},
		},
	}
}

func thin() *diagnose.Reading {
	r := invented()
	return &diagnose.Reading{
		Case: r.Case, Title: r.Title, Answered: 2, Facts: r.Facts[:2], Cautions: r.Cautions, Call: r.Call, Causes: r.Causes,
		Why: r.Why, Scope: r.Scope, BuildUp: &buildup.Result{Types: r.BuildUp.Types, NotListed: 0.02, Settle: r.BuildUp.Settle},
		Pending: r.Pending,
	}
}

func onDay() Options {
	return Options{Date: time.Date(2025, 11, 25, 9, 0, 0, 0, time.UTC), From: "the roofing desk", To: "Mr and Mrs Owner"}
}
