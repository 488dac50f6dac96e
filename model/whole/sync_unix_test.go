//go:build unix

package whole

import (
	"errors"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// TestSynced: what cannot be made sure to be on the disk is no success. A file inside a folder that cannot be opened keeps its folder from its name; the names in
// a folder that nobody may read cannot be made sure of, though a file may be put there.
func TestSynced(t *testing.T) {
	if os.Getuid() == 0 { // who may do everything is refused nothing
		const nobody = 65534
		if err := syscall.Seteuid(nobody); err != nil {
			t.Fatal(err)
		}
		defer syscall.Seteuid(0)
	}
	dir, err := os.MkdirTemp("", "whole-")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	folder, closed := filepath.Join(dir, "folder"), filepath.Join(dir, "closed")
	defer os.Chmod(closed, 0o700) // or it could not be taken away
	for _, err := range []error{os.Mkdir(folder, 0o700), os.WriteFile(filepath.Join(folder, "file"), nil, 0), os.Mkdir(closed, 0o300), os.WriteFile(filepath.Join(dir, "one"), nil, 0o600),
		os.WriteFile(filepath.Join(dir, "other"), nil, 0o600)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := Put(folder, filepath.Join(dir, "named")); !errors.Is(err, os.ErrPermission) {
		t.Errorf("a folder with a file in it that cannot be opened: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, "named")); err == nil {
		t.Error("the folder has its name")
	}
	if err := Put(filepath.Join(dir, "one"), filepath.Join(closed, "one")); !errors.Is(err, os.ErrPermission) {
		t.Errorf("a name that cannot be made sure of: %v", err)
	}
	if err := Name(filepath.Join(dir, "other"), filepath.Join(closed, "other")); !errors.Is(err, os.ErrPermission) {
		t.Errorf("a name that cannot be made sure of: %v", err)
	}
}
