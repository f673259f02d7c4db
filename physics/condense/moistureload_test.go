package condense

import (
	"testing"

	"pgregory.net/rapid"

	"underlap/physics/internal/vectortest"
	"underlap/physics/moistair"
)

// The corners of the lines of EN 15026 and points worked out by hand between them.
func TestMoistureLoad(t *testing.T) {
	damp, err := NormalMoistureLoad().WithMargin(DesignMargin)
	if err != nil {
		t.Fatal(err)
	}
	own, err := NewMoistureLoad(0.2, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		name  string
		load  MoistureLoad
		outC  float64
		roomC float64
		rh    float64
	}{
		{"normal, colder than the line", NormalMoistureLoad(), -25, 20, 0.30},
		{"normal, start of the line", NormalMoistureLoad(), -10, 20, 0.30},
		{"normal, a third up", NormalMoistureLoad(), 0, 20, 0.40},
		{"normal, half way", NormalMoistureLoad(), 5, 20, 0.45},
		{"normal, where the room begins to warm", NormalMoistureLoad(), 10, 20, 0.50},
		{"normal, warm", NormalMoistureLoad(), 15, 22.5, 0.55},
		{"normal, end of the line", NormalMoistureLoad(), 20, 25, 0.60},
		{"normal, warmer than the line", NormalMoistureLoad(), 35, 25, 0.60},
		{"high, cold", HighMoistureLoad(), -10, 20, 0.40},
		{"high, half way", HighMoistureLoad(), 5, 20, 0.55},
		{"high, end", HighMoistureLoad(), 20, 25, 0.70},
		{"normal with margin, cold", damp, -10, 20, 0.35},
		{"normal with margin, end", damp, 20, 25, 0.65},
		{"own levels", own, 5, 20, 0.35},
	}
	for _, tt := range tests {
		roomC, pa := tt.load.Room(tt.outC, 500)
		vectortest.Near(t, tt.name+", room", roomC, tt.roomC, 1e-12)
		vectortest.Near(t, tt.name+", RH", tt.load.RH(tt.outC), tt.rh, 1e-12)
		vectortest.NearRel(t, tt.name+", vapour pressure", pa, tt.rh*moistair.PSat(tt.roomC), 1e-12)
	}
}

// A warmer day never makes the room cooler or drier, a damper load never drier air,
// and the room stays between the ends of its lines.
func TestMoistureLoadIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(0.01, 0.9).Draw(t, "low")
		high := rapid.Float64Range(low, 0.95).Draw(t, "high")
		load, err := NewMoistureLoad(low, high)
		if err != nil {
			t.Fatal(err)
		}
		damper, err := load.WithMargin(rapid.Float64Range(0, 1-high).Draw(t, "margin"))
		if err != nil {
			t.Fatal(err)
		}
		a := rapid.Float64Range(-60, 60).Draw(t, "a")
		b := rapid.Float64Range(a, 60).Draw(t, "b")
		roomA, paA := load.Room(a, 0)
		roomB, paB := load.Room(b, 0)
		_, paDamper := damper.Room(a, 0)
		if roomB < roomA || paB < paA*(1-1e-12) || load.RH(b) < load.RH(a) {
			t.Fatalf("%v degC: %v degC, %v Pa; %v degC: %v degC, %v Pa", a, roomA, paA, b, roomB, paB)
		}
		if paDamper < paA*(1-1e-12) {
			t.Fatalf("a margin takes %v Pa down to %v", paA, paDamper)
		}
		if roomA < 20 || roomB > 25 || load.RH(a) < low || load.RH(b) > high+1e-15 {
			t.Fatalf("rooms of %v and %v degC leave the lines", roomA, roomB)
		}
	})
}
