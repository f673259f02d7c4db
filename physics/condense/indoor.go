package condense

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// Climate is the outdoor climate by month, January first.
type Climate struct {
	TempC    [12]float64 // degC; for a roof that cools under a clear sky pass the lower value
	VapourPa [12]float64 // Pa
}

// ClimateFromRH returns the climate with the vapour pressure worked out from
// temperature in degC and relative humidity 0 to 1.
//
// Source: EN ISO 13788.
func ClimateFromRH(tempC, rh [12]float64) (Climate, error) {
	c := Climate{TempC: tempC}
	for m := range tempC {
		pv, err := moistair.VapourPressure(tempC[m], rh[m])
		if err != nil {
			return Climate{}, fmt.Errorf("condense: month %d: %w", m+1, err)
		}
		c.VapourPa[m] = pv
	}
	return c, nil
}

// mostPa bounds vapour pressure: an atmosphere of nothing but vapour.
const mostPa = moistair.StandardPressure

func (c *Climate) check() error {
	for m, tempC := range c.TempC {
		if pa := c.VapourPa[m]; !(tempC >= -60 && tempC <= 60 && pa >= 0 && pa <= mostPa) {
			return check.First("condense: climate", check.Within("temperature", tempC, -60, 60), check.Within("vapour pressure", pa, 0, mostPa))
		}
	}
	return nil
}

// Indoor gives the air of the room below for the outdoor air of a month: both as
// temperature in degC and vapour pressure in Pa.
type Indoor interface {
	Room(outC, outPa float64) (tempC, vapourPa float64)
}

// Class is room air by the humidity classes of EN ISO 13788: the vapour pressure
// exceeds that outdoors by an amount that is full up to 0 degC outdoors and falls
// to nothing at 20 degC. The upper limit of the class is used.
type Class struct {
	tempC  float64
	full   float64 // excess at 0 degC and below, Pa
	margin float64
}

// NewClass returns the model for class 1 (dry storage) to 5 (laundry, pool) in a
// room of tempC degrees Celsius. The margin multiplies the excess; the standard
// asks for 1.10. Class 5 has no upper limit in the standard; 1350 Pa is taken here
// by going one equal step on from class 4 (common practice, no source).
//
// Source: EN ISO 13788 Annex A, limits and margin from memory of it.
func NewClass(class int, tempC, margin float64) (Class, error) {
	if class < 1 || class > 5 {
		return Class{}, fmt.Errorf("condense: humidity class %d, want 1 to 5", class)
	}
	if err := check.First("condense", check.Within("room temperature", tempC, -20, 60), check.Within("margin", margin, 0.5, 2)); err != nil {
		return Class{}, err
	}
	return Class{tempC: tempC, full: 270 * float64(class), margin: margin}, nil
}

// Excess returns the excess of vapour pressure in Pa at an outdoor temperature in
// degC, without the margin.
func (c Class) Excess(outC float64) float64 {
	return c.full * math.Min(1, math.Max(0, (20-outC)/20))
}

// Room implements Indoor. The vapour pressure does not exceed saturation, which the
// rule would pass where outdoor air is damper than a cool room can be.
func (c Class) Room(outC, outPa float64) (tempC, vapourPa float64) {
	return c.tempC, math.Min(saturation(c.tempC), outPa+c.margin*c.Excess(outC))
}

// Steady is a room kept at one temperature and relative humidity all year.
type Steady struct {
	TempC float64 // degC
	RH    float64 // 0 to 1
}

// Room implements Indoor. A relative humidity outside 0 to 1 gives NaN, which the
// balance refuses.
func (s Steady) Room(_, _ float64) (tempC, vapourPa float64) {
	if !(s.RH >= 0 && s.RH <= 1) {
		return s.TempC, math.NaN()
	}
	return s.TempC, s.RH * saturation(s.TempC)
}

// Occupancy is a room whose moisture comes from the people in it and leaves with
// the air.
type Occupancy struct {
	TempC      float64 // degC
	KgPerDay   float64 // vapour given off, kg/day
	Volume     float64 // m3
	AirChanges float64 // of outdoor air without the extract, per hour
	Extract    float64 // extract fan averaged over the day, m3/s
}

// NewOccupancy checks the figures. It fails when there is no air change at all.
func NewOccupancy(o Occupancy) (Occupancy, error) {
	err := check.First("condense: occupancy",
		check.Within("room temperature", o.TempC, -20, 60),
		check.NotNegative("vapour per day", o.KgPerDay),
		check.Positive("volume", o.Volume),
		check.NotNegative("air changes", o.AirChanges),
		check.NotNegative("extract", o.Extract),
		check.Positive("air flow", o.flow()),
	)
	return o, err
}

func (o Occupancy) flow() float64 { return o.AirChanges*o.Volume/3600 + o.Extract }

// Room implements Indoor. The vapour pressure does not exceed saturation: what is
// more than that runs down the windows.
//
// Source: EN ISO 13788 Annex A, steady balance of vapour, p_i = p_e + G R_v T / V.
func (o Occupancy) Room(_, outPa float64) (tempC, vapourPa float64) {
	limit := saturation(o.TempC)
	flow := o.flow()
	if flow <= 0 {
		return o.TempC, limit
	}
	rise := o.KgPerDay / 86400 * moistair.VapourGasConstant * (o.TempC + 273.15) / flow
	return o.TempC, math.Min(limit, outPa+rise)
}
