package book

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"longpoint/model"
)

// TestBackups backs a book up every third step, keeps two, and touches no other file.
func TestBackups(t *testing.T) {
	b := newShop(t)
	dir := t.TempDir()
	for _, name := range []string{"shop-step-x.book", "other-step-1.book", "shop-step-1.txt"} {
		must(t, os.WriteFile(filepath.Join(dir, name), nil, 0o666))
	}
	wantError(t, b.SetBackups(t.Context(), Backups{Folder: filepath.Join(dir, "none"), Every: 3, Keep: 2}), model.BadUsage, "no such file or folder")
	must(t, b.SetBackups(t.Context(), Backups{Folder: dir, Every: 3, Keep: 2}))
	var made []string
	for n := range 13 {
		_, err := b.write(t.Context(), "note", tester, func(tx *transaction) error {
			tx.tell("a stick")
			return tx.addStick(model.Stick{ID: fmt.Sprint("N", n), Profile: "oak-40", Length: model.Metre}, 1)
		})
		must(t, err)
		file, err := b.BackUp(t.Context())
		must(t, err)
		if file != "" {
			made = append(made, filepath.Base(file))
			if called := checked(t, file); called != "sound" {
				t.Errorf("%s is %s", file, called)
			}
		}
	}
	if want := []string{"shop-step-3.book", "shop-step-6.book", "shop-step-9.book", "shop-step-12.book"}; !slices.Equal(made, want) {
		t.Errorf("made %v, want %v", made, want)
	}
	entries, err := os.ReadDir(dir)
	must(t, err)
	var left []string
	for _, e := range entries {
		left = append(left, e.Name())
	}
	if want := []string{"other-step-1.book", "shop-step-1.txt", "shop-step-12.book", "shop-step-9.book", "shop-step-x.book"}; !slices.Equal(left, want) {
		t.Errorf("left %v, want %v", left, want)
	}
	s, err := b.Backups(t.Context())
	must(t, err)
	if s.Step != 12 || s.At == "" {
		t.Errorf("it says %+v", s)
	}
	sound(t, b)
	must(t, b.SetBackups(t.Context(), Backups{}))
	if s, err = b.Backups(t.Context()); err != nil || s.Every != 0 {
		t.Errorf("it goes on: %+v, %v", s, err)
	}
}

// TestBackupsRefused: a folder for backups is one, and a backup that is not sound is kept and told of.
func TestBackupsRefused(t *testing.T) {
	b := newShop(t)
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	must(t, os.WriteFile(file, nil, 0o666))
	wantError(t, b.SetBackups(t.Context(), Backups{Folder: file, Every: 1, Keep: 1}), model.BadUsage, "this is not a folder")
	must(t, b.SetBackups(t.Context(), Backups{Folder: dir, Every: 1, Keep: 1}))
	must(t, b.settle(t.Context()))
	unguarded(t, b.path, "DELETE FROM offer WHERE id = 1")
	made, err := b.BackUp(t.Context())
	wantError(t, err, model.CheckFailed, "the backup is not sound", "longpoint book check")
	if _, err := os.Stat(filepath.Join(dir, "shop-step-1.book")); err != nil || made != "" {
		t.Errorf("it gives %q, error %v", made, err)
	}
}
