package casefile

import (
	"bytes"
	"fmt"
	"slices"
)

// Merge joins two copies of the same case: the union of their events by id,
// in the order of Log. It fails when the copies are of different cases or
// when one event id stands for different things in them.
func Merge(a, b *Case) (*Case, error) {
	more, err := missing(a, b)
	if err != nil {
		return nil, err
	}
	m := &Case{Head: a.Head, Events: slices.Concat(a.Events, more)}
	slices.SortStableFunc(m.Events, compareEvents)
	m.Warnings = slices.Clone(a.Warnings)
	if a.Title != b.Title || a.Place != b.Place || !a.Created.Equal(b.Created) {
		m.Warnings = append(m.Warnings, "the heads of the two copies differ; the head of the first is kept")
	}
	return m, nil
}

// missing gives the events of b that a has not, in the order of Log.
func missing(a, b *Case) ([]Event, error) {
	if a.ID != b.ID {
		return nil, fmt.Errorf("these are two different cases, %q and %q; only copies of one case can be merged", a.ID, b.ID)
	}
	have := make(map[string]Event, len(a.Events))
	for _, e := range a.Events {
		have[e.ID] = e
	}
	var more []Event
	for _, e := range b.Log() {
		mine, found := have[e.ID]
		if !found {
			more = append(more, e)
			continue
		}
		same, err := sameEvent(mine, e)
		if err != nil {
			return nil, err
		}
		if !same {
			return nil, fmt.Errorf("event %q says one thing in the first copy and another in the second; an event was changed by hand, so put that back first", e.ID)
		}
	}
	return more, nil
}

func sameEvent(a, b Event) (bool, error) {
	x, err := encodeEvent(a)
	if err != nil {
		return false, fmt.Errorf("event %q: %w", a.ID, err)
	}
	y, err := encodeEvent(b)
	if err != nil {
		return false, fmt.Errorf("event %q: %w", b.ID, err)
	}
	return bytes.Equal(x, y), nil
}
