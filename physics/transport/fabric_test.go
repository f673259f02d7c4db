package transport_test

import (
	"testing"

	"underlap/physics/fabric"
	"underlap/physics/internal/vectortest"
	"underlap/physics/moistair"
	"underlap/physics/transport"
)

// Each body of the table of materials that has a moisture storage comes to rest, in air
// of 80 %, at the water content the table gives for it.
func TestMaterialsComeToRestAtTheirTable(t *testing.T) {
	all, err := fabric.Materials()
	if err != nil {
		t.Fatal(err)
	}
	bodies := 0
	for _, m := range all {
		body, err := transport.FromFabric(m)
		if err != nil {
			continue // sheets, air and boards with faces
		}
		bodies++
		roof, err := transport.NewRoof([]transport.Part{transport.Body(body, 0.004, 2)}, 0.1, transport.Outside{})
		if err != nil {
			t.Fatal(err)
		}
		run, err := transport.NewRun(roof, transport.Start{TempC: 20, RH: 0.5}, transport.Accuracy{Share: 0.01, Water: 0.01, TempK: 0.1, MaxStep: 1e7})
		if err != nil {
			t.Fatal(err)
		}
		air := transport.Air{RoomC: 20, RoomPa: 0.8 * moistair.PSat(20), OutC: 20, OutPa: 0.8 * moistair.PSat(20)}
		if err := run.Advance(1e10, air, air); err != nil {
			t.Fatal(err)
		}
		vectortest.NearRel(t, m.ID, run.Water(0)/0.004, m.Moisture80, 0.002)
	}
	if bodies < 12 {
		t.Errorf("only %d materials have a moisture storage", bodies)
	}
}

// What is made of an entry of the table, by hand. Oriented strand board: 650 kg/m3 times 1700
// J/(kg K), and both cups. Foam: ISO 10456 gives 0.025 e^(6 x 0.1) = 0.04555 W/(m K) at 100
// kg/m3, and the straight line goes through it.
func TestEntryOfTheTable(t *testing.T) {
	osb := fromTable(t, "osb")
	vectortest.NearRel(t, "heat capacity", osb.HeatCapacity, 1.105e6, 1e-12)
	vectortest.NearRel(t, "dry cup", osb.MuDry, 50, 1e-12)
	vectortest.NearRel(t, "wet cup", osb.MuWet, 30, 1e-12)
	foam := fromTable(t, "pir-tissue")
	vectortest.NearRel(t, "conductivity at 100 kg/m3", foam.Lambda+100*foam.LambdaRise, 0.04555, 1e-4)
}

func fromTable(t *testing.T, id string) transport.Material {
	t.Helper()
	m, err := fabric.FindMaterial(id)
	if err != nil {
		t.Fatal(err)
	}
	out, err := transport.FromFabric(m)
	if err != nil {
		t.Fatal(err)
	}
	return out
}
