// Package buildup works out what a roof is made of from its thickness.
//
// Two tape readings at the rooflight give the total: inside, from the ceiling
// face up to the top of the kerb; outside, from the roof surface up to the same
// top. Thickness = inside - outside. Every stack the trade builds (type, joist,
// firring, deck, insulation, ceiling, covering) is weighed by how common it is
// in its era, by the span of the joists, by what has been seen, and by how well
// its sum meets the measured total. The answer is a share for each type and the
// likeliest stacks, never one guess.
package buildup
