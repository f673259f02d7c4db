package buildup

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"underlap/diagnose/casefile"
	"underlap/diagnose/facts"
	"underlap/rules"
)

// given makes facts from choices and from lengths in metres, each length with a
// tolerance of its own or 0.
func given(choices map[string]string, lengths map[string][2]float64) *facts.Set {
	s := casefile.State{Answers: map[string]casefile.Answer{}}
	for q, a := range choices {
		s.Answers[q] = casefile.Answer{Question: q, Choices: []string{a}, Known: casefile.KnownTold}
	}
	for q, v := range lengths {
		s.Answers[q] = casefile.Answer{Question: q, Value: &v[0], Tolerance: v[1], Known: casefile.KnownMeasured}
	}
	return facts.From(s, rules.Built())
}

// here puts every way of measuring at the same place, so that the fall plays no part.
func here() *rules.BuildUpTables {
	b := rules.Built().BuildUp
	b.Readings = append([]rules.Measuring(nil), b.Readings...)
	for i := range b.Readings {
		b.Readings[i].AlongM, b.Readings[i].AlongSDM = 0, 0
	}
	return &b
}

// Closed form: normal readings of one length join to the mean weighted by the
// inverse variances, and the inverse variances add up.
func TestReadingsOfOnePlaceJoinByPrecision(t *testing.T) {
	r := Infer(given(nil, map[string][2]float64{"kerb-inside": {0.480, 0}, "kerb-outside": {0.150, 0}, "head-depth": {0.350, 0}, "outlet-depth": {0.300, 0.030}}), here(), nil)
	v := []float64{2 * 0.005 * 0.005, 0.020 * 0.020, 0.020*0.020 + 0.015*0.015}
	y := []float64{0.330, 0.350, 0.300}
	m, prec := 0.0, 0.0
	for i := range v {
		m += y[i] / v[i]
		prec += 1 / v[i]
	}
	if math.Abs(r.Joined.M-m/prec) > 1e-12 || math.Abs(r.Joined.SD-1/math.Sqrt(prec)) > 1e-12 {
		t.Errorf("%v ± %v, want %v ± %v", r.Joined.M, r.Joined.SD, m/prec, 1/math.Sqrt(prec))
	}
	if math.Abs(r.Joined.Growing-0.5) > 1e-12 {
		t.Errorf("readings at one place say that it grows: %v", r.Joined.Growing)
	}
}

// The join of readings at different places, by a sum over the growth on a fine grid:
// no algebra in common with pieces.
func TestPiecesAgainstAGrid(t *testing.T) {
	g := rules.Built().BuildUp.Growth
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(rt, "n")
		var list []whole
		for i := range n {
			w := whole{
				y: rapid.Float64Range(0.30, 0.36).Draw(rt, "y"), v: square(rapid.Float64Range(0.005, 0.04).Draw(rt, "sd")),
				along: rapid.Float64Range(-2, 2).Draw(rt, "along"), astray: rapid.Float64Range(0, 2).Draw(rt, "astray"),
			}
			w.side = i < 2 && rapid.Bool().Draw(rt, "side")
			list = append(list, w)
		}
		class := rapid.IntRange(0, growths-1).Draw(rt, "class")
		t0 := rapid.Float64Range(0.25, 0.40).Draw(rt, "t")
		got := 0.0
		for _, p := range pieces(&g, list, class) {
			got += p.k * normal(t0-p.m, p.v)
		}
		mu, sd := slope(&g, class)
		want := 0.0
		const steps = 1500
		for _, up := range []float64{1, -1} {
			for i := range steps {
				x := mu + sd*(24*(float64(i)+0.5)/steps-12)
				like := normal(x-mu, sd*sd) * sd * 24 / steps / 2
				for _, w := range list {
					along := w.along
					if w.side {
						along *= up
					}
					like *= normal(w.y-t0-along*x, w.v+w.astray*(mu*mu+sd*sd))
				}
				want += like
			}
		}
		if math.Abs(got-want) > 1e-5*want+1e-60 {
			rt.Fatalf("%v, the grid gives %v", got, want)
		}
	})
}

// coarse is a small trade: few sizes, so that everything can be counted out by hand.
func coarse() *rules.BuildUpTables {
	b := rules.Built().BuildUp
	b.Joists = append([]rules.Option(nil), b.Joists[3:5]...)
	b.Decks = append([]rules.Option(nil), b.Decks[0], b.Decks[4])
	b.Ceilings = b.Ceilings[:2]
	b.Coverings = append([]rules.Option(nil), b.Coverings[0], b.Coverings[2])
	b.Firrings = append([]rules.Option(nil), b.Firrings[0], b.Firrings[2])
	b.Types = append([]rules.BuildType(nil), b.Types...)
	for i := range b.Types {
		b.Types[i].Thickness = b.Types[i].Thickness[:min(2, len(b.Types[i].Thickness))]
	}
	return &b
}

// counted does what Infer does the long way: every stack, every growth and every
// scatter of the build on a grid, and every reading as what it is. It shares no sum
// with the engine, only the tables, the weights of single sizes and the priors.
func counted(f *facts.Set, b *rules.BuildUpTables) (types map[string]float64, other float64) {
	const gs, ts = 14, 24
	prior := typePrior(f, b)
	era := f.Choice("built-when")
	w := weights{
		joist: joistWeights(f, b, nil), deck: optionWeights(f, b.Decks, "deck-seen", era), ceiling: optionWeights(f, b.Ceilings, "", era),
		covering: optionWeights(f, b.Coverings, "covering", era), firring: optionWeights(f, b.Firrings, "", era),
	}
	length := func(id string) (float64, bool) { return f.Number(id) }
	// like is how likely the readings of the whole are for a roof that thick there.
	like := func(at, grow float64, up float64, class int) float64 {
		mu, sd := slope(&b.Growth, class)
		p := 1.0
		in, ok := length("kerb-inside")
		if ok {
			out, _ := length("kerb-outside")
			in2, two := length("second-inside")
			out2, _ := length("second-outside")
			half := 0.0
			if two {
				apart, _ := length("sides-apart")
				half = apart / 2
				p *= normal(in2-out2-at+up*half*grow, 2*square(b.TapeSDMM/1000))
			}
			p *= normal(in-out-at-up*half*grow, 2*square(b.TapeSDMM/1000))
		}
		for _, r := range b.Readings {
			along, spread := 0.0, r.AlongM*r.AlongM+r.AlongSDM*r.AlongSDM
			if r.Downhill {
				along, spread = -r.AlongM, r.AlongSDM*r.AlongSDM
			}
			v := square(r.SDMM/1000) + spread*(mu*mu+sd*sd)
			if y, ok := length(r.Question); ok && r.Part == rules.PartWhole {
				p *= normal(y-at-along*grow, v)
			}
			if a := f.Choice(r.Question); a != "" && len(r.Bands) > 0 {
				fact, _ := f.Get(r.Question)
				for i, band := range r.Bands {
					if band.Answer != a {
						continue
					}
					from, to := band.From/1000, band.To/1000
					if i == 0 {
						from = -9
					}
					s := math.Sqrt(v)
					// The fall at the edge is held at its mean, as the engine does.
					p *= fact.Reliability*(phi((to-at-along*mu)/s)-phi((from-at-along*mu)/s)) + (1-fact.Reliability)/float64(len(r.Bands))
				}
			}
		}
		return p
	}
	grid := func(class int, visit func(grow, up, share float64)) {
		mu, sd := slope(&b.Growth, class)
		for i := range gs {
			z := 10*(float64(i)+0.5)/gs - 5
			for _, up := range []float64{1, -1} {
				visit(mu+z*sd, up, normal(z, 1)*10/gs/2)
			}
		}
	}
	// Sums differ by tenths of a millimetre at least: each is worked out once.
	type key struct{ at, class int }
	done := map[key]float64{}
	whole := func(sum float64, class int) float64 {
		k := key{int(math.Round(sum * 1e4)), class}
		if p, ok := done[k]; ok {
			return p
		}
		p := 0.0
		for i := range ts {
			z := 10*(float64(i)+0.5)/ts - 5
			scatter := normal(z, 1) * 10 / ts
			grid(class, func(grow, up, share float64) {
				p += scatter * share * like(sum+z*b.BuildSDMM/1000, grow, up, class)
			})
		}
		done[k] = p
		return p
	}
	below, hole := length("hole-depth")
	seen, layer := length("insulation-depth")
	types = map[string]float64{}
	all := 0.0
	for k, t := range b.Types {
		mine, fits := 0.0, 0.0
		sumM, sumU := 0.0, 0.0
		for _, o := range t.Thickness {
			sumM += o.Weight * inEra(o, era)
		}
		for _, o := range t.Under {
			sumU += o.Weight * inEra(o, era)
		}
		for j, joist := range b.Joists {
			for _, main := range t.Thickness {
				for _, under := range t.Under {
					if t.ID == "cold" && main.MM > joist.MM || t.ID == "hybrid" && under.MM > joist.MM {
						continue
					}
					share := w.joist[j] * main.Weight * inEra(main, era) / sumM * under.Weight * inEra(under, era) / sumU
					fits += share
					if layer { // quilt seen between the joists
						p := 5.0
						switch t.ID {
						case "cold":
							p = normal(seen-main.MM/1000, square(0.008))
						case "hybrid":
							p = normal(seen-under.MM/1000, square(0.008))
						}
						fact, _ := f.Get("insulation-depth")
						share *= fact.Reliability*p + (1-fact.Reliability)*5
					}
					for d, deck := range b.Decks {
						for g, firring := range b.Firrings {
							for c, ceiling := range b.Ceilings {
								for v, covering := range b.Coverings {
									sum := joist.MM + deck.MM + firring.MM + ceiling.MM + covering.MM
									low := joist.MM + firring.MM + ceiling.MM
									switch t.ID {
									case "cold":
										sum += under.MM
										low += under.MM
									case "inverted":
										sum += main.MM + under.MM
									default:
										sum += main.MM
									}
									grows := b.Growth.Bare
									if firring.MM > 0 {
										grows = b.Growth.Firring
									} else if t.ID != "cold" && t.ID != "uninsulated" {
										grows = b.Growth.Boards
									}
									for class, part := range []float64{1 - grows, grows} {
										p := whole(sum/1000, class)
										if hole {
											extra := 0.0
											if firring.MM > 0 {
												mu, sd := slope(&b.Growth, class)
												extra = mu*mu + sd*sd // one metre off, give or take
											}
											p *= normal(below-low/1000, square(0.005)+extra)
										}
										mine += share * w.deck[d] * w.firring[g] * w.ceiling[c] * w.covering[v] * part * p
									}
								}
							}
						}
					}
				}
			}
		}
		types[t.ID] = prior[k] * mine / fits
		all += types[t.ID]
	}
	const n = 200
	for i := range n {
		at := 0.1 + 0.5*(float64(i)+0.5)/n
		for class := range growths {
			grid(class, func(grow, up, share float64) { other += share * like(at, grow, up, class) / n / growths })
		}
	}
	other *= b.OtherShare
	if hole {
		other *= 2.5
	}
	if layer {
		other *= 5
	}
	for id := range types {
		types[id] /= all + other
	}
	return types, other / (all + other)
}

// An enumeration the long way agrees with the engine, for every mixture of readings.
func TestInferAgainstCountingOut(t *testing.T) {
	b := coarse()
	for name, f := range map[string]*facts.Set{
		"nothing":         given(map[string]string{"built-when": "2003-2010"}, nil),
		"one side":        given(map[string]string{"built-when": "2003-2010"}, map[string][2]float64{"kerb-inside": {0.450, 0}, "kerb-outside": {0.150, 0}}),
		"two sides":       given(nil, map[string][2]float64{"kerb-inside": {0.455, 0}, "kerb-outside": {0.150, 0}, "second-inside": {0.430, 0}, "second-outside": {0.150, 0}, "sides-apart": {1.5, 0}}),
		"edge and outlet": given(map[string]string{"edge-depth": "deep"}, map[string][2]float64{"outlet-depth": {0.270, 0}}),
		"edge only":       given(map[string]string{"edge-depth": "thin"}, nil),
		"head and side":   given(map[string]string{"edge-depth": "middle"}, map[string][2]float64{"kerb-inside": {0.450, 0}, "kerb-outside": {0.150, 0}, "head-depth": {0.310, 0}}),
		"hole":            given(nil, map[string][2]float64{"hole-depth": {0.215, 0}, "kerb-inside": {0.440, 0}, "kerb-outside": {0.150, 0}}),
		"insulation":      given(map[string]string{"insulation-seen": "quilt-between"}, map[string][2]float64{"insulation-depth": {0.080, 0}, "head-depth": {0.260, 0}}),
	} {
		r := Infer(f, b, nil)
		types, other := counted(f, b)
		for id, want := range types {
			if got := r.Type(id); math.Abs(got-want) > 0.002 {
				t.Errorf("%s: %s %.4f, counted out %.4f", name, id, got, want)
			}
		}
		if math.Abs(r.NotListed-other) > 0.002 {
			t.Errorf("%s: not listed %.4f, counted out %.4f", name, r.NotListed, other)
		}
	}
}

// By hand: two stacks that differ in their boards alone stand as their weights and
// the bell curve of the tape and the build say.
func TestRatioOfTwoStacksByHand(t *testing.T) {
	b := rules.Built().BuildUp
	r := Infer(given(map[string]string{"built-when": "2011-2021"}, map[string][2]float64{"kerb-inside": {0.500, 0}, "kerb-outside": {0.150, 0}}), &b, nil)
	type rest struct {
		joist                            float64
		deck, ceiling, covering, firring string
	}
	of := map[string]map[rest]Stack{}
	for _, s := range r.Stacks {
		if s.Type != "warm" {
			continue
		}
		x := rest{joist: s.Joist}
		for _, l := range s.Layers {
			switch l.Role {
			case "deck":
				x.deck = l.Name
			case "ceiling":
				x.ceiling = l.Name
			case "covering":
				x.covering = l.Name
			case "firring":
				x.firring = l.Name
			}
		}
		id := fmt.Sprintf("%.0f", s.Insulation*1000)
		if of[id] == nil {
			of[id] = map[rest]Stack{}
		}
		of[id][x] = s
	}
	checked := 0
	v := 2*square(0.005) + square(0.006)
	for x, a := range of["120"] {
		c, ok := of["140"][x]
		if !ok {
			continue
		}
		checked++
		// The table gives 120 boards twice the weight of 140; both belong to that era.
		want := 2 * math.Exp((square(0.350-c.Total)-square(0.350-a.Total))/(2*v))
		if got := a.P / c.P; math.Abs(got/want-1) > 1e-6 {
			t.Errorf("%+v: ratio %v, by hand %v", x, got, want)
		}
	}
	if checked < 3 {
		t.Errorf("only %d pairs to compare", checked)
	}
}

// The bits promised for a look, by going through every figure it may show and
// inferring anew: the entropy left, weighed by how likely each figure is.
func TestSettleKeepsItsPromise(t *testing.T) {
	b := coarse()
	choices := map[string]string{"built-when": "2003-2010"}
	for _, x := range []struct {
		id, place string
		from, to  float64
		base      map[string][2]float64
	}{
		{"hole-depth", "hole", 0.10, 0.40, map[string][2]float64{"kerb-inside": {0.450, 0}, "kerb-outside": {0.150, 0}}},
		{"outlet-depth", "outlet", 0.06, 0.70, nil},
		{"head-depth", "head", 0.06, 0.70, nil},
		{"head-depth", "head", 0.06, 0.70, map[string][2]float64{"hole-depth": {0.215, 0}}},
	} {
		base := x.base
		choices["measure-at"] = x.place
		weigh := func(lengths map[string][2]float64) (types []float64) {
			f := given(choices, lengths)
			ev, _, _ := gather(f, b)
			era := f.Choice("built-when")
			e := newEnumeration(b, ev, weights{
				joist: joistWeights(f, b, nil), deck: optionWeights(f, b.Decks, "deck-seen", era), ceiling: optionWeights(f, b.Ceilings, "", era),
				covering: optionWeights(f, b.Coverings, "covering", era), firring: optionWeights(f, b.Firrings, "", era),
			}, era)
			e.walk(typePrior(f, b))
			return e.types
		}
		now := weigh(base)
		normalise(now)
		all, after := 0.0, 0.0
		for y := x.from; y <= x.to; y += 0.002 {
			more := map[string][2]float64{x.id: {y, 0}}
			for k, v := range base {
				more[k] = v
			}
			types := weigh(more)
			p := sumOf(types)
			normalise(types)
			all += p
			after += p * entropy(types)
		}
		want := entropy(now) - after/all
		got := 0.0
		for _, l := range Infer(given(choices, base), b, nil).Settle {
			if l.Question == x.id {
				got = l.Bits
			}
		}
		if want < 0.03 || math.Abs(got-want) > 0.02*want {
			t.Errorf("%s: %.4f bits promised, %.4f kept", x.id, got, want)
		}
	}
}
