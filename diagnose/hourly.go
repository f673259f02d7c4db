package diagnose

import (
	"context"
	"slices"

	"underlap/diagnose/calc"
	"underlap/diagnose/casefile"
	"underlap/diagnose/explain"
	"underlap/diagnose/facts"
	"underlap/physics/climate"
	"underlap/rules"
)

// Course is what may be followed hour by hour beside the reading, or nil. It takes up to
// a second or two, changes nothing in the ranking of causes, and may run beside
// anything; With puts what it finds into the reading.
func (r *Reading) Course() *calc.Course { return r.course }

// With returns the reading with what its Course found: in place of the finding with the
// same id, or after the rest. The reading itself stays as it is.
func (r *Reading) With(h *calc.Hourly) *Reading {
	out := *r
	out.Findings, out.Whys = slices.Clone(r.Findings), slices.Clone(r.Whys)
	out.Hourly = "done"
	for _, f := range h.Findings {
		if i := slices.IndexFunc(out.Findings, func(x explain.Finding) bool { return x.ID == f.ID }); i >= 0 {
			out.Findings[i] = f
			continue
		}
		out.Findings = append(out.Findings, f)
	}
	for _, y := range h.Whys {
		if i := slices.IndexFunc(out.Whys, func(x explain.Why) bool { return x.ID == y.ID }); i >= 0 {
			// The monthly sum stays to be seen: the two methods check one another.
			y.Inputs = append(slices.Clone(y.Inputs), explain.Input{Name: "By months instead", Value: out.Whys[i].Result, From: out.Whys[i].Source})
			out.Whys[i] = y
			continue
		}
		out.Whys = append(out.Whys, y)
	}
	return &out
}

// ConsultFully is Consult with all that takes longer worked out as well: what is followed
// hour by hour, in the weather of the case's place or, when it is not nil, of year, and
// how far the conclusion hangs on the knowledge's numbers. It fails when the year
// lacks something that the sums need.
func ConsultFully(ctx context.Context, c *casefile.Case, pack *rules.Pack, year *climate.Hourly) (*Reading, error) {
	if year != nil {
		if err := calc.CheckYear(year); err != nil {
			return nil, err
		}
	}
	state := c.State()
	r, err := consult(c, state, facts.From(state, pack), pack, &memory{year: year})
	if err != nil {
		return nil, err
	}
	if r.course != nil {
		h, err := r.course.Run(ctx)
		if err != nil {
			return nil, err
		}
		r = r.With(h)
	}
	if r.doubts != nil {
		found, err := r.doubts.Run(ctx)
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case err != nil: // a side job: the reading stands without it
			r = r.WithoutDoubts(err)
		default:
			r = r.WithDoubts(found)
		}
	}
	return r, nil
}
