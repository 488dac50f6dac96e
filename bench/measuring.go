package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"longpoint/bench/instances"
	"longpoint/bench/record"
)

// measuring is what all commands that measure have in common: the table they write, where their summary goes, and what is said meanwhile.
type measuring struct {
	table string
	out   io.Writer
	notes io.Writer
}

// command gives a command its table, which is called so unless a flag says otherwise, and what it runs.
func (m *measuring) command(cmd *cobra.Command, table string, run func(context.Context) error) *cobra.Command {
	cmd.Args = cobra.NoArgs
	cmd.RunE = func(cmd *cobra.Command, _ []string) error {
		m.out, m.notes = cmd.OutOrStdout(), cmd.ErrOrStderr()
		return run(cmd.Context())
	}
	cmd.Flags().StringVar(&m.table, "table", filepath.Join(outFolder, table), "CSV table to write or to go on with")
	return cmd
}

// row is what one measurement found.
type row interface{ fields() []string }

// measured is a table that grows a row at a time.
type measured[R row] struct {
	log  *record.Log
	rows []R
}

// goOn opens a table with the rows that it has.
func goOn[R row](path string, header []string, parse func([]string) (R, error)) (*measured[R], error) {
	log, old, err := record.Open(path, header)
	if err != nil {
		return nil, err
	}
	rows, err := parseRows(old, parse)
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, err), log.Close())
	}
	return &measured[R]{log, rows}, nil
}

func (m *measured[R]) add(r R) error {
	m.rows = append(m.rows, r)
	return m.log.Add(r.fields())
}

func (m *measured[R]) close() error { return m.log.Close() }

// parseRows reads the rows of a table, each by a function.
func parseRows[R any](fields [][]string, parse func([]string) (R, error)) (rows []R, err error) {
	for _, f := range fields {
		r, err := parse(f)
		if err != nil {
			return nil, err
		}
		rows = append(rows, r)
	}
	return rows, nil
}

// longpoint is the program, built from the checkout into a folder when it is first run.
type longpoint struct{ folder string }

// lasted is what a process took.
type lasted struct {
	seconds float64 // on the clock
	busy    float64 // seconds of all processors
	peakMB  float64 // in units of 2^20 bytes
}

// run runs the program with its answer to out.
func (l longpoint) run(ctx context.Context, out io.Writer, args ...string) (lasted, error) {
	program := filepath.Join(l.folder, "longpoint")
	if _, err := os.Stat(program); errors.Is(err, fs.ErrNotExist) {
		if err := build(ctx, program); err != nil {
			return lasted{}, err
		}
	}
	cmd := exec.CommandContext(ctx, program, args...)
	complaint := &headWriter{}
	cmd.Stdout, cmd.Stderr = out, complaint
	start := time.Now()
	if err := cmd.Run(); err != nil {
		return lasted{}, fmt.Errorf("longpoint %s: %w: %s", strings.Join(args, " "), err, headAndTail(complaint.text))
	}
	took := lasted{seconds: time.Since(start).Seconds(), busy: (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds()}
	if usage, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		took.peakMB = float64(usage.Maxrss) / (1 << 10) // Linux gives units of 2^10 bytes
	}
	return took, nil
}

// build makes the program from the checkout.
func build(ctx context.Context, program string) error {
	root, err := instances.Root()
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, "go", "build", "-o", program, "./cmd/longpoint")
	cmd.Dir = root
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("the program does not build: %w: %s", err, headAndTail(string(out)))
	}
	return nil
}

// headWriter keeps the first part of what is written to it.
type headWriter struct{ text string }

func (t *headWriter) Write(p []byte) (int, error) {
	const most = 1 << 16
	if len(t.text) < most {
		t.text += string(p)
	}
	return len(p), nil
}
