package main

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"longpoint/model"
)

func TestWriteWhole(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "plan.json")
	for _, text := range []string{"first", "second"} {
		if err := writeWhole(name, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(name); err != nil || string(got) != text {
			t.Fatalf("the file says %q, %v, want %q", got, err, text)
		}
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 1 {
		t.Errorf("beside the file there is something else: %v, %v", left, err)
	}
}

func TestWriteWholeFails(t *testing.T) {
	dir := t.TempDir()
	for name, path := range map[string]string{
		"no such folder":     filepath.Join(dir, "missing", "plan.json"),
		"a folder, no file":  dir,
		"a file as a folder": filepath.Join(os.Args[0], "plan.json"),
	} {
		t.Run(name, func(t *testing.T) {
			err := writeWhole(path, []byte("text"))
			if e, ok := errors.AsType[*model.Error](err); !ok || e.Kind != model.BadUsage {
				t.Errorf("the error is %v, want one of the command line", err)
			}
		})
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 0 {
		t.Errorf("something was left behind: %v, %v", left, err)
	}
}
