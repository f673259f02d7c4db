package transport_test

import (
	"math"
	"testing"

	"underlap/physics/fabric"
	"underlap/physics/internal/vectortest"
	"underlap/physics/moistair"
	"underlap/physics/timber"
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

// Wood in the course holds what the Wood Handbook says at every humidity (equation 4-5, by
// package timber), brought to its own content at 80 %, and its curve rises all the way to
// free saturation without a corner.
func TestWoodKeepsItsSorptionCurve(t *testing.T) {
	for _, id := range []string{"softwood", "osb", "chipboard"} {
		m, err := fabric.FindMaterial(id)
		if err != nil {
			t.Fatal(err)
		}
		body := fromTable(t, id)
		at80, err := timber.Equilibrium(20, 0.8)
		if err != nil {
			t.Fatal(err)
		}
		for _, rh := range []float64{0.15, 0.35, 0.5, 0.65, 0.8, 0.9, 0.95} {
			u, err := timber.Equilibrium(20, rh)
			if err != nil {
				t.Fatal(err)
			}
			vectortest.NearRel(t, id, transport.WaterAt(body, rh), u/at80*m.Moisture80, 0.02)
		}
		lastRH, lastSlope := 0.0, 0.0
		for i := 1; i <= 4000; i++ {
			w := m.MoistureFree * float64(i) / 4000
			rh, slope := transport.HumidityAt(body, w)
			if !(rh >= lastRH && slope > 0 && rh <= 1+1e-9) {
				t.Fatalf("%s at %.1f kg/m3: rh %v after %v, slope %v", id, w, rh, lastRH, slope)
			}
			up, _ := transport.HumidityAt(body, w+1e-4)
			down, _ := transport.HumidityAt(body, w-1e-4)
			if d := (up - down) / 2e-4; math.Abs(d-slope) > 0.02*(math.Abs(d)+1e-4) {
				t.Fatalf("%s at %.1f kg/m3: slope %v, by differences %v", id, w, slope, d)
			}
			if i > 1 && math.Abs(slope-lastSlope) > 0.2*lastSlope+1e-4 {
				t.Fatalf("%s at %.1f kg/m3: a corner from %v to %v", id, w, lastSlope, slope)
			}
			lastRH, lastSlope = rh, slope
		}
	}
}
