package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose"
)

// Open opens or starts the case that was picked on the desk.
type Open func(DeskChoice) (*diagnose.Call, Options, error)

// Run shows the desk, opens what is picked, and comes back to the desk when a
// call is left, all in one program: keys typed while a screen changes are not
// lost, and the terminal does not flicker. items is asked again after each call.
// Leaving the desk, or Ctrl+C anywhere, ends it. Standard input and output must
// both be terminals.
func Run(items func() []DeskItem, open Open, o Options) error {
	end, err := run(DayModel(items, open, o))
	if err == nil && end.(*day).atOnce {
		return leftAtOnce(end.(*day).unfinished())
	}
	return err
}

// DayModel is the desk and its calls as one bubbletea model.
func DayModel(items func() []DeskItem, open Open, o Options) tea.Model {
	d := &day{desk: newDesk(items(), o), items: items, open: open}
	if o.Start.Path != "" || o.Start.New {
		d.choose(o.Start)
	}
	return d
}

// day is a desk with, at times, a call in front of it.
type day struct {
	desk  *desk
	call  *model // nil on the desk
	items func() []DeskItem
	open  Open

	atOnce bool // left with Ctrl+C
}

// Init implements tea.Model.
func (d *day) Init() tea.Cmd { return d.beside() }

// beside starts what runs beside the call in front.
func (d *day) beside() tea.Cmd {
	if d.call == nil {
		return nil
	}
	return d.call.beside()
}

// Update implements tea.Model.
func (d *day) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		d.desk.Update(msg)
		if d.call != nil {
			d.call.Update(msg)
		}
	case tea.KeyMsg:
		if msg.Type == tea.KeyCtrlZ {
			return d, tea.Suspend
		}
		// One key at a time: what was typed ahead may be for the next screen.
		for _, k := range single(msg, d.typing()) {
			if d.press(k) {
				return d, tea.Quit
			}
		}
		return d, d.beside()
	default:
		if d.call != nil {
			return d, d.call.besides(msg)
		}
	}
	return d, nil
}

// unfinished is what was begun in the call in front and is not kept.
func (d *day) unfinished() string {
	if d.call == nil || d.call.o.Demo {
		return ""
	}
	return d.call.unfinished()
}

func (d *day) typing() bool {
	if d.call != nil {
		return d.call.field != nil
	}
	return d.desk.field != nil
}

// press gives a key to the screen in front and tells whether all is done.
func (d *day) press(k tea.KeyMsg) bool {
	if d.call != nil {
		if i := d.call.intentOf(k); i != nil && d.call.apply(i) {
			d.call.stopBeside()
			if d.call.atOnce {
				d.atOnce = true
				return true
			}
			d.call = nil
			d.desk.renew(d.items())
		}
		return false
	}
	if !d.desk.press(k) {
		return false
	}
	choice := d.desk.choice
	if choice.Quit {
		d.atOnce = choice.AtOnce
		return true
	}
	d.desk.choice = DeskChoice{Quit: true}
	d.choose(choice)
	return false
}

// choose opens a case in front of the desk, or says on the desk why it cannot.
func (d *day) choose(choice DeskChoice) {
	c, o, err := d.open(choice)
	if err != nil {
		d.desk.msg = upperFirst(err.Error())
		return
	}
	d.call = newModel(c, o)
	d.call.w, d.call.h = d.desk.w, d.desk.h
	if d.call.field != nil {
		d.call.field.resize(d.call.fieldWidth())
	}
}

// View implements tea.Model.
func (d *day) View() string {
	if d.call != nil {
		return d.call.View()
	}
	return d.desk.View()
}
