// Package measure reads quantities the way people type or say them: "480",
// "48 cm", `18 7/8"`, "about 400", "470-490", "half a bucket", "1970s".
//
// A function is named after what it reads. Its Reading is in the unit that
// the Reading names; Reading.SI turns it into SI. Nothing is guessed: what
// cannot be read is refused with an *Error that gives an example.
package measure

import "fmt"

// Reading is a quantity as it was understood.
type Reading struct {
	Value     float64 // in Unit
	Tolerance float64 // half width, in Unit; 0 when nothing was said about it
	Vague     bool    // a word such as "about" or a measure such as "a cup" was used
	Unit      string  // m, m2, L, h, %, years, degC, or empty for a count
}

// SI gives the value and the tolerance in SI: litres become cubic metres,
// hours become seconds and percent a share of one. Metres, square metres,
// counts, degrees Celsius and years stay as they are.
func (r Reading) SI() (value, tolerance float64) {
	factor := 1.0
	switch r.Unit {
	case "L":
		factor = 1e-3
	case "h":
		factor = 3600
	case "%":
		factor = 1e-2
	}
	return r.Value * factor, r.Tolerance * factor
}

// Unit is a unit of length that a bare number is taken to be in.
type Unit string

// Units of length.
const (
	Millimetres Unit = "mm"
	Centimetres Unit = "cm"
	Metres      Unit = "m"
	Inches      Unit = "in"
	Feet        Unit = "ft"
)

// Error says what was typed, why it was not understood and what would be.
type Error struct {
	Read     string // what was typed
	What     string // what it should have been, "a length"
	Why      string // what is wrong with it
	Expected string // what is understood
	Example  string // one or more examples
}

// Error puts all of it in one line.
func (e *Error) Error() string {
	return fmt.Sprintf("%q is not read as %s: %s. Give %s, for example %s.", e.Read, e.What, e.Why, e.Expected, e.Example)
}

// unit is one unit or household measure of a quantity.
type unit struct {
	factor float64 // in the unit of the Reading
	spread float64 // relative half width of a household measure; 0 for a true unit
	body   *body   // a thing that was counted in place of a tape, or nil
}

// quantity is all that sets one quantity apart from another.
type quantity struct {
	what, expected, example string

	unit     string // unit of the Reading
	units    map[string]unit
	bare     unit               // what a number without a unit is taken to be
	after    map[string]float64 // factor of a bare number that follows a unit: 5'6
	min, max float64
	limit    string // max in words, for the message
	share    float64
	least    float64 // "about" means the larger of share x value and least
	signed   bool    // may be below zero, and a range may run downwards
	noHalves bool    // "half" and "quarter" without a unit would be misread
	bodies   bool    // courses of brick and their like are counted too
}

// How wide "about" is, relative to the value, and how wide the household
// measures are: common practice, no source.
const (
	aboutShare     = 0.10
	aboutTimeShare = 0.25
	aboutLoose     = 0.20
)

var lengthUnits = units(map[float64]string{
	0.001:  "mm millimetre millimetres millimeter millimeters",
	0.01:   "cm centimetre centimetres centimeter centimeters",
	1:      "m metre metres meter meters",
	0.0254: `" in inch inches`, // exact, by the international inch of 1959
	0.3048: "' ft foot feet",   // exact, twelve inches
})

// lengthExamples give the bare numbers in the unit that is assumed for them.
var lengthExamples = map[Unit]string{
	Millimetres: `480, 48 cm, 18 7/8", about 400, 480 +- 5 or 4 bricks`,
	Centimetres: `48, 480 mm, 18 7/8", about 40, 48 +- 0.5 or 47-49`,
	Metres:      `3.2, 320 cm, 10'6", about 3, 3.2 +- 0.1 or 3-3.5`,
	Inches:      `18 7/8, 480 mm, 1'6", about 18, 18 +- 1/4 or 18-19`,
	Feet:        `10.5, 3.2 m, 10'6", about 10, 10 +- 1/2 or 10-11`,
}

func units(byFactor map[float64]string) map[string]unit {
	out := map[string]unit{}
	for factor, names := range byFactor {
		for _, name := range fields(names) {
			out[name] = unit{factor: factor}
		}
	}
	return out
}

func lengthUpTo(limit float64, assume Unit) quantity {
	bare := lengthUnits[string(assume)]
	if lengthExamples[assume] == "" {
		panic("measure: no such unit of length: " + string(assume))
	}
	feet, metre := 0.0254, 0.01
	return quantity{
		what:     "a length",
		expected: "mm, cm, m or inches, with a tolerance if there is one",
		bodies:   true,
		example:  lengthExamples[assume],
		unit:     "m",
		units:    lengthUnits,
		bare:     bare,
		after:    map[string]float64{"'": feet, "ft": feet, "foot": feet, "feet": feet, "m": metre},
		max:      limit,
		limit:    fmt.Sprintf("%g m", limit),
		share:    aboutShare,
	}
}

// MaxLength is the largest length that Length accepts, in metres.
const MaxLength = 60

// Length reads a length in metres. A bare number is in the assumed unit;
// an unknown assumed unit is a programmer's slip and panics.
func Length(s string, assume Unit) (Reading, error) {
	return lengthUpTo(MaxLength, assume).read(s)
}

var volume = quantity{
	what:     "an amount of water",
	expected: "litres, millilitres or a household measure",
	example:  "2 l, 500 ml, a cup, half a bucket or 1-2 l",
	unit:     "L",
	units: func() map[string]unit {
		u := units(map[float64]string{
			1:          "l litre litres liter liters ltr ltrs",
			0.001:      "ml millilitre millilitres milliliter milliliters",
			0.01:       "cl",
			0.56826125: "pint pints pt",      // exact, imperial pint, Weights and Measures Act 1985
			4.54609:    "gallon gallons gal", // exact, imperial gallon, the same
		})
		// Household measures: common practice, no source. Nobody fills them
		// to the same mark, hence the wide spread.
		for names, m := range map[string]unit{
			"cup cups cupful cupfuls":                        {factor: 0.25, spread: 0.3},
			"mug mugs mugful mugfuls":                        {factor: 0.3, spread: 0.3},
			"bucket buckets bucketful bucketfuls":            {factor: 10, spread: 0.3},
			"washing-up-bowl washing-up-bowls bowl bowls":    {factor: 6, spread: 0.4},
			"saucepan saucepans":                             {factor: 2, spread: 0.4},
			"tablespoon tablespoons tbsp spoonful spoonfuls": {factor: 0.015, spread: 0.3},
		} {
			for _, name := range fields(names) {
				u[name] = m
			}
		}
		return u
	}(),
	bare:  unit{factor: 1},
	max:   100000,
	limit: "100,000 L",
	share: aboutLoose,
}

// Litres reads an amount of water in litres. A bare number is litres.
func Litres(s string) (Reading, error) { return volume.read(s) }

var duration = quantity{
	what:     "a length of time",
	expected: "minutes, hours, days or weeks",
	example:  "20 min, 3 h, 2 days, a week or 1-2 h",
	unit:     "h",
	units: units(map[float64]string{
		1.0 / 3600: "s sec secs second seconds",
		1.0 / 60:   "min mins m minute minutes",
		1:          "h hr hrs hour hours",
		24:         "d day days",
		7 * 24:     "w week weeks",
		730.5:      "month months", // a twelfth of 365.25 days
		8766:       "year years",   // 365.25 days
	}),
	bare:  unit{factor: 1},
	after: map[string]float64{"h": 1.0 / 60}, // 1h30
	max:   876600,
	limit: "100 years",
	share: aboutTimeShare,
}

// Hours reads a length of time in hours. A bare number is hours.
func Hours(s string) (Reading, error) { return duration.read(s) }

var percent = quantity{
	what:     "a percentage",
	expected: "a number from 0 to 100",
	example:  "60, 60 %, about 60 or 55-65",
	unit:     "%",
	units:    units(map[float64]string{1: "% percent pc"}),
	bare:     unit{factor: 1},
	max:      100,
	limit:    "100 %",
	least:    5, // points; common practice, no source
	noHalves: true,
}

// Percent reads a percentage from 0 to 100.
func Percent(s string) (Reading, error) { return percent.read(s) }

var celsius = quantity{
	what:     "a temperature",
	expected: "degrees Celsius",
	example:  "20, 18.5 C, -3, about 20 or 18-21",
	unit:     "degC",
	units:    units(map[float64]string{1: "c °c ° deg degc degree degrees celsius degreesc"}),
	bare:     unit{factor: 1},
	min:      -60,
	max:      120,
	limit:    "120 degrees",
	least:    2, // degrees; common practice, no source
	signed:   true,
	noHalves: true,
}

// Celsius reads a temperature in degrees Celsius, which may be below zero.
func Celsius(s string) (Reading, error) { return celsius.read(s) }
