//go:build unix

package casefile

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"
)

const childCase = "UNDERLAP_TEST_CASE" // in the environment of the child only

func TestMain(m *testing.M) {
	if path := os.Getenv(childCase); path != "" {
		appendForEver(path)
		return
	}
	os.Exit(m.Run())
}

// appendForEver adds events until it is killed, and acknowledges each one on
// standard output as soon as Append has returned.
func appendForEver(path string) {
	s, err := Open(path)
	if err != nil {
		fmt.Println("cannot open:", err)
		os.Exit(1)
	}
	for {
		e, err := s.Append(Event{At: day, Kind: KindNoted, Note: strings.Repeat("rain ", 200)})
		if err != nil {
			fmt.Println("cannot append:", err)
			os.Exit(1)
		}
		fmt.Println(e.ID)
	}
}

// A program that is killed at any moment leaves a sound file with every event
// it had acknowledged, and at most the one it was at besides.
func TestKilled(t *testing.T) {
	s := newStore(t)
	path := s.Path()
	s.Close()
	acknowledged := map[string]bool{}
	rounds, most := 25, 0
	if testing.Short() {
		rounds = 5
	}
	for round := range rounds {
		child := exec.Command(os.Args[0])
		child.Env = append(os.Environ(), childCase+"="+path)
		out, err := child.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		// The kill comes from a timer, at another point of a save each round,
		// once the child is known to be saving.
		for n := 0; lines.Scan(); n++ {
			line := lines.Text()
			if strings.HasPrefix(line, "cannot") {
				t.Fatal(line)
			}
			acknowledged[line] = true
			if n == 0 {
				time.AfterFunc(time.Duration(round)*313*time.Microsecond, func() { child.Process.Kill() })
			}
		}
		child.Wait()

		reopened, err := Open(path)
		if err != nil {
			t.Fatalf("round %d: %v", round, err)
		}
		have := map[string]bool{}
		for _, e := range reopened.Case().Events {
			have[e.ID] = true
		}
		for id := range acknowledged {
			if !have[id] {
				t.Fatalf("round %d: event %s was acknowledged and is lost", round, id)
			}
		}
		if extra := len(have) - len(acknowledged); extra > round+1 {
			t.Fatalf("round %d: %d events were never acknowledged", round, extra)
		}
		most = len(have)
		reopened.Close()
	}
	t.Logf("%d kills, %d events, %d acknowledged", rounds, most, len(acknowledged))
}
