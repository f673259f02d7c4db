package transport_test

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"underlap/physics/moistair"
	"underlap/physics/transport"
)

// still is a year of one and the same air.
func still(a transport.Air) transport.Weather {
	w := make(transport.Weather, 8760)
	for i := range w {
		w[i] = a
	}
	return w
}

// Water trapped under a tight sheet leaves through the vapour layer below. In steady
// air, with a layer far tighter than all else, it goes at delta_0 (p_wet - p_room)/s_d:
// the hand sum for a litre at 15 degC over a room of 20 degC, 40 % behind s_d 5 m.
func TestTrappedWaterLeavesAtTheRateOfItsLayer(t *testing.T) {
	roof, err := transport.NewRoof([]transport.Part{
		transport.Film(0, 5),
		transport.Body(foam, 0.100, 8),
		transport.Film(0, 1e5),
	}, 0.1, transport.Outside{})
	if err != nil {
		t.Fatal(err)
	}
	air := transport.Air{RoomC: 20, RoomPa: 0.4 * moistair.PSat(20), OutC: 20, OutPa: 1000}
	got, err := transport.Dry(roof, still(air), 0, transport.Start{TempC: 20, RH: 0.4, Trapped: map[int]float64{1: 1}}, 10, 0.5, transport.Usual())
	if err != nil {
		t.Fatal(err)
	}
	// Half the litre, at a rate that hardly falls while the boards are wet. Half the foam
	// (s_d 6 m in all) is on the way for water in its middle: the first half comes from the
	// near side, so between none and half of it.
	p := moistair.PSat(20) * 0.6
	least, most := 0.5/(2e-10*p/5)/86400, 0.5/(2e-10*p/8)/86400
	if !got.Gone || got.Days < least || got.Days > most {
		t.Errorf("half gone in %.0f days, want %.0f to %.0f", got.Days, least, most)
	}
	if got.Imbalance > 1e-12 {
		t.Errorf("imbalance %g", got.Imbalance)
	}
}

// The tighter the vapour layer and the damper the room, the longer trapped water stays.
func TestDryingGoesWithLayerAndRoom(t *testing.T) {
	year := weather()
	days := func(sd, rh float64) float64 {
		w := append(transport.Weather(nil), year...)
		for i := range w {
			w[i].RoomPa = rh * moistair.PSat(20)
		}
		got, err := transport.Dry(foamRoof(t, 16, sd), w, 6552, transport.Start{TempC: 15, RH: 0.6, Trapped: map[int]float64{3: 1}}, 4, 0.05, transport.Usual())
		if err != nil {
			t.Fatal(err)
		}
		if !got.Gone {
			return 1e4 + 1e4*got.Left[3]
		}
		return got.Days
	}
	base := days(1, 0.4)
	t.Logf("s_d 1 m, 40 %%: %.0f days", base)
	if tighter := days(20, 0.4); tighter <= base {
		t.Errorf("s_d 20 m: %.0f days, no longer than %.0f", tighter, base)
	}
	if damper := days(1, 0.6); damper <= base {
		t.Errorf("60 %%: %.0f days, no longer than %.0f", damper, base)
	}
}

// A deck over a damp room without a vapour layer gets wetter than one with; the peak
// comes at the end of winter.
func TestDeckOverWinters(t *testing.T) {
	deck := func(sd float64) []transport.Year {
		roof, err := transport.NewRoof([]transport.Part{
			transport.Body(board, 0.0125, 2), transport.Film(0, sd), transport.Body(wool, 0.150, 10), transport.Body(osb, 0.018, 5), transport.Film(0.035, 400),
		}, 0.1, dark)
		if err != nil {
			t.Fatal(err)
		}
		years, err := transport.Years(roof, weather(), 6552, transport.Start{TempC: 15, RH: 0.7}, 3, 2, 130, transport.Usual())
		if err != nil {
			t.Fatal(err)
		}
		return years
	}
	open, tight := deck(0.1), deck(100)
	if open[1].Peak <= tight[1].Peak || open[1].Over <= tight[1].Over {
		t.Errorf("without a vapour layer %+v, with %+v", open[1], tight[1])
	}
	month := float64(open[1].PeakHour) / 730
	if month < 1 || month > 6 {
		t.Errorf("the peak stands at month %.1f", month)
	}
	if len(open[0].Inner) != 0 || len(open[1].Inner) != 8760 {
		t.Fatalf("%d and %d hours of the inner cell", len(open[0].Inner), len(open[1].Inner))
	}
	for i, h := range open[1].Inner {
		if !(h.TempC > -20 && h.TempC < 60 && h.RH > 0 && h.Content > 0) {
			t.Fatalf("hour %d: %+v", i, h)
		}
	}
	for _, y := range open {
		if y.Lowest > y.End || y.End > y.Peak || y.FaceRH <= 0 || math.IsInf(y.Lowest, 0) {
			t.Errorf("year %+v", y)
		}
	}
}

// What counts is the share of what was trapped, the days count from the start, and the
// roof that never was wet is followed as it is: in air with which it is in balance it holds
// at the end what it held at the start.
func TestDryingCountsWhatWasTrapped(t *testing.T) {
	const trapped, share = 2.0, 0.5
	roof, err := transport.NewRoof([]transport.Part{transport.Film(0, 2), transport.Body(foam, 0.100, 8), transport.Film(0, 1e5)}, 0.1, transport.Outside{})
	if err != nil {
		t.Fatal(err)
	}
	air := transport.Air{RoomC: 20, RoomPa: 0.4 * moistair.PSat(20), OutC: 20, OutPa: 0.4 * moistair.PSat(20)}
	start := transport.Start{TempC: 20, RH: 0.4}
	never, err := transport.NewRun(roof, start, transport.Usual())
	if err != nil {
		t.Fatal(err)
	}
	start.Trapped = map[int]float64{1: trapped}
	var days [2]float64
	for i, first := range []int{0, 6552} {
		got, err := transport.Dry(roof, still(air), first, start, 10, share, transport.Usual())
		if err != nil {
			t.Fatal(err)
		}
		days[i] = got.Days
		last := len(got.Left) - 1
		if !got.Gone || last < 0 {
			t.Fatalf("from hour %d: %+v", first, got)
		}
		// It is looked at once a day, and on a day no more than delta_0 p_sat 0.6 / 2 m = 12 g
		// leaves through the layer.
		if left := got.Left[last]; left > share*trapped || left < share*trapped-0.013 {
			t.Errorf("from hour %d: gone with %.4f of %v kg/m2 left", first, left, trapped)
		}
		if d := got.Dry[last] - never.Total(); math.Abs(d) > 1e-6 {
			t.Errorf("from hour %d: the roof that never was wet holds %.6f kg/m2 more than at the start", first, d)
		}
	}
	if days[0] != days[1] {
		t.Errorf("%v days in steady air from hour 0, %v from hour 6552", days[0], days[1])
	}
}

// To begin at an hour of a year is to begin at the start of the year turned by as much.
func TestFirstHourTurnsTheYear(t *testing.T) {
	const first = 6552
	year := transport.Weather(weather())
	turned := append(append(transport.Weather(nil), year[first:]...), year[:first]...)
	start := transport.Start{TempC: 15, RH: 0.6, Trapped: map[int]float64{3: 1}}
	roof := foamRoof(t, 12, 1)
	a, err := transport.Dry(roof, year, first, start, 3, 0.1, transport.Usual())
	if err != nil {
		t.Fatal(err)
	}
	b, err := transport.Dry(roof, turned, 0, start, 3, 0.1, transport.Usual())
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(a, b); diff != "" {
		t.Errorf("drying from hour %d (-) and in the turned year (+):\n%s", first, diff)
	}
	start.Trapped = nil
	c, err := transport.Years(coldRoof(t, 12), year, first, start, 3, 1, 100, transport.Usual())
	if err != nil {
		t.Fatal(err)
	}
	d, err := transport.Years(coldRoof(t, 12), turned, 0, start, 3, 1, 100, transport.Usual())
	if err != nil {
		t.Fatal(err)
	}
	d[0].PeakHour = (d[0].PeakHour + first) % len(year)
	if diff := cmp.Diff(c, d); diff != "" {
		t.Errorf("a year from hour %d (-) and the turned year (+):\n%s", first, diff)
	}
}

// What is told of a year is what a run taken through the same hours one by one shows: the
// weather goes in a straight line from hour to hour, water is looked at once a day, the air
// in the pores is a mean over each day, and the inner cell is the one next to the room.
func TestYearsAgainstARunByHand(t *testing.T) {
	const first, part, years, limit = 5, 2, 2, 0.6
	few := transport.Weather(weather()[1000:1192]) // eight days stand for a year
	roof := coldRoof(t, 12)
	start := transport.Start{TempC: 15, RH: 0.75, Trapped: map[int]float64{1: 0.05}}
	got, err := transport.Years(roof, few, first, start, part, years, limit, transport.Usual())
	if err != nil {
		t.Fatal(err)
	}
	run, err := transport.NewRun(roof, start, transport.Usual())
	if err != nil {
		t.Fatal(err)
	}
	const inner, cells = 1, 7 // one cell of board lies below the seven of the quilt
	for y := range years {
		want := transport.Year{Lowest: math.Inf(1)}
		var mean [cells]float64
		for k := range len(few) {
			at := first + y*len(few) + k
			if err := run.Advance(3600, few[at%len(few)], few[(at+1)%len(few)]); err != nil {
				t.Fatal(err)
			}
			water, temp := run.Contents()
			for i := range mean {
				mean[i] += run.RH(inner+i) / 24
			}
			if y == years-1 {
				want.Inner = append(want.Inner, transport.Hour{TempC: temp[inner], RH: run.RH(inner), Content: water[inner]})
			}
			if (k+1)%24 != 0 {
				continue
			}
			want.End = run.Water(part) / 0.150
			if want.End > want.Peak {
				want.Peak, want.PeakHour = want.End, (at+1)%len(few)
			}
			want.Lowest = math.Min(want.Lowest, want.End)
			if want.End > limit {
				want.Over++
			}
			for _, m := range mean {
				want.FaceRH = math.Max(want.FaceRH, m)
			}
			mean = [cells]float64{}
		}
		if y == 0 {
			t.Logf("%.3f to %.3f kg/m3, %.3f at the end, %v days over", want.Lowest, want.Peak, want.End, want.Over)
		}
		if diff := cmp.Diff(want, got[y], cmpopts.EquateApprox(1e-12, 1e-12)); diff != "" {
			t.Errorf("year %d: by hand (-) and told (+):\n%s", y, diff)
		}
	}
}

// What cannot be is refused with a word, and nothing is NaN.
func TestBadInput(t *testing.T) {
	roof := foamRoof(t, 8, 5)
	good := transport.Air{RoomC: 20, RoomPa: 1000, OutC: 5, OutPa: 800, OutsideH: 20}
	for name, f := range map[string]func() error{
		"no body": func() error {
			_, err := transport.NewRoof([]transport.Part{transport.Film(0, 1)}, 0.1, dark)
			return err
		},
		"no thickness": func() error {
			_, err := transport.NewRoof([]transport.Part{transport.Body(foam, 0, 3)}, 0.1, dark)
			return err
		},
		"no cells": func() error {
			_, err := transport.NewRoof([]transport.Part{transport.Body(foam, 0.1, 0)}, 0.1, dark)
			return err
		},
		"too many cells in all": func() error {
			_, err := transport.NewRoof([]transport.Part{transport.Body(foam, 0.1, 1500), transport.Body(foam, 0.1, 1500)}, 0.1, dark)
			return err
		},
		"no roof": func() error {
			_, err := transport.NewRun(nil, transport.Start{TempC: 10, RH: 0.5}, transport.Usual())
			return err
		},
		"no accuracy": func() error {
			_, err := transport.NewRun(roof, transport.Start{TempC: 10, RH: 0.5}, transport.Accuracy{})
			return err
		},
		"water in a film": func() error {
			_, err := transport.NewRun(roof, transport.Start{TempC: 10, RH: 0.5, Trapped: map[int]float64{0: 1}}, transport.Usual())
			return err
		},
		"negative water": func() error {
			_, err := transport.NewRun(roof, transport.Start{TempC: 10, RH: 0.5, Trapped: map[int]float64{1: -1}}, transport.Usual())
			return err
		},
		"NaN air": func() error {
			run, err := transport.NewRun(roof, transport.Start{TempC: 10, RH: 0.5}, transport.Usual())
			if err != nil {
				return nil
			}
			bad := good
			bad.OutC = math.NaN()
			return run.Advance(3600, good, bad)
		},
		"hardly any weather": func() error {
			_, err := transport.Years(roof, transport.Weather{good}, 0, transport.Start{TempC: 10, RH: 0.5}, 1, 1, 100, transport.Usual())
			return err
		},
		"a film's years": func() error {
			_, err := transport.Years(roof, still(good), 0, transport.Start{TempC: 10, RH: 0.5}, 0, 1, 100, transport.Usual())
			return err
		},
	} {
		if f() == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
