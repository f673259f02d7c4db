package climate_test

import (
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"underlap/physics/climate"
	"underlap/physics/internal/vectortest"
)

const (
	minneapolis = "usa_minneapolis_tmy3_january.epw.gz"
	piedmont    = "ita_45n8e_pvgis_january.epw.gz"
)

// weather is the text of a weather file of the tests.
func weather(t testing.TB, name string) string {
	t.Helper()
	f, err := os.Open(filepath.Join("..", "..", "testdata", "climate", name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func read(t testing.TB, text string) *climate.Hourly {
	t.Helper()
	h, err := climate.ReadEPW(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return h
}

// change puts a value into a field, counted from 1, of each row that fits says, counted
// from 0; with fits nil of all.
func change(text string, field int, value string, fits func(row int) bool) string {
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	for i := 8; i < len(lines); i++ {
		fields := strings.Split(lines[i], ",")
		if len(fields) > 30 && (fits == nil || fits(i-8)) {
			fields[field-1] = value
			lines[i] = strings.Join(fields, ",")
		}
	}
	return strings.Join(lines, "\n")
}

func noted(h *climate.Hourly, part string) bool {
	return slices.ContainsFunc(h.Notes, func(s string) bool { return strings.Contains(s, part) })
}

// made is a file in the format, of n rows from 1 January, with a sun for longitude 0 and
// UTC. The direct radiation is left out.
func made(n int, lat float64) string {
	var b strings.Builder
	fmt.Fprintf(&b, "LOCATION,Nowhere,-,GBR,made,1,%g,0.0,0.0,10.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,\"one, two\"\nCOMMENTS 2,\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n", lat)
	days := [12]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}
	for m, rows := 0, 0; m < 12; m++ {
		for d := 1; d <= days[m]; d++ {
			for h := 1; h <= 24 && rows < n; h++ {
				height, err := climate.SunHeight(lat, 0, m+1, d, float64(h)-0.5)
				if err != nil {
					panic(err)
				}
				g := math.Max(0, 700*math.Sin(height*math.Pi/180))
				fmt.Fprintf(&b, "2001,%d,%d,%d,0,?,10.0,5.0,71,101300,0,0,300,%.1f,9999,9999,0,0,0,0,180,3.0,5,4,10,1000,9,999999999,10,0.1,0,99,0.2,0.1,1\n", m+1, d, h, g)
				rows++
			}
		}
	}
	return b.String()
}

func sum(h *climate.Hourly, of func(climate.Hour) float64) float64 {
	s := 0.0
	for _, row := range h.Hours {
		s += of(row)
	}
	return s
}

// saturation over water and its inverse, EN ISO 13788, written out once more.
func water(t float64) float64 { return 610.5 * math.Exp(17.269*t/(237.3+t)) }

func dew(p float64) float64 {
	l := math.Log(p / 610.5)
	return 237.3 * l / (17.269 - l)
}

// Means and sums of two real files, worked out apart from this program.
func TestReadEPWAgainstMeans(t *testing.T) {
	for _, x := range []struct {
		file                         string
		temp, least, most            float64
		dew, rh, wind                float64
		global, direct, diffuse, sky float64
		rainRows                     int
		rain                         float64
		byRH                         float64 // mean vapour pressure without the dew point, Pa
	}{
		{minneapolis, -11.3935, -31.10, 2.20, -16.3712, 64.2728, 4.5774, 53448, 94308, 24342, 217.7366, 744, 0, 197.08},
		{piedmont, 5.2004, -1.29, 12.99, 2.5325, 84.4062, 1.1770, 47848, 87209.9, 19721, 290.2574, 0, 0, 753.98},
	} {
		text := weather(t, x.file)
		h := read(t, text)
		n := float64(len(h.Hours))
		if n != 744 {
			t.Fatalf("%s: %v rows", x.file, n)
		}
		near := func(what string, of func(climate.Hour) float64, want, tol float64) {
			t.Helper()
			vectortest.Near(t, x.file+" "+what, sum(h, of), want, tol)
		}
		near("temperature", func(r climate.Hour) float64 { return r.TempC / n }, x.temp, 6e-5)
		near("humidity", func(r climate.Hour) float64 { return 100 * r.RH / n }, x.rh, 6e-5)
		near("dew point", func(r climate.Hour) float64 { return math.Min(r.TempC, dew(r.VapourPa)) / n }, x.dew, 6e-3)
		near("wind", func(r climate.Hour) float64 { return r.WindMS / n }, x.wind, 6e-5)
		near("global", func(r climate.Hour) float64 { return r.GlobalWM2 }, x.global, 1e-6)
		near("direct", func(r climate.Hour) float64 { return r.DirectWM2 }, x.direct, 0.06)
		near("diffuse", func(r climate.Hour) float64 { return r.DiffuseWM2 }, x.diffuse, 1e-6)
		near("sky", func(r climate.Hour) float64 { return r.SkyWM2 / n }, x.sky, 6e-5)
		near("rain", func(r climate.Hour) float64 { return r.RainMM }, x.rain, 0)
		least, most, rows := math.Inf(1), math.Inf(-1), 0
		for _, r := range h.Hours {
			least, most = math.Min(least, r.TempC), math.Max(most, r.TempC)
			if r.Has(climate.FieldRain) {
				rows++
			}
		}
		vectortest.Near(t, x.file+" coldest", least, x.least, 1e-9)
		vectortest.Near(t, x.file+" warmest", most, x.most, 1e-9)
		if rows != x.rainRows {
			t.Errorf("%s: rain in %d rows, want %d", x.file, rows, x.rainRows)
		}
		h = read(t, change(text, 8, "99.9", nil))
		near("vapour pressure by humidity", func(r climate.Hour) float64 { return r.VapourPa / n }, x.byRH, 0.006)
	}
	// From the dew point of the file the mean is 205 Pa.
	h := read(t, weather(t, minneapolis))
	vectortest.Near(t, "vapour pressure by dew point", sum(h, func(r climate.Hour) float64 { return r.VapourPa })/744, 205, 0.5)
}

func TestReadEPWHeader(t *testing.T) {
	h := read(t, weather(t, minneapolis))
	h.Hours, h.Notes = nil, nil
	want := &climate.Hourly{
		Name: "Minneapolis St Paul IntL Arp, MN", Country: "USA", Lat: 44.88, Lon: -93.23, ZoneH: -6, SunZoneH: -6,
		SunAtH: 0.5, AltitudeM: 254, Source: "weather file in the format EPW, TMY3, station 726580",
		Licence: "not stated in the file; ask whoever supplied it", Start: climate.Stamp{Month: 1, Day: 1},
	}
	if d := cmp.Diff(want, h); d != "" {
		t.Error(d)
	}
	if h := read(t, weather(t, piedmont)); h.Name != "45.00, 8.00" || h.Country != "" {
		t.Errorf("a place without a name is %q in %q", h.Name, h.Country)
	}
}

// The file of 45 N 8 E has UTC+1 in its header and rows in UTC, with the sun of about
// 0.2 h after the beginning of the hour.
func TestReadEPWFindsTheTimeOfTheSun(t *testing.T) {
	text := weather(t, piedmont)
	h := read(t, text)
	if h.ZoneH != 1 || h.SunZoneH != 0 || math.Abs(h.SunAtH-0.2) > 1e-9 || !noted(h, "UTC+1") || !noted(h, "UTC+0") {
		t.Errorf("zone %v, sun %v at %v; %q", h.ZoneH, h.SunZoneH, h.SunAtH, h.Notes)
	}
	if closure(h) > 2 {
		t.Errorf("the sun leaves %.2f W/m2", closure(h))
	}
	us := weather(t, minneapolis)
	for shift := -12; shift <= 12; shift++ {
		for _, x := range []struct {
			text, zone string
			true       int
			at         float64
		}{{text, "8.000000,1,", 0, 0.2}, {us, "-93.23,-6.0,", -6, 0.5}} {
			zone := x.true + shift
			if zone < -12 || zone > 14 {
				continue
			}
			before, _, _ := strings.Cut(x.zone, ",")
			h := read(t, strings.Replace(x.text, x.zone, before+","+strconv.Itoa(zone)+",", 1))
			if h.ZoneH != float64(zone) || h.SunZoneH != float64(x.true) || math.Abs(h.SunAtH-x.at) > 1e-9 {
				t.Errorf("zone %v in the header: sun %v at %v, want %v at %v", h.ZoneH, h.SunZoneH, h.SunAtH, x.true, x.at)
			}
			if noted(h, "time zone") != (shift != 0) {
				t.Errorf("zone %v: %q", zone, h.Notes)
			}
		}
	}
}

// Without direct radiation the daily course of the global tells the time.
func TestReadEPWFindsTheZoneByGlobalRadiation(t *testing.T) {
	for _, blank := range []int{15, 16} {
		us := change(weather(t, minneapolis), blank, "9999", nil)
		for _, zone := range []int{-8, -7, -6, -5, -4} {
			h := read(t, strings.Replace(us, "-93.23,-6.0,", fmt.Sprintf("-93.23,%d,", zone), 1))
			if h.SunZoneH != -6 {
				t.Errorf("zone %d in the header: sun %v", zone, h.SunZoneH)
			}
		}
	}
	// Too little to tell: nothing is claimed.
	lines := strings.SplitAfter(change(weather(t, minneapolis), 15, "9999", nil), "\n")
	short := strings.Replace(strings.Join(lines[:8+24*5], ""), "-93.23,-6.0,", "-93.23,0,", 1)
	if h := read(t, short); h.SunZoneH != 0 || noted(h, "time zone") {
		t.Errorf("five days tell %v; %q", h.SunZoneH, h.Notes)
	}
}

// closure is what direct and diffuse radiation with the sun's height leave of the
// global, W/m2 root mean square over the hours with radiation.
func closure(h *climate.Hourly) float64 {
	n, square := 0.0, 0.0
	for i, r := range h.Hours {
		if r.GlobalWM2 > 0 {
			d := r.DirectWM2*math.Max(0, math.Sin(h.SunHeight(i)*math.Pi/180)) + r.DiffuseWM2 - r.GlobalWM2
			square += d * d
			n++
		}
	}
	return math.Sqrt(square / n)
}

// What real files do and a reader must allow for.
func TestReadEPWAllowsForWhatFilesDo(t *testing.T) {
	plain := strings.ReplaceAll(weather(t, minneapolis), "\r\n", "\n")
	want := read(t, plain)
	for name, text := range map[string]string{
		"CRLF":                  strings.ReplaceAll(plain, "\n", "\r\n"),
		"blank lines":           strings.ReplaceAll(plain, "\n", "\n\n") + "\n \n\r\n",
		"no end of line":        strings.TrimSpace(plain),
		"byte order mark":       "\ufeff" + plain,
		"minute 60":             change(plain, 5, "60", nil),
		"SAVING without S":      strings.Replace(plain, "DAYLIGHT SAVINGS", "DAYLIGHT SAVING", 1),
		"quoted comment":        strings.Replace(plain, "COMMENTS 1,", `COMMENTS 1,"one, two, ""three""",`, 1),
		"a stray quote":         strings.Replace(plain, "COMMENTS 1,", `COMMENTS 1,5" rain gauge,`, 1),
		"reals":                 change(plain, 2, "1.0", nil),
		"comma at the end":      strings.ReplaceAll(plain, "1.0\n2004", "1.0,\n2004"),
		"header in small print": strings.Replace(plain, "LOCATION", "Location", 1),
		"spaces":                strings.ReplaceAll(plain, ",222,", ", 222 ,"),
	} {
		got := read(t, text)
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}

	h := read(t, change(plain, 1, "1999", func(row int) bool { return row > 400 }))
	if !noted(h, "different years") {
		t.Errorf("years: %q", h.Notes)
	}
	var short []string
	for _, line := range strings.Split(plain, "\n") {
		if f := strings.Split(line, ","); len(f) == 35 && len(short) >= 8 {
			line = strings.Join(f[:33], ",")
		}
		short = append(short, line)
	}
	h = read(t, strings.Join(short, "\n"))
	if h.Hours[5].Has(climate.FieldRain) || !noted(h, "There is no rain in any hour") {
		t.Errorf("short rows: %+v %q", h.Hours[5], h.Notes)
	}
	h = read(t, strings.Replace(plain, "SAVINGS,No,0,0,0", "SAVINGS,No,4/3,10/30,0", 1))
	if !noted(h, "summer time") {
		t.Errorf("summer time: %q", h.Notes)
	}
}

// Each missing code, an empty field and a long-wave radiation of 0.
func TestReadEPWMissing(t *testing.T) {
	plain := weather(t, minneapolis)
	odd := func(row int) bool { return row%2 == 1 }
	for _, x := range []struct {
		column int
		codes  []string
		field  climate.Fields
	}{
		{7, []string{"99.9", "", "999"}, climate.FieldTemp},
		{13, []string{"9999", "", "0", "-0.00", "9999.0"}, climate.FieldSky},
		{14, []string{"9999", ""}, climate.FieldGlobal},
		{15, []string{"9999", " "}, climate.FieldDirect},
		{16, []string{"9999"}, climate.FieldDiffuse},
		{22, []string{"999", "999.0"}, climate.FieldWind},
		{34, []string{"999", "999.00"}, climate.FieldRain},
	} {
		for _, code := range x.codes {
			h := read(t, change(plain, x.column, code, odd))
			for i, r := range h.Hours {
				if r.Has(x.field) == odd(i) {
					t.Fatalf("field %d with %q: row %d has %b", x.column, code, i, r.Missing)
				}
			}
			if !noted(h, "372 of 744 hours") && !noted(h, "in 372 hours") {
				t.Errorf("field %d: %q", x.column, h.Notes)
			}
		}
	}
	// Cloud: the opaque counts, the total stands in for it.
	h := read(t, change(plain, 24, "99", odd))
	if h.Hours[0].Cloud != 0.5 || h.Hours[1].Cloud != 0.8 || !h.Hours[1].Has(climate.FieldCloud) {
		t.Errorf("cloud %v, %v", h.Hours[0].Cloud, h.Hours[1].Cloud)
	}
	h = read(t, change(change(plain, 24, "99", odd), 23, "99", odd))
	if h.Hours[1].Has(climate.FieldCloud) || !h.Hours[2].Has(climate.FieldCloud) {
		t.Error("cloud that is missing")
	}
	// Humidity: either stands in for the other.
	h = read(t, change(plain, 9, "999", nil))
	if !h.Hours[0].Has(climate.FieldRH|climate.FieldVapour) || !noted(h, "worked out from the dew point") {
		t.Errorf("%+v %q", h.Hours[0], h.Notes)
	}
	vectortest.Near(t, "humidity by dew point", h.Hours[0].RH, water(-12.2)/water(-8.3), 1e-12)
	vectortest.Near(t, "vapour pressure by dew point", h.Hours[0].VapourPa, water(-12.2), 1e-9)
	h = read(t, change(change(plain, 9, "999", odd), 8, "99.9", odd))
	if h.Hours[1].Has(climate.FieldRH) || h.Hours[1].Has(climate.FieldVapour) {
		t.Error("humidity that is missing")
	}
	h = read(t, change(plain, 8, "20.0", odd))
	vectortest.Near(t, "dew point above the air", h.Hours[1].VapourPa, water(-7.8), 1e-9)
	if !noted(h, "above the air temperature in 372 hours") {
		t.Errorf("%q", h.Notes)
	}
	h = read(t, change(plain, 9, "10", odd))
	if !noted(h, "disagree by more than 10 %") {
		t.Errorf("%q", h.Notes)
	}
}

// A year of nothing but 0 is missing; a month of it is not, and nor is a year with one
// hour of rain.
func TestReadEPWYearOfZeros(t *testing.T) {
	year := change(made(8760, 51), 34, "0.0", nil)
	h := read(t, year)
	if h.Hours[7].Has(climate.FieldRain) || !noted(h, "The rain is 0 all year") {
		t.Errorf("a year without rain: %q", h.Notes)
	}
	if h = read(t, change(year, 34, "0.2", func(row int) bool { return row == 8000 })); !h.Hours[7].Has(climate.FieldRain) {
		t.Error("a year with one hour of rain")
	}
	if h = read(t, change(made(744, 51), 34, "0.0", nil)); !h.Hours[7].Has(climate.FieldRain) {
		t.Error("a month without rain")
	}
	if h = read(t, change(made(8760, 51), 13, "0", nil)); h.Hours[7].Has(climate.FieldSky) || !noted(h, "0 in 8760 hours") {
		t.Errorf("a year without a sky: %q", h.Notes)
	}
	if h.Leap || h.Month(8759) != 11 {
		t.Error("the year does not end in December")
	}
}

func TestReadEPWMends(t *testing.T) {
	plain := weather(t, minneapolis)
	one := func(row int) bool { return row == 3 }
	h := read(t, change(plain, 9, "104", one))
	if h.Hours[3].RH != 1 || !noted(h, "relative humidity was a little outside what can be in 1 hour;") {
		t.Errorf("%v %q", h.Hours[3].RH, h.Notes)
	}
	h = read(t, change(plain, 14, "-2", one))
	if h.Hours[3].GlobalWM2 != 0 || !noted(h, "global radiation was a little outside") {
		t.Errorf("%v %q", h.Hours[3].GlobalWM2, h.Notes)
	}
	h = read(t, change(change(plain, 34, "6.0", one), 35, "6", one))
	if h.Hours[3].RainMM != 6 || !noted(h, "more than one hour stands in one row in 1 hour") {
		t.Errorf("%v %q", h.Hours[3].RainMM, h.Notes)
	}
	if h := read(t, change(plain, 14, "-0.00", one)); math.Signbit(h.Hours[3].GlobalWM2) {
		t.Error("a zero with a sign")
	}
}

// A leap year, a part that runs over New Year, and one that leaves out 29 February.
func TestReadEPWCalendar(t *testing.T) {
	base := strings.SplitAfter(made(8760, 51), "\n")
	head, rows := strings.Join(base[:8], ""), base[8:8+8760]
	february := 24 * (31 + 28)
	var leap []string
	leap = append(leap, rows[:february]...)
	for h := range 24 {
		leap = append(leap, strings.Replace(rows[february-24+h], "2001,2,28,", "2001,2,29,", 1))
	}
	leap = append(leap, rows[february:]...)
	h := read(t, head+strings.Join(leap, ""))
	if !h.Leap || h.At(february) != (climate.Stamp{Month: 2, Day: 29}) || h.At(8783) != (climate.Stamp{Month: 12, Day: 31, Hour: 23}) {
		t.Errorf("leap year: %v %v", h.Leap, h.At(february))
	}
	var winter []string
	winter = append(winter, rows[8760-24*31:]...)
	winter = append(winter, rows[:24*31]...)
	h = read(t, head+strings.Join(winter, ""))
	if h.Start != (climate.Stamp{Month: 12, Day: 1}) || h.At(24*31) != (climate.Stamp{Month: 1, Day: 1}) || noted(h, "different years") {
		t.Errorf("winter: %v %v", h.Start, h.At(24*31))
	}
	for name, rows := range map[string][]string{
		"a row twice":      {rows[0], rows[1], rows[1], rows[2]},
		"a row left out":   {rows[0], rows[1], rows[3]},
		"a month left out": append(append([]string{}, rows[:24*31]...), rows[february:]...),
	} {
		if _, err := climate.ReadEPW(strings.NewReader(head + strings.Join(rows, ""))); err == nil || !strings.Contains(err.Error(), "hour by hour") {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, rows := range map[string][]string{
		"two years":                   append(append([]string{}, rows...), rows...),
		"a day over a year":           append(append([]string{}, rows...), rows[:24]...),
		"a day over a year with leap": append(append([]string{}, leap...), rows[0]),
	} {
		if _, err := climate.ReadEPW(strings.NewReader(head + strings.Join(rows, ""))); err == nil || !strings.Contains(err.Error(), "one year") {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestReadEPWErrors(t *testing.T) {
	plain := strings.ReplaceAll(weather(t, minneapolis), "\r\n", "\n")
	lines := strings.Split(plain, "\n")
	first := func(row int) bool { return row == 0 }
	line := func(n int, text string) string {
		out := append([]string{}, lines...)
		out[n-1] = text
		return strings.Join(out, "\n")
	}
	for _, x := range []struct{ name, text, want string }{
		{"word", change(plain, 7, "abc", first), `line 9, field 7 (dry-bulb temperature): "abc" is not a number`},
		{"later line", change(plain, 7, "abc", func(row int) bool { return row == 90 }), `line 99, field 7 (dry-bulb temperature): "abc" is not a number`},
		{"NaN", change(plain, 14, "NaN", first), `line 9, field 14 (global radiation): "NaN" is not a number`},
		{"infinite", change(plain, 22, "-Inf", first), `line 9, field 22 (wind speed): "-Inf" is not a number`},
		{"hot", change(plain, 7, "71", first), "line 9, field 7 (dry-bulb temperature): 71 is outside -70 to 70"},
		{"dew", change(plain, 8, "-91", first), "line 9, field 8 (dew point): -91 is outside -90 to 70"},
		{"humid", change(plain, 9, "111", first), "line 9, field 9 (relative humidity): 111 is outside 0 to 100"},
		{"dry", change(plain, 9, "-11", first), "field 9 (relative humidity): -11 is outside 0 to 100"},
		{"cold sky", change(plain, 13, "12", first), "field 13 (downward infrared): 12 is outside 40 to 800"},
		{"bright", change(plain, 14, "1600", first), "field 14 (global radiation): 1600 is outside 0 to 1500"},
		{"dark", change(plain, 15, "-11", first), "field 15 (direct normal radiation): -11 is outside 0 to 1500"},
		{"gale", change(plain, 22, "101", first), "field 22 (wind speed): 101 is outside 0 to 100"},
		{"cloud", change(plain, 24, "11", first), "field 24 (opaque sky cover): 11 is outside 0 to 10"},
		{"flood", change(plain, 34, "501", first), "field 34 (liquid precipitation): 501 is outside 0 to 500"},
		{"hour 0", change(plain, 4, "0", first), "line 9, field 4 (hour): 0, want a whole number from 1 to 24"},
		{"month 13", change(plain, 2, "13", first), "line 9, field 2 (month): 13, want a whole number from 1 to 12"},
		{"half an hour", change(plain, 4, "1.5", first), "line 9, field 4 (hour): 1.5, want a whole number"},
		{"31 June", change(change(plain, 2, "6", first), 3, "31", first), "line 9, field 3 (day): month 6 has no day 31"},
		{"no year", change(plain, 1, "", first), `line 9, field 1 (year): "" is not a number`},
		{"few fields", line(9, "2004,1,1"), "line 9: has 3 fields, want 35"},
		{"many fields", line(9, lines[8]+",1"), "line 9: has 36 fields, want 35"},
		{"order of header", line(2, lines[2]), `line 2: begins with "TYPICAL/EXTREME PERIODS", want "DESIGN CONDITIONS" as header line 2 of 8`},
		{"no header", strings.Join(lines[8:], "\n"), `line 1: begins with "2004", want "LOCATION" as header line 1 of 8`},
		{"short place", line(1, "LOCATION,a,b"), "line 1: has 3 fields, want 10"},
		{"latitude", strings.Replace(plain, "44.88", "94.88", 1), "line 1, field 7 (latitude): 94.88 is outside -90 to 90"},
		{"longitude", strings.Replace(plain, "-93.23", "east", 1), `line 1, field 8 (longitude): "east" is not a number`},
		{"zone", strings.Replace(plain, "-93.23,-6.0", "-93.23,-16", 1), "line 1, field 9 (time zone): -16 is outside -12 to 14"},
		{"design count", line(2, "DESIGN CONDITIONS,some"), `line 2, field 2 (number of entries): "some" is not a whole number`},
		{"ground count", line(4, "GROUND TEMPERATURES,-1"), "line 4, field 2 (number of entries): -1, want 0 or more"},
		{"no period", line(8, "DATA PERIODS,0,1"), "line 8, field 2 (number of data periods): 0, want 1 or more"},
		{"quarters of an hour", line(8, "DATA PERIODS,1,4"), "line 8, field 3 (records an hour): 4, want 1"},
		{"nothing", "", `line 1: the file ends where the header line "LOCATION" should be`},
		{"half a header", strings.Join(lines[:5], "\n"), `the file ends where the header line "COMMENTS 1" should be`},
		{"no rows", strings.Join(lines[:8], "\n"), "line 8: the file ends before its first hour of data"},
		{"long line", line(6, "COMMENTS 1,"+strings.Repeat("x", 1<<17)), "line 6: longer than 65536 characters"},
		{"endless", plain + strings.Repeat("\n", 17<<20), "the file is larger than 16 MB"},
		{"a terminal's orders", change(plain, 7, "\x1b[2J"+strings.Repeat("y", 200), first), `"\x1b[2Jyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyyy..." is not a number`},
	} {
		_, err := climate.ReadEPW(strings.NewReader(x.text))
		if err == nil || !strings.Contains(err.Error(), x.want) {
			t.Errorf("%s: %v\nwant %s", x.name, err, x.want)
		}
	}
	broken := errors.New("the disk is gone")
	if _, err := climate.ReadEPW(io.MultiReader(strings.NewReader(plain), iotest.ErrReader(broken))); !errors.Is(err, broken) {
		t.Errorf("an error of the disk gives %v", err)
	}
}

func TestReadEPWNamesAreHarmless(t *testing.T) {
	text := strings.Replace(made(48, 51), "Nowhere", "No\x1b[31mwhere\x07 "+strings.Repeat("long ", 50), 1)
	h := read(t, text)
	if strings.ContainsAny(h.Name, "\x1b\x07") || len([]rune(h.Name)) > 100 || !strings.HasPrefix(h.Name, "No[31mwhere long") {
		t.Errorf("%q", h.Name)
	}
}

// A hostile stream without end is given up, and little of it held.
func TestReadEPWEndlessStream(t *testing.T) {
	head := strings.Join(strings.SplitAfter(made(1, 51), "\n")[:8], "")
	for name, more := range map[string]string{"zeros": "\x00", "blank lines": "\n", "commas": ",", "rows": "2001,1,1,1,0\n"} {
		_, err := climate.ReadEPW(io.MultiReader(strings.NewReader(head), &endless{text: more}))
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

type endless struct{ text string }

func (e *endless) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		n += copy(p[n:], e.text)
	}
	return n, nil
}

func FuzzReadEPW(f *testing.F) {
	for _, name := range []string{minneapolis, piedmont} {
		lines := strings.SplitAfter(weather(f, name), "\n")
		f.Add(strings.Join(lines[:11], ""))
	}
	f.Add(made(3, 51))
	f.Add(made(3, 90))
	f.Add("LOCATION,,,,,,0,0,0,0\n\n")
	f.Fuzz(func(t *testing.T, text string) {
		h, err := climate.ReadEPW(strings.NewReader(text))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "line ") {
				t.Fatalf("an error without a line: %v", err)
			}
			return
		}
		if len(h.Hours) == 0 || len(h.Hours) > 8784 {
			t.Fatalf("%d hours", len(h.Hours))
		}
		for _, h := range []*climate.Hourly{h, h.FillGaps()} {
			for i, r := range h.Hours {
				for _, v := range []float64{r.TempC, r.RH, r.VapourPa, r.WindMS, r.GlobalWM2, r.DirectWM2, r.DiffuseWM2, r.SkyWM2, r.Cloud, r.RainMM, h.SunHeight(i)} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Fatalf("row %d: %+v", i, r)
					}
				}
				if !(r.RH >= 0 && r.RH <= 1 && r.VapourPa >= 0 && r.WindMS >= 0 && r.GlobalWM2 >= 0 && r.SkyWM2 >= 0 && r.RainMM >= 0) {
					t.Fatalf("row %d: %+v", i, r)
				}
				if m := h.Month(i); m < 0 || m > 11 {
					t.Fatalf("row %d in month %d", i, m)
				}
			}
		}
	})
}

func BenchmarkReadEPW(b *testing.B) {
	text := made(8760, 51)
	for b.Loop() {
		if _, err := climate.ReadEPW(strings.NewReader(text)); err != nil {
			b.Fatal(err)
		}
	}
}
