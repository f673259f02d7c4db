package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"underlap/diagnose/sightings"
)

const sampleDays = "../../testdata/days/daily.csv"

// A record is entered in one line, printed, and comes back from the case alone.
func TestDays(t *testing.T) {
	w := newWorld(t)
	out := w.must(t, "days", "hill", "--new", "Kitchen on the hill", "--weather", sampleDays,
		"18 Sep=drip, a cup", "2026-09-28=dry", "4/10/2026=drip", "2026-10-09=drip", "2026-10-14=dry", "16 Oct=dry", "2026-10-28=drip", "2026-11-04=drip", "2026-11-13=drip", "2026-11-18=dry, frost on the grass", "2026-11-21=not looked")
	for _, want := range []string{`rain: column "precipitation_sum (mm)", unit mm by the heading; 0 to 18.2 mm`, "85 days, 2026-09-01 to 2026-11-24", "11 days entered", "By 10 days with their weather (6 wet)", "it follows the rain", "That it takes wind as well: possible"} {
		if !strings.Contains(strings.ToLower(out), strings.ToLower(want)) {
			t.Errorf("no %q in:\n%s", want, out)
		}
	}
	path := filepath.Join(w.dir, "cases", "hill.toml")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(text), "\n2026-11-03 rain 6.1 mean ") || !strings.Contains(string(text), `typed = "2026-09-18 drip, `) {
		t.Errorf("the case is not to be read by a person:\n%s", text)
	}
	printed := w.must(t, "days", "hill")
	for _, want := range []string{"2026-09-18  drip, 250 ml", "2026-11-21  not looked", "rain 13.4 mean 14.8", "before: 9.7 mm", "Weather of 85 days on record"} {
		if !strings.Contains(printed, want) {
			t.Errorf("no %q in:\n%s", want, printed)
		}
	}
	type days struct {
		Text    string
		Enough  bool
		Drivers []sightings.Driver
		LagDays *sightings.Lag `json:"lag_days"`
		Record  []struct{ Day, Saw string }
	}
	var r days
	if err := json.Unmarshal([]byte(w.must(t, "days", "hill", "--json")), &r); err != nil || !r.Enough || len(r.Drivers) != 7 || r.LagDays == nil || len(r.Record) != 60 || r.Record[59].Day != "2026-11-21" || r.Record[59].Saw != "not-looked" {
		t.Errorf("%v: %+v", err, r)
	}
	var reading struct {
		Days *days
	}
	if err := json.Unmarshal([]byte(w.must(t, "reading", "hill", "--json")), &reading); err != nil || reading.Days == nil || reading.Days.Text != r.Text {
		t.Errorf("%v: %+v", err, reading)
	}
	if out := w.must(t, "reading", "hill"); !strings.Contains(out, "DAYS ON RECORD\n  By 10 days") {
		t.Errorf("the reading does not tell of the days:\n%s", out)
	}
	w.must(t, "reply", "hill")
	if out := w.must(t, "reading", "hill", "--why", "days"); !strings.Contains(out, "dB against none of these") {
		t.Error(out)
	}
	w.must(t, "days", "hill", "2026-11-13=withdraw", "--weather", "2026-11-24:rain=3,min=2", "2026-11-25:rain=4")
	out = w.must(t, "days", "hill")
	if strings.Contains(out, "2026-11-13") || !strings.Contains(out, "86 days on record") {
		t.Errorf("after taking a day back:\n%s", out)
	}
	if after, _ := os.ReadFile(path); !strings.HasPrefix(string(after), string(text)) {
		t.Error("what stood in the file has changed")
	}
}

// On any slip the file stays as it was, to the byte.
func TestDaysRefuses(t *testing.T) {
	w := newWorld(t)
	w.must(t, "days", "hill", "--new", "Hill", "2026-11-13=drip")
	path := filepath.Join(w.dir, "cases", "hill.toml")
	before, _ := os.ReadFile(path)
	bad := filepath.Join(w.dir, "bad.csv")
	if err := os.WriteFile(bad, []byte("date,rain\n2026-11-03,1\n2026-11-04,lots\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"2026-11-14=dry", "2026-12-24=drip"}, exitUsage, "future"},
		{[]string{"2026-11-14=dry", "tuesday=drip"}, exitUsage, "does not begin with a date"},
		{[]string{"2026-11-14=dry", "--weather", bad}, exitFailed, `bad.csv: line 3: "lots"`},
		{[]string{"2026-11-14=dry", "--weather", "none.csv"}, exitFailed, "the weather file"},
		{[]string{"--weather", "2026-11-03:rain=9000"}, exitUsage, "cannot be"},
		{[]string{"2026-11-14=withdraw"}, exitUsage, "nothing to take back"},
		{[]string{"--weather", sampleDays, "--rain-unit", "pints"}, exitFailed, "not one for rain"},
	} {
		code, _, errs := w.run(append([]string{"days", "hill"}, x.args...)...)
		if code != x.code || !strings.Contains(errs, x.want) {
			t.Errorf("%q: exit %d, want %d, %q: %s", x.args, code, x.code, x.want, errs)
		}
		if after, _ := os.ReadFile(path); string(after) != string(before) {
			t.Fatalf("%q changed the file", x.args)
		}
	}
	if code, _, errs := w.run("days"); code != exitUsage || !strings.Contains(errs, "underlap days CASE") {
		t.Errorf("exit %d: %s", code, errs)
	}
	if out := w.must(t, "days", "example"); !strings.Contains(out, "No day") {
		t.Error(out)
	}
	if _, out, _ := w.run("days", "--help"); !strings.Contains(out, "precipitation_sum") || !strings.Contains(out, "-rain-unit") {
		t.Error(out)
	}
}
