package explain

import (
	"math"
	"strconv"
)

// Count gives "1 answer" or "3 answers".
func Count(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + one + "s"
}

// Thousands writes a whole number with a comma at each thousand.
func Thousands(x float64) string {
	s := strconv.FormatFloat(math.Abs(x), 'f', 0, 64)
	zero := s == "0"
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "," + s[i:]
	}
	if x < 0 && !zero {
		s = "-" + s
	}
	return s
}

// Price words a range of money: "£1,200 to £1,800". What costs nothing has no price.
func Price(symbol string, low, high float64) string {
	switch {
	case high <= 0:
		return "not priced"
	case low == high:
		return symbol + Thousands(low)
	}
	return symbol + Thousands(low) + " to " + symbol + Thousands(high)
}
