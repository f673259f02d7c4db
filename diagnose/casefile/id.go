package casefile

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// idLetters leaves out i, l, o and u, which are misread or misheard.
const idLetters = "0123456789abcdefghjkmnpqrstvwxyz"

// fourLetters turns bytes into four characters that look random.
func fourLetters(parts ...[]byte) string {
	h := sha256.New()
	for _, p := range parts {
		fmt.Fprintf(h, "%d:", len(p))
		h.Write(p)
	}
	sum := h.Sum(nil)
	out := make([]byte, 4)
	for i := range out {
		out[i] = idLetters[sum[i]%32]
	}
	return string(out)
}

// NewID makes the id of a new case from its title: up to five plain words and
// four characters drawn from entropy, as in "music-room-over-garage-7f3a".
// The same title and entropy always give the same id.
func NewID(title string, entropy []byte) string {
	words := strings.FieldsFunc(strings.ToLower(title), func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r)
	})
	var kept []string
	for _, w := range words {
		// The id may become a file name, so it is kept to plain letters.
		w = strings.Map(func(r rune) rune {
			if r > unicode.MaxASCII {
				return -1
			}
			return r
		}, w)
		if w == "" || w == "a" || w == "an" || w == "the" {
			continue
		}
		kept = append(kept, w[:min(len(w), 20)])
		if len(kept) == 5 {
			break
		}
	}
	if len(kept) == 0 {
		kept = []string{"case"}
	}
	return strings.Join(kept, "-") + "-" + fourLetters([]byte(title), entropy)
}

// eventNumber reads the running number at the start of an event id, 0 when
// there is none.
func eventNumber(id string) int {
	digits, _, _ := strings.Cut(id, "-")
	n, err := strconv.ParseUint(digits, 10, 31)
	if err != nil {
		return 0
	}
	return int(n)
}

// compareEvents orders events by time, then running number, then id. The
// number is compared as a number so that event 10000 follows event 9999.
func compareEvents(a, b Event) int {
	return cmp.Or(
		a.At.Compare(b.At),
		cmp.Compare(eventNumber(a.ID), eventNumber(b.ID)),
		cmp.Compare(a.ID, b.ID),
	)
}
