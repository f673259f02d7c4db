package tui

import (
	"context"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose"
)

// quiet is how long no key may have come before the knowledge is varied: while answers
// follow one another there is no point in it.
const quiet = 800 * time.Millisecond

// doubting is the question whether the reading would be the same by other numbers. It
// runs beside the screen.
type doubting struct {
	of    *diagnose.Doubts // what is or was asked
	found *diagnose.Doubted
	bad   error
	stop  context.CancelFunc
	from  *diagnose.Reading // the reading that full was made from
	full  *diagnose.Reading
}

// doubtDue comes when no answer has come for a while.
type doubtDue struct{ of *diagnose.Doubts }

// doubtDone comes when the variations are through.
type doubtDone struct {
	of    *diagnose.Doubts
	found *diagnose.Doubted
	err   error
}

// beside starts all that runs beside the screen.
func (m *model) beside() tea.Cmd { return tea.Batch(m.follow(), m.doubt()) }

// stopBeside stops all that runs beside the screen.
func (m *model) stopBeside() {
	m.stopCourse()
	m.stopDoubt()
}

// doubt waits for quiet when the reading has changed. What runs for an older one is
// stopped.
func (m *model) doubt() tea.Cmd {
	of := m.call.Reading().Doubts()
	if of == m.doubts.of {
		return nil
	}
	m.stopDoubt()
	m.doubts = doubting{of: of}
	if of == nil {
		return nil
	}
	return tea.Tick(quiet, func(time.Time) tea.Msg { return doubtDue{of} })
}

func (m *model) stopDoubt() {
	if m.doubts.stop != nil {
		m.doubts.stop()
		m.doubts.stop = nil
	}
}

// ask starts the variations, unless another answer has come since.
func (m *model) ask(due doubtDue) tea.Cmd {
	if due.of != m.doubts.of || m.doubts.stop != nil || m.doubts.found != nil || m.doubts.bad != nil {
		return nil
	}
	ctx, stop := context.WithCancel(context.Background())
	m.doubts.stop = stop
	return func() tea.Msg {
		found, err := due.of.Run(ctx)
		return doubtDone{due.of, found, err}
	}
}

// doubted takes in what the variations found. One that was stopped is for an older
// reading.
func (m *model) doubted(d doubtDone) {
	if d.of != m.doubts.of {
		return
	}
	m.stopDoubt()
	if d.err != nil {
		m.doubts.bad = d.err
		return
	}
	m.doubts.found = d.found
	if m.at.screen == onLetter {
		m.buildLetter()
	}
}

// besides takes in a message from what runs beside the screen.
func (m *model) besides(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case courseDone:
		m.followed(msg)
	case doubtDue:
		return m.ask(msg)
	case doubtDone:
		m.doubted(msg)
	}
	return nil
}

// reading is the reading as it stands, with what was worked out beside it when that is
// there.
func (m *model) reading() *diagnose.Reading {
	r := m.followedReading()
	if m.doubts.found == nil && m.doubts.bad == nil || m.doubts.of != r.Doubts() {
		return r
	}
	if m.doubts.from != r {
		m.doubts.from = r
		if m.doubts.bad != nil {
			m.doubts.full = r.WithoutDoubts(m.doubts.bad)
		} else {
			m.doubts.full = r.WithDoubts(m.doubts.found)
		}
	}
	return m.doubts.full
}

// robust is one line on whether the reading hangs on the knowledge's numbers. It keeps
// its place while it is on its way.
func (s scene) robust(w int) []string {
	r := s.r
	switch {
	case r.Robust == nil && r.Doubts() == nil:
		return nil
	case r.Robust == nil:
		return []string{fit(s.th.dim.Render("... Would other numbers say the same? On its way."), w)}
	}
	lead, style := "Holds in ", s.th.dim
	if !r.Robust.Robust {
		lead, style = "Not robust: holds in ", s.th.bold
	}
	return []string{fit(style.Render(lead)+s.fig("robust", fmt.Sprintf("%.0f %%", r.Robust.Cause*100))+style.Render(fmt.Sprintf(" of %d variations; same repair in %.0f %%", r.Robust.Runs, r.Robust.Repair*100)), w)}
}
