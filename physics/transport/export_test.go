package transport

// Saturation is opened for the tests.
var Saturation = saturation

// WaterAt and HumidityAt open the storage of a material.
func WaterAt(m Material, rh float64) float64 {
	p := newPorous(m)
	return p.waterAt(rh, 20)
}

func HumidityAt(m Material, w float64) (rh, slope float64) {
	p := newPorous(m)
	var x Point
	p.at(w, 20, &x)
	return x.RH, x.RHByWater
}
