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

// noConsole tells whether there is nowhere to write to: another program has started this one without a console.
func noConsole() bool {
	out, err := syscall.GetStdHandle(syscall.STD_OUTPUT_HANDLE)
	return err != nil || out == 0 || out == syscall.InvalidHandle
}

// tell shows a text in a window of its own.
func tell(what string) {
	const warning = 0x30 // MB_ICONWARNING
	text, err := syscall.UTF16PtrFromString(what)
	title, err2 := syscall.UTF16PtrFromString("Longpoint")
	if err == nil && err2 == nil {
		syscall.NewLazyDLL("user32.dll").NewProc("MessageBoxW").Call(0, uintptr(unsafe.Pointer(text)), uintptr(unsafe.Pointer(title)), warning)
	}
}

// hasScreen tells whether there is a desktop: Windows always has one.
func hasScreen() bool { return true }
