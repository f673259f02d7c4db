package world

import "math"

func insideKinds() []kindOf {
	var out []kindOf
	out = append(out, pipeKinds()...)
	return append(out, trappedKinds()...)
}

func pipeKinds() []kindOf {
	return []kindOf{
		{"pressure-pipe", func(h *House) float64 { return when(h.Pipes != "none", 7) }, func(d dice, h *House) *defect {
			rate, start := d.about(1.5, 5), d.between(0.1, 0.9)
			return &defect{
				indoor: true, id: "pressure-pipe", at: anywhere(d, h), way: &way{soak: 0.6, tau: 2, dries: 0.3}, walks: 0.3, wall: d.chance(0.3), clean: 0.5,
				since: []odd{{"blue", 85}, {"after-work", 10}, {"years", 5}},
				pours: func(s *scene) []float64 {
					out := make([]float64, s.w.Steps())
					for i := int(start * float64(len(out))); i < len(out); i++ {
						out[i] = rate / stepsDay
					}
					return out
				},
				show: func(d dice, h *House) { see(d, h, "pressure-falling", "yes", clamp(0.25+0.25*rate, 0, 0.9)) },
			}
		}},
		{"wet-room-above", func(h *House) float64 { return when(h.Pipes == "wet-room", 18) }, func(d dice, h *House) *defect {
			each1, often := d.about(0.4, 3), d.between(0.3, 1)
			return &defect{
				indoor: true, id: "wet-room-above", at: point{d.between(0.3, h.W-0.3), d.between(0.1, 0.5) * h.D}, way: &way{soak: 0.25, tau: d.about(1, 2), dries: 0.4}, walks: 0.3, wall: d.chance(0.3), clean: 0.55,
				since: []odd{{"blue", 70}, {"years", 15}, {"after-work", 15}},
				pours: each(func(s *scene, i int) float64 {
					if s.used[i] && d.chance(often) {
						return each1 * d.between(0.4, 1.6)
					}
					return 0
				}),
			}
		}},
		{"boiler-condensate", func(h *House) float64 { return when(h.Pipes == "boiler", 12) }, func(d dice, h *House) *defect {
			rate := d.about(0.8, 2.5)
			return &defect{
				indoor: true, id: "boiler-condensate", at: point{h.W - 0.3, d.between(0.2, 0.8) * h.D}, way: &way{soak: 0.3, tau: 1.5, dries: 0.3}, walks: 0.3, wall: d.chance(0.3), clean: 0.6,
				since: []odd{{"blue", 70}, {"after-work", 20}, {"years", 10}},
				pours: each(func(s *scene, i int) float64 { // it burns when it is cold outside
					q := rate * clamp((13-s.w.TempC[i])/12, 0, 1.5) / stepsDay
					if s.w.TempC[i] < -1 { // the pipe freezes and backs up
						q *= 3
					}
					return q
				}),
			}
		}},
	}
}

func trappedKinds() []kindOf {
	return []kindOf{
		{"rained-in", func(h *House) float64 {
			return when(h.Age < 6 && h.Type != "uninsulated", 5*math.Exp(-h.Age/2.5)*map[bool]float64{true: 1.6, false: 0.6}[h.overVapour()])
		}, func(d dice, h *House) *defect {
			store := d.about(35, 2.5)
			h.repair.rained = "yes"
			return &defect{
				id: "rained-in", at: anywhere(d, h), way: &way{soak: 0.2, tau: 3, dries: 0.05}, walks: 0.6, clean: 0.2, many: d.one(odd{"several", 5}, odd{"", 5}),
				since: []odd{{"from-new", 90}, {"blue", 10}},
				pours: func(s *scene) []float64 {
					out := make([]float64, s.w.Steps())
					left := store
					for i := range out { // the sun drives it down as vapour, and some drains at any time
						q := left * (0.004 + 0.10*clamp((s.sheetC[i]-24)/30, 0, 1)) * stepH / 24 * 8
						out[i] = q
						left -= q
					}
					return out
				},
				show: func(d dice, h *House) { see(d, h, "bubbles", "squelch", 0.12) },
			}
		}},
		{"reservoir-after-repair", func(h *House) float64 { return when(h.overVapour() || h.Quilt, 3) }, func(d dice, h *House) *defect {
			store, tau := d.about(15, 2.5), d.between(5, 25)
			h.repair.before = d.one(odd{"once", 7}, odd{"twice", 3})
			h.repair.weeks = d.between(1, 9)
			h.repair.last = "recent-rain"
			h.repair.result = "tailing"
			h.repair.redone[d.one(odd{"field-patch", 5}, odd{"flashing", 3}, odd{"edge", 2}, odd{"outlet", 1})] = true
			return &defect{
				id: "reservoir-after-repair", at: anywhere(d, h), way: &way{soak: 0.1, tau: 4, dries: 0.05}, walks: 0.6, clean: 0.1, since: []odd{{"blue", 50}, {"years", 30}, {"after-work", 20}},
				pours: func(s *scene) []float64 {
					out := make([]float64, s.w.Steps())
					left := store
					from := max(0, len(out)-int(h.repair.weeks*7*stepsDay))
					for i := from; i < len(out); i++ {
						out[i] = left * stepH / 24 / tau
						left -= out[i]
					}
					return out
				},
				show: func(d dice, h *House) { mark(d, h, "patches", 0.8) },
			}
		}},
		{"old-stain", func(*House) float64 { return 1.6 }, func(d dice, h *House) *defect {
			return &defect{
				id: "old-stain", at: anywhere(d, h), noWater: true, since: []odd{{"years", 50}, {"blue", 50}},
				show: func(d dice, h *House) {
					if d.chance(0.4) && h.repair.before == "none" {
						h.repair.before, h.repair.last, h.repair.weeks, h.repair.result = "once", "longer-ago", 80, "year"
						h.repair.redone["field-patch"] = true
					}
				},
			}
		}},
		{"loose-sheet-bubble", func(h *House) float64 { return when(sheet(h) || felt(h), 1.8) }, func(d dice, h *House) *defect {
			return &defect{
				id: "loose-sheet-bubble", at: anywhere(d, h), noWater: true, since: []odd{{"from-new", 45}, {"blue", 55}},
				show: func(d dice, h *House) {
					see(d, h, "bubbles", d.one(odd{"pillows", 75}, odd{"domes", map[bool]float64{true: 40, false: 8}[felt(h)]}), 0.97)
				},
			}
		}},
	}
}

// notListed makes a cause that the knowledge does not have: everyday wet from things
// that are no part of the roof.
func notListed(d dice, h *House) *defect {
	what := pickOf(d, []string{"aquarium", "neighbour's tank", "expansion vessel", "dehumidifier hose", "roof garden line", "air-conditioner tray", "washing machine above", "water softener", "gull's nest water", "bees' nest"})
	x := &defect{unlisted: what, indoor: true, at: anywhere(d, h), way: &way{soak: d.about(0.3, 2), tau: d.about(1.5, 2), dries: 0.3}, walks: 0.3, clean: 0.6, since: []odd{{"blue", 75}, {"years", 15}, {"after-work", 10}}}
	daily := func(litres, hour, often float64) func(s *scene) []float64 {
		return func(s *scene) []float64 {
			out := make([]float64, s.w.Steps())
			for day := range s.w.Days {
				if d.chance(often) {
					at := day*stepsDay + int(clamp(hour+d.normal(0, 1.5), 0, 23)/stepH)
					for k := range 4 {
						if at+k < len(out) {
							out[at+k] = litres / 4 * d.about(1, 1.5)
						}
					}
				}
			}
			return out
		}
	}
	litres := d.about(1.2, 3)
	switch what {
	case "aquarium": // a weep, and slops when it is cleaned
		x.pours = daily(litres*0.3, 19, 0.8)
	case "neighbour's tank": // overflows at night when the mains pressure is high
		x.pours = daily(litres*4, 3, 0.45)
		x.at = point{d.between(0.2, h.W-0.2), 0.1}
		x.clean, x.wall = 0.4, d.chance(0.5)
	case "expansion vessel": // blows off when the heating comes on
		x.pours = each(func(s *scene, i int) float64 {
			if hour := math.Mod(float64(i)*stepH, 24); (hour == 6.5 || hour == 17) && s.w.TempC[i] < 12 {
				return litres * 0.4
			}
			return 0
		})
	case "dehumidifier hose":
		x.pours = daily(litres*2, 14, 0.9)
	case "roof garden line": // waters in dry spells, not in rain
		x.pours = each(func(s *scene, i int) float64 {
			if i < 2*stepsDay || math.Mod(float64(i)*stepH, 24) != 6 || sumOf(s.w.Rain[i-2*stepsDay:i])*stepH > 1.5 {
				return 0
			}
			return litres * 3
		})
	case "air-conditioner tray": // drips on hot afternoons
		x.pours = each(func(s *scene, i int) float64 { return litres * 0.6 * clamp((s.w.TempC[i]-15)/8, 0, 1.5) / 8 * stepH })
	case "washing machine above":
		x.pours = daily(litres*2, 11, 0.3)
		x.clean = 0.8
	case "water softener": // regenerates every few days
		x.pours = daily(litres*5, 2, 0.28)
	case "gull's nest water": // a nest holds rain back and lets it go through a vent cap days later
		held := way{soak: 1.5, tau: 40, dries: 0.3}
		x.pours = func(s *scene) []float64 {
			in := make([]float64, s.w.Steps())
			for i := range in {
				in[i] = s.w.Rain[i] * stepH * 0.25
			}
			return held.through(in)
		}
		x.clean = 0.05
	case "bees' nest": // honey and wax on warm days
		x.pours = each(func(s *scene, i int) float64 { return 0.15 * clamp((s.w.TempC[i]-12)/10, 0, 1.5) * stepH / 24 })
		x.clean = 0
	}
	return x
}

func sumOf(list []float64) float64 {
	t := 0.0
	for _, v := range list {
		t += v
	}
	return t
}
