package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/bench/instances"
	"longpoint/bench/record"
)

// solveRun is one run of "bench solve".
type solveRun struct {
	measuring
	choice    choice
	limit     time.Duration
	solutions string // folder for the plans; empty for none
}

func solveCommand() *cobra.Command {
	r := &solveRun{}
	cmd := r.command(&cobra.Command{
		Use:   "solve",
		Short: "Solve instances one after another and check every plan and bound",
		Long: `Solve solves instances one after another, each on one thread in a process of its own, has every plan and certificate
checked by solver/check, and adds a row an instance to a CSV table. Instances that have a row already are passed over,
so that a run that was stopped goes on where it stopped.

In the table, lower is the bound that the checker recomputed from the certificate, seconds are of the search on the
clock, and peak_mb is the memory of the whole process in units of 2^20 bytes. The statuses are

  proven      the checker accepted a certificate that meets the cost
  searched    the search closed the gap, part of it without a certificate
  open        stopped early
  impossible  there is no plan
  rejected, wrong, crashed, killed
              faults: refused by the checker; against what is published; the process failed; it did not end

and the command fails when there is a fault.`,
		Example: "  go run ./bench solve --instances scholl3,testdata/instances/falkenauer-u.txt --time-limit 60s --table out.csv --solutions out",
	}, "solve.csv", r.run)
	r.choice.flags(cmd)
	cmd.Flags().DurationVar(&r.limit, "time-limit", time.Minute, "for each instance")
	cmd.Flags().StringVar(&r.solutions, "solutions", "", "folder to write each plan and its certificate to, as JSON")
	return cmd
}

func (r *solveRun) run(ctx context.Context) error {
	if r.limit <= 0 {
		return fmt.Errorf("time limit %v is no time at all; give some, like 60s", r.limit)
	}
	all, err := r.choice.load(r.notes)
	if err != nil {
		return err
	}
	t, err := goOn(r.table, solveHeader, parseSolveRow)
	if err != nil {
		return err
	}
	defer t.close()
	todo := slices.DeleteFunc(slices.Clone(all), func(in instances.Instance) bool {
		return slices.ContainsFunc(t.rows, func(row solveRow) bool { return row.File == in.Name })
	})
	for i, in := range todo {
		row, why, err := r.solve(ctx, in)
		if err != nil {
			return err
		}
		if err := t.add(row); err != nil {
			return err
		}
		r.note(i+1, len(todo), row, why)
	}
	if err := writeSolveSummary(r.out, t.rows); err != nil {
		return err
	}
	if n := len(slices.DeleteFunc(slices.Clone(t.rows), func(row solveRow) bool { return !row.bad() })); n > 0 {
		return fmt.Errorf("%d instances ended in a fault; see the status column of %s", n, r.table)
	}
	return nil
}

// solve makes one row, writing the plan where there is one. The error is one that ends the run.
func (r *solveRun) solve(ctx context.Context, in instances.Instance) (solveRow, string, error) {
	a, lived, err := solveApart(ctx, task{Problem: in.Problem, Limit: r.limit})
	if ctx.Err() != nil {
		return solveRow{}, "", fmt.Errorf("stopped before %s was done; the same command goes on from there", in.Name)
	}
	if err != nil {
		row := rowOf(in)
		row.Status, row.Seconds = crashed, lived.Seconds()
		if errors.Is(err, errKilled) {
			row.Status = killed
		}
		return row, err.Error(), nil
	}
	row, why := judge(ctx, in, a)
	if r.solutions != "" && a.Document != nil {
		path := filepath.Join(r.solutions, filepath.FromSlash(strings.TrimSuffix(in.Name, ".txt"))+".json")
		if err := errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), record.WriteFile(path, a.Document)); err != nil {
			return solveRow{}, "", err
		}
	}
	return row, why, nil
}

// note tells of one instance on standard error.
func (r *solveRun) note(i, n int, row solveRow, why string) {
	upper := "none"
	if row.Upper.Given {
		upper = fmt.Sprint(row.Upper.Value)
	}
	fmt.Fprintf(r.notes, "%d/%d %s: %s, bound %d, cost %s, %.2f s\n", i, n, row.File, row.Status, row.Lower, upper, row.Seconds)
	if why != "" && row.Status != proven {
		fmt.Fprintln(r.notes, "    "+why)
	}
}
