package diagnose

import (
	"errors"
	"io/fs"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/rules"
)

// kinds gives a question of each kind and unit, so that a fuzzer finds every reader.
func kinds() []*rules.Question {
	var list []*rules.Question
	seen := map[string]bool{}
	pack := rules.Built()
	for i := range pack.Questions {
		q := &pack.Questions[i]
		if key := q.Kind + " " + q.Unit; !seen[key] {
			seen[key] = true
			list = append(list, q)
		}
	}
	return list
}

// FuzzParseInput types anything at a question of any kind. It is refused with a word
// for the question, or taken: then it is an answer the question has, or a number within
// what is believable, and it stands as it was given.
func FuzzParseInput(f *testing.F) {
	list := kinds()
	for i := range list {
		for _, s := range []string{
			"1", "9", "10", "drip,stain", "drip, drip", "none", "NONE", "unknown", "?", "don't know", "ask", "skip", "480", "48 cm", "18 7/8\"", "480 ± 5",
			"about 400", "470-490", "half a bucket", "3 x 6 m", "65 %", "2019", "1970s", "20 min", "2 days", "-1", "1e308", "NaN", "leeds", "", " ", "withdraw",
		} {
			f.Add(uint8(i), s)
		}
	}
	f.Fuzz(func(t *testing.T, kind uint8, text string) {
		q := list[int(kind)%len(list)]
		in, err := ParseInput(q, text, 2026)
		if err != nil {
			var wrong *InputError
			if !errors.As(err, &wrong) || wrong.Question != q.ID || wrong.Text == "" {
				t.Fatalf("%q at %s: error %#v", text, q.ID, err)
			}
			if utf8.ValidString(text) && !utf8.ValidString(err.Error()) {
				t.Fatalf("%q at %s: the error is no text: %q", text, q.ID, err)
			}
			return
		}
		c := emptyCall(rules.Built())
		if err := c.Answer(q.ID, in); err != nil {
			t.Fatalf("%q at %s reads as %+v, which is refused: %v", text, q.ID, in, err)
		}
		stands(t, c, q, in)
		if in.Value != nil {
			v := *in.Value
			if math.IsNaN(v) || math.IsInf(v, 0) || !(in.Tolerance >= 0) || math.IsInf(in.Tolerance, 0) {
				t.Fatalf("%q at %s is %v ± %v", text, q.ID, v, in.Tolerance)
			}
			if q.Low != nil && q.Kind != rules.KindAmount && (v < *q.Low || v > *q.High) {
				t.Fatalf("%q at %s is %v, out of %v to %v", text, q.ID, v, *q.Low, *q.High)
			}
		}
	})
}

// stands fails unless the answer is in the call as it was given.
func stands(t *testing.T, c *Call, q *rules.Question, in Input) {
	t.Helper()
	s, _ := c.Step(q.ID)
	want := "answered"
	if len(in.Choices) == 1 {
		switch in.Choices[0] {
		case casefile.ChoiceUnknown:
			want = "unknown"
		case casefile.ChoiceAsked:
			want = "asked"
		case casefile.ChoiceSkipped:
			want = "skipped"
		}
	}
	if s.State != want {
		t.Fatalf("%+v at %s is %s, want %s", in, q.ID, s.State, want)
	}
	if want != "answered" {
		return
	}
	x, ok := c.facts.Get(q.ID)
	if !ok || len(c.facts.LeftOut()) > 0 {
		t.Fatalf("%+v at %s is no fact; left out %v", in, q.ID, c.facts.LeftOut())
	}
	for _, id := range in.Choices {
		if _, known := q.Answer(id); !known && id != rules.NoneChosen {
			t.Fatalf("%+v at %s: there is no answer %q", in, q.ID, id)
		}
	}
	if in.Value != nil && q.Kind == rules.KindAmount && (len(x.Choices) != 1 || x.Choices[0] != facts.Bin(q, x.Value)) {
		t.Fatalf("%+v at %s falls into %v", in, q.ID, x.Choices)
	}
	if s.Answer == "" || in.Value != nil && strings.Contains(s.Answer, "NaN") {
		t.Fatalf("%+v at %s reads %q", in, q.ID, s.Answer)
	}
}

// FuzzTell gives an answer as the command line does, into a call in which something has
// been said. What is taken gives a reading; what is refused leaves the call as it was.
func FuzzTell(f *testing.F) {
	for _, s := range []string{
		"kerb-inside=480", "kerb-outside=150@measured", "seen=drip,stain@photo", "weather-pattern=withdraw", "weather-pattern = 1 @ told ", "lag=3 h",
		"litres=half a bucket", "place=leeds@opened", "caller-words=see me @home", "covering-age=about 10", "nothing=1", "kerb-inside", "=", "a=b=c", "seen=@", "seen=none@",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		c := emptyCall(rules.Built())
		for _, a := range []string{"weather-pattern=any-rain", "kerb-inside=430", "covering=felt"} {
			if err := Tell(c, a, 2026); err != nil {
				t.Fatal(err)
			}
		}
		events := len(c.Case().Events)
		err := Tell(c, line, 2026)
		if err != nil {
			var wrong *InputError
			if !errors.As(err, &wrong) || wrong.Text == "" {
				t.Fatalf("%q: error %#v", line, err)
			}
			if len(c.Case().Events) != events {
				t.Fatalf("%q was refused and stands in the log", line)
			}
			return
		}
		if len(c.Case().Events) != events+1 {
			t.Fatalf("%q was taken and is not in the log", line)
		}
		q, in, err := ParseTell(c.Pack(), line, 2026)
		if err != nil {
			t.Fatalf("%q was taken, and read again gives %v", line, err)
		}
		if in.Typed == withdraw && len(in.Choices) == 0 {
			if s, _ := c.Step(q.ID); s.State != "open" && s.State != "later" {
				t.Fatalf("%q leaves it %s", line, s.State)
			}
		} else {
			stands(t, c, q, in)
		}
		jsonText(t, c.Reading())
	})
}

// FuzzPackThatPasses changes a line of the built-in knowledge. What the lint lets through
// must give a reading of a whole call: a fault in the knowledge is the lint's to find.
func FuzzPackThatPasses(f *testing.F) {
	files := fstest.MapFS{}
	err := fs.WalkDir(os.DirFS("../rules/pack"), ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile("../rules/pack/" + path)
		files[path] = &fstest.MapFile{Data: text}
		return err
	})
	if err != nil {
		f.Fatal(err)
	}
	names := slices.Sorted(maps.Keys(files))
	values := []string{"0", "1", "-1", "1e-300", "1e300", "true", "\"\"", "[]", "\"x\"", "0.5", "100"}
	for i, name := range names {
		for k := range 2 {
			f.Add(uint8(i), uint16(strings.Count(string(files[name].Data), "\n")*(k+1)/3), values[(i+k)%len(values)], (i+k)%3 == 0)
		}
	}
	f.Fuzz(func(t *testing.T, file uint8, line uint16, with string, drop bool) {
		name := names[int(file)%len(names)]
		lines := strings.Split(string(files[name].Data), "\n")
		at := int(line) % len(lines)
		switch key, _, ok := strings.Cut(lines[at], "="); {
		case drop:
			lines[at] = with
		case ok:
			lines[at] = key + "= " + with
		default:
			lines = slices.Insert(lines, at, with)
		}
		changed := maps.Clone(files)
		changed[name] = &fstest.MapFile{Data: []byte(strings.Join(lines, "\n"))}
		pack, err := rules.Load(changed)
		if err != nil {
			return
		}
		c := emptyCall(pack)
		for i := range pack.Questions {
			q := &pack.Questions[i]
			in := Input{Choices: []string{casefile.ChoiceUnknown}}
			switch {
			case len(q.Answers) > 0:
				in.Choices = []string{q.Answers[i%len(q.Answers)].ID}
			case q.Kind == rules.KindLength || q.Kind == rules.KindNumber:
				v := (*q.Low + *q.High) / 2
				in = Input{Value: &v}
			}
			if err := c.Answer(q.ID, in); err != nil {
				t.Fatal(err)
			}
			if _, err := ParseInput(q, "1e9", 2026); err == nil && q.Kind == rules.KindLength {
				t.Fatalf("%s takes 1e9", q.ID)
			}
		}
		r, err := Consult(c.Case(), pack)
		if err != nil {
			t.Fatalf("%s line %d, %q: %v", name, at+1, lines[at], err)
		}
		jsonText(t, r)
	})
}
