// Package climate holds monthly outdoor climate by place, years of hours (read from
// a weather file, kept for one lowland place, or made up from monthly means) and the
// one-year design storm by area of the United Kingdom. Sources and licences stand
// beside each place; the credits to show are in CREDITS.md and in Credits.
package climate

import (
	_ "embed"
	"fmt"
	"math"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"

	"underlap/physics/internal/check"
)

// Place is the mean climate of one place. Arrays run from January.
type Place struct {
	ID, Name  string
	Country   string  // two letters
	Lat, Lon  float64 // degrees, north and east positive
	AltitudeM float64 // m above the sea

	TempC     [12]float64 // mean over the day, degC
	RH        [12]float64 // 0 to 1
	VapourPa  [12]float64 // mean vapour pressure, Pa
	WindMS    [12]float64 // m/s at 10 m, when HasWind
	SolarWM2  [12]float64 // mean global radiation on the horizontal over 24 hours, W/m2
	RainMM    [12]float64 // mm in the month
	HasWind   bool
	OverWater bool // VapourPa takes RH as over liquid water below 0 degC, as stations do

	DesignMinC    float64 // usual winter design temperature, degC, when HasDesignMin
	HasDesignMin  bool
	DesignMinFrom string // how the design temperature is known

	Source     string
	Licence    string
	Confidence string // for monthly use: high, medium or low
	Period     string // years averaged
	Kind       string // how the averages were made
	Note       string // may be empty
	Status     Status
	StormID    string // area in the table of design storms, empty outside the United Kingdom
}

// Status says how each row of a place is known: "read", "derived: ..." or
// "memory...".
type Status struct {
	Temp, RH, Vapour, Wind, Solar, Rain string
}

// Storm is the one-year design storm of an area of the United Kingdom: the heaviest
// two minutes in a year.
type Storm struct {
	ID, Name  string
	Low, High float64 // m3/s on each m2; take High to be careful
	// Status is "read" in a trade summary of BS EN 12056-3, or "estimated" from
	// memory of its map and good to about 20 %: never to size an outlet.
	Status string
}

//go:embed places.toml
var placesFile string

//go:embed storms.toml
var stormsFile string

// Credits is the text of CREDITS.md: the credit lines the licences ask for.
//
//go:embed CREDITS.md
var Credits string

var (
	loadPlaces = sync.OnceValues(func() ([]Place, error) { return parsePlaces(placesFile) })
	loadStorms = sync.OnceValues(func() ([]Storm, error) { return parseStorms(stormsFile) })
)

// placeEntry is the layout of one place in the file.
type placeEntry struct {
	ID, Name, Country string
	Lat, Lon          float64
	Altitude          float64 `toml:"altitude_m"`
	Source, Licence   string
	Confidence        string
	Period, Kind      string
	Note, Storm       string
	DesignMin         *float64 `toml:"design_min_c"`
	DesignMinStatus   string   `toml:"design_min_status"`
	OverWater         bool     `toml:"vapour_over_water"`
	Month             struct {
		Temp   []float64 `toml:"temp_c"`
		RH     []float64 `toml:"rh"`
		Vapour []float64 `toml:"vapour_pa"`
		Wind   []float64 `toml:"wind_ms"`
		Solar  []float64 `toml:"solar_wm2"`
		Rain   []float64 `toml:"rain_mm"`
	}
	Status Status
}

func decode(name, text string, into any) error {
	meta, err := toml.Decode(text, into)
	if err != nil {
		return fmt.Errorf("climate: %s: %w", name, err)
	}
	if extra := meta.Undecoded(); len(extra) > 0 {
		return fmt.Errorf("climate: %s: key %q is not known", name, extra[0])
	}
	return nil
}

func parsePlaces(text string) ([]Place, error) {
	var file struct{ Place []placeEntry }
	if err := decode("places", text, &file); err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	out := make([]Place, 0, len(file.Place))
	for _, e := range file.Place {
		if e.ID == "" || seen[e.ID] {
			return nil, fmt.Errorf("climate: place id %q is empty or used twice", e.ID)
		}
		seen[e.ID] = true
		p, err := e.place()
		if err != nil {
			return nil, fmt.Errorf("climate: place %s: %w", e.ID, err)
		}
		out = append(out, p)
	}
	return out, nil
}

func (e placeEntry) place() (Place, error) {
	p := Place{
		ID: e.ID, Name: e.Name, Country: e.Country, Lat: e.Lat, Lon: e.Lon, AltitudeM: e.Altitude,
		HasWind: e.Month.Wind != nil, OverWater: e.OverWater,
		HasDesignMin: e.DesignMin != nil, DesignMinFrom: e.DesignMinStatus,
		Source: e.Source, Licence: e.Licence, Confidence: e.Confidence,
		Period: e.Period, Kind: e.Kind, Note: e.Note, Status: e.Status, StormID: e.Storm,
	}
	if e.DesignMin != nil {
		p.DesignMinC = *e.DesignMin
	}
	for _, text := range []string{e.Name, e.Source, e.Licence, e.Confidence, e.Status.Temp, e.Status.RH, e.Status.Vapour, e.Status.Solar, e.Status.Rain} {
		if text == "" {
			return Place{}, fmt.Errorf("name, source, licence, confidence or a status is empty")
		}
	}
	for _, row := range []struct {
		name   string
		from   []float64
		to     *[12]float64
		lo, hi float64
	}{
		{"temp_c", e.Month.Temp, &p.TempC, -60, 50},
		{"rh", e.Month.RH, &p.RH, 0, 1},
		{"vapour_pa", e.Month.Vapour, &p.VapourPa, 1, 6000},
		{"wind_ms", e.Month.Wind, &p.WindMS, 0, 40},
		{"solar_wm2", e.Month.Solar, &p.SolarWM2, 0, 500},
		{"rain_mm", e.Month.Rain, &p.RainMM, 0, 2000},
	} {
		if row.from == nil && row.name == "wind_ms" {
			continue
		}
		if len(row.from) != 12 {
			return Place{}, fmt.Errorf("%s has %d values, want 12", row.name, len(row.from))
		}
		for m, v := range row.from {
			if err := check.Within(row.name, v, row.lo, row.hi); err != nil {
				return Place{}, err
			}
			row.to[m] = v
		}
	}
	if err := check.Within("lat", p.Lat, -90, 90); err != nil {
		return Place{}, err
	}
	return p, check.Within("lon", p.Lon, -180, 180)
}

func parseStorms(text string) ([]Storm, error) {
	var file struct{ Storm []Storm }
	if err := decode("storms", text, &file); err != nil {
		return nil, err
	}
	for i := range file.Storm {
		s := &file.Storm[i]
		if s.ID == "" || s.Name == "" || (s.Status != "read" && s.Status != "estimated") || !(s.Low > 0 && s.Low <= s.High && s.High < 1) {
			return nil, fmt.Errorf("climate: storm %q is not complete", s.ID)
		}
		// The file has l/s, as the trade does.
		s.Low /= 1000
		s.High /= 1000
	}
	return file.Storm, nil
}

// Places returns all places in the order of the file. The slice is the caller's own.
func Places() ([]Place, error) {
	all, err := loadPlaces()
	return append([]Place(nil), all...), err
}

// Nearest returns the place closest to a latitude and longitude in degrees, and the
// distance in m along the ground.
//
// Source: great circle (haversine) on a sphere of 6371 km.
func Nearest(lat, lon float64) (Place, float64, error) {
	if err := check.First("climate", check.Within("latitude", lat, -90, 90), check.Within("longitude", lon, -180, 180)); err != nil {
		return Place{}, 0, err
	}
	all, err := loadPlaces()
	if err != nil {
		return Place{}, 0, err
	}
	best, found := math.Inf(1), Place{}
	for _, p := range all {
		if d := distance(lat, lon, p.Lat, p.Lon); d < best {
			best, found = d, p
		}
	}
	return found, best, nil
}

func distance(lat1, lon1, lat2, lon2 float64) float64 {
	const earth, rad = 6371e3, math.Pi / 180
	sLat, sLon := math.Sin((lat2-lat1)*rad/2), math.Sin((lon2-lon1)*rad/2)
	h := sLat*sLat + math.Cos(lat1*rad)*math.Cos(lat2*rad)*sLon*sLon
	return 2 * earth * math.Asin(math.Min(1, math.Sqrt(h)))
}

// Storms returns the design storms of all areas.
//
// Source: trade summaries of BS EN 12056-3 and memory of its map; see Storm.Status.
func Storms() ([]Storm, error) {
	all, err := loadStorms()
	return append([]Storm(nil), all...), err
}

// Storm returns the one-year design storm of the area the place lies in. It fails for
// places outside the United Kingdom.
//
// Source: as Storms. Which area a place belongs to is our own judgement.
func (p Place) Storm() (Storm, error) {
	all, err := loadStorms()
	if err != nil {
		return Storm{}, err
	}
	for _, s := range all {
		if s.ID == p.StormID && p.StormID != "" {
			return s, nil
		}
	}
	return Storm{}, fmt.Errorf("climate: no design storm for %s", strings.TrimSpace(p.Name))
}
