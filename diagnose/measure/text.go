package measure

import (
	"strings"
	"unicode"
)

// maxTyped bounds what is looked at; no quantity needs as many characters.
const maxTyped = 120

func fields(s string) []string { return strings.Fields(s) }

// spellings brings many ways of writing to one. The order matters: longer
// phrases stand before what they contain.
var spellings = strings.NewReplacer(
	"\u00a0", " ", "\u202f", " ", "\u2009", " ",
	"½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅓", " 1/3", "⅔", " 2/3",
	"⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "⁄", "/",
	"''", `"`, "″", `"`, "“", `"`, "”", `"`, "′", "'", "’", "'", "‘", "'",
	"×", " x ", "*", " x ", "–", "-", "—", "-", "−", "-", "‑", "-",
	"±", " ± ", "+/-", " ± ", "+-", " ± ", "plus or minus", " ± ", "give or take", " giveortake ",
	"≈", " ~ ", "~", " ~ ", "or so", " ~ ", "or thereabouts", " ~ ", "more or less", " ~ ", "i think", " ~ ", "?", " ~ ",
	"per cent", "percent",
	"washing-up bowl", "washing-up-bowl", "washing up bowl", "washing-up-bowl",
	"bucket full", "bucketful", "cup full", "cupful",
	"square metres", "sqm", "square meters", "sqm", "square metre", "sqm", "square meter", "sqm", "square m", "sqm",
	"sq. metres", "sqm", "sq metres", "sqm", "sq. metre", "sqm", "sq metre", "sqm", "sq. m", "sqm", "sq m", "sqm",
	"square feet", "sqft", "square foot", "sqft", "sq. ft", "sqft", "sq ft", "sqft", "sq feet", "sqft",
	"m²", "sqm", "ft²", "sqft", "m^2", "sqm", "ft^2", "sqft",
)

// vague are the words by which somebody says that he is not sure.
var vague = map[string]bool{
	"~": true, "about": true, "around": true, "roughly": true, "approx": true, "approximately": true,
	"circa": true, "ca": true, "nearly": true, "almost": true, "maybe": true, "perhaps": true,
	"say": true, "ish": true, "some": true, "probably": true,
}

// token is a number as typed, a word or a single sign.
type token struct {
	text   string
	number bool
	gap    bool  // a space stands before it
	unit   *unit // a body that was counted, named by the words in whose place this stands
}

// lex splits the text; it reports whether a vague word was in it, and leaves
// that word out.
func lex(s string) (tokens []token, isVague bool) {
	r := []rune(spellings.Replace(strings.ToLower(strings.TrimSpace(s))))
	gap := false
	for i := 0; i < len(r); {
		c := r[i]
		start := i
		switch {
		case unicode.IsSpace(c):
			gap = true
			i++
			continue
		case isDigit(c) || (c == '.' || c == ',') && i+1 < len(r) && isDigit(r[i+1]) && (i == 0 || !unicode.IsLetter(r[i-1])):
			for i < len(r) && (isDigit(r[i]) || (r[i] == '.' || r[i] == ',') && i+1 < len(r) && isDigit(r[i+1])) {
				i++
			}
			tokens = append(tokens, token{text: string(r[start:i]), number: true, gap: gap})
		case c == '°' || unicode.IsLetter(c):
			for i++; i < len(r) && (unicode.IsLetter(r[i]) || r[i] == '-' && strings.HasPrefix(string(r[start:]), "washing-up-bowl")); i++ {
			}
			word := string(r[start:i])
			// m2 and ft2, with nothing but the 2 behind.
			if (word == "m" || word == "ft") && i < len(r) && r[i] == '2' && (i+1 == len(r) || !isDigit(r[i+1]) && r[i+1] != '.' && r[i+1] != ',') {
				word, i = "sq"+word, i+1
			}
			switch {
			case vague[word]:
				isVague = true
				// 40-ish
				if n := len(tokens); word == "ish" && n > 0 && tokens[n-1].text == "-" {
					tokens = tokens[:n-1]
				}
			case word == "minus":
				tokens = append(tokens, token{text: "-", gap: gap})
			default:
				tokens = append(tokens, token{text: word, gap: gap})
			}
		case c == '~':
			isVague = true
			i++
		case (c == '.' || c == ',') && i > 0 && (i+1 == len(r) || !isDigit(r[i+1])):
			i++ // the stop of "in." or the comma of "5 ft, 6 in"
		case c == '.' && i > 0 && unicode.IsLetter(r[i-1]):
			i++ // "approx.400"
		default:
			i++
			tokens = append(tokens, token{text: string(c), gap: gap})
		}
		gap = false
	}
	return tokens, isVague
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }
