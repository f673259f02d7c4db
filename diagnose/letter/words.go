package letter

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"underlap/diagnose/explain"
)

// sentence starts with a capital and ends with a stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	s = sentenceCase(s)
	if !strings.ContainsAny(s[len(s)-1:], ".?!") {
		s += "."
	}
	return s
}

// sentenceCase starts with a capital.
func sentenceCase(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// weak tells whether a source is judgement or memory. The figures of such a
// source are said with "typically". A calculation stands on its own.
func weak(source string) bool {
	s := strings.ToLower(source)
	return !strings.HasPrefix(s, "calculation") &&
		(strings.Contains(s, "common practice") || strings.Contains(s, "from memory") || strings.Contains(s, "price book"))
}

// year is a calendar year, which is no figure of anything.
var year = regexp.MustCompile(`\b(?:19|20)\d\d\b`)

// usual marks a sentence whose figures have a weak source.
func usual(text, source string) string {
	if !strings.ContainsAny(year.ReplaceAllString(text, ""), "0123456789") || !weak(source) || strings.Contains(strings.ToLower(text), "typical") {
		return text
	}
	return strings.TrimRight(text, ".") + " (typical figures)"
}

// sure words a probability: the word and the number always go together.
func sure(p float64) string {
	return explain.Hedge(p) + ", " + explain.Percent(p)
}

// figure writes a calculated number with about three figures.
func figure(x float64) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "not known"
	}
	decimals := 0
	switch a := math.Abs(x); {
	case a >= 100:
	case a >= 10:
		decimals = 1
	case a >= 0.1:
		decimals = 2
	case a > 0:
		decimals = min(9, 1-int(math.Floor(math.Log10(a))))
	}
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		s = "0"
	}
	return s
}

func withUnit(number, unit string) string {
	return strings.TrimSpace(number + " " + unit)
}

// price words a range. Every price of the book is a habit of the trade.
func price(symbol string, low, high float64) string {
	if high <= 0 {
		return explain.Price(symbol, low, high)
	}
	return "typically " + explain.Price(symbol, low, high)
}

// and joins names: "a", "a and b", "a, b and c".
func and(names []string) string {
	switch n := len(names); n {
	case 0:
		return ""
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}

// distinct keeps the first of each, in order, without the empty ones.
func distinct(lists ...[]string) []string {
	var out []string
	had := map[string]bool{"": true}
	for _, l := range lists {
		for _, s := range l {
			if k := strings.ToLower(strings.TrimSpace(s)); !had[k] {
				had[k] = true
				out = append(out, s)
			}
		}
	}
	return out
}

// toOwner turns the few labels and requests that speak of the caller to speak
// to him.
var toOwner = strings.NewReplacer(
	"What they see", "What you see",
	"what they see", "what you see",
	"In their own words", "In your own words",
	"in their own words", "in your own words",
	"as near as they can", "as near as you can",
)
