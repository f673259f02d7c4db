package tui

// help lists every key. It is made from the key map alone.
func (s scene) help() page {
	t := s.th
	block := func(g group) []string {
		out := []string{t.title.Render(g.name)}
		for _, k := range g.keys {
			if !k.Enabled() {
				continue
			}
			out = append(out, "  "+t.key.Render(pad(k.Help().Key, 7))+k.Help().Desc)
		}
		return append(out, "")
	}
	groups := s.keys.groups()
	if s.w < 76 {
		var body []string
		for _, g := range groups {
			body = append(body, block(g)...)
		}
		return page{body: body}
	}
	n := 0
	for _, g := range groups {
		n += len(g.keys) + 2
	}
	var left, right []string
	for _, g := range groups {
		if len(left) < n/2 {
			left = append(left, block(g)...)
		} else {
			right = append(right, block(g)...)
		}
	}
	cw := (s.w - 2) / 2
	return page{body: beside("  ", [][]string{left, right}, []int{cw, cw})}
}
