package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"longpoint/model"
)

func TestStage(t *testing.T) {
	dir := t.TempDir()
	name := filepath.Join(dir, "plan.json")
	for _, text := range []string{"first", "second"} {
		s, err := stage(name, []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.keep(); err != nil {
			t.Fatal(err)
		}
		s.drop()
		if got, err := os.ReadFile(name); err != nil || string(got) != text {
			t.Fatalf("the file says %q, %v, want %q", got, err, text)
		}
	}
	if s, err := stage(name, []byte("third")); err != nil {
		t.Fatal(err)
	} else {
		s.drop()
	}
	if got, err := os.ReadFile(name); err != nil || string(got) != "second" {
		t.Errorf("after a file was dropped the old one says %q, %v", got, err)
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 1 {
		t.Errorf("beside the file there is something else: %v, %v", left, err)
	}
}

func TestStageFails(t *testing.T) {
	dir := t.TempDir()
	for name, path := range map[string]string{
		"no such folder":     filepath.Join(dir, "missing", "plan.json"),
		"a folder, no file":  dir,
		"a file as a folder": filepath.Join(os.Args[0], "plan.json"),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := stage(path, []byte("text"))
			if e, ok := errors.AsType[*model.Error](err); !ok || e.Kind != model.BadUsage {
				t.Errorf("the error is %v, want one of the command line", err)
			}
		})
	}
	if left, err := os.ReadDir(dir); err != nil || len(left) != 0 {
		t.Errorf("something was left behind: %v, %v", left, err)
	}
}

// full is a standard output that takes nothing more.
type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }

// TestResultCannotBeShown demands that a plan that cannot be shown is not kept either.
func TestResultCannotBeShown(t *testing.T) {
	out := filepath.Join(t.TempDir(), "plan.json")
	var stderr bytes.Buffer
	status := run([]string{"plan", "testdata/workshop", "--out", out}, nil, full{}, &stderr)
	if status != statusFault || !strings.Contains(stderr.String(), "no space left on device") {
		t.Errorf("status %d, and it says %q", status, stderr.String())
	}
	if left, err := os.ReadDir(filepath.Dir(out)); err != nil || len(left) > 0 {
		t.Errorf("something was left behind: %v, %v", left, err)
	}
}
