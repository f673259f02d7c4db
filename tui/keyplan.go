package tui

// keyPlan draws the nine keys of a plan as they lie on the roof.
func keyPlan(t *theme, w int) []string {
	var out []string
	for _, l := range []string{
		"══════════ house wall",
		" 1  2  3   left to right, as you face the house",
		" 4  5  6   half-way out",
		" 7  8  9   by the garden",
	} {
		out = append(out, "  "+t.key.Render(fit(l, w-2)))
	}
	return out
}
