package main

import (
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// completions are lines that somebody types up to a Tab, and the names that are then offered, as bash would write them.
var completions = []struct {
	line  string
	names []string
}{
	{"longpoint fin", []string{"finish"}},
	{"longpoint help mach", []string{"machines"}},
	{"longpoint jobs show ", []string{"101", "102", "103", "104", "105"}},
	{"longpoint jobs --dropped ", []string{"101", "102", "103", "104", "105"}},
	{"longpoint rack discard F", []string{`F\ 7`}},
	{"longpoint rack discard S", []string{"S1", "S3", "S4"}},
	{"longpoint rack discard shop.book S", []string{"S1", "S3", "S4"}},
	{"longpoint rack move ", []string{"left", "right", "attic"}},
	{"longpoint rack back ", []string{"F8"}},
	{"longpoint plan --profile ", []string{"oak-40", "black-22"}},
	{"longpoint plan shop --profile bl", []string{"black-22"}},
	{"longpoint plan --order ", []string{"sticks", "stops"}},
	{"longpoint order add ", []string{`Invented\ Timber`}},
	{"longpoint order send ", []string{"1", "2"}},
	{"longpoint sheets shop ti", []string{"tickets"}},
	{"longpoint sheets --run ", []string{"1"}},
	{"longpoint cut ", []string{"P1-2", "P1-1", "S2"}},
	{"longpoint cut P1-2 ", []string{"1", "2", "3", "4", "P1-2", "P1-1", "S2"}},
	{"longpoint cut P1-2 3 --became ", []string{"done", "short", "torn"}},
	{"longpoint blades --mount ", []string{`set\ A`}},
	{"longpoint jobs show nosuch.book ", nil},
	{"longpoint jobs show 101 ", nil},
	{"longpoint jobs split 103 ", []string{"certificate"}},
	{"longpoint jobs split 103 certificate ", nil},
	{"longpoint jobs change 102 --frame ", []string{"poster"}},
	{"longpoint rack measure S1 ", nil},
	{"longpoint demo new --kind mu", []string{"museum"}},
}

// TestShellsComplete sources the completion of each shell in that shell, and presses Tab.
func TestShellsComplete(t *testing.T) {
	t.Parallel()
	dir := shopUnderWay(t)
	mustType(t, dir, `longpoint rack add oak-40 900 --name "F 7" --place attic --why so && longpoint rack add oak-40 901 --name F8 --why so &&
		longpoint rack discard F8 --why so && longpoint order add "Invented Timber" oak-40 2400 && longpoint blades --add "set A" --height 30`)
	var lines []string
	for _, c := range completions {
		lines = append(lines, c.line)
	}
	scripts, err := filepath.Abs("testdata/shells")
	if err != nil {
		t.Fatal(err)
	}
	for _, shell := range []string{"bash", "zsh", "fish"} {
		t.Run(shell, func(t *testing.T) {
			if _, err := exec.LookPath(shell); err != nil {
				t.Fatalf("%s is missing; make test-deps installs it", shell)
			}
			cmd := exec.Command(shell, append([]string{filepath.Join(scripts, "complete."+shell)}, lines...)...)
			typed := inShop(dir, "")
			cmd.Dir, cmd.Env = typed.Dir, typed.Env
			said, err := cmd.CombinedOutput()
			if err != nil {
				t.Fatalf("%v\n%s", err, said)
			}
			parts := strings.Split("\n"+string(said), "\n== ")[1:]
			if len(parts) != len(completions) {
				t.Fatalf("%d answers to %d lines:\n%s", len(parts), len(completions), said)
			}
			for i, c := range completions {
				got, want := slices.DeleteFunc(strings.Split(parts[i], "\n")[1:], func(s string) bool { return s == "" }), slices.Clone(c.names)
				if shell != "bash" {
					for n := range want {
						want[n] = strings.ReplaceAll(want[n], `\`, "")
					}
				}
				if shell == "zsh" { // which picks by itself
					begun := c.line[strings.LastIndex(c.line, " ")+1:]
					got = slices.DeleteFunc(got, func(name string) bool { return !strings.HasPrefix(name, begun) })
				}
				if !slices.Equal(got, want) {
					t.Errorf("%s: %q, not %q", c.line, got, want)
				}
			}
		})
	}
}
