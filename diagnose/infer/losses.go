package infer

// Losses is the expected loss of every scope in pounds, as in Decision. It fails if
// scopes or damages do not fit the causes.
func (p *Posterior) Losses(scopes []Scope, damage []float64) ([]float64, error) {
	ch, err := p.engine.newChoice(scopes, damage)
	if err != nil {
		return nil, err
	}
	return ch.expected(p.cause, nil), nil
}
