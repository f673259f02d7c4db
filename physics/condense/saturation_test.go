package condense

import (
	"math"
	"testing"

	"underlap/physics/moistair"
)

// The table against the formula it is made from, and at the kink and the ends.
func TestSaturationTable(t *testing.T) {
	worst := 0.0
	try := func(tempC float64) {
		want := moistair.PSat(tempC)
		worst = max(worst, math.Abs(saturation(tempC)-want)/want)
	}
	for tempC := -70.0; tempC <= 70; tempC += 0.00137 {
		try(tempC)
	}
	for _, edge := range []float64{-60, -0.5, 0, 0.5, 20, 60} {
		for _, tempC := range []float64{edge, math.Nextafter(edge, -100), math.Nextafter(edge, 100)} {
			try(tempC)
		}
	}
	if !(worst < 1e-14) {
		t.Errorf("table is out by %.3g of the pressure", worst)
	}
	for _, tempC := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 300} {
		if got := saturation(tempC); !math.IsNaN(got) {
			t.Errorf("%v degC gives %v Pa, want NaN", tempC, got)
		}
	}
}
