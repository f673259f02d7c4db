package condense

import (
	"fmt"

	"underlap/physics/fabric"
	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// Period is the boundary data of the period method: one spell of condensation and
// one of evaporation.
type Period struct {
	RoomC, OutC   float64 // during condensation, degC
	RoomPa, OutPa float64 // during condensation, Pa
	Condensing    float64 // length, s
	Evaporating   float64 // length, s
	AirPa         float64 // air on both sides during evaporation, Pa
	WetPa         float64 // at the wet plane during evaporation, Pa
	Rsi, Rse      float64 // m2K/W
}

// RoofPeriod returns the boundary data of DIN 4108-3 (2014 and 2018) for roofs: 90
// days of 20 degC and 50 % against -5 degC and 80 %, then 90 days of drying with
// 1200 Pa on both sides and 2000 Pa at the wet plane. For walls set WetPa to 1700.
//
// Source: DIN 4108-3:2014 and 2018.
func RoofPeriod() Period {
	const ninetyDays = 90 * 86400
	return Period{
		RoomC: 20, OutC: -5, RoomPa: 1168, OutPa: 321,
		Condensing: ninetyDays, Evaporating: ninetyDays, AirPa: 1200, WetPa: 2000, Rsi: 0.25, Rse: 0.04,
	}
}

// PeriodPlane is one plane at which water condenses in the period method.
type PeriodPlane struct {
	Plane      int     // layer on its room side, counted from 0
	Sd         float64 // s_d from the room, m
	Rate       float64 // condensation, kg/(m2 s)
	Condensate float64 // kg/m2
	Left       float64 // after the spell of evaporation, kg/m2
}

// PeriodResult is the balance of the period method.
type PeriodResult struct {
	U          float64       // W/m2K
	Plane      int           // layer on the room side of the wettest plane, counted from 0; -1 when none
	Rate       float64       // condensation at all planes, kg/(m2 s)
	Condensate float64       // at all planes, kg/m2
	DryingRate float64       // with all planes wet, kg/(m2 s)
	Capacity   float64       // what could evaporate, kg/m2
	Planes     []PeriodPlane // from the room outwards
}

// PeriodMethod returns the balance of layers, given from the room outwards, over one
// spell of condensation and one of evaporation. Interfaces between layers are the
// only planes looked at: a zone of condensation inside a layer is drawn together at
// its edges.
//
// Several planes dry so: all that are wet have the pressure WetPa, so nothing passes
// between them; the outermost dries outwards and the innermost inwards. When one of
// these is dry its neighbour takes its place, and the last dries to both sides.
// Capacity lets the last plane go on drying beyond what it holds, as with a single
// plane; it is at least Condensate only if all planes dry.
//
// It fails for bad layers or boundary data, for a layer without vapour resistance,
// and when WetPa is below AirPa.
//
// Source: DIN 4108-3:2014 and 2018, with saturation pressure by EN ISO 13788. One
// plane is checked against printed examples; the rule for several planes is from
// memory of the standard and follows from its boundary data.
func PeriodMethod(layers []fabric.Layer, p Period) (PeriodResult, error) {
	res, _, err := periodMethod(layers, p)
	return res, err
}

// section holds thermal resistance from the room air, m2K/W, and s_d from the room,
// m, at each face of the layers.
type section struct{ r, sd []float64 }

func (p *Period) check() error {
	const century = 100 * 365 * 86400
	return check.First("condense: period",
		check.Within("room temperature", p.RoomC, -60, 60), check.Within("outdoor temperature", p.OutC, -60, 60),
		check.Within("room vapour pressure", p.RoomPa, 0, mostPa), check.Within("outdoor vapour pressure", p.OutPa, 0, mostPa),
		check.Within("condensing time", p.Condensing, 0, century), check.Within("evaporating time", p.Evaporating, 0, century),
		check.Within("air vapour pressure", p.AirPa, 0, mostPa), check.Within("wet plane pressure", p.WetPa, p.AirPa, mostPa),
		check.Within("inside surface resistance", p.Rsi, 0, mostR), check.Within("outside surface resistance", p.Rse, 0, mostR),
	)
}

func periodMethod(layers []fabric.Layer, p Period) (PeriodResult, section, error) {
	res := PeriodResult{Plane: -1}
	if err := p.check(); err != nil {
		return res, section{}, err
	}
	s := section{r: []float64{p.Rsi}, sd: []float64{0}}
	for i := range layers {
		r, sd, err := resistances(&layers[i])
		if err != nil {
			return res, section{}, err
		}
		if sd <= 0 {
			return res, section{}, fmt.Errorf("condense: layer %q has no vapour resistance", layers[i].Name)
		}
		s.r = append(s.r, s.r[i]+r)
		s.sd = append(s.sd, s.sd[i]+max(sd, thinnest))
	}
	last := len(layers)
	total := s.r[last] + p.Rse
	if last == 0 || total <= 0 {
		return res, section{}, fmt.Errorf("condense: no layers or no thermal resistance")
	}
	res.U = 1 / total
	bounds := make([]float64, last+1)
	for k, r := range s.r {
		bounds[k] = moistair.PSat(p.RoomC + (p.OutC-p.RoomC)*(r/total))
	}
	bounds[0], bounds[last] = p.RoomPa, p.OutPa
	var t tight
	t.pull(bounds, s.sd, nil)
	most := 0.0
	for i, k := range t.node {
		kg := t.rate[i] * p.Condensing
		if kg <= trace {
			continue
		}
		res.Planes = append(res.Planes, PeriodPlane{Plane: k - 1, Sd: s.sd[k], Rate: t.rate[i], Condensate: kg, Left: kg})
		res.Rate += t.rate[i]
		res.Condensate += kg
		if kg > most {
			res.Plane, most = k-1, kg
		}
	}
	res.dry(s.sd[last], p)
	return res, s, nil
}

// dry runs the spell of evaporation on planes in a roof of s_d sdAll.
func (res *PeriodResult) dry(sdAll float64, p Period) {
	planes, left := res.Planes, p.Evaporating
	for first := true; len(planes) > 0; first = false {
		inner, outer := &planes[0], &planes[len(planes)-1]
		inwards, outwards := p.drying(inner.Sd), p.drying(sdAll-outer.Sd)
		if first {
			res.DryingRate = inwards + outwards
		}
		if inner == outer {
			res.Capacity += (inwards + outwards) * left
			inner.Left = max(0, inner.Left-(inwards+outwards)*left)
			return
		}
		if inner.Left > inwards*left && outer.Left > outwards*left {
			res.Capacity += (inwards + outwards) * left
			inner.Left -= inwards * left
			outer.Left -= outwards * left
			return
		}
		// One of them dries in time, so at least one rate is above 0.
		if inner.Left*outwards <= outer.Left*inwards {
			span := inner.Left / inwards
			res.Capacity += inner.Left + outwards*span
			outer.Left = max(0, outer.Left-outwards*span)
			inner.Left = 0
			planes, left = planes[1:], max(0, left-span)
		} else {
			span := outer.Left / outwards
			res.Capacity += outer.Left + inwards*span
			inner.Left = max(0, inner.Left-inwards*span)
			outer.Left = 0
			planes, left = planes[:len(planes)-1], max(0, left-span)
		}
	}
}

// drying is the flow from a wet plane through sd to the air, kg/(m2 s).
func (p *Period) drying(sd float64) float64 { return delta0 * (p.WetPa - p.AirPa) / sd }

// PlaneBalance is one wet plane at vapour pressure planePa between two airs.
type PlaneBalance struct {
	RoomPa, PlanePa, OutPa float64 // Pa
	SdIn, SdOut            float64 // from room and outdoors to the plane, m
	Permeability           float64 // of still air, kg/(m s Pa); editions differ
}

// Flows returns the vapour that comes from the room and that which leaves
// outwards, kg/(m2 s). What stays is the difference.
//
// Source: DIN 4108-3, flow through a layer by diffusion.
func (b PlaneBalance) Flows() (in, out float64, err error) {
	if err := check.First("condense: plane",
		check.NotNegative("room vapour pressure", b.RoomPa), check.NotNegative("plane vapour pressure", b.PlanePa), check.NotNegative("outdoor vapour pressure", b.OutPa),
		check.Positive("inner s_d", b.SdIn), check.Positive("outer s_d", b.SdOut), check.Positive("permeability", b.Permeability),
	); err != nil {
		return 0, 0, err
	}
	return b.Permeability * (b.RoomPa - b.PlanePa) / b.SdIn, b.Permeability * (b.PlanePa - b.OutPa) / b.SdOut, nil
}

// DrySdOut returns the outer s_d in m up to which nothing condenses at the plane. It
// fails when the room is no damper than the plane.
//
// Source: as Flows, with both flows equal.
func (b PlaneBalance) DrySdOut() (float64, error) {
	if err := check.First("condense: plane", check.Positive("inner s_d", b.SdIn), check.Positive("excess of the room over the plane", b.RoomPa-b.PlanePa), check.Finite("outdoor vapour pressure", b.OutPa)); err != nil {
		return 0, err
	}
	return b.SdIn * (b.PlanePa - b.OutPa) / (b.RoomPa - b.PlanePa), nil
}
