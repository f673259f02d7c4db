// Package condense tells where and how much water condenses inside a roof over a
// year, how fast trapped water dries, what a roof can lose beyond its condensate, and
// when room surfaces grow mould.
//
// The monthly balance is that of EN ISO 13788: steady heat and vapour flow in
// each month, temperature falling in proportion to thermal resistance, vapour
// pressure drawn as a tight string below saturation in a plot against s_d, and
// water carried from month to month. It goes beyond the standard's wording in one
// point: when an interface runs dry within a month, the month is split there.
// Without that split the interface that received the vapour keeps the credit for
// water that was never there, and the roof gains water from nothing.
//
// The monthly balance is quick enough to be run for thousands of guesses at a roof:
// a Workspace takes no new memory, and Roof.Reset makes a roof anew in the old one's.
//
// The calculation is one-dimensional and knows diffusion only. Air that leaks
// through a ceiling can bring far more: see package airflow.
package condense
