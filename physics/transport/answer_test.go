package transport_test

import (
	"math"
	"testing"

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
