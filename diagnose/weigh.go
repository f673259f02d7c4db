package diagnose

import (
	"fmt"

	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/diagnose/infer"
	"underlap/rules"
)

// Weigher gives the causes of one case under one pack after another, without repairs,
// questions and letters. The sums are done once for as long as what they look at stays
// the same. A Weigher is not for use from several goroutines at once.
type Weigher struct {
	c     *casefile.Case
	state casefile.State
	mem   memory
}

// NewWeigher makes a weigher of a case as it stands.
func NewWeigher(c *casefile.Case) *Weigher { return &Weigher{c: c, state: c.State()} }

// Weigh returns the probability of each cause by its id. They sum to more than 1,
// because there may be two at work. It fails only when the knowledge is at odds.
func (w *Weigher) Weigh(pack *rules.Pack) (map[string]float64, error) { return w.weigh(pack, true) }

// Prior returns the same before any sign is weighed: what is usual on a roof of this
// kind.
func (w *Weigher) Prior(pack *rules.Pack) (map[string]float64, error) { return w.weigh(pack, false) }

func (w *Weigher) weigh(pack *rules.Pack, signs bool) (map[string]float64, error) {
	f := facts.From(w.state, pack)
	if err := w.mem.recall(w.c, f, pack); err != nil {
		return nil, err
	}
	m := newModel(pack, f, w.mem.buildup, w.mem.sums)
	all, _ := m.evidence(f)
	m.joinDays(w.mem.days.recall(w.state), &all)
	// Questions without an answer say nothing, and compiling them is most of the work.
	answered := infer.Evidence{Likelihood: map[int][]float64{}}
	if signs {
		answered.Joint = all.Joint
	}
	var findings []infer.Finding
	for i := range m.spec.Findings {
		if likelihood := all.Likelihood[i]; signs && likelihood != nil {
			answered.Likelihood[len(findings)] = likelihood
			findings = append(findings, m.spec.Findings[i])
		}
	}
	m.spec.Findings = findings
	engine, err := infer.Compile(m.spec)
	if err != nil {
		return nil, fmt.Errorf("the knowledge does not compile: %w", err)
	}
	post, err := engine.Update(answered)
	if err != nil {
		return nil, fmt.Errorf("weighing the answers: %w", err)
	}
	out := make(map[string]float64, len(pack.Causes))
	for i := range pack.Causes {
		out[pack.Causes[i].ID] = post.Cause(i)
	}
	return out, nil
}
