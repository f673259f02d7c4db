package diagnose

import (
	"fmt"
	"sort"
	"strings"

	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/diagnose/measure"
	"underlap/physics/climate"
	"underlap/rules"
)

// Input is an answer as it comes from a key, a field or the command line.
type Input struct {
	Choices   []string
	Value     *float64 // SI
	Tolerance float64  // SI
	Typed     string
	Known     string
	Note      string
}

// InputError says what was read, what was expected, and gives an example.
type InputError struct {
	Question string
	Text     string
}

func (e *InputError) Error() string { return e.Text }

func inputError(q *rules.Question, format string, a ...any) error {
	return &InputError{Question: q.ID, Text: fmt.Sprintf(format, a...)}
}

// ParseInput reads an answer to a question from text: an answer id, several ids
// with commas, a number with its unit, a place, or one of the words unknown,
// ask, skip and none. thisYear is used for ages given as a date.
func ParseInput(q *rules.Question, text string, thisYear int) (Input, error) {
	in := Input{Typed: strings.TrimSpace(text)}
	if in.Typed == "" {
		return in, inputError(q, "nothing was typed; give %s", Expects(q))
	}
	switch strings.ToLower(in.Typed) {
	case "unknown", "?", "dk", "don't know", "dont know":
		in.Choices = []string{casefile.ChoiceUnknown}
		return in, nil
	case "ask":
		in.Choices = []string{casefile.ChoiceAsked}
		return in, nil
	case "skip", "skipped":
		in.Choices = []string{casefile.ChoiceSkipped}
		return in, nil
	}
	switch q.Kind {
	case rules.KindChoice:
		id, err := oneOf(q, in.Typed)
		in.Choices, in.Typed = []string{id}, ""
		return in, err
	case rules.KindSeveral:
		if strings.EqualFold(in.Typed, rules.NoneChosen) {
			in.Choices, in.Typed = []string{rules.NoneChosen}, ""
			return in, nil
		}
		for _, s := range strings.Split(in.Typed, ",") {
			id, err := oneOf(q, strings.TrimSpace(s))
			if err != nil {
				return in, err
			}
			in.Choices = append(in.Choices, id)
		}
		in.Typed = ""
		return in, nil
	case rules.KindAmount:
		// By name only: a bare "3" is three of the unit, not the third answer.
		for _, a := range q.Answers {
			if strings.EqualFold(a.ID, in.Typed) {
				in.Choices, in.Typed = []string{a.ID}, ""
				return in, nil
			}
		}
		r, err := number(q, in.Typed, thisYear)
		if err != nil {
			return in, inputError(q, "%s Or give one of: %s.", err, ids(q))
		}
		v, tol := r.SI()
		in.Value, in.Tolerance = &v, tol
		return in, inRange(q, v*facts.PerSI(q.Unit), in.Typed)
	case rules.KindLength, rules.KindNumber:
		r, err := number(q, in.Typed, thisYear)
		if err != nil {
			return in, inputError(q, "%s", err)
		}
		v, tol := r.SI()
		in.Value, in.Tolerance = &v, tol
		return in, inRange(q, v, in.Typed)
	case rules.KindPlace:
		p, err := climate.ByName(in.Typed)
		if err != nil {
			return in, inputError(q, "%s", err)
		}
		in.Typed = p.Name // finds the same place again, and reads well in a letter
		return in, nil
	case rules.KindSpots:
		spots, err := measure.Spots(in.Typed)
		if err != nil {
			return in, inputError(q, "%s", err)
		}
		in.Typed = measure.FormatSpots(spots) // one form for one answer
		return in, nil
	default:
		return in, nil
	}
}

// oneOf finds an answer by id or by the number of its key.
func oneOf(q *rules.Question, s string) (string, error) {
	for i, a := range q.Answers {
		if strings.EqualFold(a.ID, s) || s == fmt.Sprint(i+1) {
			return a.ID, nil
		}
	}
	return "", inputError(q, "%q is not an answer to %q; the answers are %s, or unknown, ask, skip", s, q.ID, ids(q))
}

func ids(q *rules.Question) string {
	var out []string
	for _, a := range q.Answers {
		out = append(out, a.ID)
	}
	return strings.Join(out, ", ")
}

func number(q *rules.Question, s string, thisYear int) (measure.Reading, error) {
	switch q.Unit {
	case "mm":
		return measure.Length(s, measure.Millimetres)
	case "m":
		return measure.Length(s, measure.Metres)
	case "m2":
		return measure.Area(s)
	case "L":
		return measure.Litres(s)
	case "h":
		return measure.Hours(s)
	case "%":
		return measure.Percent(s)
	case "years":
		return measure.Years(s, thisYear)
	default:
		return measure.Count(s)
	}
}

func inRange(q *rules.Question, v float64, typed string) error {
	if q.Low != nil && v < *q.Low || q.High != nil && v > *q.High {
		return inputError(q, "%q is outside what is believable here, %s to %s; check the unit", typed, show(q, *q.Low), show(q, *q.High))
	}
	return nil
}

func show(q *rules.Question, v float64) string {
	return facts.Fact{Question: q, Value: v, HasValue: true}.Number()
}

// Expects says what an answer to the question looks like, with an example: the hint
// that a field shows.
func Expects(q *rules.Question) string {
	switch q.Kind {
	case rules.KindChoice:
		return "one of " + ids(q)
	case rules.KindSeveral:
		return "any of " + ids(q) + ", or none"
	case rules.KindAmount:
		return "one of " + ids(q) + ", or a number such as " + example(q)
	case rules.KindLength, rules.KindNumber:
		return "a number such as " + example(q)
	case rules.KindPlace:
		return "the nearest of these: " + nearPlaces()
	case rules.KindSpots:
		return "keys of the plan, 1 2 3 by the house, 4 5 6, 7 8 9 by the garden, or metres from the left x from the house wall: 5, 5;9 or 1.2x0.8;3x2"
	default:
		return "any words"
	}
}

// nearPlaces names the places of the British Isles, by the first word or two of each.
func nearPlaces() string {
	all, err := climate.Places()
	if err != nil {
		return "a town, such as Birmingham"
	}
	var out []string
	for _, p := range all {
		if p.Country != "GB" && p.Country != "IE" {
			continue
		}
		short, _, _ := strings.Cut(p.Name, " (")
		short, _, _ = strings.Cut(short, " /")
		out = append(out, short)
	}
	sort.Strings(out)
	return strings.Join(out, ", ")
}

func example(q *rules.Question) string {
	switch q.Unit {
	case "mm":
		return "480, 48 cm, 18 7/8 in, 480 ± 5, about 480 or 4 bricks"
	case "m":
		return "3.2, 320 cm, 10'6\" or 4 paces"
	case "m2":
		return "18 m2 or 3 x 6"
	case "L":
		return "2 L, half a bucket or about 10"
	case "h":
		return "20 min, 3 h or 2 days"
	case "%":
		return "65 or 60-70"
	case "years":
		return "3, 2019 or about 10"
	default:
		return "12"
	}
}
