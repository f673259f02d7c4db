package measure

import (
	"math"
	"strings"
)

// A body is a thing whose size is known and that stands in for a tape: a
// course of brick beside the edge of the roof, a sheet of paper held to the
// kerb. How far off a count of them is has three parts, which do not know of
// one another: the pieces differ (each), they are all of another make than was
// thought (all), and the count is only good to part of a piece (ends).
type body struct {
	mm     float64 // size of one, joint included where there is one
	each   float64 // mm, 1 sd, from piece to piece: grows with the root of the count
	all    float64 // mm, 1 sd, the same for all pieces: grows with the count
	ends   float64 // mm, 1 sd, of the counting: not counted for a range, which says it itself
	names  string  // phrases parted by commas, as typed, without the number
	sides  string  // what may stand behind the name and says nothing new
	source string
}

// The sources behind several entries.
const (
	brickwork  = "UK work size 215 x 102.5 x 65 with 10 mm joints (second hand; BS EN 771-1 and its like not read); errors common practice, no source"
	paper      = "ISO 216 (from memory); errors common practice, no source"
	card       = "ISO/IEC 7810, ID-1, 85.60 x 53.98 mm (from memory); errors common practice, no source"
	mint       = "the Royal Mint's published sizes (second hand); errors common practice, no source"
	euroCoin   = "sizes published for euro coins (from memory); errors common practice, no source"
	disc       = "ECMA-130, 120 mm (from memory); errors common practice, no source"
	boardSize  = "board of 1200 x 2400 mm, the usual one of the trade: common practice, no source"
	ofOneself  = "common practice, no source: nobody's body is a standard"
	tileSource = "the size that was stated, with a joint of 2 mm: common practice, no source"
)

// bodies is what can be counted. A whole course or piece is how finely people
// count (a rectangle of one piece has a standard deviation of 0.29 of it); a
// thing laid once against another is read better than that. Old walls have
// taller, imperial bricks, hence the 3 mm for all courses alike.
var bodies = []body{
	{mm: 75, each: 2, all: 3, ends: 21.7, names: "course, courses, course of brick, courses of brick, course of bricks, courses of bricks, course of brickwork, courses of brickwork, brick course, brick courses, brick, bricks, brick height, brick heights", sides: "high, deep, tall, thick", source: brickwork},
	{mm: 225, each: 4, all: 4, ends: 40, names: "stretcher, stretchers, brick length, brick lengths, bricks long, brick long", source: brickwork},
	{mm: 112.5, each: 4, all: 2, ends: 25, names: "header, headers, brick width, brick widths, bricks wide, brick wide", source: brickwork},
	{mm: 203.2 / 3, each: 2, all: 2, ends: 19.6, names: "us course, us courses, american course, american courses", sides: "of brick, of bricks, of brickwork", source: "modular brick, three courses to 8 in (second hand); errors common practice, no source"},
	{mm: 297, each: 3, ends: 10, names: "a4, sheet of a4, sheets of a4, a4 sheet, a4 sheets, sheet of a4 paper, a4 paper, a4 long side, a4 long sides, a4 length, a4 lengths, long side of a4, long side of a sheet of a4", sides: "long, high, tall, upright", source: paper},
	{mm: 210, each: 3, ends: 10, names: "a4 short, a4 short side, a4 short sides, a4 width, a4 widths, a4 wide, sheet of a4 wide, sheets of a4 wide, short side of a4, short side of a sheet of a4", source: paper},
	{mm: 85.6, each: 1.5, ends: 5, names: "bank card, bank cards, credit card, credit cards, card long side, bank card long side, bank card length, bank card lengths", sides: "long", source: card},
	{mm: 53.98, each: 1.5, ends: 5, names: "bank card short side, bank card short sides, bank card width, bank card widths, bank card wide, bank cards wide", source: card},
	{mm: 23.43, each: 0.7, ends: 3, names: "pound coin, pound coins, £1 coin, £1 coins", sides: "wide, across", source: mint},
	{mm: 28.4, each: 0.7, ends: 3, names: "two pound coin, £2 coin, £2 coins", sides: "wide, across", source: mint},
	{mm: 20.3, each: 0.7, ends: 3, names: "penny, 1p, 1p coin, 1p coins", sides: "wide, across", source: mint},
	{mm: 25.9, each: 0.7, ends: 3, names: "2p, 2p coin, 2p coins", sides: "wide, across", source: mint},
	{mm: 24.5, each: 0.7, ends: 3, names: "10p, 10p coin, 10p coins", sides: "wide, across", source: mint},
	{mm: 27.3, each: 0.7, ends: 3, names: "50p, 50p coin, 50p coins", sides: "wide, across", source: mint},
	{mm: 23.25, each: 0.7, ends: 3, names: "euro coin, euro coins, €1 coin, €1 coins", sides: "wide, across", source: euroCoin},
	{mm: 25.75, each: 0.7, ends: 3, names: "two euro coin, €2 coin, €2 coins", sides: "wide, across", source: euroCoin},
	{mm: 120, each: 1, ends: 6, names: "cd, cds, compact disc, compact discs", sides: "wide, across", source: disc},
	{mm: 1200, each: 4, ends: 60, names: "plasterboard width, plasterboard widths, sheet of plasterboard wide, sheets of plasterboard wide, plasterboard sheet wide, plasterboard sheets wide, plasterboard short side", source: boardSize},
	{mm: 2400, each: 6, ends: 120, names: "plasterboard length, plasterboard lengths, sheet of plasterboard long, sheets of plasterboard long, plasterboard sheet long, plasterboard sheets long, plasterboard long side", source: boardSize},
	{mm: 90, each: 8, all: 9, ends: 15, names: "hand, hands, hand width, hand widths, hand's width", sides: "wide, across", source: ofOneself},
	{mm: 215, each: 10, all: 20, ends: 25, names: "span, spans, hand span, hand spans, handspan, handspans", source: ofOneself},
	{mm: 280, each: 10, all: 20, ends: 30, names: "my foot, foot length, foot lengths, shoe, shoes, shoe length, shoe lengths, boot, boots", sides: "long", source: ofOneself},
	{mm: 750, each: 60, all: 80, ends: 150, names: "pace, paces, stride, strides, step, steps", source: ofOneself},
}

// A tile's size is stated with it: "3 tiles of 150".
const (
	tileJoint     = 2.0  // mm between two tiles
	tileJointEach = 0.7  // mm, 1 sd
	tileJointAll  = 1.0  // mm, 1 sd
	tileEnds      = 0.29 // of a tile, 1 sd: counted to whole tiles
	largestTile   = 1.5  // m
)

// footLoose is how far "a foot", said and not measured, may be off, 1 sd as a
// share of it. "1 ft" stays the unit.
const footLoose = 0.1

// phrase is the name of a body as tokens.
type phrase struct {
	words []string
	body  body
}

// phrases maps the first word of each name to the names that begin with it,
// the longest first.
var phrases = func() map[string][]phrase {
	out := map[string][]phrase{}
	add := func(name string, b body) {
		p := phrase{words: texts(compact(mustLex(name))), body: b}
		list := out[p.words[0]]
		i := 0
		for i < len(list) && len(list[i].words) >= len(p.words) {
			i++
		}
		out[p.words[0]] = append(list[:i:i], append([]phrase{p}, list[i:]...)...)
	}
	for _, b := range bodies {
		for _, name := range strings.Split(b.names, ",") {
			add(name, b)
			for _, side := range strings.Split(b.sides, ",") {
				if strings.TrimSpace(side) != "" {
					add(name+" "+side, b)
				}
			}
		}
	}
	return out
}()

func mustLex(s string) []token {
	tokens, _ := lex(s)
	return tokens
}

func texts(tokens []token) []string {
	out := make([]string, len(tokens))
	for i, t := range tokens {
		out[i] = t.text
	}
	return out
}

// glued are figures and letters that belong together when no space parts them.
var glued = map[string]bool{
	"a4": true, "1p": true, "2p": true, "10p": true, "50p": true, "£1": true, "£2": true, "€1": true, "€2": true, "hand's": true,
}

// compact joins what glued names.
func compact(tokens []token) []token {
	var out []token
	for i := 0; i < len(tokens); {
		joined, n := tokens[i].text, 1
		for n < 3 && i+n < len(tokens) && !tokens[i+n].gap {
			joined += tokens[i+n].text
			n++
			if glued[joined] {
				break
			}
		}
		if n > 1 && glued[joined] && !(i+n < len(tokens) && !tokens[i+n].gap && (tokens[i+n].number || tokens[i+n].text == ".")) {
			out = append(out, token{text: joined, gap: tokens[i].gap})
			i += n
			continue
		}
		out = append(out, tokens[i])
		i++
	}
	return out
}

// withBodies puts one token with its unit in the place of each body's name, and
// the number one before a body that has none: "2p coin", "my foot".
func withBodies(tokens []token) ([]token, error) {
	tokens = compact(tokens)
	var out []token
	put := func(b body, gap bool) {
		if n := len(out); n == 0 || !countsBefore(out[n-1]) {
			out = append(out, token{text: "a", gap: true})
		}
		out = append(out, token{text: "body", gap: gap, unit: &unit{factor: b.mm / 1000, body: &b}})
	}
	for i := 0; i < len(tokens); {
		t := tokens[i]
		if t.text == "tile" || t.text == "tiles" {
			b, n, err := tile(tokens[i:])
			if err != nil {
				return nil, err
			}
			put(b, t.gap)
			i += n
			continue
		}
		if t.text == "plasterboard" || t.text == "sheet" || t.text == "sheets" {
			if _, ok := match(tokens[i:]); !ok {
				return nil, errSheet
			}
		}
		if p, ok := match(tokens[i:]); ok {
			// The article of "a hand" is its number and stands there already; "my" is part of a name.
			put(p.body, t.gap)
			i += len(p.words)
			continue
		}
		// "a foot", and nothing behind it but "and a half"; with inches it is the unit.
		last := i+1 == len(tokens) || tokens[i+1].text == "and"
		if n := len(out); t.text == "foot" && last && n > 0 && out[n-1].text == "a" && (n == 1 || !countsBefore(out[n-2])) {
			b := body{mm: 304.8, all: footLoose * 304.8}
			out = append(out, token{text: "body", gap: t.gap, unit: &unit{factor: b.mm / 1000, body: &b}})
			i++
			continue
		}
		out = append(out, t)
		i++
	}
	return out, nil
}

func match(tokens []token) (phrase, bool) {
	for _, p := range phrases[tokens[0].text] {
		if len(p.words) > len(tokens) {
			continue
		}
		same := true
		for i, w := range p.words {
			same = same && tokens[i].text == w
		}
		if same {
			return p, true
		}
	}
	return phrase{}, false
}

// countsBefore tells whether a token can be the end of a number.
func countsBefore(t token) bool {
	_, word := numberWords[t.text]
	return t.number || word || t.text == "of"
}

// tile reads "tiles of 150" and "tiles of 15 cm" and tells how many tokens that takes.
func tile(tokens []token) (body, int, error) {
	if len(tokens) < 3 || tokens[1].text != "of" || !tokens[2].number {
		return body{}, 0, errTile
	}
	n, used, err := number(tokens[2:])
	if err != nil {
		return body{}, 0, errTile
	}
	used += 2
	factor := 0.001
	if used < len(tokens) {
		if u, ok := lengthUnits[tokens[used].text]; ok {
			factor = u.factor
			used++
		}
	}
	size := n.value * factor
	if !(size > 0 && size <= largestTile) {
		return body{}, 0, errTile
	}
	mm := size*1000 + tileJoint
	return body{mm: mm, each: tileJointEach, all: tileJointAll, ends: tileEnds * mm}, used, nil
}

// off is how far n of a body may be off, in metres at two standard deviations,
// which is what a tolerance means: off what they are (size) and how they were
// counted (count). A half or a quarter typed shows a finer count.
func (b *body) off(n float64) (size, count float64) {
	finer := 1.0
	if n != math.Trunc(n) {
		finer = 0.5
	}
	return 2e-3 * math.Hypot(math.Sqrt(n)*b.each, n*b.all), 2e-3 * finer * b.ends
}
