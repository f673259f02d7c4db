package rules

import (
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
)

// builtFiles is the built-in pack as files that a test may spoil.
func builtFiles(t testing.TB) fstest.MapFS {
	t.Helper()
	out := fstest.MapFS{}
	err := fs.WalkDir(embedded, "pack", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := embedded.ReadFile(path)
		out[strings.TrimPrefix(path, "pack/")] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Each fault is refused, with file and line where the entry has one, and what to do.
func TestBrokenPacksAreRefused(t *testing.T) {
	for _, x := range []struct{ name, file, old, new, want string }{
		{"syntax", "words.toml", "cause_count = [0.84, 0.16]", "cause_count = ", "words.toml:7"},
		{"unknown key", "words.toml", "cause_count =", "most = 3\ncause_count =", `words.most`},
		{"strength of one", "words.toml", "almost_always = 0.95", "almost_always = 1.0", "between 0 and 1"},
		{"cause counts", "words.toml", "cause_count = [0.84, 0.16]", "cause_count = [0.84, 0.26]", "sum to 1"},
		{"unknown strength word", "causes/edges.toml", `strength = "usually"`, `strength = "mostly"`, `strength "mostly" is not in words.toml`},
		{"unknown answer", "causes/edges.toml", `answer = ["cracked"]`, `answer = ["broken"]`, `causes/edges.toml:4: cause "edge-trim-joint"`},
		{"unknown question", "causes/edges.toml", `question = "edge-trim-state"`, `question = "trim"`, `question "trim", which does not exist`},
		{"no source", "causes/edges.toml", `source = "common practice, no source"`, `source = ""`, "source is missing"},
		{"no confidence", "causes/edges.toml", `confidence = "low"`, `confidence = "some"`, "not high, medium or low"},
		{"lag the wrong way", "causes/edges.toml", "lag_hours = [0.5, 6]", "lag_hours = [6, 0.5]", "smaller first"},
		{"unknown mechanism", "causes/edges.toml", `mechanism = "rain-gets-in"`, `mechanism = "magic"`, `"magic", which does not exist`},
		{"weighed twice", "causes/edges.toml", `question = "edge-trim-state"`, `question = "weather-pattern"`, "weighed by mechanisms"},
		{"row that does not sum", "mechanisms.toml", "any-rain = 58,", "any-rain = 50,", "sum to 100; it sums to 92"},
		{"a nought in a row", "mechanisms.toml", "cold-dry = 0.5, thaw-or-hot = 1.5,", "cold-dry = 0, thaw-or-hot = 2,", "nothing is impossible"},
		{"background that does not sum", "questions/03-weather.toml", `background = 45 }`, `background = 55 }`, "sum to 110"},
		{"gate input as sign", "mechanisms.toml", `question = "dry-spell"`, `question = "vents"`, "no background"},
		{"condition", "contexts.toml", `"covering-age is under-2"`, `"covering-age was under-2"`, "is, under or over"},
		{"condition on nothing", "contexts.toml", `"covering is epdm"`, `"cover is epdm"`, `question "cover", which does not exist`},
		{"context on a sign", "contexts.toml", `when = ["rooflight is lantern or opening"]`, `when = ["kerb-dressing is slit"]`, "would count twice"},
		{"factor of nought", "contexts.toml", "worn-out-covering = 0.05", "worn-out-covering = 0", "nothing is impossible"},
		{"waits for itself", "questions/02-seen.toml", `when = ["seen is mould"]`, `when = ["mould-pattern is stripes"]`, "can never be asked"},
		{"ten answers", "questions/03-weather.toml", `{ id = "no-pattern",`, `{ id = "tenth", says = "x", background = 0.001 }, { id = "no-pattern",`, "two to nine answers"},
		{"kept word", "questions/01-safety.toml", `{ id = "yes", says = "Yes, or damp`, `{ id = "ask", says = "Yes, or damp`, "keeps for itself"},
		{"doubled id", "questions/01-safety.toml", `id = "going-up"`, `id = "ceiling-bulging"`, "used twice"},
		{"fix of one", "repairs.toml", "old-stain = 0.9,", "old-stain = 1.0,", "between 0 and 1"},
		{"price that is not there", "repairs.toml", `price = "clear"`, `price = "cleaning"`, `"cleaning" is not in the price book`},
		{"price upside down", "prices.toml", "low = 120, high = 300", "low = 320, high = 300", "not over high"},
		{"era without a type", "buildup.toml", "types = { cold = 35,", "types = {", `type "cold" needs a share`},
		{"pair of one", "together.toml", `"rooflight-condensation"]`, `"cold-roof-condensation"]`, "two different causes"},
	} {
		t.Run(x.name, func(t *testing.T) {
			files := builtFiles(t)
			text := string(files[x.file].Data)
			if !strings.Contains(text, x.old) {
				t.Fatalf("%s no longer holds %q", x.file, x.old)
			}
			files[x.file] = &fstest.MapFile{Data: []byte(strings.Replace(text, x.old, x.new, 1))}
			_, err := Load(files)
			if err == nil {
				t.Fatal("it was taken")
			}
			if !strings.Contains(err.Error(), x.want) {
				t.Errorf("error\n%v\ndoes not say %q", err, x.want)
			}
		})
	}
}

// A gate's input may not be a sign of the mechanism it gates: the answer would count twice.
func TestGateInputIsNoSign(t *testing.T) {
	files := builtFiles(t)
	text := string(files["questions/03-weather.toml"].Data)
	at := strings.Index(text, `id = "dry-spell"`)
	text = text[:at] + strings.Replace(text[at:], "cost = 0.5", "cost = 0.5\nfeeds = [\"gate:inside-condensation\"]", 1)
	files["questions/03-weather.toml"] = &fstest.MapFile{Data: []byte(text)}
	if _, err := Load(files); err == nil || !strings.Contains(err.Error(), "would count twice") {
		t.Errorf("error %v", err)
	}
}

// The hash names the knowledge: any change changes it, and nothing else does.
func TestHash(t *testing.T) {
	a, err := Load(builtFiles(t))
	if err != nil {
		t.Fatal(err)
	}
	if a.Hash != Built().Hash {
		t.Error("the same files have two hashes")
	}
	files := builtFiles(t)
	files["words.toml"] = &fstest.MapFile{Data: append([]byte("# a remark\n"), files["words.toml"].Data...)}
	b, err := Load(files)
	if err != nil || a.Hash == b.Hash {
		t.Errorf("%v: changed files have the same hash", err)
	}
}

type facts map[string]any

func (f facts) Choices(q string) ([]string, bool) { v, ok := f[q].([]string); return v, ok }
func (f facts) Number(q string) (float64, bool)   { v, ok := f[q].(float64); return v, ok }

func TestConditions(t *testing.T) {
	f := facts{"covering": []string{"epdm"}, "seen": []string{}, "kerb-outside": 0.120}
	for line, want := range map[string]Truth{
		"covering is epdm":          Yes,
		"covering is felt or epdm":  Yes,
		"covering is not epdm":      No,
		"covering is felt":          No,
		"roof-form is terrace":      NotKnown,
		"roof-form is not terrace":  NotKnown,
		"roof-form is known":        No,
		"roof-form is not known":    Yes,
		"covering is known":         Yes,
		"kerb-outside is known":     Yes,
		"seen is drip":              No,
		"seen is not drip":          Yes,
		"kerb-outside under 150 mm": Yes,
		"kerb-outside over 150 mm":  No,
		"kerb-outside under 0.1":    No,
		"kerb-inside under 150 mm":  NotKnown,
	} {
		if got := All([]string{line}, f); got != want {
			t.Errorf("%q: %v, want %v", line, got, want)
		}
	}
	if All([]string{"roof-form is terrace", "covering is felt"}, f) != No {
		t.Error("one false condition decides, whatever else is open")
	}
	for _, bad := range []string{"", "covering", "covering is", "covering is epdm felt", "covering is epdm or", "covering over much", "covering over 3 feet", "covering equals epdm"} {
		if _, err := ParseCondition(bad); err == nil {
			t.Errorf("%q was read", bad)
		}
	}
}

func FuzzParseCondition(f *testing.F) {
	for _, s := range []string{"covering is not epdm", "kerb-outside under 150 mm", "a is b or c", "x is known", " is  "} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseCondition(s)
		if err != nil {
			return
		}
		if c.Question == "" || !c.Known && !c.Under && !c.Over && len(c.Answers) == 0 {
			t.Errorf("%q reads as %+v", s, c)
		}
		c.Holds(facts{})
	})
}

func FuzzLoad(f *testing.F) {
	f.Add("[[cause]]\nid = \"x\"\n")
	f.Add("[words]\nmax_causes = 2\n[[question]]\nid = \"q\"\nwhen = [\"a is b\"]\n")
	f.Fuzz(func(t *testing.T, text string) {
		// It may only be refused, never panic: a pack this small is never whole.
		if _, err := Load(fstest.MapFS{"a.toml": {Data: []byte(text)}}); err == nil {
			t.Errorf("taken as knowledge: %q", text)
		}
	})
}
