package entry

import (
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"underlap/diagnose/measure"
	"underlap/rules"
)

// noFacts knows nothing.
type noFacts struct{}

func (noFacts) Choices(string) ([]string, bool) { return nil, false }
func (noFacts) Number(string) (float64, bool)   { return 0, false }

// one is a pack in which each build-up travels in one way and the only cause may sit
// anywhere: what is left is the travel.
func one(way rules.Way) *rules.Pack {
	p := *rules.Built()
	t := p.Travel
	t.Astray, t.SpotSD = 0, 1e-3
	way.Share = 1
	t.Types = []rules.TravelType{{ID: "cold", Says: "one way", Slow: 1, Ways: []rules.Way{way}}}
	t.Sits = []rules.Sits{{Cause: "puncture", At: map[string]float64{"unplaced": 100}}}
	p.Travel = t
	return &p
}

// at is a roof of that size that falls towards a side, with stains told in metres.
func at(along, out float64, fall string, stains ...Mark) Input {
	return Input{
		Plan: Plan{
			Along: along, Out: out, Fall: fall, FallTold: true, Centres: 0.4, Stains: stains,
			Sides: map[string]string{House: Wall, Garden: Edge, Left: Edge, Right: Edge},
		},
		Fall: map[string]float64{fall: 1}, Out: 1, Facts: noFacts{},
		Types:  []Share{{"cold", 1}},
		Causes: []Share{{"puncture", 1}},
	}
}

// moments are the mean and the standard deviation of the map along both axes.
func moments(m *Map) (mx, my, sx, sy float64) {
	for pass := range 2 {
		for j, row := range m.Cells {
			for i, p := range row {
				x, y := (float64(i)+0.5)*m.CellX, (float64(j)+0.5)*m.CellY
				if pass == 0 {
					mx, my = mx+p*x, my+p*y
				} else {
					sx, sy = sx+p*(x-mx)*(x-mx), sy+p*(y-my)*(y-my)
				}
			}
		}
	}
	return mx, my, math.Sqrt(sx), math.Sqrt(sy)
}

func total(m *Map) float64 {
	s := 0.0
	for _, row := range m.Cells {
		s += sum(row)
	}
	return s
}

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %v, want %v within %v", what, got, want, within)
	}
}

// Bayes with a flat prior and a normal kernel, far from any edge: the way in is normal
// about the stain less the mean travel, with the scatter of the travel. Exact, from the
// theory of conjugate normals.
func TestOneStainIsTheNormalTurnedRound(t *testing.T) {
	for fall, want := range map[string][2]float64{
		Garden: {5, 6 - 1.2}, House: {5, 6 + 1.2}, Left: {5 + 1.2, 6}, Right: {5 - 1.2, 6},
	} {
		in := at(10, 10, fall, Mark{X: 5, Y: 6})
		m := Find(in, one(rules.Way{By: rules.WayLayer, Along: 1.2, SD: 0.5, Across: 0.3}))
		mx, my, sx, sy := moments(m)
		near(t, fall+" mean x", mx, want[0], 1e-6)
		near(t, fall+" mean y", my, want[1], 1e-6)
		along, across := sy, sx
		if !outward(fall) {
			along, across = sx, sy
		}
		near(t, fall+" sd along the fall", along, math.Hypot(0.5, 1e-3), 1e-6)
		near(t, fall+" sd across it", across, math.Hypot(0.3, 1e-3), 1e-4)
	}
}

// A stain told with an error: variances add.
func TestTheErrorOfTheTellingAdds(t *testing.T) {
	p := one(rules.Way{By: rules.WayDrop, SD: 0.4})
	p.Travel.SpotSD = 0.3
	_, _, sx, sy := moments(Find(at(10, 10, Garden, Mark{X: 5, Y: 5}), p))
	near(t, "sd x", sx, 0.5, 1e-6)
	near(t, "sd y", sy, 0.5, 1e-6)
}

// The product of two normals of one width: their mean is half-way, their scatter smaller
// by the root of two; of three, the root of three.
func TestStainsMultiply(t *testing.T) {
	p := one(rules.Way{By: rules.WayDrop, SD: 0.6})
	m := Find(at(10, 10, Garden, Mark{X: 4.4, Y: 5}, Mark{X: 5.2, Y: 5.6}), p)
	mx, my, sx, sy := moments(m)
	near(t, "mean x", mx, 4.8, 1e-6)
	near(t, "mean y", my, 5.3, 1e-6)
	near(t, "sd x", sx, math.Hypot(0.6, 1e-3)/math.Sqrt2, 1e-6)
	near(t, "sd y", sy, math.Hypot(0.6, 1e-3)/math.Sqrt2, 1e-6)
	m = Find(at(10, 10, Garden, Mark{X: 4, Y: 5}, Mark{X: 5, Y: 5}, Mark{X: 6, Y: 5}), p)
	mx, _, sx, _ = moments(m)
	near(t, "mean x of three", mx, 5, 1e-6)
	near(t, "sd x of three", sx, math.Hypot(0.6, 1e-3)/math.Sqrt(3), 1e-5)
}

// A prior that is flat over one strip cuts the normal: the mean of a truncated normal
// (Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, from memory).
func TestThePriorCuts(t *testing.T) {
	p := one(rules.Way{By: rules.WayDrop, SD: 1})
	p.Travel.Strip, p.Travel.Cell = 3, 0.25
	p.Travel.Sits = []rules.Sits{{Cause: "puncture", At: map[string]float64{"wall-foot": 100}}}
	m := Find(at(10, 10, Garden, Mark{X: 5, Y: 4}), p) // the strip is 0 to 3
	_, my, _, _ := moments(m)
	a, b := (0.0-4)/math.Hypot(1, 1e-3), (3.0-4)/math.Hypot(1, 1e-3)
	phi := func(z float64) float64 { return math.Exp(-z*z/2) / math.Sqrt(2*math.Pi) }
	want := 4 + (phi(a)-phi(b))/(upper(a)-upper(b))
	near(t, "mean of the cut normal", my, want, 1e-2) // cells of 0.25 m are taken at their middles: h^2/24 of the slopes at the cut
}

// Whatever the entry, what comes in comes out somewhere on the ceiling: the kernel sums
// to 1 over the stains, folded at the sides and stopped at the low edge.
func TestNothingIsLostAtTheEdges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		length := rapid.Float64Range(1, 12).Draw(t, "length")
		r := run{
			mean: rapid.Float64Range(0, 3).Draw(t, "mean"), sd: rapid.Float64Range(0.1, 0.35).Draw(t, "sd") * length,
			length: length, stop: rapid.Bool().Draw(t, "stop"), flip: rapid.Bool().Draw(t, "flip"),
		}
		if !r.stop {
			r.mean = 0
		}
		e := rapid.Float64Range(0, 1).Draw(t, "entry") * length
		// By boxes that tile the ceiling: the chances add up to 1.
		const n = 9
		boxes := 0.0
		for k := range n {
			s := told{from: length * float64(k) / n, to: length * float64(k+1) / n}
			boxes += r.density(e, s) * length / n
		}
		if math.Abs(boxes-1) > 2e-3 {
			t.Fatalf("%+v from %v: the boxes sum to %v", r, e, boxes)
		}
		// By points, told with an error: the density integrates to 1.
		const m = 4000
		points := 0.0
		for k := range m {
			points += r.density(e, told{at: length * (float64(k) + 0.5) / m, sd: 0.1}) * length / m
		}
		if math.Abs(points-1) > 2e-3 {
			t.Fatalf("%+v from %v: the points sum to %v", r, e, points)
		}
	})
}

// realistic is any plan with any stains, on the built-in knowledge.
func realistic(t *rapid.T) Input {
	along := rapid.Float64Range(0.5, 25).Draw(t, "along")
	out := rapid.Float64Range(0.5, 15).Draw(t, "out")
	spots := func(what string, most int) []Mark {
		var list []Mark
		for range rapid.IntRange(0, most).Draw(t, what) {
			s := measure.Spot{Key: rapid.IntRange(0, 9).Draw(t, "key")}
			if s.Key == 0 {
				s.X, s.Y = rapid.Float64Range(0, along).Draw(t, "x"), rapid.Float64Range(0, out).Draw(t, "y")
			}
			m, _ := MarkOf(s, along, out)
			list = append(list, m)
		}
		return list
	}
	kinds := []string{Wall, Tiles, Parapet, Edge}
	in := Input{
		Plan: Plan{
			Along: along, Out: out, Fall: rapid.SampledFrom(append([]string{""}, rules.Sides...)).Draw(t, "fall"), FallTold: true, Centres: 0.4,
			Sides: map[string]string{House: Wall}, Stains: spots("stains", 5), Rooflights: spots("rooflights", 2), Outlets: spots("outlets", 2), Pipes: spots("pipes", 2),
		},
		Out: rapid.Float64Range(0, 1).Draw(t, "joists"), Facts: noFacts{},
	}
	for _, s := range []string{Garden, Left, Right} {
		in.Plan.Sides[s] = rapid.SampledFrom(kinds).Draw(t, s)
	}
	in.Fall = weights(t, rules.Sides)
	types := append([]string{rules.NotListed}, rules.BuildTypes...)
	share := weights(t, types)
	for _, id := range types {
		in.Types = append(in.Types, Share{id, share[id]})
	}
	for i := range rules.Built().Causes {
		in.Causes = append(in.Causes, Share{rules.Built().Causes[i].ID, rapid.Float64Range(0.001, 0.6).Draw(t, "cause")})
	}
	return in
}

func weights(t *rapid.T, ids []string) map[string]float64 {
	out, total := map[string]float64{}, 0.0
	for _, id := range ids {
		out[id] = rapid.Float64Range(0.01, 1).Draw(t, id)
		total += out[id]
	}
	for id := range out {
		out[id] /= total
	}
	return out
}

func TestAMapIsADistribution(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := realistic(t)
		m := Find(in, rules.Built())
		if s := total(m); math.Abs(s-1) > 1e-9 {
			t.Fatalf("the cells sum to %v", s)
		}
		if len(m.Cells) > mostCells || len(m.Cells[0]) > mostCells {
			t.Fatalf("%d by %d cells", len(m.Cells), len(m.Cells[0]))
		}
		shares, before := 0.0, 0.0
		for i, z := range m.Zones {
			shares, before = shares+z.Share, before+z.Before
			if !(z.Share >= 0 && z.Share <= 1+1e-9) || z.Name == "" || i > 0 && z.Share > m.Zones[i-1].Share+1e-6 {
				t.Fatalf("zone %d: %+v", i, z)
			}
		}
		if math.Abs(shares-1) > 1e-9 || math.Abs(before-1) > 1e-9 {
			t.Fatalf("the places sum to %v, before the stains to %v", shares, before)
		}
		if !(m.Outside > 0 && m.Outside < 1) {
			t.Fatalf("outside %v", m.Outside)
		}
		turn := 0
		for _, s := range m.Hose {
			k, _ := rules.Built().Travel.Place(kindOf(s.Zone))
			if k.Turn < turn {
				t.Fatalf("%s comes after a later turn", s.Name)
			}
			turn = k.Turn
			if !(s.Shown > 0 && s.Shown < 1) || s.Wait < s.Hose || s.Wait > rules.Built().Travel.Longest {
				t.Fatalf("step %+v", s)
			}
		}
	})
}

func kindOf(zone string) string {
	for i, c := range zone {
		if c == '/' {
			return zone[:i]
		}
	}
	return zone
}

func TestTheOrderOfTheStainsIsNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := realistic(t)
		again := in
		again.Plan.Stains = rapid.Permutation(in.Plan.Stains).Draw(t, "order")
		if a, b := Find(in, rules.Built()), Find(again, rules.Built()); !reflect.DeepEqual(a, b) {
			t.Fatal("another order of the same stains is another map")
		}
	})
}

// A roof seen in a mirror has its map seen in a mirror.
func TestAMirroredPlanHasAMirroredMap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := realistic(t)
		in.Fall = map[string]float64{Garden: 0.7, House: 0.1, Left: 0.1, Right: 0.1}
		in.Plan.Sides[Right] = in.Plan.Sides[Left]
		flip := func(list []Mark) (mirrored []Mark) {
			for _, m := range list {
				m.X = in.Plan.Along - m.X
				mirrored = append(mirrored, m)
			}
			return mirrored
		}
		other := in
		other.Plan.Stains, other.Plan.Rooflights = flip(in.Plan.Stains), flip(in.Plan.Rooflights)
		other.Plan.Outlets, other.Plan.Pipes = flip(in.Plan.Outlets), flip(in.Plan.Pipes)
		a, b := Find(in, rules.Built()), Find(other, rules.Built())
		for j := range a.Cells {
			n := len(a.Cells[j])
			for i := range n {
				if math.Abs(a.Cells[j][i]-b.Cells[j][n-1-i]) > 1e-9 {
					t.Fatalf("cell %d, %d: %v and %v", i, j, a.Cells[j][i], b.Cells[j][n-1-i])
				}
			}
		}
	})
}
