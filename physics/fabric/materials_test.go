package fabric

import (
	"math"
	"strings"
	"testing"

	"underlap/physics/internal/vectortest"
	"underlap/physics/timber"
)

func TestMaterials(t *testing.T) {
	all, err := Materials()
	if err != nil {
		t.Fatal(err)
	}
	for _, id := range []string{
		"plasterboard", "softwood", "osb", "plywood", "chipboard", "wood-wool-slab", "straw-slab", "bitumen-sheet",
		"epdm", "butyl", "pvc-tpo", "grp", "liquid-coat", "lead", "asphalt", "steel-deck", "mineral-wool-quilt", "stone-wool-board",
		"eps", "xps", "pir-foil", "pir-tissue", "pur-unfaced", "phenolic", "cellular-glass", "cork", "wood-fibre-board", "perlite-board",
		"concrete", "concrete-plain", "aerated-concrete", "screed", "screed-light", "gravel", "polythene-vcl", "foil", "air",
	} {
		m, err := FindMaterial(" " + strings.ToUpper(id))
		if err != nil {
			t.Error(err)
			continue
		}
		l, err := m.Layer(0.01)
		if id == "air" {
			if err == nil {
				t.Error("air is given a resistance that grows with thickness")
			}
			if l, err = StillAir(0.05, Up); err == nil {
				vectortest.Near(t, "50 mm of air", l.R, 0.16, 0.005)
			}
		}
		if err != nil {
			t.Error(err)
			continue
		}
		if r, err := l.Resistance(); err != nil || r <= 0 {
			t.Errorf("%s: resistance %v, %v", id, r, err)
		}
		if sd, err := l.VapourResistance(); err != nil || sd <= 0 {
			t.Errorf("%s: vapour resistance %v, %v", id, sd, err)
		}
	}
	for i := 1; i < len(all); i++ {
		if all[i-1].ID >= all[i].ID {
			t.Errorf("materials out of order at %s", all[i].ID)
		}
	}
	if _, err := FindMaterial("moon rock"); err == nil {
		t.Error("a material that is not there was found")
	}
}

func TestEveryValueSaysWhereItIsFrom(t *testing.T) {
	all, err := Materials()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range all {
		for value, given := range map[string]bool{
			"lambda": true, "density": true, "heat_capacity": true, "mu": m.MuDry > 0, "sd": m.Sd > 0,
			"moisture_80": m.Kind.StoresWater(), "moisture_free": m.Kind.StoresWater(), "absorption": m.Kind.StoresWater(),
			"wet_80": m.Wet80 > 0,
		} {
			status, source := m.From(value)
			if (status != "") != given || (source != "") != given {
				t.Errorf("%s: %s is from %q, %q", m.ID, value, status, source)
			}
		}
		if status, _ := m.From("f_psi"); status == "" && m.FPsi != 0 {
			t.Errorf("%s: f_psi has no source", m.ID)
		}
		status, source := m.From("lambda")
		if m.Status != status || m.Source != source {
			t.Errorf("%s: Source and Status are not those of the conductivity", m.ID)
		}
	}
	// Read: the conductivity of gravel. From memory: what it weighs.
	gravel, err := FindMaterial("gravel")
	if err != nil {
		t.Fatal(err)
	}
	if s, source := gravel.From("lambda"); s != Read || source != "DIN 4108-4" {
		t.Errorf("gravel: %v, %v", s, source)
	}
	if s, _ := gravel.From("density"); s != Memory {
		t.Errorf("gravel weighs by %v", s)
	}
	if s, source := gravel.From("colour"); s != "" || source != "" {
		t.Errorf("a colour is from %v, %v", s, source)
	}
}

// The water in wood at 80 % is the Wood Handbook's.
func TestTimberHoldsWhatTheWoodHandbookSays(t *testing.T) {
	emc, err := timber.Equilibrium(20, 0.8)
	if err != nil {
		t.Fatal(err)
	}
	count := 0
	all, err := Materials()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range all {
		if m.Kind == Timber {
			count++
			vectortest.Near(t, m.ID, m.Moisture80, emc*m.Density, 0.5)
		}
	}
	if count != 3 {
		t.Errorf("%d timbers, want 3", count)
	}
}

// No material can hold more water than it has pores. Densities of the solid are
// handbook values from memory.
func TestWaterFitsInThePores(t *testing.T) {
	const wood, gypsum, rock, glass, polymer = 1500, 2320, 2750, 2500, 1050
	solid := map[string]float64{
		"plasterboard": gypsum, "plasterboard-dense": gypsum, "softwood": wood, "softwood-light": wood, "hardwood": wood,
		"osb": wood, "plywood": wood, "plywood-dense": wood, "chipboard": wood, "wood-wool-slab": wood, "straw-slab": wood,
		"mineral-wool-quilt": glass, "stone-wool-board": glass, "eps": polymer, "xps": polymer, "pir-foil": polymer,
		"pir-tissue": polymer, "pur-unfaced": polymer, "phenolic": polymer, "cellular-glass": glass, "cork": wood,
		"wood-fibre-board": wood, "perlite-board": glass, "concrete": rock, "concrete-plain": rock, "aerated-concrete": rock,
		"screed": rock, "screed-light": rock, "gravel": rock,
	}
	all, err := Materials()
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range all {
		rho, stores := solid[m.ID]
		if stores != m.Kind.StoresWater() {
			t.Errorf("%s: density of the solid known %v, stores water %v", m.ID, stores, m.Kind.StoresWater())
			continue
		}
		if pores := 1 - m.Density/rho; stores && m.MoistureFree > 1000*pores {
			t.Errorf("%s: %v kg/m3 of water in pores for %.0f", m.ID, m.MoistureFree, 1000*pores)
		}
	}
}

// After three years in a protected membrane roof, expanded polystyrene kept 30 to 40 %
// of its dry resistance, urethane about 30 %, extruded polystyrene essentially all
// (ASTM STP, Tobiasson, Greatorex and Van Pelt 1987; abstract read). So that much water
// must have room.
func TestBoardsHaveRoomForTheWaterOfAProtectedMembraneRoof(t *testing.T) {
	for id, kept := range map[string][2]float64{"eps": {0.29, 0.41}, "pir-foil": {0.25, 0.35}, "pir-tissue": {0.25, 0.35}, "pur-unfaced": {0.25, 0.35}, "xps": {0.85, 1}} {
		m, err := FindMaterial(id)
		if err != nil {
			t.Fatal(err)
		}
		left := math.Exp(-m.FPsi * m.MoistureFree / 1000)
		if left < kept[0] || left > kept[1] {
			t.Errorf("%s: %.2f of its resistance left when full, want %v", id, left, kept)
		}
	}
}

func TestMaterialsFileRefused(t *testing.T) {
	good := `[[material]]
id = "a"
name = "a"
kind = "board"
lambda = 1.0
density = 1.0
heat_capacity = 1.0
mu_dry = 2.0
mu_wet = 1.0
moisture_80 = 5.0
moisture_free = 50.0
absorption = 0.0
[material.from]
lambda = ["read", "x"]
density = ["read", "x"]
heat_capacity = ["memory", "x"]
mu = ["memory", "x"]
moisture_80 = ["common practice", "x"]
moisture_free = ["common practice", "x"]
absorption = ["common practice", "x"]
`
	if _, err := parseMaterials(good); err != nil {
		t.Fatal(err)
	}
	swap := func(from, to string) string {
		t.Helper()
		if !strings.Contains(good, from) {
			t.Fatalf("%q is not in the file", from)
		}
		return strings.Replace(good, from, to, 1)
	}
	for name, c := range map[string]struct{ text, want string }{
		"not toml":              {"[[", "materials"},
		"twice":                 {good + good, "used twice"},
		"no id":                 {swap(`id = "a"`, ""), "empty or used twice"},
		"unknown key":           {swap(`kind = `, "colour = \"red\"\nkind = "), "not known"},
		"unknown value's key":   {good + "weight = [\"read\", \"x\"]\n", "weight has a source but no value"},
		"unknown kind":          {swap(`"board"`, `"soup"`), "kind"},
		"no name":               {swap(`name = "a"`, ""), "name is empty"},
		"status":                {swap(`lambda = ["read"`, `lambda = ["guess"`), "status"},
		"no source":             {swap(`lambda = ["read", "x"]`, ""), "lambda has a value but no source"},
		"no source of storage":  {swap(`absorption = ["common practice", "x"]`, ""), "absorption has a value but no source"},
		"empty source":          {swap(`density = ["read", "x"]`, `density = ["read", ""]`), "source is empty"},
		"source of nothing":     {good + "sd = [\"read\", \"x\"]\n", "sd has a source but no value"},
		"negative":              {swap("lambda = 1.0", "lambda = -1.0"), "lambda"},
		"one mu":                {swap("mu_dry = 2.0\n", ""), "both"},
		"mu the wrong way":      {swap("mu_dry = 2.0", "mu_dry = 0.5"), "mu_dry"},
		"board without storage": {swap("moisture_free = 50.0\n", ""), "moisture_free has a source but no value"},
		"membrane that stores":  {swap(`"board"`, `"membrane"`), "moisture_80 given is true"},
		"drier when wet":        {swap("moisture_80 = 5.0", "moisture_80 = 55.0"), "moisture_80"},
		"more than its volume":  {swap("absorption = 0.0", "absorption = 0.0\nwet_80 = 5.0") + "wet_80 = [\"read\", \"x\"]\n", "wet_80 is 5"},
		"more than water":       {swap("moisture_free = 50.0", "moisture_free = 1500.0"), "moisture_free"},
	} {
		_, err := parseMaterials(c.text)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, c.want)
		}
	}
}

func FuzzMaterialsFile(f *testing.F) {
	f.Add(materialsFile)
	f.Add("[[material]]\nid = \"a\"\n[material.from]\nlambda = [\"read\"]\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, err := parseMaterials(text)
		if err != nil {
			return
		}
		for id, m := range table {
			if m.ID != id || !(m.Lambda > 0) || m.Source == "" {
				t.Errorf("%q was let in: %+v", id, m)
			}
		}
	})
}

func BenchmarkReadMaterials(b *testing.B) {
	for b.Loop() {
		if _, err := parseMaterials(materialsFile); err != nil {
			b.Fatal(err)
		}
	}
}
