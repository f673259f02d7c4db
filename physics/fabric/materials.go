package fabric

import (
	_ "embed"
	"fmt"
	"sort"
	"strings"
	"sync"

	"github.com/BurntSushi/toml"

	"underlap/physics/internal/check"
)

// Status says how a figure came to us.
type Status string

// The three kinds of figure in the table of materials.
const (
	Read           Status = "read"            // read in the document, or in a text that quotes it
	Memory         Status = "memory"          // recalled from the document, to be checked
	CommonPractice Status = "common practice" // a usual figure, no document
)

// Material is one entry of the table of materials.
type Material struct {
	ID           string
	Name         string
	Kind         string
	Lambda       float64 `toml:"lambda"`        // W/(m K)
	Density      float64 `toml:"density"`       // kg/m3
	HeatCapacity float64 `toml:"heat_capacity"` // J/(kg K)
	MuDry        float64 `toml:"mu_dry"`        // vapour resistance factor, dry side
	MuWet        float64 `toml:"mu_wet"`        // the same, wet side
	Sd           float64 `toml:"sd"`            // m, in place of mu when above 0
	FPsi         float64 `toml:"f_psi"`         // moisture coefficient for m3/m3, 0 when none
	Source       string
	Status       Status
}

//go:embed materials.toml
var materialsFile string

var materialTable = sync.OnceValues(func() (map[string]Material, error) {
	return parseMaterials(materialsFile)
})

func parseMaterials(text string) (map[string]Material, error) {
	var file struct{ Material []Material }
	meta, err := toml.Decode(text, &file)
	if err != nil {
		return nil, fmt.Errorf("fabric: materials: %w", err)
	}
	if extra := meta.Undecoded(); len(extra) > 0 {
		return nil, fmt.Errorf("fabric: materials: key %q is not known", extra[0])
	}
	table := make(map[string]Material, len(file.Material))
	for _, m := range file.Material {
		if _, twice := table[m.ID]; twice || m.ID == "" {
			return nil, fmt.Errorf("fabric: materials: id %q is empty or used twice", m.ID)
		}
		if err := m.check(); err != nil {
			return nil, err
		}
		table[m.ID] = m
	}
	return table, nil
}

func (m Material) check() error {
	switch m.Status {
	case Read, Memory, CommonPractice:
	default:
		return fmt.Errorf("fabric: material %s: status %q is not known", m.ID, m.Status)
	}
	if m.Source == "" || m.Name == "" {
		return fmt.Errorf("fabric: material %s: name or source is empty", m.ID)
	}
	if m.Sd == 0 && (m.MuDry < 1 || m.MuWet < 1 || m.MuWet > m.MuDry) {
		return fmt.Errorf("fabric: material %s: want sd, or mu_dry of mu_wet or more and both at least 1", m.ID)
	}
	return check.First("fabric: material "+m.ID,
		check.Positive("lambda", m.Lambda),
		check.Positive("density", m.Density),
		check.Positive("heat_capacity", m.HeatCapacity),
		check.NotNegative("sd", m.Sd),
		check.NotNegative("f_psi", m.FPsi),
	)
}

// Materials returns all materials, ordered by id.
func Materials() ([]Material, error) {
	table, err := materialTable()
	if err != nil {
		return nil, err
	}
	out := make([]Material, 0, len(table))
	for _, m := range table {
		out = append(out, m)
	}
	sort.Slice(out, func(i, j int) bool { return out[i].ID < out[j].ID })
	return out, nil
}

// FindMaterial returns the material with that id, upper and lower case alike. It
// fails when there is none.
func FindMaterial(id string) (Material, error) {
	table, err := materialTable()
	if err != nil {
		return Material{}, err
	}
	m, ok := table[strings.ToLower(strings.TrimSpace(id))]
	if !ok {
		return Material{}, fmt.Errorf("fabric: no material %q", id)
	}
	return m, nil
}

// Layer returns a layer of the material of the given thickness in m, with the
// vapour factor for dry conditions, which is the tighter of the two. It fails for a
// negative thickness and for air, whose resistance does not grow with thickness: use
// StillAir.
func (m Material) Layer(thickness float64) (Layer, error) {
	if m.Kind == "air" {
		return Layer{}, fmt.Errorf("fabric: material %s: an air layer is made by StillAir", m.ID)
	}
	l := Layer{Name: m.Name, Thickness: thickness, Lambda: m.Lambda, Mu: m.MuDry, Sd: m.Sd}
	return l, l.check()
}

// StillAir returns an unventilated air layer of the given thickness in m for heat flow
// in that direction, between faces of ordinary emissivity 0.9.
//
// Source: AirLayer for heat; EN ISO 13788 for s_d, 0.01 m whatever the thickness.
func StillAir(thickness float64, d Direction) (Layer, error) {
	r, err := AirLayer{Thickness: thickness, Direction: d, EmissivityA: 0.9, EmissivityB: 0.9, MeanC: 10, DeltaK: 5}.Resistance()
	return Layer{Name: "still air", Thickness: thickness, R: r, Sd: 0.01}, err
}
