// Command speed runs the benchmarks of the calculation packages and prints them as a
// table, with what is asked of each and, for the hour-by-hour transport, the errors and
// times of general-purpose stiff solvers on the same equations.
//
//	go run ./testdata/speed
//
// It times this machine as it stands: leave it alone meanwhile. It exits 1 when a
// figure that something is asked of is missed.
package main

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/BurntSushi/toml"
)

// row is one benchmark: its name without the number of cores, and its figures by unit.
type row struct {
	name    string
	figures map[string]float64
}

// asked is a figure that must be reached: at least when over, else at most.
type asked struct {
	benchmark, unit string
	limit           float64
	over            bool
}

var wanted = []asked{
	{"YearEightLayers/", "roofs/s", 100_000, true},
	{"YearEightLayers/", "allocs/op", 0, false},
	{"Decade60Cells/", "ns/op", 1e9, false},
}

func main() {
	missed, err := run()
	if err != nil {
		fmt.Fprintln(os.Stderr, "speed:", err)
		os.Exit(1)
	}
	if missed > 0 {
		fmt.Printf("\n%d of the figures asked for are missed\n", missed)
		os.Exit(1)
	}
}

func run() (missed int, err error) {
	out, err := exec.Command("go", "test", "-run", "^$", "-bench", ".", "-benchmem", "-cpu", "1", "underlap/physics/condense", "underlap/physics/transport").Output()
	if err != nil {
		return 0, fmt.Errorf("go test: %w\n%s", err, out)
	}
	rows := parse(out)
	if len(rows) == 0 {
		return 0, fmt.Errorf("no benchmark ran:\n%s", out)
	}
	fmt.Printf("%-44s %14s %14s  %s\n", "on one core", "time", "per second", "asked")
	for _, r := range rows {
		if strings.HasPrefix(r.name, "StiffProblem") {
			continue
		}
		line, bad := verdict(r)
		missed += bad
		rate := r.figures["roofs/s"]
		if rate == 0 {
			rate = 1e9 / r.figures["ns/op"]
		}
		fmt.Printf("%-44s %14s %14.4g  %s\n", r.name, duration(r.figures["ns/op"]), rate, line)
	}
	return missed, stiff(rows)
}

// parse reads the output of go test -bench.
func parse(out []byte) []row {
	var rows []row
	for scan := bufio.NewScanner(bytes.NewReader(out)); scan.Scan(); {
		f := strings.Fields(scan.Text())
		if len(f) < 4 || !strings.HasPrefix(f[0], "Benchmark") {
			continue
		}
		r := row{strings.TrimPrefix(f[0], "Benchmark"), map[string]float64{}}
		for i := 2; i+1 < len(f); i += 2 {
			if v, err := strconv.ParseFloat(f[i], 64); err == nil {
				r.figures[f[i+1]] = v
			}
		}
		rows = append(rows, r)
	}
	return rows
}

func verdict(r row) (line string, missed int) {
	var parts []string
	for _, a := range wanted {
		v, ok := r.figures[a.unit]
		if !strings.HasPrefix(r.name, a.benchmark) || !ok {
			continue
		}
		sign, good := "at most", v <= a.limit
		if a.over {
			sign, good = "at least", v >= a.limit
		}
		word := "met"
		if !good {
			word = "MISSED"
			missed++
		}
		limit := fmt.Sprintf("%.0f %s", a.limit, a.unit)
		if a.unit == "ns/op" {
			limit = duration(a.limit)
		}
		parts = append(parts, fmt.Sprintf("%s %s: %s", sign, limit, word))
	}
	return strings.Join(parts, "; "), missed
}

func duration(ns float64) string {
	switch {
	case ns >= 1e9:
		return fmt.Sprintf("%.2f s", ns/1e9)
	case ns >= 1e6:
		return fmt.Sprintf("%.2f ms", ns/1e6)
	}
	return fmt.Sprintf("%.2f us", ns/1e3)
}

// stiff prints the three days of a cold roof at equal tolerances.
func stiff(rows []row) error {
	dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "underlap").Output()
	if err != nil {
		return fmt.Errorf("finding the module: %w", err)
	}
	var v struct {
		Source string
		Solver []struct {
			Method           string
			RTol             float64
			WaterError       float64 `toml:"water_error"`
			TemperatureError float64 `toml:"temperature_error"`
			Seconds          float64
		}
	}
	if _, err := toml.DecodeFile(filepath.Join(strings.TrimSpace(string(dir)), "testdata", "vectors", "transport_stiff.toml"), &v); err != nil {
		return err
	}
	fmt.Printf("\n%-20s %12s %16s %14s %12s\n", "three days, 24 cells", "tolerance", "water, kg/m3", "heat, K", "time")
	for _, r := range rows {
		if tol, ok := strings.CutPrefix(r.name, "StiffProblem/rtol="); ok {
			fmt.Printf("%-20s %12s %16.2e %14.2e %12s\n", "underlap", tol, r.figures["g/m3-water-error"]/1e3, r.figures["mK-error"]/1e3, duration(r.figures["ns/op"]))
		}
	}
	for _, s := range v.Solver {
		fmt.Printf("%-20s %12.0e %16.2e %14.2e %12s\n", s.Method, s.RTol, s.WaterError, s.TemperatureError, duration(s.Seconds*1e9))
	}
	fmt.Println("\nErrors against:", v.Source)
	fmt.Println("Times of the solvers are those of the day the reference was made, with the")
	fmt.Println("equations in NumPy; python3 testdata/stiff/solve.py --table times them anew.")
	return nil
}
