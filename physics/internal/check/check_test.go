package check

import (
	"math"
	"strings"
	"testing"
)

func TestChecksRefuseWhatTheySay(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	tests := []struct {
		name string
		err  error
		bad  bool
	}{
		{"finite", Finite("x", 1), false},
		{"finite nan", Finite("x", nan), true},
		{"finite inf", Finite("x", -inf), true},
		{"positive", Positive("x", 1), false},
		{"positive zero", Positive("x", 0), true},
		{"positive nan", Positive("x", nan), true},
		{"positive inf", Positive("x", inf), true},
		{"not negative zero", NotNegative("x", 0), false},
		{"not negative", NotNegative("x", -1), true},
		{"not negative nan", NotNegative("x", nan), true},
		{"within", Within("x", 0.5, 0, 1), false},
		{"within above", Within("x", 2, 0, 1), true},
		{"within nan", Within("x", nan, 0, 1), true},
	}
	for _, tt := range tests {
		if (tt.err != nil) != tt.bad {
			t.Errorf("%s: error %v, want an error: %v", tt.name, tt.err, tt.bad)
		}
	}
}

func TestFirstNamesThePackage(t *testing.T) {
	if err := First("pkg", nil, nil); err != nil {
		t.Errorf("no errors gave %v", err)
	}
	err := First("pkg", nil, Positive("depth", -1), Positive("width", -1))
	if err == nil || !strings.HasPrefix(err.Error(), "pkg: depth") {
		t.Errorf("got %v, want the first error with the package before it", err)
	}
}
