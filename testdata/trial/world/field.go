package world

import "math"

// rainHole is a hole in the field: mm2 open, perhaps in the hollow.
func rainHole(d dice, h *House, id string, mm2, factor float64) *defect {
	o := opening{flow: roundHole(d.about(mm2, factor) * 1e-6), deep: h.Hollow > 4 && d.chance(0.35), strip: d.between(0.2, 0.8) * h.D, bed: bedding(d)}
	y := h.down(d)
	return &defect{
		id: id, at: anywhere(d, h), way: &y, walks: h.walk(), clean: 0.25, since: wornSlowly,
		pours: o.pours,
	}
}

// rainCrack is a crack or open joint: mm long and mm wide.
func rainCrack(d dice, h *House, id string, long, wide float64) *defect {
	o := opening{flow: slit(d.about(long, 2.5)/1000, d.about(wide, 2)/1000, h.thickM()), deep: h.Hollow > 4 && d.chance(0.35), strip: d.between(0.3, 1) * h.D, bed: bedding(d)}
	y := h.down(d)
	return &defect{
		id: id, at: anywhere(d, h), way: &y, walks: h.walk(), clean: 0.25, since: wornSlowly,
		pours: o.pours,
	}
}

// bedding is the share of free flow that a hole passes: the sheet lies on a deck.
func bedding(d dice) float64 { return math.Min(1, d.about(0.15, 3)) }

// walk is how far water goes between hole and stain, m: along a vapour layer for
// metres, through an open deck hardly.
func (h *House) walk() float64 {
	if h.overVapour() {
		return 1.3
	}
	return 0.35
}

func fieldKinds() []kindOf {
	return []kindOf{
		{"open-lap", func(h *House) float64 { return when(!resin(h), 5*(0.4+old(h))) }, func(d dice, h *House) *defect {
			x := rainCrack(d, h, "open-lap", 150, 0.3)
			x.show = func(d dice, h *House) { mark(d, h, "open-lap", 0.6) }
			return x
		}},
		{"puncture", func(h *House) float64 {
			return when(true, 3.2) * map[bool]float64{true: 2.4, false: 1}[h.Trades] * map[bool]float64{true: 0.3, false: 1}[h.Covering == "grp"]
		}, func(d dice, h *House) *defect {
			x := rainHole(d, h, "puncture", 12, 4)
			x.since = []odd{{"blue", 55}, {"after-work", map[bool]float64{true: 55, false: 8}[h.Trades]}, {"after-storm", 10}}
			x.show = func(d dice, h *House) { mark(d, h, "cut", 0.5) }
			return x
		}},
		{"split-over-deck-joint", func(h *House) float64 { return when(felt(h) || h.Covering == "asphalt", 4*old(h)) }, func(d dice, h *House) *defect {
			x := rainCrack(d, h, "split-over-deck-joint", 300, 0.4)
			x.show = func(d dice, h *House) { mark(d, h, "split-line", 0.7) }
			return x
		}},
		{"worn-out-covering", func(h *House) float64 {
			return when(h.Age > 10, map[bool]float64{true: 9, false: 3}[felt(h)]*old(h)*old(h))
		}, func(d dice, h *House) *defect {
			n := 3 + d.IntN(8)
			area := float64(n) * d.about(3, 2.5) * 1e-6
			y := h.down(d)
			return &defect{
				id: "worn-out-covering", at: anywhere(d, h), way: &y, walks: h.walk(), many: "several", clean: 0.15,
				since: []odd{{"years", 45}, {"blue", 55}},
				pours: opening{roundHole(area), h.Hollow > 4, h.area() / 2, bedding(d)}.pours,
				show:  func(d dice, h *House) { mark(d, h, "worn", 0.88); mark(d, h, "patches", 0.4) },
			}
		}},
		{"laminate-crack", func(h *House) float64 { return when(resin(h), 9*(0.5+old(h))) }, func(d dice, h *House) *defect {
			x := rainCrack(d, h, "laminate-crack", 200, 0.15)
			x.show = func(d dice, h *House) { mark(d, h, "hairline", 0.6) }
			return x
		}},
		{"burst-blister", func(h *House) float64 { return when(felt(h), 1.6*old(h)) }, func(d dice, h *House) *defect {
			x := rainHole(d, h, "burst-blister", 15, 3)
			x.show = func(d dice, h *House) { see(d, h, "bubbles", "split", 0.75) }
			return x
		}},
		{"fastener-pop", func(h *House) float64 { return when(felt(h), 1.2) }, func(d dice, h *House) *defect {
			x := rainHole(d, h, "fastener-pop", 5, 3)
			x.many = d.one(odd{"", 6}, odd{"several", 4})
			x.show = func(d dice, h *House) { mark(d, h, "nail-heads", 0.65) }
			return x
		}},
		{"pond-seep", func(h *House) float64 { return when(h.Hollow > 8, 5) }, func(d dice, h *House) *defect {
			area := d.about(1.2, 2.5) * 1e-6
			y := h.down(d)
			return &defect{
				id: "pond-seep", at: anywhere(d, h), way: &y, walks: h.walk(), clean: 0.25, since: wornSlowly,
				pours: opening{roundHole(area), true, 0.3, bedding(d)}.pours,
			}
		}},
		{"sheet-shrinkage", func(h *House) float64 { return when(sheet(h), 3*(0.4+old(h))) }, func(d dice, h *House) *defect {
			x := rainCrack(d, h, "sheet-shrinkage", 120, 0.3)
			x.at = point{d.between(0.2, h.W-0.2), 0.1}
			x.show = func(d dice, h *House) { mark(d, h, "pulled-corners", 0.8) }
			return x
		}},
		{"pipe-collar", func(h *House) float64 { return when(h.has("pipes"), 9) }, func(d dice, h *House) *defect {
			x := rainHole(d, h, "pipe-collar", 25, 3)
			y := way{soak: d.about(0.2, 2), tau: d.about(0.5, 2), dries: 0.5} // down the pipe itself
			x.at, x.way, x.walks, x.clean = h.Pipe, &y, 0.15, 0.35
			x.show = func(d dice, h *House) { see(d, h, "pipe-collar-state", "split", 0.75) }
			return x
		}},
		{"rooflight-kerb", func(h *House) float64 {
			return when(h.Rooflight != "none", 6+6*map[bool]float64{true: 1, false: 0}[h.Kerb < 100])
		}, func(d dice, h *House) *defect {
			x := rainCrack(d, h, "rooflight-kerb", 60, 0.5)
			x.pours = opening{slit(d.about(60, 2)/1000, d.about(0.5, 2)/1000, h.thickM()), h.Hollow > 10, h.SkyW * h.D / 2, bedding(d)}.pours
			x.at = point{h.Sky.x + d.between(-0.5, 0.5)*h.SkyW, h.Sky.y + h.SkyL/2}
			y := way{soak: d.about(0.15, 2), tau: d.about(0.6, 2), dries: 0.4}
			x.way, x.walks, x.clean = &y, 0.12, 0.3
			x.since = []odd{{"from-new", 25}, {"blue", 45}, {"years", 30}}
			x.show = func(d dice, h *House) {
				see(d, h, "kerb-dressing", d.one(odd{"slit", 6}, odd{"mastic", 4}), 0.75)
				see(d, h, "rooflight-wet", "boxing", 0.7)
			}
			return x
		}},
		{"rooflight-glazing", func(h *House) float64 { return when(h.Rooflight != "none", 5*(0.4+old(h))) }, func(d dice, h *House) *defect {
			share := d.about(0.004, 3)
			return &defect{
				id: "rooflight-glazing", at: h.Sky, way: &way{soak: 0.02, tau: 0.15, dries: 0.5}, walks: 0.05, clean: 0.7, since: wornSlowly,
				pours: each(func(s *scene, i int) float64 {
					return (s.w.Rain[i]*stepH*(1+0.08*s.w.Wind[i])*h.SkyW*h.SkyL + s.w.Melt[i]*stepH*0.3) * share
				}),
				show: func(d dice, h *House) {
					see(d, h, "glazing-edge", d.one(odd{"silicone", 5}, odd{"shrunk", 4}), 0.7)
					see(d, h, "rooflight-wet", "glass-edge", 0.75)
				},
			}
		}},
	}
}
