package climate

import (
	"fmt"
	"sort"
	"strings"
	"unicode"
)

// ByName returns the place that a name means. Upper and lower case, spaces and
// punctuation do not matter. It tries in turn the id or the whole name, one of the
// words of the name, and the beginning of any of these, and takes the first of them
// that fits exactly one place. Otherwise the error names places that come near.
func ByName(name string) (Place, error) {
	all, err := loadPlaces()
	if err != nil {
		return Place{}, err
	}
	want := plain(name)
	if want == "" {
		return Place{}, fmt.Errorf("no place was named; for example %s", quoted(near(all, "london")))
	}
	for _, fits := range []func(Place) bool{
		func(p Place) bool { return plain(p.ID) == want },
		func(p Place) bool { return plain(p.Name) == want },
		func(p Place) bool { return hasWord(p, want, false) },
		func(p Place) bool { return hasWord(p, want, true) },
	} {
		var hits []Place
		for _, p := range all {
			if fits(p) {
				hits = append(hits, p)
			}
		}
		switch {
		case len(hits) == 1:
			return hits[0], nil
		case len(hits) > 1:
			return Place{}, fmt.Errorf("climate: %q may be %s", name, quoted(hits))
		}
	}
	return Place{}, fmt.Errorf("there is no weather station named %q here; names spelled like it are %s; give the one nearest on the map", name, quoted(near(all, want)))
}

// plain is a name in lower case with one space between its words.
func plain(s string) string {
	return strings.Join(words(s), " ")
}

func words(s string) []string {
	return strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// hasWord reports whether the words of the place, from any of them on, are want, or
// with prefix begin with it.
func hasWord(p Place, want string, prefix bool) bool {
	for _, text := range []string{p.ID, p.Name} {
		list := words(text)
		for i := range list {
			rest := strings.Join(list[i:], " ")
			if prefix && strings.HasPrefix(rest, want) {
				return true
			}
			if !prefix && (rest == want || strings.HasPrefix(rest, want+" ")) {
				return true
			}
		}
	}
	return false
}

// near returns the three places with a word closest to want in single-letter changes.
func near(all []Place, want string) []Place {
	type scored struct {
		place Place
		score int
	}
	list := make([]scored, 0, len(all))
	for _, p := range all {
		best := changes(plain(p.ID), want)
		for _, word := range words(p.Name) {
			best = min(best, changes(word, want))
		}
		list = append(list, scored{p, best})
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].score < list[j].score })
	out := make([]Place, 0, 3)
	for _, s := range list[:min(3, len(list))] {
		out = append(out, s.place)
	}
	return out
}

// changes is the number of single-letter changes between two words (Levenshtein).
func changes(a, b string) int {
	x, y := []rune(a), []rune(b)
	// Nobody types a name this long; it bounds the work.
	y = y[:min(len(y), 64)]
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		corner := row[0]
		row[0] = i + 1
		for j := range y {
			cost := corner
			if x[i] != y[j] {
				cost++
			}
			corner = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(y)]
}

func quoted(places []Place) string {
	names := make([]string, len(places))
	for i, p := range places {
		names[i] = p.Name
	}
	return strings.Join(names, "; ")
}
