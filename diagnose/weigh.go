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
func (w *Weigher) Weigh(pack *rules.Pack) (map[string]float64, error) {
	x, err := w.work(pack)
	if err != nil {
		return nil, err
	}
	return byID(pack, x.post), nil
}

// Prior returns the same before any sign is weighed: what is usual on a roof of this
// kind.
func (w *Weigher) Prior(pack *rules.Pack) (map[string]float64, error) {
	x, err := w.work(pack)
	if err != nil {
		return nil, err
	}
	prior, err := x.engine.Update(infer.Evidence{})
	if err != nil {
		return nil, fmt.Errorf("working out the priors: %w", err)
	}
	return byID(pack, prior), nil
}

func (w *Weigher) work(pack *rules.Pack) (*work, error) {
	return weigh(w.c, w.state, facts.From(w.state, pack), pack, &w.mem)
}

func byID(pack *rules.Pack, post *infer.Posterior) map[string]float64 {
	out := make(map[string]float64, len(pack.Causes))
	for i := range pack.Causes {
		out[pack.Causes[i].ID] = post.Cause(i)
	}
	return out
}
