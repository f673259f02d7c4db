package drainage

import "underlap/physics/internal/check"

// Least heights of an upstand above the finished roof, in m. BS 6229 and trade
// guidance, read in texts that quote them; 75 mm at a door sill needs drainage that
// keeps water away from it.
const (
	UpstandHeight     = 0.150
	DoorUpstandHeight = 0.075
)

// Upstand is the verdict on an upstand.
type Upstand struct {
	Left     float64 // height above the roof after the overlay, m; may be negative
	Required float64 // m
	Short    float64 // what is missing, m; 0 when it is enough
	OK       bool
}

// CheckUpstand returns whether an upstand of height m is high enough once the roof has
// been raised by overlay m, at a door or elsewhere.
//
// Source: BS 6229 and trade guidance as above.
func CheckUpstand(height, overlay float64, door bool) (Upstand, error) {
	if err := check.First("drainage: upstand", check.NotNegative("height", height), check.NotNegative("overlay", overlay)); err != nil {
		return Upstand{}, err
	}
	u := Upstand{Left: height - overlay, Required: UpstandHeight}
	if door {
		u.Required = DoorUpstandHeight
	}
	// A tenth of a millimetre is nothing to quarrel about.
	u.OK = u.Left >= u.Required-1e-4
	if !u.OK {
		u.Short = u.Required - u.Left
	}
	return u, nil
}
