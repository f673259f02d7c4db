package casefile

import (
	"slices"
	"time"
)

// Answer is what stands as the answer to a question.
type Answer struct {
	Question  string
	Choices   []string  // ids of the chosen answers
	Value     *float64  // SI; nil when the answer is no number
	Tolerance float64   // half width of Value; 0 when not said
	Typed     string    // what was typed
	Known     string    // how it is known
	Note      string    // what was added in words
	Event     string    // id of the event that gave it
	At        time.Time // when it was given
	Revised   int       // how many earlier answers there were to this question
}

// Is reports whether the choice is among the chosen ones.
func (a Answer) Is(choice string) bool { return slices.Contains(a.Choices, choice) }

// Unknown reports that they said they do not know.
func (a Answer) Unknown() bool { return a.Is(ChoiceUnknown) }

// Asked reports that they were asked for it and the reply is still awaited.
func (a Answer) Asked() bool { return a.Is(ChoiceAsked) }

// Skipped reports that the question was passed over.
func (a Answer) Skipped() bool { return a.Is(ChoiceSkipped) }

// Given reports a real answer: a number, or a choice other than not knowing,
// waiting or skipping.
func (a Answer) Given() bool {
	return a.Value != nil || slices.ContainsFunc(a.Choices, func(c string) bool {
		return c != ChoiceUnknown && c != ChoiceAsked && c != ChoiceSkipped
	})
}

// State is what a case says after its whole log. Withdrawn things are gone
// from it, except from History.
type State struct {
	Answers map[string]Answer  // by question id
	Order   []string           // questions that stand answered, in the order first answered
	History map[string][]Event // every event about a question, also the withdrawn ones

	Notes     []Event
	Photos    []Event
	Sightings []Event
	Weather   []Event
	Issued    []Event
	Outcomes  []Event
	Remarks   []Event
	Signed    []Event
	Other     []Event // events of kinds that this version does not know
}

// State folds the log. The order of the events in the file does not matter;
// see Log.
func (c *Case) State() State {
	log := c.Log()
	s := State{Answers: map[string]Answer{}, History: map[string][]Event{}}

	// A withdrawal holds wherever it stands in the log: clocks of two
	// machines may differ, and then it can seem older than its target. From
	// the end, so that a withdrawal can itself be taken back.
	gone := map[string]bool{}
	for _, e := range slices.Backward(log) {
		if e.Kind == KindWithdrawn && e.About != "" && !gone[e.ID] {
			gone[e.About] = true
		}
	}

	var first []string
	given := map[string]int{}
	for _, e := range log {
		if e.Question != "" {
			s.History[e.Question] = append(s.History[e.Question], e)
		}
		if e.Kind != KindAnswered && e.Kind != KindRevised && gone[e.ID] {
			continue
		}
		switch e.Kind {
		case KindAnswered, KindRevised:
			if e.Question == "" {
				continue // Decode has warned of it
			}
			if given[e.Question] == 0 {
				first = append(first, e.Question)
			}
			if !gone[e.ID] {
				s.Answers[e.Question] = answerFrom(e, given[e.Question])
			} else {
				// Taking back the latest answer leaves the question open; it
				// does not bring an older answer back to life unasked.
				delete(s.Answers, e.Question)
			}
			given[e.Question]++
		case KindWithdrawn:
			if e.About == "" {
				delete(s.Answers, e.Question)
			}
		case KindNoted:
			s.Notes = append(s.Notes, e)
		case KindPhoto:
			s.Photos = append(s.Photos, e)
		case KindSighting:
			s.Sightings = append(s.Sightings, e)
		case KindWeather:
			s.Weather = append(s.Weather, e)
		case KindIssued:
			s.Issued = append(s.Issued, e)
		case KindOutcome:
			s.Outcomes = append(s.Outcomes, e)
		case KindRemark:
			s.Remarks = append(s.Remarks, e)
		case KindSigned:
			s.Signed = append(s.Signed, e)
		default:
			s.Other = append(s.Other, e)
		}
	}
	for _, q := range first {
		if _, stands := s.Answers[q]; stands {
			s.Order = append(s.Order, q)
		}
	}
	return s
}

func answerFrom(e Event, earlier int) Answer {
	return Answer{
		Question:  e.Question,
		Choices:   e.Answers,
		Value:     e.Value,
		Tolerance: e.Tolerance,
		Typed:     e.Typed,
		Known:     e.Known,
		Note:      e.Note,
		Event:     e.ID,
		At:        e.At,
		Revised:   earlier,
	}
}
