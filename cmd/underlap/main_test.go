package main

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"underlap/diagnose/explain"
	"underlap/rules"
	"underlap/testdata/golden"
)

// world is a program run with its own folders, clock and streams, no terminal.
type world struct {
	e        *env
	out, err bytes.Buffer
	dir      string
}

func newWorld(t testing.TB) *world {
	t.Helper()
	w := &world{dir: t.TempDir()}
	at := time.Date(2026, 12, 1, 9, 30, 0, 0, time.UTC)
	w.e = &env{
		out: &w.out, err: &w.err,
		now:    func() time.Time { at = at.Add(time.Second); return at },
		getenv: func(string) string { return "" },
		cases:  filepath.Join(w.dir, "cases"), config: filepath.Join(w.dir, "config"), user: "tester",
	}
	return w
}

// run gives a command line and returns exit code, output and error output.
func (w *world) run(args ...string) (int, string, string) {
	w.out.Reset()
	w.err.Reset()
	code := run(w.e, args)
	return code, w.out.String(), w.err.String()
}

func (w *world) must(t testing.TB, args ...string) string {
	t.Helper()
	code, out, errs := w.run(args...)
	if code != exitOK {
		t.Fatalf("%q: exit %d: %s", args, code, errs)
	}
	return out
}

// onFile compares with a file under testdata/golden at the top of the tree.
func onFile(t *testing.T, name, got string) {
	t.Helper()
	golden.Same(t, filepath.Join("..", "..", "testdata", "golden", name), got)
}

// The readings and letters of the two examples, as a user prints them.
func TestExampleReadings(t *testing.T) {
	for _, name := range []string{"example", "example-frost"} {
		t.Run(name, func(t *testing.T) {
			w := newWorld(t)
			onFile(t, name+"-reading.txt", maskHash(w.must(t, "reading", name)))
			onFile(t, name+"-reply.md", w.must(t, "reply", name, "--to", "Mrs Hale"))
			onFile(t, name+"-requests.txt", w.must(t, "requests", name, "--text"))
		})
	}
}

// maskHash hides the hash of the knowledge: any word changed in the pack changes it,
// and what that did to the numbers is what the golden file is for.
func maskHash(s string) string { return strings.ReplaceAll(s, rules.Built().Hash, "HASH") }

// Without a terminal and without cases the program prints the built-in example.
func TestNoArguments(t *testing.T) {
	w := newWorld(t)
	if got, want := w.must(t), w.must(t, "reading", "example"); got != want {
		t.Errorf("no arguments prints\n%s", got)
	}
	w.must(t, "tell", "mine", "--new", "My own case", "wet-near-electrics=yes")
	out := w.must(t)
	if !strings.Contains(out, "My own case") || !strings.Contains(out, "URGENT: Water near electrics") {
		t.Errorf("with a case of one's own the desk is expected:\n%s", out)
	}
}

// The main job from the command line alone: tell, revise, read, reply.
func TestTellReadReply(t *testing.T) {
	w := newWorld(t)
	file := filepath.Join(w.dir, "hill.toml")
	w.must(t, "tell", file, "--new", "Kitchen on the hill", "weather-pattern=every-day", "pipes-in-roof=pipes", "pressure-falling=yes")
	var r struct {
		Answered int
		Causes   []struct {
			ID string
			P  float64
		}
		Facts []struct{ Question, Known, Says string }
	}
	if err := json.Unmarshal([]byte(w.must(t, "reading", file, "--json")), &r); err != nil {
		t.Fatal(err)
	}
	if r.Answered != 3 || r.Causes[0].ID != "pressure-pipe" || r.Causes[0].P < 0.6 {
		t.Fatalf("reading %+v", r)
	}
	w.must(t, "tell", file, "weather-pattern=any-rain@photo", "kerb-inside=48 cm")
	if err := json.Unmarshal([]byte(w.must(t, "reading", "--json", file)), &r); err != nil {
		t.Fatal(err)
	}
	said := map[string]string{}
	for _, f := range r.Facts {
		said[f.Question] = f.Known + ": " + f.Says
	}
	if said["weather-pattern"] != "photo: Any good rain" || said["kerb-inside"] != "told: 480 mm" {
		t.Errorf("facts %v", said)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(string(text), `question = "weather-pattern"`); n != 2 {
		t.Errorf("%d answers to weather-pattern in the file, want the old one kept", n)
	}
	letter := w.must(t, "reply", file, "--text")
	for _, line := range strings.Split(letter, "\n") {
		if len([]rune(line)) > textWidth {
			t.Errorf("line of %d in the plain letter: %s", len([]rune(line)), line)
		}
	}
}

// What cannot be understood is refused with what, where and what to do, and the
// file stays as it was.
func TestRefusals(t *testing.T) {
	w := newWorld(t)
	file := filepath.Join(w.dir, "a.toml")
	w.must(t, "tell", file, "--new", "A case", "kerb-inside=480")
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	broken := filepath.Join(w.dir, "broken.toml")
	if err := os.WriteFile(broken, []byte("format = \"underlap-case-1\"\nid = \"x\ntitle = \"y\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		args []string
		code int
		want string
	}{
		{[]string{"tell", file, "kerb-outside=150", "kerb-inside=banana"}, exitUsage, "banana"},
		{[]string{"tell", file, "roof-form=round"}, exitUsage, "plain, false-front"},
		{[]string{"tell", file, "nonsense=1"}, exitUsage, "underlap questions"},
		{[]string{"tell", file}, exitUsage, "needs answers"},
		{[]string{"tell", file, "--new", "Again", "seen=drip"}, exitUsage, "there already"},
		{[]string{"tell", filepath.Join(w.dir, "none.toml"), "seen=drip"}, exitUsage, "--new"},
		{[]string{"reading", "nowhere"}, exitUsage, "underlap desk"},
		{[]string{"reading", broken}, exitFailed, "broken.toml"},
		{[]string{"reading", file, "--why", "x"}, exitUsage, "--why list"},
		{[]string{"reading", file, "--weather", "none.epw"}, exitFailed, "lowland"},
		{[]string{"reading", file, "--weather", file}, exitFailed, "line 1"},
		{[]string{"reading", file, "--nonsense"}, exitUsage, "nonsense"},
		{[]string{"call", file}, exitUsage, "needs a terminal"},
		{[]string{"frobnicate"}, exitUsage, "call, desk, tell"},
		{[]string{"questions", "--branch", "cellar"}, exitUsage, "Outlet"},
		{[]string{"rules"}, exitUsage, "check"},
		{[]string{"rules", "check", w.dir + "/none"}, exitUsage, "not a folder"},
	} {
		code, _, errs := w.run(x.args...)
		if code != x.code || !strings.Contains(errs, x.want) {
			t.Errorf("%q: exit %d, %q; want exit %d with %q", x.args, code, errs, x.code, x.want)
		}
	}
	after, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(before, after) {
		t.Error("a refused answer changed the file")
	}
}

// A broken case is refused with line and cause; it is listed on the desk, not hidden.
func TestBrokenCaseOnTheDesk(t *testing.T) {
	w := newWorld(t)
	w.must(t, "tell", "good", "--new", "Good one", "seen=drip")
	if err := os.WriteFile(filepath.Join(w.e.cases, "bad.toml"), []byte("format = \n"), 0o644); err != nil {
		t.Fatal(err)
	}
	out := w.must(t, "desk")
	if !strings.Contains(out, "Good one") || !strings.Contains(out, "bad.toml") || !strings.Contains(out, "cannot be read") {
		t.Errorf("desk:\n%s", out)
	}
	var list []deskLine
	if err := json.Unmarshal([]byte(w.must(t, "desk", "--json")), &list); err != nil || len(list) != 2 {
		t.Errorf("%v, %d cases", err, len(list))
	}
}

// Every number of a reading can be explained from the command line.
func TestEveryWhyIsThere(t *testing.T) {
	w := newWorld(t)
	var all []explain.Why
	if err := json.Unmarshal([]byte(w.must(t, "reading", "example", "--why", "list", "--json")), &all); err != nil {
		t.Fatal(err)
	}
	for _, y := range all {
		if y.Formula == "" || y.Source == "" || y.Title == "" || y.Result == "" {
			t.Errorf("why %+v", y)
		}
	}
	if len(all) < 40 {
		t.Errorf("only %d explanations", len(all))
	}
	list := w.must(t, "reading", "example", "--why", "list")
	for _, i := range []int{0, len(all) / 3, len(all) / 2, len(all) - 1} { // the last is one of those by the hour
		if !strings.Contains(list, all[i].ID) {
			t.Errorf("%s is not in the list:\n%s", all[i].ID, list)
		}
		out := w.must(t, "reading", "example", "--why", all[i].ID)
		if !strings.Contains(out, "Formula:") || !regexp.MustCompile(`Source: \S`).MatchString(out) {
			t.Errorf("why %s:\n%s", all[i].ID, out)
		}
	}
}

func TestQuestionsAndRules(t *testing.T) {
	w := newWorld(t)
	var qs []questionLine
	if err := json.Unmarshal([]byte(w.must(t, "questions", "--json")), &qs); err != nil || len(qs) < 35 {
		t.Fatalf("%v, %d questions", err, len(qs))
	}
	if out := w.must(t, "questions", "--branch", "outlet"); !strings.Contains(out, "outlet-guard") || strings.Contains(out, "wet-near-electrics") {
		t.Errorf("branch:\n%s", out)
	}
	if out := w.must(t, "rules", "check"); !strings.Contains(out, "is sound") {
		t.Errorf("rules check: %s", out)
	}
	bad := filepath.Join(w.dir, "pack")
	if err := os.MkdirAll(bad, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(bad, "a.toml"), []byte("[[cause]]\nid = \"x\"\ncalls_per_100 = 0\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	code, _, errs := w.run("rules", "check", bad)
	if code != exitFaults || !strings.Contains(errs, "a.toml:2") {
		t.Errorf("exit %d: %s", code, errs)
	}
}

// The firm's own price book is read in place of the built-in one, and a broken one
// is refused by name.
func TestOwnPrices(t *testing.T) {
	w := newWorld(t)
	text := w.must(t, "rules", "prices")
	if err := os.MkdirAll(w.e.config, 0o755); err != nil {
		t.Fatal(err)
	}
	own := filepath.Join(w.e.config, "prices.toml")
	if err := os.WriteFile(own, []byte(strings.Replace(text, `use_region = "england"`, `use_region = "london"`, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	best := func(s string) string { return regexp.MustCompile(`7  Rebuild.*?£(\d+)`).FindStringSubmatch(s)[1] }
	london := best(w.must(t, "reading", "example"))
	if err := os.Remove(own); err != nil {
		t.Fatal(err)
	}
	if england := best(w.must(t, "reading", "example")); len(london) < len(england) || london <= england {
		t.Errorf("London %s, England %s", london, england)
	}
	if err := os.WriteFile(own, []byte("[prices]\ncurrency = \"GBP\"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, errs := w.run("reading", "example"); code != exitFailed || !strings.Contains(errs, "price book") {
		t.Errorf("exit %d: %s", code, errs)
	}
}

func TestHelp(t *testing.T) {
	w := newWorld(t)
	help := w.must(t, "--help")
	for _, c := range commands() {
		if !strings.Contains(help, "underlap "+c.name) {
			t.Errorf("help does not name %s", c.name)
		}
		out := w.must(t, c.name, "--help")
		if !strings.Contains(out, "Example: underlap "+c.name) {
			t.Errorf("%s --help has no example:\n%s", c.name, out)
		}
	}
	if out := w.must(t, "version"); !strings.Contains(out, rules.Built().Hash) {
		t.Errorf("version %q", out)
	}
}

// A case is found by its file, its name, whole words its name begins with, or its
// title.
func TestCasesByName(t *testing.T) {
	w := newWorld(t)
	w.must(t, "tell", "hill", "--new", "Kitchen on the hill", "seen=drip")
	for _, name := range []string{"hill", "hill.toml", "kitchen on the hill", filepath.Join(w.e.cases, "hill.toml")} {
		if out := w.must(t, "reading", name); !strings.Contains(out, "Kitchen on the hill") {
			t.Errorf("%q finds\n%s", name, out)
		}
	}
}

// A slip in any of several answers keeps none of them, and starts no case.
func TestTellIsAllOrNothing(t *testing.T) {
	w := newWorld(t)
	if code, _, errs := w.run("tell", "c", "--new", "C", "kerb-inside=480", "litres=withdraw"); code != exitUsage {
		t.Errorf("exit %d: %s", code, errs)
	}
	if _, err := os.Stat(filepath.Join(w.e.cases, "c.toml")); err == nil {
		t.Error("a case was started")
	}
}

// A figure in a file that cannot be is left out and said, and does not shut the case.
func TestImpossibleFigureInAFile(t *testing.T) {
	w := newWorld(t)
	w.must(t, "tell", "n", "--new", "N", "seen=drip", "kerb-inside=480", "roof-area=20 m2")
	file := filepath.Join(w.e.cases, "n.toml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"value = -1.0", "value = 1e300"} {
		if err := os.WriteFile(file, []byte(strings.Replace(string(text), "value = 0.48", bad, 1)), 0o644); err != nil {
			t.Fatal(err)
		}
		if out := w.must(t, "reading", "n"); !strings.Contains(out, "the figure in the file cannot be") {
			t.Errorf("%s:\n%s", bad, out)
		}
		w.must(t, "tell", "n", "kerb-inside=withdraw")
	}
}

// Two believable readings that fit no roof on the market are said so, and trip nothing.
func TestThicknessNothingFits(t *testing.T) {
	w := newWorld(t)
	w.must(t, "tell", "thick", "--new", "Thick", "kerb-inside=1000", "kerb-outside=120")
	if out := w.must(t, "reading", "thick"); !strings.Contains(out, "fits no build-up") {
		t.Errorf("reading:\n%s", out)
	}
	w.must(t, "desk")
}

// A letter on disk may have been sent or mended by hand: it is never written over.
func TestALetterIsNeverWrittenOver(t *testing.T) {
	casePath := filepath.Join(t.TempDir(), "hill.toml")
	keep := func(text, want string) {
		t.Helper()
		out, err := keepLetter(casePath, text)
		if err != nil {
			t.Fatal(err)
		}
		if filepath.Base(out) != want {
			t.Errorf("kept in %s, want %s", filepath.Base(out), want)
		}
		if got, _ := os.ReadFile(out); string(got) != text {
			t.Errorf("%s holds %q, want %q", want, got, text)
		}
	}
	keep("first", "hill-reply.md")
	keep("first", "hill-reply.md") // the same letter again is the same file
	keep("second", "hill-reply-2.md")
	keep("third", "hill-reply-3.md")
	keep("first", "hill-reply.md")
}

// Half a word is no name, least of all to write to; a name that fits several says so.
func TestNamesThatDoNotFit(t *testing.T) {
	w := newWorld(t)
	w.must(t, "tell", "hill-road", "--new", "Kitchen", "roof-area=20")
	w.must(t, "tell", "hillside", "--new", "Bathroom", "roof-area=20")
	if out := w.must(t, "reading", "hill"); !strings.HasPrefix(out, "Kitchen\n") {
		t.Errorf("whole words of a name: %.60s", out)
	}
	if code, _, _ := w.run("tell", "hills", "roof-area=30"); code != exitUsage {
		t.Errorf("half a word wrote into a case: exit %d", code)
	}
	w.must(t, "tell", "hill-top", "--new", "Porch", "roof-area=20")
	if code, _, _ := w.run("reading", "hill"); code != exitUsage || !strings.Contains(w.err.String(), "hill-road.toml, hill-top.toml") {
		t.Errorf("exit %d: %s", code, w.err.String())
	}
	// A new case may begin as another does.
	w.must(t, "tell", "hill", "--new", "Hill", "roof-area=20")
}

// An answer to a question that this knowledge does not have is kept and spoken of.
func TestAnAnswerNobodyAskedForIsSpokenOf(t *testing.T) {
	w := newWorld(t)
	w.must(t, "tell", "hill", "--new", "Hill", "roof-area=20")
	file := filepath.Join(w.e.cases, "hill.toml")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(strings.Replace(string(text), `"roof-area"`, `"no-such"`, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	w.must(t, "reading", "hill")
	if !strings.Contains(w.err.String(), `"no-such"`) {
		t.Errorf("nothing is said of it: %q", w.err.String())
	}
}

// The built-in year of a lowland stands in for the place: what hangs on weather moves,
// what does not stays. A file of one month is refused in words.
func TestWeatherByTheHour(t *testing.T) {
	w := newWorld(t)
	type found struct {
		Hourly   string
		Findings []explain.Finding
	}
	read := func(args ...string) map[string]explain.Finding {
		var r found
		if err := json.Unmarshal([]byte(w.must(t, append([]string{"reading", "example-frost", "--json"}, args...)...)), &r); err != nil {
			t.Fatal(err)
		}
		if r.Hourly != "done" {
			t.Errorf("hourly is %q", r.Hourly)
		}
		out := map[string]explain.Finding{}
		for _, f := range r.Findings {
			out[f.ID] = f
		}
		return out
	}
	own, lowland := read(), read("--weather", "lowland")
	for id, f := range own {
		weather := map[string]bool{
			"deck-winters": true, "frost-course": true, "winter-condensate": true, "vapour-litres": true, "frost-litres": true,
			"wet-insulation": true, "surface-factor": false, "u-value": false, "joists": false, "drying-reserve": false,
		}
		if moves, known := weather[id]; known && moves != (f.Value != lowland[id].Value) {
			t.Errorf("%s: %v, %v in the lowland", id, f.Value, lowland[id].Value)
		}
	}
	z, err := os.Open(filepath.Join("..", "..", "testdata", "climate", "usa_minneapolis_tmy3_january.epw.gz"))
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	plain, err := gzip.NewReader(z)
	if err != nil {
		t.Fatal(err)
	}
	text, err := io.ReadAll(plain)
	if err != nil {
		t.Fatal(err)
	}
	month := filepath.Join(w.dir, "month.epw")
	if err := os.WriteFile(month, text, 0o644); err != nil {
		t.Fatal(err)
	}
	if code, _, errs := w.run("reading", "example-frost", "--weather", month); code != exitFailed || !strings.Contains(errs, "744 hours") {
		t.Errorf("a month: exit %d, %s", code, errs)
	}
}
