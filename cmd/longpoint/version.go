package main

import (
	"cmp"
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

// release is the newest release in the change log of DEVELOPERS.md; .ci/tag writes it.
const release = "0.1.0"

// described is what .ci/version says of the source, where make built this: it tells the release itself from what came after it.
var described string

// version is the release, or what came after it, and what it was built with and from, as far as the build knows.
func version() string {
	at := cmp.Or(described, release)
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return at
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
	return fmt.Sprintf("%s (%s)", at, strings.Join(built, ", "))
}

// versionCommand is "longpoint version", for those who do not think of --version. It is not listed.
func (p *program) versionCommand() *cobra.Command {
	return &cobra.Command{
		Use:    "version",
		Short:  "Say which program this is",
		Hidden: true,
		Args:   arguments(),
		RunE:   func(*cobra.Command, []string) error { return p.show("longpoint " + version() + "\n") },
	}
}
