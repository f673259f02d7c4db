package climate

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Bounds on what is read, so that a hostile file cannot take up the machine.
const (
	maxLine  = 64 << 10 // bytes
	maxFile  = 16 << 20 // bytes
	maxRows  = 8784
	maxShown = 40 // characters of a bad value that an error repeats
)

// epwHeader is how the eight lines before the data begin, in their order.
var epwHeader = [8]string{
	"LOCATION", "DESIGN CONDITIONS", "TYPICAL/EXTREME PERIODS", "GROUND TEMPERATURES",
	"HOLIDAYS/DAYLIGHT SAVINGS", "COMMENTS 1", "COMMENTS 2", "DATA PERIODS",
}

// ReadEPW reads an hourly weather file in the open format EPW: eight header lines, then
// a row an hour, for a year or a part of one. A value under a code for "missing", an
// empty one, a long-wave radiation of the sky of 0, and a year of nothing but 0 in
// wind, cloud, rain or a radiation is marked in Hour.Missing.
//
// Vapour pressure is that of liquid water at the dew point, also below 0 degC, as
// stations report it; without a dew point it is the relative humidity times the
// pressure over liquid water. So below 0 degC it may lie somewhat above saturation over
// ice. It is held at saturation over water at the air temperature.
//
// The clock of the rows is not changed. When the radiation fits the sun clearly better
// with another time zone or another moment of the hour, SunZoneH and SunAtH have it and
// Notes says so. Notes also has what else was mended.
//
// It fails for a file that is not in the format, holds anything but one row an hour or
// more than a year, has a gap between rows, or has a value that cannot be; the error
// names the line, the field and what is wanted.
//
// Source: the EPW format as published with the weather files of the United States
// Department of Energy, from memory and from files in that format.
func ReadEPW(r io.Reader) (*Hourly, error) {
	e := newEPWReader(r)
	if err := e.header(); err != nil {
		return nil, err
	}
	for {
		line, ok, err := e.next()
		if err != nil {
			return nil, err
		}
		if !ok {
			break
		}
		if err := e.row(line); err != nil {
			return nil, err
		}
	}
	switch h := e.out; {
	case len(h.Hours) == 0:
		return nil, fmt.Errorf("line %d: the file ends before its first hour of data", e.line)
	case len(h.Hours) > h.yearHours():
		return nil, fmt.Errorf("line %d: more than %d rows in a year without 29 February; want one year of hours", e.line, h.yearHours())
	}
	e.finish()
	return e.out, nil
}

type epwReader struct {
	in    *bufio.Scanner
	limit *io.LimitedReader
	line  int
	out   *Hourly
	due   Stamp // of the next row, once there is a first, in a calendar with 29 February
	year  int   // of the last row

	// What the notes will say; numbers of rows.
	mixed                 bool           // the years of the rows jump
	clipped               map[string]int // by field name
	dark, aboveDew, apart int
	longRain, fromDew     int
}

func newEPWReader(r io.Reader) *epwReader {
	limit := &io.LimitedReader{R: r, N: maxFile + 1}
	in := bufio.NewScanner(limit)
	in.Buffer(make([]byte, 0, 4096), maxLine)
	return &epwReader{in: in, limit: limit, out: &Hourly{SunAtH: 0.5}, clipped: map[string]int{}}
}

// next returns the next line that is not blank, and false at the end of the file.
func (e *epwReader) next() (string, bool, error) {
	for e.in.Scan() {
		e.line++
		if e.limit.N <= 0 {
			break
		}
		line := e.in.Text()
		if e.line == 1 {
			line = strings.TrimPrefix(line, "\ufeff")
		}
		if strings.TrimSpace(line) != "" {
			return line, true, nil
		}
	}
	switch err := e.in.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		return "", false, fmt.Errorf("line %d: longer than %d characters; this is not a weather file", e.line+1, maxLine)
	case err != nil:
		return "", false, fmt.Errorf("line %d: %w", e.line+1, err)
	case e.limit.N <= 0:
		return "", false, fmt.Errorf("line %d: the file is larger than %d MB; want one year of hours", e.line, maxFile>>20)
	}
	return "", false, nil
}

func (e *epwReader) header() error {
	for i, want := range epwHeader {
		line, ok, err := e.next()
		if err != nil {
			return err
		}
		if !ok {
			return fmt.Errorf("line %d: the file ends where the header line %q should be", e.line+1, want)
		}
		fields, err := headerFields(line)
		if err != nil {
			return fmt.Errorf("line %d: %w", e.line, err)
		}
		key := strings.ToUpper(strings.TrimSpace(fields[0]))
		// Some writers leave out the last S.
		if key != want && key != strings.TrimSuffix(want, "S") {
			return fmt.Errorf("line %d: begins with %s, want %q as header line %d of 8", e.line, shown(fields[0]), want, i+1)
		}
		for len(fields) < 3 { // so that the fields below can be looked at
			fields = append(fields, "")
		}
		switch want {
		case "LOCATION":
			err = e.location(fields)
		case "DESIGN CONDITIONS", "TYPICAL/EXTREME PERIODS", "GROUND TEMPERATURES":
			_, err = e.count(fields, 2, "number of entries", 0)
		case "HOLIDAYS/DAYLIGHT SAVINGS":
			e.daylightSaving(fields)
		case "DATA PERIODS":
			if _, err = e.count(fields, 2, "number of data periods", 1); err != nil {
				return err
			}
			var n int
			if n, err = e.count(fields, 3, "records an hour", 1); err == nil && n != 1 {
				err = e.bad(3, "records an hour", "%d, want 1", n)
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// headerFields splits a header line, whose comments may be in quotes with commas inside.
func headerFields(line string) ([]string, error) {
	r := csv.NewReader(strings.NewReader(line))
	r.LazyQuotes, r.FieldsPerRecord = true, -1
	fields, err := r.Read()
	if err != nil || len(fields) == 0 {
		return nil, fmt.Errorf("cannot be split at its commas: %s", shown(line))
	}
	return fields, nil
}

// count reads a whole number in a header line; an empty one is 0.
func (e *epwReader) count(fields []string, number int, name string, least int) (int, error) {
	text := strings.TrimSpace(fields[number-1])
	n := 0
	if text != "" {
		var err error
		if n, err = strconv.Atoi(text); err != nil {
			return 0, e.bad(number, name, "%s is not a whole number", shown(text))
		}
	}
	if n < least {
		return 0, e.bad(number, name, "%d, want %d or more", n, least)
	}
	return n, nil
}

func (e *epwReader) location(fields []string) error {
	if len(fields) < 10 {
		return fmt.Errorf("line %d: has %d fields, want 10: LOCATION, city, region, country, source, station, latitude, longitude, time zone, height", e.line, len(fields))
	}
	text := func(number int) string {
		s := printable(fields[number-1])
		if s == "-" || strings.EqualFold(s, "unknown") {
			return ""
		}
		return s
	}
	h := e.out
	for _, f := range []struct {
		number int
		name   string
		lo, hi float64
		to     *float64
	}{
		{7, "latitude", -90, 90, &h.Lat},
		{8, "longitude", -180, 180, &h.Lon},
		{9, "time zone", -12, 14, &h.ZoneH},
		{10, "height above the sea", -1000, 9999.9, &h.AltitudeM},
	} {
		v, err := e.number(fields[f.number-1], f.number, f.name)
		if err != nil {
			return err
		}
		if !(v >= f.lo && v <= f.hi) {
			return e.bad(f.number, f.name, "%v is outside %v to %v", v, f.lo, f.hi)
		}
		*f.to = v
	}
	h.SunZoneH = h.ZoneH
	h.Name, h.Country = text(2), text(4)
	if region := text(3); region != "" && h.Name != "" {
		h.Name += ", " + region
	}
	if h.Name == "" {
		h.Name = fmt.Sprintf("%.2f, %.2f", h.Lat, h.Lon)
	}
	h.Source = "weather file in the format EPW"
	if s := text(5); s != "" {
		h.Source += ", " + s
	}
	if s := text(6); s != "" {
		h.Source += ", station " + s
	}
	h.Licence = "not stated in the file; ask whoever supplied it"
	return nil
}

func (e *epwReader) daylightSaving(fields []string) {
	for i := 2; i < min(len(fields), 4); i++ {
		if s := strings.TrimSpace(fields[i]); s != "" && s != "0" {
			e.out.note("The header gives dates for summer time; the rows are taken to stand on standard time all year.")
			return
		}
	}
}
