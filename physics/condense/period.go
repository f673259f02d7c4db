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

// PeriodResult is the balance of the period method.
type PeriodResult struct {
	U          float64 // W/m2K
	Plane      int     // layer on the room side of the wet plane, counted from 0; -1 when none
	Rate       float64 // condensation, kg/(m2 s)
	Condensate float64 // kg/m2
	DryingRate float64 // kg/(m2 s)
	Capacity   float64 // what could evaporate, kg/m2
}

// PeriodMethod returns the balance of layers, given from the room outwards, over one
// spell of condensation and one of evaporation. Interfaces between layers are the
// only planes looked at. It fails when condensation falls in more than one plane,
// for which the standard has further rules.
//
// Source: DIN 4108-3:2014 and 2018, with saturation pressure by EN ISO 13788.
func PeriodMethod(layers []fabric.Layer, p Period) (PeriodResult, error) {
	res := PeriodResult{Plane: -1}
	if err := check.First("condense: period",
		check.Within("room temperature", p.RoomC, -60, 60), check.Within("outdoor temperature", p.OutC, -60, 60),
		check.NotNegative("room vapour pressure", p.RoomPa), check.NotNegative("outdoor vapour pressure", p.OutPa),
		check.NotNegative("condensing time", p.Condensing), check.NotNegative("evaporating time", p.Evaporating),
		check.NotNegative("air vapour pressure", p.AirPa), check.NotNegative("wet plane pressure", p.WetPa),
		check.NotNegative("inside surface resistance", p.Rsi), check.NotNegative("outside surface resistance", p.Rse),
	); err != nil {
		return res, err
	}
	r, sd := []float64{p.Rsi}, []float64{0}
	for _, l := range layers {
		rl, err := l.Resistance()
		if err != nil {
			return res, err
		}
		sl, err := l.VapourResistance()
		if err != nil {
			return res, err
		}
		if sl <= 0 {
			return res, fmt.Errorf("condense: layer %q has no vapour resistance", l.Name)
		}
		r = append(r, r[len(r)-1]+rl)
		sd = append(sd, sd[len(sd)-1]+sl)
	}
	total := r[len(r)-1] + p.Rse
	if len(layers) == 0 || total <= 0 {
		return res, fmt.Errorf("condense: no layers or no thermal resistance")
	}
	res.U = 1 / total
	n := len(sd)
	w := Workspace{p: make([]float64, n), water: make([]float64, n), rate: make([]float64, n)}
	for k := range r {
		w.p[k] = moistair.PSat(p.RoomC + (p.OutC-p.RoomC)*r[k]/total)
	}
	w.p[0], w.p[n-1] = p.RoomPa, p.OutPa
	w.string(sd)
	node := -1
	for k, rate := range w.rate {
		if rate*p.Condensing <= trace {
			continue
		}
		if node >= 0 {
			return res, fmt.Errorf("condense: condensation in more than one plane")
		}
		node = k
	}
	if node < 0 {
		return res, nil
	}
	res.Plane = node - 1
	res.Rate = w.rate[node]
	res.Condensate = res.Rate * p.Condensing
	res.DryingRate = delta0 * (p.WetPa - p.AirPa) * (1/sd[node] + 1/(sd[n-1]-sd[node]))
	res.Capacity = res.DryingRate * p.Evaporating
	return res, nil
}

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
