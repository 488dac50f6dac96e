package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"time"
)

// fate is what becomes of a fault.
type fate string

const (
	caughtByTest fate = "caught"
	caughtByTime fate = "did not end"
	survivedAll  fate = "survived"
	equivalent   fate = "equivalent"
	notBuilt     fate = "did not build"
)

// gate is the tests that guard one package.
type gate struct {
	target string
	work   string
	log    io.Writer
	alone  bool
	names  string // of the tests to run, a regular expression

	overlay string
	guards  []*guard // those looked at so far: the package's own tests, then its witnesses'
}

// guard is the tests of one package: a program with every fault of the target in it, and what each test reaches there.
type guard struct {
	of      string
	program string
	tests   []*test
}

// test is one test, and what it reaches of the target.
type test struct {
	name    string
	took    time.Duration
	reached []span
}

// span is a run of statements in a file.
type span struct {
	file               string
	line, column       int
	endLine, endColumn int
}

// judge shows each fault to the tests and reports what became of it.
func (g *gate) judge(ctx context.Context, faults []*fault, excused map[string]bool, report func(string, *fault, fate, string) error) error {
	if len(faults) == 0 {
		return nil
	}
	built, err := g.build(ctx, slices.Clone(faults))
	if err != nil {
		return err
	}
	for i, f := range faults {
		what, by := notBuilt, ""
		if built[i] != nil {
			if what, by, err = g.show(ctx, f, i+1); err != nil {
				return err
			}
			if what == survivedAll && excused[f.key()] {
				what = equivalent
			}
		}
		fmt.Fprintf(g.log, "%s %d of %d: %s%s: %s\n", g.target, i+1, len(faults), what, by, f)
		if err := report(g.target, f, what, strings.TrimPrefix(by, " by ")); err != nil {
			return err
		}
	}
	return nil
}

// wrongLine is how the compiler says where it fails.
var wrongLine = regexp.MustCompile(`(?m)^(?:\./)?(\S+\.go):([0-9]+):[0-9]+: `)

// build builds the package's own tests with all faults, leaving out those that the compiler refuses; these are nil in what it gives.
func (g *gate) build(ctx context.Context, faults []*fault) ([]*fault, error) {
	for range 20 {
		path, copies, err := overlay(g.target, g.work, faults)
		if err != nil {
			return nil, err
		}
		g.overlay = path
		out, err := g.compile(ctx, g.target)
		if err == nil {
			return faults, nil
		}
		refused := 0
		for _, m := range wrongLine.FindAllStringSubmatch(out, -1) {
			line, _ := strconv.Atoi(m[2])
			for _, c := range copies[filepath.Join(g.target, filepath.Base(m[1]))] {
				if c.first <= line && line <= c.last && faults[c.number-1] != nil {
					faults[c.number-1] = nil
					refused++
				}
			}
		}
		if refused == 0 {
			return nil, fmt.Errorf("%s does not build: %w\n%s", g.target, err, out)
		}
	}
	return nil, fmt.Errorf("%s: the compiler goes on refusing", g.target)
}

func (g *gate) programOf(of string) string {
	return filepath.Join(g.work, strings.ReplaceAll(of, "/", "_")+".test")
}

// compile builds the tests of a package with the target's faults in it.
func (g *gate) compile(ctx context.Context, of string) (string, error) {
	cmd := exec.CommandContext(ctx, "go", "test", "-c", "-vet=off", "-overlay", g.overlay, "-gcflags=longpoint/"+g.target+"=-e", "-o", g.programOf(of), "./"+of)
	out, err := cmd.CombinedOutput()
	return string(out), err
}

// show runs the tests that reach a fault until one fails.
func (g *gate) show(ctx context.Context, f *fault, number int) (fate, string, error) {
	owners := []string{g.target}
	if !g.alone {
		owners = append(owners, witnesses[g.target]...)
	}
	for i, of := range owners {
		if i == len(g.guards) {
			next, err := g.guardOf(ctx, of)
			if err != nil {
				return "", "", err
			}
			g.guards = append(g.guards, next)
		}
		what, by, err := g.face(ctx, g.guards[i], f, number)
		if err != nil || what != survivedAll {
			return what, by, err
		}
	}
	return survivedAll, "", nil
}

// face runs the tests of one package that reach a fault, the quick ones first, in groups that take ever longer.
func (g *gate) face(ctx context.Context, of *guard, f *fault, number int) (fate, string, error) {
	tests := reaching(of.tests, f)
	for least := time.Second; len(tests) > 0; least *= 2 {
		n, took := 0, time.Duration(0)
		for n < len(tests) && (n == 0 || took+tests[n].took <= least) {
			took += tests[n].took
			n++
		}
		var names []string
		for _, t := range tests[:n] {
			names = append(names, t.name)
		}
		tests = tests[n:]
		what, out, err := g.run(ctx, of, names, number, took)
		if err != nil {
			return "", "", err
		}
		if what == survivedAll {
			continue
		}
		if failed := failedTests(out); len(failed) > 0 {
			names = failed
		}
		without, _, err := g.run(ctx, of, names, 0, took)
		if err != nil {
			return "", "", err
		}
		if without == survivedAll {
			return what, " by " + of.of + " " + strings.Join(names, " "), nil
		}
		fmt.Fprintf(g.log, "%s: %s of %s fail without a fault too\n", g.target, strings.Join(names, " "), of.of)
	}
	return survivedAll, "", nil
}

// failedLine is how a test says that it failed.
var failedLine = regexp.MustCompile(`(?m)^--- FAIL: ([A-Za-z0-9_]+)`)

func failedTests(out string) (names []string) {
	for _, m := range failedLine.FindAllStringSubmatch(out, -1) {
		names = append(names, m[1])
	}
	return names
}

// run runs tests with a fault planted; 0 plants none.
func (g *gate) run(ctx context.Context, of *guard, names []string, number int, took time.Duration) (fate, string, error) {
	if err := os.WriteFile(filepath.Join(g.work, "planted"), []byte(strconv.Itoa(number)), 0o644); err != nil {
		return "", "", err
	}
	limit := 30*time.Second + 8*took
	out, err := start(ctx, g.work, of.of, limit, of.program, "-test.short", "-test.failfast", "-test.run", "^("+strings.Join(names, "|")+")$")
	switch {
	case ctx.Err() != nil:
		return "", "", ctx.Err()
	case err == nil:
		return survivedAll, out, nil
	case errors.Is(err, context.DeadlineExceeded):
		return caughtByTime, out, nil
	}
	return caughtByTest, out, nil
}

// start runs a program in a package's folder, with at most 8 GB, and ends it and what it started when the time is over.
func start(ctx context.Context, work, folder string, limit time.Duration, program string, args ...string) (string, error) {
	ctx, cancel := context.WithTimeout(ctx, limit)
	defer cancel()
	cmd := exec.CommandContext(ctx, "sh", append([]string{"-c", `ulimit -v 8000000; exec "$0" "$@"`, program}, args...)...)
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "TMPDIR="+work)
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
	cmd.WaitDelay = 5 * time.Second
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	err := cmd.Run()
	return out.String(), cmp.Or(ctx.Err(), err)
}

// guardOf builds a package's tests, with the faults and without, and measures what each reaches of the target.
func (g *gate) guardOf(ctx context.Context, of string) (*guard, error) {
	made := &guard{of: of, program: g.programOf(of)}
	if out, err := g.compile(ctx, of); err != nil {
		return nil, fmt.Errorf("%s does not build: %w\n%s", of, err, out)
	}
	measuring := made.program + ".cover"
	build := exec.CommandContext(ctx, "go", "test", "-c", "-vet=off", "-cover", "-coverpkg=longpoint/"+g.target, "-o", measuring, "./"+of)
	if out, err := build.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("%s does not build: %w\n%s", of, err, out)
	}
	names, err := start(ctx, g.work, of, time.Minute, measuring, "-test.list", g.names)
	if err != nil {
		return nil, err
	}
	for _, name := range strings.Fields(names) {
		if strings.HasPrefix(name, "Benchmark") {
			continue
		}
		profile := filepath.Join(g.work, "profile")
		began := time.Now()
		out, err := start(ctx, g.work, of, 3*time.Minute, measuring, "-test.short", "-test.run", "^"+name+"$", "-test.coverprofile", profile)
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if err != nil {
			fmt.Fprintf(g.log, "%s: %s of %s fails without a fault: %v %s\n", g.target, name, of, err, short(out))
			continue
		}
		t := &test{name: name, took: time.Since(began)}
		if t.reached, err = readProfile(profile); err != nil {
			return nil, err
		}
		made.tests = append(made.tests, t)
	}
	slices.SortStableFunc(made.tests, func(a, b *test) int { return cmp.Compare(a.took, b.took) })
	fmt.Fprintf(g.log, "%s: %d tests of %s\n", g.target, len(made.tests), of)
	return made, nil
}

// profileLine is a line of a profile with a count that is not 0.
var profileLine = regexp.MustCompile(`(?m)^longpoint/(\S+):([0-9]+)\.([0-9]+),([0-9]+)\.([0-9]+) [0-9]+ [1-9][0-9]*$`)

func readProfile(path string) (reached []span, err error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	number := func(b []byte) int { n, _ := strconv.Atoi(string(b)); return n }
	for _, m := range profileLine.FindAllSubmatch(data, -1) {
		reached = append(reached, span{string(m[1]), number(m[2]), number(m[3]), number(m[4]), number(m[5])})
	}
	return reached, nil
}

// reaching gives the tests that reach a fault. Where no profile has its place, as that of a case's expression, they are those
// that reach its function.
func reaching(tests []*test, f *fault) []*test {
	from, to := f.in.set.Position(f.of.Pos()).Line, f.in.set.Position(f.of.End()).Line
	at := func(s span) bool {
		after := s.line < f.line || s.line == f.line && s.column <= f.column
		before := f.line < s.endLine || f.line == s.endLine && f.column < s.endColumn
		return s.file == f.file && after && before
	}
	inside := func(s span) bool { return s.file == f.file && s.line >= from && s.endLine <= to }
	var here, near []*test
	for _, t := range tests {
		if slices.ContainsFunc(t.reached, at) {
			here = append(here, t)
		}
		if slices.ContainsFunc(t.reached, inside) {
			near = append(near, t)
		}
	}
	if len(here) > 0 {
		return here
	}
	return near
}
