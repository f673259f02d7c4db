package casefile

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestCreateAppendReopen(t *testing.T) {
	s := newStore(t)
	path := s.Path()
	early := s.Case()
	a := mustAppend(t, s, answered("wet-near-lights", 1, "yes"))
	b := mustAppend(t, s, Event{At: day.Add(2*time.Minute + 7*time.Millisecond), Kind: KindAnswered, Question: "inside-depth", Value: ptr(0), Tolerance: 0.005})
	if !strings.HasPrefix(a.ID, "0001-") || !strings.HasPrefix(b.ID, "0002-") || len(a.ID) != 9 {
		t.Errorf("ids %q, %q", a.ID, b.ID)
	}
	if len(early.Events) != 0 {
		t.Error("a case handed out earlier has grown")
	}
	want := s.Case()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Append(answered("x", 3, "y")); !errors.Is(err, ErrClosed) {
		t.Errorf("append after close: %v", err)
	}
	got, err := Read(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	left, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(left) != 1 {
		t.Errorf("side files were left behind: %v %v", left, err)
	}
}

func TestCreateRefuses(t *testing.T) {
	s := newStore(t)
	before := contents(t, s.Path())
	path := s.Path()
	s.Close()
	if _, err := Create(path, Head{ID: "other", Created: day}); !errors.Is(err, ErrExists) {
		t.Errorf("got %v", err)
	}
	if contents(t, path) != before {
		t.Error("the file was touched")
	}
	other := filepath.Join(t.TempDir(), "new.toml")
	for name, head := range map[string]Head{
		"no id":    {Created: day},
		"no time":  {ID: "x"},
		"bad time": {ID: "x", Created: time.Date(12026, 1, 1, 0, 0, 0, 0, time.UTC)},
		"extra":    {ID: "x", Created: day, Extra: map[string]any{"a": 1}},
	} {
		if _, err := Create(other, head); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if _, err := os.Lstat(other); err == nil {
		t.Error("a refused case left a file")
	}
}

func TestAppendRefuses(t *testing.T) {
	s := newStore(t)
	before := contents(t, s.Path())
	nan := 0.0
	nan /= nan
	for name, e := range map[string]Event{
		"no kind":        {At: day},
		"no time":        {Kind: KindNoted},
		"far time":       {Kind: KindNoted, At: time.Date(10001, 1, 1, 0, 0, 0, 0, time.UTC)},
		"no question":    {Kind: KindAnswered, At: day},
		"withdraws what": {Kind: KindWithdrawn, At: day},
		"nan":            {Kind: KindNoted, At: day, Value: &nan},
		"tolerance":      {Kind: KindNoted, At: day, Tolerance: -1},
		"own key":        {Kind: KindNoted, At: day, Extra: map[string]any{"kind": "x"}},
		"bad bytes":      {Kind: KindNoted, At: day, Extra: map[string]any{"x": "\xff"}},
		"nil in a list":  {Kind: KindNoted, At: day, Extra: map[string]any{"x": []any{nil}}},
		"too large":      {Kind: KindNoted, At: day, Note: strings.Repeat("x", MaxSize)},
	} {
		if _, err := s.Append(e); err == nil || !strings.HasPrefix(err.Error(), "nothing was saved: ") {
			t.Errorf("%s: got %v", name, err)
		}
	}
	if contents(t, s.Path()) != before || len(s.Case().Events) != 0 {
		t.Error("a refused event left a trace")
	}
}

// Comments, layout, unknown keys, line endings: every old byte stays.
func TestOldBytesSurvive(t *testing.T) {
	whole := contents(t, "testdata/whole.toml")
	for name, text := range map[string]string{
		"as it is":          whole,
		"no final new line": strings.TrimRight(whole, "\n"),
		"ends in a comment": whole + "# the end",
		"Windows":           strings.ReplaceAll(whole, "\n", "\r\n"),
		"byte order mark":   "\ufeff" + whole,
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "case.toml")
			if err := os.WriteFile(path, []byte(text), 0o640); err != nil {
				t.Fatal(err)
			}
			s, err := Open(path)
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			first := mustAppend(t, s, answered("lag", 60, "hours"))
			mustAppend(t, s, answered("lag", 61, "days"))
			if !strings.HasPrefix(first.ID, "0004-") {
				t.Errorf("id %s", first.ID)
			}
			got := contents(t, path)
			if !strings.HasPrefix(got, text) {
				t.Fatalf("old bytes changed:\n%s", got)
			}
			if name == "Windows" && strings.Count(got, "\n") != strings.Count(got, "\r\n") {
				t.Error("line endings are mixed")
			}
			back, err := Decode([]byte(got), path)
			if err != nil || len(back.Events) != 5 {
				t.Fatalf("%v", err)
			}
			if info, _ := os.Stat(path); runtime.GOOS != "windows" && info.Mode().Perm() != 0o640 {
				t.Errorf("mode became %v", info.Mode())
			}
		})
	}
}

func TestFollowsLink(t *testing.T) {
	s := newStore(t)
	s.Close()
	link := filepath.Join(t.TempDir(), "link.toml")
	if err := os.Symlink(s.Path(), link); err != nil {
		t.Skip("no links here:", err)
	}
	l, err := Open(link)
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	mustAppend(t, l, answered("x", 1, "y"))
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link was replaced by a file")
	}
	if c, err := Read(s.Path()); err != nil || len(c.Events) != 1 {
		t.Errorf("the event is not in the real file: %v", err)
	}
	if _, err := Open(s.Path()); !errors.Is(err, ErrInUse) {
		t.Errorf("the lock does not hold under the other name: %v", err)
	}
}

func TestLock(t *testing.T) {
	s := newStore(t)
	_, err := Open(s.Path())
	if !errors.Is(err, ErrInUse) || !strings.Contains(err.Error(), "another window has this case open") {
		t.Fatalf("got %v", err)
	}
	if _, err := Read(s.Path()); err != nil {
		t.Errorf("reading was not possible meanwhile: %v", err)
	}
	s.Close()
	again, err := Open(s.Path())
	if err != nil {
		t.Fatal(err)
	}
	again.Close()
}

// Never two holders at once, however quickly the lock changes hands.
func TestLockUnderContention(t *testing.T) {
	path := newStore(t).Path() + ".other"
	holders := make(chan struct{}, 1)
	done := make(chan error)
	for range 8 {
		go func() {
			for range 200 {
				l, err := takeLock(path)
				if errors.Is(err, ErrInUse) {
					runtime.Gosched()
					continue
				}
				if err != nil {
					done <- err
					return
				}
				select {
				case holders <- struct{}{}:
					runtime.Gosched()
					<-holders
				default:
					done <- errors.New("two hold the lock")
					return
				}
				l.release()
			}
			done <- nil
		}()
	}
	for range 8 {
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
}

func TestChangedOnDisk(t *testing.T) {
	for name, change := range map[string]func(old string) string{
		"longer":    func(old string) string { return old + "# a line from elsewhere\n" },
		"same size": func(old string) string { return strings.Replace(old, "Music", "Mucus", 1) },
	} {
		t.Run(name, func(t *testing.T) {
			s := newStore(t)
			mustAppend(t, s, answered("x", 1, "y"))
			changed := change(contents(t, s.Path()))
			if err := os.WriteFile(s.Path(), []byte(changed), 0o644); err != nil {
				t.Fatal(err)
			}
			_, err := s.Append(answered("x", 2, "z"))
			if !errors.Is(err, ErrChanged) || !strings.Contains(err.Error(), "open it again") {
				t.Errorf("got %v", err)
			}
			if contents(t, s.Path()) != changed {
				t.Error("the other change was lost")
			}
			if len(s.Case().Events) != 1 {
				t.Error("the refused event is in the case")
			}
		})
	}
	s := newStore(t)
	os.Remove(s.Path())
	if _, err := s.Append(answered("x", 1, "y")); err == nil {
		t.Error("saved into a file that was deleted")
	}
}

// Whatever step of a save fails, the old file stays, nothing is left beside
// it, and the same event can be added afterwards.
func TestFailedSaveLeavesFile(t *testing.T) {
	for _, step := range []string{"create", "write", "chmod", "sync", "close", "rename"} {
		t.Run(step, func(t *testing.T) {
			s := newStore(t)
			mustAppend(t, s, answered("x", 1, "y"))
			before, old := contents(t, s.Path()), s.Case()
			s.disk = &brokenDisk{failAt: step}
			_, err := s.Append(answered("x", 2, "z"))
			if !errors.Is(err, errFull) || !strings.HasPrefix(err.Error(), "nothing was saved") {
				t.Errorf("got %v", err)
			}
			if contents(t, s.Path()) != before || s.Case() != old {
				t.Error("a failed save left a trace")
			}
			if _, err := os.Lstat(sideFile(s.Path(), ".saving")); err == nil {
				t.Error("the temporary file is still there")
			}
			s.disk = realDisk{}
			mustAppend(t, s, answered("x", 2, "z"))
			if c, err := Read(s.Path()); err != nil || len(c.Events) != 2 {
				t.Errorf("not saved at the second try: %v", err)
			}
		})
	}
}

// When only the flushing of the folder fails, the event is in the file; the
// store must not take it for lost.
func TestUnflushedFolder(t *testing.T) {
	s := newStore(t)
	s.disk = &brokenDisk{failAt: "folder"}
	e, err := s.Append(answered("x", 1, "y"))
	if !errors.Is(err, ErrUnflushed) || e.ID == "" || len(s.Case().Events) != 1 {
		t.Errorf("got %v, %+v", err, e)
	}
	s.disk = realDisk{}
	mustAppend(t, s, answered("x", 2, "z"))
}

// What a crash leaves beside the case does not hinder the next save.
func TestLeftoverIsCleared(t *testing.T) {
	s := newStore(t)
	if err := os.WriteFile(sideFile(s.Path(), ".saving"), []byte("half"), 0o400); err != nil {
		t.Fatal(err)
	}
	mustAppend(t, s, answered("x", 1, "y"))
	if _, err := os.Lstat(sideFile(s.Path(), ".saving")); err == nil {
		t.Error("the leftover is still there")
	}
}

func TestClockPutBack(t *testing.T) {
	s := newStore(t)
	mustAppend(t, s, answered("x", 10, "y"))
	e := mustAppend(t, s, answered("x", 5, "z"))
	if !e.At.Equal(day.Add(10 * time.Minute)) {
		t.Errorf("time %v", e.At)
	}
	if a := s.Case().State().Answers["x"]; !a.Is("z") || a.Revised != 1 {
		t.Errorf("the later entry does not stand: %+v", a)
	}
}

func TestList(t *testing.T) {
	s := newStore(t)
	mustAppend(t, s, answered("x", 7, "y"))
	dir := filepath.Dir(s.Path())
	for name, text := range map[string]string{"broken.toml": "format = ", "notes.txt": "no case", ".hidden.toml": "x"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	got, err := List(dir)
	if err != nil || len(got) != 2 {
		t.Fatalf("%v, %v", got, err)
	}
	var fault *FileError
	if filepath.Base(got[0].Path) != "broken.toml" || !errors.As(got[0].Err, &fault) || got[0].Size != 9 {
		t.Errorf("%+v", got[0])
	}
	if g := got[1]; g.Err != nil || g.Head.ID != "garage-7f3a" || g.Events != 1 || !g.Last.Equal(day.Add(7*time.Minute)) || g.Size == 0 {
		t.Errorf("%+v", g)
	}
	if _, err := List(filepath.Join(dir, "nowhere")); err == nil {
		t.Error("a folder that is not there was listed")
	}
}

func TestReadRefusesFolder(t *testing.T) {
	var fault *FileError
	if _, err := Read(t.TempDir()); !errors.As(err, &fault) {
		t.Errorf("got %v", err)
	}
}

func TestNewID(t *testing.T) {
	for _, c := range []struct{ title, want string }{
		{"Music room over a garage", "music-room-over-garage-"},
		{"The Café, 12 Main St. / rear flat roof", "caf-12-main-st-rear-"},
		{"屋根", "case-"},
		{"", "case-"},
		{"../../etc", "etc-"},
	} {
		got := NewID(c.title, []byte("a"))
		if !strings.HasPrefix(got, c.want) || len(got) != len(c.want)+4 {
			t.Errorf("%q: %q", c.title, got)
		}
		if got != NewID(c.title, []byte("a")) || got == NewID(c.title, []byte("b")) {
			t.Errorf("%q: the id does not follow from the entropy", c.title)
		}
	}
}

// drawEvent draws any event that Append should take.
func drawEvent(t *rapid.T) Event {
	text := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "yes", "unknown", "ask", "a\nb", "\x1b[2J", "\xff\xfe", `"""`, "[[event]]", "48 cm"}))
	number := rapid.Custom(func(t *rapid.T) *float64 {
		return rapid.Ptr(rapid.Float64Range(-1e12, 1e12), true).Draw(t, "x")
	})
	e := Event{
		At:        day.Add(time.Duration(rapid.IntRange(0, 100000).Draw(t, "seconds")) * time.Second),
		By:        text.Draw(t, "by"),
		Kind:      rapid.SampledFrom(append(knownKinds[:len(knownKinds):len(knownKinds)], "wibble")).Draw(t, "kind"),
		Question:  rapid.SampledFrom([]string{"q1", "q2", "q3"}).Draw(t, "question"),
		Answers:   rapid.SliceOfN(text, 0, 3).Draw(t, "answers"),
		Value:     number.Draw(t, "value"),
		Tolerance: rapid.Float64Range(0, 10).Draw(t, "tolerance"),
		Typed:     text.Draw(t, "typed"),
		Known:     rapid.SampledFrom(append(knownWays[:len(knownWays):len(knownWays)], "")).Draw(t, "known"),
		Note:      text.Draw(t, "note"),
		About:     rapid.SampledFrom([]string{"", "", "0001-zzzz"}).Draw(t, "about"),
		X:         number.Draw(t, "x"),
		Y:         number.Draw(t, "y"),
	}
	if rapid.Bool().Draw(t, "has extra") {
		e.Extra = map[string]any{"later": rapid.Int64().Draw(t, "later"), "deep": map[string]any{"list": []any{"a", int64(1)}}}
	}
	return e
}

// Any sequence of events, added with the case closed and opened in between,
// reads back as the same case and the same state.
func TestRoundTrip(t *testing.T) {
	dir := t.TempDir()
	n := 0
	rapid.Check(t, func(t *rapid.T) {
		n++
		s, err := Create(filepath.Join(dir, fmt.Sprintf("%d.toml", n)), Head{ID: "x", Title: "t", Created: day})
		if err != nil {
			t.Fatal(err)
		}
		defer func() { s.Close() }()
		for range rapid.IntRange(0, 6).Draw(t, "events") {
			before := s.Case()
			e, err := s.Append(drawEvent(t))
			if err != nil {
				t.Fatal(err)
			}
			after := s.Case()
			if len(after.Events) != len(before.Events)+1 || after.Events[len(before.Events)].ID != e.ID {
				t.Fatal("the case did not grow by the event")
			}
			if rapid.Bool().Draw(t, "reopen") {
				s.Close()
				if s, err = Open(s.Path()); err != nil {
					t.Fatal(err)
				}
			}
		}
		want := s.Case()
		got, err := Read(s.Path())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(want.Events, got.Events); diff != "" {
			t.Fatal(diff)
		}
		if diff := cmp.Diff(want.State(), got.State()); diff != "" {
			t.Fatal(diff)
		}
		if diff := cmp.Diff(want.Events, want.Log(), nanEqual); diff != "" {
			t.Fatalf("the file is not in the order of the log:\n%s", diff)
		}
	})
}

// The same events added to the same file give the same bytes.
func TestDeterministic(t *testing.T) {
	write := func() string {
		s := newStore(t)
		for i := range 5 {
			mustAppend(t, s, answered("q", i, "yes"))
		}
		return contents(t, s.Path())
	}
	if diff := cmp.Diff(write(), write()); diff != "" {
		t.Error(diff)
	}
}

func longCase(events int) []byte {
	text, err := encodeHead(Head{Format: Format, ID: "x", Title: "long", Created: day})
	if err != nil {
		panic(err)
	}
	for i := range events {
		e := answered(fmt.Sprintf("question-%d", i%80), i, "yes")
		e.ID, e.Typed, e.Known, e.Value = fmt.Sprintf("%04d-abcd", i+1), "48 cm", KnownTold, ptr(0.48)
		table, err := encodeEvent(e)
		if err != nil {
			panic(err)
		}
		text = append(append(text, '\n'), table...)
	}
	return text
}

func BenchmarkDecode300Events(b *testing.B) {
	text := longCase(300)
	for b.Loop() {
		if _, err := Decode(text, "x"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkState300Events(b *testing.B) {
	c, err := Decode(longCase(300), "x")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		c.State()
	}
}

func BenchmarkAppendTo300Events(b *testing.B) {
	path := filepath.Join(b.TempDir(), "case.toml")
	if err := os.WriteFile(path, longCase(300), 0o644); err != nil {
		b.Fatal(err)
	}
	s, err := Open(path)
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for b.Loop() {
		mustAppend(b, s, answered("q", 1000, "yes"))
	}
}
