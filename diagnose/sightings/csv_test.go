package sightings

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// days writes what was taken, a line a day.
func days(im Import) string {
	var out []string
	for _, w := range im.Days {
		out = append(out, w.Day.String()+" "+w.String())
	}
	return strings.Join(out, "\n")
}

// Files as services in general write them, all invented.
func TestReadCSV(t *testing.T) {
	for _, x := range []struct {
		name, text string
		u          Units
		want       string
		notes      []string
	}{
		{
			name: "plain", text: "date,rain,tmin,tmax\n2026-11-03,12,2,8\n2026-11-04,0,-1.5,4\n", want: "2026-11-03 rain 12 min 2 max 8\n2026-11-04 rain 0 min -1.5 max 4",
			notes: []string{`rain: column "rain", no unit stated, taken as mm; 0 to 12 mm`, "2 days, 2026-11-03 to 2026-11-04"},
		},
		{
			name: "preface, comments, quotes, byte order mark, carriage returns", text: "\xef\xbb\xbf# made up\r\nlatitude,longitude\r\n51,-1\r\n\r\n\"time\",\"precipitation_sum (mm)\",\"temperature_2m_mean (°C)\",\"wind_speed_10m_mean (km/h)\",\"wind_direction_10m_dominant (°)\"\r\n\"2026-11-03T00:00\",\"1.2\",7.5,18,270\r\n",
			want: "2026-11-03 rain 1.2 mean 7.5 wind 5 from 270", notes: []string{"unit km/h by the heading"},
		},
		{
			name: "semicolons and decimal commas, dates with dots", text: "Datum;RSK [mm];TMK;TNK;TXK\n13.11.2026;12,5;3,4;-1,0;8,25\n14.11.2026;;;;\n3.11.2026;-999;1;0;2\n", want: "2026-11-03 mean 1 min 0 max 2\n2026-11-13 rain 12.5 mean 3.4 min -1 max 8.25",
			notes: []string{"1 day without a figure", "day first"},
		},
		{name: "tenths", text: "STATION,DATE,PRCP,TMAX,TMIN,AWND\nX1,2026-11-03,125,83,-21,52\n", u: Units{Rain: "0.1mm", Temp: "0.1C", Wind: "0.1m/s"}, want: "2026-11-03 rain 12.5 min -2.1 max 8.3 wind 5.2", notes: []string{"unit 0.1mm as you said"}},
		{
			name: "inches and Fahrenheit", text: "Date\tRain (in)\tMax temperature (°F)\tMin temperature (F)\tWind speed (mph)\n11/3/2026\t0.5\t50\t32\t10\n11/25/2026\tT\t41\tM\t\n", want: "2026-11-03 rain 12.7 min 0 max 10 wind 4.47\n2026-11-25 rain 0 max 5",
			notes: []string{"month first"},
		},
		{name: "units hung on", text: "day,rain_mm,temp_c,wind_kn\n20261103,3,4,10\n", want: "2026-11-03 rain 3 mean 4 wind 5.14"},
		{name: "year, month and day apart", text: "station,year,month,day,prec,tg\n1,2026,11,3,4.4,6\n1,2026,11,4,0,7\n", want: "2026-11-03 rain 4.4 mean 6\n2026-11-04 rain 0 mean 7"},
		{name: "months by name", text: "date,maxtp,mintp,rain,wdsp\n03-nov-2026,9.1,4.3,0.2,9.9\n", u: Units{Wind: "kn"}, want: "2026-11-03 rain 0.2 min 4.3 max 9.1 wind 5.09"},
		{name: "sum rather than rain alone, mean wind rather than gusts", text: "date,rain_sum,precipitation_sum,wind_speed_10m_max,wind_speed_10m_mean\n2026-11-03,1,2,9,4\n", want: "2026-11-03 rain 2 wind 4"},
		{name: "a forecast is left out", text: "date,rain\n2026-11-24,1\n2026-11-25,2\n2026-11-26,3\n", want: "2026-11-24 rain 1\n2026-11-25 rain 2", notes: []string{"1 day after today left out"}},
		{name: "an old spreadsheet's degree sign", text: "date,tmax (\xb0C)\n2026-11-03,5\n", want: "2026-11-03 max 5"},
		{name: "order of dates by flag", text: "date,rain\n3/11/2026,1\n", u: Units{Dates: "dmy"}, want: "2026-11-03 rain 1"},
	} {
		im, err := ReadCSV(strings.NewReader(x.text), x.u, today)
		if err != nil || days(im) != x.want {
			t.Errorf("%s: %v\n%s\nwant\n%s", x.name, err, days(im), x.want)
		}
		for _, n := range x.notes {
			if !strings.Contains(strings.Join(im.Notes, "\n"), n) {
				t.Errorf("%s: no note %q in %q", x.name, n, im.Notes)
			}
		}
	}
}

// What cannot be is refused by line, with what to do, and nothing is taken.
func TestReadCSVRefuses(t *testing.T) {
	for _, x := range []struct {
		text string
		u    Units
		want []string
	}{
		{text: "", want: []string{"no line of headings", "date,rain,tmin,tmax"}},
		{text: "a,b\n1,2\n", want: []string{"no line of headings"}},
		{text: "date,rain\n", want: []string{"not one day"}},
		{text: "date,rain\n2026-11-03,wet\n2026-11-04,1\n", want: []string{"line 2", `"wet" in column "rain" is not a figure`, "nothing was taken"}},
		{text: "# x\n\ndate,rain\n2026-11-03,1\nNov,1\n", want: []string{"line 5", `"Nov" is no date`}},
		{text: "date,rain\n2026-11-03,1\n2026-11-03,2\n", want: []string{"line 3", "stands in line 2 already", "daily values"}},
		{text: "time,temperature_2m\n2026-11-03T00:00,1\n2026-11-03T01:00,2\n", want: []string{"not one line a day"}},
		{text: "date,tmax\n2026-11-03,215\n", want: []string{"215", "another unit", "--temp-unit", "0.1C"}},
		{text: "date,tmin,tmax\n2026-11-03,8,2\n", want: []string{"line 2", "above"}},
		{text: "date,rain\n2026-11-03,-4\n", want: []string{"cannot be"}},
		{text: "date,rain\n2026-11-03,0x10\n", want: []string{"not a figure"}},
		{text: "date,tmin,tmax\n2026-11-03,1\n", want: []string{"line 2", "only 2 columns"}},
		{text: "date,rain (furlongs)\n2026-11-03,1\n", want: []string{"line 1", `"furlongs" is not known`, "--rain-unit"}},
		{text: "date,rain\n2026-11-03,1\n", u: Units{Rain: "pints"}, want: []string{`"pints" is not one for rain`, "mm, cm"}},
		{text: "date,rain\n3/11/2026,1\n4/11/2026,1\n", want: []string{"--dates dmy or --dates mdy"}},
		{text: "date,rain\n13/11/2026,1\n11/13/2026,1\n", want: []string{"neither"}},
		{text: "date,rain\n2026-02-30,1\n", want: []string{"there is no day 2026-02-30"}},
		{text: "date,rain\n2027-01-01,1\n", want: []string{"lie after today"}},
		{text: "date,rain\n2026-11-01,a\n2026-11-02,b\n2026-11-03,c\n2026-11-04,d\n2026-11-05,e\n", want: []string{"line 4", "and 2 more"}},
		{text: "\xff\xfed\x00a\x00", want: []string{"UTF-16"}},
		{text: "date,rain\n" + strings.Repeat("x", mostBytes), want: []string{"larger than"}},
	} {
		im, err := ReadCSV(strings.NewReader(x.text), x.u, today)
		if err == nil || len(im.Days) > 0 {
			t.Errorf("%.60q: taken: %s", x.text, days(im))
			continue
		}
		for _, w := range x.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%.60q: %v; want %q", x.text, err, w)
			}
		}
	}
}

// The sample that the README names.
func TestTheSampleIsRead(t *testing.T) {
	f, err := os.Open("../../testdata/days/daily.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	im, err := ReadCSV(f, Units{}, today)
	if err != nil || len(im.Days) != 85 || im.Days[0].String() != "rain 8.4 mean 12.5 min 10.8 max 14.6 wind 5.3" {
		t.Errorf("%v: %d days, %s", err, len(im.Days), im.Days[0])
	}
}

// No file makes it panic; what is taken lies in the past, is sorted, can be, and is kept
// in a case as it was read.
func FuzzReadCSV(f *testing.F) {
	f.Add([]byte("date,rain,tmin,tmax\n2026-11-03,12,2,8\n"))
	f.Add([]byte("Datum;RSK [mm];TNK\n3.11.2026;12,5;-1,0\n13.11.2026;;\n"))
	f.Add([]byte("year\tmonth\tday\tprcp (in)\n2026\t11\t3\tT\n"))
	f.Add([]byte("\"time\",\"temp_f\"\n2026-11-03T00:00,\"40\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		im, err := ReadCSV(bytes.NewReader(text), Units{}, today)
		if err != nil {
			if len(im.Days) > 0 {
				t.Fatal("refused and taken")
			}
			return
		}
		last := earliest - 1
		for _, w := range im.Days {
			if w.Day <= last || w.Day > today || w.Empty() || w.contradicts() != "" {
				t.Fatalf("%s %s after %s", w.Day, w, last)
			}
			last = w.Day
		}
		e := WeatherEvent(im.Days, "fuzz")
		e.At = today.Time()
		list, bad := weatherOf(e)
		if len(bad) > 0 || days(Import{Days: list}) != days(im) {
			t.Fatalf("kept and read again: %q\n%s\n%s", bad, days(Import{Days: list}), days(im))
		}
	})
}
