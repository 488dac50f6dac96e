package book

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"longpoint/model"
	"longpoint/model/whole"
)

// TestRestore goes back to a backup, also where the book was left with a log by a power cut, is damaged, or is not there, and keeps what was there.
func TestRestore(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, path string)
		aside bool
	}{
		{"a book in order", func(*testing.T, string) {}, true},
		{"a log beside it", leaveLog, true},
		{"a damaged book", func(t *testing.T, path string) { must(t, os.WriteFile(path, []byte("not a book"), 0o666)) }, true},
		{"no book", func(t *testing.T, path string) { must(t, os.Remove(path)) }, false},
		{"no book, but its log", func(t *testing.T, path string) { leaveLog(t, path); must(t, os.Remove(path)) }, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path, backup := filepath.Join(dir, "shop.book"), filepath.Join(dir, "monday.book")
			must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
			b, err := Open(t.Context(), path)
			must(t, err)
			_, err = b.Backup(t.Context(), backup)
			must(t, err)
			want := tables(t, b)
			_, err = b.Do(t.Context(), tester, Discard("S1"))
			must(t, err)
			must(t, b.Close())
			c.spoil(t, path)
			before, _ := os.ReadFile(path)
			aside, err := Restore(t.Context(), backup, path)
			must(t, err)
			if (aside != "") != c.aside {
				t.Errorf("put aside as %q", aside)
			}
			if there, err := os.ReadFile(aside); c.aside && (err != nil || c.name == "a damaged book" && !slices.Equal(there, before)) {
				t.Errorf("what was there is not kept: %v", err)
			}
			again := openBook(t, path)
			if got := tables(t, again); got != want {
				t.Error("the book is not as it was backed up")
			}
			sound(t, again)
		})
	}
	t.Run("no sound backup", func(t *testing.T) {
		dir := t.TempDir()
		path, backup := filepath.Join(dir, "shop.book"), filepath.Join(dir, "other")
		must(t, Create(t.Context(), path, nil))
		must(t, os.WriteFile(backup, []byte("something else"), 0o666))
		_, err := Restore(t.Context(), backup, path)
		wantError(t, err, model.BadInput, "not a book")
		if _, err := os.Stat(path); err != nil {
			t.Errorf("the book is gone: %v", err)
		}
	})
	t.Run("a folder", func(t *testing.T) {
		dir := t.TempDir()
		backup := filepath.Join(dir, "monday.book")
		must(t, Create(t.Context(), backup, nil))
		_, err := Restore(t.Context(), backup, dir)
		wantError(t, err, model.BadInput, "this is a folder")
	})
	t.Run("its log cannot be tried", func(t *testing.T) {
		dir := t.TempDir()
		path, backup := filepath.Join(dir, "shop.book"), filepath.Join(dir, "monday.book")
		must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
		must(t, copyFile(path, backup))
		leaveLog(t, path)
		before := entries(t, dir)
		t.Setenv("TMPDIR", filepath.Join(dir, "none"))
		_, err := Restore(t.Context(), backup, path)
		wantError(t, err, model.BadUsage, "no such file or folder")
		if after := entries(t, dir); after != before {
			t.Error("something was changed")
		}
	})
	t.Run("two at once", func(t *testing.T) {
		dir := t.TempDir()
		path, backup := filepath.Join(dir, "shop.book"), filepath.Join(dir, "monday.book")
		must(t, Create(t.Context(), path, nil))
		must(t, copyFile(path, backup))
		other, free := whole.Lock(dir)
		if !free {
			t.Fatal("it is locked already")
		}
		before := entries(t, dir)
		_, err := Restore(t.Context(), backup, path)
		wantError(t, err, model.BadUsage, "somebody is at work in this book")
		_, err = Mend(t.Context(), path, true)
		wantError(t, err, model.BadUsage, "somebody is at work in this book")
		if after := entries(t, dir); after != before {
			t.Error("something was changed")
		}
		must(t, other())
		aside, err := Restore(t.Context(), backup, path)
		must(t, err)
		if _, err := Restore(t.Context(), aside, path); err != nil {
			t.Errorf("the lock stays: %v", err)
		}
	})
	t.Run("at work", func(t *testing.T) {
		dir := t.TempDir()
		path, backup := filepath.Join(dir, "shop.book"), filepath.Join(dir, "monday.book")
		must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
		b := openBook(t, path)
		_, err := b.Backup(t.Context(), backup)
		must(t, err)
		_, err = b.write(t.Context(), "wait", tester, func(tx *transaction) error {
			_, err := Restore(t.Context(), backup, path)
			wantError(t, err, model.BadUsage, "somebody is at work in this book")
			return nil
		})
		must(t, err)
	})
}

// TestPutInPlaceFails makes sure that a book that was put aside is the book again, log and all, where the new file cannot get its name.
func TestPutInPlaceFails(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "shop.book")
	for _, ending := range []string{"", logEnding, sharedEnding} {
		must(t, os.WriteFile(path+ending, []byte("old"+ending), 0o666))
	}
	before := entries(t, dir)
	_, err := putInPlace(filepath.Join(t.TempDir(), "young"), path)
	wantError(t, err, model.BadUsage, "no such file")
	if after := entries(t, dir); after != before {
		t.Errorf("there is %s, was %s", after, before)
	}
	if err := takeBack(path+".before-1", path); err == nil {
		t.Error("what was not put aside is taken back")
	}
}

// entries gives the files in a folder with what is in them.
func entries(t *testing.T, dir string) (all string) {
	t.Helper()
	in, err := os.ReadDir(dir)
	must(t, err)
	for _, e := range in {
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		must(t, err)
		all += e.Name() + " " + string(data) + "\n"
	}
	return all
}

// leaveLog leaves a book as a power cut does: with changes in the log beside it.
func leaveLog(t *testing.T, path string) {
	t.Helper()
	b, err := Open(t.Context(), path)
	must(t, err)
	_, err = b.Do(t.Context(), tester, MarkJobs(JobOpen))
	must(t, err)
	_, err = b.write(t.Context(), "note", tester, func(tx *transaction) error {
		return tx.addStick(model.Stick{ID: "late", Profile: "oak-40", Length: model.Metre}, 1)
	})
	must(t, err)
	log, err := os.ReadFile(path + "-wal")
	must(t, err)
	if len(log) == 0 {
		t.Fatal("there is no log")
	}
	file, err := os.ReadFile(path)
	must(t, err)
	must(t, b.Close())
	must(t, os.WriteFile(path, file, 0o666))
	must(t, os.WriteFile(path+"-wal", log, 0o666))
}
