package tui

// findings lists what physics says of this roof.
func (s scene) findings() page {
	if len(s.r.Findings) == 0 {
		return page{body: styled(wrap("Nothing can be worked out yet. The place, the room and the build-up are wanted first.", s.w), s.th.dim)}
	}
	t := s.th
	var body []string
	if s.r.Place != "" {
		body = append(body, styled(wrap("Weather of "+s.r.Place+". The figures in brackets hold nine times out of ten.", s.w), t.dim)...)
		body = append(body, "")
	}
	if s.hourly != "" {
		body = append(body, styled(wrap(s.hourly, s.w), t.plain)...)
		body = append(body, "")
	}
	for _, f := range s.r.Findings {
		head := t.bold.Render(f.Title)
		if v := s.findingValue(f); v != "" {
			head += "  " + v
		}
		if w := verdictWord(f.Verdict); w != "" {
			head += "  " + t.verdict(f.Verdict).Render(verdictMark(f.Verdict)+f.Verdict)
		}
		body = append(body, fit(head, s.w))
		for _, l := range wrap(f.Text, s.w-2) {
			body = append(body, "  "+l)
		}
		if f.Driver != "" {
			for _, l := range wrap("Band mostly from: "+f.Driver+".", s.w-2) {
				body = append(body, t.dim.Render("  "+l))
			}
		}
		body = append(body, "")
	}
	return page{body: body}
}
