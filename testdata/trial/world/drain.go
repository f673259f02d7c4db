package world

import "math"

// overTop lets water in where it stands higher than the lowest joint, m.
func overTop(id string, at point, joint, leak float64) *defect {
	return &defect{
		id: id, at: at, way: &way{soak: 0.3, tau: 0.5, dries: 0.5}, walks: 0.4, clean: 0.5, many: "several", since: wornSlowly,
		pours: each(func(s *scene, i int) float64 {
			// A gap of a third of a millimetre along the joint passes so much a metre of water.
			return math.Max(0, s.low[i]-joint) * leak * stepH
		}),
	}
}

func drainKinds() []kindOf {
	inside := func(h *House) bool { return h.Drainage == "outlet" || h.Drainage == "scupper" }
	return []kindOf{
		{"outlet-seal", func(h *House) float64 { return when(inside(h), 9) }, func(d dice, h *House) *defect {
			leak := d.about(0.03, 3) // share of the run-off at the bowl, more as it stands
			return &defect{
				id: "outlet-seal", at: h.Outlet, way: &way{soak: d.about(0.3, 2), tau: d.about(0.7, 2), dries: 0.4}, walks: 0.15, clean: 0.35,
				since: []odd{{"from-new", 20}, {"blue", 55}, {"years", 25}},
				pours: each(func(s *scene, i int) float64 {
					return (s.w.Rain[i] + s.w.Melt[i]) * stepH * h.area() * 0.15 * leak * (1 + s.low[i]*40)
				}),
				show: func(d dice, h *House) {
					see(d, h, "outlet-joint", d.one(odd{"tucked", 6}, odd{"mastic", 4}), 0.8)
				},
			}
		}},
		{"blocked-outlet", func(h *House) float64 { return when(inside(h), 10) + when(!inside(h), 1.5) }, func(d dice, h *House) *defect {
			if !inside(h) { // a gutter choked so far that the roof edge stands in water
				h.Flow = d.between(0.03, 0.15)
				leak := d.about(0.03, 3)
				x := overTop("blocked-outlet", point{d.between(0.3, h.W-0.3), h.D - 0.1}, 0, 0)
				x.pours = each(func(s *scene, i int) float64 { return s.spill[i] * stepH * leak })
				x.show = blockedSigns
				return x
			}
			h.Flow = d.between(0, 0.06)
			x := overTop("blocked-outlet", h.Outlet, math.Min(h.Upstand, d.between(25, 90))/1000, d.about(300, 2.5))
			x.at.x = d.between(0.3, h.W-0.3)
			x.show = func(d dice, h *House) {
				blockedSigns(d, h)
				see(d, h, "silt-line", d.one(odd{"high", 7}, odd{"low", 3}), 0.7)
			}
			x.since = []odd{{"blue", 75}, {"after-storm", 25}}
			return x
		}},
		{"undersized-drainage", func(h *House) float64 {
			return when(inside(h) && (h.OutletMM < 66 || h.OtherDrains > 15), 6)
		}, func(d dice, h *House) *defect {
			h.Guard = true
			h.OtherDrains = math.Max(h.OtherDrains, map[bool]float64{true: d.between(20, 60), false: 0}[d.chance(0.5)])
			h.Upstand = math.Min(h.Upstand, d.between(30, 70))
			x := overTop("undersized-drainage", h.Outlet, d.between(0.02, 0.045), d.about(300, 2.5))
			x.since = []odd{{"from-new", 45}, {"years", 35}, {"blue", 20}}
			x.show = func(d dice, h *House) { see(d, h, "silt-line", d.one(odd{"high", 3}, odd{"low", 7}), 0.5) }
			return x
		}},
		{"gutter-overflow", func(h *House) float64 { return when(h.Drainage == "gutter", 4) }, func(d dice, h *House) *defect {
			h.Flow = d.between(0.15, 0.55)
			back := d.about(0.05, 2.5)
			return &defect{
				id: "gutter-overflow", at: point{d.between(0.3, h.W-0.3), h.D - 0.02}, way: &way{soak: 0.4, tau: 0.8, dries: 0.5}, walks: 0.2, wall: d.chance(0.5),
				many: d.one(odd{"line", 6}, odd{"", 4}), clean: 0.45, since: []odd{{"blue", 60}, {"years", 25}, {"after-storm", 15}},
				pours: each(func(s *scene, i int) float64 { return s.spill[i] * stepH * back }),
				show: func(d dice, h *House) {
					see(d, h, "gutter-state", d.one(odd{"behind", 7}, odd{"brims", 3}), 0.75)
					see(d, h, "outlet-blocked", "some-leaves", 0.5)
				},
			}
		}},
		{"run-back-drip", func(h *House) float64 { return when(h.Drainage == "gutter", 1.6) }, func(d dice, h *House) *defect {
			back := d.about(0.004, 2.5)
			return &defect{
				id: "run-back-drip", at: point{d.between(0.3, h.W-0.3), h.D - 0.02}, way: &way{soak: 0.3, tau: 0.8, dries: 0.5}, walks: 0.1, many: "line", clean: 0.3,
				since: []odd{{"from-new", 45}, {"years", 40}, {"blue", 15}},
				pours: each(func(s *scene, i int) float64 { return (s.w.Rain[i] + s.w.Melt[i]) * stepH * h.area() * back }),
				show:  func(d dice, h *House) { see(d, h, "drip-edge", "tight", 0.85) },
			}
		}},
		{"great-storm", func(*House) float64 { return 2 }, func(d dice, h *House) *defect {
			leak := d.about(0.02, 3)
			return &defect{
				id: "great-storm", at: point{d.between(0.3, h.W-0.3), d.between(0, 1) * h.D}, way: &way{soak: 0.3, tau: 0.5, dries: 0.5}, walks: 0.4, clean: 0.5,
				many: d.one(odd{"several", 5}, odd{"", 5}), since: []odd{{"after-storm", 90}, {"blue", 10}},
				pours: func(s *scene) []float64 {
					out := make([]float64, s.w.Steps())
					for i := range out {
						if s.w.Rain[i] > 55 || s.w.Wind[i] > 20 && s.w.Rain[i] > 6 {
							out[i] = s.w.Rain[i] * stepH * h.area() * leak
						}
					}
					return out
				},
			}
		}},
		{"hidden-rain-pipe", func(h *House) float64 { return when(h.RainPipeInside, 14) }, func(d dice, h *House) *defect {
			leak := d.about(0.01, 3)
			return &defect{
				id: "hidden-rain-pipe", at: point{h.Outlet.x, h.D - 0.3}, walks: 0.1, wall: d.chance(0.6), clean: 0.6, since: wornSlowly,
				pours: each(func(s *scene, i int) float64 { return s.w.Rain[i] * stepH * h.area() * leak }),
			}
		}},
	}
}

func blockedSigns(d dice, h *House) {
	see(d, h, "outlet-blocked", d.one(odd{"blocked", 75}, odd{"cured", 12}, odd{"some-leaves", 13}), 0.85)
	if h.Drainage == "gutter" {
		see(d, h, "gutter-state", "brims", 0.7)
	}
}

// storm puts a storm on record into the weather: a burst that no domestic roof is
// drained for, or a gale with rain under it.
func storm(d dice, w *Weather) {
	at := d.IntN(w.Steps()-2*stepsDay) + stepsDay
	if d.chance(0.55) {
		for k := range 2 + d.IntN(2) {
			w.Rain[at+k] = d.between(60, 130)
		}
		return
	}
	for k := range 10 + d.IntN(20) {
		w.Wind[at+k], w.From[at+k], w.Rain[at+k] = d.between(21, 29), 1.25*math.Pi, d.between(6, 14)
	}
}
