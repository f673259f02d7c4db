package diagnose_test

import (
	"sort"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"

	"underlap/diagnose"
)

// contextRow is one thing that may be known, and what it should do to the causes.
type contextRow struct {
	Says    string             `toml:"says"`
	Given   []string           `toml:"given"`
	Answers []string           `toml:"answers"`
	Times   map[string]float64 `toml:"times"`
}

// TestContexts asks the engine for each cause with and without the news, and compares
// the direction with what a roofer would say (testdata/checks/contexts.toml: trade
// judgement, no source). go test ./diagnose -run Contexts -v prints the sizes too.
func TestContexts(t *testing.T) {
	var file struct {
		Row []contextRow `toml:"row"`
	}
	md, err := toml.DecodeFile("../testdata/checks/contexts.toml", &file)
	if err != nil {
		t.Fatal(err)
	}
	if un := md.Undecoded(); len(un) > 0 || len(file.Row) < 30 {
		t.Fatalf("%d rows, keys nobody checks: %v", len(file.Row), un)
	}
	for _, row := range file.Row {
		t.Run(strings.ReplaceAll(row.Says, " ", "-"), func(t *testing.T) {
			without := chances(newCall(t, row.Given...).Reading())
			with := chances(newCall(t, append(append([]string(nil), row.Given...), row.Answers...)...).Reading())
			names := make([]string, 0, len(row.Times))
			for name := range row.Times {
				names = append(names, name)
			}
			sort.Strings(names)
			for _, name := range names {
				want, before, after := row.Times[name], without[name], with[name]
				if before == 0 || want == 1 {
					t.Fatalf("%s: there is no such cause, or the row says nothing of it", name)
				}
				t.Logf("%-26s %6.2f %% -> %6.2f %%, times %5.2f; judged %5.2f", name, 100*before, 100*after, after/before, want)
				if (after > before) != (want > 1) {
					t.Errorf("%s: %.2f %% -> %.2f %%, and it should be times %v", name, 100*before, 100*after, want)
				}
			}
		})
	}
}

// chances are the probabilities of each cause, and the sum of each family.
func chances(r *diagnose.Reading) map[string]float64 {
	out := map[string]float64{}
	for _, c := range r.Causes {
		out[c.ID] += c.P
		out["group:"+c.Group] += c.P
	}
	return out
}
