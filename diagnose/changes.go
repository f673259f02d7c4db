package diagnose

import (
	"fmt"
	"sort"

	"underlap/diagnose/infer"
)

// Limits on what would change our mind: the list is for people.
const (
	mostChanges = 6
	lookAhead   = 5 // open findings looked into
)

// changes lists the given answers that, had they been otherwise, would put another
// cause first, and the open answers that would.
func (w *work) changes() error {
	if w.r.Answered < 3 {
		return nil
	}
	top := w.post.Ranked()[0]
	flips, err := w.review.Flips(w.said, w.scopes, w.damage)
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
			Text: fmt.Sprintf("If \"%s\" were %q instead, first would be: %s.", lower(q.Short), w.answerText(f.Finding, f.Answer), lower(w.pack.Causes[f.TopCause].Name)),
		})
	}
	looked := 0
	for _, o := range w.r.Open {
		if looked == lookAhead || len(w.r.Change) >= mostChanges {
			break
		}
		for _, i := range w.model.at[o.Question] {
			if len(w.r.Change) >= mostChanges || looked == lookAhead {
				break
			}
			spec := &w.model.spec.Findings[i]
			looked++
			best, bestP := -1, 0.0
			cause := -1
			predicted := w.post.Predict(i)
			for a := range spec.Answers {
				if predicted[a] < 0.05 {
					continue // not worth naming: it will hardly be the answer
				}
				p, err := w.engine.Update(w.ev.With(i, infer.Reliable(len(spec.Answers), a, spec.Reliability)))
				if err != nil {
					return fmt.Errorf("looking ahead: %w", err)
				}
				if c := p.Ranked()[0]; c != top && predicted[a] > bestP {
					best, bestP, cause = a, predicted[a], c
				}
			}
			if best >= 0 {
				q := w.model.findings[i].question
				w.r.Change = append(w.r.Change, Change{
					Question: q.ID,
					Text:     fmt.Sprintf("If \"%s\" turns out %q, first would be: %s.", lower(q.Short), w.answerText(i, best), lower(w.pack.Causes[cause].Name)),
				})
			}
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
		return "no: " + lower(ans.Says)
	}
	return ans.Says
}
