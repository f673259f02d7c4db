package world

// defect is one thing that is wrong: where, how water gets in, and what it shows.
type defect struct {
	id       string // of the cause in the knowledge, "" when it is not on the list
	unlisted string // what it is, when it is not on the list
	at       point  // where it gets in, or over
	pours    func(s *scene) []float64
	way      *way    // nil: straight to the ceiling
	walks    float64 // m that the water goes along the build-up, median
	wall     bool    // it comes down a wall too
	many     string  // "", several, grid, line
	clean    float64 // chance that it leaves no brown ring
	tar      bool
	mould    bool // it feeds mould on the surface without dripping
	noWater  bool // nothing wet indoors is part of it
	indoor   bool // breath, a pipe: no patch on the roof can touch it
	since    []odd
	show     func(d dice, h *House) // signs of it, over the wear
	relabel  func() string          // the name that the physics gave it, once simulated
	litres   float64                // that reached the ceiling
	flow     []float64
	spot     point
}

// Cause says what is truly wrong.
type Cause struct {
	ID       string // "something-else" when it is not on the list
	Unlisted string // what it is then
	Litres   float64
}

// kindOf is a defect that a roof may have: how often such a roof is rung about for
// it, against others, and how it is made. The numbers are judgement, self-made, and
// were set before the engine was run on any call.
type kindOf struct {
	id    string
	rate  func(h *House) float64
	build func(d dice, h *House) *defect
}

func old(h *House) float64 { return clamp(h.Age/22, 0.05, 1.4) }

func felt(h *House) bool { return h.Covering == "felt" || h.Covering == "felt-chippings" }

func sheet(h *House) bool { return h.Covering == "epdm" || h.Covering == "single-ply" }

func resin(h *House) bool { return h.Covering == "grp" || h.Covering == "liquid" }

func when(ok bool, rate float64) float64 {
	if ok {
		return rate
	}
	return 0
}

// each runs a sum for every step.
func each(f func(s *scene, i int) float64) func(s *scene) []float64 {
	return func(s *scene) []float64 {
		out := make([]float64, s.w.Steps())
		for i := range out {
			out[i] = f(s, i)
		}
		return out
	}
}

// anywhere in the field.
func anywhere(d dice, h *House) point {
	return point{d.between(0.3, h.W-0.3), d.between(0.3, h.D-0.3)}
}

// see puts a sign up when it can be made out at all.
func see(d dice, h *House, question, state string, p float64) {
	if _, there := h.state[question]; there && d.chance(p) {
		h.state[question] = state
	}
}

func mark(d dice, h *House, sign string, p float64) {
	if d.chance(p) {
		h.surface[sign] = true
	}
}

var wornSlowly = []odd{{"blue", 60}, {"years", 25}, {"after-storm", 15}}

func kinds() []kindOf {
	var all []kindOf
	for _, part := range [][]kindOf{fieldKinds(), edgeKinds(), drainKinds(), airKinds(), insideKinds()} {
		all = append(all, part...)
	}
	return all
}

// Listed are the ids of the causes that the world can make.
func Listed() []string {
	var out []string
	for _, k := range kinds() {
		out = append(out, k.id)
	}
	return out
}
