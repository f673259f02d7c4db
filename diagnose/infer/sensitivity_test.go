package infer

import (
	"math"
	"path/filepath"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// testSensitivity checks the enumerator: a posterior is a ratio of two straight lines
// in any one number of a table.
func testSensitivity(t *testing.T, path string) {
	var f struct {
		header
		Parameter []struct {
			Name                      string
			Current                   float64
			Alpha, Beta, Gamma, Delta float64
			Value                     float64  `toml:"value_now"`
			Derivative                float64  `toml:"derivative_now"`
			Half                      *float64 `toml:"tip_half"`
		}
	}
	load(t, path, &f)
	var base networkFile
	load(t, filepath.Join(vectorFolder, "bayes-burglary.toml"), &base)
	places := map[string]struct { // all first states, "true"
		node string
		row  int
	}{
		"P(mary | no alarm)":                    {"mary", 1},
		"P(alarm | no burglary, no earthquake)": {"alarm", 3},
		"P(burglary)":                           {"burglary", 0},
		"P(alarm | no burglary, earthquake)":    {"alarm", 2},
	}
	if len(f.Parameter) != len(places) {
		t.Fatalf("%d parameters, want %d", len(f.Parameter), len(places))
	}
	for _, p := range f.Parameter {
		nw := base.network()
		at, ok := places[p.Name]
		if !ok {
			t.Fatalf("%s: no such number", p.Name)
		}
		i := nw.index(at.node)
		nw[i].cpt = slices.Clone(nw[i].cpt) // the file's own rows stay as they are
		row := slices.Clone(nw[i].cpt[at.row])
		nw[i].cpt[at.row] = row
		near(t, p.Name+" current", row[0], p.Current, 0)
		// unnormalised gives P(burglary, both called) and P(both called) at t.
		unnormalised := func(t float64) (float64, float64) {
			row[0], row[1] = t, 1-t
			e, posterior := nw.solve(map[int][]float64{nw.index("john"): {1, 0}, nw.index("mary"): {1, 0}})
			return e * posterior[nw.index("burglary")][0], e
		}
		beta, delta := unnormalised(0)
		n1, d1 := unnormalised(1)
		alpha, gamma := n1-beta, d1-delta
		nearAll(t, p.Name, []float64{alpha, beta, gamma, delta}, []float64{p.Alpha, p.Beta, p.Gamma, p.Delta}, f.Tolerance)
		n, d := unnormalised(p.Current)
		near(t, p.Name+" value", n/d, p.Value, f.Tolerance)
		// The derivative is large, and so is its rounding.
		near(t, p.Name+" derivative", (alpha*delta-beta*gamma)/(d*d), p.Derivative, 1e-9)
		tip := (delta/2 - beta) / (alpha - gamma/2)
		if (p.Half != nil) != (tip >= 0 && tip <= 1) {
			t.Errorf("%s tips at %v, want %v", p.Name, tip, p.Half)
		}
		if p.Half != nil {
			near(t, p.Name+" tips", tip, *p.Half, f.Tolerance)
			n, d := unnormalised(tip)
			near(t, p.Name+" at the tip", n/d, 0.5, f.Tolerance)
		}
	}
}

// TestPosteriorIsARatioOfLines holds the kernel to the same: with one link, leak, gate
// or answer changed, its mass for a cause and its mass for all lie on straight lines, so
// two runs tell where the cause tips.
func TestPosteriorIsARatioOfLines(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, _, _, ev, _, _ := possible(t)
		if m.AllowHard {
			t.Skip("odds of certainties")
		}
		cause := rapid.IntRange(0, len(m.Causes)-1).Draw(t, "cause")
		set := drawNumber(t, &m)
		at := func(x float64) (mass, all float64) {
			p := update(t, compile(t, set(x)), ev)
			all = math.Exp(p.LogEvidence())
			return all * p.Cause(cause), all
		}
		n1, d1 := at(0.25)
		n2, d2 := at(0.75)
		n, d := at(0.6)
		near(t, "mass of the cause", n/d, (0.3*n1+0.7*n2)/d, 1e-10)
		near(t, "mass of all", 1, (0.3*d1+0.7*d2)/d, 1e-10)

		slopeN, slopeD := 2*(n2-n1), 2*(d2-d1)
		tip := 0.25 + (d1/2-n1)/(slopeN-slopeD/2)
		if tip > 0.01 && tip < 0.99 && math.Abs(slopeN-slopeD/2) > 1e-3*d {
			n, d := at(tip)
			near(t, "at the tip", n/d, 0.5, 1e-8)
		}
	})
}

// drawNumber picks one number of the model and returns the model with that number at x.
// What shares a row with it keeps its proportions.
func drawNumber(t *rapid.T, m *Model) func(x float64) Model {
	var all []func(x float64) Model
	add := func(change func(m *Model, x float64)) {
		all = append(all, func(x float64) Model {
			out := *m
			out.Mechanisms = append([]Mechanism(nil), m.Mechanisms...)
			out.Findings = append([]Finding(nil), m.Findings...)
			change(&out, x)
			return out
		})
	}
	first := func(row []float64, x float64) []float64 {
		out := append([]float64(nil), row...)
		for a := range out {
			out[a] *= (1 - x) / (1 - row[0])
		}
		out[0] = x
		return out
	}
	for j := range m.Mechanisms {
		add(func(m *Model, x float64) { m.Mechanisms[j].Leak = x })
		add(func(m *Model, x float64) { m.Mechanisms[j].Gate = x })
		for k := range m.Mechanisms[j].Links {
			add(func(m *Model, x float64) {
				m.Mechanisms[j].Links = append([]Link(nil), m.Mechanisms[j].Links...)
				m.Mechanisms[j].Links[k].Lambda = x
			})
		}
	}
	for i := range m.Findings {
		for k := range m.Findings[i].Rows {
			add(func(m *Model, x float64) {
				rows := append([]Row(nil), m.Findings[i].Rows...)
				rows[k].P = first(rows[k].P, x)
				m.Findings[i].Rows = rows
			})
		}
		for k := range m.Findings[i].TableRows {
			add(func(m *Model, x float64) {
				rows := append([][]float64(nil), m.Findings[i].TableRows...)
				rows[k] = first(rows[k], x)
				m.Findings[i].TableRows = rows
			})
		}
	}
	if len(all) == 0 {
		t.Skip("no number to change")
	}
	return all[rapid.IntRange(0, len(all)-1).Draw(t, "number")]
}
