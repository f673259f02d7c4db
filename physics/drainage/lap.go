package drainage

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Lap is the gap between two sheets, or between a sheet and what it lies on, with water
// standing at its mouth. It stands for a lap that is open all along; a sealed one has no
// gap. What clings in a lap of its own accord wets the other edge but does not run out
// there: to drip it needs a fall or a head.
type Lap struct {
	Gap        float64 // between the sheets, m
	ContactDeg float64 // of water on the sheets, degrees: 0 wets, over 90 repels
	WaterC     float64 // degC, 0 to 100
}

// Rise returns the height in m to which water climbs in the lap above the level outside.
// It is negative when the sheets repel water: then so much head is needed to get in. It
// fails for a gap of 0 or less, or over 5 mm, where the faces no longer hold the water
// between them, for an angle outside 0 to 180 and for water that is not liquid.
//
// Source: Jurin's law between parallel plates, h = 2 sigma cos(theta) / (rho g gap).
func (l Lap) Rise() (float64, error) {
	if err := check.First("drainage: lap",
		check.Positive("gap", l.Gap), check.Within("gap", l.Gap, 0, 5*mm),
		check.Within("contact angle", l.ContactDeg, 0, 180), check.Within("water temperature", l.WaterC, 0, 100),
	); err != nil {
		return 0, err
	}
	return 2 * surfaceTension(l.WaterC) * math.Cos(l.ContactDeg*math.Pi/180) / (water * g * l.Gap), nil
}

// Crossing says whether water gets through a lap by itself.
type Crossing struct {
	Crosses bool
	Reach   float64 // how far it would get along the lap, m; +Inf where nothing stops it
	Seconds float64 // to the inner edge, when it crosses
}

// Cross tells whether water gets across a lap of the given width in m that climbs at
// slope, the sine of its angle: 0 level, 1 upright, 1/80 up a roof of that fall, below 0
// where the lap runs down inwards. Head in m is the water over the mouth, 0 for a film;
// it works with the pull of the lap or against its repelling. It fails as Rise does,
// for a width of 0 or less, a slope outside -1 to 1 and a head below 0.
//
// The time is that of slow flow between plates and leaves out what it takes to get the
// water moving, a fraction of a second. Dirt, nibs and swelling hold real water back, so
// it is a least time.
//
// Source: Lucas 1918 and Washburn 1921, for plane plates: v = gap^2 / (12 mu) times the
// drop of pressure along the wetted length, of the pull 2 sigma cos(theta) / gap, the
// head and the climb.
func (l Lap) Cross(width, slope, head float64) (Crossing, error) {
	rise, err := l.Rise()
	if err != nil {
		return Crossing{}, err
	}
	if err := check.First("drainage: lap", check.Positive("width", width), check.Within("slope", slope, -1, 1), check.NotNegative("head", head)); err != nil {
		return Crossing{}, err
	}
	pull := rise + head // all as a height of water
	if pull <= 0 {
		return Crossing{}, nil
	}
	out := Crossing{Crosses: true, Reach: math.Inf(1)}
	if slope > 0 {
		out.Reach = pull / slope
		out.Crosses = out.Reach > width
	}
	if out.Crosses {
		out.Seconds = 12 * viscosity(l.WaterC) / (water * g * l.Gap * l.Gap) * width * width / pull * slowing(width*slope/pull)
	}
	return out, nil
}

// slowing is the time to go so far against gravity over that without it, halved: x is
// the height climbed over the greatest, below 1, and negative going down. The closed
// form, (-ln(1-x) - x)/x^2, loses its digits near 0, where its series takes over.
func slowing(x float64) float64 {
	if math.Abs(x) < 0.01 {
		return 0.5 + x*(1.0/3+x*(0.25+x*(0.2+x/6)))
	}
	return (-math.Log1p(-x) - x) / (x * x)
}

// surfaceTension returns the surface tension of water against air in N/m at tC degrees
// Celsius, 0 to 100.
//
// Source: IAPWS R1-76(2014), from memory of it.
func surfaceTension(tC float64) float64 {
	tau := 1 - (tC+273.15)/647.096
	return 0.2358 * math.Pow(tau, 1.256) * (1 - 0.625*tau)
}

// viscosity returns the dynamic viscosity of water in Pa s at tC degrees Celsius, 0 to 100.
//
// Source: the usual fit 2.414e-5 10^(247.8/(T-140)), T in kelvin, good to 2.5 %; from memory.
func viscosity(tC float64) float64 {
	return 2.414e-5 * math.Pow(10, 247.8/(tC+273.15-140))
}

// SlitFlow returns the flow in m3/s through a crack of the given length and gap, both m,
// in a sheet of the given thickness in m, under water of the given depth in m and
// temperature in degrees Celsius, free to fall on the other side. In a hair crack the
// water is held back by its own thickness of sheet, so it runs less than HoleFlow, which
// it comes to for a wide crack in a thin sheet. It fails for numbers below 0, for a gap
// over the length, and for water that is not liquid.
//
// Source: standard fluid mechanics: depth = (v / 0.6)^2 / 2 g + 12 mu v thickness /
// (rho g gap^2), the orifice and slow flow between plates one after the other.
func SlitFlow(length, gap, thickness, depth, waterC float64) (float64, error) {
	if err := check.First("drainage: slit",
		check.NotNegative("length", length), check.Positive("gap", gap), check.NotNegative("thickness", thickness),
		check.NotNegative("depth", depth), check.Within("water temperature", waterC, 0, 100),
	); err != nil {
		return 0, err
	}
	if gap > length {
		return 0, fmt.Errorf("drainage: slit: gap %v m over the length %v m", gap, length)
	}
	a := 1 / (2 * g * 0.6 * 0.6)
	b := 12 * viscosity(waterC) * thickness / (water * g * gap * gap)
	v := 2 * depth / (b + math.Sqrt(b*b+4*a*depth))
	if depth == 0 {
		v = 0
	}
	return v * length * gap, nil
}
