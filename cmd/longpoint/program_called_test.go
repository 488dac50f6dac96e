package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCalledAsTyped runs the program under another name: every hint says that name, and JSON says what it always says.
func TestCalledAsTyped(t *testing.T) {
	t.Chdir(t.TempDir())
	const name = "./longpoint-linux"
	for _, c := range []struct {
		line         string
		wants, never string
	}{
		{"demo shop --kind small", name + " plan shop", ""},
		{"book new shop.book --from shop", name + " plan shop.book", ""},
		{"check shop.book", `"` + name + ` book check shop.book"`, `"longpoint `},
		{"nothing", "how this is called: " + name + " --help", "longpoint --help: "},
		{"plan nowhere", name + " help refused", "longpoint help"},
		{"examine shop", name + " help paper", " longpoint help"},
		{"examine shop --json", `"longpoint help paper"`, name},
		{"plan --help", name + " plan", ""},
		{"--version", "longpoint ", name},
		{"completion bash", "bash completion", name},
	} {
		var out bytes.Buffer
		runAs(name, strings.Fields(c.line), nil, &out, &out)
		if got := out.String(); !strings.Contains(got, c.wants) || c.never != "" && strings.Contains(got, c.never) {
			t.Errorf("%s: %q must be there, and %q not:\n%s", c.line, c.wants, c.never, got)
		}
	}
}

func TestTypedName(t *testing.T) {
	dir := t.TempDir()
	t.Chdir(dir)
	t.Setenv("PATH", filepath.Join(dir, "bin"))
	for _, path := range []string{"bin/longpoint", "longpoint-linux", "my own/longpoint"} {
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, nil, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	for typed, want := range map[string]string{
		"longpoint": "longpoint", "./longpoint-linux": "./longpoint-linux", filepath.Join(dir, "bin/longpoint"): "longpoint",
		"my own/longpoint": "'my own/longpoint'", "nowhere/longpoint.exe": "nowhere/longpoint",
	} {
		if got := typedName(typed); got != want {
			t.Errorf("%s is called %s, want %s", typed, got, want)
		}
	}
}
