package buildup

import (
	"fmt"
	"math"

	"underlap/rules"
)

// Residual is what is left of the thickness when the parts that every roof has are
// taken off: what an expert works out in his head.
type Residual struct {
	M      float64 `json:"m"`      // metres
	SD     float64 `json:"sd"`     // metres: the readings, and what is not known of the parts
	From   string  `json:"from"`   // "parts": less ceiling, joist, deck, covering; "hole": less the depth up to the deck, deck, covering
	Growth string  `json:"growth"` // "growing" or "steady" along the fall, "" when that is not known
	ID     string  `json:"id"`     // of the table's entry, "" when it cannot be judged
	Says   string  `json:"says"`
	Source string  `json:"source"`
}

// sure is how sure the way of growing must be to be said.
const sure = 0.75

// judged is the largest standard deviation of a residual that is judged, metres: one
// joist size is 25 mm, as much as the difference between two eras.
const judged = 0.025

// leftOver works the residual out from the readings joined.
func leftOver(b *rules.BuildUpTables, ev *evidence, w *weights) *Residual {
	if ev.joined == nil {
		return nil
	}
	r := &Residual{M: ev.joined.M, From: "parts"}
	v := square(ev.joined.SD)
	less := func(list []rules.Option, weight []float64) {
		m, second := 0.0, 0.0
		for i, o := range list {
			m += weight[i] * o.MM / 1000
			second += weight[i] * square(o.MM/1000)
		}
		r.M -= m
		v += second - square(m)
	}
	less(b.Decks, w.deck)
	less(b.Coverings, w.covering)
	if ev.below != nil {
		r.From = "hole"
		r.M -= ev.below.y
		v += ev.below.v
	} else {
		less(b.Ceilings, w.ceiling)
		less(b.Joists, w.joist)
	}
	r.SD = math.Sqrt(v)
	switch g := ev.joined.Growing; {
	case g >= sure:
		r.Growth = "growing"
	case g <= 1-sure:
		r.Growth = "steady"
	}
	if r.SD > judged {
		r.Says = "too unsure to judge: the joist is a guess, and one size is 25 mm"
		if r.From == "hole" {
			r.Says = "too unsure to judge: the readings are too rough"
		}
		r.Source = "common practice, no source"
		return r
	}
	for _, x := range b.Residuals {
		hole := r.From == "hole"
		if (x.When == "hole") != hole || !hole && x.When != "" && x.When != r.Growth {
			continue
		}
		if mm := r.M * 1000; mm >= x.From && mm < x.To {
			r.ID, r.Says, r.Source = x.ID, x.Says, x.Source
			break
		}
	}
	return r
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
