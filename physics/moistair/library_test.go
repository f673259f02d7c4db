package moistair

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
)

// TestAgainstTheLibrary compares with psychrolib 1.1.1 over a wide grid. Its saturation
// curve is Hyland and Wexler's, so wet bulb and dew point are found on ours of the same
// name; the exported functions, on the curve of EN ISO 13788, are held close to them.
func TestAgainstTheLibrary(t *testing.T) {
	var v struct {
		Tolerance struct {
			PSat     float64 `toml:"p_sat_rel"`
			PV       float64 `toml:"p_v_rel"`
			W        float64 `toml:"w_rel"`
			Rho      float64 `toml:"rho_rel"`
			H        float64 `toml:"h_abs"`
			Dew      float64 `toml:"t_dp_abs"`
			Wet      float64 `toml:"t_wb_abs"`
			Pressure float64 `toml:"pressure_rel"`
		}
		Saturation [][2]float64
		Altitude   [][2]float64
		Air        [][9]float64
	}
	vectortest.Load(t, "psychrometrics_library.toml", &v)
	if len(v.Saturation) < 50 || len(v.Altitude) < 10 || len(v.Air) < 200 {
		t.Fatal("part of the vector file is missing")
	}
	for _, s := range v.Saturation {
		vectortest.NearRel(t, "saturation", PSatASHRAE(s[0]), s[1], v.Tolerance.PSat)
	}
	for _, a := range v.Altitude {
		p, err := PressureAt(a[0])
		if err != nil {
			t.Fatal(err)
		}
		vectortest.NearRel(t, "pressure", p, a[1], v.Tolerance.Pressure)
	}
	worst := 0.0
	for _, a := range v.Air {
		tC, rh, p, pv, w, dew, wet, rho, h := a[0], a[1], a[2], a[3], a[4], a[5], a[6], a[7], a[8]
		vectortest.NearRel(t, "vapour pressure", rh*PSatASHRAE(tC), pv, v.Tolerance.PV)
		gotW, err := HumidityRatio(pv, p)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.NearRel(t, "humidity ratio", gotW, w, v.Tolerance.W)
		gotRho, err := Density(tC, pv, p)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.NearRel(t, "density", gotRho, rho, v.Tolerance.Rho)
		gotH, err := Enthalpy(tC, w)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.Near(t, "enthalpy", gotH, h, v.Tolerance.H)
		vectortest.Near(t, "dew point", onCurve(pv), dew, v.Tolerance.Dew)
		got := wetBulb(tC, w, p, PSatASHRAE)
		vectortest.Near(t, "wet bulb", got, wet, v.Tolerance.Wet)
		iso, err := WetBulb(tC, rh, p)
		if err != nil {
			t.Fatal(err)
		}
		worst = math.Max(worst, math.Abs(iso-wet))
		vectortest.Near(t, "wet bulb, ISO curve", iso, wet, 0.03)
	}
	t.Logf("wet bulb on the ISO curve: at most %.4f K from the library", worst)
}

// onCurve is the temperature at which PSatASHRAE is p.
func onCurve(p float64) float64 {
	lo, hi := coldest, hottest
	for range 100 {
		if mid := (lo + hi) / 2; PSatASHRAE(mid) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// Standard pressures of ISO 2533 by geopotential height (from memory of its table).
func TestPressureAtAgainstISO2533(t *testing.T) {
	for height, want := range map[float64]float64{0: 101325, 1000: 89874.6, 2000: 79495.2, 5000: 54019.9, 11000: 22632.1} {
		got, err := PressureAt(height)
		if err != nil {
			t.Fatal(err)
		}
		vectortest.NearRel(t, "pressure", got, want, 1e-5)
	}
}

// The wet bulb lies between the dew point and the air, rises with humidity, and comes to
// the air's own temperature at saturation. Adiabatic saturation keeps enthalpy but for
// that of the water taken up (ASHRAE, by definition).
func TestWetBulbProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tC := rapid.Float64Range(-40, 70).Draw(t, "t")
		rh := rapid.Float64Range(0.001, 1).Draw(t, "rh")
		p, err := PressureAt(rapid.Float64Range(0, 2500).Draw(t, "height"))
		if err != nil {
			t.Fatal(err)
		}
		wet, err := WetBulb(tC, rh, p)
		if err != nil {
			t.Fatal(err)
		}
		dew, err := DewPoint(tC, rh)
		if err != nil {
			t.Fatal(err)
		}
		if wet > tC+1e-9 || wet < dew-1e-6 {
			t.Fatalf("wet bulb %v, dew point %v, air %v", wet, dew, tC)
		}
		if full, err := WetBulb(tC, 1, p); err != nil || math.Abs(full-tC) > 1e-6 {
			t.Fatalf("saturated air of %v has a wet bulb of %v, %v", tC, full, err)
		}
		more, err := WetBulb(tC, math.Min(1, rh+0.01), p)
		if err != nil {
			t.Fatal(err)
		}
		if more < wet-1e-9 {
			t.Fatalf("wet bulb %v, damper %v", wet, more)
		}
		pv, err := VapourPressure(tC, rh)
		if err != nil {
			t.Fatal(err)
		}
		w := massRatio * pv / (p - pv)
		full := massRatio * PSat(wet) / (p - PSat(wet))
		water := 4186 * wet
		if wet < 0 {
			water = -333.4e3 + 2100*wet
		}
		if math.Abs(wet) > 1e-6 {
			before, after := 1006*tC+w*(2501e3+1860*tC), 1006*wet+full*(2501e3+1860*wet)
			// The printed forms round the heats of water and ice: 0.5 % of what is taken up.
			if math.Abs(after-before-(full-w)*water) > 0.005*2.5e6*(full-w)+0.1 {
				t.Fatalf("enthalpy %v before, %v after taking up %v", before, after, full-w)
			}
		}
	})
}

func TestDryAirHasAWetBulb(t *testing.T) {
	for _, tC := range []float64{-20, 0, 0.001, 15, 40} {
		wet, err := WetBulb(tC, 0, StandardPressure)
		if err != nil || !(wet < tC && wet > -60) {
			t.Errorf("dry air of %v: %v, %v", tC, wet, err)
		}
	}
}
