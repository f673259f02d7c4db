package infer

// MaxMechanisms is the largest number of mechanisms in a model.
const MaxMechanisms = 8

// MaxSetSize is the largest number of causes in one set.
const MaxSetSize = 3

// MaxSets bounds the number of enumerated sets, so that a careless model fails
// at Compile and not by filling the memory.
const MaxSets = 250_000

// Model is everything Compile needs. All numbers are probabilities unless said
// otherwise.
type Model struct {
	Causes     []Cause
	Mechanisms []Mechanism
	Findings   []Finding
	// SizePrior[k] is the probability that exactly k causes are present.
	// SizePrior[0] is 0 and the entries sum to 1. The last index is the
	// largest set enumerated.
	SizePrior []float64
	Pairs     []Pair
	// Variants are worlds in which the causes have other weights, for instance the
	// ways the roof may be built. The prior is their mean. There may be none.
	Variants []Variant
	// Power is what the likelihood of every item of evidence is raised to before it is
	// weighed; 0 stands for 1. Below 1 each item says less than it would by itself, which
	// makes up for items that are not as independent as the model has them.
	Power float64
	// AllowHard permits zeros and ones in links and rows. Without it they are
	// errors, because a zero can never be outweighed by later evidence.
	AllowHard bool
}

// Cause is one possible cause. An explicit "something else" is simply one of
// them.
type Cause struct {
	ID string
	// Weight is the relative weight within sets of equal size. It is positive,
	// has no unit and already holds the context multipliers.
	Weight float64
}

// Variant is one world that the prior is a mean over. Its probabilities sum to 1
// with those of the others.
type Variant struct {
	ID string
	P  float64
	// Times multiplies the weight of every cause, each above zero. Nil leaves them
	// as they are.
	Times []float64
}

// Mechanism is a binary state between causes and findings:
// P(on|S) = Gate * (1 - (1-Leak) * prod(1-Lambda)).
type Mechanism struct {
	ID string
	// Leak is the probability of the mechanism without any linked cause.
	Leak float64
	// Gate in [0,1] is the probability that the mechanism can operate at all.
	Gate  float64
	Links []Link
}

// Link is the noisy-OR strength from one cause to a mechanism.
type Link struct {
	Cause  int
	Lambda float64
}

// Pair multiplies the weight of every set that holds both causes.
type Pair struct {
	A, B   int
	Factor float64
}

// Parents says whether a finding depends on mechanisms or on causes.
type Parents int

const (
	// OverMechanisms means that parent indices are mechanisms.
	OverMechanisms Parents = iota
	// OverCauses means that parent indices are causes.
	OverCauses
)

// Form is the way the answer probabilities are given.
type Form int

const (
	// Table has one row per joint state of at most two parents, last parent
	// fastest, each parent running absent, present.
	Table Form = iota
	// Mixture is for unordered answers: the mean of the rows of the present
	// parents, weighted by salience. Without a present parent it is Background.
	Mixture
	// Max is the noisy-MAX for answers ordered from none to severe:
	// P(A<=a|S) = Background cdf(a) * prod over present parents of row cdf(a).
	Max
)

// Finding is something that can be asked, seen or measured, with a fixed list
// of answers.
type Finding struct {
	ID      string
	Answers []string
	// Cost of getting the answer, in pounds, delay included.
	Cost float64
	// Reliability is the rho of Reliable that an answer is going to be entered
	// with. It only serves to look ahead. Zero stands for 1, a certain answer.
	Reliability float64
	Over        Parents
	Form        Form
	// Rows and Background serve Mixture and Max.
	Rows       []Row
	Background []float64
	// Parents and TableRows serve Table.
	Parents   []int
	TableRows [][]float64
}

// Row is the distribution over answers that one parent brings about.
type Row struct {
	Parent int
	P      []float64
	// Salience weighs the row in a Mixture. Zero stands for 1.
	Salience float64
}

// parentList gives the parents in the order in which conditional counts them.
func (f *Finding) parentList() []int {
	if f.Form == Table {
		return f.Parents
	}
	list := make([]int, len(f.Rows))
	for i, r := range f.Rows {
		list[i] = r.Parent
	}
	return list
}

// conditional fills out with P(answer | exactly these parents are present).
// present holds positions in parentList.
func (f *Finding) conditional(present []int, out []float64) {
	switch f.Form {
	case Table:
		row := 0
		for _, k := range present {
			row |= 1 << (len(f.Parents) - 1 - k)
		}
		copy(out, f.TableRows[row])
	case Mixture:
		f.mixture(present, out)
	case Max:
		f.noisyMax(present, out)
	}
}

func (f *Finding) mixture(present []int, out []float64) {
	if len(present) == 0 {
		copy(out, f.Background)
		return
	}
	clear(out)
	total := 0.0
	for _, k := range present {
		s := f.Rows[k].Salience
		if s == 0 {
			s = 1
		}
		total += s
		for a, p := range f.Rows[k].P {
			out[a] += float64(s * p)
		}
	}
	for a := range out {
		out[a] /= total
	}
}

func (f *Finding) noisyMax(present []int, out []float64) {
	var cdf [MaxMechanisms]float64 // running cdf of each present row
	background, below := 0.0, 0.0
	last := len(out) - 1
	for a := range out {
		background += f.Background[a]
		upTo := background
		for i, k := range present {
			cdf[i] += f.Rows[k].P[a]
			upTo *= cdf[i]
		}
		if a == last {
			upTo = 1 // the rows sum to 1; this keeps rounding out of the last answer
		}
		out[a] = max(0, upTo-below)
		below = upTo
	}
}
