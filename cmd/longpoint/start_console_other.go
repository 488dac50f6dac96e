//go:build !windows

package main

import (
	"cmp"
	"os"
	"runtime"
)

// ownConsole tells whether the program has a console to itself, as a double click gives it on Windows alone.
func ownConsole() bool { return false }

// noConsole tells whether there is nowhere to write to, which is seen otherwise where this is not Windows.
func noConsole() bool { return false }

func tell(string) {}

// hasScreen tells whether there is a desktop on which a browser could open.
func hasScreen() bool {
	if runtime.GOOS == "darwin" {
		return os.Getenv("SSH_CONNECTION") == ""
	}
	return cmp.Or(os.Getenv("DISPLAY"), os.Getenv("WAYLAND_DISPLAY")) != ""
}
