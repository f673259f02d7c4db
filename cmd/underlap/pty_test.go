//go:build !windows

package main

import (
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"

	"underlap/diagnose/casefile"
)

// patience is how long a screen may take before a test gives up on it. Nothing is
// timed against it.
const patience = 20 * time.Second

// session is the real program in a pseudo-terminal.
type session struct {
	t   *testing.T
	cmd *exec.Cmd
	tty *os.File
	scr *vt.SafeEmulator
	end chan error
}

var program string

// build compiles the program once for all sessions.
func build(t *testing.T) string {
	t.Helper()
	if program == "" {
		dir, err := os.MkdirTemp("", "underlap")
		if err != nil {
			t.Fatal(err)
		}
		program = filepath.Join(dir, "underlap")
		if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
	}
	return program
}

func TestMain(m *testing.M) {
	code := m.Run()
	if program != "" {
		os.RemoveAll(filepath.Dir(program))
	}
	os.Exit(code)
}

// start runs the program in a terminal of the given size, with its own home.
func start(t *testing.T, home string, cols, rows int, env []string, args ...string) *session {
	t.Helper()
	s := &session{t: t, cmd: exec.Command(build(t), args...), scr: vt.NewSafeEmulator(cols, rows), end: make(chan error, 1)}
	s.cmd.Env = append([]string{
		"HOME=" + home, "XDG_CONFIG_HOME=" + home, "UNDERLAP_CASES=" + filepath.Join(home, "cases"), "UNDERLAP_BY=tester",
		"TERM=xterm-256color", "PATH=" + os.Getenv("PATH"),
	}, env...)
	tty, err := pty.StartWithSize(s.cmd, &pty.Winsize{Cols: uint16(cols), Rows: uint16(rows)})
	if err != nil {
		t.Fatal(err)
	}
	s.tty = tty
	go func() { _, _ = io.Copy(s.scr, tty) }()
	go func() { _, _ = io.Copy(tty, s.scr) }() // answers to the terminal's questions
	go func() { s.end <- s.cmd.Wait() }()
	t.Cleanup(func() { _ = s.cmd.Process.Kill(); tty.Close() })
	return s
}

func (s *session) screen() string { return ansi.Strip(s.scr.Render()) }

// sees waits until the screen holds all the words.
func (s *session) sees(words ...string) string {
	s.t.Helper()
	deadline := time.Now().Add(patience)
	for {
		got := s.screen()
		flat := strings.Join(strings.Fields(got), " ")
		missing := ""
		for _, w := range words {
			if !strings.Contains(flat, w) {
				missing = w
			}
		}
		if missing == "" {
			return got
		}
		if time.Now().After(deadline) {
			s.t.Fatalf("never saw %q; the screen is\n%s", missing, got)
		}
		time.Sleep(5 * time.Millisecond)
	}
}

func (s *session) types(keys string) *session {
	s.t.Helper()
	if _, err := s.tty.WriteString(keys); err != nil {
		s.t.Fatal(err)
	}
	return s
}

// exits waits for the end and returns the exit code, -1 when it was killed.
func (s *session) exits() int {
	s.t.Helper()
	select {
	case <-s.end:
		return s.cmd.ProcessState.ExitCode()
	case <-time.After(patience):
		s.t.Fatalf("it does not end; the screen is\n%s", s.screen())
		return 0
	}
}

// caseFile is the only case in the home.
func caseFile(t *testing.T, home string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(home, "cases", "*.toml"))
	if err != nil || len(files) != 1 {
		t.Fatalf("cases %v, %v", files, err)
	}
	return files[0]
}

// A whole call through a real terminal: start, answer, type ahead, get a figure
// wrong, revise, be killed, resume where it stopped, and write the letter.
func TestWholeCall(t *testing.T) {
	home := t.TempDir()
	s := start(t, home, 80, 24, nil, "call", "--new", "Porch on the corner")
	s.sees("is there water near a light", "don't know")
	s.types("1").sees("Look along the ceiling", "SAFETY", "electrician") // the caution stands at once
	s.types("1212")                                                      // typed ahead: four answers
	s.sees("What do you actually see")
	s.types("12\r").sees("What colour is the mark") // a drip and a stain

	// Jump to the tape: a figure that is none is refused at the field and nothing is kept.
	s.types("jInside reading:\r").sees("What does the tape say?")
	s.types("=banana\r").sees(`"banana" is not read as a length`, "480")
	s.types(strings.Repeat("\x7f", len("banana"))+"48 cm\r").sees("Outside, reached from the opened skylight", "Kept")
	s.types("15\r") // 15 mm: a slip for 15 cm
	s.sees("15 mm")

	// Back, and revise it: the second answer counts, the first stays as history.
	s.types("b").sees("Outside, reached from the opened skylight", "15 mm")
	s.types("150\r").sees("150 mm")
	s.types("v").sees("330 mm")

	// Killed without warning: everything acknowledged is on disk.
	if err := s.cmd.Process.Signal(syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	s.exits()
	file := caseFile(t, home)
	k, err := casefile.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(k.Events); n != 9 {
		t.Fatalf("%d events on disk, want nine: five on safety, one on what is seen, one inside, two outside", n)
	}
	state := k.State()
	if a := state.Answers["kerb-outside"]; a.Value == nil || *a.Value != 0.150 || a.Revised != 1 {
		t.Errorf("outside reading %+v", a)
	}
	if a := state.Answers["seen"]; !a.Is("drip") || !a.Is("stain") {
		t.Errorf("seen %+v", a)
	}

	// Resumed, it stands at the first question still open.
	s = start(t, home, 80, 24, nil, "call", filepath.Base(file))
	s.sees("What colour is the mark", "8 answers")
	if second := start(t, home, 80, 24, nil, "call", file); second.exits() != exitBusy {
		t.Errorf("a second window was let in; it shows\n%s", second.screen())
	}
	s.types("1").sees("one spot, several spots")
	s.types("l").sees("SAFETY FIRST")
	s.types("s").sees("Letter saved", "-reply.md")
	letter, err := os.ReadFile(strings.TrimSuffix(file, ".toml") + "-reply.md")
	if err != nil {
		t.Fatal(err)
	}
	first, last := strings.Index(string(letter), "## Safety first"), strings.Index(string(letter), "## What would change our mind")
	if first != 0 || last < first || !strings.Contains(string(letter), "330 mm") {
		t.Errorf("letter:\n%s", letter)
	}
	s.types("bq")
	if code := s.exits(); code != exitOK {
		t.Errorf("exit %d", code)
	}
	if k, err = casefile.Read(file); err != nil || len(k.State().Issued) != 1 {
		t.Errorf("the letter was not noted in the case: %v", err)
	}
}

// Ctrl-C in the middle of a typed answer keeps every answer given and restores the
// terminal; the exit code says what happened.
func TestInterrupted(t *testing.T) {
	home := t.TempDir()
	s := start(t, home, 80, 24, nil, "call", "--new", "Shed")
	s.sees("is there water near a light")
	s.types("2").sees("Look along the ceiling")
	s.types("jSize of the flat\r").sees("How big is the flat part")
	s.types("=3 x")
	s.sees("3 x")
	s.types("\x03")
	if code := s.exits(); code != exitInterrupted {
		t.Errorf("exit %d", code)
	}
	k, err := casefile.Read(caseFile(t, home))
	if err != nil || len(k.Events) != 1 {
		t.Errorf("%v, %d events", err, len(k.Events))
	}
}

// A terminal that never answers questions does not hold the start up, and no escape
// is written by a command that only prints.
func TestSilentTerminal(t *testing.T) {
	cmd := exec.Command(build(t), "version")
	cmd.Env = []string{"HOME=" + t.TempDir(), "TERM=xterm-256color"}
	tty, err := pty.Start(cmd)
	if err != nil {
		t.Fatal(err)
	}
	defer tty.Close()
	out := make(chan string, 1)
	go func() { b, _ := io.ReadAll(tty); out <- string(b) }() // reads, answers nothing
	select {
	case got := <-out:
		if !strings.HasPrefix(got, "underlap ") || strings.Contains(got, "\x1b") {
			t.Errorf("version prints %q", got)
		}
	case <-time.After(4 * time.Second): // the library's own wait is five
		t.Error("the start waits for the terminal")
	}
}

// NO_COLOR: no colour in what reaches the terminal, while the selection still shows.
func TestNoColor(t *testing.T) {
	home := t.TempDir()
	s := start(t, home, 80, 24, []string{"NO_COLOR=1"}, "call", "--new", "Shed")
	s.sees("is there water near a light")
	if raw := s.scr.Render(); colour.MatchString(raw) {
		t.Errorf("colour under NO_COLOR: %q", colour.FindString(raw))
	}
	s.types("q")
	s.exits()
}

// colour matches the escapes that set a foreground or background colour.
var colour = regexp.MustCompile(`\x1b\[(?:\d+;)*(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;\d+)*m`)

// The desk opens a case and comes back to it.
func TestDesk(t *testing.T) {
	home := t.TempDir()
	s := start(t, home, 80, 24, nil)
	s.sees("EXAMPLE, nothing is kept", "73 answers")
	s.types("q").sees("dairy turned office") // from the example back to the desk
	s.types("nBack kitchen\r").sees("is there water near a light", "Back kitchen")
	s.types("1").sees("Look along the ceiling")
	s.types("q").sees("Back kitchen", "Water near electrics")
	s.types("q")
	if code := s.exits(); code != exitOK {
		t.Errorf("exit %d", code)
	}
	caseFile(t, home)
}
