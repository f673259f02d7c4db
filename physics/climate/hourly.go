package climate

import (
	"math/bits"

	"underlap/physics/internal/check"
)

// Fields is a set of the quantities of an Hour.
type Fields uint16

// The quantities of an Hour.
const (
	FieldTemp Fields = 1 << iota
	FieldRH
	FieldVapour
	FieldWind
	FieldGlobal
	FieldDirect
	FieldDiffuse
	FieldSky
	FieldCloud
	FieldRain
)

// Has reports whether the set holds every quantity of f.
func (s Fields) Has(f Fields) bool { return s&f == f }

// Hour is the outdoor climate of one hour. A quantity in Missing is 0 and means
// nothing.
type Hour struct {
	TempC     float64 // degC
	RH        float64 // 0 to 1, over liquid water at any temperature, as stations report it
	VapourPa  float64 // vapour pressure, Pa
	WindMS    float64 // m/s
	GlobalWM2 float64 // sun and sky on the horizontal, W/m2
	DirectWM2 float64 // sun on a plane facing it, W/m2
	// DiffuseWM2 is the radiation of the sky without the sun on the horizontal, W/m2.
	DiffuseWM2 float64
	SkyWM2     float64 // long-wave radiation of the sky down on the horizontal, W/m2
	Cloud      float64 // share of the sky covered, 0 to 1
	RainMM     float64 // mm in the hour
	Missing    Fields
}

// Has reports whether the hour has every quantity of f.
func (h Hour) Has(f Fields) bool { return h.Missing&f == 0 }

// Stamp is the hour of the year in which a row begins.
type Stamp struct {
	Month int // 1 to 12
	Day   int // 1 to 31
	Hour  int // 0 to 23
}

// Hourly is the climate of one place hour by hour, one row after the other without a
// break, for a year or a part of it.
type Hourly struct {
	Name, Country string
	Lat, Lon      float64 // degrees, north and east positive
	ZoneH         float64 // hours that the clock of the rows is ahead of UTC, as the file says
	// SunZoneH is the same as the radiation shows it. It is ZoneH unless the radiation
	// fits another whole hour clearly better; then Notes says so.
	SunZoneH float64
	// SunAtH says for what moment of its hour the radiation of a row stands, in h from
	// the beginning: 0.5 for a mean over the hour.
	SunAtH    float64
	AltitudeM float64 // m above the sea
	Source    string
	Licence   string
	Start     Stamp // of the first row
	Leap      bool  // the rows follow a calendar with 29 February
	Hours     []Hour
	Notes     []string // what was noticed, mended or filled, a sentence each
}

var monthDays = [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// daysIn is the number of days in month m, 1 to 12.
func daysIn(m int, leap bool) int {
	if leap && m == 2 {
		return 29
	}
	return monthDays[m-1]
}

// yearHours is the number of hours in the calendar of the rows.
func (h *Hourly) yearHours() int {
	if h.Leap {
		return 8784
	}
	return yearHours
}

// whole reports whether the rows make a whole year, so that the last comes before
// the first.
func (h *Hourly) whole() bool { return len(h.Hours) == h.yearHours() }

// ofYear is the number of hours from the beginning of the year to a stamp.
func (s Stamp) ofYear(leap bool) int {
	days := s.Day - 1
	for m := 1; m < s.Month; m++ {
		days += daysIn(m, leap)
	}
	return 24*days + s.Hour
}

// stampOf is the inverse of ofYear.
func stampOf(hours int, leap bool) Stamp {
	days, m := hours/24, 1
	for ; days >= daysIn(m, leap); m++ {
		days -= daysIn(m, leap)
	}
	return Stamp{Month: m, Day: days + 1, Hour: hours % 24}
}

// At is the hour in which row i begins, on the clock of the rows.
func (h *Hourly) At(i int) Stamp {
	return stampOf((h.Start.ofYear(h.Leap)+i)%h.yearHours(), h.Leap)
}

// Month is the month of row i, 0 for January, as the arrays of a Place run.
func (h *Hourly) Month(i int) int { return h.At(i).Month - 1 }

// SunHeight is the height of the sun in degrees above the horizon at the moment for
// which the radiation of row i stands, after SunZoneH and SunAtH. It is negative at
// night.
//
// Source: as the function SunHeight.
func (h *Hourly) SunHeight(i int) float64 {
	at := h.At(i)
	return degrees(sunAt(h.Lat, h.Lon, at.Month, at.Day, float64(at.Hour)+h.SunAtH-h.SunZoneH))
}

// copied is a copy that shares nothing with h.
func (h *Hourly) copied() *Hourly {
	c := *h
	c.Hours = append([]Hour(nil), h.Hours...)
	c.Notes = append([]string(nil), h.Notes...)
	return &c
}

// quantity is one field of an Hour.
type quantity struct {
	field Fields
	name  string
	of    func(*Hour) *float64
}

// quantities are in the order of the bits of Fields, which is that in which they are told.
var quantities = [...]quantity{
	{FieldTemp, "air temperature", func(h *Hour) *float64 { return &h.TempC }},
	{FieldRH, "relative humidity", func(h *Hour) *float64 { return &h.RH }},
	{FieldVapour, "vapour pressure", func(h *Hour) *float64 { return &h.VapourPa }},
	{FieldWind, "wind", func(h *Hour) *float64 { return &h.WindMS }},
	{FieldGlobal, "global radiation", func(h *Hour) *float64 { return &h.GlobalWM2 }},
	{FieldDirect, "direct radiation", func(h *Hour) *float64 { return &h.DirectWM2 }},
	{FieldDiffuse, "diffuse radiation", func(h *Hour) *float64 { return &h.DiffuseWM2 }},
	{FieldSky, "long-wave radiation of the sky", func(h *Hour) *float64 { return &h.SkyWM2 }},
	{FieldCloud, "cloud", func(h *Hour) *float64 { return &h.Cloud }},
	{FieldRain, "rain", func(h *Hour) *float64 { return &h.RainMM }},
}

func quantityOf(f Fields) quantity { return quantities[bits.TrailingZeros16(uint16(f))] }

// missing counts the rows that lack a quantity.
func (h *Hourly) missing(f Fields) int {
	n := 0
	for _, row := range h.Hours {
		if !row.Has(f) {
			n++
		}
	}
	return n
}

func checkPosition(lat, lon float64) error {
	return check.First("climate", check.Within("latitude", lat, -90, 90), check.Within("longitude", lon, -180, 180))
}
