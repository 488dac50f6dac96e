package book

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"longpoint/model"
)

// TestMend mends what can be mended: nothing is done without being told to, what was there is kept, and the book answers as before.
func TestMend(t *testing.T) {
	b := usedShop(t)
	whole := filepath.Join(t.TempDir(), "whole.book")
	_, err := b.Backup(t.Context(), whole)
	must(t, err)
	want := answers(t, whole)
	statement := func(text string) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			d, err := connect(path, readWrite)
			must(t, err)
			d.db.SetMaxOpenConns(1)
			_, err = d.db.Exec(text)
			must(t, err)
			must(t, d.db.Close())
		}
	}
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, path string)
		do    string // empty: nothing mends it
	}{
		{"no triggers", statement("DROP TRIGGER log_job_insert"), "write the book anew"},
		{"a foreign trigger", statement("CREATE TRIGGER helper AFTER INSERT ON step BEGIN DELETE FROM change; END"), "write the book anew"},
		{"a view", statement("ALTER TABLE offer RENAME TO offer_2; CREATE VIEW offer AS SELECT * FROM offer_2"), "write the book anew"},
		{"a step left open", statement("INSERT INTO open_step (id, step) SELECT 1, max(id) FROM step"), "write the book anew"},
		{"an index", func(t *testing.T, path string) {
			c, err := connect(path, frozen)
			must(t, err)
			var root, size int64
			must(t, c.db.QueryRow("SELECT rootpage, (SELECT page_size FROM pragma_page_size) FROM sqlite_schema WHERE name = 'stick_profile'").Scan(&root, &size))
			must(t, c.db.Close())
			inFile(t, path, func(data []byte) []byte { copy(data[root*size-20:root*size], strings.Repeat("x", 20)); return data })
		}, "write the book anew"},
		{"another log", anotherLog, "put the log"},
		{"a lost row", func(t *testing.T, path string) { unguarded(t, path, "DELETE FROM offer WHERE id = 1") }, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "shop.book")
			must(t, copyFile(whole, path))
			c.spoil(t, path)
			before := besideIt(t, dir)
			r, err := Mend(t.Context(), path, false)
			must(t, err)
			if got := strings.Join(r.Do, "; "); !strings.Contains(got, c.do) || (c.do == "") != (len(r.Left) > 0) {
				t.Fatalf("it would %q, left %v", got, r.Left)
			}
			if after := besideIt(t, dir); after != before {
				t.Errorf("beside the book %s, was %s", after, before)
			}
			r, err = Mend(t.Context(), path, true)
			must(t, err)
			if c.do == "" {
				return
			}
			if len(r.Aside) != 1 {
				t.Fatalf("put aside: %v", r.Aside)
			}
			if _, err := os.Stat(r.Aside[0]); err != nil {
				t.Error(err)
			}
			if got := answers(t, path); got != strings.ReplaceAll(want, whole, path) {
				t.Errorf("it answers otherwise: %s", firstDifference(want, got))
			}
			if called := checked(t, path); called != "sound" {
				t.Errorf("it is %s", called)
			}
			o := openBook(t, path)
			_, err = o.Do(t.Context(), tester, MarkJobs(JobOpen))
			must(t, err)
			_, err = Mend(t.Context(), path, true)
			wantError(t, err, model.BadUsage, "at work")
			must(t, o.Close())
			r, err = Mend(t.Context(), path, true)
			must(t, err)
			if len(r.Do)+len(r.Left) > 0 {
				t.Errorf("it mends a sound book: %v", r)
			}
		})
	}
}

// TestFreeName gives the next name of those that nothing has, be it a link to nothing.
func TestFreeName(t *testing.T) {
	name := filepath.Join(t.TempDir(), "log")
	for _, want := range []string{name, name + "-2", name + "-3"} {
		got, err := freeName(name)
		must(t, err)
		if got != want {
			t.Errorf("%s is free, want %s", got, want)
		}
		must(t, os.Symlink("nothing", got))
	}
	file := filepath.Join(t.TempDir(), "file")
	must(t, os.WriteFile(file, nil, 0o666))
	if got, err := freeName(filepath.Join(file, "log")); err == nil {
		t.Errorf("%s is free within a file", got)
	}
}

// anotherLog puts a copy of a book over it, and leaves the log of what it was since.
func anotherLog(t *testing.T, path string) {
	t.Helper()
	copied := path + ".copy"
	must(t, copyFile(path, copied))
	b := atWork(t, rand.New(rand.NewPCG(1, 1)), path, 9)
	must(t, b.Close())
	b = atWork(t, rand.New(rand.NewPCG(2, 1)), path, 9)
	log, err := os.ReadFile(path + logEnding)
	must(t, err)
	must(t, b.Close())
	must(t, os.Rename(copied, path))
	must(t, os.WriteFile(path+logEnding, log, 0o666))
}

// TestCopyIsClosed leaves nothing open of a copy that is checked.
func TestCopyIsClosed(t *testing.T) {
	path := closed(t, newShop(t))
	copied := filepath.Join(t.TempDir(), "copy.book")
	must(t, copyFile(path, copied))
	_, err := checkCopy(t.Context(), copied)
	must(t, err)
	open, err := filepath.Glob("/proc/self/fd/*")
	must(t, err)
	for _, fd := range open {
		if to, err := os.Readlink(fd); err == nil && strings.HasPrefix(to, copied) {
			t.Errorf("%s is open still", to)
		}
	}
}
