// Package scope chooses the honest repair: it prices every rung of the ladder
// for this roof, weighs price against what each rung leaves uncured, and says
// when a test should be sold before any repair.
package scope

import (
	"fmt"
	"math"
	"strings"

	"underlap/diagnose/explain"
	"underlap/diagnose/facts"
	"underlap/rules"
)

// Result is the ladder for one roof.
type Result struct {
	Options  []Option `json:"options"` // by rung, then by expected loss
	Best     string   `json:"best"`    // id of the least expected loss among those that touch the first suspect
	RunnerUp string   `json:"runner_up"`
	Margin   float64  `json:"margin"` // expected loss of the runner-up less that of the best
	EVPI     float64  `json:"evpi"`   // further checking cannot be worth more than this
	Ideal    float64  `json:"ideal"`  // probability that the best is what we would choose if we knew
	Test     *Test    `json:"test,omitempty"`
	Symbol   string   `json:"symbol"`
	Note     string   `json:"note"`
	Area     float64  `json:"area"` // m2 used for the prices
	Assumed  bool     `json:"area_assumed"`
	Region   string   `json:"region"`
	Risk     float64  `json:"risk_allowance"` // share added to the high end
}

// Option is one repair, priced.
type Option struct {
	ID      string   `json:"id"`
	Rung    int      `json:"rung"`
	Name    string   `json:"name"`
	What    string   `json:"what"`
	Life    string   `json:"life"`
	Leaves  string   `json:"leaves"`
	Low     float64  `json:"low"`
	High    float64  `json:"high"`
	Lines   []Line   `json:"lines,omitempty"`
	Cures   float64  `json:"cures"` // share of what is suspected that it would cure
	Loss    float64  `json:"loss"`  // expected: its price and what it leaves, pounds
	Barred  string   `json:"barred,omitempty"`
	Opening bool     `json:"needs_opening"` // a core or a hatch must be looked into first
	Regs    []string `json:"regulations,omitempty"`
	Call    []string `json:"call,omitempty"`
	Source  string   `json:"source"`
	Why     string   `json:"why"`
}

// Line is one line of a price.
type Line struct {
	Name  string  `json:"name"`
	Count float64 `json:"count"`
	Unit  string  `json:"unit"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// Test is what to sell before the repair.
type Test struct {
	Name   string   `json:"name"`
	Why    string   `json:"why"`
	How    string   `json:"how"`
	Low    float64  `json:"low"`
	High   float64  `json:"high"`
	Result []string `json:"result"` // what each outcome would mean
}

// Option returns the option with that id.
func (r *Result) Option(id string) (Option, bool) {
	for _, o := range r.Options {
		if o.ID == id {
			return o, true
		}
	}
	return Option{}, false
}

// assumedArea is used for prices until a size is known, m2.
const assumedArea = 20

// usualFan is how often a room needs a new extract fan when nobody has said; judgement.
const usualFan = 0.6

// sizes are the measures that prices are counted by.
type sizes struct {
	area    float64
	assumed bool
	per     map[string]float64
}

func measure(f *facts.Set) sizes {
	s := sizes{area: assumedArea, assumed: true}
	if a, ok := f.Number("roof-area"); ok && a > 0 {
		s.area, s.assumed = a, false
	}
	// Length and width are not asked apart: a roof one and a half times as long
	// as it is wide has this short side and this edge.
	short := math.Sqrt(s.area / 1.5)
	s.per = map[string]float64{
		"job": 1, "roof_m2": s.area, "edge_m": 5 * short, "wall_m": 1.5 * short,
		"parapet_m": 0, "tiled_m": 1.5 * short, "skylight": 1, "fan": usualFan,
	}
	if f.Is("rooflight", "none") {
		s.per["skylight"] = 0
	}
	switch f.Choice("extract") {
	case "none", "into-roof":
		s.per["fan"] = 1
	case "outside":
		s.per["fan"] = 0
	}
	if f.Is("form-also", "parapet-side") {
		s.per["parapet_m"] = 2.5 * short
	}
	return s
}

// Price works out every repair of the pack for this roof.
func Price(f *facts.Set, p *rules.Pack) Result {
	s := measure(f)
	factor := p.Prices.Factor()
	r := Result{Symbol: p.Prices.Symbol, Note: p.Prices.Currency + " " + p.Prices.Year + ", " + p.Prices.Note, Area: math.Round(s.area*100) / 100, Assumed: s.assumed, Region: p.Prices.Use, Risk: p.Prices.Risk}
	opened := anyOpened(f)
	for _, rep := range p.Repairs {
		o := Option{
			ID: rep.ID, Rung: rep.Rung, Name: rep.Name, What: rep.What, Life: rep.Life, Leaves: rep.Leaves,
			Opening: rep.Trust && !opened, Regs: rep.Regs, Call: rep.Call, Source: rep.Source, Why: "repair/" + rep.ID,
		}
		for _, it := range rep.Items {
			e, _ := p.Prices.Price(it.Price)
			n := it.Count * s.per[it.Per]
			if n == 0 {
				continue
			}
			l := Line{Name: e.Name, Count: n, Unit: e.Unit, Low: n * e.Low * factor, High: n * e.High * factor}
			o.Lines = append(o.Lines, l)
			o.Low, o.High = o.Low+l.Low, o.High+l.High
		}
		for _, a := range access(f, p, rep, factor) {
			o.Lines = append(o.Lines, a)
			o.Low, o.High = o.Low+a.Low, o.High+a.High
		}
		o.High *= 1 + p.Prices.Risk
		o.Low, o.High = Round(o.Low), Round(o.High)
		o.Barred = barred(f, rep)
		r.Options = append(r.Options, o)
	}
	return r
}

// access adds what it takes to get up there safely: nothing for making safe and
// for work from the room, at most a tower for small jobs.
func access(f *facts.Set, p *rules.Pack, rep rules.Repair, factor float64) []Line {
	if rep.Rung < 1 || rep.Indoors {
		return nil
	}
	id := map[string]string{"tower": "tower", "scaffold": "scaffold"}[f.Choice("access")]
	switch {
	case id == "" && rep.Rung >= 5:
		id = "scaffold" // a strip cannot be done off a ladder
	case id == "scaffold" && rep.Rung == 1:
		id = "tower"
	}
	e, ok := p.Prices.Price(id)
	if !ok {
		return nil
	}
	return []Line{{Name: e.Name, Count: 1, Unit: e.Unit, Low: e.Low * factor, High: e.High * factor}}
}

// anyOpened tells that somebody has looked inside: an answer about the inside, known by
// opening up. A safety answer marked so by a slip of the finger does not count.
func anyOpened(f *facts.Set) bool {
	for _, id := range f.Questions() {
		if x, _ := f.Get(id); x.Known == "opened" && x.Question.FeedsInto("opening") {
			return true
		}
	}
	return false
}

func barred(f *facts.Set, rep rules.Repair) string {
	if rules.All(rep.Needs, f) == rules.No {
		return "this roof has no such part"
	}
	for _, x := range rep.Forbids {
		if rules.All(x.When, f) == rules.Yes {
			return x.Says
		}
	}
	return ""
}

// FixOf returns the chance that a repair cures a cause: its own entry, or that
// of its group.
func FixOf(rep *rules.Repair, c *rules.Cause) float64 {
	if v, ok := rep.Fix[c.ID]; ok {
		return v
	}
	return rep.Fix["group:"+c.Group]
}

// Round gives a price to the nearest 10, from 1,000 on to the nearest 50: more would pretend.
func Round(x float64) float64 {
	if x < 1000 {
		return math.Round(x/10) * 10
	}
	return math.Round(x/50) * 50
}

// Explain words the price of an option.
func (r *Result) Explain(o Option) explain.Why {
	w := explain.Why{
		ID: o.Why, Title: o.Name, Result: explain.Price(r.Symbol, o.Low, o.High),
		Formula: "sum of count x price, times the region factor; the high end carries the risk allowance",
		Source:  "price book of this program (" + r.Note + "); repair: " + o.Source,
	}
	for _, l := range o.Lines {
		w.Inputs = append(w.Inputs, explain.Input{
			Name: l.Name, Value: fmt.Sprintf("%.3g %s: %s", l.Count, l.Unit, explain.Price(r.Symbol, l.Low, l.High)), From: "price book",
		})
	}
	area := fmt.Sprintf("%.1f m²", r.Area)
	w.Inputs = append(w.Inputs, explain.Input{Name: "Allowance for risk and weather on the high end", Value: fmt.Sprintf("%.0f %%", r.Risk*100), From: "price book"})
	from := "told or measured"
	if r.Assumed {
		from = "assumed, ask for the size"
	}
	w.Inputs = append(w.Inputs, explain.Input{Name: "Size of the roof", Value: area, From: from})
	if len(o.Lines) == 0 {
		w.Note = "No work is priced on this rung."
	}
	w.Note = strings.TrimSpace(w.Note + fmt.Sprintf(" It would cure about %s of what is suspected. Expected loss with it, its price and what it leaves uncured at each cause's damage: %s%s.", explain.Percent(o.Cures), r.Symbol, explain.Thousands(o.Loss)))
	return w
}
