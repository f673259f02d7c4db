// Package entry works out where on the roof the water gets in: a plan on a grid, and on
// it the chance of each cell and each named place, given where stains show below.
//
// Water seldom shows where it enters. How far it travels, and which way, hangs on the
// build-up: over a cold bay it drops nearly straight down and stays between two joists; on
// a vapour layer it walks down the fall, metres at times, to a hole or to the low edge.
// That is knowledge (rules/pack/travel.toml), and it is mixed over the shares of the
// build-ups. The causes, weighed elsewhere, say beforehand which places are suspect, and
// each stain multiplies in how well it suits each cell:
//
//	P(cell | stains) is in proportion to
//	  sum over fall f, joists j, build-up b of P(f) P(j) P(b)
//	    x [sum over causes c of P(c) x seat of c on the plan at f]
//	    x product over stains s of [(1 - astray) x K(s | cell, b, f, j) + astray / area]
//
// K is the density, per square metre of ceiling, with which water that enters at the cell
// shows at s: a sum over the ways of the build-up of products of one-dimensional normal
// densities, folded back at the sides and stopped at the low edge. All is summed exactly
// over the cells; there is no chance and no clock in it.
//
// The map takes the causes as they are and gives nothing back to them: where it shows has
// been weighed there already, by the question where-inside, and would count twice. So no
// answer about the plan moves the rank of a cause. The other way round, once there are
// stains on the plan the causes that the map is given are weighed without where-inside,
// which would say the same thing again. All stains are taken to come from one
// way in; the share that goes astray keeps a second leak from ruling the first one out.
package entry
