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
