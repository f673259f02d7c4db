// Package quietstart keeps libraries from questioning the terminal during
// start-up. A terminal that stays silent would otherwise cost five seconds
// before main, even for --version. It imports only syscall, so that it is
// initialised before them.
package quietstart

import "syscall"

var set = quiet()

func quiet() bool {
	if _, found := syscall.Getenv("CI"); found {
		return false
	}
	return syscall.Setenv("CI", "1") == nil
}

// Done puts the environment back. It is the first line of main.
func Done() {
	if set {
		_ = syscall.Unsetenv("CI")
	}
}
