package transport

import (
	"fmt"
	"math"

	"underlap/physics/internal/check"
)

// Air is what stands at both faces of a roof at one time.
type Air struct {
	RoomC, RoomPa float64 // room air: degC, vapour pressure Pa
	OutC, OutPa   float64 // outdoor air: degC, vapour pressure Pa
	SunWM2        float64 // global radiation on the roof
	SkyWM2        float64 // long-wave radiation from the sky; used when the emissivity is above 0
	OutsideH      float64 // convective heat transfer outside, W/m2K; 0 holds the surface at OutC
}

func (a Air) check() error {
	return check.First("transport: air",
		check.Within("room temperature", a.RoomC, -60, 80), check.Within("room vapour pressure", a.RoomPa, 0, 2e4),
		check.Within("outdoor temperature", a.OutC, -60, 80), check.Within("outdoor vapour pressure", a.OutPa, 0, 2e4),
		check.Within("sun", a.SunWM2, 0, 2000), check.Within("sky", a.SkyWM2, 0, 1000),
		check.Within("outside heat transfer", a.OutsideH, 0, 1000),
	)
}

// Accuracy is how closely the steps are followed.
type Accuracy struct {
	Share float64 // allowed error of a step as a share of the water content
	Water float64 // and beside it, kg/m3
	TempK float64 // allowed error of a step in temperature, K
	// MaxStep and FirstStep are in s; 0 takes an hour and a minute.
	MaxStep, FirstStep float64
	// Fixed makes every step FirstStep long, for studies of convergence.
	Fixed bool
}

// Usual is the accuracy for roofs over years. The error that is watched is that of the
// first-order companion, far above that of the step itself, and most of all in a dark
// sheet's first millimetres on a sunny morning: so 8 K there still keeps the water of a
// roof after a year to within 0.2 % of runs at a tenth of the step (see the tests).
func Usual() Accuracy { return Accuracy{Share: 0.1, Water: 1, TempK: 8} }

// Balance is what has passed the faces of a roof since the start and what it holds.
type Balance struct {
	WaterIn, WaterOut, WaterHeld float64 // from the room, to outdoors, kg/m2; and held now less at the start
	HeatIn, HeatOut, HeatHeld    float64 // the same for heat, J/m2
}

// Run is a roof on its way through time. One goroutine at a time.
type Run struct {
	roof *Roof
	acc  Accuracy
	time float64 // s
	step float64 // the next step to try, s

	w, h       []float64 // state
	wTry, hTry []float64
	k1w, k1h   []float64 // stages
	k2w, k2h   []float64

	// properties of cells at the stage
	temp, pv, psi      []float64
	pvW, pvH, psiW     []float64 // slopes by w and h
	tempW, tempH       []float64
	perm, liquid, lamb []float64
	gv, gl, gh         []float64 // conductances of faces
	fluxW, fluxH       []float64 // through faces, inward positive from the room
	dev                []face    // slopes of the face fluxes
	inv                []block   // inverse of the pivot blocks
	mult               []block   // lower multipliers
	upper              []block
	sumW0, sumH0       float64
	bal, pending       Balance
	pendingOut         outer
	surfaceC           float64 // last surface temperature outside
	Steps, Rejected    int     // counted since the start
}

// block is a 2 by 2 matrix, rows first.
type block struct{ a, b, c, d float64 }

// face holds the slopes of water and heat flow through a face by (w, h) of the cell on
// its room side and of that on its outer side.
type face struct {
	wIn, wOut block // only rows a, b: water by w, h; rows c, d: heat by w, h
}

// Start is the state at the beginning.
type Start struct {
	TempC float64
	RH    float64 // 0 to 1, in every body
	// Trapped adds water to parts, kg/m2 by number of the part, spread evenly.
	Trapped map[int]float64
}

// NewRun prepares a run. It fails for a bad start.
func NewRun(roof *Roof, start Start, acc Accuracy) (*Run, error) {
	if roof == nil {
		return nil, fmt.Errorf("transport: no roof")
	}
	if acc.MaxStep == 0 {
		acc.MaxStep = 3600
	}
	if acc.FirstStep == 0 {
		acc.FirstStep = 60
	}
	if err := check.First("transport", check.Within("start temperature", start.TempC, -60, 80), check.Within("start relative humidity", start.RH, 0.001, 1),
		check.Positive("allowed share", acc.Share), check.Positive("allowed water", acc.Water), check.Positive("allowed temperature", acc.TempK),
		check.Positive("longest step", acc.MaxStep), check.Positive("first step", acc.FirstStep)); err != nil {
		return nil, err
	}
	n := len(roof.dx)
	floats := make([]float64, 21*n)
	take := func() []float64 { s := floats[:n:n]; floats = floats[n:]; return s }
	r := &Run{roof: roof, acc: acc, step: acc.FirstStep}
	for _, s := range []*[]float64{
		&r.w, &r.h, &r.wTry, &r.hTry, &r.k1w, &r.k1h, &r.k2w, &r.k2h, &r.temp, &r.pv, &r.psi,
		&r.pvW, &r.pvH, &r.psiW, &r.tempW, &r.tempH, &r.perm, &r.liquid, &r.lamb,
	} {
		*s = take()
	}
	faces := make([]float64, 5*(n+1))
	takeF := func() []float64 { s := faces[: n+1 : n+1]; faces = faces[n+1:]; return s }
	r.gv, r.gl, r.gh, r.fluxW, r.fluxH = takeF(), takeF(), takeF(), takeF(), takeF()
	r.dev = make([]face, n+1)
	r.inv, r.mult, r.upper = make([]block, n), make([]block, n), make([]block, n)
	used := 0
	for i := range n {
		r.w[i] = roof.mats[roof.mat[i]].waterAt(start.RH, start.TempC)
		if kg, ok := start.Trapped[roof.body[i]]; ok {
			if err := check.First("transport: trapped water", check.NotNegative("amount", kg)); err != nil {
				return nil, err
			}
			r.w[i] += kg / roof.thickness(roof.body[i])
		}
		r.h[i] = (roof.heatCap[i] + waterHeat*r.w[i]) * start.TempC
	}
	for part := range start.Trapped {
		for _, b := range roof.body {
			if b == part {
				used++
				break
			}
		}
	}
	if used != len(start.Trapped) {
		return nil, fmt.Errorf("transport: trapped water in a part that is not a body")
	}
	r.surfaceC = start.TempC
	r.sumW0, r.sumH0 = r.held()
	return r, nil
}

func (roof *Roof) thickness(part int) float64 {
	sum := 0.0
	for i, b := range roof.body {
		if b == part {
			sum += roof.dx[i]
		}
	}
	return sum
}

func (r *Run) held() (water, heat float64) {
	for i, dx := range r.roof.dx {
		water += dx * r.w[i]
		heat += dx * r.h[i]
	}
	return water, heat
}

// Advance goes on for the given time in s, with the air at both faces going in a
// straight line from one state to the other. Steps end at its end. It fails for bad
// air and when the step shrinks to nothing; the state is then that of the last good
// step.
func (r *Run) Advance(seconds float64, from, to Air) error {
	if err := check.First("transport", check.NotNegative("time", seconds)); err != nil {
		return err
	}
	if err := from.check(); err != nil {
		return err
	}
	if err := to.check(); err != nil {
		return err
	}
	done := 0.0
	for seconds-done > 1e-9*seconds {
		dt := math.Min(r.step, r.acc.MaxStep)
		if r.acc.Fixed {
			dt = r.acc.FirstStep
		}
		left := seconds - done
		last := dt >= left*(1-1e-9)
		if last {
			dt = left
		} else if !r.acc.Fixed && 2*dt > left {
			dt = left / 2 // two even steps, not a whole one and a crumb
		}
		errNorm := r.try(dt, mix(from, to, done/seconds), mix(from, to, (done+dt)/seconds))
		if !r.acc.Fixed && !(errNorm <= 1) {
			r.Rejected++
			shrink := 0.25
			if errNorm < 100 {
				shrink = math.Max(0.25, 0.9/math.Sqrt(errNorm))
			}
			r.step = dt * shrink
			if r.step < 1e-12 {
				return fmt.Errorf("transport: the step has shrunk to nothing at %.0f s", r.time)
			}
			continue
		}
		if math.IsNaN(errNorm) || math.IsInf(errNorm, 0) {
			return fmt.Errorf("transport: the fixed step of %v s is too long at %.0f s", dt, r.time)
		}
		r.accept(dt)
		done += dt
		grow := 3.0
		if errNorm > 0.09 {
			grow = 0.9 / math.Sqrt(errNorm)
		}
		// A step cut short by the end of the time says little of what would have fitted.
		if !last || dt*grow > r.step {
			r.step = dt * grow
		}
	}
	return nil
}

func mix(a, b Air, f float64) Air {
	if f <= 0 {
		return a
	}
	g := 1 - f
	return Air{
		g*a.RoomC + f*b.RoomC, g*a.RoomPa + f*b.RoomPa, g*a.OutC + f*b.OutC, g*a.OutPa + f*b.OutPa,
		g*a.SunWM2 + f*b.SunWM2, g*a.SkyWM2 + f*b.SkyWM2, g*a.OutsideH + f*b.OutsideH,
	}
}

// Water returns the water in a part, kg/m2; 0 for a film.
func (r *Run) Water(part int) float64 {
	sum := 0.0
	for i, b := range r.roof.body {
		if b == part {
			sum += r.w[i] * r.roof.dx[i]
		}
	}
	return sum
}

// Total returns the water in the whole roof, kg/m2.
func (r *Run) Total() float64 { w, _ := r.held(); return w }

// Contents returns the water content of each cell, kg/m3, and its temperature, degC.
// The slices are the caller's own.
func (r *Run) Contents() (water, tempC []float64) {
	water = append([]float64(nil), r.w...)
	tempC = make([]float64, len(r.h))
	for i := range r.h {
		tempC[i] = r.h[i] / (r.roof.heatCap[i] + waterHeat*r.w[i])
	}
	return water, tempC
}

// RH returns the relative humidity in the cell, 0 to 1 or a little more where a body
// holds more than free saturation.
func (r *Run) RH(cell int) float64 { return r.hour(cell).RH }

// hour is the state of a cell now.
func (r *Run) hour(cell int) Hour {
	var p Point
	t := r.h[cell] / (r.roof.heatCap[cell] + waterHeat*r.w[cell])
	r.roof.mats[r.roof.mat[cell]].at(r.w[cell], t, &p)
	return Hour{TempC: t, RH: p.RH, Content: r.w[cell]}
}

// SurfaceC returns the temperature of the covering's face at the last step, degC.
func (r *Run) SurfaceC() float64 { return r.surfaceC }

// Balance returns what has passed the faces and what is held. Held less in plus out
// is what rounding has made or lost.
func (r *Run) Balance() Balance {
	b := r.bal
	w, h := r.held()
	b.WaterHeld, b.HeatHeld = w-r.sumW0, h-r.sumH0
	return b
}
