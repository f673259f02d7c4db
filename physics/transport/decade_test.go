package transport_test

import (
	"math"
	"testing"

	"underlap/physics/transport"
)

var (
	board = transport.Material{Name: "plasterboard", HeatCapacity: 7e5, Lambda: 0.21, LambdaRise: 0.001, MuDry: 10, MuWet: 4, Water80: 6, WaterFree: 400, Absorption: 0.3}
	wool  = transport.Material{Name: "mineral wool", HeatCapacity: 3e4, Lambda: 0.04, LambdaRise: 0.0002, MuDry: 1, MuWet: 1, Water80: 0.5, WaterFree: 300}
	foam  = transport.Material{Name: "foam board", HeatCapacity: 4.5e4, Lambda: 0.025, LambdaRise: 0.0002, MuDry: 60, MuWet: 60, Water80: 0.8, WaterFree: 200}
	osb   = transport.Material{Name: "OSB", HeatCapacity: 1.1e6, Lambda: 0.13, LambdaRise: 0.0005, MuDry: 50, MuWet: 30, Water80: 90, WaterFree: 550, Absorption: 0.002}
)

// weather is a year of hours made of plain waves: cold clear nights, warm days.
func weather() []transport.Air {
	year := make([]transport.Air, 8760)
	sat := func(tC float64) float64 { return 610.5 * math.Exp(17.269*tC/(237.3+tC)) }
	for i := range year {
		day, hour := float64(i)/24, float64(i%24)
		season := math.Cos(2 * math.Pi * (day - 200) / 365)
		tC := 10 + 7*season + 3*math.Cos(2*math.Pi*(hour-15)/24) + 3*math.Sin(2*math.Pi*day/7.3)
		sun := math.Max(0, math.Sin(2*math.Pi*(hour-6)/24)) * (300 + 200*season)
		p := math.Min(0.95*sat(math.Max(tC, 0.1)), sat(8+6*season)*0.85)
		year[i] = transport.Air{
			RoomC: 20, RoomPa: p + 400 - 200*season, OutC: tC, OutPa: p,
			SunWM2: sun, SkyWM2: 0.82 * 5.67e-8 * math.Pow(tC+273.15, 4), OutsideH: 20,
		}
	}
	return year
}

var dark = transport.Outside{Absorptance: 0.9, Emissivity: 0.9}

func coldRoof(t testing.TB, cells int) *transport.Roof {
	t.Helper()
	n := float64(cells)
	r, err := transport.NewRoof([]transport.Part{
		transport.Film(0, 0.1),
		transport.Body(board, 0.0125, int(0.1*n)),
		transport.Body(wool, 0.150, int(0.6*n)),
		transport.Body(osb, 0.018, cells-int(0.1*n)-int(0.6*n)),
		transport.Film(0.035, 400),
	}, 0.10, dark)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func decade(t testing.TB, roof *transport.Roof, start transport.Start, acc transport.Accuracy, years int) *transport.Run {
	t.Helper()
	run, err := transport.NewRun(roof, start, acc)
	if err != nil {
		t.Fatal(err)
	}
	year := weather()
	for h := range years * 8760 {
		if err := run.Advance(3600, year[h%8760], year[(h+1)%8760]); err != nil {
			t.Fatal(err)
		}
	}
	return run
}

// foamRoof is a warm roof: deck, vapour layer, foam, sheet.
func foamRoof(t testing.TB, cells int, vcl float64) *transport.Roof {
	t.Helper()
	deck := cells / 4
	r, err := transport.NewRoof([]transport.Part{
		transport.Film(0.26, 1),
		transport.Body(osb, 0.018, deck),
		transport.Film(0, vcl),
		transport.Body(foam, 0.120, cells-deck),
		transport.Film(0.01, 400),
	}, 0.10, dark)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func BenchmarkDecade60Cells(b *testing.B) {
	for name, roof := range map[string]*transport.Roof{"cold": coldRoof(b, 60), "warm": foamRoof(b, 60, 5)} {
		b.Run(name, func(b *testing.B) {
			start := transport.Start{TempC: 20, RH: 0.7}
			if name == "warm" {
				start.Trapped = map[int]float64{3: 1}
			}
			for b.Loop() {
				run := decade(b, roof, start, transport.Usual(), 10)
				b.ReportMetric(float64(run.Steps), "steps")
				b.ReportMetric(float64(run.Rejected), "rejected")
			}
		})
	}
}
