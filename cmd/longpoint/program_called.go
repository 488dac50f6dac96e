package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// ownName is what the program is called in its sources, its manual and its tests.
const ownName = "longpoint"

// typedName gives what one types to call the program, from what was typed: its name alone where the shell finds it by that.
func typedName(typed string) string {
	base := filepath.Base(typed)
	if found, err := exec.LookPath(base); err == nil && sameFile(found, typed) {
		typed = base
	}
	return shellWord(strings.TrimSuffix(typed, ".exe"))
}

func sameFile(a, b string) bool {
	one, err := os.Stat(a)
	if err != nil {
		return false
	}
	other, err := os.Stat(b)
	return err == nil && os.SameFile(one, other)
}

// ownCommand is the program's name before a word, which may stand in the next line.
var ownCommand = regexp.MustCompile(`\b` + ownName + `(\s+)([a-z-]+)`)

// called gives a text for people in which the program is called as they called it, wherever one of its commands follows. JSON stays as it is.
func (p *program) called(text string) string {
	if p.name == "" || p.name == ownName || strings.HasPrefix(text, "{") || strings.HasPrefix(text, "[") {
		return text
	}
	return ownCommand.ReplaceAllStringFunc(text, func(found string) string {
		parts := ownCommand.FindStringSubmatch(found)
		if !slices.Contains(p.commands, parts[2]) {
			return found
		}
		return p.name + parts[1] + parts[2]
	})
}
