package climate

import (
	"bytes"
	"compress/gzip"
	_ "embed"
	"fmt"
	"io"
	"strconv"
	"strings"
	"sync"
)

// lowlandFile is the hourly year of Antwerp, 63 kB. Unpacked it is text, one line to a
// quantity: its name, the step of its values and 8760 whole numbers, each the change
// from the hour before in steps. The numbers are those of the source, none is rounded.
//
//go:embed lowland.txt.gz
var lowlandFile []byte

var loadLowland = sync.OnceValues(func() (*Hourly, error) { return unpackLowland(lowlandFile) })

// Lowland returns a year of hours for a lowland place near the sea in north-west
// Europe: Antwerp, whose weather is close to that of south-east England. It has no rain
// and no cloud. It is unpacked at the first call; the copy is the caller's own.
//
// The months are real ones, taken from different years mainly for their sunshine, so
// that the monthly means stray from the usual by up to 3 K: good for what happens from
// hour to hour, not as a mean climate. Rows are in UTC; temperature, humidity and wind
// are those at the beginning of the hour, radiation that of a moment 0.2 h later.
//
// Source: PVGIS typical meteorological year, European Union, Joint Research Centre.
func Lowland() (*Hourly, error) {
	h, err := loadLowland()
	if err != nil {
		return nil, err
	}
	return h.copied(), nil
}

func unpackLowland(packed []byte) (*Hourly, error) {
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("climate: lowland year: %w", err)
	}
	text, err := io.ReadAll(z)
	if err != nil {
		return nil, fmt.Errorf("climate: lowland year: %w", err)
	}
	h := &Hourly{
		Name: "Antwerp", Country: "BE", Lat: 51.222, Lon: 4.401, AltitudeM: 10, SunAtH: 0.2,
		Source:  "PVGIS typical meteorological year, months of 2006 to 2019. PVGIS (c) European Union",
		Licence: "free to use with the source named",
		Start:   Stamp{Month: 1, Day: 1},
		Hours:   make([]Hour, 8760),
		Notes: []string{
			"The months come from different years.",
			"The radiation of a row is that of a moment about 0.2 h into its hour and not the mean over the hour.",
			"There is no rain in any hour.",
		},
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	columns := []struct {
		name string
		of   func(*Hour) *float64
	}{
		{"temp_c", func(h *Hour) *float64 { return &h.TempC }},
		{"rh", func(h *Hour) *float64 { return &h.RH }},
		{"wind_ms", func(h *Hour) *float64 { return &h.WindMS }},
		{"global_wm2", func(h *Hour) *float64 { return &h.GlobalWM2 }},
		{"direct_wm2", func(h *Hour) *float64 { return &h.DirectWM2 }},
		{"diffuse_wm2", func(h *Hour) *float64 { return &h.DiffuseWM2 }},
		{"sky_wm2", func(h *Hour) *float64 { return &h.SkyWM2 }},
	}
	if len(lines) != len(columns) {
		return nil, fmt.Errorf("climate: lowland year: %d lines, want %d", len(lines), len(columns))
	}
	for c, column := range columns {
		words := strings.Fields(lines[c])
		if len(words) != 2+len(h.Hours) || words[0] != column.name {
			return nil, fmt.Errorf("climate: lowland year: line %d is not %s with %d values", c+1, column.name, len(h.Hours))
		}
		perUnit, err := strconv.Atoi(words[1])
		if err != nil || perUnit <= 0 {
			return nil, fmt.Errorf("climate: lowland year: %s: steps of 1/%s", column.name, words[1])
		}
		steps := 0
		for i, word := range words[2:] {
			change, err := strconv.Atoi(word)
			if err != nil {
				return nil, fmt.Errorf("climate: lowland year: %s: %w", column.name, err)
			}
			steps += change
			*column.of(&h.Hours[i]) = float64(steps) / float64(perUnit)
		}
	}
	for i := range h.Hours {
		row := &h.Hours[i]
		row.VapourPa = row.RH * psatWater(row.TempC)
		row.Missing = FieldRain | FieldCloud
	}
	return h, nil
}
