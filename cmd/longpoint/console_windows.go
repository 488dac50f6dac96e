package main

import (
	"syscall"
	"unsafe"

	"github.com/spf13/cobra"
)

// Without this cobra ends a program that was double-clicked, and says that it is for the command line.
func init() { cobra.MousetrapHelpText = "" }

// ownConsole tells whether the program has a console to itself: it was double-clicked, and the console goes when it ends.
func ownConsole() bool {
	list := syscall.NewLazyDLL("kernel32.dll").NewProc("GetConsoleProcessList")
	var ids [2]uint32
	n, _, _ := list.Call(uintptr(unsafe.Pointer(&ids[0])), uintptr(len(ids)))
	return n == 1
}

// hasScreen tells whether there is a desktop: Windows always has one.
func hasScreen() bool { return true }
