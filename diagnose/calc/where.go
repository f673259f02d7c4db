package calc

import (
	"fmt"

	"underlap/physics/climate"
)

// Where says whose weather the sums run in.
type Where struct {
	Place string // named in the case's head; an answer to "place" goes before it
	// Year is a year of hours to run all sums in, or nil for the place's months. Check it
	// with CheckYear.
	Year *climate.Hourly
}

// CheckYear says what a year of hours lacks for the sums: a whole year, with gaps filled,
// in which no hour is without a quantity that they need.
func CheckYear(year *climate.Hourly) error {
	const day, whole = 24, 8760
	switch n := len(year.Hours); {
	case n < whole:
		return fmt.Errorf("the weather of %s has %d hours; a whole year of %d is wanted", year.Name, n, whole)
	case n%day != 0:
		return fmt.Errorf("the weather of %s has %d hours, which are not whole days", year.Name, n)
	}
	for i, h := range year.Hours {
		for _, f := range []struct {
			field climate.Fields
			name  string
		}{
			{climate.FieldTemp, "temperature"},
			{climate.FieldVapour, "humidity"},
			{climate.FieldWind, "wind"},
			{climate.FieldGlobal, "global radiation"},
			{climate.FieldSky, "long-wave radiation of the sky"},
		} {
			if !h.Has(f.field) {
				at := year.At(i)
				return fmt.Errorf("the weather of %s has no %s on %d %s at %02d:00", year.Name, f.name, at.Day, months[at.Month-1], at.Hour)
			}
		}
	}
	return nil
}

// climateOf is the climate of a place by name, and whether the name was known, or that
// of the year given, with the rain of the place where the year has none.
func climateOf(name string, year *climate.Hourly) (place climate.Place, known bool, err error) {
	known = name != ""
	if name == "" {
		name = defaultPlace
	}
	if place, err = climate.ByName(name); err != nil {
		// A case from other knowledge may name a place this version lacks.
		known = false
		if place, err = climate.ByName(defaultPlace); err != nil {
			return place, false, err
		}
	}
	if year == nil {
		return place, known, nil
	}
	own, err := year.Place()
	if err != nil {
		return place, false, err
	}
	if own.Status.Rain == "" {
		own.RainMM, own.Status.Rain = place.RainMM, place.Status.Rain
	}
	own.StormID = place.StormID
	return own, true, nil
}
