package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"longpoint/model/book"
)

// terminal opens a terminal of its own, and gives the side that a program has.
func terminal(t *testing.T) *os.File {
	t.Helper()
	if runtime.GOOS != "linux" {
		t.Skip("a terminal is made otherwise here")
	}
	master, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no terminal can be made here: %v", err)
	}
	t.Cleanup(func() { master.Close() })
	const unlock, number = 0x40045431, 0x80045430 // TIOCSPTLCK and TIOCGPTN of linux/tty.h
	var n uint32
	for _, request := range []uintptr{unlock, number} {
		if _, _, e := syscall.Syscall(syscall.SYS_IOCTL, master.Fd(), request, uintptr(unsafe.Pointer(&n))); e != 0 {
			t.Skipf("no terminal can be made here: %v", e)
		}
	}
	slave, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no terminal can be made here: %v", err)
	}
	t.Cleanup(func() { slave.Close() })
	go io.Copy(io.Discard, master)
	return slave
}

// TestFirstStart types "longpoint" alone, in a terminal with a screen and without one, with its answer sent elsewhere, and as a desktop
// starts it.
func TestFirstStart(t *testing.T) {
	tty := terminal(t)
	null, err := os.OpenFile(os.DevNull, os.O_RDWR, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer null.Close()
	for _, c := range []struct {
		name    string
		in      io.Reader
		out     io.Writer
		display bool
		begins  string // where a book will be
	}{
		{"a terminal at a screen", tty, tty, true, "shop.book"},
		{"a terminal without a screen", tty, tty, false, ""},
		{"its answer to a pipe", tty, new(bytes.Buffer), true, ""},
		{"typed into by a script", strings.NewReader(""), tty, true, ""},
		{"a double click", null, null, true, filepath.Join(firstFolder, "shop.book")},
		{"nobody at all", null, null, false, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			home := t.TempDir()
			t.Setenv("HOME", home)
			t.Setenv(bookVariable, "")
			t.Chdir(home)
			ctx, stop := context.WithCancel(t.Context())
			defer stop()
			shown := ""
			var stderr bytes.Buffer
			p := &program{stdin: c.in, stdout: c.out, stderr: &stderr, hasDisplay: func() bool { return c.display }, browse: func(url string) error {
				defer stop()
				answer, err := http.Get(url)
				if err != nil {
					return err
				}
				defer answer.Body.Close()
				text, err := io.ReadAll(answer.Body)
				shown = string(text)
				return err
			}}
			if status := p.run(ctx, nil); status != statusDone {
				t.Fatalf("status %d: %s", status, stderr.String())
			}
			switch {
			case c.begins == "" && shown != "":
				t.Error("the page was opened")
			case c.begins != "" && !strings.Contains(shown, "Yours will be "+c.begins) && !strings.Contains(shown, "Yours will be "+filepath.Join(home, c.begins)):
				t.Errorf("the page says: %.3000s", shown)
			}
			if found, _ := filepath.Glob(filepath.Join(home, "*")); len(found) > 0 {
				t.Errorf("looking at it has made %v", found)
			}
		})
	}
}

// stopAt stops a program once it has written some words.
type stopAt struct {
	bytes.Buffer
	words string
	stop  func()
}

func (s *stopAt) Write(b []byte) (int, error) {
	n, err := s.Buffer.Write(b)
	if strings.Contains(s.String(), s.words) {
		s.stop()
	}
	return n, err
}

// TestStartWithoutAScreen: in a terminal without a screen the questions are asked there, unless the pages are asked for.
func TestStartWithoutAScreen(t *testing.T) {
	for _, c := range []struct {
		line  []string
		words string
	}{
		{[]string{"start"}, "1. In what do you measure?"},
		{[]string{"start", "--no-browser", "--for", "1ms"}, ""},
		{[]string{"start", "--listen", "127.0.0.1:0", "--for", "1ms"}, ""},
	} {
		t.Chdir(t.TempDir())
		t.Setenv(bookVariable, "")
		ctx, stop := context.WithCancel(t.Context())
		defer stop()
		said := &stopAt{words: "Unit", stop: stop}
		tty := terminal(t)
		p := &program{stdin: tty, stdout: tty, stderr: said, hasDisplay: func() bool { return false }, browse: func(string) error { return nil }}
		p.run(ctx, c.line)
		if got := said.String(); !strings.Contains(got, c.words) || (c.words == "") == strings.Contains(got, "There is no screen") {
			t.Errorf("%v: %s", c.line, got)
		}
	}
}

// TestStartOpensTheBook starts where books are already.
func TestStartOpensTheBook(t *testing.T) {
	for _, c := range []struct {
		books  []string
		opened bool
		says   string
	}{
		{[]string{"shop.book"}, true, "Nothing is in this book yet"},
		{[]string{"north.book", "demo-small.book"}, true, "Nothing is in this book yet"},
		{[]string{"demo-small.book"}, false, "demo-small.book"},
		{[]string{"north.book", "south.book"}, false, "south.book"},
		{[]string{"shop.book", "shop-2.book"}, false, "Yours will be shop-3.book"},
	} {
		t.Run(strings.Join(c.books, " "), func(t *testing.T) {
			t.Chdir(t.TempDir())
			t.Setenv(bookVariable, "")
			for _, name := range c.books {
				if err := book.Create(t.Context(), name, nil); err != nil {
					t.Fatal(err)
				}
			}
			path, names := booksIn(".")
			if (path != "") != c.opened {
				t.Errorf("%q, %q", path, names)
			}
			ctx, stop := context.WithCancel(t.Context())
			defer stop()
			shown := ""
			var out bytes.Buffer
			p := &program{stdin: strings.NewReader(""), stdout: &out, stderr: &out, hasDisplay: func() bool { return true }, browse: func(url string) error {
				defer stop()
				answer, err := http.Get(url)
				if err != nil {
					return err
				}
				defer answer.Body.Close()
				text, err := io.ReadAll(answer.Body)
				shown = string(text)
				return err
			}}
			if status := p.run(ctx, []string{"start", "--listen", "127.0.0.1:0"}); status != statusDone || !strings.Contains(shown, c.says) {
				t.Errorf("status %d, %s; the page: %.2500s", status, out.String(), shown)
			}
		})
	}
}
