// Package sightings sets the days on which water was seen, or was not, beside the
// weather of those days, and says what drives the water: rain, rain with wind, cold, a
// thaw, the use of the house, nothing that changes, or none of these.
//
// A History is what is on record: one Look for each day that somebody spoke of, one
// Weather for each day whose weather is known. Compare weighs the drivers against each
// other: each gives every looked-at day a chance of being wet, from an index of the
// weather (drivers.go), and what is not known of it (lag, threshold, strength) is summed
// over fixed grids, so there is no chance in it and no best fit. Days that nobody looked
// at say nothing; they are never taken as dry.
//
// The drivers and their grids are self-made, in the plainest physics that has a lag: a
// bucket with a hole for rain, a smoothed temperature for cold, a store of frost for a
// thaw. What they come to is checked in the tests against brute force and against series
// made by other models.
package sightings
