package tui

import (
	"fmt"
	"math"
	"strings"

	"underlap/diagnose/entry"
	"underlap/diagnose/explain"
)

// shades fill the plan by how likely the water gets in there; they differ by shape. A part
// is shaded by its share of the likeliest part's.
var shades = []struct {
	from  float64
	glyph string
}{{0.6, "█"}, {0.3, "▓"}, {0.12, "▒"}, {0.04, "░"}, {0, "·"}}

// entryPage is the plan of the roof with where the water gets in, the places by share,
// and the order in which to hose them.
func (s scene) entryPage() page {
	m := s.r.Entry
	if m == nil {
		text := "Nothing is known of the plan yet. Give the length along the house and the depth, which way it falls, and where it shows: " + name(s.keys.Jump) + ", then type plan."
		return page{body: styled(wrap(text, s.w), s.th.dim)}
	}
	t := s.th
	var pg page
	for _, c := range m.Not {
		if c.What == "hose" { // nothing below may be done before that
			pg.head = append(pg.head, labelled("! ", c.Says, s.w, t.error, t.error)...)
		}
	}
	head := "If it gets in from outside (" + s.fig(entry.MapWhy, explain.Percent(m.Outside)) + "), likeliest here: " + m.Best() + "."
	if !m.Worth() {
		head = "Water made or held indoors is likelier, and a hose is not the test for that. " + head
	}
	if len(m.Plan.Stains) == 0 {
		head = "No stain is on the plan yet, so this is only where the likely causes sit. " + head
	}
	pg.head = append(pg.head, styled(wrap(head, s.w), t.title)...)
	pg.head = append(pg.head, "")

	lw := 40
	if s.w >= wide {
		lw = s.w * 45 / 100
	}
	rw := s.w - lw - 2
	rows := 10
	if s.h > 30 {
		rows = s.h/2 - 4
	}
	left := append(planLines(t, m, lw, rows), planLegend(t, &m.Plan, lw)...)
	pg.body = beside("  ", [][]string{left, s.entryPlaces(m, rw)}, []int{lw, rw})
	pg.body = append(pg.body, "")
	pg.body = append(pg.body, s.hoseLines(m)...)
	return pg
}

// entryPlaces lists the named places and what is not told of the plan.
func (s scene) entryPlaces(m *entry.Map, w int) []string {
	t := s.th
	out := []string{t.title.Render("Places")}
	rest := 1.0
	for _, z := range m.Named() {
		rest -= z.Share
		value := padLeft(s.fig(z.Why, explain.Percent(z.Share)), 5)
		out = append(out, labelled(value+" ", z.Name, w, t.bold, t.plain)...)
	}
	if rest > 0.005 {
		out = append(out, labelled(padLeft(explain.Percent(rest), 5)+" ", "elsewhere, in small parts", w, t.dim, t.dim)...)
	}
	if len(m.Assumed) > 0 {
		out = append(out, "", t.title.Render("Assumed, for nobody told"))
		for _, a := range m.Assumed {
			out = append(out, labelled("- ", a, w, t.dim, t.plain)...)
		}
	}
	var open []string
	for _, st := range s.steps {
		if st.Question.FeedsInto("entry") && st.State == "open" {
			open = append(open, strings.ToLower(st.Question.Short[:1])+st.Question.Short[1:])
		}
	}
	if len(open) > 0 {
		out = append(out, "")
		out = append(out, labelled("Ask: ", strings.Join(open, "; "), w, t.title, t.dim)...)
	}
	return out
}

// hoseLines are the cautions and then the order.
func (s scene) hoseLines(m *entry.Map) []string {
	t := s.th
	if !m.Worth() {
		return styled(wrap("No order to hose: it hardly gets in from outside.", s.w), t.title)
	}
	out := styled(wrap("Order to hose: lowest and smallest first, walls last. Stop at the first drip, then still try the next two.", s.w), t.title)
	for _, c := range m.Not {
		if c.What != "hose" {
			out = append(out, labelled("! ", c.Says, s.w, t.error, t.plain)...)
		}
	}
	if m.NoHose {
		out = append(out, t.error.Render("Not yet: see above. The order for when it is safe:"))
	}
	if len(m.Hose) == 0 {
		out = append(out, styled(wrap("No place on the plan has a share worth a test.", s.w), t.dim)...)
	}
	for i, x := range m.Hose {
		label := fmt.Sprintf("%2d  ", i+1)
		times := fmt.Sprintf("hose %.0f min, wait %.0f in all", x.Hose, x.Wait)
		if x.Flood > 0 {
			times += fmt.Sprintf(", or a flood of at most %.0f mm", x.Flood)
		}
		out = append(out, labelled(label, x.Name+" ("+explain.Percent(x.Share)+"): "+times+"; "+explain.Percent(x.Shown)+" of leaks there show by then", s.w, t.key, t.plain)...)
		if s.w >= wide {
			out = append(out, labelled("    ", x.How+".", s.w, t.dim, t.dim)...)
		}
	}
	return out
}

// planLines draws the plan to scale: a column is half as wide as a row is high.
func planLines(t *theme, m *entry.Map, w, rows int) []string {
	p := &m.Plan
	cols := w - len(" garden") - 2                                // room for the sides and their names
	per := math.Max(p.Along/float64(cols), p.Out/float64(rows)/2) // metres a column
	nx := max(3, min(cols, int(math.Round(p.Along/per))))
	ny := max(3, min(rows, int(math.Round(p.Out/per/2))))
	hx, hy := p.Along/float64(nx), p.Out/float64(ny)
	parts, most := make([][]float64, ny), 0.0
	for j := range parts {
		parts[j] = make([]float64, nx)
		for i := range parts[j] {
			v := m.In(float64(i)*hx, float64(j)*hy, float64(i+1)*hx, float64(j+1)*hy)
			parts[j][i] = v
			most = math.Max(most, v)
		}
	}
	// A mark takes three columns: in brackets it is seen on any shade, with or without
	// colour.
	marks := map[[2]int]string{}
	put := func(list []entry.Mark, glyph func(int) string) {
		for n, k := range list {
			i, j := max(1, min(nx-2, int(k.X/hx))), min(ny-1, int(k.Y/hy))
			marks[[2]int{i - 1, j}], marks[[2]int{i, j}], marks[[2]int{i + 1, j}] = "[", glyph(n), "]"
		}
	}
	put(p.Pipes, func(int) string { return "P" })
	put(p.Outlets, func(int) string { return "O" })
	put(p.Rooflights, func(int) string { return "R" })
	put(p.Stains, func(n int) string { return fmt.Sprint(n + 1) }) // on top of all else
	top, _ := sideGlyph(p.Sides[entry.House])
	out := []string{strings.Repeat(top, nx+2) + t.dim.Render(" house")}
	_, left := sideGlyph(p.Sides[entry.Left])
	_, right := sideGlyph(p.Sides[entry.Right])
	for j, row := range parts {
		var b strings.Builder
		b.WriteString(left)
		for i, v := range row {
			if k, ok := marks[[2]int{i, j}]; ok {
				b.WriteString(t.bold.Render(k))
				continue
			}
			b.WriteString(t.bar.Render(shadeOf(v, most)))
		}
		b.WriteString(right)
		out = append(out, b.String())
	}
	bottom, _ := sideGlyph(p.Sides[entry.Garden])
	return append(out, strings.Repeat(bottom, nx+2)+t.dim.Render(" garden"))
}

func shadeOf(v, most float64) string {
	for _, s := range shades {
		if most > 0 && v >= s.from*most {
			return s.glyph
		}
	}
	return " "
}

// sideGlyph draws a side of the plan, lying and upright.
func sideGlyph(kind string) (lying, upright string) {
	switch kind {
	case entry.Wall:
		return "═", "║"
	case entry.Tiles:
		return "^", "^"
	case entry.Parapet:
		return "╬", "╬"
	default:
		return "─", "│"
	}
}

// planLegend says what the drawing holds, and no more than it holds.
func planLegend(t *theme, p *entry.Plan, w int) []string {
	var shade []string
	for _, s := range shades {
		shade = append(shade, s.glyph)
	}
	parts := []string{strings.Join(shade, " ") + " most to least likely"}
	if n := len(p.Stains); n == 1 {
		parts = append(parts, "[1] where it shows")
	} else if n > 1 {
		parts = append(parts, fmt.Sprintf("[1]-[%d] where it shows", n))
	}
	for _, x := range []struct {
		glyph, what string
		n           int
	}{{"R", "skylight", len(p.Rooflights)}, {"O", "outlet", len(p.Outlets)}, {"P", "pipe", len(p.Pipes)}} {
		if x.n > 0 {
			parts = append(parts, "["+x.glyph+"] "+x.what)
		}
	}
	seen := map[string]bool{}
	for _, side := range []string{entry.House, entry.Left, entry.Right, entry.Garden} {
		kind := p.Sides[side]
		if seen[kind] {
			continue
		}
		seen[kind] = true
		lying, upright := sideGlyph(kind)
		glyph := lying
		if lying != upright {
			glyph += upright
		}
		what := kind
		if kind == entry.Edge {
			what = "open edge"
		}
		parts = append(parts, glyph+" "+what)
	}
	parts = append(parts, fallOf(p), joistsOf(p), fmt.Sprintf("%.3g m along, %.3g m out", p.Along, p.Out))
	var out []string
	for _, l := range flow(parts, "", ", ", w) {
		out = append(out, t.dim.Render(fit(l, w)))
	}
	return out
}

// fallOf words the fall with an arrow.
func fallOf(p *entry.Plan) string {
	text := ""
	switch p.Fall {
	case entry.Garden:
		text = "↓ falls to the garden"
	case entry.House:
		text = "↑ falls to the house"
	case entry.Left:
		text = "← falls to the left"
	case entry.Right:
		text = "→ falls to the right"
	default:
		return "level"
	}
	if p.Rate > 0 {
		text += fmt.Sprintf(", 1 in %.0f", 1/p.Rate)
	}
	if !p.FallTold {
		text += " (assumed)"
	}
	return text
}

func joistsOf(p *entry.Plan) string {
	text := "joists run out from the house"
	if p.Joists == "along" {
		text = "joists run along the house"
	}
	if !p.JoistsTold {
		text += " (assumed)"
	}
	return text
}
