package facts

import (
	"fmt"

	"underlap/diagnose/measure"
)

// Number words the value of a fact in the unit people use for it.
func (f Fact) Number() string {
	s := ""
	switch f.Question.Unit {
	case "mm":
		s = measure.MM(f.Value)
		if f.Tolerance > 0 {
			s = fmt.Sprintf("%.0f ± %s", f.Value*1000, measure.MM(f.Tolerance))
		}
	case "m":
		s = measure.M(f.Value)
	case "m2":
		s = measure.M2(f.Value)
	case "L":
		s = measure.L(f.Value)
	case "h":
		s = measure.H(f.Value)
	case "%":
		s = measure.Pct(f.Value * 100)
	case "years":
		s = fmt.Sprintf("%.0f years", f.Value)
	default:
		s = fmt.Sprintf("%.0f", f.Value)
	}
	return s
}
