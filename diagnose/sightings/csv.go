package sightings

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"underlap/diagnose/explain"
)

// Import is what was taken from a file of daily weather.
type Import struct {
	Days  []Weather
	Notes []string // which columns were taken and in what units, and what was left out
}

// most days and bytes that are taken at once: eleven years of days.
const (
	mostDays  = 4100
	mostBytes = 4 << 20
	mostBad   = 3 // wrong lines named in one error
)

// missing are the ways to write that a figure is not there.
var missing = []string{"", "-", "--", "na", "n/a", "nan", "null", "none", "m", "x", "///", "-99", "-99.9", "-999", "-999.0", "-999.9", "-9999", "-9999.0", "9999.9", "99.99"}

// ReadCSV reads a file of daily weather: a line of headings with a date and at least one of
// rain, temperature and wind, then a line a day. Columns are told by their headings and
// parted by comma, semicolon or tab; lines that begin with # and lines before the headings
// are passed over. Days after today are left out, with a note, for a file may hold a
// forecast. It fails, naming lines, on anything it cannot read: then nothing is taken.
func ReadCSV(r io.Reader, u Units, today Day) (Import, error) {
	var im Import
	text, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	switch {
	case err != nil:
		return im, err
	case len(text) > mostBytes:
		return im, fmt.Errorf("the file is larger than %d MB: ask the service for fewer years", mostBytes>>20)
	case bytes.HasPrefix(text, []byte{0xff, 0xfe}), bytes.HasPrefix(text, []byte{0xfe, 0xff}):
		return im, errors.New("the file is UTF-16: save it as CSV in UTF-8")
	}
	if u.Dates != "" && u.Dates != "dmy" && u.Dates != "mdy" {
		return im, fmt.Errorf("%q is no order of dates; say dmy or mdy", u.Dates)
	}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	if !utf8.Valid(text) {
		text = latin1(text) // a degree sign of an old spreadsheet
	}
	c, rows, err := table(text, u)
	if err != nil {
		return im, err
	}
	return c.read(rows, u, today)
}

// latin1 reads each byte as the character of that number.
func latin1(text []byte) []byte {
	out := make([]rune, len(text))
	for i, b := range text {
		out[i] = rune(b)
	}
	return []byte(string(out))
}

// row is one line of a table with its number in the file.
type row struct {
	line   int
	fields []string
}

// table finds the headings and the rows below them.
func table(text []byte, u Units) (columns, []row, error) {
	var wrong error
	for _, comma := range []rune{';', '\t', ','} { // a comma may be a decimal one in the first two
		rows, err := split(text, comma)
		for i, x := range rows {
			c, ok, bad := find(x.fields, u)
			if bad != nil && wrong == nil {
				wrong = fmt.Errorf("line %d: %w", x.line, bad)
			}
			if !ok || bad != nil {
				continue
			}
			if err != nil {
				return c, nil, err
			}
			return c, rows[i+1:], nil
		}
		if err != nil && comma == ',' && wrong == nil {
			wrong = err
		}
	}
	if wrong != nil {
		return columns{}, nil, wrong
	}
	return columns{}, nil, errors.New("no line of headings with a date and one of rain, temperature and wind was found; the first line may read: date,rain,tmin,tmax")
}

// split parts a text into rows. What was read before a fault comes with it.
func split(text []byte, comma rune) ([]row, error) {
	r := csv.NewReader(bytes.NewReader(text))
	r.Comma, r.Comment, r.FieldsPerRecord, r.LazyQuotes, r.TrimLeadingSpace = comma, '#', -1, true, comma != '\t'
	var out []row
	for {
		f, err := r.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out, fmt.Errorf("the file cannot be taken apart: %w", err)
		}
		line, _ := r.FieldPos(0)
		out = append(out, row{line, f})
	}
}

// faults gathers wrong lines, and names the first few.
type faults struct {
	texts []string
	n     int
}

func (f *faults) add(line int, format string, a ...any) {
	if f.n++; f.n <= mostBad {
		f.texts = append(f.texts, fmt.Sprintf("line %d: %s", line, fmt.Sprintf(format, a...)))
	}
}

func (f *faults) err() error {
	if f.n == 0 {
		return nil
	}
	text := strings.Join(f.texts, "; ")
	if f.n > mostBad {
		text += fmt.Sprintf("; and %d more", f.n-mostBad)
	}
	return errors.New(text + ". Put them right, or take the lines out; nothing was taken")
}

func (c *columns) read(rows []row, u Units, today Day) (Import, error) {
	var im Import
	order, err := c.dateOrder(rows, u)
	if err != nil {
		return im, err
	}
	var bad faults
	lines := map[Day]int{}
	later, empty := 0, 0
	for _, x := range rows {
		if blank(x.fields) {
			continue
		}
		day, why := c.day(x.fields, order)
		if why != "" {
			bad.add(x.line, "%s", why)
			continue
		}
		if before, twice := lines[day]; twice {
			bad.add(x.line, "%s stands in line %d already: the file is not one line a day; ask the service for daily values", day, before)
			continue
		}
		lines[day] = x.line
		if day > today {
			later++
			continue
		}
		w := NewWeather(day)
		ok := true
		for k := range c.taken {
			col := &c.taken[k]
			v, why := col.value(x.fields)
			if why != "" {
				bad.add(x.line, "%s", why)
				ok = false
				break
			}
			*col.q.of(&w) = v
		}
		if !ok {
			continue
		}
		if why := w.contradicts(); why != "" {
			bad.add(x.line, "%s: %s", day, why)
			continue
		}
		if w.Empty() {
			empty++
			continue
		}
		im.Days = append(im.Days, w)
	}
	if err := bad.err(); err != nil {
		return Import{}, err
	}
	switch {
	case len(im.Days) == 0 && later > 0:
		return im, fmt.Errorf("all days of the file lie after today, %s", today)
	case len(im.Days) == 0:
		return im, errors.New("there is not one day with a figure below the headings")
	case len(im.Days) > mostDays:
		return Import{}, fmt.Errorf("the file has %d days, more than %d: ask the service for fewer years", len(im.Days), mostDays)
	}
	slices.SortFunc(im.Days, func(a, b Weather) int { return int(a.Day - b.Day) })
	im.Notes = c.notes(im.Days)
	if later > 0 {
		im.Notes = append(im.Notes, explain.Count(later, "day")+" after today left out")
	}
	if empty > 0 {
		im.Notes = append(im.Notes, explain.Count(empty, "day")+" without a figure left out")
	}
	if order != "" && u.Dates == "" {
		im.Notes = append(im.Notes, "dates read with the "+map[string]string{"dmy": "day", "mdy": "month"}[order]+" first, for no other order fits")
	}
	return im, nil
}

func blank(fields []string) bool {
	for _, f := range fields {
		if strings.TrimSpace(f) != "" {
			return false
		}
	}
	return true
}

// notes say what was taken for what, with the range, so that a wrong unit is seen.
func (c *columns) notes(days []Weather) []string {
	out := []string{fmt.Sprintf("%s, %s to %s", explain.Count(len(days), "day"), days[0].Day, days[len(days)-1].Day)}
	for _, col := range c.taken {
		lo, hi, n := math.Inf(1), math.Inf(-1), 0
		for i := range days {
			if x := *col.q.of(&days[i]); known(x) {
				lo, hi = math.Min(lo, x), math.Max(hi, x)
				n++
			}
		}
		by := "unit " + col.unit + " by the heading"
		switch col.by {
		case "flag":
			by = "unit " + col.unit + " as you said"
		case "taken as":
			by = "no unit stated, taken as " + col.q.unit
		}
		text := fmt.Sprintf("%s: column %q, %s", col.q.name, col.title, by)
		if n > 0 {
			text += fmt.Sprintf("; %s to %s %s", figure(lo), figure(hi), col.q.unit)
		}
		if n < len(days) {
			text += "; not there on " + explain.Count(len(days)-n, "day")
		}
		out = append(out, text)
	}
	return out
}

// value reads one figure, in our unit; not a number when it is missing.
func (col *column) value(fields []string) (v float64, why string) {
	none := math.NaN()
	if col.at >= len(fields) {
		return none, fmt.Sprintf("there are only %d columns, and %q is column %d", len(fields), col.title, col.at+1)
	}
	text := strings.TrimSpace(fields[col.at])
	low := strings.ToLower(text)
	if has(missing, low) {
		return none, ""
	}
	if col.q.key == "rain" && has([]string{"t", "tr", "trace", "trace amount"}, low) {
		return 0, "" // too little to measure
	}
	s := strings.ReplaceAll(text, "−", "-")
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	if strings.Trim(s, "0123456789+-.eE") != "" { // no hexadecimal, no underscores, no "inf"
		return none, fmt.Sprintf("%q in column %q is not a figure; leave it empty when it is not known", text, col.title)
	}
	raw, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return none, fmt.Sprintf("%q in column %q is not a figure; leave it empty when it is not known", text, col.title)
	}
	v = math.Round((raw*col.scale.times+col.scale.plus)*100)/100 + 0
	if reason := col.q.cannotBe(v); reason != "" {
		return none, fmt.Sprintf("%s (%q in column %q, in %s); is it another unit? Say it with %s", reason, text, col.title, col.unit, flagFor(col.q.key))
	}
	return v, ""
}

func flagFor(key string) string {
	switch unitKind(key) {
	case "rain":
		return "--rain-unit " + unitsOf("rain")
	case "temp":
		return "--temp-unit " + unitsOf("temp")
	case "wind":
		return "--wind-unit " + unitsOf("wind")
	}
	return "another heading"
}

// dateOrder tells whether the day or the month comes first, where dates are written
// 3/11/2026; "" where they are not. It is not guessed: some date must show it.
func (c *columns) dateOrder(rows []row, u Units) (string, error) {
	if c.date < 0 {
		return "", nil
	}
	dmy, mdy, any := true, true, false
	for _, x := range rows {
		if c.date >= len(x.fields) {
			continue
		}
		p, ok := slashed(x.fields[c.date])
		if !ok || len(p[0]) == 4 {
			continue
		}
		any = true
		a, _ := digits(p[0])
		b, _ := digits(p[1])
		dmy, mdy = dmy && b <= 12, mdy && a <= 12
	}
	switch {
	case !any:
		return "", nil
	case u.Dates != "":
		return u.Dates, nil
	case dmy && !mdy:
		return "dmy", nil
	case mdy && !dmy:
		return "mdy", nil
	case !dmy:
		return "", errors.New("the dates go neither with the day first nor with the month first; write them like 2026-11-03")
	}
	return "", errors.New("the dates can be read with the day first or the month first; say which with --dates dmy or --dates mdy")
}

// slashed parts a date written with figures between strokes, dots or dashes.
func slashed(s string) (parts []string, ok bool) {
	s = dateOnly(s)
	for _, sep := range []string{"/", ".", "-"} {
		if p := strings.Split(s, sep); len(p) == 3 {
			for _, x := range p {
				if _, ok := digits(x); !ok {
					return nil, false
				}
			}
			return p, len(p[0]) == 4 || len(p[2]) == 4
		}
	}
	return nil, false
}

// dateOnly takes the time of day away: 2026-11-03T00:00Z, 03/11/2026 00:00.
func dateOnly(s string) string {
	s = strings.Trim(strings.TrimSpace(s), `"'`)
	if i := strings.IndexAny(s, "T "); i >= 8 {
		s = s[:i]
	}
	return s
}

// day reads the date of a row.
func (c *columns) day(fields []string, order string) (Day, string) {
	const like = "write dates like 2026-11-03"
	if c.date < 0 {
		var n [3]int
		for k, at := range c.parts {
			if at >= len(fields) {
				return 0, "the year, month or day is missing"
			}
			v, ok := digits(strings.TrimSpace(fields[at]))
			if !ok {
				return 0, fmt.Sprintf("%q is no year, month or day", fields[at])
			}
			n[k] = v
		}
		return oldEnough(n[0], n[1], n[2])
	}
	if c.date >= len(fields) {
		return 0, "there is no date"
	}
	s := dateOnly(fields[c.date])
	if p, ok := slashed(s); ok {
		a, _ := digits(p[0])
		b, _ := digits(p[1])
		y, _ := digits(p[2])
		switch {
		case len(p[0]) == 4:
			return oldEnough(a, b, y)
		case order == "mdy":
			return oldEnough(y, a, b)
		}
		return oldEnough(y, b, a)
	}
	if len(s) == 8 && strings.Trim(s, "0123456789") == "" {
		y, _ := digits(s[:4])
		m, _ := digits(s[4:6])
		d, _ := digits(s[6:])
		return oldEnough(y, m, d)
	}
	if y, m, d, why := wordParts(strings.Fields(strings.ToLower(strings.ReplaceAll(s, "-", " ")))); why == "" && y > 0 {
		return oldEnough(y, m, d) // 03-nov-2026
	}
	return 0, fmt.Sprintf("%q is no date; %s", fields[c.date], like)
}

func oldEnough(y, m, d int) (Day, string) {
	day, ok := date(y, m, d)
	if !ok || day < earliest || y > 9000 {
		return 0, fmt.Sprintf("there is no day %d-%02d-%02d, or it is too long ago", y, m, d)
	}
	return day, ""
}
