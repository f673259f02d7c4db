package infer

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"underlap/testdata/golden"
)

// The second opinion: the same networks given to the exact join tree of a
// general-purpose library. The test writes network.json, a program of some
// lines around the library (opinion.cpp) writes opinion.json.
const opinionFolder = "../../testdata/bayes"

// plainNetwork is a network as network.json holds it.
type plainNetwork struct {
	Name    string       `json:"name"`
	Nodes   []plainNode  `json:"nodes"`
	Report  []string     `json:"report"` // nodes whose posteriors are wanted
	Queries []plainQuery `json:"queries"`
}

type plainNode struct {
	Name    string      `json:"name"`
	States  int         `json:"states"`
	Parents []string    `json:"parents"`
	Rows    [][]float64 `json:"rows"` // by joint parent state, last parent fastest
}

// plainQuery is a state of the evidence: P(what was reported | state) by node.
type plainQuery struct {
	Name     string               `json:"name"`
	Evidence map[string][]float64 `json:"evidence"`
}

type opinion struct {
	Library  string `json:"library"`
	Networks []struct {
		Name         string  `json:"name"`
		BuildSeconds float64 `json:"build_seconds"`
		Queries      []struct {
			Name      string               `json:"name"`
			Seconds   float64              `json:"seconds"`
			Posterior map[string][]float64 `json:"posterior"`
		} `json:"queries"`
	} `json:"networks"`
}

func readOpinion(t testing.TB) opinion {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(opinionFolder, "opinion.json"))
	if err != nil {
		t.Fatal(err)
	}
	var o opinion
	if err := json.Unmarshal(text, &o); err != nil {
		t.Fatal(err)
	}
	return o
}

// opinionModel is a made-up model with every feature of the kernel: sets of up to
// three causes, pairs, variants, gates, and all three forms over causes and over
// mechanisms.
// Its numbers mean nothing. They are short, so that the file stays small.
func opinionModel() Model {
	const causes, mechanisms, findings = 10, 4, 16
	r := rand.New(rand.NewPCG(20, 26))
	row := func(n int) []float64 { // in hundredths
		parts, left := make([]float64, n), 100
		for a := range n - 1 {
			part := 1 + r.IntN(left-(n-1-a)) // at least one hundredth for each of the rest
			parts[a] = float64(part) / 100
			left -= part
		}
		parts[n-1] = float64(left) / 100
		return parts
	}
	m := Model{SizePrior: []float64{0, 0.68, 0.24, 0.08}, Pairs: []Pair{{0, 1, 2.5}, {3, 7, 0.4}, {9, 2, 1.8}}}
	for c := range causes {
		m.Causes = append(m.Causes, Cause{ID: fmt.Sprintf("c%d", c), Weight: float64(1+r.IntN(20)) / 4})
	}
	for v, p := range []float64{0.5, 0.2, 0.3} {
		world := Variant{ID: fmt.Sprintf("v%d", v), P: p}
		for range m.Causes {
			world.Times = append(world.Times, []float64{0.1, 0.5, 1, 2, 6}[r.IntN(5)])
		}
		m.Variants = append(m.Variants, world)
	}
	for j := range mechanisms {
		mech := Mechanism{ID: fmt.Sprintf("m%d", j), Leak: float64(1+r.IntN(8)) / 100, Gate: []float64{1, 0.9, 0.35, 0.98}[j]}
		for _, c := range r.Perm(causes)[:5] {
			mech.Links = append(mech.Links, Link{Cause: c, Lambda: float64(30+r.IntN(65)) / 100})
		}
		m.Mechanisms = append(m.Mechanisms, mech)
	}
	for i := range findings {
		f := Finding{ID: fmt.Sprintf("f%02d", i), Answers: []string{"none", "slight", "clear", "severe"}[:2+r.IntN(3)], Over: Parents(i % 2), Form: Form(i / 2 % 3)}
		n := len(f.Answers)
		parents := r.Perm(mechanisms)[:1+r.IntN(3)]
		if f.Over == OverCauses {
			parents = r.Perm(causes)[:2+r.IntN(4)]
		}
		if f.Form == Table {
			f.Parents = parents[:min(2, len(parents))]
			for range 1 << len(f.Parents) {
				f.TableRows = append(f.TableRows, row(n))
			}
		} else {
			f.Background = row(n)
			for _, p := range parents {
				f.Rows = append(f.Rows, Row{Parent: p, P: row(n), Salience: []float64{0, 0.5, 2}[r.IntN(3)]})
			}
		}
		m.Findings = append(m.Findings, f)
	}
	return m
}

// opinionEvidence is thirty states of the evidence, from nothing to all findings,
// certain and unsure, some with a measurement that bears on two mechanisms.
func opinionEvidence(m *Model) []Evidence {
	r := rand.New(rand.NewPCG(6, 28))
	list := make([]Evidence, 30)
	for k := range list {
		ev := Evidence{Likelihood: map[int][]float64{}}
		for _, f := range r.Perm(len(m.Findings))[:min(k, len(m.Findings))] {
			n := len(m.Findings[f].Answers)
			ev.Likelihood[f] = Reliable(n, r.IntN(n), []float64{1, 0.85, 0.93, 0.97}[r.IntN(4)])
		}
		if k%4 == 3 {
			two := r.Perm(len(m.Mechanisms))[:2]
			ev.Joint = []JointEvidence{{Mechanisms: two, Lambda: []float64{0.1, 0.3, 0.5, 0.9}}}
		}
		list[k] = ev
	}
	return list
}

// written gives the model as a general network: one node for the variant, one for
// the set of causes, one for each cause, mechanism and finding, all from the
// definitions and not from the kernel's tables. Joint evidence is a node too, seen
// in its queries.
func written(m Model, evidence []Evidence) plainNetwork {
	o := newOracle(m)
	first := 1 + len(m.Mechanisms)
	nw := plainNetwork{Name: "kernel"}
	add := func(n plainNode) { nw.Nodes = append(nw.Nodes, n) }
	world := plainNode{Name: "variant", States: len(m.Variants), Parents: []string{}, Rows: [][]float64{nil}}
	set := plainNode{Name: "set", States: len(o.sets), Parents: []string{"variant"}}
	for _, v := range m.Variants {
		world.Rows[0] = append(world.Rows[0], v.P)
		alone := m
		alone.Variants = []Variant{{ID: v.ID, P: 1, Times: v.Times}}
		set.Rows = append(set.Rows, newOracle(alone).net[0].cpt[0])
	}
	add(world)
	add(set)
	for c, cause := range m.Causes {
		n := plainNode{Name: cause.ID, States: 2, Parents: []string{"set"}}
		for _, set := range o.sets {
			in := float64(set >> c & 1)
			n.Rows = append(n.Rows, []float64{1 - in, in})
		}
		add(n)
	}
	for j, mech := range m.Mechanisms {
		add(plainNode{Name: mech.ID, States: 2, Parents: []string{"set"}, Rows: o.net[1+j].cpt})
	}
	for i := range m.Findings {
		f := &m.Findings[i]
		n := plainNode{Name: f.ID, States: len(f.Answers), Parents: []string{"set"}, Rows: o.net[first+i].cpt}
		if f.Over == OverMechanisms {
			parents := slices.Sorted(slices.Values(f.parentList()))
			n.Parents, n.Rows = nil, nil
			for _, p := range parents {
				n.Parents = append(n.Parents, m.Mechanisms[p].ID)
			}
			for x := range 1 << len(parents) {
				n.Rows = append(n.Rows, plainConditional(f, func(p int) bool {
					return x>>(len(parents)-1-slices.Index(parents, p))&1 == 1
				}))
			}
		}
		add(n)
	}
	for _, n := range nw.Nodes {
		if n.Name != "set" { // its causes are reported, the sets would be many
			nw.Report = append(nw.Report, n.Name)
		}
	}
	for k, ev := range evidence {
		q := plainQuery{Name: fmt.Sprintf("q%02d", k), Evidence: map[string][]float64{}}
		for f, lambda := range ev.Likelihood {
			q.Evidence[m.Findings[f].ID] = lambda
		}
		for i, j := range ev.Joint {
			n := plainNode{Name: fmt.Sprintf("joint%02d-%d", k, i), States: 2}
			for _, mech := range j.Mechanisms {
				n.Parents = append(n.Parents, m.Mechanisms[mech].ID)
			}
			for _, x := range j.Lambda {
				n.Rows = append(n.Rows, []float64{x, 1 - x})
			}
			add(n)
			q.Evidence[n.Name] = []float64{1, 0}
		}
		nw.Queries = append(nw.Queries, q)
	}
	return nw
}

// publishedNetworks are the vector files that hold whole networks.
var publishedNetworks = []string{"asia", "burglary", "cancer", "carstart", "sprinkler", "virtual"}

// published gives a network of the vector files as a plain one.
func published(t *testing.T, name string) (network, []map[int][]float64, plainNetwork) {
	var f networkFile
	load(t, filepath.Join(vectorFolder, "bayes-"+name+".toml"), &f)
	nw := f.network()
	plain := plainNetwork{Name: name}
	for _, n := range f.Node {
		plain.Nodes = append(plain.Nodes, plainNode{Name: n.Name, States: len(n.States), Parents: append([]string{}, n.Parents...), Rows: n.CPT})
		plain.Report = append(plain.Report, n.Name)
	}
	var all []map[int][]float64
	for _, c := range f.Case {
		evidence := c.evidence(nw)
		all = append(all, evidence)
		q := plainQuery{Name: c.ID, Evidence: map[string][]float64{}}
		for i, lambda := range evidence {
			q.Evidence[nw[i].name] = lambda
		}
		plain.Queries = append(plain.Queries, q)
	}
	return nw, all, plain
}

// asJSON writes a row of numbers on a line, so that a difference can be read.
func asJSON(t *testing.T, networks []plainNetwork) string {
	t.Helper()
	var b bytes.Buffer
	line := func(indent, before string, v any, after string) {
		text, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&b, "%s%s%s%s\n", indent, before, text, after)
	}
	comma := func(i, n int) string {
		if i < n-1 {
			return ","
		}
		return ""
	}
	b.WriteString("[\n")
	for i, nw := range networks {
		line(" ", `{"name": `, nw.Name, ",")
		line("  ", `"report": `, nw.Report, `,`)
		b.WriteString("  \"nodes\": [\n")
		for k, n := range nw.Nodes {
			line("   ", "", n, comma(k, len(nw.Nodes)))
		}
		b.WriteString("  ],\n  \"queries\": [\n")
		for k, q := range nw.Queries {
			line("   ", "", q, comma(k, len(nw.Queries)))
		}
		b.WriteString("  ]}" + comma(i, len(networks)) + "\n")
	}
	b.WriteString("]\n")
	return b.String()
}

// same compares the networks with those the library saw. Another processor may round a
// last digit otherwise, so it is not done byte by byte.
func same(t *testing.T, networks []plainNetwork) {
	t.Helper()
	path := filepath.Join(opinionFolder, "network.json")
	if golden.Updating() {
		golden.Same(t, path, asJSON(t, networks))
		return
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var seen []plainNetwork
	if err := json.Unmarshal(text, &seen); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(seen, networks, cmpopts.EquateApprox(0, 1e-13)); d != "" {
		t.Errorf("%s is of other networks (-there +here); make it and the opinion anew as opinion.cpp says at its head:\n%s", path, d)
	}
}

// TestOpinion compares the kernel, on a made-up model of its own shape, and the
// enumerator, on the published networks, with the exact join tree of a
// general-purpose library: every cause, mechanism and finding under every state of
// the evidence. The library works from the tables in network.json, which are
// written from the definitions.
func TestOpinion(t *testing.T) {
	m := opinionModel()
	evidence := opinionEvidence(&m)
	networks := []plainNetwork{written(m, evidence)}
	var general []network
	var queries [][]map[int][]float64
	for _, name := range publishedNetworks {
		nw, all, plain := published(t, name)
		networks = append(networks, plain)
		general, queries = append(general, nw), append(queries, all)
	}
	same(t, networks)

	const tolerance = 1e-9
	o := readOpinion(t)
	if len(o.Networks) != len(networks) {
		t.Fatalf("an opinion on %d networks, want %d; run testdata/bayes/opinion.cpp as it says at its head", len(o.Networks), len(networks))
	}
	worst, compared := 0.0, 0
	agree := func(what string, got, want []float64) {
		t.Helper()
		nearAll(t, what, got, want, tolerance)
		for i := range got {
			worst = max(worst, got[i]-want[i], want[i]-got[i])
		}
		compared += len(got)
	}
	for i, theirs := range o.Networks {
		if theirs.Name != networks[i].Name || len(theirs.Queries) != len(networks[i].Queries) {
			t.Fatalf("an opinion on %q with %d queries, want %q with %d", theirs.Name, len(theirs.Queries), networks[i].Name, len(networks[i].Queries))
		}
		for k, q := range theirs.Queries {
			if len(q.Posterior) != len(networks[i].Report) {
				t.Fatalf("%s %s: %d posteriors, want %d", theirs.Name, q.Name, len(q.Posterior), len(networks[i].Report))
			}
			if i > 0 {
				_, posterior := general[i-1].solve(queries[i-1][k])
				for name, want := range q.Posterior {
					agree(theirs.Name+" "+q.Name+" "+name, posterior[general[i-1].index(name)], want)
				}
				continue
			}
			post := update(t, compile(t, m), evidence[k])
			agree(q.Name+" variants", post.Variants(), q.Posterior["variant"])
			for c, cause := range m.Causes {
				agree(q.Name+" "+cause.ID, []float64{post.Cause(c)}, q.Posterior[cause.ID][1:])
			}
			for j, mech := range m.Mechanisms {
				agree(q.Name+" "+mech.ID, []float64{post.Mechanism(j)}, q.Posterior[mech.ID][1:])
			}
			for f := range m.Findings {
				agree(q.Name+" "+m.Findings[f].ID, post.Predict(f), q.Posterior[m.Findings[f].ID])
			}
		}
	}
	if !strings.HasPrefix(o.Library, "dlib 19.24") {
		t.Errorf("the opinion is of %q; name that library in README.md and here", o.Library)
	}
	t.Logf("%d probabilities agree with %s, the worst within %.1g", compared, o.Library, worst)
}

// BenchmarkOpinion sets the kernel beside the library: building is Compile against the
// library's network and join tree, a query is one state of the evidence and the
// posteriors of all variants, causes, mechanisms and findings. The times of the library
// are those it took where opinion.json was made, on one core, and stand in the same
// line. It is made for networks of any shape and keeps its tables in search trees: the
// comparison says what a kernel for one shape saves, not that the library is slow.
func BenchmarkOpinion(b *testing.B) {
	m := opinionModel()
	evidence := opinionEvidence(&m)
	e := must(Compile(m))
	theirs := readOpinion(b).Networks[0]
	perQuery := 0.0
	for _, q := range theirs.Queries {
		perQuery += q.Seconds / float64(len(theirs.Queries))
	}
	b.Run("build", func(b *testing.B) {
		for b.Loop() {
			must(Compile(m))
		}
		b.ReportMetric(theirs.BuildSeconds*1e9, "library-ns/op")
	})
	b.Run("query", func(b *testing.B) {
		k := 0
		for b.Loop() {
			post := must(e.Update(evidence[k%len(evidence)]))
			post.Variants()
			for f := range m.Findings {
				post.Predict(f)
			}
			k++
		}
		b.ReportMetric(perQuery*1e9, "library-ns/op")
	})
}
