package sightings

import (
	"fmt"
	"strings"
)

// Units say what the figures of a file are in, where its headers do not. Empty: as the
// header says, or mm, °C and m/s.
type Units struct {
	Rain  string // mm, cm, m, in, 0.1mm
	Temp  string // C, F, K, 0.1C
	Wind  string // m/s, km/h, mph, kn, 0.1m/s
	Dates string // dmy or mdy, for dates such as 3/11/2026
}

// scale turns a figure into mm, degrees Celsius or m/s: x*times + plus.
type scale struct{ times, plus float64 }

// unitNames are the units of each kind, as headers and people write them.
var unitNames = map[string]map[string]scale{
	"rain": {
		"mm": {1, 0}, "l/m2": {1, 0}, "l/m²": {1, 0}, "kg/m2": {1, 0}, "kg m-2": {1, 0}, "mm/day": {1, 0}, "mm/d": {1, 0}, "millimetres": {1, 0}, "cm": {10, 0}, "m": {1000, 0},
		"in": {25.4, 0}, "inch": {25.4, 0}, "inches": {25.4, 0}, "0.1mm": {0.1, 0}, "0.1 mm": {0.1, 0}, "tenths of mm": {0.1, 0}, "tenths mm": {0.1, 0}, "1/10 mm": {0.1, 0},
	},
	"temp": {
		"c": {1, 0}, "°c": {1, 0}, "degc": {1, 0}, "deg c": {1, 0}, "celsius": {1, 0}, "f": {5.0 / 9, -32 * 5.0 / 9}, "°f": {5.0 / 9, -32 * 5.0 / 9}, "degf": {5.0 / 9, -32 * 5.0 / 9}, "deg f": {5.0 / 9, -32 * 5.0 / 9},
		"fahrenheit": {5.0 / 9, -32 * 5.0 / 9}, "k": {1, -273.15}, "kelvin": {1, -273.15},
		"0.1c": {0.1, 0}, "0.1 c": {0.1, 0}, "0.1°c": {0.1, 0}, "0.1 °c": {0.1, 0}, "tenths of c": {0.1, 0}, "tenths c": {0.1, 0}, "1/10 °c": {0.1, 0},
	},
	"wind": {
		"m/s": {1, 0}, "ms-1": {1, 0}, "m s-1": {1, 0}, "ms": {1, 0}, "km/h": {1 / 3.6, 0}, "kmh": {1 / 3.6, 0}, "kph": {1 / 3.6, 0}, "mph": {0.44704, 0}, "mp/h": {0.44704, 0},
		"kn": {1852.0 / 3600, 0}, "kt": {1852.0 / 3600, 0}, "kts": {1852.0 / 3600, 0}, "knot": {1852.0 / 3600, 0}, "knots": {1852.0 / 3600, 0},
		"0.1m/s": {0.1, 0}, "0.1 m/s": {0.1, 0}, "tenths of m/s": {0.1, 0}, "1/10 m/s": {0.1, 0},
	},
	"from": {"°": {1, 0}, "deg": {1, 0}, "degree": {1, 0}, "degrees": {1, 0}, "10deg": {10, 0}},
	"snow": {"cm": {1, 0}, "mm": {0.1, 0}, "m": {100, 0}, "in": {2.54, 0}, "inch": {2.54, 0}, "inches": {2.54, 0}},
}

// unitKind is which units a quantity may be in.
func unitKind(key string) string {
	switch key {
	case "mean", "min", "max":
		return "temp"
	}
	return key
}

// columnNames are the headers of daily files, most wanted first where a file has several
// for the same thing. They are the plain words and the short codes that weather services
// in general use.
var columnNames = map[string][]string{
	"date": {"date", "day_date", "time", "datetime", "date time", "timestamp", "datum", "mess datum", "obs date", "ob date", "valid time", "valid date", "day of observation", "yyyymmdd", "dt", "jour"},
	"rain": {
		"precipitation sum", "precip sum", "precipitation", "precipitation amount", "total precipitation", "precipitation total", "precip total", "precip", "precipitations",
		"prcp", "rain", "rainfall", "rainfall amount", "rain sum", "rain total", "daily rainfall", "rr", "rsk", "rs", "pp", "ppt", "prec", "niederschlag", "tp", "rain day",
	},
	"mean": {
		"temperature mean", "mean temperature", "temperature 2m mean", "tavg", "tmean", "tg", "tmk", "tm", "tas", "temp mean", "mean temp", "average temperature", "temperature average", "avg temp", "temp avg",
		"temperature", "temp", "air temperature", "temperature 2m", "t2m",
	},
	"min":  {"temperature min", "min temperature", "minimum temperature", "temperature minimum", "temperature 2m min", "tmin", "tn", "tnk", "tasmin", "temp min", "min temp", "mintp", "air temperature min", "lowest temperature"},
	"max":  {"temperature max", "max temperature", "maximum temperature", "temperature maximum", "temperature 2m max", "tmax", "tx", "txk", "tasmax", "temp max", "max temp", "maxtp", "air temperature max", "highest temperature"},
	"wind": {"wind speed mean", "mean wind speed", "wind speed 10m mean", "windspeed 10m mean", "windspeed mean", "wspd", "awnd", "wdsp", "fg", "fm", "ff", "sfcwind", "wind speed", "windspeed", "wind", "wind speed 10m", "wind speed 10m max", "windspeed 10m max", "wind speed max"},
	"from": {"wind direction 10m dominant", "winddirection 10m dominant", "wind direction dominant", "wind direction", "winddirection", "wdir", "wd", "dd", "wind dir", "ddvec", "wind from"},
	"snow": {"snowfall sum", "snowfall", "snow depth", "snwd", "snow", "fresh snow"},
}

// Dates in three columns.
var partNames = map[string][]string{"y": {"year", "yr", "jahr"}, "m": {"month", "mo", "mon", "monat"}, "d": {"day", "dy", "tag", "dom"}}

// header is one heading taken apart: its name in plain words, and its unit when it has one.
func header(text, kind string) (name, unit string) {
	s := strings.ToLower(strings.TrimSpace(strings.Trim(strings.TrimSpace(text), `"'`)))
	for _, b := range [][2]string{{"(", ")"}, {"[", "]"}} {
		if i := strings.Index(s, b[0]); i >= 0 {
			rest := s[i+1:]
			if j := strings.LastIndex(rest, b[1]); j >= 0 {
				unit, s = strings.TrimSpace(rest[:j]), s[:i]+" "+rest[j+1:]
			}
		}
	}
	words := strings.FieldsFunc(s, func(r rune) bool { return r == '_' || r == ' ' || r == '-' || r == '.' || r == ':' || r == '\t' })
	// A unit hung on at the end: rain_mm, tmax_c, wind_speed_kmh.
	if n := len(words); unit == "" && n > 1 {
		if _, ok := unitNames[kind][words[n-1]]; ok {
			unit, words = words[n-1], words[:n-1]
		}
	}
	return strings.Join(words, " "), unit
}

// column is one column that is taken.
type column struct {
	q     *quantity
	at    int
	scale scale
	unit  string // as said or taken
	by    string // "header", "flag" or "taken as"
	title string
}

// columns are what is taken of a file.
type columns struct {
	date  int // -1 when in three columns
	parts [3]int
	taken []column
}

// find picks the columns of a heading line. ok is false when it is none: no date, or no
// figure that we use.
func find(heads []string, u Units) (c columns, ok bool, err error) {
	pick := func(key string) (int, string) {
		for _, want := range columnNames[key] {
			for i, h := range heads {
				if name, unit := header(h, unitKind(key)); name == want {
					return i, unit
				}
			}
		}
		return -1, ""
	}
	c.date, _ = pick("date")
	if c.date < 0 {
		for k, key := range []string{"y", "m", "d"} {
			c.parts[k] = -1
			for i, h := range heads {
				if name, _ := header(h, ""); c.parts[k] < 0 && has(partNames[key], name) {
					c.parts[k] = i
				}
			}
		}
		if c.parts[0] < 0 || c.parts[1] < 0 || c.parts[2] < 0 {
			// "day" alone is the date.
			if c.parts[0] >= 0 || c.parts[1] >= 0 || c.parts[2] < 0 {
				return c, false, nil
			}
			c.date = c.parts[2]
		}
	}
	for i := range quantities {
		q := &quantities[i]
		at, unit := pick(q.key)
		if at < 0 {
			continue
		}
		col := column{q: q, at: at, title: strings.TrimSpace(heads[at]), by: "header"}
		flag := map[string]string{"rain": u.Rain, "temp": u.Temp, "wind": u.Wind}[unitKind(q.key)]
		switch {
		case flag != "":
			col.unit, col.by = strings.ToLower(flag), "flag"
		case unit != "":
			col.unit = unit
		default:
			col.unit, col.by = strings.ToLower(strings.TrimPrefix(q.unit, "°")), "taken as"
			if q.key == "snow" || q.key == "from" {
				col.unit = q.unit
			}
		}
		s, known := unitNames[unitKind(q.key)][col.unit]
		if !known && col.by == "flag" {
			return c, true, fmt.Errorf("the unit %q is not one for %s; say one of %s", flag, q.name, unitsOf(unitKind(q.key)))
		}
		if !known {
			return c, true, fmt.Errorf("column %q: the unit %q is not known; say it with a flag, for example --rain-unit mm, --temp-unit C or --wind-unit m/s", col.title, unit)
		}
		col.scale = s
		c.taken = append(c.taken, col)
	}
	return c, len(c.taken) > 0, nil
}

func has(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

func unitsOf(kind string) string {
	switch kind {
	case "rain":
		return "mm, cm, m, in, 0.1mm"
	case "temp":
		return "C, F, K, 0.1C"
	}
	return "m/s, km/h, mph, kn, 0.1m/s"
}
