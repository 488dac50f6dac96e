package whole

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
)

// TestPut: a file takes a file's place, a folder an empty one's, and where that cannot be both are as they were.
func TestPut(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o777), os.WriteFile(path, []byte(text), 0o444)); err != nil {
			t.Fatal(err)
		}
		return path
	}
	holds := func(path, want string) {
		t.Helper()
		if got, err := os.ReadFile(path); string(got) != want {
			t.Errorf("%s holds %q, %v", path, got, err)
		}
	}
	old := file("old", "old")
	if err := Put(file("young", "young"), old); err != nil {
		t.Error(err)
	}
	holds(old, "young")
	inside := file("folder/sub/inside", "1")
	full := filepath.Join(dir, "full")
	file("full/there", "2")
	if err := Put(filepath.Join(dir, "folder"), full); err == nil {
		t.Error("a folder took the place of one that is not empty")
	}
	holds(inside, "1")
	if err := Put(filepath.Join(dir, "folder"), filepath.Join(dir, "new")); err != nil {
		t.Error(err)
	}
	holds(filepath.Join(dir, "new", "sub", "inside"), "1")
	if err := Put(filepath.Join(dir, "nothing"), old); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("nothing was put in place: %v", err)
	}
	holds(old, "young")
}

// TestName: a file gets a name that nothing has, and never that of another.
func TestName(t *testing.T) {
	dir := t.TempDir()
	young, path := filepath.Join(dir, "young"), filepath.Join(dir, "path")
	if err := Name(young, path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("nothing was named: %v", err)
	}
	if err := os.WriteFile(young, []byte("young"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := Name(young, path); err != nil {
		t.Error(err)
	}
	if err := Name(young, path); !errors.Is(err, fs.ErrExist) {
		t.Errorf("it took the place of another: %v", err)
	}
}
