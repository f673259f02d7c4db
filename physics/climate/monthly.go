package climate

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"
)

// enoughHours is the share of the hours of a month that a mean needs. Our own judgement.
const enoughHours = 0.9

// Place returns the mean climate of an hourly year by month, for a balance by month.
// Means are those of the hours that have a value; a month needs nine tenths of them.
// Wind may be missing, and HasWind is false then; so may rain, which is 0 then with no
// status. The design temperature is the 0.4th percentile of the year. It fails when a
// month lacks air temperature, humidity or global radiation.
//
// Source: arithmetic means; the percentile as the usual winter design temperature.
func (h *Hourly) Place() (Place, error) {
	p := Place{
		ID: strings.ReplaceAll(plain(h.Name), " ", "_"), Name: h.Name, Country: h.Country,
		Lat: h.Lat, Lon: h.Lon, AltitudeM: h.AltitudeM, OverWater: true,
		Source: h.Source, Licence: h.Licence, Confidence: "medium",
		Period: "one year of hours", Kind: "means of an hourly year",
		Note: "A year put together from typical months may stray from the usual month by 3 degrees and more.",
	}
	if err := checkPosition(h.Lat, h.Lon); err != nil {
		return Place{}, err
	}
	all := h.monthHours()
	for _, x := range []struct {
		field    Fields
		optional bool
		to       *[12]float64
		status   *string
	}{
		{FieldTemp, false, &p.TempC, &p.Status.Temp},
		{FieldRH, false, &p.RH, &p.Status.RH},
		{FieldVapour, false, &p.VapourPa, &p.Status.Vapour},
		{FieldGlobal, false, &p.SolarWM2, &p.Status.Solar},
		{FieldWind, true, &p.WindMS, &p.Status.Wind},
		{FieldRain, true, &p.RainMM, &p.Status.Rain},
	} {
		mean, there := h.means(x.field)
		full := true
		for m := range 12 {
			if float64(there[m]) >= enoughHours*float64(all[m]) && all[m] >= 24*28 {
				continue
			}
			if !x.optional {
				return Place{}, fmt.Errorf("climate: no mean for %s: %d of %d hours have %s, want nine in ten",
					time.Month(m+1), there[m], max(all[m], 24*monthDays[m]), quantityOf(x.field).name)
			}
			full = false
		}
		if !full {
			continue
		}
		*x.to, *x.status = mean, "read"
		switch x.field {
		case FieldWind:
			p.HasWind = true
		case FieldRain: // from the mean of an hour to the sum of the month
			for m := range 12 {
				x.to[m] *= float64(all[m])
			}
		}
	}
	p.DesignMinC, p.HasDesignMin = h.coldest(0.004), true
	p.DesignMinFrom = "read: 0.4th percentile of the hourly year"
	return p, nil
}

// monthHours counts the rows of each month.
func (h *Hourly) monthHours() (n [12]int) {
	for i := range h.Hours {
		n[h.Month(i)]++
	}
	return n
}

// means are the means of a quantity by month over the rows that have it, and their
// number. A month without any is 0.
func (h *Hourly) means(f Fields) (mean [12]float64, n [12]int) {
	of := quantityOf(f).of
	for i := range h.Hours {
		if row := &h.Hours[i]; row.Has(f) {
			m := h.Month(i)
			mean[m] += *of(row)
			n[m]++
		}
	}
	for m := range mean {
		mean[m] /= math.Max(1, float64(n[m]))
	}
	return mean, n
}

// coldest is the air temperature that a share of the hours that have one lies below. At
// least one must have it.
func (h *Hourly) coldest(share float64) float64 {
	var t []float64
	for _, row := range h.Hours {
		if row.Has(FieldTemp) {
			t = append(t, row.TempC)
		}
	}
	sort.Float64s(t)
	return t[int(share*float64(len(t)))]
}
