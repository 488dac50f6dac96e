package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"os/signal"
	"runtime"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/solver"
)

// task is what a child process is asked on its standard input.
type task struct {
	Problem solver.Problem
	Limit   time.Duration
}

// answer is what it says on its standard output.
type answer struct {
	Status    solver.Status
	HasPlan   bool
	Cost      int64
	Lower     int64 // as the search claims
	RootBound float64
	Columns   int
	Nodes     int
	Reason    string
	Elapsed   time.Duration // of the search alone
	Peak      int64         // greatest resident memory in bytes
	Document  []byte        // the cuts document; nil without a plan
}

// graceful is how long a child may take beyond its limit, to start, to end its search and to write, before it is
// killed. The two cores may be busy with other things.
const graceful = 20 * time.Second

// errKilled says that a child was killed because it did not end.
var errKilled = errors.New("killed: it did not end at its time limit")

// solveApart solves one task in a child process on one thread. The error is errKilled, ctx's own, or what the child
// left behind. The duration is the child's whole life, start and end included.
func solveApart(ctx context.Context, t task) (answer, time.Duration, error) {
	self, err := os.Executable()
	if err != nil {
		return answer{}, 0, err
	}
	question, err := json.Marshal(t)
	if err != nil {
		return answer{}, 0, err
	}
	life, cancel := context.WithTimeout(ctx, t.Limit+graceful)
	defer cancel()
	cmd := exec.CommandContext(life, self, oneName)
	cmd.Env = append(os.Environ(), "GOMAXPROCS=1")
	cmd.Stdin = bytes.NewReader(question)
	var out, complaint bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &complaint
	start := time.Now()
	err = cmd.Run()
	lived := time.Since(start)
	switch {
	case ctx.Err() != nil:
		return answer{}, lived, ctx.Err()
	case life.Err() != nil:
		return answer{}, lived, errKilled
	case err != nil:
		return answer{}, lived, fmt.Errorf("%w: %s", err, headAndTail(complaint.String()))
	}
	var a answer
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		return answer{}, lived, fmt.Errorf("its answer cannot be read: %w", err)
	}
	return a, lived, nil
}

// headAndTail shortens a crash's long trace.
func headAndTail(text string) string {
	const most = 1000
	text = strings.TrimSpace(text)
	if len(text) <= 2*most {
		return text
	}
	return text[:most] + "\n…\n" + text[len(text)-most:]
}

// oneName is the name of the hidden command that a child runs.
const oneName = "one"

// oneCommand is the child: a task in, an answer out.
func oneCommand() *cobra.Command {
	return &cobra.Command{
		Use:    oneName,
		Short:  "Solve the one problem on standard input (used by the other commands)",
		Hidden: true,
		Args:   cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			signal.Ignore(os.Interrupt) // the parent decides
			return solveOne(cmd.InOrStdin(), cmd.OutOrStdout())
		},
	}
}

func solveOne(r io.Reader, w io.Writer) error {
	runtime.GOMAXPROCS(1)
	var t task
	if err := json.NewDecoder(r).Decode(&t); err != nil {
		return err
	}
	start := time.Now()
	result, err := solver.Solve(context.Background(), t.Problem, solver.Options{TimeLimit: t.Limit})
	if err != nil {
		return err
	}
	a := answer{
		Status: result.Status, HasPlan: result.HasPlan, Cost: result.Cost, Lower: result.LowerBound, RootBound: result.RootBound,
		Columns: result.Columns, Nodes: result.Nodes, Reason: result.Reason, Elapsed: time.Since(start), Peak: peakMemory(),
	}
	if result.HasPlan {
		if a.Document, err = solver.Document(t.Problem, result); err != nil {
			return err
		}
	}
	return json.NewEncoder(w).Encode(a)
}

// peakMemory gives this process's greatest resident memory in bytes, 0 where the system does not tell. It is read from
// /proc because the figure that getrusage gives a child includes its parent's at the time it was started.
func peakMemory() int64 {
	data, err := os.ReadFile("/proc/self/status")
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(data)) {
		if rest, ok := strings.CutPrefix(line, "VmHWM:"); ok {
			kib, err := strconv.ParseInt(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(rest), "kB")), 10, 64)
			if err != nil {
				return 0
			}
			return kib << 10
		}
	}
	return 0
}
