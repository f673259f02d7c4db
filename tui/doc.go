// Package tui is the terminal interface of a call and of the desk.
//
// Every screen is a pure function of a reading, a place and a size: it returns
// lines and changes nothing. Keys become intents (keys.go), and one function
// applies an intent to the call (intents.go). The frame (frame.go) puts the
// safety lines first, clamps what is drawn to the window, and numbers the
// figures when their origin is asked for.
//
// The package does no sums about roofs and touches no file.
package tui
