// Command trial puts the diagnosing engine on trial: invented calls, made by simulated
// physics and a forgetful caller that know nothing of the program's beliefs, against
// what was truly wrong.
//
//	go run ./testdata/trial
//	go run ./testdata/trial -calls 200 -seed 1    # while developing: seeds 1 to 99
//
// The default seed is held out: nothing is to be fitted to it. It exits 1 when a gate
// is missed and names the gate.
package main

import (
	"flag"
	"fmt"
	"os"
	"time"

	"underlap/rules"
)

// plan is what to run.
type plan struct {
	calls, asking, packs, shaken, draws, learn int
	seed                                       uint64
	detail                                     bool
}

func main() {
	var p plan
	flag.IntVar(&p.calls, "calls", 2000, "invented calls")
	flag.Uint64Var(&p.seed, "seed", 9002, "seed of the calls; 1 to 99 are for development, 9002 is held out")
	flag.IntVar(&p.asking, "asking", 300, "calls in which questions are asked one by one; 0 for none")
	flag.IntVar(&p.packs, "packs", 10, "perturbed packs; 0 for none")
	flag.IntVar(&p.shaken, "shaken", 300, "calls for each perturbed pack")
	flag.IntVar(&p.learn, "learn", 3000, "calls of another seed that the yardstick counts; 0 for none")
	flag.IntVar(&p.draws, "draws", 1000, "draws for the 95 % intervals")
	flag.BoolVar(&p.detail, "detail", false, "also print every cause and every confusion")
	show := flag.Int("show", -1, "print the call of that number, what is true and what is said, and stop")
	flag.Parse()
	began := time.Now()
	if *show >= 0 {
		if err := showCall(os.Stdout, rules.Built(), p.seed, uint64(*show)); err != nil {
			fmt.Fprintln(os.Stderr, "trial:", err)
			os.Exit(1)
		}
		return
	}
	res, err := run(rules.Built(), p)
	if err != nil {
		fmt.Fprintln(os.Stderr, "trial:", err)
		os.Exit(1)
	}
	missed := res.print(os.Stdout)
	fmt.Fprintf(os.Stderr, "%.0f s\n", time.Since(began).Seconds())
	if len(missed) > 0 {
		os.Exit(1)
	}
}
