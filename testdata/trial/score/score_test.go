package score

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/BurntSushi/toml"
)

// Check values of a separate calculation, from published definitions (Brier 1950, Good
// 1952, Murphy 1973).
func TestPublishedDefinitions(t *testing.T) {
	var v struct {
		P        []float64 `toml:"p"`
		Y        []int     `toml:"y"`
		Expected struct {
			Brier float64 `toml:"brier"`
			Log   float64 `toml:"mean_log_loss_nats"`
			ECE   float64 `toml:"expected_calibration_error"`
		} `toml:"expected"`
	}
	if _, err := toml.DecodeFile("../../vectors/bayes-scoring.toml", &v); err != nil {
		t.Fatal(err)
	}
	is := make([]bool, len(v.Y))
	for i, y := range v.Y {
		is[i] = y == 1
	}
	n := float64(len(is))
	near(t, "Brier", Brier(v.P, is)/n, v.Expected.Brier)
	near(t, "log", Log(v.P, is)/n, v.Expected.Log)
	near(t, "ECE", ECE(Reliability(v.P, is, 5)), v.Expected.ECE)
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 1e-12 {
		t.Errorf("%s is %.15g, want %.15g", what, got, want)
	}
}

func TestLogIsClipped(t *testing.T) {
	near(t, "certain and wrong", Log([]float64{0}, []bool{true}), math.Log(100))
	near(t, "certain and right", Log([]float64{1}, []bool{true}), -math.Log(0.99))
}

// The rank sum against counting all pairs, ties and all.
func TestAUCIsTheShareOfPairs(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		n := 2 + r.IntN(30)
		p, is := make([]float64, n), make([]bool, n)
		for i := range p {
			p[i], is[i] = float64(r.IntN(6))/5, r.IntN(3) == 0
		}
		hit, pairs := 0.0, 0.0
		for i := range p {
			for k := range p {
				if is[i] && !is[k] {
					pairs++
					switch {
					case p[i] > p[k]:
						hit++
					case p[i] == p[k]:
						hit += 0.5
					}
				}
			}
		}
		got := AUC(p, is)
		if pairs == 0 {
			if !math.IsNaN(got) {
				t.Fatalf("no pairs, yet AUC %v", got)
			}
			continue
		}
		near(t, "AUC", got, hit/pairs)
	}
}

// The interval of a share against the normal one, p plus or minus 1.96 standard errors.
func TestBootstrapOfAShare(t *testing.T) {
	const n, yes = 1000, 300
	i := Bootstrap(n, 4000, 3, func(cases []int) float64 {
		k := 0
		for _, c := range cases {
			if c < yes {
				k++
			}
		}
		return float64(k) / float64(len(cases))
	})
	se := math.Sqrt(0.3 * 0.7 / n)
	if i.At != 0.3 || math.Abs(i.Low-(0.3-1.96*se)) > 0.003 || math.Abs(i.High-(0.3+1.96*se)) > 0.003 {
		t.Errorf("interval %+v, want 0.3 within %.4f", i, 1.96*se)
	}
	if j := Bootstrap(n, 50, 3, func([]int) float64 { return math.NaN() }); !math.IsNaN(j.Low) {
		t.Errorf("an interval of nothing: %+v", j)
	}
}
