package transport

import (
	"math"
)

// gamma of ROS2 for L-stability, 1 - 1/sqrt 2: the smaller of the two, with the
// smaller error.
const gamma = 0.29289321881345254

const (
	kelvin          = 273.15
	stefanBoltzmann = 5.67e-8 // W/(m2 K4)
)

// saturation returns the saturation pressure of EN ISO 13788 in Pa at tC degrees
// Celsius and its slope in Pa/K. It is moistair.PSat with a slope; a test holds them
// together.
func saturation(tC float64) (pa, slope float64) {
	if tC >= 0 {
		x := 1 / (237.3 + tC)
		pa = 610.5 * math.Exp(17.269*tC*x)
		return pa, pa * 17.269 * 237.3 * x * x
	}
	x := 1 / (265.5 + tC)
	pa = 610.5 * math.Exp(21.875*tC*x)
	return pa, pa * 21.875 * 265.5 * x * x
}

// properties works out what every cell does at state w, h: with the slopes when asked.
// It reports false when the state is outside what can be.
func (r *Run) properties(w, h []float64, slopes bool) bool {
	roof := r.roof
	n := len(w)
	// Lengths said once, so that the loop need not check them.
	h, mat, heat := h[:n], roof.mat[:n], roof.heatCap[:n]
	temp, pv, psi := r.temp[:n], r.pv[:n], r.psi[:n]
	perm, liquid, lamb := r.perm[:n], r.liquid[:n], r.lamb[:n]
	tempW, tempH, pvW, pvH, psiW := r.tempW[:n], r.tempH[:n], r.pvW[:n], r.pvH[:n], r.psiW[:n]
	var p Point
	for i, wi := range w {
		perJ := 1 / (heat[i] + waterHeat*wi)
		t := h[i] * perJ
		if !(wi > 0 && t > -90 && t < 150) {
			return false
		}
		roof.mats[mat[i]].at(wi, t, &p)
		sat, satSlope := saturation(t)
		temp[i], pv[i], psi[i] = t, p.RH*sat, p.Psi
		perm[i], liquid[i], lamb[i] = p.Permeability, p.Liquid, p.Lambda
		if !slopes {
			continue
		}
		tw := -waterHeat * t * perJ
		byT := p.RH*satSlope + p.RHByTemp*sat
		tempW[i], tempH[i] = tw, perJ
		pvW[i] = p.RHByWater*sat + byT*tw
		pvH[i] = byT * perJ
		psiW[i] = p.PsiByWater
	}
	return true
}

// outer is the outdoor side as one temperature behind one heat conductance from the
// last cell.
type outer struct {
	equivalentC float64 // degC
	h           float64 // from the face to that, W/m2K; 0 when the face is held
	g           float64 // from the middle of the last cell to it, W/m2K
}

// outside linearises the balance at the covering: convection, sun and long waves about
// the surface temperature of the last step.
func (r *Run) outside(a *Air) outer {
	roof := r.roof
	n := len(roof.dx)
	inner := roof.faceR[n] + roof.dx[n-1]/(2*r.lamb[n-1])
	if a.OutsideH == 0 {
		return outer{a.OutC, 0, 1 / inner}
	}
	h, gain := a.OutsideH, a.OutsideH*a.OutC+roof.outside.Absorptance*a.SunWM2
	if e := roof.outside.Emissivity; e > 0 {
		ts := r.surfaceC + kelvin
		cube := stefanBoltzmann * ts * ts * ts
		hr := 4 * e * cube
		h += hr
		gain += e*(a.SkyWM2-cube*ts) + hr*r.surfaceC
	}
	return outer{gain / h, h, 1 / (1/h + inner)}
}

// conductances works out the conductance of each face from the properties at hand.
func (r *Run) conductances() {
	roof := r.roof
	n := len(roof.dx)
	r.gv[0] = 1 / (roof.faceZ[0] + roof.dx[0]/(2*r.perm[0]))
	r.gh[0] = 1 / (roof.faceR[0] + roof.dx[0]/(2*r.lamb[0]))
	r.gl[0], r.gl[n] = 0, 0
	r.gv[n] = 1 / (roof.faceZ[n] + roof.dx[n-1]/(2*r.perm[n-1]))
	for i := 1; i < n; i++ {
		a, b := i-1, i
		da, db := roof.dx[a]/2, roof.dx[b]/2
		if roof.mat[a] == roof.mat[b] && roof.faceZ[i] == 0 {
			// In one body the mean by distance follows a wet front better than
			// resistances in series, which a dry cell would shut.
			d := 1 / (da + db)
			r.gv[i] = (r.perm[a]*da + r.perm[b]*db) * d * d
			r.gl[i] = (r.liquid[a]*da + r.liquid[b]*db) * d * d
			r.gh[i] = 1 / (da/r.lamb[a] + db/r.lamb[b] + roof.faceR[i])
			continue
		}
		r.gv[i] = 1 / (da/r.perm[a] + db/r.perm[b] + roof.faceZ[i])
		r.gh[i] = 1 / (da/r.lamb[a] + db/r.lamb[b] + roof.faceR[i])
		r.gl[i] = 0
		alike := roof.mats[roof.mat[a]].curves == nil && roof.mats[roof.mat[b]].curves == nil
		if alike && roof.faceZ[i] == 0 && r.liquid[a] > 0 && r.liquid[b] > 0 {
			r.gl[i] = 1 / (da/r.liquid[a] + db/r.liquid[b])
		}
	}
}

// fluxes works out the flow through every face for the properties at hand.
func (r *Run) fluxes(a *Air, out outer) {
	n := len(r.roof.dx)
	g := r.gv[0] * (a.RoomPa - r.pv[0])
	r.fluxW[0] = g
	r.fluxH[0] = r.gh[0]*(a.RoomC-r.temp[0]) + g*(latent+waterHeat*0.5*(a.RoomC+r.temp[0]))
	for i := 1; i < n; i++ {
		v := r.gv[i] * (r.pv[i-1] - r.pv[i])
		l := r.gl[i] * (r.psi[i-1] - r.psi[i])
		r.fluxW[i] = v + l
		r.fluxH[i] = r.gh[i]*(r.temp[i-1]-r.temp[i]) + latent*v + waterHeat*0.5*(r.temp[i-1]+r.temp[i])*(v+l)
	}
	g = r.gv[n] * (r.pv[n-1] - a.OutPa)
	r.fluxW[n] = g
	r.fluxH[n] = out.g*(r.temp[n-1]-out.equivalentC) + g*(latent+waterHeat*0.5*(r.temp[n-1]+a.OutC))
}

// slopes works out how the flow through each face goes with the state of the cells
// beside it, conductances held.
func (r *Run) slopes(a *Air, out outer) {
	n := len(r.roof.dx)
	for i := 0; i <= n; i++ {
		f := &r.dev[i]
		var tIn, tOut float64
		switch {
		case i == 0:
			tIn, tOut = a.RoomC, r.temp[0]
		case i == n:
			tIn, tOut = r.temp[n-1], a.OutC
		default:
			tIn, tOut = r.temp[i-1], r.temp[i]
		}
		mean := waterHeat * 0.5 * (tIn + tOut)
		carried := waterHeat * 0.5 * r.fluxW[i]
		gh := r.gh[i]
		if i == n {
			gh = out.g
		}
		if i > 0 {
			k := i - 1
			vW, vH := r.gv[i]*r.pvW[k], r.gv[i]*r.pvH[k]
			lW := r.gl[i] * r.psiW[k]
			f.wIn = block{
				vW + lW, vH,
				(gh+carried)*r.tempW[k] + (latent+mean)*vW + mean*lW, (gh+carried)*r.tempH[k] + (latent+mean)*vH,
			}
		}
		if i < n {
			vW, vH := -r.gv[i]*r.pvW[i], -r.gv[i]*r.pvH[i]
			lW := -r.gl[i] * r.psiW[i]
			f.wOut = block{
				vW + lW, vH,
				(-gh+carried)*r.tempW[i] + (latent+mean)*vW + mean*lW, (-gh+carried)*r.tempH[i] + (latent+mean)*vH,
			}
		}
	}
}

// factor makes the matrix I - gamma dt J ready for solving: block Thomas, each row
// divided by nothing but its own width.
func (r *Run) factor(dt float64) {
	roof := r.roof
	n := len(roof.dx)
	var prev block // inverse of the pivot before
	for i := range n {
		s := gamma * dt / roof.dx[i]
		in, out := &r.dev[i], &r.dev[i+1]
		// Row i: dw_i/dt = (flux_i - flux_{i+1})/dx.
		diag := block{
			1 - s*(in.wOut.a-out.wIn.a), -s * (in.wOut.b - out.wIn.b),
			-s * (in.wOut.c - out.wIn.c), 1 - s*(in.wOut.d-out.wIn.d),
		}
		if i > 0 {
			low := block{-s * in.wIn.a, -s * in.wIn.b, -s * in.wIn.c, -s * in.wIn.d}
			m := low.times(prev)
			u := r.upper[i-1]
			r.mult[i] = m
			diag.a -= m.a*u.a + m.b*u.c
			diag.b -= m.a*u.b + m.b*u.d
			diag.c -= m.c*u.a + m.d*u.c
			diag.d -= m.c*u.b + m.d*u.d
		}
		if i < n-1 {
			r.upper[i] = block{s * out.wOut.a, s * out.wOut.b, s * out.wOut.c, s * out.wOut.d}
		}
		det := 1 / (diag.a*diag.d - diag.b*diag.c)
		prev = block{diag.d * det, -diag.b * det, -diag.c * det, diag.a * det}
		r.inv[i] = prev
	}
}

func (x block) times(y block) block {
	return block{x.a*y.a + x.b*y.c, x.a*y.b + x.b*y.d, x.c*y.a + x.d*y.c, x.c*y.b + x.d*y.d}
}

// solve puts the solution of the factored system in place of its right-hand side.
func (r *Run) solve(w, h []float64) {
	n := len(w)
	h, mult, upper, inv := h[:n], r.mult[:n], r.upper[:n], r.inv[:n]
	x, y := w[0], h[0]
	for i := 1; i < n; i++ {
		m := &mult[i]
		x, y = w[i]-(m.a*x+m.b*y), h[i]-(m.c*x+m.d*y)
		w[i], h[i] = x, y
	}
	v := &inv[n-1]
	x, y = v.a*x+v.b*y, v.c*x+v.d*y
	w[n-1], h[n-1] = x, y
	for i := n - 2; i >= 0; i-- {
		u, v := &upper[i], &inv[i]
		p, q := w[i]-(u.a*x+u.b*y), h[i]-(u.c*x+u.d*y)
		x, y = v.a*p+v.b*q, v.c*p+v.d*q
		w[i], h[i] = x, y
	}
}

// try works out one step of dt seconds and returns its error against what is allowed:
// up to 1 is good, infinite is out of range. The state is not changed.
//
// ROS2: (I - gamma dt J) k1 = dt f(u), (I - gamma dt J) k2 = dt f(u + k1) - 2 k1,
// u' = u + 3/2 k1 + 1/2 k2. The error is that against the first-order u + k1.
func (r *Run) try(dt float64, from, to Air) float64 {
	roof := r.roof
	n := len(roof.dx)
	if !r.properties(r.w, r.h, true) {
		return math.Inf(1)
	}
	r.conductances()
	out := r.outside(&from)
	r.fluxes(&from, out)
	r.slopes(&from, out)
	r.factor(dt)
	for i := range n {
		s := dt / roof.dx[i]
		r.k1w[i] = s * (r.fluxW[i] - r.fluxW[i+1])
		r.k1h[i] = s * (r.fluxH[i] - r.fluxH[i+1])
	}
	r.solve(r.k1w, r.k1h)
	one := r.through(dt, r.k1w, r.k1h)
	for i := range n {
		r.wTry[i] = r.w[i] + r.k1w[i]
		r.hTry[i] = r.h[i] + r.k1h[i]
	}
	if !r.properties(r.wTry, r.hTry, false) {
		return math.Inf(1)
	}
	r.conductances()
	out = r.outside(&to)
	r.fluxes(&to, out)
	for i := range n {
		s := dt / roof.dx[i]
		r.k2w[i] = s*(r.fluxW[i]-r.fluxW[i+1]) - 2*r.k1w[i]
		r.k2h[i] = s*(r.fluxH[i]-r.fluxH[i+1]) - 2*r.k1h[i]
	}
	r.solve(r.k2w, r.k2h)
	two := r.through(dt, r.k2w, r.k2h)
	worst := 0.0
	for i := range n {
		w := r.w[i] + 1.5*r.k1w[i] + 0.5*r.k2w[i]
		h := r.h[i] + 1.5*r.k1h[i] + 0.5*r.k2h[i]
		r.wTry[i], r.hTry[i] = w, h
		if !(w > 0) {
			return math.Inf(1)
		}
		ew := math.Abs(0.5*(r.k1w[i]+r.k2w[i])) / (r.acc.Water + r.acc.Share*w)
		et := math.Abs(0.5*(r.k1h[i]+r.k2h[i])) / ((roof.heatCap[i] + waterHeat*w) * r.acc.TempK)
		worst = max(worst, ew, et)
	}
	r.pending = Balance{
		WaterIn: 0.5*one.WaterIn + 0.5*two.WaterIn, WaterOut: 0.5*one.WaterOut + 0.5*two.WaterOut,
		HeatIn: 0.5*one.HeatIn + 0.5*two.HeatIn, HeatOut: 0.5*one.HeatOut + 0.5*two.HeatOut,
	}
	r.pendingOut = out
	return worst
}

// through is what passes the outer faces in a stage k: the flow at its beginning and
// what the slopes add to it. Summed with the weights of ROS2, 3/2 and 1/2, less the
// 2 k1 in the second stage, both stages count half.
func (r *Run) through(dt float64, kw, kh []float64) Balance {
	n := len(kw)
	in, out := &r.dev[0].wOut, &r.dev[n].wIn
	return Balance{
		WaterIn:  dt * (r.fluxW[0] + gamma*(in.a*kw[0]+in.b*kh[0])),
		HeatIn:   dt * (r.fluxH[0] + gamma*(in.c*kw[0]+in.d*kh[0])),
		WaterOut: dt * (r.fluxW[n] + gamma*(out.a*kw[n-1]+out.b*kh[n-1])),
		HeatOut:  dt * (r.fluxH[n] + gamma*(out.c*kw[n-1]+out.d*kh[n-1])),
	}
}

// accept makes the step tried the state.
func (r *Run) accept(dt float64) {
	r.w, r.wTry = r.wTry, r.w
	r.h, r.hTry = r.hTry, r.h
	r.time += dt
	r.Steps++
	r.bal.WaterIn += r.pending.WaterIn
	r.bal.WaterOut += r.pending.WaterOut
	r.bal.HeatIn += r.pending.HeatIn
	r.bal.HeatOut += r.pending.HeatOut
	last := len(r.w) - 1
	o := r.pendingOut
	r.surfaceC = o.equivalentC
	if o.h > 0 {
		t := r.h[last] / (r.roof.heatCap[last] + waterHeat*r.w[last])
		r.surfaceC += o.g * (t - o.equivalentC) / o.h
	}
}
