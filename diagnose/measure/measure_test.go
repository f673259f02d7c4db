package measure

import (
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// readers names every parser, the units of a bare length included. The year
// is fixed so that the table stays true.
var readers = map[string]func(string) (Reading, error){
	"length mm": func(s string) (Reading, error) { return Length(s, Millimetres) },
	"length cm": func(s string) (Reading, error) { return Length(s, Centimetres) },
	"length m":  func(s string) (Reading, error) { return Length(s, Metres) },
	"length in": func(s string) (Reading, error) { return Length(s, Inches) },
	"length ft": func(s string) (Reading, error) { return Length(s, Feet) },
	"count":     Count,
	"litres":    Litres,
	"hours":     Hours,
	"percent":   Percent,
	"area":      Area,
	"years":     func(s string) (Reading, error) { return Years(s, 2026) },
	"celsius":   Celsius,
}

type row struct {
	line   int
	reader string
	typed  string
	rest   []string
}

func table(t testing.TB) []row {
	t.Helper()
	text, err := os.ReadFile("testdata/readings.txt")
	if err != nil {
		t.Fatal(err)
	}
	var rows []row
	for i, line := range strings.Split(string(text), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, "|")
		for j := range cells {
			cells[j] = strings.TrimSpace(cells[j])
		}
		if len(cells) < 4 || readers[cells[0]] == nil {
			t.Fatalf("line %d is no row: %q", i+1, line)
		}
		rows = append(rows, row{i + 1, cells[0], cells[1], cells[2:]})
	}
	return rows
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-12*max(1, math.Abs(a), math.Abs(b)) }

func TestTable(t *testing.T) {
	for _, r := range table(t) {
		got, err := readers[r.reader](r.typed)
		if r.rest[0] == "!" {
			var refusal *Error
			if !errors.As(err, &refusal) {
				t.Errorf("line %d: %s %q was read as %+v", r.line, r.reader, r.typed, got)
				continue
			}
			if !strings.Contains(refusal.Why, r.rest[1]) {
				t.Errorf("line %d: %q is refused with %q", r.line, r.typed, refusal.Why)
			}
			if refusal.Read != r.typed || refusal.What == "" || refusal.Expected == "" || refusal.Example == "" {
				t.Errorf("line %d: incomplete: %#v", r.line, refusal)
			}
			continue
		}
		if err != nil {
			t.Errorf("line %d: %v", r.line, err)
			continue
		}
		value, err1 := strconv.ParseFloat(r.rest[0], 64)
		tolerance, err2 := strconv.ParseFloat(r.rest[1], 64)
		if err1 != nil || err2 != nil || len(r.rest) != 3 {
			t.Fatalf("line %d is no row", r.line)
		}
		if !near(got.Value, value) || !near(got.Tolerance, tolerance) || got.Vague != (r.rest[2] == "vague") {
			t.Errorf("line %d: %q is %+v, want %v ± %v %s", r.line, r.typed, got, value, tolerance, r.rest[2])
		}
	}
}

// The examples in the messages must themselves be readable.
func TestExamplesAreRead(t *testing.T) {
	for name, read := range readers {
		_, err := read("no such thing")
		var refusal *Error
		if !errors.As(err, &refusal) {
			t.Fatalf("%s: %v", name, err)
		}
		for _, example := range strings.FieldsFunc(strings.ReplaceAll(refusal.Example, " or ", ","), func(r rune) bool { return r == ',' }) {
			if _, err := read(strings.TrimSpace(example)); err != nil {
				t.Errorf("%s: the example is refused: %v", name, err)
			}
		}
	}
}

func TestErrorReadsWell(t *testing.T) {
	_, err := Length("thick", Millimetres)
	want := `"thick" is not read as a length: "thick" is not understood here. ` +
		`Give mm, cm, m or inches, with a tolerance if there is one, for example 480, 48 cm, 18 7/8", about 400, 480 +- 5 or 4 bricks.`
	if err == nil || err.Error() != want {
		t.Errorf("got %v", err)
	}
}

func TestTooLongIsCutInTheMessage(t *testing.T) {
	_, err := Litres(strings.Repeat("9", 100000))
	if err == nil || len(err.Error()) > 600 || !strings.Contains(err.Error(), "too long") {
		t.Errorf("got %.700v", err)
	}
}

func TestSI(t *testing.T) {
	for _, c := range []struct {
		read             func(string) (Reading, error)
		typed            string
		value, tolerance float64
	}{
		{readers["length mm"], "480 ± 5", 0.48, 0.005},
		{Litres, "2 ± 1", 0.002, 0.001},
		{Hours, "2 ± 1", 7200, 3600},
		{Percent, "60 ± 5", 0.6, 0.05},
		{Area, "18", 18, 0},
		{Celsius, "-3", -3, 0},
		{Count, "4", 4, 0},
		{readers["years"], "4", 4, 0},
	} {
		r, err := c.read(c.typed)
		if err != nil {
			t.Fatal(err)
		}
		if v, tol := r.SI(); !near(v, c.value) || !near(tol, c.tolerance) {
			t.Errorf("%q: %v ± %v", c.typed, v, tol)
		}
	}
}

func TestUnknownAssumedUnitPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	Length("1", "furlong")
}

func TestFormat(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{MM(0.48), "480 mm"},
		{MM(0), "0 mm"},
		{MM(-0.0001), "0 mm"},
		{MM(math.NaN()), "not known"},
		{MM(math.Inf(1)), "not known"},
		{MM(math.MaxFloat64), "not known"},
		{M(3.204), "3.2 m"},
		{M2(18.46), "18.5 m²"},
		{L(0.25), "250 ml"},
		{L(0.9996), "1 L"},
		{L(2.5), "2.5 L"},
		{H(1.0 / 3), "20 min"},
		{H(0.995), "1 h"},
		{H(1.5), "1.5 h"},
		{H(47.96), "2 days"},
		{H(168), "7 days"},
		{Pct(59.6), "60 %"},
		{DegC(-0.04), "0 °C"},
		{DegC(18.46), "18.5 °C"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// What is written is read back as the same value, within the rounding of the
// writing, without a tolerance and without doubt.
func TestFormatParsesBack(t *testing.T) {
	formats := []struct {
		name     string
		format   func(float64) string
		read     func(string) (Reading, error)
		low, top float64
		rounding func(x float64) float64
	}{
		{"mm", MM, readers["length in"], 0, 60, func(float64) float64 { return 0.0005 }},
		{"m", M, readers["length mm"], 0, 60, func(float64) float64 { return 0.005 }},
		{"m2", M2, Area, 0, 90000, func(float64) float64 { return 0.05 }},
		{"%", Pct, Percent, 0, 100, func(float64) float64 { return 0.5 }},
		{"degC", DegC, Celsius, -60, 120, func(float64) float64 { return 0.05 }},
		{"L", L, Litres, 0, 100000, func(x float64) float64 {
			if x < 0.9995 {
				return 0.0005
			}
			return 0.05
		}},
		{"h", H, Hours, 0, 876600, func(x float64) float64 {
			switch {
			case x < 59.5/60:
				return 0.5 / 60
			case x < 47.95:
				return 0.05
			}
			return 1.2
		}},
	}
	for _, f := range formats {
		t.Run(f.name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				x := rapid.OneOf(rapid.Float64Range(f.low, f.top), rapid.Float64Range(f.low, min(f.top, 3))).Draw(t, "x")
				text := f.format(x)
				got, err := f.read(text)
				if err != nil {
					t.Fatal(err)
				}
				if math.Abs(got.Value-x) > f.rounding(x)*(1+1e-6)+1e-9*math.Abs(x) || got.Tolerance != 0 || got.Vague {
					t.Fatalf("%v was written %q and read as %+v", x, text, got)
				}
			})
		})
	}
}

// The same length in any notation is the same length, and a range or a
// tolerance encloses what it was made from.
func TestNotations(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.IntRange(1, 59000).Draw(t, "mm")
		half := rapid.IntRange(0, min(mm, 500)).Draw(t, "half")
		want := float64(mm) / 1000
		tenth := strconv.Itoa(mm/10) + "." + strconv.Itoa(mm%10)
		for _, typed := range []string{
			strconv.Itoa(mm),
			humanGroups(mm),
			humanGroups(mm) + " mm",
			strings.ReplaceAll(humanGroups(mm), ",", " "),
			strconv.FormatFloat(want, 'f', -1, 64) + " m",
			tenth + "cm",
			strings.Replace(tenth, ".", ",", 1) + " centimetres",
		} {
			got, err := Length(typed, Millimetres)
			if err != nil || !near(got.Value, want) || got.Tolerance != 0 || got.Vague {
				t.Fatalf("%q is %+v, want %v, %v", typed, got, want, err)
			}
		}
		low, high := strconv.Itoa(mm-half), strconv.Itoa(mm+half)
		for _, typed := range []string{low + "-" + high, low + " to " + high + " mm", strconv.Itoa(mm) + " +- " + strconv.Itoa(half)} {
			got, err := Length(typed, Millimetres)
			if err != nil || !near(got.Value, want) || !near(got.Tolerance, float64(half)/1000) {
				t.Fatalf("%q is %+v, %v", typed, got, err)
			}
		}
	})
}

// humanGroups writes 1200 as "1,200".
func humanGroups(n int) string {
	s := strconv.Itoa(n)
	if n < 1000 {
		return s
	}
	return s[:len(s)-3] + "," + s[len(s)-3:]
}

// No text makes a parser panic, and whatever is accepted is a finite number
// within the limits of the quantity.
func FuzzRead(f *testing.F) {
	for _, r := range table(f) {
		f.Add(r.typed)
	}
	limits := map[string]float64{
		"count": 10000, "litres": 100000, "hours": 876600, "percent": 100, "area": 90000, "years": 500, "celsius": 120,
	}
	f.Fuzz(func(t *testing.T, typed string) {
		for name, read := range readers {
			got, err := read(typed)
			if err != nil {
				var refusal *Error
				if !errors.As(err, &refusal) || refusal.Why == "" {
					t.Fatalf("%s %q: %v", name, typed, err)
				}
				if got != (Reading{}) {
					t.Fatalf("%s %q: refused, and yet %+v", name, typed, got)
				}
				continue
			}
			limit, known := limits[name]
			if !known {
				limit = MaxLength
			}
			low := 0.0
			if name == "celsius" {
				low = -60
			}
			// The comparisons are written so that NaN fails them.
			if !(got.Value >= low && got.Value <= limit) || !(got.Tolerance >= 0 && got.Tolerance <= 2*limit) {
				t.Fatalf("%s %q: %+v", name, typed, got)
			}
		}
	})
}
