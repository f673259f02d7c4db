package fabric

import (
	"fmt"
	"maps"
	"slices"
)

// Status says how a figure came to us.
type Status string

// The three kinds of figure in the table of materials.
const (
	Read           Status = "read"            // read in the document, or in a text that quotes it
	Memory         Status = "memory"          // recalled from the document, to be checked
	CommonPractice Status = "common practice" // a usual figure, no document
)

// origin is where one value came from.
type origin struct {
	status Status
	source string
}

// From returns how a value of the material came to us and from what document. The
// value is named as in the file of materials: lambda, density, heat_capacity, mu (both
// vapour factors), sd, f_psi, moisture_80, moisture_free, absorption or wet_80. Both
// are empty when the table has no such value for the material.
func (m Material) From(value string) (Status, string) {
	o := m.from[value]
	return o.status, o.source
}

// origins reads the pairs of status and source. It fails unless every value given has
// one and nothing else does.
func origins(pairs map[string][2]string, given map[string]bool) (map[string]origin, error) {
	out := make(map[string]origin, len(pairs))
	for _, value := range slices.Sorted(maps.Keys(pairs)) {
		pair := pairs[value]
		o := origin{Status(pair[0]), pair[1]}
		switch o.status {
		case Read, Memory, CommonPractice:
		default:
			return nil, fmt.Errorf("%s: status %q is not known", value, o.status)
		}
		if o.source == "" {
			return nil, fmt.Errorf("%s: source is empty", value)
		}
		if !given[value] {
			return nil, fmt.Errorf("%s has a source but no value", value)
		}
		out[value] = o
	}
	for _, value := range slices.Sorted(maps.Keys(given)) {
		if _, ok := out[value]; given[value] && !ok {
			return nil, fmt.Errorf("%s has a value but no source", value)
		}
	}
	return out, nil
}
