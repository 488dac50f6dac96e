package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// TestClosedPipe has nobody read what is shown: the plan's file is written all the same, and is all there is.
func TestClosedPipe(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shop, out := filepath.Join(dir, "shop"), filepath.Join(dir, "out", "plan.json")
	if err := os.CopyFS(shop, os.DirFS("testdata/workshop")); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Dir(out), 0o777); err != nil {
		t.Fatal(err)
	}
	from, to, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	defer to.Close()
	from.Close()
	cmd := exec.Command("longpoint", "plan", shop, "--out", out)
	cmd.Stdout = to
	if err := cmd.Run(); err != nil {
		t.Errorf("it ends with %v", err)
	}
	left, err := os.ReadDir(filepath.Dir(out))
	if err != nil {
		t.Fatal(err)
	}
	if len(left) != 1 || left[0].Name() != "plan.json" {
		t.Errorf("it leaves %v", left)
	}
}
