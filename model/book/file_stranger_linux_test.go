package book

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"
	"testing"

	"longpoint/model"
)

// asNobody runs a function as another user, in a thread of its own that ends with it.
func asNobody(f func() error) error {
	const nobody = 65534
	done := make(chan error)
	go func() {
		runtime.LockOSThread() // never unlocked: so that the thread ends with the goroutine
		if _, _, failed := syscall.RawSyscall(syscall.SYS_SETRESUID, nobody, nobody, nobody); failed != 0 {
			done <- failed
			return
		}
		done <- f()
	}()
	return <-done
}

// TestNobody has a user who may not write read a book that lies in the states in which a book can: what they read is what its owner does, and nothing of theirs is
// left beside it.
func TestNobody(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("only root can be somebody else")
	}
	atWorkIn := func(t *testing.T, path string) { sound(t, openBook(t, path)) }
	for _, c := range []struct {
		name   string
		before func(t *testing.T, path string)
		kind   model.ErrorKind
		said   string // where it is refused
	}{
		{"in order", func(*testing.T, string) {}, 0, ""},
		{"a log from a power cut", leaveLog, 0, ""},
		{"the owner at work", atWorkIn, 0, ""},
		{"the log of another state", func(t *testing.T, path string) {
			must(t, os.Remove(path))
			_, err := usedShop(t).Backup(t.Context(), path)
			must(t, err)
			anotherLog(t, path)
			must(t, errors.Join(os.Chmod(path, 0o644), os.Chmod(path+logEnding, 0o644)))
		}, model.BadInput, "the log beside the book is not its own"},
		{"what is shared may not be read", func(t *testing.T, path string) {
			must(t, os.WriteFile(path+sharedEnding, nil, 0o600))
		}, model.BadUsage, "this may not be read or written"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := sharedBook(t, 0o777)
			c.before(t, path)
			left := func() string { return besideIt(t, filepath.Dir(path)) + "; " + besideIt(t, os.TempDir()) }
			before := left()
			var sticks int
			err := asNobody(func() error {
				b, err := OpenToRead(context.Background(), path)
				if err != nil {
					return err
				}
				rack, err := b.Rack(context.Background())
				sticks = len(rack)
				return errors.Join(err, b.Close())
			})
			if c.said != "" {
				wantError(t, err, c.kind, c.said)
			} else if must(t, err); sticks < len(smallShop().Rack) {
				t.Errorf("%d sticks", sticks)
			}
			if after := left(); after != before {
				t.Errorf("beside the book and among what is passing: %s, was %s", after, before)
			}
		})
	}
}

// TestLeftByOwner has a user who may write in a book find files beside it that are another's: they are replaced where nobody is at work and the folder
// lets them be, else the user is told whose they are.
func TestLeftByOwner(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("only root can be somebody else")
	}
	const sticky = os.ModeSticky | 0o777
	for _, c := range []struct {
		name   string
		mode   os.FileMode
		before func(t *testing.T, path string)
		do     string // empty: it is opened
	}{
		{"a log that is needed", 0o777, leaveLog, ""},
		{"an empty log", 0o777, func(t *testing.T, path string) { must(t, os.WriteFile(path+logEnding, nil, 0o644)) }, ""},
		{"a log that cannot be taken away", sticky, func(t *testing.T, path string) { must(t, os.WriteFile(path+logEnding, nil, 0o644)) }, "have that user delete this file"},
		{"the owner at work", 0o777, func(t *testing.T, path string) { sound(t, openBook(t, path)); must(t, os.Chmod(path+logEnding, 0o644)) }, "stop every other Longpoint"},
		{"what was shared", 0o777, leaveShared, ""},
		{"what was shared, and cannot be taken away", sticky, leaveShared, "have that user delete this file"},
		{"what is shared by the owner at work", 0o777, func(t *testing.T, path string) {
			sound(t, openBook(t, path))
			must(t, errors.Join(os.Chmod(path+logEnding, 0o666), os.Chmod(path+sharedEnding, 0o644)))
		}, "stop every other Longpoint"},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := sharedBook(t, c.mode)
			must(t, os.Chmod(path, 0o666))
			c.before(t, path)
			must(t, os.Chmod(path, 0o666))
			err := asNobody(func() error { return settleBeside(context.Background(), path) })
			if c.do != "" {
				wantError(t, err, model.BadUsage, "this file belongs to root", c.do)
				return
			}
			must(t, err)
			for _, ending := range []string{logEnding, sharedEnding} {
				if owner := ownerOf(path + ending); owner == "root" {
					t.Errorf("%s is still root's", ending)
				}
			}
			b := openBook(t, path)
			sound(t, b)
			rack, err := b.Rack(t.Context())
			must(t, err)
			if c.name == "a log that is needed" && !slices.ContainsFunc(rack, func(s RackStick) bool { return s.Name == "late" }) {
				t.Error("what was in the log is lost")
			}
		})
	}
}

// leaveShared leaves what those who had the book open have shared.
func leaveShared(t *testing.T, path string) {
	t.Helper()
	must(t, os.WriteFile(path+sharedEnding, make([]byte, 32<<10), 0o644))
}

// TestCopiesInClosedFolder asks for the copies of a book in a folder that may be gone through and not looked at.
func TestCopiesInClosedFolder(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("only root can be somebody else")
	}
	path := sharedBook(t, 0o777)
	b := openBook(t, path)
	must(t, os.Chmod(filepath.Dir(path), 0o711))
	err := asNobody(func() error {
		all, err := b.copies(context.Background(), "")
		if len(all) > 0 {
			return errors.New("there are copies")
		}
		return err
	})
	wantError(t, err, model.BadUsage, "may not be read")
}

// sharedBook makes a book that everybody may read, in a folder that others can get to.
func sharedBook(t *testing.T, folder os.FileMode) string {
	t.Helper()
	dir, err := os.MkdirTemp("/tmp", "longpoint-stranger-")
	must(t, err)
	t.Cleanup(func() { os.RemoveAll(dir) })
	must(t, os.Chmod(dir, folder))
	passing := filepath.Join(dir, "passing")
	must(t, os.Mkdir(passing, 0o777))
	must(t, os.Chmod(passing, 0o777))
	t.Setenv("TMPDIR", passing)
	path := filepath.Join(dir, "shop.book")
	must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
	must(t, os.Chmod(path, 0o644))
	return path
}
