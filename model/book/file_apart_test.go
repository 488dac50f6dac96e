//go:build unix

package book

import (
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"longpoint/model/whole"
)

// TestSweep makes sure that what killed programs have left goes when the next one opens the book, and nothing else does.
func TestSweep(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "shop.book")
	must(t, Create(t.Context(), path, nil))
	old := time.Now().Add(-2 * time.Hour)
	for _, name := range []string{".longpoint-new-1", ".longpoint-copy-2", ".longpoint-export-3", ".longpoint-new-young", ".longpoint-new-locked", ".other-1"} {
		must(t, os.MkdirAll(filepath.Join(dir, name, "inside"), 0o700))
		if name != ".longpoint-new-young" {
			must(t, os.Chtimes(filepath.Join(dir, name), old, old))
		}
	}
	unlock, free := whole.Lock(filepath.Join(dir, ".longpoint-new-locked"))
	if !free {
		t.Fatal("it is locked already")
	}
	b := openBook(t, path)
	sound(t, b)
	must(t, b.Close())
	for _, name := range []string{".longpoint-new-young", ".longpoint-new-locked", ".other-1"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
	entries, err := os.ReadDir(dir)
	must(t, err)
	if len(entries) != 4 {
		t.Errorf("there are %v", entries)
	}
	must(t, unlock())
}

// TestModes makes sure that a copy of a book is no more open than the book, and a new one no more than the user wants files to be.
func TestModes(t *testing.T) {
	before := syscall.Umask(0o022)
	defer syscall.Umask(before)
	dir := t.TempDir()
	path, backup := filepath.Join(dir, "shop.book"), filepath.Join(dir, "copy.book")
	mode := func(name string, want os.FileMode) {
		t.Helper()
		info, err := os.Stat(name)
		must(t, err)
		if info.Mode().Perm() != want {
			t.Errorf("%s is %o, want %o", filepath.Base(name), info.Mode().Perm(), want)
		}
	}
	must(t, Create(t.Context(), path, nil))
	mode(path, 0o644)
	must(t, os.Chmod(path, 0o600))
	b := openBook(t, path)
	_, err := b.Backup(t.Context(), backup)
	must(t, err)
	must(t, b.Close())
	mode(backup, 0o600)
	must(t, os.Chmod(backup, 0o644))
	_, err = Restore(t.Context(), backup, path)
	must(t, err)
	mode(path, 0o600)
	syscall.Umask(0o077)
	closed := filepath.Join(dir, "closed.book")
	must(t, Create(t.Context(), closed, nil))
	mode(closed, 0o600)
	syscall.Umask(0)
	apart, remove, err := whole.Apart(dir)
	must(t, err)
	defer remove()
	mode(apart, 0o700)
}
