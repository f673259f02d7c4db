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

// Material is one entry of the table of materials.
type Material struct {
	ID           string
	Name         string
	Kind         Kind
	Lambda       float64 // W/(m K)
	Density      float64 // kg/m3
	HeatCapacity float64 // J/(kg K)
	MuDry        float64 // vapour resistance factor, dry side
	MuWet        float64 // the same, wet side
	Sd           float64 // m, in place of mu when above 0
	FPsi         float64 // moisture coefficient for m3/m3; 0 also when none is known: see From

	// Water storage, for kinds that store water.
	Moisture80   float64 // in equilibrium with air of 80 %, kg/m3
	MoistureFree float64 // all that the material takes up by itself, kg/m3
	Absorption   float64 // coefficient of sucking up water, kg/(m2 s^0.5)
	// Wet80 is the content in m3/m3 at which the thermal resistance fell to 80 % of
	// dry in wetting tests; 0 when there was no test.
	Wet80 float64

	Source string // of the conductivity; From has the rest
	Status Status // of the conductivity

	from map[string]origin
}

// Kind is what a material is used as.
type Kind string

// The kinds of material.
const (
	Board      Kind = "board"
	Timber     Kind = "timber"
	Insulation Kind = "insulation"
	Structure  Kind = "structure" // concrete and screed
	Ballast    Kind = "ballast"
	Membrane   Kind = "membrane" // waterproofing, films and foils
	Metal      Kind = "metal"
	Air        Kind = "air"
)

// StoresWater reports whether materials of the kind hold water in their pores. The
// table gives their storage values; membranes, metal and air have none.
func (k Kind) StoresWater() bool {
	switch k {
	case Board, Timber, Insulation, Structure, Ballast:
		return true
	default:
		return false
	}
}

//go:embed materials.toml
var materialsFile string

var materialTable = sync.OnceValues(func() (map[string]Material, error) {
	return parseMaterials(materialsFile)
})

// entry is a material as the file has it: nil is a value left out.
type entry struct {
	ID           string
	Name         string
	Kind         Kind
	Lambda       *float64             `toml:"lambda"`
	Density      *float64             `toml:"density"`
	HeatCapacity *float64             `toml:"heat_capacity"`
	MuDry        *float64             `toml:"mu_dry"`
	MuWet        *float64             `toml:"mu_wet"`
	Sd           *float64             `toml:"sd"`
	FPsi         *float64             `toml:"f_psi"`
	Moisture80   *float64             `toml:"moisture_80"`
	MoistureFree *float64             `toml:"moisture_free"`
	Absorption   *float64             `toml:"absorption"`
	Wet80        *float64             `toml:"wet_80"`
	From         map[string][2]string `toml:"from"`
}

func parseMaterials(text string) (map[string]Material, error) {
	var file struct{ Material []entry }
	meta, err := toml.Decode(text, &file)
	if err != nil {
		return nil, fmt.Errorf("fabric: materials: %w", err)
	}
	if extra := meta.Undecoded(); len(extra) > 0 {
		return nil, fmt.Errorf("fabric: materials: key %q is not known", extra[0])
	}
	table := make(map[string]Material, len(file.Material))
	for _, e := range file.Material {
		if _, twice := table[e.ID]; twice || e.ID == "" {
			return nil, fmt.Errorf("fabric: materials: id %q is empty or used twice", e.ID)
		}
		m, err := e.material()
		if err != nil {
			return nil, fmt.Errorf("fabric: material %s: %w", e.ID, err)
		}
		table[e.ID] = m
	}
	return table, nil
}

func (e entry) material() (Material, error) {
	if (e.MuDry == nil) != (e.MuWet == nil) {
		return Material{}, fmt.Errorf("want both mu_dry and mu_wet or neither")
	}
	from, err := origins(e.From, map[string]bool{
		"lambda": e.Lambda != nil, "density": e.Density != nil, "heat_capacity": e.HeatCapacity != nil,
		"mu": e.MuDry != nil, "sd": e.Sd != nil, "f_psi": e.FPsi != nil,
		"moisture_80": e.Moisture80 != nil, "moisture_free": e.MoistureFree != nil, "absorption": e.Absorption != nil,
		"wet_80": e.Wet80 != nil,
	})
	if err != nil {
		return Material{}, err
	}
	value := func(p *float64) float64 {
		if p == nil {
			return 0
		}
		return *p
	}
	m := Material{
		ID: e.ID, Name: e.Name, Kind: e.Kind,
		Lambda: value(e.Lambda), Density: value(e.Density), HeatCapacity: value(e.HeatCapacity),
		MuDry: value(e.MuDry), MuWet: value(e.MuWet), Sd: value(e.Sd), FPsi: value(e.FPsi),
		Moisture80: value(e.Moisture80), MoistureFree: value(e.MoistureFree), Absorption: value(e.Absorption), Wet80: value(e.Wet80),
		Source: from["lambda"].source, Status: from["lambda"].status, from: from,
	}
	return m, m.check()
}

func (m Material) check() error {
	switch {
	case m.Name == "":
		return fmt.Errorf("name is empty")
	case !m.Kind.StoresWater() && m.Kind != Membrane && m.Kind != Metal && m.Kind != Air:
		return fmt.Errorf("kind %q is not known", m.Kind)
	case m.Sd == 0 && (m.MuDry < 1 || m.MuWet < 1 || m.MuWet > m.MuDry):
		return fmt.Errorf("want sd, or mu_dry of mu_wet or more and both at least 1")
	}
	for _, value := range []string{"moisture_80", "moisture_free", "absorption"} {
		if _, given := m.from[value]; given != m.Kind.StoresWater() {
			return fmt.Errorf("kind %q: %s given is %v", m.Kind, value, given)
		}
	}
	return check.First("values",
		check.Positive("lambda", m.Lambda),
		check.Positive("density", m.Density),
		check.Positive("heat_capacity", m.HeatCapacity),
		check.NotNegative("sd", m.Sd),
		check.NotNegative("f_psi", m.FPsi),
		check.Within("moisture_free", m.MoistureFree, 0, 1000),
		check.Within("moisture_80", m.Moisture80, 0, m.MoistureFree),
		check.NotNegative("absorption", m.Absorption),
		check.Within("wet_80", m.Wet80, 0, 1),
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
	if m.Kind == Air {
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
