package infer

import (
	"cmp"
	"slices"
)

// QuestionValue is what asking one open finding is worth.
type QuestionValue struct {
	Finding int
	// Predicted is the probability of each answer as it would be heard.
	Predicted []float64
	// EVSI is the expected loss saved by knowing the answer, in pounds.
	EVSI float64
	// Net is EVSI less the cost of the finding, in pounds.
	Net float64
	// EntropyGainBits is the expected fall of Posterior.EntropyBits.
	EntropyGainBits float64
	// DecisionPerAnswer is the best scope after each answer.
	DecisionPerAnswer []int
	// TopPerAnswer is the most probable cause after each answer.
	TopPerAnswer []int
	joint        cross       // cause and true answer
	heard        [][]float64 // by answer heard: how much each true answer goes for

	// SameDecision is the probability that the answer leaves the scope as it is.
	SameDecision float64
}

// Decibans is the weight of evidence that hearing the answer would be for the cause:
// 10 log10 of the odds after it over the odds before, given all evidence.
func (q *QuestionValue) Decibans(cause, answer int) float64 {
	row, total := q.joint.row(cause), q.joint.total()
	with, all, heardWith, heard := 0.0, 0.0, 0.0, 0.0
	for a := range row {
		with += row[a]
		all += total[a]
		heardWith += float64(q.heard[answer][a] * row[a])
		heard += float64(q.heard[answer][a] * total[a])
	}
	return decibans(heardWith, heard-heardWith) - decibans(with, all-with)
}

// Values values all open findings, in the order of the model. It fails if
// scopes or damages do not fit the causes.
func (e *Engine) Values(p *Posterior, scopes []Scope, damage []float64) ([]QuestionValue, error) {
	ch, err := e.newChoice(scopes, damage)
	if err != nil {
		return nil, err
	}
	return e.values(p, ch), nil
}

func (e *Engine) values(p *Posterior, ch *choice) []QuestionValue {
	var list []QuestionValue
	loss := ch.expected(p.cause, nil)
	best := ch.best(loss, -1)
	now := loss[best]
	entropy := p.EntropyBits()
	top := e.topCause(p.cause)
	var byCause [][]float64
	after := make([]float64, len(p.cause))
	for f := range e.model.Findings {
		if p.seen.finding[f] != nil {
			continue
		}
		finding := &e.model.Findings[f]
		var joint cross
		if finding.Over == OverCauses {
			joint = e.crossSets(f, p.mass, p.shares())
		} else {
			if byCause == nil {
				byCause = e.statesByCause(p)
			}
			joint = e.crossStates(f, byCause, p.state)
		}
		rho := finding.Reliability
		if rho == 0 {
			rho = 1
		}
		q := QuestionValue{
			Finding:           f,
			joint:             joint,
			Predicted:         make([]float64, joint.answers),
			DecisionPerAnswer: make([]int, joint.answers),
			TopPerAnswer:      make([]int, joint.answers),
			EVSI:              now,
			EntropyGainBits:   entropy,
		}
		for a := range joint.answers {
			said := Reliable(joint.answers, a, rho)
			q.heard = append(q.heard, e.powered(said))
			q.DecisionPerAnswer[a], q.TopPerAnswer[a] = best, top
			predicted := joint.predicted(said)
			if predicted == 0 || joint.marginals(q.heard[a], after) == 0 {
				continue
			}
			loss = ch.expected(after, loss)
			choose := ch.best(loss, -1)
			q.Predicted[a] = predicted
			q.DecisionPerAnswer[a] = choose
			q.TopPerAnswer[a] = e.topCause(after)
			if choose == best {
				q.SameDecision += predicted
			}
			q.EVSI -= float64(predicted * loss[choose])
			q.EntropyGainBits -= float64(predicted * entropyOfMarginals(after))
		}
		// None of these can leave its range except by rounding, or where the power makes
		// less of an answer than it would deserve.
		q.SameDecision = min(1, q.SameDecision)
		q.EVSI = max(0, q.EVSI)
		q.EntropyGainBits = max(0, q.EntropyGainBits)
		q.Net = q.EVSI - finding.Cost
		list = append(list, q)
	}
	return list
}

// TwoStep is the worth of asking one finding and then, depending on the
// answer, the best further one.
type TwoStep struct {
	First int
	// Then is the best second finding after each answer, -1 for none worth
	// its cost.
	Then []int
	// Gross is the expected loss saved by both, in pounds.
	Gross float64
	// Net is Gross less the expected cost of both, in pounds.
	Net float64
}

// NextTwo looks two questions ahead from each of the given open findings. It
// sees value where two answers are worth nothing alone and much together. The
// result is sorted by Net, best first, then by finding id. It fails like
// Values; findings already asked are left out.
func (e *Engine) NextTwo(p *Posterior, first []int, scopes []Scope, damage []float64) ([]TwoStep, error) {
	ch, err := e.newChoice(scopes, damage)
	if err != nil {
		return nil, err
	}
	var list []TwoStep
	for _, q := range e.values(p, ch) {
		if !slices.Contains(first, q.Finding) {
			continue
		}
		finding := &e.model.Findings[q.Finding]
		rho := finding.Reliability
		if rho == 0 {
			rho = 1
		}
		two := TwoStep{First: q.Finding, Then: make([]int, len(q.Predicted)), Gross: q.EVSI, Net: q.Net}
		for a, predicted := range q.Predicted {
			two.Then[a] = -1
			if predicted == 0 {
				continue
			}
			o := p.seen.with(e, q.Finding, Reliable(len(q.Predicted), a, rho))
			next, err := e.update(o)
			if err != nil {
				return nil, err
			}
			var second *QuestionValue
			values := e.values(next, ch)
			for i := range values {
				if values[i].Net > 0 && (second == nil || rounded(values[i].Net) > rounded(second.Net)) {
					second = &values[i]
				}
			}
			if second != nil {
				two.Then[a] = second.Finding
				two.Gross += float64(predicted * second.EVSI)
				two.Net += float64(predicted * second.Net)
			}
		}
		list = append(list, two)
	}
	slices.SortFunc(list, func(a, b TwoStep) int {
		return cmp.Or(cmp.Compare(rounded(b.Net), rounded(a.Net)),
			cmp.Compare(e.model.Findings[a.First].ID, e.model.Findings[b.First].ID))
	})
	return list, nil
}

// with returns the evidence with another likelihood on finding f.
func (o *observed) with(e *Engine, f int, lambda []float64) *observed {
	finding, heard := slices.Clone(o.finding), slices.Clone(o.heard)
	finding[f], heard[f] = e.powered(lambda), lambda
	return &observed{finding: finding, heard: heard, joint: o.joint}
}
