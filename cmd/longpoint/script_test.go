package main

import (
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "write what the scripts got into them as what they want")

func TestMain(m *testing.M) {
	testscript.Main(inMemory{m}, map[string]func(){"longpoint": main, "stuck": stuck})
}

// inMemory keeps what tests write in memory where the machine has a folder for that: books are written through to the disk often, and what a disk
// does is not what is tested here.
type inMemory struct{ tests *testing.M }

func (m inMemory) Run() int {
	if dir, err := os.MkdirTemp("/dev/shm", "longpoint-test-"); err == nil {
		defer os.RemoveAll(dir)
		os.Setenv("TMPDIR", dir)
	}
	return m.tests.Run()
}

// TestScripts runs testdata/script against the real program, one script a behaviour. Besides testscript's own commands:
//
//	workshop DIR [SHOP]     writes the small workshop of testdata/workshop, on which most scripts plant one fault, or one of testdata/shops
//	spoil FILE OLD NEW      replaces the one place in FILE that says OLD
//	grow FILE BYTES         makes FILE that long
//	narrow FILE             demands that no line of FILE is wider than the page
//	status N longpoint …    runs the program and demands this exit status
func TestScripts(t *testing.T) {
	data, err := filepath.Abs("testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(env *testscript.Env) error {
			env.Setenv(timeVariable, amply)
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"workshop": func(ts *testscript.TestScript, _ bool, args []string) {
				from := filepath.Join(data, "workshop")
				if len(args) > 1 {
					from = filepath.Join(data, "shops", args[1])
				}
				ts.Check(os.CopyFS(ts.MkAbs(args[0]), os.DirFS(from)))
			},
			"spoil":  spoil,
			"grow":   grow,
			"narrow": narrow,
			"status": status,
		},
	})
}

// spoil replaces text that is in a file exactly once. \n, \t and \0 in the arguments are a line end, a tab
// and a byte 0.
func spoil(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 3 {
		ts.Fatalf("usage: spoil FILE OLD NEW")
	}
	name := ts.MkAbs(args[0])
	data, err := os.ReadFile(name)
	ts.Check(err)
	escapes := strings.NewReplacer(`\n`, "\n", `\t`, "\t", `\0`, "\x00")
	old, new := escapes.Replace(args[1]), escapes.Replace(args[2])
	if n := strings.Count(string(data), old); n != 1 {
		ts.Fatalf("%s says %q %d times, not once", args[0], old, n)
	}
	ts.Check(os.WriteFile(name, []byte(strings.Replace(string(data), old, new, 1)), 0o644))
}

// grow lengthens a file without writing what it is filled with.
func grow(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: grow FILE BYTES")
	}
	size, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), size))
}

// narrow demands that text fits the page.
func narrow(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: narrow FILE")
	}
	if w := widest(ts.ReadFile(args[0])); w > pageWidth {
		ts.Fatalf("a line of %s is %d columns wide, more than %d", args[0], w, pageWidth)
	}
}

// status runs a program and demands an exit status.
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status N PROGRAM ARGUMENTS…")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	got := 0
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		exit, ok := errors.AsType[*exec.ExitError](err)
		if !ok {
			ts.Fatalf("%v", err)
		}
		got = exit.ExitCode()
	}
	if got != want {
		ts.Fatalf("%s: exit status %d, want %d", strings.Join(args[1:], " "), got, want)
	}
}
