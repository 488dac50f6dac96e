package book

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"longpoint/model"
)

// atWork does random steps in a book and keeps it open, so that its log is not taken in.
func atWork(t *testing.T, r *rand.Rand, path string, steps int) *Book {
	t.Helper()
	b, err := Open(t.Context(), path)
	must(t, err)
	for range steps {
		id := fmt.Sprintf("W%d", r.IntN(1e9))
		_, err := b.write(t.Context(), "note", tester, func(tx *transaction) error {
			tx.tell("a stick")
			return tx.addStick(model.Stick{ID: id, Profile: "oak-40", Length: model.Length(1+r.IntN(3000)) * model.Millimetre}, 1)
		})
		must(t, err)
	}
	return b
}

// TestCopiedOver puts a backup, or a copy made by hand, over a book while the log of the book is left beside it, as after a power cut. What is then opened is
// the backup, or what the log's own book was at its last step: never a mix that is called sound.
func TestCopiedOver(t *testing.T) {
	times := 50
	if testing.Short() {
		times = 8
	}
	r := rand.New(rand.NewPCG(7, 7))
	outcomes := map[string]int{}
	for n := range times {
		dir := t.TempDir()
		path, copied := filepath.Join(dir, "shop.book"), filepath.Join(dir, "copy")
		must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
		b := atWork(t, r, path, 1+r.IntN(30))
		if n%2 == 0 {
			_, err := b.Backup(t.Context(), copied)
			must(t, err)
		} else {
			must(t, b.settle(t.Context()))
			must(t, copyFile(path, copied))
		}
		then := tables(t, b)
		must(t, b.Close())
		b = atWork(t, r, path, r.IntN(30))
		if r.IntN(2) == 0 {
			must(t, b.settle(t.Context()))
		}
		must(t, b.Close())
		b = atWork(t, r, path, 1+r.IntN(30))
		now := tables(t, b)
		log, err := os.ReadFile(path + logEnding)
		must(t, err)
		must(t, b.Close())
		must(t, os.Remove(path))
		must(t, copyFile(copied, path))
		must(t, os.WriteFile(path+logEnding, log, 0o666))

		b, err = OpenToCheck(t.Context(), path)
		must(t, err)
		found, err := b.Check(t.Context())
		if err != nil {
			found = []Finding{{"the book", err.Error()}}
		}
		must(t, b.Close())
		b, err = OpenToRead(t.Context(), path)
		switch {
		case err != nil && len(found) == 0:
			t.Errorf("%d: called sound and refused: %v", n, err)
		case err != nil:
			wantError(t, err, model.BadInput, "longpoint book")
			outcomes["refused"]++
			if _, err := Open(t.Context(), path); err == nil {
				t.Errorf("%d: it can be written in", n)
			}
			if left, err := os.ReadFile(path + logEnding); err != nil || string(left) != string(log) {
				t.Errorf("%d: the log is not left alone", n)
			}
		default:
			got := tables(t, b)
			must(t, b.Close())
			if len(found) > 0 || got != then && got != now {
				t.Errorf("%d: a mix is opened, found %v", n, found)
			}
			outcomes["whole"]++
		}
	}
	t.Log(outcomes)
	if outcomes["refused"] == 0 {
		t.Error("no log was foreign")
	}
}

func init() {
	workers["stranger"] = workAsStranger
}

// workAsStranger reads a book as another user, and tries to write in it.
func workAsStranger() int {
	const nobody = 65534
	if err := errors.Join(syscall.Setgroups(nil), syscall.Setgid(nobody), syscall.Setuid(nobody)); err != nil {
		fmt.Println("failed:", err)
		return 1
	}
	b, err := OpenToRead(context.Background(), os.Args[1])
	if err != nil {
		fmt.Println("failed:", err)
		return 1
	}
	rack, err := b.Rack(context.Background())
	if err != nil {
		fmt.Println("failed:", err)
		return 1
	}
	if err := b.Close(); err != nil {
		fmt.Println("failed:", err)
		return 1
	}
	fmt.Println("sticks", len(rack))
	_, err = Open(context.Background(), os.Args[1])
	fmt.Println("to write:", err)
	return 0
}

// asStranger lets another user read a book, in a folder that everybody may write in or not.
func asStranger(t *testing.T, path string) string {
	t.Helper()
	c, out := again(t, "stranger", path)
	text := new(strings.Builder)
	buffer := make([]byte, 4096)
	for {
		n, err := out.Read(buffer)
		text.Write(buffer[:n])
		if err != nil {
			break
		}
	}
	must(t, c.Wait())
	return text.String()
}

// TestStranger lets another user read a book, and makes sure that nothing of theirs is left beside it and the owner goes on writing.
func TestStranger(t *testing.T) {
	if os.Getuid() != 0 {
		t.Skip("only root can be somebody else")
	}
	for _, c := range []struct {
		name   string
		mode   os.FileMode
		before func(t *testing.T, path string)
	}{
		{"a folder for all", 0o777, func(*testing.T, string) {}},
		{"a folder of the owner", 0o755, func(*testing.T, string) {}},
		{"a log from a power cut", 0o777, leaveLog},
		{"the owner at work", 0o777, func(t *testing.T, path string) { b := openBook(t, path); sound(t, b) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, err := os.MkdirTemp("/tmp", "longpoint-stranger-")
			must(t, err)
			t.Cleanup(func() { os.RemoveAll(dir) })
			must(t, os.Chmod(dir, c.mode))
			t.Setenv("TMPDIR", "/tmp")
			path := filepath.Join(dir, "shop.book")
			must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
			must(t, os.Chmod(path, 0o644))
			c.before(t, path)
			before := besideIt(t, dir)
			said := asStranger(t, path)
			if !strings.Contains(said, "sticks ") || !strings.Contains(said, "this book can only be read") || !strings.Contains(said, "belongs to root") {
				t.Errorf("the stranger: %s", said)
			}
			if after := besideIt(t, dir); after != before {
				t.Errorf("beside the book: %s, was %s", after, before)
			}
			b, err := Open(t.Context(), path)
			must(t, err)
			_, err = b.Do(t.Context(), tester, Discard("S1"))
			must(t, err)
			must(t, b.Close())
		})
	}
}

// besideIt gives what is in a folder and whose it is.
func besideIt(t *testing.T, dir string) string {
	all, err := os.ReadDir(dir)
	must(t, err)
	var names []string
	for _, e := range all {
		names = append(names, e.Name()+" of "+ownerOf(filepath.Join(dir, e.Name())))
	}
	return strings.Join(names, ", ")
}

// TestReadingLeavesNothing makes sure that who reads takes away what lies beside the book.
func TestReadingLeavesNothing(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.book")
	must(t, Create(t.Context(), path, func(b *Book) error { return b.Fill(t.Context(), smallShop(), tester) }))
	for _, open := range []func(context.Context, string) (*Book, error){OpenToRead, OpenToCheck, Open} {
		b, err := open(t.Context(), path)
		must(t, err)
		sound(t, b)
		must(t, b.Close())
		if got := besideIt(t, filepath.Dir(path)); strings.Contains(got, ",") {
			t.Errorf("left: %s", got)
		}
	}
	b, err := OpenToRead(t.Context(), path)
	must(t, err)
	defer b.Close()
	_, err = b.Do(t.Context(), tester, Discard("S1"))
	wantError(t, err, model.BadUsage, "cannot be written")
}

// lateContext ends after it has been asked so often whether it has.
type lateContext struct {
	context.Context
	left *int
}

func (c lateContext) Err() error {
	if *c.left--; *c.left < 0 {
		return context.Canceled
	}
	return nil
}

// TestStoppedWhileTrying is stopped at every moment of trying a log that is of another book: it is never taken for the book's own.
func TestStoppedWhileTrying(t *testing.T) {
	path := filepath.Join(t.TempDir(), "shop.book")
	_, err := usedShop(t).Backup(t.Context(), path)
	must(t, err)
	anotherLog(t, path)
	for n := 0; n < 60; n += 1 + n/3 {
		left := n
		if err := tryLog(lateContext{t.Context(), &left}, path); err == nil {
			t.Errorf("stopped when it asks for the %d. time, it takes the log", n+1)
		}
	}
}

// TestBusyWhileCopied has somebody write in a book all the time while it is read as a copy: the copies that were made in vain are taken away.
func TestBusyWhileCopied(t *testing.T) {
	path := closed(t, newShop(t))
	apart := t.TempDir()
	t.Setenv("TMPDIR", apart)
	over, quiet := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(quiet)
		for n := int64(0); ; n++ {
			select {
			case <-over:
				return
			default:
				_ = os.Chtimes(path, time.Unix(n, 0), time.Unix(n, 0))
			}
		}
	}()
	for tries, failed := 0, false; tries < 100 && !failed; tries++ {
		b, err := openApart(t.Context(), path)
		if err == nil {
			must(t, b.Close())
			continue
		}
		var busy *model.Error
		if !errors.As(err, &busy) || !strings.Contains(busy.What, "the book is busy") {
			t.Errorf("%v", err)
		}
		failed = true
	}
	close(over)
	<-quiet
	left, err := os.ReadDir(apart)
	must(t, err)
	if len(left) > 0 {
		t.Errorf("%d copies are left", len(left))
	}
}
