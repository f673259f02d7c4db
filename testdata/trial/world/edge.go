package world

import "math"

// wallJoint lets in a share of what runs down a wall, over some metres of its length.
func wallJoint(d dice, h *House, id string, share, factor float64) *defect {
	p, run := d.about(share, factor), d.between(0.5, 2.5)
	y := h.besideWall(d)
	return &defect{
		id: id, at: point{d.between(0.3, h.W-0.3), 0.05}, way: &y, walks: 0.3, clean: 0.25, since: wornSlowly,
		many: d.one(odd{"line", 5}, odd{"", 5}),
		pours: each(func(s *scene, i int) float64 {
			return s.wallWater(i, h.Facing) * h.WallH * run * p
		}),
	}
}

// soaking is a wall that drinks first: it fills by rain on its face and then passes a
// share on, and dries slowly.
func soaking(s *scene, area, holds, share, tau, facing float64, fromAll bool) []float64 {
	in := make([]float64, s.w.Steps())
	for i := range in {
		r := s.wallWater(i, facing)
		if fromAll { // a top that rain falls on as well
			r = s.wallWater(i, s.w.From[i])*0.5 + 0.3*s.w.Rain[i]*stepH
		}
		in[i] = r * area
	}
	full := way{soak: holds * area, tau: tau, dries: 0.35 * area}.through(in)
	for i := range full {
		full[i] *= share
	}
	return full
}

func edgeKinds() []kindOf {
	wall := func(h *House) bool { return h.has("house-wall") }
	return []kindOf{
		{"wall-flashing", func(h *House) float64 { return when(wall(h), 9*(0.5+old(h))) }, func(d dice, h *House) *defect {
			x := wallJoint(d, h, "wall-flashing", 0.10, 3)
			x.show = func(d dice, h *House) {
				see(d, h, "wall-flashing-state", d.one(odd{"loose", 6}, odd{"sealant", 3}, odd{"none", 1}), 0.8)
			}
			return x
		}},
		{"missing-cavity-tray", func(h *House) float64 {
			return when(wall(h) && h.state["house-wall-kind"] != "solid" && h.state["weep-holes"] == "none", 5)
		}, func(d dice, h *House) *defect {
			share, holds, run := d.about(0.25, 2), d.between(1.5, 5), d.between(1, 3)
			return &defect{
				id: "missing-cavity-tray", at: point{d.between(0.3, h.W-0.3), 0.02}, way: &way{soak: 0.5, tau: d.about(2.5, 2), dries: 0.2}, walks: 0.2,
				wall: d.chance(0.5), many: d.one(odd{"line", 7}, odd{"", 3}), clean: 0.3, since: []odd{{"from-new", 45}, {"years", 40}, {"blue", 15}},
				pours: func(s *scene) []float64 { return soaking(s, h.WallH*run, holds, share, 3, h.Facing, false) },
				show: func(d dice, h *House) {
					if d.chance(0.45) {
						h.repair.last, h.repair.before, h.repair.weeks = "longer-ago", "twice", 60
						h.repair.redone["flashing"], h.repair.result = true, "no-change"
					}
				},
			}
		}},
		{"wind-driven-wall", func(h *House) float64 {
			return when(wall(h), 2.2*map[bool]float64{true: 2, false: 1}[h.state["house-wall-kind"] == "solid"])
		}, func(d dice, h *House) *defect {
			share, holds, run := d.about(0.2, 2), d.between(3, 9), d.between(1, 2.5)
			return &defect{
				id: "wind-driven-wall", at: point{d.between(0.3, h.W-0.3), 0.02}, walks: 0.1, wall: true, many: "line", clean: 0.35, since: []odd{{"years", 60}, {"blue", 40}},
				pours: func(s *scene) []float64 { return soaking(s, h.WallH*run, holds, share, 8, h.Facing, false) },
				show:  func(d dice, h *House) { see(d, h, "wall-damp-above", "wall-too", 0.8) },
			}
		}},
		{"window-above", func(h *House) float64 { return when(h.has("window-above"), 4) }, func(d dice, h *House) *defect {
			x := wallJoint(d, h, "window-above", 0.15, 2.5)
			x.wall, x.many = d.chance(0.4), ""
			x.show = func(d dice, h *House) { see(d, h, "wall-damp-above", "under-window", 0.65) }
			return x
		}},
		{"wall-angle-split", func(h *House) float64 { return when(wall(h) && !resin(h), 2.6*old(h)) }, func(d dice, h *House) *defect {
			x := rainCrack(d, h, "wall-angle-split", 250, 0.4)
			x.at = point{d.between(0.3, h.W-0.3), 0.1}
			long := d.about(250, 2) / 1000
			o := opening{slit(long, d.about(0.4, 2)/1000, h.thickM()), false, 0.4, bedding(d)}
			x.pours = func(s *scene) []float64 {
				out := o.pours(s)
				for i := range out { // what runs down the wall goes past the angle too
					out[i] += math.Min(0.15, s.wallWater(i, h.Facing)*h.WallH*long*0.2)
				}
				return out
			}
			x.show = func(d dice, h *House) { mark(d, h, "split-line", 0.55) }
			return x
		}},
		{"tile-junction", func(h *House) float64 { return when(h.has("tiled-slope"), 14) }, func(d dice, h *House) *defect {
			run, share := d.between(1, math.Min(4, h.D)), d.about(0.02, 3)
			y := h.besideWall(d)
			hip := h.has("tiled-hip") && d.chance(0.5)
			return &defect{
				id: "tile-junction", at: point{0.1, d.between(0.3, h.D-0.3)}, way: &y, walks: 0.3, clean: 0.25, many: d.one(odd{"line", 6}, odd{"", 4}),
				since: []odd{{"from-new", 40}, {"blue", 30}, {"years", 30}},
				pours: each(func(s *scene, i int) float64 {
					return ((s.w.Rain[i]+s.w.Melt[i])*stepH*1.2 + 0.6*s.wallWater(i, h.Facing+math.Pi/2)) * run * share
				}),
				show: func(d dice, h *House) {
					see(d, h, "tile-apron", "short", 0.75)
					if hip {
						see(d, h, "hip-corner", "open", 0.8)
					}
				},
			}
		}},
		{"tiles-above", func(h *House) float64 { return when(h.has("tiled-slope"), 5.5) }, func(d dice, h *House) *defect {
			share := d.about(0.05, 3)
			y := h.besideWall(d)
			return &defect{
				id: "tiles-above", at: point{0.15, d.between(0.3, h.D-0.3)}, way: &y, walks: 0.4, clean: 0.2,
				since: []odd{{"after-storm", 40}, {"blue", 50}, {"years", 10}},
				pours: each(func(s *scene, i int) float64 {
					return (s.w.Rain[i]*stepH*0.8 + s.wallWater(i, h.Facing+math.Pi/2)) * share
				}),
				show: func(d dice, h *House) { see(d, h, "tile-apron", "slipped", 0.65) },
			}
		}},
		{"open-coping", func(h *House) float64 { return when(h.has("parapet-side"), 10*(0.4+old(h))) }, func(d dice, h *House) *defect {
			share, holds, area := d.about(0.2, 2), d.between(2, 8), d.between(0.4, 1.5)
			return &defect{
				id: "open-coping", at: point{0.05, d.between(0.3, h.D-0.3)}, way: &way{soak: 0.3, tau: d.about(4, 2), dries: 0.2}, walks: 0.2, wall: d.chance(0.45),
				many: d.one(odd{"line", 5}, odd{"", 5}), clean: 0.3, since: []odd{{"years", 50}, {"blue", 50}},
				pours: func(s *scene) []float64 { return soaking(s, area, holds, share, 6, 0, true) },
				show: func(d dice, h *House) {
					see(d, h, "parapet-top", d.one(odd{"open", 7}, odd{"render-blown", 3}), 0.85)
				},
			}
		}},
		{"parapet-upstand", func(h *House) float64 { return when(h.has("parapet-side"), 8*(0.4+old(h))) }, func(d dice, h *House) *defect {
			run, share := d.between(0.5, 2), d.about(0.15, 2.5)
			y := h.besideWall(d)
			facing := h.Facing + math.Pi/2
			return &defect{
				id: "parapet-upstand", at: point{0.08, d.between(0.3, h.D-0.3)}, way: &y, walks: 0.3, clean: 0.25, many: d.one(odd{"line", 4}, odd{"", 6}), since: wornSlowly,
				pours: each(func(s *scene, i int) float64 {
					return (s.wallWater(i, facing)*0.5 + 0.03*s.w.Rain[i]*stepH) * run * share
				}),
				show: func(d dice, h *House) { see(d, h, "parapet-inner", "gaping", 0.75) },
			}
		}},
		{"edge-trim-joint", func(h *House) float64 {
			return when(!h.has("parapet-side") || h.Drainage == "gutter", 4.5*(0.3+old(h)))
		}, func(d dice, h *House) *defect {
			share := d.about(0.04, 3)
			y := h.besideWall(d)
			facing := h.Facing + pickOf(d, []float64{0, math.Pi / 2, -math.Pi / 2})
			return &defect{
				id: "edge-trim-joint", at: point{h.W - 0.1, d.between(0.3, h.D-0.2)}, way: &y, walks: 0.25, clean: 0.25, since: wornSlowly,
				pours: each(func(s *scene, i int) float64 {
					return (s.wallWater(i, facing)*0.4 + s.w.Rain[i]*stepH*0.6 + s.w.Melt[i]*stepH*0.6) * share
				}),
				show: func(d dice, h *House) { see(d, h, "edge-trim-state", "cracked", 0.75) },
			}
		}},
		{"door-threshold", func(h *House) float64 { return when(h.has("door") && h.DoorUp < 110, 16) }, func(d dice, h *House) *defect {
			leak := d.about(0.25, 2.5)
			return &defect{
				id: "door-threshold", at: point{h.W / 2, 0.05}, way: &way{soak: 0.1, tau: 0.5, dries: 0.5}, walks: 0.3, wall: d.chance(0.4), clean: 0.4,
				since: []odd{{"from-new", 45}, {"years", 30}, {"blue", 25}},
				pours: each(func(s *scene, i int) float64 {
					// Splash off the paving and rain on the door run to the sill; standing water and
					// snow climb it.
					splash := s.w.Rain[i] * stepH * math.Exp(-h.DoorUp/40) * 0.3
					rise := math.Max(0, (s.puddle[i]+s.low[i])*1000-h.DoorUp) * 0.2
					if s.w.Snow[i]*8 > h.DoorUp {
						rise += s.w.Melt[i] * stepH * 0.3
					}
					return (splash + 0.1*s.wallWater(i, h.Facing) + rise) * leak
				}),
			}
		}},
		{"low-upstand", func(h *House) float64 { return when(h.Upstand < 85 && (wall(h) || h.Rooflight != "none"), 5) }, func(d dice, h *House) *defect {
			leak := d.about(0.4, 2.5)
			at := point{d.between(0.3, h.W-0.3), 0.08}
			if !wall(h) {
				at = point{h.Sky.x, h.Sky.y + h.SkyL/2}
			}
			y := h.besideWall(d)
			return &defect{
				id: "low-upstand", at: at, way: &y, walks: 0.3, clean: 0.3, since: []odd{{"from-new", 50}, {"years", 30}, {"blue", 20}},
				pours: each(func(s *scene, i int) float64 {
					// Splash reaches some 50 mm in ordinary rain and higher the harder it rains.
					heavy := math.Max(0, s.w.Rain[i]-6) * stepH
					over := math.Max(0, (s.low[i]+s.puddle[i])*1000-h.Upstand) * 0.3
					if s.w.Snow[i]*8 > h.Upstand {
						over += s.w.Melt[i] * stepH * 0.3
					}
					return (heavy*math.Exp(-h.Upstand/50) + over) * leak
				}),
			}
		}},
		{"chimney-stack", func(h *House) float64 { return when(h.has("chimney"), 15) }, func(d dice, h *House) *defect {
			share, holds := d.about(0.15, 2), d.between(4, 12)
			return &defect{
				id: "chimney-stack", at: point{h.W - 0.5, 0.3}, way: &way{soak: 0.2, tau: 3, dries: 0.2}, walks: 0.2, clean: 0.2, tar: d.chance(0.6),
				since: []odd{{"years", 60}, {"blue", 40}},
				pours: func(s *scene) []float64 { return soaking(s, 1.2, holds, share, 8, 0, true) },
			}
		}},
		{"snow-over-upstand", func(h *House) float64 { return when(h.Upstand < 150, 1.2) }, func(d dice, h *House) *defect {
			share := d.about(0.05, 3)
			y := h.besideWall(d)
			return &defect{
				id: "snow-over-upstand", at: point{d.between(0.3, h.W-0.3), 0.1}, way: &y, walks: 0.3, clean: 0.5, since: []odd{{"blue", 100}},
				pours: each(func(s *scene, i int) float64 {
					if s.w.Snow[i] < 8 {
						return 0
					}
					return s.w.Melt[i] * stepH * h.W * share
				}),
			}
		}},
	}
}
