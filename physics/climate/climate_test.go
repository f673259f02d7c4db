package climate

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
	"underlap/physics/moistair"
)

func mustPlaces(t testing.TB) []Place {
	t.Helper()
	all, err := Places()
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 40 {
		t.Fatalf("only %d places", len(all))
	}
	return all
}

// The rows of a place must agree with each other: mean vapour pressure over the
// saturation pressure at the mean temperature is near the mean relative humidity. It
// is not the same, as warm hours hold more, so 0.12 is allowed, and 0.15 where cold
// and mild weather alternate below freezing and saturation is over liquid water.
func TestPlacesAgreeWithThemselves(t *testing.T) {
	for _, p := range mustPlaces(t) {
		north := p.Lat > 0
		if math.Abs(p.Lat) > 20 && (p.TempC[6] > p.TempC[0]) != north {
			t.Errorf("%s: summer and winter are the wrong way round", p.ID)
		}
		for m := range 12 {
			sat, tol := moistair.PSat(p.TempC[m]), 0.12
			if p.OverWater {
				sat, tol = 610.5*math.Exp(17.269*p.TempC[m]/(237.3+p.TempC[m])), 0.15
			}
			vectortest.Near(t, p.ID+" humidity", p.VapourPa[m]/sat, p.RH[m], tol)
		}
		for _, s := range []string{p.Status.Temp, p.Status.RH, p.Status.Vapour, p.Status.Solar, p.Status.Rain} {
			if !strings.HasPrefix(s, "read") && !strings.HasPrefix(s, "derived") && !strings.HasPrefix(s, "memory") {
				t.Errorf("%s: status %q", p.ID, s)
			}
		}
		if p.HasWind == (p.Status.Wind == "") {
			t.Errorf("%s: wind %v with status %q", p.ID, p.HasWind, p.Status.Wind)
		}
		if p.Confidence == "high" && p.Status.Temp != "read" {
			t.Errorf("%s: high confidence without a record", p.ID)
		}
	}
}

func TestByName(t *testing.T) {
	for name, want := range map[string]string{
		"london":            "london",
		" LONDON ":          "london",
		"heathrow":          "london",
		"Heath":             "london",
		"London (Heathrow)": "london",
		"north wales":       "north_wales",
		"North-Wales":       "north_wales",
		"glas":              "glasgow",
		"new orleans":       "new_orleans",
	} {
		p, err := ByName(name)
		if err != nil || p.ID != want {
			t.Errorf("%q gives %q, %v; want %s", name, p.ID, err, want)
		}
	}
}

func TestByNameNamesNearPlaces(t *testing.T) {
	_, err := ByName("Edinbrugh")
	if err == nil || !strings.Contains(err.Error(), "Edinburgh") {
		t.Errorf("a slip of the pen gives %v", err)
	}
	for _, vague := range []string{"", "  ", "?!", "s", "coast"} {
		if p, err := ByName(vague); err == nil {
			t.Errorf("%q gives %s", vague, p.ID)
		}
	}
}

func TestEveryPlaceIsFoundByIDAndNameAndPosition(t *testing.T) {
	for _, p := range mustPlaces(t) {
		for _, name := range []string{p.ID, p.Name, strings.ToUpper(p.Name)} {
			if got, err := ByName(name); err != nil || got.ID != p.ID {
				t.Errorf("%q gives %q, %v", name, got.ID, err)
			}
		}
		got, d, err := Nearest(p.Lat, p.Lon)
		if err != nil || got.ID != p.ID || d > 1 {
			t.Errorf("%s: nearest is %s at %v m, %v", p.ID, got.ID, d, err)
		}
	}
}

func TestNearest(t *testing.T) {
	p, d, err := Nearest(51.5074, -0.1278) // Charing Cross, 23 km from Heathrow
	if err != nil || p.ID != "london" || d < 20e3 || d > 26e3 {
		t.Errorf("%s at %v m, %v", p.ID, d, err)
	}
	// One degree of latitude is 111.2 km on this sphere (calculation).
	vectortest.Near(t, "one degree", distance(50, 0, 51, 0), 111195, 5)
	for _, bad := range [][2]float64{{math.NaN(), 0}, {91, 0}, {0, 181}} {
		if _, _, err := Nearest(bad[0], bad[1]); err == nil {
			t.Errorf("%v: no error", bad)
		}
	}
}

func TestDistanceIsSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat, lon := rapid.Float64Range(-90, 90), rapid.Float64Range(-180, 180)
		a, b, c, d := lat.Draw(t, "a"), lon.Draw(t, "b"), lat.Draw(t, "c"), lon.Draw(t, "d")
		x, y := distance(a, b, c, d), distance(c, d, a, b)
		if math.IsNaN(x) || math.Abs(x-y) > 1 || x > 20.1e6 {
			t.Fatalf("%v one way, %v the other", x, y)
		}
	})
}

func TestStorms(t *testing.T) {
	storms, err := Storms()
	if err != nil || len(storms) == 0 {
		t.Fatal(storms, err)
	}
	for _, p := range mustPlaces(t) {
		s, err := p.Storm()
		if (err == nil) != (p.Country == "GB") {
			t.Errorf("%s in %s: storm %v, %v", p.ID, p.Country, s, err)
		}
	}
	london, err := ByName("london")
	if err != nil {
		t.Fatal(err)
	}
	s, err := london.Storm()
	if err != nil || s.Status != "read" {
		t.Fatal(s, err)
	}
	// 0.022 l/s on a square metre, read in a trade summary of BS EN 12056-3.
	vectortest.Near(t, "London", s.High, 0.022e-3, 1e-12)
}

func TestCreditsNameTheOwners(t *testing.T) {
	for _, want := range []string{"Open Government Licence v3.0", "Met Office", "Met Éireann", "CC BY 4.0", "NREL", "PVGIS (c) European Union"} {
		if !strings.Contains(Credits, want) {
			t.Errorf("the credits do not name %s", want)
		}
	}
}

func TestPlacesAreTheCallersOwn(t *testing.T) {
	a := mustPlaces(t)
	a[0].Name = "changed"
	if b := mustPlaces(t); b[0].Name == "changed" {
		t.Error("a caller can change the table")
	}
}

func onePlace() string {
	row := "[" + strings.Repeat("0.5, ", 11) + "0.5]"
	return "[[place]]\nid='a'\nname='A'\ncountry='GB'\nlat=1.0\nlon=1.0\naltitude_m=1.0\nsource='s'\nlicence='l'\nconfidence='low'\n" +
		"[place.month]\ntemp_c=" + row + "\nrh=" + row + "\nvapour_pa=" + strings.ReplaceAll(row, "0.5", "500.0") + "\nsolar_wm2=" + row + "\nrain_mm=" + row +
		"\n[place.status]\ntemp='read'\nrh='read'\nvapour='read'\nsolar='read'\nrain='read'\n"
}

func TestBadFilesAreRefused(t *testing.T) {
	good := onePlace()
	if _, err := parsePlaces(good); err != nil {
		t.Fatal(err)
	}
	for name, text := range map[string]string{
		"not toml":    "[[",
		"unknown key": "colour = 1\n" + good,
		"twice":       good + good,
		"no licence":  strings.Replace(good, "licence='l'", "", 1),
		"short row":   strings.Replace(good, "rh=[0.5, ", "rh=[", 1),
		"rh over 1":   strings.Replace(good, "rh=[0.5", "rh=[50.0", 1),
		"NaN":         strings.Replace(good, "temp_c=[0.5", "temp_c=[nan", 1),
		"latitude":    strings.Replace(good, "lat=1.0", "lat=100.0", 1),
		"no rain":     strings.Replace(good, "rain_mm", "wind_ms", 1),
	} {
		if _, err := parsePlaces(text); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	for name, text := range map[string]string{
		"not toml": "[[",
		"status":   "[[storm]]\nid='a'\nname='a'\nlow=0.01\nhigh=0.02\nstatus='guess'\n",
		"order":    "[[storm]]\nid='a'\nname='a'\nlow=0.03\nhigh=0.02\nstatus='read'\n",
	} {
		if _, err := parseStorms(text); err == nil {
			t.Errorf("storms, %s: no error", name)
		}
	}
}

func FuzzParsePlaces(f *testing.F) {
	f.Add(onePlace())
	f.Add("[[place]]\nid='a'\n")
	f.Fuzz(func(t *testing.T, text string) {
		places, err := parsePlaces(text)
		if err != nil {
			return
		}
		for _, p := range places {
			for m := range 12 {
				if !(p.RH[m] >= 0 && p.RH[m] <= 1) || math.IsNaN(p.TempC[m]) {
					t.Fatalf("accepted %+v", p)
				}
			}
		}
	})
}

func FuzzByName(f *testing.F) {
	f.Add("london")
	f.Add("North-Wales")
	f.Add("\xff?")
	f.Fuzz(func(t *testing.T, name string) {
		p, err := ByName(name)
		if err == nil && !strings.Contains(plain(p.ID)+" "+plain(p.Name), plain(name)) {
			t.Fatalf("%q gives %q", name, p.Name)
		}
	})
}

func BenchmarkParsePlaces(b *testing.B) {
	for b.Loop() {
		if _, err := parsePlaces(placesFile); err != nil {
			b.Fatal(err)
		}
	}
}
