package casefile

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/google/go-cmp/cmp"
)

// Each broken file must be refused with exactly the message in messages.toml,
// and each message must have its file.
func TestDecodeRefuses(t *testing.T) {
	var want map[string]string
	if _, err := toml.DecodeFile("testdata/messages.toml", &want); err != nil {
		t.Fatal(err)
	}
	files, err := filepath.Glob("testdata/bad-*.toml")
	if err != nil || len(files) == 0 {
		t.Fatal("no broken files found", err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(filepath.Base(file), "bad-"), ".toml")
		message, listed := want[name]
		delete(want, name)
		t.Run(name, func(t *testing.T) {
			if !listed {
				t.Fatal("messages.toml says nothing about this file")
			}
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			c, err := Decode(text, file)
			if c != nil || err == nil {
				t.Fatal("a broken file was accepted")
			}
			if err.Error() != message {
				t.Errorf("\n got %s\nwant %s", err, message)
			}
			var fault *FileError
			if !errors.As(err, &fault) || fault.File != file || fault.Cause == "" || fault.Remedy == "" {
				t.Errorf("the error is not a complete FileError: %#v", err)
			}
		})
	}
	for name := range want {
		t.Errorf("messages.toml speaks of bad-%s.toml, which is not there", name)
	}
}

func TestDecodeRefusesHugeFile(t *testing.T) {
	text := bytes.Repeat([]byte("# rain\n"), MaxSize/7+1)
	if _, err := Decode(text, "huge.toml"); err == nil || !strings.Contains(err.Error(), "may have at most") {
		t.Errorf("got %v", err)
	}
}

// A file within the limit of size must not exhaust the stack or take minutes,
// whatever is in it. Without the limit on nesting these two end the process.
func TestDecodeHostileNesting(t *testing.T) {
	for name, text := range map[string]string{
		"brackets": "x = " + strings.Repeat("[", MaxSize/2),
		"dots":     strings.Repeat("a.", MaxSize/4) + "a = 1\n",
		"tables":   "x = " + strings.Repeat("{a=", MaxSize/4),
	} {
		if _, err := Decode([]byte(text), name); err == nil || !strings.Contains(err.Error(), "nest too deeply") {
			t.Errorf("%s: got %v", name, err)
		}
	}
}

func TestDecodeKeepsWhatItDoesNotKnow(t *testing.T) {
	c, err := Read("testdata/whole.toml")
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		`the key "later" in the head of the file is not known to this version; it is kept and not used`,
		`line 7: the key "van" in the head of the file is not known to this version; it is kept and not used`,
		`line 32: the key "weather" in event "0002-m4p1" is not known to this version; it is kept and not used`,
		`line 34: the key "list" in event "0003-0c7d" is not known to this version; it is kept and not used`,
		`line 34: the key "more" in event "0003-0c7d" is not known to this version; it is kept and not used`,
		`line 34: event "0003-0c7d" is of kind "wibble", which this version does not know; it is kept and not used`,
	}
	if diff := cmp.Diff(want, c.Warnings); diff != "" {
		t.Error(diff)
	}
	if got := c.Events[0].At.Format("15:04:05"); got != "09:31:05" {
		t.Errorf("a time with a zone was not brought to UTC: %s", got)
	}
	if v := c.Events[1].Value; v == nil || *v != 0.48 {
		t.Errorf("value %v", v)
	}
	// Every event, unknown keys included, survives being written anew.
	for _, e := range c.Events {
		text, err := encodeEvent(e)
		if err != nil {
			t.Fatal(err)
		}
		head, err := encodeHead(Head{Format: Format, ID: "x", Created: c.Created})
		if err != nil {
			t.Fatal(err)
		}
		back, err := Decode(append(head, text...), "again")
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(e, back.Events[0]); diff != "" {
			t.Error(diff)
		}
	}
}

func TestEventReadsWell(t *testing.T) {
	zero := 0.0
	e, err := tidyEvent(Event{
		ID: "0007-k3f9", At: day, By: "dk", Kind: KindAnswered, Question: "inside-depth",
		Answers: []string{"yes"}, Value: &zero, Typed: "0 cm", Known: KnownTold, Note: "said \"about\"\nnothing\x1b[31m \xff",
	})
	if err != nil {
		t.Fatal(err)
	}
	got, err := encodeEvent(e)
	if err != nil {
		t.Fatal(err)
	}
	want := `[[event]]
id = "0007-k3f9"
at = 2026-01-12T09:30:00Z
by = "dk"
kind = "answered"
question = "inside-depth"
answers = ["yes"]
value = 0.0
typed = "0 cm"
known = "told"
note = """
said \"about\"
nothing[31m ` + "\ufffd" + `"""
`
	if diff := cmp.Diff(want, string(got)); diff != "" {
		t.Error(diff)
	}
}

// No text makes Decode panic, and a file that it accepts can be added to and
// written anew event by event.
func FuzzDecode(f *testing.F) {
	files, err := filepath.Glob("testdata/*.toml")
	if err != nil {
		f.Fatal(err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(text)
		f.Add(bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n")))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		c, err := Decode(text, "fuzz.toml")
		if err != nil {
			var fault *FileError
			if !errors.As(err, &fault) || fault.Cause == "" {
				t.Fatalf("not a FileError: %v", err)
			}
			if lines := bytes.Count(text, []byte("\n")) + 1; fault.Line > lines {
				t.Fatalf("fault on line %d of %d: %v", fault.Line, lines, err)
			}
			return
		}
		s := &Store{path: "fuzz.toml", text: text, kase: c, next: 1, ids: map[string]bool{}}
		for _, e := range c.Events {
			s.took(e)
		}
		longer := appended(t, s, Event{At: day, Kind: KindNoted, Note: "one more"})
		back, err := Decode(longer, "fuzz.toml")
		if err != nil {
			t.Fatalf("not readable after an event was added: %v\n%q", err, longer)
		}
		if diff := cmp.Diff(c.Events, back.Events[:len(c.Events)], nanEqual); diff != "" {
			t.Fatalf("adding an event changed the others:\n%s", diff)
		}
		head, err := encodeHead(Head{Format: Format, ID: "x", Created: day})
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range c.Events {
			table, err := encodeEvent(e)
			if err != nil {
				t.Fatalf("%v\n%q", err, text)
			}
			head = append(head, table...)
		}
		again, err := Decode(head, "again.toml")
		if err != nil {
			t.Fatalf("events written anew cannot be read: %v\n%q", err, head)
		}
		if diff := cmp.Diff(c.Events, again.Events, nanEqual); diff != "" {
			t.Fatalf("events written anew differ:\n%s", diff)
		}
	})
}
