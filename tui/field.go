package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/huh"
)

// field is one typed entry: an answer, a note or a title. It drives a single
// huh input by hand. What is typed is kept as a draft beside it, so leaving the
// field or changing the size of the window loses nothing.
//
// The commands of the input are dropped on purpose: they only blink the cursor
// and read the clipboard in the background. The cursor stands still instead.
type field struct {
	name  string // key of the draft
	label string
	hint  string
	note  bool
	start string // what stood before the field was opened, when that is no draft
	err   string
	input *huh.Input
	text  *string
}

// newField opens a field on a draft. check says what is wrong with a value.
func newField(t *theme, name, label, hint, draft string, w int, check func(string) error) *field {
	f := &field{name: name, label: label, hint: hint, text: &draft}
	f.input = huh.NewInput().Value(f.text).Prompt("> ").Validate(check)
	f.input.WithTheme(t.fieldTheme())
	f.input.Init()
	f.input.Focus()
	f.resize(w)
	return f
}

// press feeds one key and returns what now stands in the field.
func (f *field) press(msg tea.KeyMsg) string {
	f.err = ""
	f.input.Update(msg)
	return *f.text
}

// submit checks the entry. On an error the field stays open with the words in
// it, and the error stands below.
func (f *field) submit() (string, bool) {
	f.input.Blur() // stores and checks
	if err := f.input.Error(); err != nil {
		f.err = err.Error()
		f.input.Focus()
		return "", false
	}
	return *f.text, true
}

// resize sets the room for the words. The input only looks again at what is in
// sight when a key comes, so it is given one that does nothing.
func (f *field) resize(w int) {
	f.input.WithWidth(max(w, 8))
	f.input.Update(tea.KeyMsg{Type: tea.KeyF20})
}

// lines draws the field with its label, its hint, and its error below.
func (f *field) lines(t *theme, w int) []string {
	out := styled(wrap(f.label, w), t.title)
	entry, _, _ := strings.Cut(f.input.View(), "\n")
	out = append(out, fit(entry, w))
	if f.err != "" {
		return append(out, labelled("! ", upperFirst(f.err), w, t.error, t.error)...)
	}
	return append(out, styled(wrap(f.hint, w), t.dim)...)
}
