package tui

import (
	"context"

	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose"
	"underlap/diagnose/calc"
)

// courses are the sums that follow a roof hour by hour. They run beside the screen and
// never keep a key waiting; what was worked out for a roof is kept while the call lasts.
type courses struct {
	done map[string]*calc.Hourly
	bad  map[string]error
	key  string // of the one that runs, "" when none does
	stop context.CancelFunc
	from *diagnose.Reading // the reading that full was made from
	full *diagnose.Reading
}

// courseDone comes when a course has ended.
type courseDone struct {
	key   string
	found *calc.Hourly
	err   error
}

// followedReading is the reading as it stands, with what was followed hour by hour when
// that is there.
func (m *model) followedReading() *diagnose.Reading {
	r := m.call.Reading()
	c := r.Course()
	if c == nil {
		return r
	}
	h, ok := m.courses.done[c.Key]
	if !ok {
		return r
	}
	if m.courses.from != r {
		m.courses.from, m.courses.full = r, r.With(h)
	}
	return m.courses.full
}

// follow starts the course of the reading when it is not known and not on its way. One
// that runs for a roof that has changed since is stopped.
func (m *model) follow() tea.Cmd {
	c := m.call.Reading().Course()
	if c == nil || m.courses.key == c.Key || m.courses.done[c.Key] != nil || m.courses.bad[c.Key] != nil {
		return nil
	}
	m.stopCourse()
	ctx, stop := context.WithCancel(context.Background())
	m.courses.key, m.courses.stop = c.Key, stop
	return func() tea.Msg {
		h, err := c.Run(ctx)
		return courseDone{c.Key, h, err}
	}
}

func (m *model) stopCourse() {
	if m.courses.stop != nil {
		m.courses.stop()
		m.courses.key, m.courses.stop = "", nil
	}
}

// followed takes in what a course found.
func (m *model) followed(d courseDone) {
	if d.key != m.courses.key {
		return // stopped, for the roof has changed
	}
	m.stopCourse()
	if d.err != nil {
		m.courses.bad[d.key] = d.err
		return
	}
	m.courses.done[d.key] = d.found
	m.courses.from = nil
	if m.at.screen == onLetter {
		m.buildLetter()
	}
}

// hourlyLine says how far the sums hour by hour are. It keeps its place when they come,
// so that nothing jumps under the reader's eyes.
func (m *model) hourlyLine() string {
	c := m.call.Reading().Course()
	switch {
	case c == nil:
		return ""
	case m.courses.done[c.Key] != nil:
		return "Hour by hour: done, with the figures below."
	case m.courses.bad[c.Key] != nil:
		return "Hour by hour: " + m.courses.bad[c.Key].Error()
	}
	return "... Hour by hour: on its way; it comes here by itself."
}
