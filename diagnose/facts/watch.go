package facts

import "slices"

// Reads is what a computation looked at in a Set: the facts it found and the ones
// it found missing.
type Reads struct{ seen map[string]Fact }

// Watch runs a computation and returns what it looked at. A pure computation gives
// the same result on any Set for which Reads.Same holds.
func (s *Set) Watch(compute func() error) (Reads, error) {
	s.read = map[string]bool{}
	err := compute()
	r := Reads{seen: make(map[string]Fact, len(s.read))}
	for id := range s.read {
		r.seen[id] = s.by[id]
	}
	s.read = nil
	return r, err
}

// Same reports that everything that was looked at is the same in s.
func (r Reads) Same(s *Set) bool {
	if r.seen == nil {
		return false
	}
	for id, was := range r.seen {
		is := s.by[id]
		if was.Question != is.Question || was.HasValue != is.HasValue || was.Value != is.Value || was.Tolerance != is.Tolerance ||
			was.Known != is.Known || was.Reliability != is.Reliability || was.Implied != is.Implied ||
			was.Answer.Typed != is.Answer.Typed || !slices.Equal(was.Choices, is.Choices) {
			return false
		}
	}
	return true
}
