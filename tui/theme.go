package tui

import (
	"github.com/charmbracelet/huh"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// theme holds every style in use. Only the 16 palette colours appear, so the
// user's own terminal colours decide. Nothing is told by colour alone.
type theme struct {
	plain, dim, bold, title, say, key, mark, alert, good, poor, bad, bar, error lipgloss.Style
}

// newTheme makes the styles for one renderer. Without colour, bold, faint and
// reverse remain.
func newTheme(r *lipgloss.Renderer, noColor bool) *theme {
	style := func() lipgloss.Style { return r.NewStyle() }
	ink := func(code string) lipgloss.Style {
		if noColor {
			return style()
		}
		return style().Foreground(lipgloss.Color(code))
	}
	// Black on yellow reads on a dark and on a light terminal; without colour the
	// badge is reversed.
	alert := style().Bold(true).Foreground(lipgloss.Color("0")).Background(lipgloss.Color("11"))
	if noColor {
		alert = style().Bold(true).Reverse(true)
	}
	return &theme{
		plain: style(),
		dim:   style().Faint(true),
		bold:  style().Bold(true),
		title: ink("6").Bold(true),
		say:   style().Bold(true),
		key:   ink("6").Bold(true),
		mark:  style().Reverse(true),
		alert: alert,
		good:  ink("2"),
		poor:  ink("3").Bold(true), // bold, or it is faint on a light terminal
		bad:   ink("1").Bold(true),
		bar:   ink("4"),
		error: ink("9").Bold(true),
	}
}

// newRenderer makes a renderer that never asks the terminal anything. The
// profile is set even without colour: a colourless profile would drop bold and
// reverse too, and with them the text cursor.
func newRenderer() *lipgloss.Renderer {
	r := lipgloss.NewRenderer(nullWriter{})
	r.SetColorProfile(termenv.ANSI)
	r.SetHasDarkBackground(true)
	return r
}

// nullWriter stands for a terminal; styles are only turned into text here.
type nullWriter struct{}

func (nullWriter) Write(p []byte) (int, error) { return len(p), nil }

// fieldTheme gives a typed field the styles of the theme and no border.
func (t *theme) fieldTheme() *huh.Theme {
	h := &huh.Theme{}
	text := huh.TextInputStyles{
		Cursor: t.plain, CursorText: t.plain, Placeholder: t.dim, Prompt: t.key, Text: t.bold,
	}
	h.Focused = huh.FieldStyles{Base: t.plain, Title: t.plain, Description: t.plain, TextInput: text}
	h.Blurred = h.Focused
	return h
}

// verdict styles the word of a finding.
func (t *theme) verdict(v string) lipgloss.Style {
	switch v {
	case "good":
		return t.good
	case "poor":
		return t.poor
	case "bad":
		return t.bad
	default:
		return t.dim
	}
}
