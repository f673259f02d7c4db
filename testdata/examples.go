// Package testdata carries the invented example cases into the program, so that
// there is something to open on a fresh machine.
package testdata

import "embed"

// Cases holds the example cases as cases/NAME.toml.
//
//go:embed cases/*.toml
var Cases embed.FS
