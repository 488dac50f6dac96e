package main

import (
	"fmt"
	"runtime/debug"
	"strings"
)

// release is the newest release in the change log of DEVELOPERS.md.
const release = "0.1.0"

// version is the release and what it was built from, as far as the build knows.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return release
	}
	built := []string{info.GoVersion}
	for _, s := range info.Settings {
		switch {
		case s.Key == "vcs.revision":
			built = append(built, "revision "+s.Value)
		case s.Key == "vcs.modified" && s.Value == "true":
			built = append(built, "with changes")
		}
	}
	return fmt.Sprintf("%s (%s)", release, strings.Join(built, ", "))
}
