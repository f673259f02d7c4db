package climate_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"underlap/physics/climate"
	"underlap/physics/internal/vectortest"
)

// The calendar of the standard library is the reference: 2001 has no 29 February, 2004
// has one. A year of rows goes round.
func TestCalendarByTheStandardLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		leap := rapid.Bool().Draw(t, "leap")
		year, hours := 2001, 8760
		if leap {
			year, hours = 2004, 8784
		}
		from := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
		start := from.Add(time.Duration(rapid.IntRange(0, hours-1).Draw(t, "start")) * time.Hour)
		h := climate.Hourly{Leap: leap, Start: climate.Stamp{Month: int(start.Month()), Day: start.Day(), Hour: start.Hour()}}
		i := rapid.IntRange(0, hours-1).Draw(t, "row")
		at := start.Add(time.Duration(i) * time.Hour)
		if at.Year() > year {
			at = at.Add(-time.Duration(hours) * time.Hour)
		}
		want := climate.Stamp{Month: int(at.Month()), Day: at.Day(), Hour: at.Hour()}
		if got := h.At(i); got != want || h.Month(i) != want.Month-1 {
			t.Fatalf("row %d from %v is %v, want %v", i, h.Start, got, want)
		}
	})
}

func TestFields(t *testing.T) {
	row := climate.Hour{Missing: climate.FieldRain | climate.FieldSky}
	if row.Has(climate.FieldRain) || row.Has(climate.FieldTemp|climate.FieldSky) || !row.Has(climate.FieldTemp|climate.FieldRH) {
		t.Errorf("%b", row.Missing)
	}
	if !row.Missing.Has(climate.FieldRain|climate.FieldSky) || row.Missing.Has(climate.FieldRain|climate.FieldTemp) {
		t.Errorf("%b", row.Missing)
	}
}

// The row's height of the sun is that of its moment, whatever the zone.
func TestRowSunHeight(t *testing.T) {
	h := climate.Hourly{Lat: 52, Lon: 5, Start: climate.Stamp{Month: 6, Day: 21}, ZoneH: 1, SunZoneH: 1, SunAtH: 0.5}
	want, err := climate.SunHeight(52, 5, 6, 21, 10.5)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.Near(t, "row 11 in UTC+1", h.SunHeight(11), want, 1e-12)
	h.SunZoneH, h.SunAtH = 0, 0.2
	want, err = climate.SunHeight(52, 5, 6, 21, 11.2)
	if err != nil {
		t.Fatal(err)
	}
	vectortest.Near(t, "row 11 by the radiation", h.SunHeight(11), want, 1e-12)
}

// Means by month of the hourly file of Antwerp, worked out apart from this program from
// the file as supplied: temperature degC, humidity %, wind m/s, global, direct, diffuse
// and sky W/m2, vapour pressure over water Pa.
var antwerp = [12][8]float64{
	{6.3236, 83.5246, 5.0085, 28.5901, 40.4313, 19.3871, 302.1047, 812.4484},
	{6.1217, 82.1832, 3.3901, 77.6830, 121.4307, 34.1592, 287.2591, 776.6384},
	{4.2358, 76.7410, 3.8911, 108.2782, 109.3659, 60.1452, 278.0331, 673.7375},
	{8.7750, 72.5503, 2.8970, 163.8403, 137.4201, 92.5694, 296.5360, 814.9286},
	{14.0205, 72.2833, 3.3611, 198.7621, 151.3878, 109.9691, 326.1681, 1147.6960},
	{16.3880, 74.0065, 2.5476, 229.6486, 175.6962, 123.6528, 338.7342, 1369.2161},
	{18.8081, 72.1603, 3.0854, 211.1774, 163.4921, 111.2903, 358.2413, 1551.8068},
	{17.1907, 76.5000, 3.3467, 156.3562, 104.2008, 99.7419, 354.4051, 1495.2881},
	{13.9394, 77.4961, 3.3527, 130.9403, 129.1644, 70.0917, 329.0742, 1237.3963},
	{11.0994, 82.4886, 3.3391, 77.8347, 92.3919, 43.5941, 321.9903, 1115.0809},
	{7.4455, 84.5222, 3.4649, 46.8167, 78.2857, 25.3264, 297.3121, 889.4861},
	{6.0593, 88.1108, 3.8619, 25.4973, 39.5328, 17.0457, 303.6194, 853.7392},
}

func lowland(t testing.TB) *climate.Hourly {
	t.Helper()
	h, err := climate.Lowland()
	if err != nil {
		t.Fatal(err)
	}
	return h
}

func TestLowlandMeans(t *testing.T) {
	h := lowland(t)
	var got [12][8]float64
	var n [12]float64
	for i, r := range h.Hours {
		m := h.Month(i)
		n[m]++
		for k, v := range []float64{r.TempC, 100 * r.RH, r.WindMS, r.GlobalWM2, r.DirectWM2, r.DiffuseWM2, r.SkyWM2, r.VapourPa} {
			got[m][k] += v
		}
		if r.Missing != climate.FieldRain|climate.FieldCloud {
			t.Fatalf("row %d lacks %b", i, r.Missing)
		}
	}
	for m := range got {
		for k := range got[m] {
			vectortest.Near(t, time.Month(m+1).String(), got[m][k]/n[m], antwerp[m][k], 6e-5)
		}
	}
	// The first row of the file as supplied.
	r := h.Hours[0]
	if r.TempC != 4.61 || r.RH != 0.968 || r.WindMS != 1.81 || r.SkyWM2 != 313.5 {
		t.Errorf("first hour %+v", r)
	}
	if len(h.Hours) != 8760 || h.At(0) != (climate.Stamp{Month: 1, Day: 1}) {
		t.Errorf("%d hours from %v", len(h.Hours), h.At(0))
	}
}

// Direct radiation times the sine of the sun's height and diffuse radiation are the
// global: the sun stands where it should, at the right time.
func TestLowlandCloses(t *testing.T) {
	h := lowland(t)
	left := closure(h)
	if left > 2 {
		t.Errorf("%.2f W/m2 are left", left)
	}
	t.Logf("direct and diffuse leave %.2f W/m2 of the global", left)
	for _, wrong := range []float64{-0.1, 0.5, 1.2} {
		h.SunAtH = wrong
		if closure(h) < 1.5*left {
			t.Errorf("at %v h only %.2f W/m2 are left", wrong, closure(h))
		}
	}
}

func TestLowlandIsTheCallersOwn(t *testing.T) {
	a := lowland(t)
	a.Hours[0].TempC = 99
	a.Notes[0] = "changed"
	if b := lowland(t); b.Hours[0].TempC == 99 || b.Notes[0] == "changed" {
		t.Error("a caller can change the year")
	}
}

func TestPlaceOfAnHourlyYear(t *testing.T) {
	p, err := lowland(t).Place()
	if err != nil {
		t.Fatal(err)
	}
	for m, want := range antwerp {
		vectortest.Near(t, "temperature", p.TempC[m], want[0], 6e-5)
		vectortest.Near(t, "humidity", 100*p.RH[m], want[1], 6e-5)
		vectortest.Near(t, "wind", p.WindMS[m], want[2], 6e-5)
		vectortest.Near(t, "radiation", p.SolarWM2[m], want[3], 6e-5)
		vectortest.Near(t, "vapour pressure", p.VapourPa[m], want[7], 6e-5)
	}
	// The 36th coldest of 8760 hours, worked out apart from this program.
	vectortest.Near(t, "design temperature", p.DesignMinC, -2.93, 1e-9)
	if !p.HasDesignMin || !p.HasWind || !p.OverWater || p.Status.Rain != "" || p.RainMM != [12]float64{} || p.ID != "antwerp" || p.Status.Wind != "read" {
		t.Errorf("%+v", p)
	}
}

func TestPlaceNeedsMostOfAMonth(t *testing.T) {
	// The hours of July: 31 days from hour 4344 of the year.
	lack := func(n int, f climate.Fields) *climate.Hourly {
		h := lowland(t)
		for i := 4344; i < 4344+n; i++ {
			h.Hours[i].Missing |= f
			h.Hours[i].TempC, h.Hours[i].WindMS = 1e6, 1e6 // must not be counted
		}
		return h
	}
	p, err := lack(74, climate.FieldTemp|climate.FieldWind).Place()
	if err != nil || p.TempC[6] > 30 || !p.HasWind || p.WindMS[6] > 30 {
		t.Errorf("July without 74 hours: %v %v, %v", p.TempC[6], p.WindMS[6], err)
	}
	if _, err := lack(75, climate.FieldTemp).Place(); err == nil || !strings.Contains(err.Error(), "no mean for July: 669 of 744 hours have air temperature, want nine in ten") {
		t.Errorf("July without 75 hours: %v", err)
	}
	h := lack(75, climate.FieldWind)
	for i := 4344; i < 4344+75; i++ {
		h.Hours[i].TempC = 20
	}
	if p, err := h.Place(); err != nil || p.HasWind || p.WindMS != [12]float64{} || p.Status.Wind != "" {
		t.Errorf("July without 75 hours of wind: %v %v, %v", p.HasWind, p.WindMS, err)
	}
	if _, err := read(t, weather(t, minneapolis)).Place(); err == nil || !strings.Contains(err.Error(), "February") {
		t.Errorf("January alone: %v", err)
	}
	h = lowland(t)
	h.Lat = 99
	if _, err := h.Place(); err == nil {
		t.Error("latitude 99")
	}
}

func TestPlaceSumsRain(t *testing.T) {
	h := lowland(t)
	for i := range h.Hours {
		h.Hours[i].Missing &^= climate.FieldRain
		h.Hours[i].RainMM = 0.1
	}
	h.Hours[0].Missing |= climate.FieldRain
	p, err := h.Place()
	if err != nil {
		t.Fatal(err)
	}
	// An hour that is missing rains like the others of its month.
	vectortest.Near(t, "January", p.RainMM[0], 74.4, 1e-9)
	vectortest.Near(t, "February", p.RainMM[1], 67.2, 1e-9)
}

func TestFillGapsAlongALine(t *testing.T) {
	h := lowland(t)
	blank := func(from, n int, f climate.Fields) {
		for i := from; i < from+n; i++ {
			r := &h.Hours[(i+8760)%8760]
			r.Missing |= f
			for _, x := range []struct {
				f climate.Fields
				v *float64
			}{{climate.FieldTemp, &r.TempC}, {climate.FieldWind, &r.WindMS}, {climate.FieldVapour, &r.VapourPa}, {climate.FieldRH, &r.RH}} {
				if f.Has(x.f) {
					*x.v = 0
				}
			}
		}
	}
	before := lowland(t)
	blank(100, 6, climate.FieldTemp)
	blank(200, 7, climate.FieldTemp)
	blank(-2, 4, climate.FieldWind) // over New Year
	blank(300, 1, climate.FieldVapour|climate.FieldRH)
	blank(400, 9, climate.FieldVapour)
	blank(500, 9, climate.FieldRH)
	out := h.FillGaps()
	for k := 1; k <= 6; k++ {
		a, b := before.Hours[99].TempC, before.Hours[106].TempC
		vectortest.Near(t, "temperature", out.Hours[99+k].TempC, a+(b-a)*float64(k)/7, 1e-12)
	}
	for k := 1; k <= 4; k++ {
		a, b := before.Hours[8757].WindMS, before.Hours[2].WindMS
		vectortest.Near(t, "wind over New Year", out.Hours[(8757+k)%8760].WindMS, a+(b-a)*float64(k)/5, 1e-12)
	}
	if out.Hours[203].Has(climate.FieldTemp) || !noted(out, "still no air temperature in 7 of 8760 hours") || !noted(out, "air temperature was filled between its neighbours in 6 hours") {
		t.Errorf("a gap of 7 hours: %q", out.Notes)
	}
	vectortest.Near(t, "vapour pressure", out.Hours[300].VapourPa, (before.Hours[299].VapourPa+before.Hours[301].VapourPa)/2, 1e-9)
	vectortest.Near(t, "vapour pressure from humidity", out.Hours[404].VapourPa, before.Hours[404].VapourPa, 1e-9)
	vectortest.Near(t, "humidity from vapour pressure", out.Hours[504].RH, before.Hours[504].RH, 1e-12)
	if !noted(out, "vapour pressure was worked out from the relative humidity in 9 hours") || !noted(out, "wind was filled between its neighbours in 4 hours") {
		t.Errorf("%q", out.Notes)
	}
	if h.Hours[100].Has(climate.FieldTemp) || len(h.Notes) != len(before.Notes) {
		t.Error("the year itself was changed")
	}
	// In a part of a year the ends stay open.
	h = lowland(t)
	h.Hours = h.Hours[:100]
	blank2 := []int{0, 1, 98, 99}
	for _, i := range blank2 {
		h.Hours[i].Missing |= climate.FieldWind
	}
	out = h.FillGaps()
	for _, i := range blank2 {
		if out.Hours[i].Has(climate.FieldWind) {
			t.Errorf("row %d of a part is filled", i)
		}
	}
	for i := range h.Hours {
		h.Hours[i].Missing |= climate.FieldWind
	}
	if out = h.FillGaps(); !noted(out, "still no wind in any hour") {
		t.Errorf("no wind at all: %q", out.Notes)
	}
}

// The infrared column of a TMY3 file was made from dew point and opaque cloud; the same
// formula must give it again.
func TestFillGapsSkyFromCloudAgainstTMY3(t *testing.T) {
	text := weather(t, minneapolis)
	want := read(t, text)
	got := read(t, change(text, 13, "9999", nil)).FillGaps()
	n, total, worst := 0.0, 0.0, 0.0
	for i, r := range got.Hours {
		if !want.Hours[i].Has(climate.FieldSky) || !r.Has(climate.FieldSky) {
			t.Fatalf("row %d has no sky", i)
		}
		d := r.SkyWM2 - want.Hours[i].SkyWM2
		n, total, worst = n+1, total+d, math.Max(worst, math.Abs(d))
	}
	vectortest.Near(t, "mean difference", total/n, 0, 0.3)
	if worst > 1 {
		t.Errorf("an hour is %.2f W/m2 off", worst)
	}
	if !noted(got, "worked out from cloud in 744 hours") {
		t.Errorf("%q", got.Notes)
	}
	t.Logf("mean %.2f, largest %.2f W/m2", total/n, worst)
}

// Without cloud the radiation of the day stands in. Held against the long-wave radiation
// of the files, W/m2. That of the PVGIS files is from a weather model, that of the TMY3
// file from a formula for dew point and cloud which has the clear sky warmer.
func TestFillGapsSkyFromRadiation(t *testing.T) {
	us := weather(t, minneapolis)
	clear := change(change(change(us, 13, "9999", nil), 23, "99", nil), 24, "99", nil)
	pv := weather(t, piedmont)
	low := lowland(t)
	for i := range low.Hours {
		low.Hours[i].SkyWM2 = 0
		low.Hours[i].Missing |= climate.FieldSky
	}
	for _, x := range []struct {
		name            string
		want, got       *climate.Hourly
		mean, scatterTo float64
	}{
		{"Minneapolis, January", read(t, us), read(t, clear).FillGaps(), 15, 24},
		{"45 N 8 E, January", read(t, pv), read(t, change(pv, 13, "9999", nil)).FillGaps(), 6, 26},
		{"Antwerp", lowland(t), low.FillGaps(), 6, 23},
	} {
		n, total, square := 0.0, 0.0, 0.0
		for i, r := range x.got.Hours {
			if !r.Has(climate.FieldSky) {
				t.Fatalf("%s: row %d has no sky", x.name, i)
			}
			d := r.SkyWM2 - x.want.Hours[i].SkyWM2
			n, total, square = n+1, total+d, square+d*d
		}
		t.Logf("%s: mean %+.1f, root mean square %.1f W/m2", x.name, total/n, math.Sqrt(square/n))
		if math.Abs(total/n) > x.mean || math.Sqrt(square/n) > x.scatterTo {
			t.Errorf("%s: mean %+.1f, root mean square %.1f W/m2", x.name, total/n, math.Sqrt(square/n))
		}
		if !noted(x.got, "worked out from the radiation of the day") {
			t.Errorf("%s: %q", x.name, x.got.Notes)
		}
	}
}

// Nothing to go by: the sky stays missing.
func TestFillGapsWithoutCloudOrRadiation(t *testing.T) {
	h := lowland(t)
	for i := range h.Hours {
		h.Hours[i].Missing |= climate.FieldSky
		if i >= 100 {
			h.Hours[i].Missing |= climate.FieldGlobal
		}
	}
	out := h.FillGaps()
	if !out.Hours[50].Has(climate.FieldSky) || out.Hours[150].Has(climate.FieldSky) || !noted(out, "still no long-wave radiation of the sky in 86") {
		t.Errorf("%v %v %q", out.Hours[50].SkyWM2, out.Hours[150].SkyWM2, out.Notes)
	}
	h.Hours[120].Missing |= climate.FieldTemp
	h.Hours[120].Cloud, h.Hours[130].Cloud = 0.5, 0.5
	h.Hours[130].Missing &^= climate.FieldCloud
	if out = h.FillGaps(); !out.Hours[130].Has(climate.FieldSky) {
		t.Error("an hour with cloud has no sky")
	}
}
