package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"underlap/diagnose"
	"underlap/diagnose/casefile"
	"underlap/diagnose/explain"
	"underlap/diagnose/sightings"
)

// daysUsage is the part of the help that the table of commands has no room for.
const daysUsage = `The days on which it was wet, those on which they looked and it was dry, and the
weather of both. Without anything to enter it prints what is on record and what the
days say. A day is DATE=WHAT:

  2026-11-03=drip             2026-11-04=dry             "3 Nov 2026=not looked"
  2026-11-05="drip, a cup"    "3/11/2026=dry, not used"  2026-11-05=withdraw

Dates: 2026-11-03, "3 Nov 2026", 3/11/2026 (the day first), today, yesterday. A later
entry for a day stands in place of the earlier one; the record keeps both. Days on which
nobody looked say nothing and are never taken as dry. "used" and "not used" say whether
the bath, the shower or the kitchen was in use.

Weather is typed as DATE:FIGURES, in mm, °C, m/s, degrees and cm:

  2026-11-03:rain=12,min=2,max=8      names: rain mean min max wind from snow

or comes from a daily CSV of any weather service: --weather FILE.csv. It wants a line of
headings with a date (date, time, day, or year month day) and any of rain (rain, prcp,
precipitation_sum ...), temperature (tmin, tmax, tavg, temperature_2m_mean ...), wind and
wind direction; comma, semicolon or tab; decimal points or commas; units in the headings
or by flag. It says which columns it took, and in what units. Lines that begin with # and
lines before the headings are passed over, days after today left out. On a wrong line it
names the line and takes nothing. The weather is kept in the case.`

// runDays enters days and their weather, or prints them.
func runDays(e *env, args []string) (err error) {
	fs := flags("days")
	title := fs.String("new", "", "start the case with this title first")
	by := fs.String("by", e.user, "name written beside each entry")
	asJSON := fs.Bool("json", false, "print what the days say as JSON")
	var u sightings.Units
	fs.StringVar(&u.Rain, "rain-unit", "", "unit of the rain in the file: mm, cm, m, in, 0.1mm")
	fs.StringVar(&u.Temp, "temp-unit", "", "unit of the temperatures in the file: C, F, K, 0.1C")
	fs.StringVar(&u.Wind, "wind-unit", "", "unit of the wind in the file: m/s, km/h, mph, kn, 0.1m/s")
	fs.StringVar(&u.Dates, "dates", "", "order of dates such as 3/11/2026 in the file: dmy or mdy")
	var files, typed []string
	fs.Func("weather", "daily weather: a CSV `FILE`, or a day such as 2026-11-03:rain=12,min=2,max=8", func(s string) error {
		if day, rest, ok := strings.Cut(s, ":"); ok && strings.Contains(rest, "=") && strings.ContainsAny(day, "0123456789") {
			typed = append(typed, s)
		} else {
			files = append(files, s)
		}
		return nil
	})
	rest, err := parse(e, fs, args)
	if errors.Is(err, errHelp) {
		fmt.Fprintf(e.out, "\n%s\n", daysUsage)
	}
	if err != nil {
		return err
	}
	if len(rest) == 0 {
		return usagef("days needs a case; usage: underlap days CASE 2026-11-03=drip 2026-11-04=dry")
	}
	name := rest[0]
	typed = append(rest[1:], typed...)
	if len(typed)+len(files) == 0 && *title == "" {
		return e.printDays(name, *asJSON)
	}
	in := entries{typed: typed, by: *by}
	today := sightings.DayOf(e.now())
	for _, f := range files {
		im, err := readWeather(f, u, today)
		if err != nil {
			return err
		}
		in.files = append(in.files, file{filepath.Base(f), im})
	}
	// A trial in memory first, as for tell: a slip leaves the file untouched.
	trial := &casefile.Case{}
	if *title == "" {
		if trial, err = e.caseToWrite(name); err != nil {
			return err
		}
	}
	if _, err := e.enter(diagnose.NewMemoryLog(trial), in); err != nil {
		return err
	}
	store, err := e.open(name, *title)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	c, err := e.enter(store, in)
	if err != nil {
		return err
	}
	for _, f := range in.files {
		fmt.Fprintf(e.out, "%s\n", f.name)
		for _, n := range f.im.Notes {
			fmt.Fprintf(e.out, "  %s\n", n)
		}
	}
	if n := len(in.typed); n > 0 {
		fmt.Fprintf(e.out, "%s entered\n", explain.Count(n, "day"))
	}
	fmt.Fprintf(e.out, "saved in %s\n", store.Path())
	r := c.Reading()
	if *asJSON {
		return printJSON(e.out, r.Days)
	}
	printVerdict(e.out, r.Days)
	return nil
}

// file is a file of weather that was read.
type file struct {
	name string
	im   sightings.Import
}

// entries is what is to be entered.
type entries struct {
	typed []string
	files []file
	by    string // who
}

func readWeather(path string, u sightings.Units, today sightings.Day) (sightings.Import, error) {
	f, err := os.Open(path)
	if err != nil {
		return sightings.Import{}, fmt.Errorf("the weather file: %w; give a CSV file with a line a day, or a day such as 2026-11-03:rain=12,min=2,max=8", err)
	}
	defer f.Close()
	im, err := sightings.ReadCSV(f, u, today)
	if err != nil {
		return im, fmt.Errorf("%s: %w", filepath.Base(path), err)
	}
	return im, nil
}

// enter writes all of it to a log. An entry that may not survive a power cut counts, with
// a note.
func (e *env) enter(log diagnose.Log, in entries) (*diagnose.Call, error) {
	p, err := e.pack()
	if err != nil {
		return nil, err
	}
	c, err := diagnose.NewCall(log, p, in.by, e.now)
	if err != nil {
		return nil, err
	}
	fine := func(err error) error {
		if errors.Is(err, casefile.ErrUnflushed) {
			fmt.Fprintln(e.err, "note: "+err.Error())
			return nil
		}
		return err
	}
	for _, f := range in.files {
		if err := fine(c.Weather(f.im, f.name)); err != nil {
			return nil, err
		}
	}
	for _, t := range in.typed {
		if _, err := c.Day(t); fine(err) != nil {
			return nil, err
		}
	}
	return c, nil
}

// printDays prints what is on record of a case.
func (e *env) printDays(name string, asJSON bool) error {
	p, err := e.pack()
	if err != nil {
		return err
	}
	k, err := e.readCase(name)
	if err != nil {
		return err
	}
	e.warn(k)
	c, err := diagnose.NewCall(diagnose.NewMemoryLog(k), p, e.user, e.now)
	if err != nil {
		return err
	}
	r := c.Reading().Days
	if asJSON {
		return printJSON(e.out, r)
	}
	h := c.Days()
	if len(h.Looks) == 0 {
		fmt.Fprintf(e.out, "No day on which it was wet or dry is on record. Enter some: underlap days %s 2026-11-03=drip 2026-11-04=dry\n", name)
	} else {
		printRecord(e.out, h)
	}
	if len(h.Weather) > 0 {
		fmt.Fprintf(e.out, "Weather of %s on record, %s to %s.\n", explain.Count(len(h.Weather), "day"), h.Weather[0].Day, h.Weather[len(h.Weather)-1].Day)
	}
	printVerdict(e.out, r)
	return nil
}

// printRecord is the table of days, each with the rain before it.
func printRecord(w io.Writer, h sightings.History) {
	fmt.Fprintf(w, "%-10s  %-28s %s\n", "day", "seen", "weather of the day; rain of the 3 days before")
	for _, l := range h.Looks {
		weather := h.WeatherOn(l.Day)
		text := weather.String()
		if weather.Empty() {
			text = "not on record"
		}
		rain, n := 0.0, 0
		for d := l.Day - 3; d < l.Day; d++ {
			if x := h.WeatherOn(d).Rain; x == x {
				rain += x
				n++
			}
		}
		before := "not on record"
		if n == 3 {
			before = fmt.Sprintf("%.4g mm", rain)
		}
		fmt.Fprintf(w, "%s  %-28s %s; before: %s\n", l.Day, l, text, before)
	}
	fmt.Fprintln(w)
}

// printVerdict prints what the days say.
func printVerdict(w io.Writer, r *sightings.Result) {
	if r == nil {
		return
	}
	fmt.Fprintln(w, r.Text)
	for _, d := range r.Drivers {
		fmt.Fprintf(w, "  %9s  %-12s %s\n", explain.Percent(d.P), d.Hedge, d.Name)
	}
	if r.Hint != "" {
		fmt.Fprintln(w, r.Hint)
	}
	for _, x := range r.Unread {
		fmt.Fprintf(w, "Left out: %s\n", x)
	}
}
