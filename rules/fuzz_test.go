package rules

import (
	"maps"
	"regexp"
	"slices"
	"testing"
	"testing/fstest"
)

// FuzzLoadSpoilt cuts some bytes out of one file of the built-in pack and puts others in
// their place. Load takes it or refuses it with a file's name in each line; it never
// panics, and takes a file read twice for the same.
func FuzzLoadSpoilt(f *testing.F) {
	files := builtFiles(f)
	names := slices.Sorted(maps.Keys(files))
	seeds := []struct {
		cut  uint16
		with string
	}{
		{0, "x"},
		{1, ""},
		{5, "0"},
		{12, "nan"},
		{200, ""},
		{0, "\n[[question]]\n"},
		{3, "\"\"\""},
		{0, "= -1\n"},
		{8, "1e999"},
		{30, "when = [\"seen is drip\"]\n"},
		{1, "\x00"},
	}
	for i, name := range names {
		s := seeds[i%len(seeds)]
		f.Add(uint8(i), uint32(len(files[name].Data)*(i%7+1)/9), s.cut, s.with)
	}
	each := regexp.MustCompile(`^[a-z0-9/-]+\.toml[: ]|^the knowledge`)
	f.Fuzz(func(t *testing.T, file uint8, at uint32, cut uint16, with string) {
		name := names[int(file)%len(names)]
		text := string(files[name].Data)
		from := int(at) % (len(text) + 1)
		spoilt := maps.Clone(files)
		spoilt[name] = &fstest.MapFile{Data: []byte(text[:from] + with + text[min(len(text), from+int(cut)):])}
		p, err := Load(spoilt)
		if err != nil {
			if !each.MatchString(err.Error()) {
				t.Errorf("the error names no file: %v", err)
			}
			return
		}
		again, err := Load(spoilt)
		if err != nil || again.Hash != p.Hash {
			t.Errorf("taken with hash %s, and again with %v, %v", p.Hash, again, err)
		}
		for i := range p.Questions {
			if q, ok := p.Question(p.Questions[i].ID); !ok || q != &p.Questions[i] {
				t.Errorf("question %q is not found by its id", p.Questions[i].ID)
			}
		}
	})
}
