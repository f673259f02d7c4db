package tui

// why tells where one figure comes from.
func (s scene) why() page {
	w, ok := s.r.WhyOf(s.p.why)
	if !ok {
		return page{body: styled(wrap("This figure is gone: the answers have changed since.", s.w), s.th.dim)}
	}
	t := s.th
	pg := page{head: styled(wrap(w.Title, s.w), t.say)}
	put := func(label, text string) {
		if text != "" {
			pg.body = append(pg.body, labelled(label, text, s.w, t.title, t.plain)...)
		}
	}
	put("Result   ", w.Result)
	pg.body = append(pg.body, "")
	put("Formula  ", w.Formula)
	if len(w.Inputs) > 0 {
		pg.body = append(pg.body, "", t.title.Render("From"))
		nw := min(36, s.w*2/5)
		for _, in := range w.Inputs {
			value := in.Value
			if in.From != "" {
				value += "  (" + in.From + ")"
			}
			name := wrap(in.Name, nw-2)
			lines := wrap(value, s.w-nw-2)
			for i := range max(len(name), len(lines)) {
				l, r := "", ""
				if i < len(name) {
					l = name[i]
				}
				if i < len(lines) {
					r = lines[i]
				}
				pg.body = append(pg.body, "  "+pad(l, nw-2)+"  "+r)
			}
		}
	}
	pg.body = append(pg.body, "")
	put("Band from ", w.Band)
	put("Source   ", w.Source)
	put("Note     ", w.Note)
	return pg
}
