package tui

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"github.com/charmbracelet/lipgloss"

	"underlap/diagnose/buildup"
)

// buildUp draws one way the roof may be built, to scale, with the shares of the
// types beside it.
func (s scene) buildUp() page {
	b := s.r.BuildUp
	if b == nil || len(b.Stacks) == 0 {
		return page{body: styled(wrap("Nothing is known of the build-up yet. The two tape readings at the skylight tell most.", s.w), s.th.dim)}
	}
	n := max(0, min(s.p.stack, len(b.Stacks)-1))
	st := b.Stacks[n]
	head := fmt.Sprintf("%s, %s thick in all.", typeName(b, st.Type), mm(st.Total))
	if len(b.Stacks) > 1 {
		head += fmt.Sprintf(" ← → build-up %d of %d, share %s.", n+1, len(b.Stacks), percent(st.P))
	}
	pg := page{head: append(styled(wrap(head, s.w), s.th.title), "")}
	room := s.h - len(pg.head)
	lw, draw := 46, 8
	if s.w >= wide {
		lw, draw = s.w/2, 12
	}
	rw := s.w - lw - 2
	left := stackLines(s.th, st, lw, draw, max(room-3, len(st.Layers)))
	left = append([]string{s.th.dim.Render("outside")}, left...)
	left = append(left, s.th.dim.Render("room"))
	if room > len(left)+1 {
		left = append(left, s.th.dim.Render(fit(scaleNote(st, max(room-3, len(st.Layers))), lw)))
	}
	pg.body = beside("  ", [][]string{left, s.buildUpFacts(b, st, rw)}, []int{lw, rw})
	return pg
}

// buildUpFacts is what stands beside the drawing.
func (s scene) buildUpFacts(b *buildup.Result, st buildup.Stack, w int) []string {
	t := s.th
	var out []string
	add := func(lines ...string) { out = append(out, lines...) }
	add(t.title.Render("Type"))
	add(s.shares(b, w, len(b.Types))...)
	for _, p := range b.Problems {
		add(labelled("! ", p.Text, w, t.error, t.error)...)
	}
	add("")
	if b.Joined != nil {
		add(t.title.Render("Thickness"))
		add(s.thickness(b, st, w)...)
	} else {
		add(wrap("Not measured. The drawing is what is usual, not what is there.", w)...)
		for _, e := range b.Expected {
			if e.Type == st.Type {
				add(wrap(fmt.Sprintf("This type, of that time, is usually %s to %s thick.", mm(e.Low), mm(e.High)), w)...)
			}
		}
		for _, u := range b.Used {
			add(styled(wrap(usedWords(u), w), t.dim)...)
		}
	}
	if len(b.Settle) > 0 {
		add("", t.title.Render("What would settle it"))
		for i, l := range b.Settle {
			add(labelled(fmt.Sprintf("%d ", i+1), l.Text, w, t.key, t.plain)...)
		}
	}
	return out
}

// thickness is what the readings say, how the drawn stack meets them, and what is left
// over.
func (s scene) thickness(b *buildup.Result, st buildup.Stack, w int) []string {
	t := s.th
	var out []string
	add := func(lines ...string) { out = append(out, lines...) }
	j := b.Joined
	name := "Measured "
	if len(b.Used) > 1 {
		name = "All readings "
	}
	add(fit(name+s.fig("build-up/thickness", fmt.Sprintf("%s ± %s", mm(j.M), mm(2*j.SD))), w))
	add(fit("This one adds up to "+mm(st.Total), w))
	add(fit(gapWords(st.Gap), w))
	if !b.Closes {
		add(labelled("! ", "Fits nothing within "+mm(b.Closure)+". Do not round it: ask for the joist depth, or a second opening.", w, t.error, t.bold)...)
	} else if math.Abs(st.Gap) <= b.Closure {
		add(fit("Explained within "+mm(b.Closure)+".", w))
	}
	if b.Residual != nil {
		add(wrap("Left over: "+s.fig("build-up/residual", b.Residual.Words()), w)...)
	}
	add(wrap("Left in this one, less its ceiling, joist, deck and covering: "+signedMM(st.Residual), w)...)
	if m := b.Measured; m != nil && m.HasFall {
		add(wrap(fallWords(m.Fall), w)...)
	}
	if u, ok := b.UsualOf(st.Type); ok {
		add(wrap(upperFirst(u.Against(j.M))+".", w)...)
	}
	for _, u := range b.Used {
		if math.Abs(u.Off) > oddSD {
			add(labelled("! ", usedWords(u)+", at odds with the rest", w, t.error, t.bold)...)
			continue
		}
		add(styled(wrap(usedWords(u), w), t.dim)...)
	}
	return out
}

// oddSD is how many of its errors a reading lies from the others before it is marked.
const oddSD = 3

// usedWords words one reading; the two ends of a pair stand behind it.
func usedWords(u buildup.Used) string {
	if u.M == 0 {
		return u.Name + ": " + u.Says
	}
	s := fmt.Sprintf("%s: %.0f ± %s", u.Name, u.M*1000, mm(2*u.SD))
	if strings.Contains(u.Says, " less ") {
		s += " (" + u.Says + ")"
	}
	return s
}

// shares lists the likeliest types with bars.
func (s scene) shares(b *buildup.Result, w, most int) []string {
	cells := max(4, min(12, w-56))
	nw := max(10, min(48, w-cells-11)) // room is kept for the mark of a figure
	row := func(i int, name string, p float64) string {
		value := shortPercent(p)
		if i == 0 {
			value = s.fig(s.r.What.Why, value)
		}
		if lipgloss.Width(name) > nw {
			name = lead(name)
		}
		return pad(name, nw) + " " + s.th.bar.Render(bar(p, cells)) + " " + padLeft(value, 5)
	}
	var out []string
	for i, t := range b.Types {
		if i < most {
			out = append(out, fit(row(i, t.Name, t.P), w))
		}
	}
	if most >= len(b.Types) {
		out = append(out, fit(row(len(b.Types), "none of these", b.NotListed), w))
	}
	return out
}

// buildUpSmall is the drawing for the reading: the likeliest stack and the two
// likeliest types.
func (s scene) buildUpSmall(w, rows int) []string {
	b := s.r.BuildUp
	if b == nil || len(b.Stacks) == 0 {
		return nil
	}
	st := b.Stacks[0]
	var head string
	if b.Joined != nil {
		head = fmt.Sprintf("Measured %s, this adds up to %s", s.fig("build-up/thickness", mm(b.Joined.M)), mm(st.Total))
	} else {
		head = fmt.Sprintf("Not measured; usual is about %s", mm(st.Total))
	}
	out := []string{fit(head, w)}
	out = append(out, stackLines(s.th, st, w, 6, rows)...)
	out = append(out, s.shares(b, w, 2)...)
	for _, p := range b.Problems {
		out = append(out, labelled("! ", p.Text, w, s.th.error, s.th.error)...)
	}
	return out
}

// stackLines draws a stack from the roof surface down to the ceiling. Each
// layer has at least one line; what is left of the lines follows the thickness.
func stackLines(t *theme, st buildup.Stack, w, draw, lines int) []string {
	heights := layerHeights(st, lines)
	var out []string
	for i := len(st.Layers) - 1; i >= 0; i-- {
		l := st.Layers[i]
		for k := range heights[i] {
			label := ""
			if k == (heights[i]-1)/2 {
				label = fmt.Sprintf("%6s  %s", mm(l.M), l.Name)
			}
			out = append(out, fit(t.bar.Render(pattern(l.Role, draw))+" "+label, w))
		}
	}
	return out
}

// layerHeights shares lines out among layers: one each, the rest by thickness,
// the largest remainders first.
func layerHeights(st buildup.Stack, lines int) []int {
	n := len(st.Layers)
	out := make([]int, n)
	total := 0.0
	for _, l := range st.Layers {
		total += l.M
	}
	if n == 0 || total <= 0 {
		return out
	}
	type part struct {
		i    int
		want float64
	}
	parts := make([]part, n)
	left := lines
	for i, l := range st.Layers {
		want := float64(lines) * l.M / total
		out[i] = max(1, int(math.Floor(want)))
		left -= out[i]
		parts[i] = part{i, want - float64(out[i])}
	}
	sort.SliceStable(parts, func(a, b int) bool { return parts[a].want > parts[b].want })
	for _, p := range parts {
		if left <= 0 {
			break
		}
		out[p.i]++
		left--
	}
	for left < 0 { // thin layers took more than their share: the thickest gives way
		thick := 0
		for i := range out {
			if out[i] > out[thick] {
				thick = i
			}
		}
		if out[thick] <= 1 {
			break
		}
		out[thick]--
		left++
	}
	return out
}

// scaleNote says how much a line of the drawing stands for.
func scaleNote(st buildup.Stack, lines int) string {
	return fmt.Sprintf("a line is about %s; thin layers drawn thicker", mm(st.Total/float64(max(1, lines))))
}

// pattern fills a line of the drawing. Layers differ by shape, not by colour.
func pattern(role string, w int) string {
	inside := max(0, w-2)
	rep := func(s string) string { return strings.Repeat(s, w) }
	switch role {
	case "covering":
		return rep("▄")
	case "ballast":
		return strings.Repeat("o ", (w+1)/2)[:w]
	case "board", "under-board":
		return rep("▒")
	case "vapour-layer":
		return rep("─")
	case "deck":
		return rep("█")
	case "firring":
		return rep("/")
	case "void":
		return "║" + strings.Repeat(" ", inside) + "║"
	case "joist-insulation":
		return "║" + strings.Repeat("░", inside) + "║"
	case "ceiling":
		return rep("▀")
	default:
		return rep("·")
	}
}

func typeName(b *buildup.Result, id string) string {
	for _, t := range b.Types {
		if t.Type == id {
			return t.Name
		}
	}
	return id
}

// gapWords says how far the sum is from the readings.
func gapWords(gap float64) string {
	switch v := math.Round(gap * 1000); {
	case v == 0:
		return "That meets the readings."
	case v > 0:
		return fmt.Sprintf("The readings say %.0f mm more.", v)
	default:
		return fmt.Sprintf("The readings say %.0f mm less.", -v)
	}
}

// signedMM words a difference that may be below nothing.
func signedMM(m float64) string { return fmt.Sprintf("%.0f mm", m*1000) }

// fallWords words a fall as 1 in so many.
func fallWords(f float64) string {
	if f < 1e-4 {
		return "The two sides are level."
	}
	return fmt.Sprintf("Fall between the two sides: 1 in %.0f", 1/f)
}
