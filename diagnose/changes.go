package diagnose

import (
	"fmt"
	"maps"
	"sort"

	"underlap/diagnose/explain"
)

// mostChanges is how many answers that would change our mind are named: the list is
// for people. Half at most are about answers already given.
const mostChanges = 6

// changes lists the given answers that, had they been otherwise, would put another
// cause first, and the open answers that would.
func (w *work) changes() error {
	if w.r.Answered < Early {
		return nil
	}
	top := w.post.Ranked()[0]
	said := maps.Clone(w.said)
	for _, i := range w.model.at[patternQuestion] {
		if w.r.Days != nil {
			delete(said, i) // the days on record would be turned round with the word
		}
	}
	flips, err := w.review.Flips(said)
	if err != nil {
		return fmt.Errorf("turning answers round: %w", err)
	}
	sort.SliceStable(flips, func(i, j int) bool { return flips[i].P > flips[j].P })
	seen := map[string]bool{}
	given := 0
	for _, f := range flips {
		q := w.model.findings[f.Finding].question
		if !f.ChangesTop || seen[q.ID] || given == mostChanges/2 {
			continue
		}
		seen[q.ID] = true
		given++
		w.r.Change = append(w.r.Change, Change{
			Question: q.ID, Given: true,
			Text: fmt.Sprintf("%s: had it been %q, we would put first: %s.", q.Short, explain.LowerFirst(w.answerText(f.Finding, f.Answer)), explain.LowerFirst(w.pack.Causes[f.TopCause].Name)),
		})
	}
	for _, o := range w.r.Open {
		for _, i := range w.model.at[o.Question] {
			if len(w.r.Change) >= mostChanges {
				return nil
			}
			v, ok := w.values[i]
			if !ok || seen[o.Question] {
				continue
			}
			// The likeliest answer that would put another cause first; one that
			// will hardly be given is not worth naming.
			best := -1
			for a, p := range v.Predicted {
				if v.TopPerAnswer[a] != top && p >= 0.05 && (best < 0 || p > v.Predicted[best]) {
					best = a
				}
			}
			if best < 0 {
				continue
			}
			q := w.model.findings[i].question
			seen[q.ID] = true
			w.r.Change = append(w.r.Change, Change{
				Question: q.ID,
				Text:     fmt.Sprintf("%s: should it turn out %q, we would put first: %s.", q.Short, explain.LowerFirst(w.answerText(i, best)), explain.LowerFirst(w.pack.Causes[v.TopPerAnswer[best]].Name)),
			})
		}
	}
	return nil
}

// answerText words an answer of a finding.
func (w *work) answerText(i, a int) string {
	fd := w.model.findings[i]
	if fd.option == "" {
		return fd.question.Answers[a].Says
	}
	ans, _ := fd.question.Answer(fd.option)
	if a == 0 {
		return "no: " + explain.LowerFirst(ans.Says)
	}
	return ans.Says
}
