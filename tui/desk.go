package tui

import (
	"errors"
	"fmt"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"underlap/diagnose/explain"
)

// DeskItem is one case on the desk, worded by the caller.
type DeskItem struct {
	Path, Title string
	State       string // how far it is
	Waits       string // what it waits for
	Age         string // how long it has waited
	Urgent      string // why it is urgent, in words; "" when it is not
	Err         string // why the file cannot be read; "" when it can
}

// DeskChoice is what was picked on the desk.
type DeskChoice struct {
	Path   string // case to open
	New    bool   // start a new case
	Title  string // of the new case
	Quit   bool
	AtOnce bool // with Ctrl+C
}

// deskKeys are the keys of the desk.
type deskKeys struct{ Up, Down, Open, New, Leave, AtOnce, Done, Stop key.Binding }

// desk is the list of cases.
type desk struct {
	items  []DeskItem
	th     *theme
	keys   deskKeys
	w, h   int
	cursor int
	field  *field
	title  string // draft of a new title
	msg    string
	notice string // stands below the top line
	choice DeskChoice
}

// DeskModel is the desk as a bubbletea model, for a program or a test.
func DeskModel(items []DeskItem, o Options) tea.Model { return newDesk(items, o) }

func newDesk(items []DeskItem, o Options) *desk {
	return &desk{
		items: items, th: newTheme(newRenderer(), o.NoColor), w: 80, h: 24, notice: o.Notice, choice: DeskChoice{Quit: true},
		keys: deskKeys{
			Up: bind("up", "up"), Down: bind("down", "down"), Open: bind("open", "enter"), New: bind("new case", "n"),
			Leave: bind("leave", "q"), AtOnce: key.NewBinding(key.WithKeys("ctrl+c"), key.WithHelp("Ctrl+C", "leave at once")),
			Done: bind("start", "enter"), Stop: bind("not now", "esc"),
		},
	}
}

// renew shows a new list, with the mark on the same case where it is still
// there.
func (d *desk) renew(items []DeskItem) {
	path := ""
	if d.cursor < len(d.items) {
		path = d.items[d.cursor].Path
	}
	d.items = items
	d.cursor = max(0, min(d.cursor, len(items)-1))
	for i, it := range items {
		if it.Path == path {
			d.cursor = i
		}
	}
}

// Init implements tea.Model.
func (d *desk) Init() tea.Cmd { return nil }

// Update implements tea.Model.
func (d *desk) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		d.w, d.h = msg.Width, msg.Height
		if d.field != nil {
			d.field.resize(d.w - 2)
		}
	case tea.KeyMsg:
		for _, k := range single(msg, d.field != nil) {
			if d.press(k) {
				return d, tea.Quit
			}
		}
	}
	return d, nil
}

// press takes one key and tells whether the desk is done with.
func (d *desk) press(msg tea.KeyMsg) bool {
	is := func(b key.Binding) bool { return key.Matches(msg, b) }
	d.msg = ""
	if is(d.keys.AtOnce) {
		d.choice = DeskChoice{Quit: true, AtOnce: true}
		return true
	}
	if d.field != nil {
		return d.typeTitle(msg)
	}
	switch {
	case msg.Paste:
	case is(d.keys.Leave):
		return true
	case is(d.keys.Up):
		d.cursor = max(0, d.cursor-1)
	case is(d.keys.Down):
		d.cursor = max(0, min(d.cursor+1, len(d.items)-1))
	case is(d.keys.New):
		check := func(s string) error {
			if strings.TrimSpace(s) == "" {
				return errors.New("a title is wanted, such as: kitchen extension, drip at the skylight")
			}
			return nil
		}
		d.field = newField(d.th, "title", "Title of the new case", "One line that you will know it by.", d.title, d.w-2, check)
	case is(d.keys.Open) && len(d.items) == 0:
		d.msg = "There is no case yet. n starts one."
	case is(d.keys.Open):
		it := d.items[d.cursor]
		if it.Err != "" {
			d.msg = "This file cannot be read: " + it.Err
			return false
		}
		d.choice = DeskChoice{Path: it.Path}
		return true
	}
	return false
}

func (d *desk) typeTitle(msg tea.KeyMsg) bool {
	switch {
	case key.Matches(msg, d.keys.Done):
		title, ok := d.field.submit()
		if !ok {
			return false
		}
		d.field, d.title = nil, ""
		d.choice = DeskChoice{New: true, Title: strings.TrimSpace(title)}
		return true
	case key.Matches(msg, d.keys.Stop):
		d.field = nil
	default:
		d.title = d.field.press(msg)
	}
	return false
}

// View implements tea.Model.
func (d *desk) View() string {
	if d.w < leastWide || d.h < leastTall {
		return strings.Join(tooSmall(d.w, d.h), "\n")
	}
	t := d.th
	top := []string{spread(t.mark.Render(" underlap ")+" "+t.bold.Render("Desk"), explain.Count(len(d.items), "case"), d.w)}
	top = append(append(top, notice(d.notice, t, d.w)...), "")
	keys := []key.Binding{d.keys.Open, d.keys.New, d.keys.Up, d.keys.Down, d.keys.Leave}
	if d.field != nil {
		keys = []key.Binding{d.keys.Done, d.keys.Stop, d.keys.AtOnce}
	}
	foot := []string{t.error.Render(fit(d.msg, d.w)), joinHints(t, keys, d.w)}
	if d.field != nil {
		top = append(top, d.field.lines(t, d.w)...)
		top = append(top, "")
	}
	pg := page{}
	for i, it := range d.items {
		from := len(pg.body)
		pg.body = append(pg.body, d.row(it, i == d.cursor)...)
		if i == d.cursor {
			pg.keepFrom, pg.keepTo = from, len(pg.body)
		}
	}
	if len(d.items) == 0 {
		pg.body = wrap("No cases here yet. Press n to start one.", d.w)
	}
	body, _, _ := window(pg, d.h-len(top)-len(foot), 0, t)
	lines := append(top, body...)
	for len(lines) < d.h-len(foot) {
		lines = append(lines, "")
	}
	lines = append(lines, foot...)
	for i := range lines {
		lines[i] = fit(lines[i], d.w)
	}
	return strings.Join(lines[:min(len(lines), d.h)], "\n")
}

// row is one case: its title and age, then why it is urgent and what it waits
// for.
func (d *desk) row(it DeskItem, selected bool) []string {
	t := d.th
	point, style := "  ", t.plain
	if selected {
		point, style = "> ", t.bold
	}
	title := it.Title
	if title == "" {
		title = it.Path
	}
	age := it.Age
	out := []string{spread(t.key.Render(point)+style.Render(fit(title, d.w-len([]rune(age))-4)), t.dim.Render(age), d.w)}
	if it.Err != "" {
		return append(append(out, labelled("  Cannot be read: ", it.Err, d.w, t.error, t.plain)...), "")
	}
	if it.Urgent != "" {
		urgent := labelled(" URGENT ", it.Urgent, d.w-2, t.alert, t.bold)
		for i := range urgent {
			urgent[i] = "  " + urgent[i]
		}
		out = append(out, urgent...)
	}
	line := it.State
	if it.Waits != "" {
		if line != "" {
			line += "; "
		}
		line += "waits for " + it.Waits
	}
	if line != "" {
		out = append(out, labelled("  ", upperFirst(line), d.w, t.dim, t.dim)...)
	}
	return append(out, "")
}

// String helps a failing test say what was picked.
func (c DeskChoice) String() string {
	switch {
	case c.New:
		return fmt.Sprintf("new %q", c.Title)
	case c.Path != "":
		return "open " + c.Path
	default:
		return "quit"
	}
}
