package climate

import "math"

// How the radiation of a file is held against the sun.
const (
	// enoughSun is the number of rows with direct radiation from which its angle tells
	// the time; enoughDays that of days from which the daily course does.
	enoughSun  = 50
	enoughDays = 10
	// With another time the misfit must fall below this share of what it is with the
	// header's. A zone one hour out gives 0.03 to 0.2 of it with direct radiation, and
	// 0.85 with global radiation alone, which clouds scatter.
	clearlyByDirect = 0.5
	clearlyByGlobal = 0.9
)

// sunFit holds what of each row the comparison with the sun needs.
type sunFit struct {
	rows   []Hour
	suns   []sunDay
	clock  []float64 // UTC at the beginning of the row by the header, h
	lon    float64
	direct bool // compare by direct radiation
}

// findSun sets SunZoneH and SunAtH where the radiation shows them to differ clearly
// from the header, and says so in a note. Nothing else is changed.
//
// Global radiation must be the direct radiation times the sine of the sun's height and
// the diffuse; where these are not given it should at least follow that sine through
// the day. Either misfit is least when the sun is taken at the right time.
func (h *Hourly) findSun() {
	fit := h.newSunFit()
	if fit == nil {
		return
	}
	// By whole hours first, the sun in the middle of each.
	shift, least := 0.0, math.Inf(1)
	for s := -12.0; s <= 12; s++ {
		if m := fit.misfit(s + 0.5); m < least {
			shift, least = s, m
		}
	}
	header := fit.misfit(0.5)
	if !fit.direct {
		if least < clearlyByGlobal*header {
			h.setSunZone(shift)
		}
		return
	}
	// Then by tenths of an hour about the best of them. at counts from the beginning
	// of the row by the header.
	at := shift + 0.5
	for i := -10; i <= 10; i++ {
		x := shift + 0.5 + float64(i)/10
		if m := fit.misfit(x); m < least {
			at, least = x, m
		}
	}
	if least >= clearlyByDirect*header {
		return
	}
	const rounding = 1e-9
	if at < -rounding || at > 1+rounding {
		whole := math.Floor(at + rounding)
		h.setSunZone(whole)
		at -= whole
	}
	h.SunAtH = math.Round(10*at) / 10
	if h.SunAtH != 0.5 {
		h.note("The radiation of a row is that of a moment about %.1f h into its hour and not the mean over the hour.", h.SunAtH)
	}
}

// setSunZone takes the sun some hours later than the header has it.
func (h *Hourly) setSunZone(later float64) {
	h.SunZoneH = h.ZoneH - later
	// The other side of the date line.
	if h.SunZoneH < -12 {
		h.SunZoneH += 24
	} else if h.SunZoneH > 14 {
		h.SunZoneH -= 24
	}
	h.note("The header gives the time zone as UTC%+g, but the radiation fits the sun's height with UTC%+g. The rows were not shifted; the height of the sun goes by the radiation.", h.ZoneH, h.SunZoneH)
}

// newSunFit is nil when there is too little radiation to tell.
func (h *Hourly) newSunFit() *sunFit {
	const all, directs = FieldGlobal, FieldGlobal | FieldDirect | FieldDiffuse
	lit, sunny := 0, 0
	for _, row := range h.Hours {
		if row.Has(all) && row.GlobalWM2 > 0 {
			lit++
		}
		if row.Has(directs) && row.DirectWM2 > 50 {
			sunny++
		}
	}
	fit := &sunFit{lon: h.Lon, direct: sunny >= enoughSun}
	if !fit.direct && (len(h.Hours) < 24*enoughDays || lit < 5*enoughDays) {
		return nil
	}
	for i, row := range h.Hours {
		if fit.direct && !(row.Has(directs) && row.GlobalWM2 > 0) || !row.Has(all) {
			continue
		}
		at := h.At(i)
		utc := float64(at.Hour) - h.ZoneH
		fit.rows = append(fit.rows, row)
		fit.suns = append(fit.suns, sunOn(h.Lat, float64(at.ofYear(false)/24)+utc/24))
		fit.clock = append(fit.clock, utc)
	}
	return fit
}

// misfit is the part of the global radiation, W/m2 root mean square, that does not
// follow the sun when it is taken some hours after the beginning of each row.
func (f *sunFit) misfit(at float64) float64 {
	var ss, sg, gg, misfit float64
	for i, s := range f.suns {
		sine := math.Max(0, s.sine(f.lon, f.clock[i]+at))
		row := &f.rows[i]
		ss += sine * sine
		sg += sine * row.GlobalWM2
		gg += row.GlobalWM2 * row.GlobalWM2
		d := row.DirectWM2*sine + row.DiffuseWM2 - row.GlobalWM2
		misfit += d * d
	}
	n := float64(len(f.rows))
	if f.direct {
		return math.Sqrt(misfit / n)
	}
	if ss == 0 {
		return math.Sqrt(gg / n)
	}
	// Least squares: the best multiple of the sine.
	return math.Sqrt(math.Max(0, gg-sg*sg/ss) / n)
}
