package tui

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"

	"underlap/diagnose/explain"
)

// wrap breaks plain text into lines of at most w columns.
func wrap(s string, w int) []string {
	s = strings.TrimSpace(s)
	if s == "" {
		return nil
	}
	return strings.Split(ansi.Wrap(s, max(w, 1), ""), "\n")
}

// styled puts a style on each line by itself, so that lines stay independent.
func styled(lines []string, st lipgloss.Style) []string {
	out := make([]string, len(lines))
	for i, l := range lines {
		out[i] = st.Render(l)
	}
	return out
}

// labelled wraps text with a label before the first line and the rest hung
// below it.
func labelled(label, text string, w int, labelStyle, textStyle lipgloss.Style) []string {
	lw := lipgloss.Width(label)
	lines := wrap(text, w-lw)
	for i := range lines {
		head := strings.Repeat(" ", lw)
		if i == 0 {
			head = labelStyle.Render(label)
		}
		lines[i] = head + textStyle.Render(lines[i])
	}
	return lines
}

// fit cuts a line to w columns and marks the cut.
func fit(s string, w int) string {
	if w <= 0 {
		return ""
	}
	if lipgloss.Width(s) <= w {
		return s
	}
	return ansi.Truncate(s, w, "…")
}

// pad makes a line exactly w columns wide.
func pad(s string, w int) string {
	s = fit(s, w)
	if n := w - lipgloss.Width(s); n > 0 {
		s += strings.Repeat(" ", n)
	}
	return s
}

// spread puts one text at the left and one at the right of a line of w columns.
// The right one gives way first.
func spread(left, right string, w int) string {
	room := w - lipgloss.Width(left) - 1
	if room < 4 || right == "" {
		return fit(left, w)
	}
	right = fit(right, room)
	gap := w - lipgloss.Width(left) - lipgloss.Width(right)
	return left + strings.Repeat(" ", gap) + right
}

// beside joins columns of lines with a gap; each column has its own width.
func beside(gap string, cols [][]string, widths []int) []string {
	n := 0
	for _, c := range cols {
		n = max(n, len(c))
	}
	out := make([]string, n)
	for i := range out {
		var b strings.Builder
		for k, c := range cols {
			if k > 0 {
				b.WriteString(gap)
			}
			l := ""
			if i < len(c) {
				l = c[i]
			}
			b.WriteString(pad(l, widths[k]))
		}
		out[i] = strings.TrimRight(b.String(), " ")
	}
	return out
}

// bar draws a share in w columns, in eighths of a column: a narrow bar still tells
// 36 % from 22 %. The number always stands beside it.
func bar(p float64, w int) string {
	if math.IsNaN(p) {
		p = 0
	}
	n := max(0, min(8*w, int(math.Round(p*8*float64(w)))))
	full, rest := n/8, n%8
	out := strings.Repeat("█", full)
	if rest > 0 {
		out += string([]rune("▏▎▍▌▋▊▉")[rest-1])
		full++
	}
	return out + strings.Repeat("·", w-full)
}

// percent words a share.
func percent(p float64) string { return explain.Percent(p) }

// shortPercent is percent in at most five columns, for a table.
func shortPercent(p float64) string {
	return strings.NewReplacer("under ", "<", "over ", ">").Replace(percent(p))
}

// padLeft puts text at the right of w columns.
func padLeft(text string, w int) string {
	return strings.Repeat(" ", max(0, w-lipgloss.Width(text))) + text
}

// mm words a length in millimetres.
func mm(metres float64) string {
	if v := metres * 1000; v > 0 && v < 1 {
		return "<1 mm"
	}
	return fmt.Sprintf("%.0f mm", metres*1000)
}

// number words a finding's value with the digits it deserves.
func number(x float64) string {
	a := math.Abs(x)
	switch {
	case math.IsNaN(x) || math.IsInf(x, 0):
		return "not known"
	case a >= 100:
		return explain.Thousands(x)
	case a >= 10, a == math.Trunc(a):
		return fmt.Sprintf("%.0f", x)
	case a >= 1:
		return fmt.Sprintf("%.1f", x)
	case a >= 0.01:
		return fmt.Sprintf("%.2f", x)
	default:
		return fmt.Sprintf("%.1g", x)
	}
}

// lead is the first phrase of a sentence: what stands before its colon or stop.
func lead(s string) string {
	if i := strings.IndexAny(s, ":."); i > 0 {
		return s[:i]
	}
	return s
}

// upperFirst starts a phrase with a capital.
func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
