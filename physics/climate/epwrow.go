package climate

import (
	"fmt"
	"math"
	"strings"
)

// column is a field of a row that is read.
type column struct {
	number  int // from 1
	name    string
	missing float64 // this and more means that there is no value
	lo, hi  float64
	slack   float64 // values this far outside lo or hi are read as lo or hi
}

var (
	colTemp    = column{7, "dry-bulb temperature", 99.9, -70, 70, 0}
	colDew     = column{8, "dew point", 99.9, -90, 70, 0}
	colRH      = column{9, "relative humidity", 999, 0, 100, 10}
	colSky     = column{13, "downward infrared", 9999, 40, 800, 0}
	colGlobal  = column{14, "global radiation", 9999, 0, 1500, 10}
	colDirect  = column{15, "direct normal radiation", 9999, 0, 1500, 10}
	colDiffuse = column{16, "diffuse radiation", 9999, 0, 1500, 10}
	colWind    = column{22, "wind speed", 999, 0, 100, 0}
	colTotal   = column{23, "total sky cover", 99, 0, 10, 0}
	colOpaque  = column{24, "opaque sky cover", 99, 0, 10, 0}
	colRain    = column{34, "liquid precipitation", 999, 0, 500, 0}
	colPeriod  = column{35, "period of the precipitation", 99, 0, 98, 0}
)

// epwFields is the number of fields in a row; the last two, of the rain, may be left out.
const epwFields = 35

func (e *epwReader) row(line string) error {
	if len(e.out.Hours) == maxRows {
		return fmt.Errorf("line %d: more than %d rows; want one year of hours", e.line, maxRows)
	}
	fields := strings.Split(line, ",")
	for len(fields) > epwFields && strings.TrimSpace(fields[len(fields)-1]) == "" {
		fields = fields[:len(fields)-1]
	}
	if n := len(fields); n < epwFields-2 || n > epwFields {
		return fmt.Errorf("line %d: has %d fields, want %d (the last two may be left out)", e.line, n, epwFields)
	}
	if err := e.stamp(fields); err != nil {
		return err
	}
	hour := Hour{}
	for _, f := range []struct {
		col   column
		field Fields
		scale float64
		to    *float64
	}{
		{colTemp, FieldTemp, 1, &hour.TempC},
		{colRH, FieldRH, 0.01, &hour.RH},
		{colWind, FieldWind, 1, &hour.WindMS},
		{colGlobal, FieldGlobal, 1, &hour.GlobalWM2},
		{colDirect, FieldDirect, 1, &hour.DirectWM2},
		{colDiffuse, FieldDiffuse, 1, &hour.DiffuseWM2},
		{colRain, FieldRain, 1, &hour.RainMM},
	} {
		v, ok, err := e.value(fields, f.col)
		if err != nil {
			return err
		}
		if ok {
			*f.to = v * f.scale
		} else {
			hour.Missing |= f.field
		}
	}
	if err := e.sky(fields, &hour); err != nil {
		return err
	}
	if err := e.vapour(fields, &hour); err != nil {
		return err
	}
	period, ok, err := e.value(fields, colPeriod)
	if err != nil {
		return err
	}
	if ok && period > 1 && hour.RainMM > 0 {
		e.longRain++
	}
	e.out.Hours = append(e.out.Hours, hour)
	return nil
}

// stamp reads the time of a row and holds it against the row before.
func (e *epwReader) stamp(fields []string) error {
	var v [5]int
	for i, f := range []struct {
		name   string
		lo, hi int
	}{{"year", 0, 9999}, {"month", 1, 12}, {"day", 1, 31}, {"hour", 1, 24}, {"minute", 0, 60}} {
		x, err := e.number(fields[i], i+1, f.name)
		if err != nil {
			return err
		}
		if x != math.Trunc(x) || x < float64(f.lo) || x > float64(f.hi) {
			return e.bad(i+1, f.name, "%v, want a whole number from %d to %d", x, f.lo, f.hi)
		}
		v[i] = int(x)
	}
	// The file counts the hours of a day from 1, by their end.
	got := Stamp{Month: v[1], Day: v[2], Hour: v[3] - 1}
	if got.Day > daysIn(got.Month, true) {
		return e.bad(3, "day", "month %d has no day %d", got.Month, got.Day)
	}
	h := e.out
	if got.Month == 2 && got.Day == 29 {
		h.Leap = true
	}
	want, skipsLeapDay := e.due, e.due == Stamp{2, 29, 0} && got == Stamp{3, 1, 0}
	if len(h.Hours) == 0 {
		h.Start, e.year = got, v[0]
	} else if got != want && !skipsLeapDay {
		return fmt.Errorf("line %d, fields 2 to 4: hour %d of %d/%d, want hour %d of %d/%d (hour of day/month): the rows must follow each other hour by hour",
			e.line, got.Hour+1, got.Day, got.Month, want.Hour+1, want.Day, want.Month)
	}
	if v[0] != e.year && (got.Month != 1 || got.Day != 1) {
		e.mixed = true
	}
	e.year = v[0]
	e.due = stampOf((got.ofYear(true)+1)%8784, true)
	return nil
}

// sky reads the long-wave radiation and the cloud, of which the opaque counts.
func (e *epwReader) sky(fields []string, hour *Hour) error {
	if text := strings.TrimSpace(fields[colSky.number-1]); isZero(text) {
		// No sky is as cold as that: whoever wrote it had no value.
		e.dark++
		hour.Missing |= FieldSky
	} else if v, ok, err := e.value(fields, colSky); err != nil {
		return err
	} else if ok {
		hour.SkyWM2 = v
	} else {
		hour.Missing |= FieldSky
	}
	hour.Missing |= FieldCloud
	for _, col := range []column{colTotal, colOpaque} {
		v, ok, err := e.value(fields, col)
		if err != nil {
			return err
		}
		if ok {
			hour.Cloud = v / 10
			hour.Missing &^= FieldCloud
		}
	}
	return nil
}

// vapour works out the vapour pressure, and the relative humidity where it is missing.
func (e *epwReader) vapour(fields []string, hour *Hour) error {
	dew, ok, err := e.value(fields, colDew)
	if err != nil {
		return err
	}
	switch {
	case ok:
		hour.VapourPa = psatWater(dew)
	case hour.Has(FieldTemp | FieldRH):
		hour.VapourPa = hour.RH * psatWater(hour.TempC)
	default:
		hour.Missing |= FieldVapour
	}
	if !ok || !hour.Has(FieldTemp) {
		return nil
	}
	sat := psatWater(hour.TempC)
	if dew > hour.TempC {
		if dew > hour.TempC+0.5 {
			e.aboveDew++
		}
		hour.VapourPa = sat
	}
	if !hour.Has(FieldRH) {
		hour.RH = hour.VapourPa / sat
		hour.Missing &^= FieldRH
		e.fromDew++
	} else if math.Abs(hour.RH-hour.VapourPa/sat) > 0.1 {
		e.apart++
	}
	return nil
}
