package condense_test

import (
	"fmt"

	"underlap/physics/condense"
	"underlap/physics/fabric"
)

// A cold flat roof without ventilation or vapour control, over a home.
func ExampleYear() {
	roof, err := condense.NewRoof([]fabric.Layer{
		{Name: "plasterboard", Thickness: 0.0125, Lambda: 0.21, Mu: 10},
		{Name: "quilt", Thickness: 0.150, Lambda: 0.04, Mu: 1},
		{Name: "OSB", Thickness: 0.018, Lambda: 0.13, Mu: 30},
		{Name: "felt", Thickness: 0.008, Lambda: 0.23, Mu: 50000},
	}, fabric.RsiUp, fabric.Rse)
	if err != nil {
		fmt.Println(err)
		return
	}
	climate, err := condense.ClimateFromRH(
		[12]float64{-1, 0, 4, 9, 14, 18, 19, 19, 15, 10, 5, 1},
		[12]float64{0.85, 0.84, 0.78, 0.72, 0.68, 0.69, 0.73, 0.75, 0.79, 0.83, 0.88, 0.88},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	indoor, err := condense.NewClass(3, 20, 1.10)
	if err != nil {
		fmt.Println(err)
		return
	}
	year, err := condense.Year(roof, climate, indoor)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v: %.1f kg/m2 at most, %.1f after a year\n", year.Outcome, year.Peak, year.AfterYear1)
	// Output: accumulates: 6.7 kg/m2 at most, 2.7 after a year
}
