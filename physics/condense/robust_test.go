package condense

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/fabric"
)

// odd are numbers that layers and air may be given by mistake or by a foil.
var odd = []float64{
	0, math.Copysign(0, -1), 5e-324, 1e-300, 1e-9, 1e-4, 0.0125, 0.04, 0.15, 0.25, 1, 2.5, 50, 100, 1500,
	1e6, 1e7, 1e9, 1e300, math.MaxFloat64, math.Inf(1), math.NaN(), -1e-9, -1, math.Inf(-1),
}

func drawOddLayer(t *rapid.T) fabric.Layer {
	number := rapid.OneOf(rapid.SampledFrom(odd), rapid.SampledFrom([]float64{0, 0.01, 0.05, 0.1, 0.5, 4}), rapid.Float64())
	l := fabric.Layer{
		Thickness: number.Draw(t, "d"), Lambda: number.Draw(t, "lambda"), Mu: number.Draw(t, "mu"),
		R: number.Draw(t, "r"), Sd: number.Draw(t, "sd"),
		FixedR: rapid.Bool().Draw(t, "fixed r"), FixedSd: rapid.Bool().Draw(t, "fixed sd"),
	}
	if rapid.IntRange(0, 5).Draw(t, "bridge?") == 0 {
		l.Bridge = &fabric.Bridge{Fraction: number.Draw(t, "share"), Lambda: number.Draw(t, "timber")}
	}
	return l
}

// drawOddLayers makes mostly sound layers, so that most roofs are worked out and not
// refused.
func drawOddLayers(t *rapid.T) []fabric.Layer {
	sound := rapid.SampledFrom([]float64{0, 1e-9, 1e-5, 0.001, 0.02, 0.25, 3.75, 40})
	layers := make([]fabric.Layer, rapid.IntRange(0, 8).Draw(t, "layers"))
	for i := range layers {
		if rapid.IntRange(0, 19).Draw(t, "odd?") == 0 {
			layers[i] = drawOddLayer(t)
		} else {
			layers[i] = fixed(sound.Draw(t, "r"), rapid.OneOf(sound, rapid.SampledFrom([]float64{100, 1500, 1e6})).Draw(t, "sd"))
		}
	}
	return layers
}

func drawOddAir(t *rapid.T) (Climate, Indoor) {
	c := drawClimate(t)
	if rapid.IntRange(0, 9).Draw(t, "odd climate?") == 0 {
		m := rapid.IntRange(0, 11).Draw(t, "month")
		c.TempC[m] = rapid.SampledFrom(append([]float64{-60, 60}, odd...)).Draw(t, "temp")
		c.VapourPa[m] = rapid.SampledFrom(append([]float64{19000, 101325}, odd...)).Draw(t, "pa")
	}
	switch rapid.IntRange(0, 5).Draw(t, "room") {
	case 0:
		return c, Steady{rapid.SampledFrom(odd).Draw(t, "temp"), rapid.SampledFrom(odd).Draw(t, "rh")}
	case 1:
		return c, Steady{rapid.SampledFrom([]float64{-20, 0, 20, 60}).Draw(t, "temp"), rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "rh")}
	case 2:
		return c, HighMoistureLoad()
	case 3:
		return c, Occupancy{TempC: 20, KgPerDay: rapid.SampledFrom(odd).Draw(t, "kg"), Volume: rapid.SampledFrom(odd).Draw(t, "volume"), AirChanges: 0.5}
	}
	return c, drawIndoor(t)
}

func finite(t *rapid.T, what string, values ...float64) {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%s is %v", what, v)
		}
	}
}

func water(t *rapid.T, what string, values ...float64) {
	finite(t, what, values...)
	for _, v := range values {
		if v < 0 {
			t.Fatalf("%s is %v", what, v)
		}
	}
}

// sane holds for any input at all: an error or figures that are numbers, with no
// water below nothing.
func sane(t *rapid.T) {
	layers := drawOddLayers(t)
	rsi := rapid.SampledFrom([]float64{0.10, 0.10, 0.10, 0, 5e-324, 100, math.NaN(), -1}).Draw(t, "rsi")
	c, indoor := drawOddAir(t)
	if roof, err := NewRoof(layers, rsi, 0.04); err == nil {
		finite(t, "roof", roof.Resistance(), roof.VapourResistance())
		if res, err := Year(roof, c, indoor); err == nil {
			water(t, "total", res.Total[:]...)
			water(t, "after", res.Peak, res.AfterYear1, res.AfterYear2)
			finite(t, "imbalance", res.Imbalance)
			for _, f := range res.Interfaces {
				water(t, "water at a plane", f.Water[:]...)
				finite(t, "gain", f.Gain[:]...)
				if !(f.Sd > 0 && f.Sd < roof.VapourResistance() && f.Depth >= 0 && f.Depth < 1 && f.Inner >= 0 && f.Inner <= f.Outer && f.Outer < len(layers)) {
					t.Fatalf("plane %+v", f)
				}
			}
		}
		if res, err := ReserveByMonth(roof, DryingAllowance, c, indoor); err == nil {
			water(t, "allowance", res.Peak, res.Least[0], res.Least[1])
			finite(t, "imbalance", res.Imbalance)
		}
	}
	if roof, err := NewTrapped(layers, rsi, 0.04, rapid.IntRange(-1, 8).Draw(t, "wet")); err == nil {
		if res, err := Drying(roof, 1, 9, 2, c, indoor); err == nil {
			water(t, "drying", append(res.Remaining, res.Peak)...)
			finite(t, "imbalance", res.Imbalance)
		}
	}
	p := RoofPeriod()
	p.Rsi = rsi
	if rapid.IntRange(0, 3).Draw(t, "odd period?") == 0 {
		number := rapid.SampledFrom(odd)
		p.RoomC, p.RoomPa, p.WetPa, p.AirPa, p.Evaporating = number.Draw(t, "c"), number.Draw(t, "pa"), number.Draw(t, "wet"), number.Draw(t, "air"), number.Draw(t, "s")
	}
	if res, err := PeriodMethod(layers, p); err == nil {
		water(t, "period", res.U, res.Rate, res.Condensate, res.DryingRate, res.Capacity)
		for _, f := range res.Planes {
			water(t, "plane of the period", f.Rate, f.Condensate, f.Left)
		}
	}
	if res, err := ReserveByPeriod(layers, p); err == nil {
		water(t, "reserve", res.Capacity, res.Condensate)
	}
	saneSurface(t, c, indoor)
}

func saneSurface(t *rapid.T, c Climate, indoor Indoor) {
	number := rapid.OneOf(rapid.SampledFrom(odd), rapid.Float64Range(-30, 40))
	a, b, d, e := number.Draw(t, "a"), number.Draw(t, "b"), number.Draw(t, "d"), number.Draw(t, "e")
	if f, err := SurfaceFactor(a, b, d); err == nil {
		finite(t, "f_Rsi", f)
	}
	if f, err := RequiredFRsi(a, 100*b, d, e); err == nil {
		finite(t, "f_Rsi needed", f)
	}
	if rh, err := MaxRoomRH(a, b, d, e); err == nil && !(rh >= 0 && rh <= 1) {
		t.Fatalf("highest room RH %v", rh)
	}
	if year, err := RequiredByMonth(c, indoor, MouldLimit); err == nil {
		finite(t, "required", year.Required[:]...)
		if n := len(year.Fails(math.NaN())); (n == 0) != (year.Critical < 0) {
			t.Fatalf("a factor of NaN fails in %d months", n)
		}
	}
}

func TestAnyInputIsSafe(t *testing.T) { rapid.Check(t, sane) }

func FuzzAnyInputIsSafe(f *testing.F) { f.Fuzz(rapid.MakeFuzz(sane)) }
