package infer_test

import (
	"fmt"

	"underlap/diagnose/infer"
)

// Two causes, one question. The caller is fairly sure that the seam is open.
func Example() {
	engine, err := infer.Compile(infer.Model{
		Causes:    []infer.Cause{{ID: "seam", Weight: 3}, {ID: "other", Weight: 1}},
		SizePrior: []float64{0, 0.9, 0.1},
		Findings: []infer.Finding{{
			ID: "split", Answers: []string{"none", "open"},
			Over: infer.OverCauses, Form: infer.Max,
			Background: []float64{0.95, 0.05},
			Rows:       []infer.Row{{Parent: 0, P: []float64{0.2, 0.8}}},
		}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	said := infer.Reliable(2, 1, 0.85)
	posterior, err := engine.Update(infer.Evidence{Likelihood: map[int][]float64{0: said}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, set := range posterior.Sets(2) {
		fmt.Printf("%v %.3f\n", set.IDs, set.P)
	}
	// Output:
	// [seam] 0.834
	// [seam other] 0.124
}
