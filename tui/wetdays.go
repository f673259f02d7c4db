package tui

import (
	"fmt"
	"math"
	"strings"

	"underlap/diagnose/sightings"
)

// dayLabel is the width of the names at the left of the strip of days.
const dayLabel = 12

// wetDays shows the days on which it was wet or dry beside their weather, and what drives
// the water by that. It is a strip of days, one column each.
func (s scene) wetDays() page {
	t, r := s.th, s.r.Days
	if r == nil {
		return page{body: append(
			styled(wrap("No day is on record yet. Ask on which days it was wet, and on which they looked and it was dry; then look up the rain and the temperatures of those days and of the three before.", s.w), t.plain),
			append([]string{""}, styled(wrap(s.howToEnter(), s.w), t.dim)...)...)}
	}
	pg := page{body: styled(wrap(r.Text, s.w), t.bold)}
	pg.body = append(pg.body, styled(wrap(r.Hint, s.w), t.plain)...)
	pg.body = append(pg.body, "")
	pg.body = append(pg.body, s.strip(r.Record)...)
	if len(r.Drivers) > 0 {
		pg.body = append(pg.body, "", t.title.Render("What drives it, by these days"))
		nw := min(31, s.w-35)
		for i, d := range r.Drivers {
			value := percent(d.P)
			if i == 0 {
				value = s.fig("days", value)
			}
			line := "  " + pad(d.Name, nw) + " " + t.bar.Render(bar(d.P, 8)) + " " + padLeft(value, 10) + "  " + d.Hedge
			if d.Lag != nil && d.P >= 0.1 && s.w >= wide {
				line += t.dim.Render(", " + d.Lag.String())
			}
			pg.body = append(pg.body, fit(line, s.w))
		}
	}
	if seen := s.lastSeen(r.Record); len(seen) > 0 {
		pg.body = append(append(pg.body, "", t.title.Render("On record, last first")), seen...)
	}
	pg.body = append(pg.body, "")
	pg.body = append(pg.body, styled(wrap(s.howToEnter(), s.w), t.dim)...)
	return pg
}

func (s scene) howToEnter() string {
	return name(s.keys.Accept) + " opens a field: " + sightings.EntryLike + `. "underlap days CASE --weather FILE.csv" takes a file of daily weather.`
}

// lastSeen lists the days of which something was said.
func (s scene) lastSeen(record []sightings.Shown) (out []string) {
	for i := len(record) - 1; i >= 0; i-- {
		d := record[i]
		if d.Saw == "" {
			continue
		}
		text := d.Says
		if d.Rain != nil {
			text += fmt.Sprintf(" (%s mm of rain)", number(*d.Rain))
		}
		out = append(out, labelled("  "+d.Day.String()+"  ", text, s.w, s.th.dim, s.th.plain)...)
	}
	return out
}

// marks of what was seen. They tell themselves apart without colour.
var seenMarks = map[sightings.Saw]string{sightings.Drip: "W", sightings.Dry: "d", sightings.NotLooked: "?"}

// strip draws the last days that there is room for: rain, temperature, frost, and what was
// seen, with the dates below.
func (s scene) strip(record []sightings.Shown) []string {
	t := s.th
	if n := s.w - dayLabel - 1; len(record) > n {
		record = record[len(record)-n:]
	}
	tall := 2
	if s.h >= 22 {
		tall = 4
	}
	wettest, coldest, warmest := 0.0, math.Inf(1), math.Inf(-1)
	for _, d := range record {
		if d.Rain != nil {
			wettest = math.Max(wettest, *d.Rain)
		}
		if d.Temp != nil {
			coldest, warmest = math.Min(coldest, *d.Temp), math.Max(warmest, *d.Temp)
		}
	}
	row := func(label string, cell func(d sightings.Shown) string) string {
		var b strings.Builder
		for _, d := range record {
			b.WriteString(cell(d))
		}
		return t.dim.Render(padLeft(label, dayLabel)) + " " + b.String()
	}
	var out []string
	if wettest > 0 {
		for level := tall - 1; level >= 0; level-- {
			label := ""
			if level == tall-1 {
				label = "rain " + number(wettest) + " mm"
			}
			out = append(out, row(label, func(d sightings.Shown) string {
				if d.Rain == nil {
					return blankCell(level)
				}
				return block(*d.Rain/wettest*float64(tall)-float64(level), level == 0 && *d.Rain > 0)
			}))
		}
	}
	out = append(out, row("seen", func(d sightings.Shown) string {
		mark, ok := seenMarks[d.Saw]
		if !ok {
			return " "
		}
		if d.Saw == sightings.Drip {
			return t.bold.Render(mark)
		}
		return mark
	}))
	if !math.IsInf(coldest, 1) {
		out = append(out, row(fmt.Sprintf("%.0f to %.0f °C", coldest, warmest), func(d sightings.Shown) string {
			if d.Temp == nil {
				return blankCell(0)
			}
			return block((*d.Temp-coldest)/math.Max(warmest-coldest, 1), true)
		}))
		out = append(out, row("frost", func(d sightings.Shown) string {
			switch {
			case d.Min != nil && *d.Min < 0, d.Min == nil && d.Temp != nil && *d.Temp < 0:
				return "*"
			}
			return " "
		}))
	}
	out = append(out, dates(record, t)...)
	legend := "W wet   d dry   ? not looked   . not known   * frost"
	return append(out, t.dim.Render(fit(strings.Repeat(" ", dayLabel+1)+legend, s.w)))
}

func blankCell(level int) string {
	if level == 0 {
		return "."
	}
	return " "
}

// block is one cell of a bar, filled from below by a share; least shows at least the
// lowest step.
func block(share float64, least bool) string {
	n := max(0, min(8, int(math.Round(8*share))))
	if n == 0 && least {
		n = 1
	}
	return string([]rune(" ▁▂▃▄▅▆▇█")[n])
}

// dates writes the day of the month under each Monday, and the month where it begins.
func dates(record []sightings.Shown, t *theme) []string {
	day, month := strings.Builder{}, strings.Builder{}
	put := func(b *strings.Builder, at int, text string) {
		if n := len([]rune(b.String())); n <= at {
			b.WriteString(strings.Repeat(" ", at-n) + text)
		}
	}
	for i, d := range record {
		x := d.Day.Time()
		if x.Weekday() == 1 && i < len(record)-1 {
			put(&day, i, fmt.Sprint(x.Day()))
		}
		if (i == 0 || x.Day() == 1) && i < len(record)-3 {
			put(&month, i, x.Format("Jan"))
		}
	}
	return []string{
		t.dim.Render(padLeft("Mondays", dayLabel)+" ") + day.String(),
		t.dim.Render(padLeft("month", dayLabel)+" ") + month.String(),
	}
}

// openDay opens the field for a day, with what was begun.
func (m *model) openDay(first string) {
	if first != "" {
		m.drafts[dayDraft] = first
	}
	today := m.call.Today()
	check := func(text string) error {
		if strings.TrimSpace(text) == "" {
			return nil
		}
		_, err := sightings.ParseEntry(text, today)
		return err
	}
	m.field = newField(m.th, dayDraft, "A day", upperFirst(sightings.EntryLike)+".", m.drafts[dayDraft], m.fieldWidth(), check)
}

// keepDay enters the day that was typed and opens the field for the next.
func (m *model) keepDay(text string) {
	m.field = nil
	if strings.TrimSpace(text) == "" {
		delete(m.drafts, dayDraft)
		return
	}
	kept, err := m.call.Day(text)
	if !m.touched(err) {
		m.openDay("")
		return
	}
	delete(m.drafts, dayDraft)
	if m.err == "" {
		word := "Kept: "
		if m.o.Demo {
			word = "Entered: "
		}
		m.say(word + kept)
	}
	m.openDay("")
}

// dayDraft is the draft of a day.
const dayDraft = "days"
