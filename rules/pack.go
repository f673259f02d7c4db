package rules

import "slices"

// Pack is one whole body of knowledge. It is immutable once loaded.
type Pack struct {
	// Hash identifies the knowledge: hex SHA-256 (first 12 digits) over all
	// pack files in name order, and over what a firm's own files make of them (see
	// WithOwn). A reading says which knowledge it used.
	Hash string

	Words      Words
	Groups     []Group
	Topics     []Topic
	Visits     []Visit
	Mechanisms []Mechanism
	Causes     []Cause
	Questions  []Question
	Contexts   []Context
	Together   []Together
	Cautions   []Caution
	Checks     []Check
	Implied    []Implied
	Repairs    []Repair
	Prices     PriceBook
	BuildUp    BuildUpTables
	Moisture   MoistureTables
	Learned    *Learned // what was counted from closed cases; nil when nothing was
	Travel     Travel

	questionAt map[string]int
	causeAt    map[string]int
}

// Words is the one table that turns the pack's words into numbers.
type Words struct {
	Strength   map[string]float64 `toml:"strength"`   // link words -> probability
	Confidence map[string]float64 `toml:"confidence"` // -> sd of the log-odds when the knowledge is varied
	Known      []Known            `toml:"known"`
	CauseCount []float64          `toml:"cause_count"` // share of calls with one, two, ... causes
	Tempering  float64            `toml:"tempering"`   // power that the likelihood of every answer is raised to; 0 stands for 1
	Source     string             `toml:"source"`
}

// Known says how far an answer is to be relied on, by how it is known.
type Known struct {
	ID          string  `toml:"id"`
	Key         string  `toml:"key"`
	Name        string  `toml:"name"`
	Reliability float64 `toml:"reliability"` // probability that the answer is not just noise
}

// Reliability of answers known in that way, and 1 for a word that is not listed.
func (w *Words) Reliability(known string) float64 {
	for _, k := range w.Known {
		if k.ID == known {
			return k.Reliability
		}
	}
	return 1
}

// Group is a family of causes and the test that tells it from the rest.
type Group struct {
	ID     string `toml:"id"`
	Name   string `toml:"name"`
	Test   string `toml:"test"`  // what to sell
	Price  string `toml:"price"` // its entry in the price book
	Source string `toml:"source"`
	Links  []Link `toml:"link"` // of every cause in it that has none of its own to that question
}

// Topic is a heading under which answers are counted together.
type Topic struct {
	ID       string   `toml:"id"`
	Name     string   `toml:"name"` // goes on after "mostly by"
	Branches []string `toml:"branches"`
}

// Visit is something to buy beyond the phone call: the answers to several questions at
// once.
type Visit struct {
	ID        string   `toml:"id"`
	Name      string   `toml:"name"`
	Known     string   `toml:"known"`     // how the answers will be known
	Days      float64  `toml:"days"`      // until they are there
	Pounds    float64  `toml:"pounds"`    // what it costs us, where no price is charged
	Prices    []string `toml:"prices"`    // entries of the price book
	Questions []string `toml:"questions"` // what it answers: these,
	Branches  []string `toml:"branches"`  // all of these branches,
	AskedFor  bool     `toml:"asked_for"` // or all that a photo or reading can be asked for
	Source    string   `toml:"source"`
}

// Covers tells whether a visit answers a question.
func (v *Visit) Covers(q *Question) bool {
	return slices.Contains(v.Questions, q.ID) || slices.Contains(v.Branches, q.Branch) || v.AskedFor && q.Ask != ""
}

// Gates are the gates that the sums give, by name; a mechanism may name one.
var Gates = []string{"inside-condensation", "surface-condensation", "standing-water"}

// Waters are where the water comes from: "none" where nothing gets wet any more, and
// "other" for a cause that is on no list.
var Waters = []string{"rain", "breath", "pipes", "held", "none", "other"}

// WaterOf is the water that a cause brings: its own word, or that of the mechanism it
// acts through first.
func (p *Pack) WaterOf(c *Cause) string {
	switch {
	case c.Water != "":
		return c.Water
	case c.ID != OtherCause:
		for _, m := range p.Mechanisms {
			if len(c.Acts) > 0 && m.ID == c.Acts[0].Mechanism {
				return m.Water
			}
		}
	}
	return "other"
}

// Mechanism is a way for water to reach the room; causes act through it.
type Mechanism struct {
	ID    string  `toml:"id"`
	Name  string  `toml:"name"`
	Says  string  `toml:"says"`
	Water string  `toml:"water"` // one of Waters
	Leak  float64 `toml:"leak"`  // probability that it is at work with no listed cause
	Gate  string  `toml:"gate"`  // name of the physics gate, empty: always able to act
	Links []Link  `toml:"link"`
}

// Cause is one thing that can be wrong.
type Cause struct {
	ID         string             `toml:"id"`
	Name       string             `toml:"name"`
	Short      string             `toml:"short"` // fits a narrow column, at most 26 characters
	Group      string             `toml:"group"`
	PerCalls   float64            `toml:"calls_per_100"` // judged number per 100 calls
	Where      string             `toml:"where"`
	How        string             `toml:"how"`
	Tell       string             `toml:"tell"`
	RuledOutBy string             `toml:"ruled_out_by"`
	LagHours   []float64          `toml:"lag_hours"`   // 5 and 95 % of first rain (or trigger) to first sign
	Litres     []float64          `toml:"litres"`      // 5 and 95 % of what one event brings to the ceiling
	LitresFrom string             `toml:"litres_from"` // "vapour" or "frost": physics replaces Litres
	Test       string             `toml:"test"`
	FirstAid   string             `toml:"first_aid"`
	Repair     string             `toml:"repair"`
	Damage     float64            `toml:"damage"`  // pounds lost if it is left: return visit, further damage
	ByType     map[string]float64 `toml:"by_type"` // build-up type -> times
	Needs      []string           `toml:"needs"`   // conditions; one proved false makes the cause nearly impossible
	Water      string             `toml:"water"`   // one of Waters, where it is not that of the first mechanism
	Acts       []Act              `toml:"acts"`
	Links      []Link             `toml:"link"`
	Source     string             `toml:"source"`
	Confidence string             `toml:"confidence"`
}

// Act says through which mechanism a cause works and how surely.
type Act struct {
	Mechanism string `toml:"mechanism"`
	Strength  string `toml:"strength"`
}

// Link is one belief: of 100 roofs with only this cause (or mechanism) at work,
// how many give this answer. Either Answer with a strength word (the rest is
// spread as in the question's background) or Of100 for the whole row.
type Link struct {
	Question   string             `toml:"question"`
	Answer     []string           `toml:"answer"`
	Strength   string             `toml:"strength"`
	Of100      map[string]float64 `toml:"of_100"`
	Says       string             `toml:"says"`
	Source     string             `toml:"source"`
	Confidence string             `toml:"confidence"`
}

// Question kinds.
const (
	KindChoice  = "choice"  // one of the answers
	KindSeveral = "several" // any of the answers, each a yes/no of its own
	KindAmount  = "amount"  // one of the answers, each a range; a number may be typed instead
	KindLength  = "length"  // a tape reading, metres inside
	KindNumber  = "number"  // a count or percentage
	KindPlace   = "place"   // a climate place by name
	KindText    = "text"    // free words, kept for the letter
	KindSpots   = "spots"   // one or more places on the plan: keys 1 to 9 or metres, see diagnose/measure
)

// NoneChosen is the answer to a several-question when none of its answers holds.
const NoneChosen = "none"

// Question is one thing to ask.
type Question struct {
	ID     string   `toml:"id"`
	Branch string   `toml:"branch"`
	Short  string   `toml:"short"` // the fact in a few words, for reasons and letters
	Say    string   `toml:"say"`   // the words to say
	Why    string   `toml:"why"`
	Look   string   `toml:"look"` // what to look for in a photo
	Kind   string   `toml:"kind"`
	Unit   string   `toml:"unit"` // assumed unit when a bare number is typed
	Low    *float64 `toml:"low"`  // smallest believable value, SI
	High   *float64 `toml:"high"`
	When   []string `toml:"when"`             // conditions, all must hold
	Unless []string `toml:"unless"`           // conditions, none may hold; what is not known does not stop it
	Ask    string   `toml:"ask_for"`          // what the photo-and-tape request says
	Cost   float64  `toml:"cost"`             // pounds, for the time it takes
	Days   float64  `toml:"days"`             // until the answer is there, when it is not known in the call
	Told   float64  `toml:"told_reliability"` // replaces that of hearsay, where callers get this better or worse than most things
	Form   string   `toml:"form"`             // "mixture" (default), "max" for ordered signs, "" with no background: not evidence
	Test   bool     `toml:"test"`             // what a test has shown: filled in when it was done, not asked on the phone
	Frame  bool     `toml:"frame"`            // tells which other questions and suspects apply at all; asked before the rest are ranked
	Travel bool     `toml:"travels"`          // the answer says less where water runs along a vapour layer
	Range  string   `toml:"range_of"`         // "lag" or "litres": rows follow from the causes' own ranges
	Feeds  []string `toml:"feeds"`            // what else uses it: buildup, gate:NAME, physics, scope, letter, entry
	Source string   `toml:"source"`
	Sure   string   `toml:"confidence"`

	Answers []Answer `toml:"answer"`
}

// Answer is one of a question's answers.
type Answer struct {
	ID         string   `toml:"id"`
	Says       string   `toml:"says"`
	Background float64  `toml:"background"` // of 100 calls where no linked cause is at work
	From       *float64 `toml:"from"`
	To         *float64 `toml:"to"`
}

// Context multiplies how often a cause is met, before any sign is weighed.
type Context struct {
	When       []string           `toml:"when"`
	Times      map[string]float64 `toml:"times"` // cause or "group:NAME" -> factor
	Says       string             `toml:"says"`
	Source     string             `toml:"source"`
	Confidence string             `toml:"confidence"`
}

// Together says that two causes are met in one roof more often than chance.
type Together struct {
	Causes     []string `toml:"causes"`
	Times      float64  `toml:"times"`
	Says       string   `toml:"says"`
	Source     string   `toml:"source"`
	Confidence string   `toml:"confidence"`
}

// Caution is a safety line. Lower rank comes first.
type Caution struct {
	ID     string   `toml:"id"`
	When   []string `toml:"when"`
	Always bool     `toml:"always"`
	Rank   int      `toml:"rank"`
	Says   string   `toml:"says"`
	Call   []string `toml:"call"` // who else to call
	Source string   `toml:"source"`
}

// Implied is an answer that follows from another without being asked.
type Implied struct {
	When     []string `toml:"when"`
	Question string   `toml:"question"`
	Answer   string   `toml:"answer"`
}

// Check is a pair of answers that do not go together.
type Check struct {
	ID        string   `toml:"id"`
	When      []string `toml:"when"`
	Says      string   `toml:"says"`
	Questions []string `toml:"questions"`
	Source    string   `toml:"source"`
}

// Repair is one rung or one choice on a rung.
type Repair struct {
	ID      string             `toml:"id"`
	Rung    int                `toml:"rung"`
	Name    string             `toml:"name"`
	What    string             `toml:"what"`
	Life    string             `toml:"life"`
	Leaves  string             `toml:"leaves"`
	Fix     map[string]float64 `toml:"fix"` // cause or "group:NAME" -> probability that it is cured
	Items   []Item             `toml:"item"`
	Needs   []string           `toml:"needs"`   // conditions that must not be false
	Forbids []Forbid           `toml:"forbids"` // conditions that rule it out, with the reason
	Regs    []string           `toml:"regulations"`
	Call    []string           `toml:"call"`
	Indoors bool               `toml:"indoors"`       // done from the room: no way up is needed
	Trust   bool               `toml:"needs_opening"` // not before a core or hatch has been looked into
	Source  string             `toml:"source"`
}

// Item is a line of a price: so much of a price-book entry.
type Item struct {
	Price string  `toml:"price"`
	Per   string  `toml:"per"` // what it is counted by: a key of scope.measure, such as "job" or "roof_m2"; lint names them
	Count float64 `toml:"count"`
}

// Forbid rules a repair out.
type Forbid struct {
	When []string `toml:"when"`
	Says string   `toml:"says"`
}

// PriceBook is the editable table of prices, before tax.
type PriceBook struct {
	Currency string             `toml:"currency"`
	Symbol   string             `toml:"symbol"`
	Year     string             `toml:"year"`
	Note     string             `toml:"note"`
	Risk     float64            `toml:"risk_allowance"` // share added to the high end
	Region   map[string]float64 `toml:"region"`
	Use      string             `toml:"use_region"`
	Heat     Tariff             `toml:"heat"`
	Entries  []Price            `toml:"price"`
}

// Tariff is what heat costs in the home.
type Tariff struct {
	Fuel       string  `toml:"fuel"`
	PerKWh     float64 `toml:"per_kwh"`    // price of the fuel, money of the book
	Efficiency float64 `toml:"efficiency"` // heat given for fuel burnt; above 1 for a heat pump
	CO2        float64 `toml:"co2"`        // kg for each kWh of fuel
	Source     string  `toml:"source"`
}

// Factor is what prices are multiplied by in the region in use.
func (b *PriceBook) Factor() float64 { return b.Region[b.Use] }

// Price is one entry of the price book.
type Price struct {
	ID     string  `toml:"id"`
	Name   string  `toml:"name"`
	Unit   string  `toml:"unit"`
	Low    float64 `toml:"low"`
	High   float64 `toml:"high"`
	Source string  `toml:"source"`
}

// BuildUpTables are the thicknesses and habits of roof builders.
type BuildUpTables struct {
	Types      []BuildType `toml:"type"`
	Eras       []Era       `toml:"era"`
	Joists     []Option    `toml:"joist"`
	Decks      []Option    `toml:"deck"`
	Ceilings   []Option    `toml:"ceiling"`
	Coverings  []Option    `toml:"covering"`
	Firrings   []Option    `toml:"firring"`
	Hints      []TypeHint  `toml:"hint"`
	Readings   []Measuring `toml:"reading"`
	Residuals  []Residual  `toml:"residual"`
	Usual      []Usual     `toml:"usual"`
	Growth     Growth      `toml:"growth"`
	ClosureMM  float64     `toml:"closure_mm"`  // a stack further off than this is not called an explanation
	BuildSDMM  float64     `toml:"build_sd_mm"` // scatter of real builds about nominal sizes, 1 sd
	TapeSDMM   float64     `toml:"tape_sd_mm"`  // tape error when none is given, 1 sd each reading
	OtherShare float64     `toml:"other_share"` // weight kept for a build-up that is not listed
	Source     string      `toml:"source"`
}

// BuildType is one way of stacking a flat roof.
type BuildType struct {
	ID        string   `toml:"id"`
	Name      string   `toml:"name"`
	Order     []string `toml:"order"` // layers from the room up
	Tell      string   `toml:"tell"`
	Thickness []Option `toml:"insulation"` // main insulation
	Under     []Option `toml:"under"`      // second layer: under-board, or quilt left between joists
	Source    string   `toml:"source"`
}

// Era gives how often each type was built and how thick its insulation is.
type Era struct {
	ID         string             `toml:"id"`
	Name       string             `toml:"name"`
	Types      map[string]float64 `toml:"types"`
	TargetU    float64            `toml:"target_u"` // W/m2K, typical of the regulation of the time
	Regulation string             `toml:"regulation"`
	Source     string             `toml:"source"`
	Confidence string             `toml:"confidence"`
}

// Option is one size on the market with a relative weight.
type Option struct {
	ID       string   `toml:"id"`
	Name     string   `toml:"name"`
	Material string   `toml:"material"` // id in the physics material table
	MM       float64  `toml:"mm"`
	Weight   float64  `toml:"weight"`
	Eras     []string `toml:"eras"`    // empty: any
	Answers  []string `toml:"answers"` // answers of the matching question that mean this option
}

// TypeHint is a sign of the build-up other than thickness.
type TypeHint struct {
	When       []string           `toml:"when"`
	Times      map[string]float64 `toml:"times"` // type -> likelihood ratio
	Says       string             `toml:"says"`
	Source     string             `toml:"source"`
	Confidence string             `toml:"confidence"`
}

// The parts of a roof that a reading can measure.
const (
	PartWhole      = "whole"      // ceiling face to roof surface
	PartBelowDeck  = "below-deck" // ceiling face to the underside of the deck, or of boards on the joists
	PartInsulation = "insulation" // one layer of insulation
)

// Measuring is a way to measure the roof, or a part of it, other than up the
// kerb of the skylight. Lengths in the file are in mm, places in metres.
type Measuring struct {
	Question   string     `toml:"question"`
	Part       string     `toml:"part"`       // one of PartWhole, PartBelowDeck, PartInsulation
	SDMM       float64    `toml:"sd_mm"`      // 1 sd of the way of measuring; a stated tolerance comes on top
	BiasMM     float64    `toml:"bias_mm"`    // what it reads too much
	AlongM     float64    `toml:"along_m"`    // how far it usually lies from the skylight or the middle, along the fall
	AlongSDM   float64    `toml:"along_sd_m"` // 1 sd of that
	Distance   string     `toml:"distance"`   // question that gives that distance, "" for none
	Downhill   bool       `toml:"downhill"`   // it lies at the low end; else up or down is not known
	InsteadOf  string     `toml:"instead_of"` // question about the same thing that this one makes needless
	Place      string     `toml:"place"`      // answer of the question measure-at that says there is such a place, "" when none is needed
	There      float64    `toml:"there"`      // share of roofs that have such a place, where nobody has said
	Text       string     `toml:"text"`       // the look or the reading, worded for a list
	Bands      []BandOfMM `toml:"band"`       // for a question with answers: what each means
	Source     string     `toml:"source"`
	Confidence string     `toml:"confidence"`
}

// BandOfMM is an answer that stands for a range.
type BandOfMM struct {
	Answer string  `toml:"answer"`
	From   float64 `toml:"from_mm"`
	To     float64 `toml:"to_mm"`
}

// Growth says how the thickness of a roof changes along its fall: by firrings,
// by tapered boards, or not at all.
type Growth struct {
	SlopeMM    float64 `toml:"slope_mm_per_m"` // where it grows
	SlopeSDMM  float64 `toml:"slope_sd_mm_per_m"`
	SteadySDMM float64 `toml:"steady_sd_mm_per_m"` // where it does not
	Firring    float64 `toml:"firring"`            // share that grows: with firrings at the place,
	Boards     float64 `toml:"boards"`             // with boards and no firring,
	Bare       float64 `toml:"bare"`               // with neither
	SidesM     float64 `toml:"sides_apart_m"`      // between the two sides of a skylight when nobody has said
	Source     string  `toml:"source"`
}

// Residual is what a residual thickness says: what is left of the measured total
// less ceiling, joist, deck and covering.
type Residual struct {
	ID     string  `toml:"id"`
	From   float64 `toml:"from_mm"`
	To     float64 `toml:"to_mm"`
	When   string  `toml:"when"` // "growing" or "steady" along the fall, "hole" when the depth up to the deck was measured, "" for any other
	Says   string  `toml:"says"`
	Source string  `toml:"source"`
}

// Usual is the total that a trade expects of a type in its time, at mid-fall.
type Usual struct {
	Type   string   `toml:"type"`
	Name   string   `toml:"name"`
	Eras   []string `toml:"eras"` // empty: any
	Low    float64  `toml:"low_mm"`
	High   float64  `toml:"high_mm"`
	Least  float64  `toml:"least_mm"`
	Most   float64  `toml:"most_mm"`
	Source string   `toml:"source"`
}

// MoistureTables say what a room and a ceiling do, where nothing was measured.
type MoistureTables struct {
	Rooms    []Room    `toml:"room"`
	Fittings []Fitting `toml:"fitting"`
	Source   string    `toml:"source"`
}

// Room is a use of the room below.
type Room struct {
	Answer string  `toml:"answer"` // answer of question room-use
	Class  int     `toml:"class"`  // humidity class of EN ISO 13788
	TempC  float64 `toml:"temp_c"`
	PeakRH float64 `toml:"peak_rh"` // usual winter peak, 0-1
	Source string  `toml:"source"`
}

// Fitting is a kind of downlight.
type Fitting struct {
	Answer string  `toml:"answer"`   // answer of question downlight-kind
	AreaCM float64 `toml:"area_cm2"` // equivalent leakage area of one, cm2
	LowCM  float64 `toml:"low_cm2"`
	HighCM float64 `toml:"high_cm2"`
	Source string  `toml:"source"`
}

// LinksOf are the links of a cause, with those of its group to questions that it has
// none of its own to.
func (p *Pack) LinksOf(c *Cause) []Link {
	if c.ID == OtherCause {
		return c.Links
	}
	g, ok := p.Group(c.Group)
	if !ok {
		return c.Links
	}
	out := slices.Clip(c.Links)
	for _, l := range g.Links {
		if !slices.ContainsFunc(c.Links, func(x Link) bool { return x.Question == l.Question }) {
			out = append(out, l)
		}
	}
	return out
}

// Group returns the group with that id.
func (p *Pack) Group(id string) (*Group, bool) {
	for i := range p.Groups {
		if p.Groups[i].ID == id {
			return &p.Groups[i], true
		}
	}
	return nil, false
}

// Question returns the question with that id.
func (p *Pack) Question(id string) (*Question, bool) {
	i, ok := p.questionAt[id]
	if !ok {
		return nil, false
	}
	return &p.Questions[i], true
}

// Cause returns the cause with that id.
func (p *Pack) Cause(id string) (*Cause, bool) {
	i, ok := p.causeAt[id]
	if !ok {
		return nil, false
	}
	return &p.Causes[i], true
}

// Answer returns the answer with that id.
func (q *Question) Answer(id string) (*Answer, bool) {
	for i := range q.Answers {
		if q.Answers[i].ID == id {
			return &q.Answers[i], true
		}
	}
	return nil, false
}

// Evidence reports whether answers to the question are weighed as signs.
func (q *Question) Evidence() bool {
	for _, a := range q.Answers {
		if a.Background > 0 {
			return true
		}
	}
	return false
}

// FeedsInto reports whether the question is also used for what.
func (q *Question) FeedsInto(what string) bool {
	for _, f := range q.Feeds {
		if f == what {
			return true
		}
	}
	return false
}

// Price returns the price-book entry with that id.
func (b *PriceBook) Price(id string) (*Price, bool) {
	for i := range b.Entries {
		if b.Entries[i].ID == id {
			return &b.Entries[i], true
		}
	}
	return nil, false
}
