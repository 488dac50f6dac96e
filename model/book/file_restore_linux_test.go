package book

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
)

// namesChanged gives what happens to the names in a folder while a function runs, one after the other: "lost NAME" or "got NAME".
func namesChanged(t *testing.T, dir string, f func()) (all []string) {
	t.Helper()
	fd, err := syscall.InotifyInit1(syscall.IN_NONBLOCK | syscall.IN_CLOEXEC)
	must(t, err)
	defer syscall.Close(fd)
	_, err = syscall.InotifyAddWatch(fd, dir, syscall.IN_CREATE|syscall.IN_DELETE|syscall.IN_MOVE)
	must(t, err)
	f()
	buffer := make([]byte, 1<<16)
	for {
		n, err := syscall.Read(fd, buffer)
		if err == syscall.EAGAIN {
			return all
		}
		must(t, err)
		for at := 0; at < n; {
			event := buffer[at:]
			mask, length := binary.NativeEndian.Uint32(event[4:]), int(binary.NativeEndian.Uint32(event[12:]))
			name := string(bytes.TrimRight(event[syscall.SizeofInotifyEvent:syscall.SizeofInotifyEvent+length], "\x00"))
			word := "got "
			if mask&(syscall.IN_DELETE|syscall.IN_MOVED_FROM) != 0 {
				word = "lost "
			}
			all = append(all, word+name)
			at += syscall.SizeofInotifyEvent + length
		}
	}
}

// TestNeverWithoutBook goes back to a backup and repairs a book, and demands that the book's name is free at no moment, and that no log of the old
// book lies there when the new one gets it: whenever this is killed, the name is that of a book.
func TestNeverWithoutBook(t *testing.T) {
	whole := closed(t, usedShop(t))
	restore := func(dir, path string) (string, error) {
		return Restore(t.Context(), filepath.Join(dir, "monday.book"), path)
	}
	repair := func(dir, path string) (string, error) {
		r, err := Mend(t.Context(), path, true)
		return strings.Join(r.Aside, ", "), err
	}
	for _, c := range []struct {
		name  string
		spoil func(t *testing.T, path string)
		again func(dir, path string) (string, error)
		log   bool
	}{
		{"a book in order", func(*testing.T, string) {}, restore, false},
		{"its own log", leaveLog, restore, true},
		{"the log of another state", anotherLog, restore, true},
		{"killed before", func(t *testing.T, path string) { must(t, os.Link(path, path+".before-1")) }, restore, false},
		{"a log of a book that is gone aside", func(t *testing.T, path string) { must(t, os.WriteFile(path+".before-1-wal", []byte("a log"), 0o666)) }, restore, false},
		{"to repair", dropTrigger, repair, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, "shop.book")
			must(t, copyFile(whole, path))
			must(t, copyFile(whole, filepath.Join(dir, "monday.book")))
			c.spoil(t, path)
			old, err := os.Stat(path)
			must(t, err)
			var aside string
			events := namesChanged(t, dir, func() {
				aside, err = c.again(dir, path)
				must(t, err)
			})
			if slices.Contains(events, "lost shop.book") || !slices.Contains(events, "got shop.book") {
				t.Errorf("the name was free, or is the old book's: %v", events)
			}
			if gone, got := slices.Index(events, "lost shop.book-wal"), slices.Index(events, "got shop.book"); (gone >= 0) != c.log || gone > got {
				t.Errorf("the log went too late, or not at all: %v", events)
			}
			if is, err := os.Stat(aside); err != nil || !os.SameFile(is, old) {
				t.Errorf("the old book is not %s: %v", aside, err)
			}
			asides, err := filepath.Glob(path + ".before-?")
			must(t, err)
			if len(asides) != 1 {
				t.Errorf("put aside: %v", asides)
			}
			if _, err := os.Stat(aside + logEnding); (err == nil) != (c.name == "the log of another state") {
				t.Errorf("the log beside what was put aside: %v", err)
			}
			sound(t, openBook(t, path))
		})
	}
}

// dropTrigger takes a trigger out of a book.
func dropTrigger(t *testing.T, path string) {
	b, err := connect(path, readWrite)
	must(t, err)
	_, err = b.db.Exec("DROP TRIGGER log_job_insert")
	must(t, err)
	must(t, b.db.Close())
}
