package diagnose

import (
	"fmt"
	"math"
	"strings"

	"underlap/diagnose/casefile"
	"underlap/diagnose/explain"
	"underlap/diagnose/facts"
	"underlap/diagnose/infer"
	"underlap/diagnose/sightings"
)

// patternQuestion is the question that dated days answer.
const patternQuestion = "weather-pattern"

// sameDays are the questions that ask about the same days in other words. What is told to
// them counts less, the more the dated days say: else one memory would be heard twice.
var sameDays = []string{"dry-spell", "frosty-morning", "use-link", "lag"}

// mostTaken is how much of what is told there the days take away at most: common practice,
// no source. More would let days that agree with the words weaken the case.
const mostTaken = 1.0 / 3

// daysMemory keeps what the days say from one answer to the next.
type daysMemory struct {
	key    string
	result *sightings.Result
}

// recall compares the days of a case, or gives what was found for the same entries.
func (d *daysMemory) recall(s casefile.State) *sightings.Result {
	if len(s.Sightings)+len(s.Weather) == 0 {
		return nil
	}
	var key strings.Builder
	for _, list := range [][]casefile.Event{s.Sightings, s.Weather} {
		for _, e := range list {
			fmt.Fprintf(&key, "%s %s;", e.ID, e.Typed)
		}
	}
	if d.result == nil || d.key != key.String() {
		d.key, d.result = key.String(), sightings.Compare(sightings.From(s))
	}
	return d.result
}

// joinDays enters what the days say. It is the same fact as an answer to the question of
// the weather pattern, from a second source, so the two are multiplied on that finding and
// it is weighed once.
func (m *model) joinDays(days *sightings.Result, ev *infer.Evidence) {
	if days == nil {
		return
	}
	for i, fd := range m.findings {
		_, heard := ev.Likelihood[i]
		if fd.question == nil && days.Wet > 0 && !heard {
			ev.Likelihood[i] = infer.Reliable(2, 1, sightings.Reliability) // it has been wet
		}
	}
	at := m.at[patternQuestion]
	if len(at) != 1 {
		return
	}
	seen := days.Pattern(m.spec.Findings[at[0]].Answers)
	if seen == nil {
		return
	}
	if told, ok := ev.Likelihood[at[0]]; ok {
		both, err := infer.Multiply(told, seen)
		if err != nil {
			panic(err) // both have one number for each answer
		}
		ev.Likelihood[at[0]] = both
	} else {
		ev.Likelihood[at[0]] = seen
	}
	share := mostTaken * speaks(seen)
	for _, q := range sameDays {
		for _, i := range m.at[q] {
			if told, ok := ev.Likelihood[i]; ok {
				ev.Likelihood[i] = blurred(told, share)
			}
		}
	}
}

// speaks is how far a likelihood is from saying nothing, 0, to naming one answer, 1: one
// less its entropy, over the most there can be.
func speaks(v []float64) float64 {
	sum, h := 0.0, 0.0
	for _, x := range v {
		sum += x
	}
	for _, x := range v {
		if p := x / sum; p > 0 {
			h -= p * math.Log(p)
		}
	}
	return 1 - h/math.Log(float64(len(v)))
}

// blurred moves a likelihood towards saying nothing by a share.
func blurred(v []float64, share float64) []float64 {
	mean := 0.0
	for _, x := range v {
		mean += x / float64(len(v))
	}
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = (1-share)*x + share*mean
	}
	return out
}

// disagree is how much likelier the days must find another answer than the one told, to
// ask again: a judgement.
const disagree = 8.0

// addDays puts what the days say into the reading.
func (w *work) addDays(days *sightings.Result) {
	w.r.Days = days
	if days == nil {
		return
	}
	y := explain.Why{
		ID: "days", Title: "What the days say", Result: days.Text,
		Formula: "for each driver the chance that just these days were wet and dry, given their weather: bucket, smoothed temperature or store of frost, summed over fixed grids of lag, threshold and strength; drivers start alike",
		Source:  "self-made; driving rain 2/9 v R^(8/9) as in ISO 15927-3, snow by degree-days (both from memory); dates misremembered by a day one time in six, common practice, no source",
		Note:    "The days count once with the answer to the weather question, and take away up to a third of what is told about dry spells, frosty mornings, use and lag. Amounts of water are kept and not weighed.",
	}
	if days.Hint != "" {
		y.Inputs = append(y.Inputs, explain.Input{Name: "To say more", Value: days.Hint, From: "record of days"})
	}
	y.Inputs = append(y.Inputs, explain.Input{Name: "Days weighed", Value: fmt.Sprintf("%d, of %d wet and %d dry on record", days.Weighed, days.Wet, days.Dry), From: "told"})
	for _, d := range days.Drivers {
		value := fmt.Sprintf("%s, %s; %+.1f dB against none of these", explain.Percent(d.P), d.Hedge, d.Decibans)
		if d.Lag != nil && d.P >= 0.1 {
			value += "; " + d.Lag.String()
		}
		y.Inputs = append(y.Inputs, explain.Input{Name: d.Name, Value: value, From: "sums"})
	}
	for _, text := range days.NotJudged {
		y.Inputs = append(y.Inputs, explain.Input{Name: "Not judged", Value: text, From: "record of days"})
	}
	w.why(y)
	for _, text := range days.Unread {
		w.r.Recheck = append(w.r.Recheck, Recheck{Questions: []string{}, Kind: "reading", Text: "The case holds an entry that cannot be read, so it is left out: " + text})
	}
	w.daysAgainstTold(days)
}

// daysAgainstTold asks again where the dated days and the answer told differ widely.
func (w *work) daysAgainstTold(days *sightings.Result) {
	q, ok := w.pack.Question(patternQuestion)
	f, told := w.facts.Get(patternQuestion)
	if !ok || !told || len(f.Choices) == 0 {
		return
	}
	ids := make([]string, len(q.Answers))
	for i, a := range q.Answers {
		ids[i] = a.ID
	}
	seen := days.Pattern(ids)
	said := indexOf(ids, f.Choices[0])
	if seen == nil || said < 0 || f.Choices[0] == "no-pattern" {
		return
	}
	best := 0
	for i := range seen {
		if seen[i] > seen[best] {
			best = i
		}
	}
	if seen[best] > disagree*seen[said] {
		w.r.Recheck = append(w.r.Recheck, Recheck{
			Questions: []string{patternQuestion}, Kind: "pair",
			Text: fmt.Sprintf("Told: %s. The days on record look more like: %s. Go through the dates with them.", explain.LowerFirst(f.Says()), explain.LowerFirst(q.Answers[best].Says)),
		})
	}
}

// daysReason words what the days say as a reason, beside the answer when one was told. It
// is false for any other finding.
func (w *work) daysReason(i int, f facts.Fact, told bool) (string, bool) {
	fd := w.model.findings[i]
	if fd.question.ID != patternQuestion || w.r.Days == nil || !w.r.Days.Enough {
		return "", false
	}
	if told {
		return fmt.Sprintf("%s: %s; by the days on record %s", fd.question.Short, explain.LowerFirst(f.Says()), w.r.Days.Short), true
	}
	return "By the days on record " + w.r.Days.Short, true
}
