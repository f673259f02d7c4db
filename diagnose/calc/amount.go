package calc

import (
	"fmt"
	"math"
)

// amount is a figure for words: two digits below ten, whole above, "under 0.01" where
// there is next to nothing.
type amount float64

func (a amount) String() string {
	v := math.Abs(float64(a))
	switch {
	case v == 0:
		return "0"
	case v < 0.01:
		return "under 0.01"
	case v < 10:
		return fmt.Sprintf("%.2g", float64(a))
	}
	return fmt.Sprintf("%.0f", float64(a))
}
