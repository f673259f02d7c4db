package tui

import "strings"

// letterPage shows the reply as it would be sent.
func (s scene) letterPage() page {
	if s.letter == "" {
		return page{body: styled(wrap("There is no letter to show here.", s.w), s.th.dim)}
	}
	pg := page{head: []string{s.th.say.Render(fit(s.heading, s.w)), ""}}
	w := min(s.w, 84)
	for _, l := range strings.Split(strings.TrimRight(s.letter, "\n"), "\n") {
		lines := wrap(l, w)
		if len(lines) == 0 {
			lines = []string{""}
		}
		if in := len(l) - len(strings.TrimLeft(l, " ")); in > 0 && in < w/2 {
			for i, x := range wrap(l, w-in) {
				if i == 0 {
					lines = nil
				}
				lines = append(lines, strings.Repeat(" ", in)+x)
			}
		}
		pg.body = append(pg.body, lines...)
	}
	return pg
}
