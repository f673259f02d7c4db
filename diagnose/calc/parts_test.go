package calc

import (
	"math"
	"strings"
	"testing"

	"underlap/diagnose/buildup"
	"underlap/physics/climate"
	"underlap/physics/fabric"
	"underlap/physics/spread"
	"underlap/physics/transport"
)

// A star adds deviations of independent inputs as squares, by hand: 3 and 4 down, 6 and 8 up.
func TestStar(t *testing.T) {
	low, high, driver, line := star(100, []around{{"damp", 97, 106}, {"gaps", 108, 96}})
	if low != 95 || high != 110 || driver != "gaps" {
		t.Errorf("%v to %v, %s", low, high, driver)
	}
	// Shares go with the square of the spread: 9 and 12, so 81 and 144 of 225.
	if !strings.Contains(line, "damp 36 %") || !strings.Contains(line, "gaps 64 %") {
		t.Error(line)
	}
	if low, high, driver, _ := star(5, []around{{"nothing", 5, 5}}); low != 5 || high != 5 || driver != "" {
		t.Errorf("%v to %v, %q", low, high, driver)
	}
}

func TestMonthOfAnHour(t *testing.T) {
	for hour, want := range map[int]int{0: 0, 31*24 - 1: 0, 31 * 24: 1, 59 * 24: 2, 8759: 11} {
		if got := monthOf(hour); got != want {
			t.Errorf("hour %d: month %d, want %d", hour, got, want)
		}
	}
}

func TestAmountsForWords(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 0.004: "under 0.01", 0.126: "0.13", 9.94: "9.9", 150: "150", 12.4: "12"} {
		if got := amount(v).String(); got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
		}
	}
}

// A deck at 20 degC, 97 % and 25.5 % by weight all year: mould comes to the top that its class
// has there, every day is over the rot limit of 89 %, and each hour is over 20 and 25 %.
func TestDecayOfAWetDeck(t *testing.T) {
	hours := make([]transport.Hour, 8760)
	for i := range hours {
		hours[i] = transport.Hour{TempC: 20, RH: 0.97, Content: 0.255 * 600}
	}
	g, err := decay(hours, 600)
	if err != nil {
		t.Fatal(err)
	}
	if g.mould < 4 || g.rot.Over != 365 || g.rot.Longest != 365 || g.wet.OverSafe != 8760 || g.wet.OverPossible != 8760 || g.wet.OverLikely != 0 {
		t.Errorf("%+v", g)
	}
	for i := range hours {
		hours[i] = transport.Hour{TempC: 20, RH: 0.6, Content: 60}
	}
	if g, err = decay(hours, 600); err != nil || g.mould != 0 || g.rot.Over != 0 || g.wet.OverSafe != 0 {
		t.Errorf("dry: %+v, %v", g, err)
	}
}

// Warm air meets the deck of a warm roof, kept warm by what lies above it: R 0.26 + 0.1 below
// and 4.8 + 0.1 above between 20 and 0 degC leave it at 20 x 4.9/5.26 = 18.6. A cold roof's
// deck is as cold as its covering.
func TestPlaneThatLeakingAirMeets(t *testing.T) {
	list := []fabric.Layer{{Name: "board", R: 0.10}, {Name: "air", R: 0.16}, {Name: "deck", R: 0.1}, {Name: "foam", R: 4.8}}
	if got := plane("warm", list, 0, 20); math.Abs(got-20*4.9/5.26) > 0.01 {
		t.Errorf("warm roof: %.2f degC", got)
	}
	if got := plane("cold", list, 0, 20); got != 0 {
		t.Errorf("cold roof: %.2f degC", got)
	}
}

// What is not told is left in the rest, and shares below a twentieth are not named.
func TestWhatMakesABand(t *testing.T) {
	driver, line := makes(spread.Band{Low: 1, High: 2, Shares: []spread.Share{{Name: "gaps", Of: 0.3}, {Name: "room", Of: 0.5}, {Name: "paint", Of: 0.01}}})
	if driver != "room" || !strings.HasPrefix(line, "room 50 %; gaps 30 %; ") || !strings.Contains(line, "together 20 %") || strings.Contains(line, "paint") {
		t.Errorf("%s: %s", driver, line)
	}
	if driver, line := makes(spread.Band{Low: 1, High: 1, Shares: []spread.Share{{Name: "gaps", Of: 1}}}); driver != "" || line != "" {
		t.Errorf("no band: %s: %s", driver, line)
	}
}

// A year that lacks an hour or a quantity is named by day, hour and what is missing.
func TestCheckYear(t *testing.T) {
	year, err := climate.Lowland()
	if err != nil {
		t.Fatal(err)
	}
	year = year.FillGaps()
	if err := CheckYear(year); err != nil {
		t.Fatal(err)
	}
	year.Hours[31*24+5].Missing |= climate.FieldWind
	if err := CheckYear(year); err == nil || !strings.Contains(err.Error(), "no wind on 1 February at 05:00") {
		t.Errorf("%v", err)
	}
	year.Hours = append(year.Hours, year.Hours[0])
	if err := CheckYear(year); err == nil || !strings.Contains(err.Error(), "whole days") {
		t.Errorf("%v", err)
	}
}

// The places that a course looks at have a room whose air is never above saturation.
func TestRoomOfACourse(t *testing.T) {
	year, err := climate.Lowland()
	if err != nil {
		t.Fatal(err)
	}
	f := &follow{year: year}
	for _, a := range f.weather(weightedRoom{air: soaked{}}) {
		if a.RoomPa > saturation(a.RoomC)+1e-9 {
			t.Fatalf("%v Pa at %v degC", a.RoomPa, a.RoomC)
		}
	}
}

// soaked is a room that a model has damper than air can be.
type soaked struct{}

func (soaked) Room(_, _ float64) (tempC, vapourPa float64) { return 10, 5000 }

// Rain under the slabs of an inverted roof, by hand: 100 mm of foam board at 0.034 on a membrane
// and deck, R 2.94 of 3.3, in a place with 2 mm of rain a day in winter: f x p = 0.04 x 2 = 0.08
// W/m2K times (2.94/3.3)^2 = 0.064 on top of 0.30. And a roof whose path ends at a void with
// outside air has 0.10 over it, not 0.04.
func TestCorrectionsOfAUValue(t *testing.T) {
	s := &site{}
	for m := range s.place.RainMM {
		s.place.RainMM[m] = 2 * 212.0 / 7 // 2 mm a day over the seven months
	}
	list := []fabric.Layer{{Name: "deck and ceiling", R: 0.22, Sd: 1}, {Name: "slabs", Thickness: 0.1, Lambda: 0.034, Mu: 100}}
	plain, err := s.uOfLayers(buildup.Stack{Type: "warm"}, list, false, 0)
	if err != nil {
		t.Fatal(err)
	}
	inverted, err := s.uOfLayers(buildup.Stack{Type: "inverted"}, list, false, 0)
	if err != nil {
		t.Fatal(err)
	}
	total := 0.10 + 0.22 + 0.1/0.034 + 0.04
	if math.Abs(plain.u-1/total) > 1e-9 || math.Abs(inverted.u-plain.u-0.08*math.Pow(0.1/0.034/total, 2)) > 1e-9 {
		t.Errorf("plain %.5f, inverted %.5f", plain.u, inverted.u)
	}
	cut, err := s.uOfLayers(buildup.Stack{Type: "cold"}, list, true, 0)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(cut.u-1/(total+0.06)) > 1e-9 {
		t.Errorf("under a breathing void %.5f", cut.u)
	}
}
