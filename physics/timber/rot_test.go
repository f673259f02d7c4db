package timber

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

// WTA 6-8: 95 % at 0 degC, 86 % at 30 degC (read in texts that quote it); 90.5 % half way
// on a straight line (from memory).
func TestRotLimit(t *testing.T) {
	for tC, want := range map[float64]float64{-20: 0.95, 0: 0.95, 10: 0.92, 15: 0.905, 30: 0.86, 45: 0.86} {
		got, err := RotLimit(tC)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, "limit", got, want, 1e-12)
	}
}

func TestCheckRot(t *testing.T) {
	// By hand: limits 0.95, 0.92, 0.92, 0.905, 0.86, 0.86.
	days := []Air{{0, 0.951}, {10, 0.93}, {10, 0.919}, {15, 0.91}, {30, 0.90}, {35, 0.87}}
	got, err := CheckRot(days)
	if err != nil {
		t.Fatal(err)
	}
	if got.Over != 5 || got.Longest != 3 {
		t.Errorf("%+v, want 5 days over, 3 in a row", got)
	}
	vectortest.Near(t, "worst", got.Worst, 0.04, 1e-12)
	dry, err := CheckRot([]Air{{10, 0.8}, {0, 0.95}})
	if diff := cmp.Diff(RotDays{}, dry); diff != "" || err != nil {
		t.Errorf("dry wood: %v, %v", diff, err)
	}
}

// A day is judged by its mean: hours over the limit do not count by themselves.
func TestDailyMeans(t *testing.T) {
	hours := make([]Air, 48)
	for i := range hours {
		hours[i] = Air{C: float64(i%24) - 1.5, RH: 0.85}
		if i >= 24 && i < 30 {
			hours[i].RH = 1
		}
	}
	days, err := DailyMeans(hours)
	if err != nil {
		t.Fatal(err)
	}
	want := []Air{{10, 0.85}, {10, 0.8875}}
	for i := range want {
		vectortest.Near(t, "mean temperature", days[i].C, want[i].C, 1e-12)
		vectortest.Near(t, "mean humidity", days[i].RH, want[i].RH, 1e-12)
	}
	if got, err := CheckRot(days); err != nil || got.Over != 0 {
		t.Errorf("%+v, %v: six hours of saturation make no day over", got, err)
	}
	full := make([]Air, 24)
	for i := range full {
		full[i] = Air{15, 1}
	}
	if days, err = DailyMeans(full); err != nil {
		t.Fatal(err)
	}
	if got, err := CheckRot(days); err != nil || got.Over != 1 {
		t.Errorf("a saturated day: %+v, %v", got, err)
	}
}

func TestCountWetHours(t *testing.T) {
	got, err := CountWetHours([]Wood{
		{20, 0.20}, // at the limit is not over it
		{20, 0.21},
		{20, 0.26},
		{20, 0.29},
		{20, 0.40},
		{2, 0.40},
		{38, 0.40}, // the ends of the window are in it
		{1.9, 0.40},
		{38.1, 0.40},
		{-5, 0.40},
	})
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(WetHours{OverSafe: 6, OverPossible: 5, OverLikely: 4, OverSaturated: 3}, got); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// The two checks speak of the same wood: by the Wood Handbook, pores at the WTA limit go
// with wood of 18 % moisture when warm to 25 % when cold, about the working limit of 20 %.
func TestRotLimitLiesWhereWoodIsWetEnough(t *testing.T) {
	for tC := 0.0; tC <= 30; tC += 5 {
		limit, err := RotLimit(tC)
		if err != nil {
			t.Fatal(err)
		}
		m, err := Equilibrium(tC, limit)
		if err != nil {
			t.Fatal(err)
		}
		if m < 0.175 || m > 0.25 {
			t.Errorf("at %v degC the limit of %v is wood of %v", tC, limit, m)
		}
	}
}

func TestExposureIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		days, damper := make([]Air, n), make([]Air, n)
		hours, wetter := make([]Wood, n), make([]Wood, n)
		for i := range days {
			days[i] = Air{rapid.Float64Range(-20, 40).Draw(t, "t"), rapid.Float64Range(0.7, 1).Draw(t, "rh")}
			damper[i] = Air{days[i].C, math.Min(1, days[i].RH+0.02)}
			hours[i] = Wood{days[i].C, rapid.Float64Range(0.1, 0.5).Draw(t, "m")}
			wetter[i] = Wood{days[i].C, hours[i].Moisture + 0.02}
		}
		a, err := CheckRot(days)
		if err != nil {
			t.Fatal(err)
		}
		b, err := CheckRot(damper)
		if err != nil {
			t.Fatal(err)
		}
		if b.Over < a.Over || b.Longest < a.Longest || b.Worst < a.Worst || a.Longest > a.Over || a.Over > n || (a.Worst > 0) != (a.Over > 0) {
			t.Fatalf("%+v, damper %+v", a, b)
		}
		c, err := CountWetHours(hours)
		if err != nil {
			t.Fatal(err)
		}
		d, err := CountWetHours(wetter)
		if err != nil {
			t.Fatal(err)
		}
		if d.OverSafe < c.OverSafe || d.OverSaturated < c.OverSaturated || c.OverSafe < c.OverPossible || c.OverPossible < c.OverLikely || c.OverLikely < c.OverSaturated {
			t.Fatalf("%+v, wetter %+v", c, d)
		}
	})
}

func TestRotRefusesBadData(t *testing.T) {
	nan := math.NaN()
	errs := map[string]error{}
	_, errs["limit NaN"] = RotLimit(nan)
	_, errs["limit hot"] = RotLimit(200)
	_, errs["day too damp"] = CheckRot([]Air{{10, 1.1}})
	_, errs["day NaN"] = CheckRot([]Air{{nan, 0.5}})
	_, errs["half a day"] = DailyMeans(make([]Air, 12))
	_, errs["hour too damp"] = DailyMeans(append(make([]Air, 23), Air{10, 2}))
	_, errs["negative moisture"] = CountWetHours([]Wood{{10, -0.1}})
	_, errs["wood NaN"] = CountWetHours([]Wood{{nan, 0.1}})
	for name, err := range errs {
		if err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
