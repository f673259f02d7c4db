package airflow

import (
	"math"

	"underlap/physics/internal/check"
	"underlap/physics/moistair"
)

// Through is a layer with air passing evenly through it from side 1 to side 2.
type Through struct {
	Mass      float64 // air, kg/(m2 s); negative from side 2 to side 1
	Thickness float64 // m
	Lambda    float64 // W/(m K)
	Mu        float64
	T1, T2    float64 // degC
	P1, P2    float64 // vapour pressure, Pa
}

// Flows returns the heat flow in W/m2, counted from 0 degC, and the vapour flow in
// kg/(m2 s) from side 1 to side 2 by air and by conduction or diffusion together.
// Without air it is conduction and diffusion alone.
//
// Source: OENORM B 8110-2:2020 clause 11; Hagentoft, Introduction to Building
// Physics.
func (t Through) Flows() (heat, vapour float64, err error) {
	if err := check.First("airflow: through flow",
		check.Finite("air flow", t.Mass), check.Positive("thickness", t.Thickness), check.Positive("conductivity", t.Lambda), check.Positive("mu", t.Mu),
		check.Finite("temperature 1", t.T1), check.Finite("temperature 2", t.T2), check.NotNegative("vapour pressure 1", t.P1), check.NotNegative("vapour pressure 2", t.P2),
	); err != nil {
		return 0, 0, err
	}
	heat = carried(airHeat*t.Mass, t.Lambda/t.Thickness, t.T1, t.T2)
	vapour = carried(0.622/moistair.StandardPressure*t.Mass, perm/(t.Mu*t.Thickness), t.P1, t.P2)
	return heat, vapour, nil
}

// carried is the flow of a quantity of value a on side 1 and b on side 2, with
// the stream c carrying it and the conductance k leading it. It joins on to k(a-b)
// as the stream fades.
func carried(c, k, a, b float64) float64 {
	peclet := c / k
	if peclet == 0 {
		return k * (a - b)
	}
	// peclet/(e^peclet - 1) goes to 1 as peclet goes to 0, and Expm1 keeps its digits.
	return c*a + k*peclet/math.Expm1(peclet)*(a-b)
}
