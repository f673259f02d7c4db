package measure

import (
	"math"
	"strconv"
)

// fixed writes x with so many decimals and drops noughts behind the point.
// What is not a number is said in words, as no screen should show NaN.
func fixed(x float64, decimals int, unit string) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "not known"
	}
	scale := math.Pow10(decimals)
	if r := math.Round(x*scale) / scale; !math.IsInf(r, 0) {
		x = r + 0 // + 0 makes -0 a plain 0
	}
	return strconv.FormatFloat(x, 'f', -1, 64) + unit
}

// MM writes metres as whole millimetres: "480 mm".
func MM(metres float64) string { return fixed(metres*1000, 0, " mm") }

// M writes metres to the centimetre: "3.2 m".
func M(metres float64) string { return fixed(metres, 2, " m") }

// M2 writes square metres to one decimal: "18.5 m²".
func M2(squareMetres float64) string { return fixed(squareMetres, 1, " m²") }

// L writes litres: below one litre in whole millilitres, else to one decimal.
func L(litres float64) string {
	if math.Abs(litres) < 0.9995 {
		return fixed(litres*1000, 0, " ml")
	}
	return fixed(litres, 1, " L")
}

// H writes hours: below an hour in minutes, from two days on in days.
func H(hours float64) string {
	switch size := math.Abs(hours); {
	case size < 59.5/60:
		return fixed(hours*60, 0, " min")
	case size < 47.95:
		return fixed(hours, 1, " h")
	}
	return fixed(hours/24, 1, " days")
}

// Pct writes a percentage from 0 to 100 as a whole number: "60 %".
func Pct(percent float64) string { return fixed(percent, 0, " %") }

// DegC writes degrees Celsius to one decimal: "18.5 °C".
func DegC(degrees float64) string { return fixed(degrees, 1, " °C") }
