// Package transport follows heat and moisture through a roof hour by hour, for
// years: vapour diffusion, liquid in the pores, water stored by each material, the
// heat of evaporation, sun and sky on a dark sheet. It answers what the monthly
// balance of package condense cannot: how long trapped water really stays, and how
// wet a deck gets over the winters.
//
// The equations are those of EN 15026: for each volume
//
//	dw/dt = -div(g_v + g_l)        g_v = -delta_p grad p_v,  g_l = -D_psi grad psi
//	dh/dt = -div(q)                q   = -lambda grad T + L g_v + c_w T (g_v + g_l)
//
// with water content w in kg/m3 and heat content h = (rho c + c_w w) T in J/m3 as
// unknowns. They are what is conserved, so whatever leaves one volume enters the
// next and the balances close to rounding whatever the step.
//
// Space: finite volumes with values at their centres and resistances in series
// between them; sheets and paint are resistances without storage. Time: the
// two-stage Rosenbrock method ROS2, L-stable and of order 2, with the step chosen
// from its estimate of the error (Verwer, Spee, Blom, Hundsdorfer, SIAM J. Sci.
// Comput. 20, 1999). Its order does not need an exact Jacobian, so how the
// conductances go with the water is left out of it.
//
// Left out: rain (the covering sheds it; a leak is given as trapped water), air that
// moves through the layers, water running down under gravity, and freezing inside a
// material.
package transport
