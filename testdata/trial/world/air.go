package world

import (
	"math"

	"underlap/physics/moistair"
)

// sweats makes a defect of a cold surface over the ceiling.
func sweats(d dice, h *House, id string, v func(s *scene) sweat) *defect {
	x := &defect{id: id, at: anywhere(d, h), walks: 0.2, clean: 0.55, many: "several", indoor: true, since: []odd{{"from-new", 45}, {"years", 35}, {"blue", 20}}}
	share := new(float64)
	x.pours = func(s *scene) []float64 {
		out, f := v(s).run(s)
		*share = f
		return out
	}
	if id == "cold-roof-condensation" {
		x.relabel = func() string {
			if *share > 0.5 { // most of what came down had been frost
				return "frost-thaw"
			}
			return id
		}
	}
	return x
}

// onGlass is water that settles on a surface in the room and runs off it.
func onGlass(s *scene, area, f, film float64) []float64 {
	out := make([]float64, s.w.Steps())
	beta := 4.0 / (1.2 * 1006 * 461.5 * 285)
	held := 0.0
	for i := range out {
		surface := s.w.TempC[i] + f*(s.h.RoomC-s.w.TempC[i])
		held = math.Max(0, held+beta*area*(s.roomPa[i]-moistair.PSat(surface))*stepH*3600)
		if over := held - film*area; over > 0 {
			out[i] = over * 0.5
			held -= out[i]
		}
	}
	return out
}

// damp is the share of the window in which a surface with factor f was over 80 %.
func (s *scene) damp(f float64) float64 {
	n := 0
	for i := range s.roomPa {
		if s.dampAt(i, f) {
			n++
		}
	}
	return float64(n) / float64(len(s.roomPa))
}

func (s *scene) dampAt(i int, f float64) bool {
	return s.roomPa[i] > 0.8*moistair.PSat(s.w.TempC[i]+f*(s.h.RoomC-s.w.TempC[i]))
}

func airKinds() []kindOf {
	coldVoid := func(h *House) bool { return h.Type == "cold" || h.Type == "uninsulated" }
	voidSweat := func(d dice, h *House) *defect {
		// The vents do not do what they should, or the room is too damp for them.
		h.VentACH *= d.between(0.05, 0.6)
		bay := d.between(0.4, 1)
		x := sweats(d, h, "cold-roof-condensation", func(s *scene) sweat {
			return sweat{
				area: h.area() * bay, leak: h.ceilingLeak() * bay, sd: h.CeilingSD, vent: h.ventFlow() * bay, holds: 0.12,
				coldC: func(i int) float64 { return s.deckC[i] },
			}
		})
		if h.Downlights > 3 {
			x.many = d.one(odd{"grid", 4}, odd{"several", 6})
		}
		x.show = func(d dice, h *House) {
			see(d, h, "downlight-marks", "drips", 0.3)
			see(d, h, "cold-ceiling", d.one(odd{"all", 1}, odd{"edge", 1}), 0.25)
		}
		return x
	}
	return []kindOf{
		{"cold-roof-condensation", func(h *House) float64 {
			return when(coldVoid(h), 8*map[bool]float64{true: 0.35, false: 1}[h.Vents == "two-sides" && h.Blocked != "all"])
		}, voidSweat},
		{"frost-thaw", func(h *House) float64 { return when(coldVoid(h), 2.5) }, voidSweat},
		{"downlight-air-leak", func(h *House) float64 {
			return when((coldVoid(h) || h.Type == "hybrid") && h.Downlights > 0 && h.DownlightKind != "sealed", 6*map[bool]float64{true: 1.5, false: 1}[h.DownlightKind == "open"])
		}, func(d dice, h *House) *defect {
			n := 1 + d.IntN(min(4, h.Downlights))
			x := sweats(d, h, "downlight-air-leak", func(s *scene) sweat {
				// The jet of a fitting strikes its own piece of deck before the void dilutes it.
				return sweat{
					area: 0.35 * float64(n), leak: h.fittingCM2() * float64(n) * 1e-4, sd: 50, vent: h.ventFlow() * 0.02 * float64(n), holds: 0.10,
					coldC: func(i int) float64 { return s.deckC[i] + 0.5 },
				}
			})
			x.at, x.walks = pickOf(d, h.Fittings), 0.05
			x.many = ""
			if n > 1 {
				x.many = d.one(odd{"grid", 5}, odd{"several", 5})
			}
			x.show = func(d dice, h *House) {
				see(d, h, "downlight-marks", d.one(odd{"drips", 6}, odd{"halo", 4}), 0.8)
			}
			return x
		}},
		{"wrong-order-layers", func(h *House) float64 {
			return when(h.Type == "on-joists", 14) + when((h.Type == "warm" || h.Type == "hybrid") && h.VapourLayer == "none", 8)
		}, func(d dice, h *House) *defect {
			x := sweats(d, h, "wrong-order-layers", func(s *scene) sweat {
				return sweat{
					area: h.area() * 0.7, leak: h.ceilingLeak() * 0.35, sd: h.CeilingSD, vent: 0.0003, holds: 0.15,
					coldC: func(i int) float64 { return s.sheetC[i] + 0.5 },
				}
			})
			return x
		}},
		{"bypassed-insulation", func(h *House) float64 {
			return when((h.Type == "warm" || h.Type == "hybrid") && (h.Vents != "none" || h.state["warm-stops"] == "gap"), 14)
		}, func(d dice, h *House) *defect {
			x := sweats(d, h, "bypassed-insulation", func(s *scene) sweat {
				return sweat{
					area: h.area() * 0.3, leak: h.ceilingLeak() * 0.3, sd: h.CeilingSD, vent: d.between(0.0005, 0.004), holds: 0.10,
					coldC: func(i int) float64 { return s.w.TempC[i] + 0.25*(s.h.RoomC-s.w.TempC[i]) },
				}
			})
			void, f := x.pours, d.between(0.5, 0.72)
			x.pours = func(s *scene) []float64 {
				out := void(s)
				if s.damp(f) > 0.35 { // the ceiling is cold, and moulds without a drop
					for i := range out {
						if s.dampAt(i, f) {
							out[i] += 1e-4
						}
					}
				}
				return out
			}
			x.at, x.many, x.mould = point{0.2, d.between(0.3, h.D-0.3)}, d.one(odd{"line", 6}, odd{"several", 4}), true
			x.show = func(d dice, h *House) {
				see(d, h, "warm-stops", "gap", 0.8)
				see(d, h, "cold-ceiling", d.one(odd{"edge", 7}, odd{"all", 3}), 0.85)
			}
			return x
		}},
		{"rooflight-condensation", func(h *House) float64 { return when(h.Rooflight != "none", 7) }, func(d dice, h *House) *defect {
			f := map[string]float64{"single": 0.45, "double": 0.62, "triple": 0.72}[h.Glass] - map[bool]float64{true: 0.05, false: 0}[h.KerbKind == "timber"]
			area := (h.SkyW + h.SkyL) * 2 * 0.1
			if h.Glass == "single" {
				area = h.SkyW * h.SkyL
			}
			return &defect{
				id: "rooflight-condensation", at: h.Sky, walks: 0.03, clean: 0.85, indoor: true, since: []odd{{"from-new", 55}, {"years", 30}, {"blue", 15}},
				pours: func(s *scene) []float64 { return onGlass(s, area, f, 0.04) },
				show:  func(d dice, h *House) { see(d, h, "rooflight-wet", "beads", 0.9) },
			}
		}},
		{"cold-bridge", func(*House) float64 { return 5 }, func(d dice, h *House) *defect {
			f := d.between(0.45, 0.72)
			at := pickOf(d, []point{{d.between(0.3, h.W-0.3), 0.1}, {h.W - 0.1, d.between(0.3, h.D-0.3)}, {d.between(0.3, h.W-0.3), h.D - 0.1}})
			if h.Rooflight != "none" && d.chance(0.3) {
				at = point{h.Sky.x, h.Sky.y - h.SkyL/2}
			}
			return &defect{
				id: "cold-bridge", at: at, walks: 0.02, clean: 1, many: "line", mould: true, indoor: true, since: []odd{{"from-new", 35}, {"years", 55}, {"blue", 10}},
				pours: func(s *scene) []float64 {
					out := onGlass(s, 0.6, f, 0.03)
					if s.damp(f) > 0.35 { // mould by itself, without a drop: a trace marks its hours
						for i := range out {
							if s.dampAt(i, f) {
								out[i] += 1e-4
							}
						}
					}
					return out
				},
				show: func(d dice, h *House) {
					see(d, h, "cold-ceiling", "edge", 0.55)
					if h.has("tiled-slope") || h.has("parapet-side") {
						see(d, h, "warm-stops", "gap", 0.4)
					}
				},
			}
		}},
		{"loose-duct", func(h *House) float64 {
			return when((h.Use == "bathroom" || h.Use == "kitchen" || h.Use == "utility") && h.Extract != "none", 6)
		}, func(d dice, h *House) *defect {
			h.Extract = "into-roof"
			each1 := d.about(0.18, 2.2)
			return &defect{
				id: "loose-duct", at: anywhere(d, h), way: &way{soak: 0.05, tau: 0.7, dries: 0.5}, walks: 0.2, clean: 0.7, indoor: true, since: []odd{{"from-new", 35}, {"after-work", 15}, {"blue", 30}, {"years", 20}},
				pours: each(func(s *scene, i int) float64 {
					if !s.used[i] {
						return 0
					}
					return each1 * clamp((15-s.w.TempC[i])/12, 0, 1.3) // it condenses in a cold duct
				}),
			}
		}},
		{"construction-water", func(h *House) float64 { return when(h.repair.wetTrades == "yes", 16) }, func(d dice, h *House) *defect {
			h.ExtraPa += d.between(350, 800)
			x := sweats(d, h, "construction-water", func(s *scene) sweat {
				cold := func(i int) float64 { return s.deckC[i] }
				if h.overVapour() { // the kerb, the edges, the frame
					cold = func(i int) float64 { return s.w.TempC[i] + 0.4*(h.RoomC-s.w.TempC[i]) }
				}
				return sweat{
					area: h.area() * 0.3, leak: h.ceilingLeak()*0.4 + 1e-3, sd: h.CeilingSD, vent: h.ventFlow() * 0.2, holds: 0.1, coldC: cold,
				}
			})
			x.since, x.mould = []odd{{"from-new", 100}}, true
			return x
		}},
	}
}
