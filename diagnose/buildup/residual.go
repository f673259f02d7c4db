package buildup

import (
	"fmt"
	"math"
	"slices"

	"underlap/rules"
)

// Residual is what is left of the thickness when the parts that every roof has are
// taken off: what an expert works out in his head.
type Residual struct {
	M      float64 `json:"m"`      // metres, the middle of what it may be
	SD     float64 `json:"sd"`     // metres, half of what holds two thirds: the readings, and what is not known of the parts
	From   string  `json:"from"`   // "parts": less ceiling, joist, deck, covering; "hole": less the depth up to the deck, deck, covering
	Growth string  `json:"growth"` // "growing" or "steady" along the fall, "" when that is not known
	ID     string  `json:"id"`     // of the table's entry, "" when it cannot be judged
	Says   string  `json:"says"`
	Source string  `json:"source"`
}

// sure is how likely a way of growing, one entry of the table or one size of joist must
// be to be said.
const sure = 0.75

// zero is where a residual of nought lies in a spread of residuals, metres.
const zero = 0.5

// leftOver works the residual out from the readings joined: over every ceiling, joist,
// deck and covering by what is known of them, and the errors of the readings.
func leftOver(b *rules.BuildUpTables, ev *evidence, w *weights) *Residual {
	if ev.joined == nil {
		return nil
	}
	r := &Residual{From: "parts"}
	if ev.below != nil {
		r.From = "hole"
	}
	switch g := ev.joined.Growing; {
	case g >= sure:
		r.Growth = "growing"
	case g <= 1-sure:
		r.Growth = "steady"
	}
	by := r.spread(b, ev, w)
	low, mid, high := quantile(by, 0.1587), quantile(by, 0.5), quantile(by, 0.8413)
	r.M, r.SD = mid-zero, (high-low)/2
	r.Source = "common practice, no source"
	if r.From == "parts" && slices.Max(w.joist) < sure {
		r.Says = "not to be judged while the joist is a guess: one size is 25 mm"
		return r
	}
	best := 0.0
	for _, x := range b.Residuals {
		hole := r.From == "hole"
		if (x.When == "hole") != hole || !hole && x.When != "" && x.When != r.Growth {
			continue
		}
		if mm := r.M * 1000; r.ID == "" && mm >= x.From && mm < x.To {
			r.ID, r.Says, r.Source = x.ID, x.Says, x.Source
			for i, p := range by {
				if mm := (float64(i)/1000 - zero) * 1000; mm >= x.From && mm < x.To {
					best += p
				}
			}
		}
	}
	if best < sure {
		r.Says = "perhaps " + r.Says
	}
	return r
}

// spread is how likely each residual is.
func (r *Residual) spread(b *rules.BuildUpTables, ev *evidence, w *weights) *spread {
	type size struct{ m, p float64 }
	sizes := []size{{ev.joined.M, 1}}
	v := square(ev.joined.SD)
	less := func(list []rules.Option, weight []float64) {
		var out []size
		for _, s := range sizes {
			for i, o := range list {
				out = append(out, size{s.m - o.MM/1000, s.p * weight[i]})
			}
		}
		sizes = out
	}
	less(b.Decks, w.deck)
	less(b.Coverings, w.covering)
	if r.From == "hole" {
		v += ev.below.v
		for i := range sizes {
			sizes[i].m -= ev.below.y
		}
	} else {
		less(b.Ceilings, w.ceiling)
		less(b.Joists, w.joist)
	}
	var exact, out spread
	for _, s := range sizes {
		exact.add(s.m+zero, s.p)
	}
	sd := math.Sqrt(v)
	reach := int(4 * sd * 1000)
	kernel := make([]float64, reach+1)
	for d := range kernel {
		kernel[d] = normal(float64(d)/1000, v) / 1000
	}
	for i, p := range exact {
		if p < 1e-9 {
			continue
		}
		for at := max(i-reach, 0); at <= min(i+reach, len(out)-1); at++ {
			out[at] += p * kernel[max(at-i, i-at)]
		}
	}
	normalise(out[:])
	return &out
}

// quantile is the length below which that share of the weight lies, metres.
func quantile(s *spread, share float64) float64 {
	run := 0.0
	for i, p := range s {
		if run+p >= share && p > 0 {
			return (float64(i) - 0.5 + (share-run)/p) / 1000
		}
		run += p
	}
	return float64(len(s)) / 1000
}

// Words puts the residual in a sentence: "Left over: 100 ± 22 mm, steady along the
// fall: boards on the deck".
func (r *Residual) Words() string {
	s := fmt.Sprintf("%.0f ± %.0f mm", r.M*1000, 2*r.SD*1000)
	if r.Growth != "" {
		s += ", " + r.Growth + " along the fall"
	}
	return s + ": " + r.Says
}

// Usual is the total that the trade expects of a type in the era of this roof.
type Usual struct {
	Type   string  `json:"type"`
	Name   string  `json:"name"`
	Low    float64 `json:"low"`   // metres, usually from
	High   float64 `json:"high"`  // metres, usually to
	Least  float64 `json:"least"` // metres, the whole range
	Most   float64 `json:"most"`  // metres
	Source string  `json:"source"`
}

// usual lists what fits the era; nothing when the era is not known, but for what is
// the same in all of them.
func usual(b *rules.BuildUpTables, era string) []Usual {
	var out []Usual
	for _, u := range b.Usual {
		fits := len(u.Eras) == 0
		for _, e := range u.Eras {
			fits = fits || e == era
		}
		if fits {
			out = append(out, Usual{u.Type, u.Name, u.Low / 1000, u.High / 1000, u.Least / 1000, u.Most / 1000, u.Source})
		}
	}
	return out
}

// UsualOf returns the usual total of a type.
func (r *Result) UsualOf(id string) (Usual, bool) {
	for _, u := range r.Usual {
		if u.Type == id {
			return u, true
		}
	}
	return Usual{}, false
}

// Against words how a thickness stands to what is usual, and the usual with it.
func (u Usual) Against(m float64) string {
	s := fmt.Sprintf("%s is usually %.0f to %.0f mm", u.Name, u.Low*1000, u.High*1000)
	switch {
	case m < u.Least:
		return s + ", hardly ever as thin as this"
	case m > u.Most:
		return s + ", hardly ever as thick as this"
	case m < u.Low:
		return s + "; this is on the thin side"
	case m > u.High:
		return s + "; this is on the thick side"
	}
	return s + "; this is within it"
}
