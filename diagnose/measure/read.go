package measure

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"
)

// read reads the whole of what was typed: a quantity, a quantity with a
// tolerance, or a range.
func (q quantity) read(s string) (Reading, error) {
	r, err := q.readText(s)
	if err != nil {
		return Reading{}, q.refuse(s, err)
	}
	return r, nil
}

func (q quantity) refuse(s string, why error) error {
	if utf8.RuneCountInString(s) > maxTyped {
		s = string([]rune(s)[:maxTyped]) + "…"
	}
	return &Error{Read: s, What: q.what, Why: why.Error(), Expected: q.expected, Example: q.example}
}

func (q quantity) readText(s string) (Reading, error) {
	tokens, isVague, err := prepare(s)
	if err != nil {
		return Reading{}, err
	}
	if q.bodies {
		if tokens, err = withBodies(tokens); err != nil {
			return Reading{}, err
		}
	}
	r, err := q.readTokens(tokens, isVague)
	if err != nil {
		return Reading{}, err
	}
	return r, q.check(r)
}

// prepare splits what was typed and refuses what no quantity could be.
func prepare(s string) ([]token, bool, error) {
	switch {
	case !utf8.ValidString(s):
		return nil, false, errors.New("it holds bytes that are no text")
	case utf8.RuneCountInString(s) > maxTyped:
		return nil, false, errors.New("it is too long")
	}
	tokens, isVague := lex(s)
	for i := range tokens {
		if tokens[i].text == "giveortake" {
			if i == len(tokens)-1 {
				// "400 give or take" gives no figure for the taking.
				tokens, isVague = tokens[:i], true
				break
			}
			tokens[i].text = "±"
		}
	}
	if len(tokens) == 0 {
		return nil, false, errors.New("there is nothing to read")
	}
	return tokens, isVague, nil
}

func (q quantity) check(r Reading) error {
	switch {
	case math.IsNaN(r.Value) || math.IsNaN(r.Tolerance):
		return errors.New("it is not a number")
	case r.Value < 0 && !q.signed:
		return errors.New("it is below zero")
	case r.Value < q.min:
		return fmt.Errorf("it is below %g", q.min)
	case r.Value > q.max, r.Tolerance > q.max:
		return fmt.Errorf("it is more than %s", q.limit)
	}
	return nil
}

// amount is a value in the unit of the Reading while it is being read.
type amount struct {
	value  float64
	spread float64 // half width that comes with a household measure, or with what was counted
	count  float64 // half width of the counting itself
	vague  bool
}

func (q quantity) readTokens(tokens []token, isVague bool) (Reading, error) {
	r := Reading{Unit: q.unit, Vague: isVague}
	said := false // whether a tolerance was said in so many words

	left, right, found := cut(tokens, func(i int, t token) bool { return t.text == "±" })
	if found {
		a, half, err := q.plusMinus(left, right)
		if err != nil {
			return r, err
		}
		r.Value, r.Tolerance, said = a.value, half, true
	} else {
		low, high, isRange, err := q.rangeOrOne(tokens)
		switch {
		case err != nil:
			return r, err
		case isRange:
			r.Value = low.value + (high.value-low.value)/2
			r.Tolerance, said = (high.value-low.value)/2+max(low.spread, high.spread), true
			r.Vague = r.Vague || low.vague || high.vague
		default:
			r.Value, r.Tolerance = low.value, math.Hypot(low.spread, low.count)
			r.Vague = r.Vague || low.vague
		}
	}
	if isVague {
		// "About" doubles a tolerance that was given and supplies a missing one.
		if said {
			r.Tolerance *= 2
		} else {
			r.Tolerance = max(2*r.Tolerance, q.share*math.Abs(r.Value), q.least)
		}
	}
	return r, nil
}

func cut(tokens []token, at func(int, token) bool) (left, right []token, found bool) {
	for i, t := range tokens {
		if at(i, t) {
			return tokens[:i], tokens[i+1:], true
		}
	}
	return tokens, nil, false
}

// plusMinus reads "480 ± 5": the tolerance takes the unit of the value when
// it has none, and may be a percentage of it.
func (q quantity) plusMinus(left, right []token) (amount, float64, error) {
	if len(left) == 0 || len(right) == 0 {
		return amount{}, 0, errors.New("a value and a tolerance belong on the two sides of +-")
	}
	bareLeft, bareRight := isBare(left), isBare(right)
	if n := len(right); q.unit != "%" && n > 1 && right[n-1].text == "%" {
		a, err := q.one(left, q.bare)
		if err != nil {
			return a, 0, err
		}
		share, used, err := number(right[:n-1])
		if err != nil {
			return a, 0, err
		}
		if used != n-1 || share.value < 0 || share.value > 100 {
			return a, 0, errors.New("the tolerance cannot be read")
		}
		return a, math.Abs(a.value) * share.value / 100, nil
	}
	leftUnit, rightUnit := q.bare, q.bare
	var err error
	switch {
	case bareRight && !bareLeft:
		rightUnit, err = q.lastUnit(left)
	case bareLeft && !bareRight:
		leftUnit, err = q.lastUnit(right)
	}
	if err != nil {
		return amount{}, 0, err
	}
	a, err := q.one(left, leftUnit)
	if err != nil {
		return a, 0, err
	}
	b, err := q.one(right, rightUnit)
	if err != nil {
		return a, 0, err
	}
	if b.value < 0 {
		return a, 0, errors.New("the tolerance is below zero")
	}
	return a, b.value, nil
}

// rangeOrOne reads "470-490", "470 to 490", "between 470 and 490", "2 or 3",
// or a single quantity.
func (q quantity) rangeOrOne(tokens []token) (low, high amount, isRange bool, err error) {
	word := ""
	if first := tokens[0].text; first == "between" || first == "from" {
		tokens, word = tokens[1:], first
	}
	left, right, found := cut(tokens, func(i int, t token) bool {
		switch t.text {
		case "-":
			// A sign, not a dash, when nothing stands before it; and 18-7/8"
			// is eighteen and seven eighths.
			return i > 0 && word != "between" && !mixedAt(tokens, i)
		case "to":
			return word != "between"
		case "or":
			return word == ""
		case "and":
			return word == "between"
		}
		return false
	})
	if !found {
		if word != "" {
			return low, high, false, fmt.Errorf("after %q two values should follow", word)
		}
		low, err = q.one(tokens, q.bare)
		return low, high, false, err
	}
	if len(left) == 0 || len(right) == 0 {
		return low, high, true, errors.New("a range needs a value at both ends")
	}
	leftUnit, rightUnit := q.bare, q.bare
	switch bareLeft, bareRight := isBare(left), isBare(right); {
	case bareLeft && !bareRight:
		leftUnit, err = q.lastUnit(right)
	case bareRight && !bareLeft:
		rightUnit, err = q.lastUnit(left)
	}
	if err != nil {
		return low, high, true, err
	}
	if low, err = q.one(left, leftUnit); err != nil {
		return low, high, true, err
	}
	if high, err = q.one(right, rightUnit); err != nil {
		return low, high, true, err
	}
	if low.value > high.value {
		if !q.signed {
			return low, high, true, errors.New("the range runs from the larger to the smaller; a tolerance is written +- 5")
		}
		low, high = high, low
	}
	return low, high, true, nil
}

func mixedAt(tokens []token, i int) bool {
	return i+3 < len(tokens) && tokens[i-1].number && tokens[i+1].number && tokens[i+2].text == "/" &&
		!tokens[i].gap && !tokens[i+1].gap
}

// isBare reports that a quantity has no unit behind its last number.
func isBare(tokens []token) bool {
	last := tokens[len(tokens)-1]
	_, isNumber := numberWords[last.text]
	return last.number || isNumber
}

func (q quantity) lastUnit(tokens []token) (unit, error) {
	return q.unitOf(tokens[len(tokens)-1])
}

func (q quantity) unitOf(t token) (unit, error) {
	if t.unit != nil {
		return *t.unit, nil
	}
	u, found := q.units[t.text]
	if !found {
		return u, notUnderstood(t.text)
	}
	return u, nil
}

// What a sheet and a tile lack when they are refused.
var (
	errSheet = errors.New("a sheet has two sides; say A4 long side or A4 short side, plasterboard widths or plasterboard lengths")
	errTile  = errors.New("a tile needs its size, as in 3 tiles of 150")
)

func notUnderstood(text string) error { return fmt.Errorf("%q is not understood here", text) }

// one reads a single quantity: numbers with units, the larger unit first, as
// in 5'6" or 1 h 30 min.
func (q quantity) one(tokens []token, bare unit) (amount, error) {
	var a amount
	sign := 1.0
	if tokens[0].text == "-" || tokens[0].text == "+" {
		if tokens[0].text == "-" {
			sign = -1
		}
		tokens = tokens[1:]
	}
	if sign < 0 && !q.signed {
		return a, errors.New("it is below zero")
	}
	previous, before := "", 0.0 // the unit before, and its factor
	for first := true; first || len(tokens) > 0; first = false {
		n, used, err := number(tokens)
		if err != nil {
			return a, err
		}
		tokens = tokens[used:]
		u := bare
		name := ""
		if len(tokens) > 0 {
			name = tokens[0].text
			if u, err = q.unitOf(tokens[0]); err != nil {
				return a, err
			}
			tokens = tokens[1:]
		} else if n.half && q.noHalves {
			return a, errors.New("a half of what is not said")
		} else if !first {
			factor, known := q.after[previous]
			// After metres, only 1m20: two figures mean centimetres.
			if !known || previous == "m" && (n.typed != 2) {
				return a, errors.New("the last number has no unit")
			}
			u = unit{factor: factor}
		}
		part := n.value * u.factor
		if !first && (u.factor >= before || part >= before*(1-1e-9)) {
			return a, errors.New("the parts do not go together")
		}
		// an hour and a half
		if extra, used := andAHalf(tokens); used > 0 && name != "" {
			n.value += extra
			part = n.value * u.factor
			tokens = tokens[used:]
		}
		a.value += part
		a.vague = a.vague || n.vague || u.spread > 0 || u.body != nil
		if u.body != nil {
			size, count := u.body.off(n.value)
			a.spread, a.count = math.Hypot(a.spread, size), math.Hypot(a.count, count)
		} else {
			a.spread += part * u.spread
		}
		if n.vague {
			a.spread += u.factor // "a few" may be one more or one less
		}
		previous, before = name, u.factor
	}
	a.value *= sign
	return a, nil
}

var numberWords = map[string]float64{
	"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7,
	"eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30,
	"half": 0.5, "quarter": 0.25, "couple": 2, "few": 3, "dozen": 12,
	"zero": 0, "none": 0, "nil": 0, "no": 0,
}

// figure is a number as it was read.
type figure struct {
	value float64
	vague bool // "a few", "a couple"
	half  bool // a bare "half" or "quarter"
	typed int  // how many figures were typed
}

// number reads one number at the start and tells how many tokens it took.
func number(tokens []token) (figure, int, error) {
	if len(tokens) == 0 {
		return figure{}, 0, errors.New("a number is missing")
	}
	if !tokens[0].number {
		return wordNumber(tokens)
	}
	text, used := tokens[0].text, 1
	// 1 200: a space between groups of three.
	for plainDigits.MatchString(text) && len(tokens[0].text) <= 3 && used < len(tokens) && tokens[used].number &&
		threeDigits.MatchString(tokens[used].text) && !(used+1 < len(tokens) && tokens[used+1].text == "/") {
		text += tokens[used].text
		used++
	}
	f := figure{typed: len(text)}
	var err error
	if f.value, err = decimal(text); err != nil {
		return f, 0, err
	}
	rest := tokens[used:]
	switch {
	case len(rest) >= 2 && rest[0].text == "/":
		// 7/8
		if f.value, err = fraction(text, rest[1]); err != nil {
			return f, 0, err
		}
		used += 2
	case len(rest) >= 3 && rest[0].number && rest[1].text == "/",
		len(rest) >= 4 && rest[0].text == "-" && rest[1].number && rest[2].text == "/":
		// 18 7/8 and 18-7/8
		if rest[0].text == "-" {
			rest = rest[1:]
			used++
		}
		part, err := fraction(rest[0].text, rest[2])
		if err != nil {
			return f, 0, err
		}
		if part >= 1 || !plainDigits.MatchString(text) {
			return f, 0, errors.New("the fraction does not belong to the number before it")
		}
		f.value += part
		used += 3
	}
	if extra, n := andAHalf(tokens[used:]); n > 0 {
		f.value += extra
		used += n
	}
	return f, used, nil
}

// wordNumber reads "a", "half a", "a couple of", "two and a half".
func wordNumber(tokens []token) (figure, int, error) {
	word := func(i int) string {
		if i < len(tokens) {
			return tokens[i].text
		}
		return ""
	}
	i := 0
	if word(0) == "a" || word(0) == "an" {
		switch word(1) {
		case "couple", "few", "dozen", "half", "quarter":
			i = 1
		}
	}
	value, known := numberWords[word(i)]
	if !known {
		return figure{}, 0, notUnderstood(word(i))
	}
	f := figure{value: value}
	name := word(i)
	i++
	switch name {
	case "couple", "few":
		f.vague = true
	case "half", "quarter":
		f.half = true
	}
	if name == "couple" || name == "few" || name == "half" || name == "quarter" {
		if word(i) == "of" {
			i++
		}
		if f.half && (word(i) == "a" || word(i) == "an") {
			i++
		}
		if f.half && word(i) == "dozen" {
			f.value, f.half = f.value*12, false
			i++
		}
	}
	if extra, n := andAHalf(tokens[i:]); n > 0 {
		f.value += extra
		i += n
	}
	return f, i, nil
}

func andAHalf(tokens []token) (float64, int) {
	if len(tokens) >= 3 && tokens[0].text == "and" && tokens[1].text == "a" {
		switch tokens[2].text {
		case "half":
			return 0.5, 3
		case "quarter":
			return 0.25, 3
		}
	}
	return 0, 0
}

var (
	plainDigits = regexp.MustCompile(`^\d+$`)
	threeDigits = regexp.MustCompile(`^\d{3}$`)
	// 1,200 and 1,200.5: commas between groups of three. Nought before the
	// comma means a decimal comma: 0,480.
	commaGroups = regexp.MustCompile(`^[1-9]\d{0,2}(,\d{3})+(\.\d+)?$`)
	// 1.200,5: the same the continental way; without the comma, 1.200 is 1.2.
	pointGroups = regexp.MustCompile(`^[1-9]\d{0,2}(\.\d{3})+,\d+$`)
	plain       = regexp.MustCompile(`^\d*[.,]?\d+$`)
)

func decimal(text string) (float64, error) {
	switch {
	case commaGroups.MatchString(text):
		text = strings.ReplaceAll(text, ",", "")
	case pointGroups.MatchString(text):
		text = strings.Replace(strings.ReplaceAll(text, ".", ""), ",", ".", 1)
	case plain.MatchString(text):
		text = strings.Replace(text, ",", ".", 1)
	default:
		return 0, fmt.Errorf("%q is not a number", text)
	}
	return strconv.ParseFloat(text, 64)
}

func fraction(above string, below token) (float64, error) {
	if !plainDigits.MatchString(above) || !plainDigits.MatchString(below.text) {
		return 0, fmt.Errorf("%s/%s is not a fraction", above, below.text)
	}
	a, err := strconv.ParseFloat(above, 64)
	if err != nil {
		return 0, err
	}
	b, err := strconv.ParseFloat(below.text, 64)
	if err != nil {
		return 0, err
	}
	if b == 0 {
		return 0, fmt.Errorf("%s/%s is not a fraction", above, below.text)
	}
	return a / b, nil
}
