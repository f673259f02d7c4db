// Package check holds the few tests of input that all calculation packages
// share, so that bad data gives the same plain error everywhere.
package check

import (
	"fmt"
	"math"
)

// Finite returns an error when v is NaN or infinite.
func Finite(name string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%s is %v, want a number", name, v)
	}
	return nil
}

// Positive returns an error unless v is a finite number above zero.
func Positive(name string, v float64) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return fmt.Errorf("%s is %v, want more than 0", name, v)
	}
	return nil
}

// NotNegative returns an error unless v is a finite number of zero or more.
func NotNegative(name string, v float64) error {
	if !(v >= 0) || math.IsInf(v, 0) {
		return fmt.Errorf("%s is %v, want 0 or more", name, v)
	}
	return nil
}

// Within returns an error unless lo <= v <= hi.
func Within(name string, v, lo, hi float64) error {
	if !(v >= lo && v <= hi) {
		return fmt.Errorf("%s is %v, want %v to %v", name, v, lo, hi)
	}
	return nil
}

// First returns the first error that is not nil, with the package name before it.
func First(pkg string, errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return fmt.Errorf("%s: %w", pkg, err)
		}
	}
	return nil
}
