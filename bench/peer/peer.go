// Package peer runs general-purpose integer programming programs, where they are installed, on a model in an LP file.
package peer

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// Outcome is what a program made of a model.
type Outcome struct {
	Status  Status
	Cost    float64       // of the solution, where Status is Optimal
	Elapsed time.Duration // see Program.Run
	Reason  string        // why not Optimal
}

// Status says how a run ended.
type Status string

// The ways a run can end.
const (
	Optimal Status = "optimal"
	Limit   Status = "limit"  // stopped at the limit without a proof
	Failed  Status = "failed" // the program failed, or its answer could not be read
)

// Program is a general solver on this machine.
type Program struct {
	Name    string
	Version string
	run     func(ctx context.Context, lp string, limit time.Duration) (Outcome, error)
}

// graceful is how long a program may take beyond its limit, to read its model and to stop, before it is killed: what
// it finds later than the limit does not count.
const graceful = 15 * time.Second

// Run solves the model in the file lp on one thread. Elapsed is the time of the whole process on the clock, except for
// highs, which runs inside node: there it is from the text of the model in memory to the solution, so that the start
// of the machine that runs it is not counted. An answer later than the limit is Limit.
func (p Program) Run(ctx context.Context, lp string, limit time.Duration) (Outcome, error) {
	life, cancel := context.WithTimeout(ctx, limit+graceful)
	defer cancel()
	start := time.Now()
	o, err := p.run(life, lp, limit)
	if ctx.Err() != nil {
		return Outcome{}, ctx.Err()
	}
	if o.Elapsed == 0 {
		o.Elapsed = time.Since(start)
	}
	switch {
	case life.Err() != nil:
		return Outcome{Status: Limit, Elapsed: o.Elapsed, Reason: "killed after its limit"}, nil
	case err != nil:
		return Outcome{Status: Failed, Elapsed: o.Elapsed, Reason: err.Error()}, nil
	case o.Status == Optimal && o.Elapsed > limit:
		return Outcome{Status: Limit, Elapsed: o.Elapsed, Reason: "solved after its limit"}, nil
	}
	return o, nil
}

// Find gives the programs that are installed. modules is a folder that may hold node_modules with highs in it.
func Find(ctx context.Context, modules string) []Program {
	var found []Program
	if path, err := exec.LookPath("glpsol"); err == nil {
		found = append(found, Program{"glpsol", firstLine(ctx, path, "--version"), glpsol(path)})
	}
	if path, err := exec.LookPath("cbc"); err == nil {
		found = append(found, Program{"cbc", cbcVersion(ctx, path), cbc(path)})
	}
	if path, err := exec.LookPath("node"); err == nil {
		n := node{path: path, modules: modules}
		if version, ok := n.version(ctx); ok {
			found = append(found, Program{"highs", version, n.solve})
		}
	}
	return found
}

// seconds writes a limit as whole seconds, at least 1.
func seconds(limit time.Duration) string {
	return strconv.Itoa(max(1, int(limit.Round(time.Second)/time.Second)))
}

// glpsol runs GLPK's own integer program with its presolver and cuts, which do better here than its defaults.
func glpsol(path string) func(context.Context, string, time.Duration) (Outcome, error) {
	return func(ctx context.Context, lp string, limit time.Duration) (Outcome, error) {
		solution := lp + ".glpsol"
		defer os.Remove(solution)
		out, err := exec.CommandContext(ctx, path, "--lp", lp, "--tmlim", seconds(limit), "--cuts", "-w", solution).CombinedOutput()
		if err != nil {
			return Outcome{}, fmt.Errorf("%w: %s", err, tail(out))
		}
		data, err := os.ReadFile(solution)
		if err != nil {
			return Outcome{Status: Limit, Reason: "no solution written: " + tail(out)}, nil
		}
		return parseGlpsol(data)
	}
}

// parseGlpsol reads a solution in GLPK's own form: the line "s mip rows columns status cost", status o being optimal.
func parseGlpsol(data []byte) (Outcome, error) {
	for line := range strings.Lines(string(data)) {
		f := strings.Fields(line)
		if len(f) < 6 || f[0] != "s" {
			continue
		}
		if f[1] != "mip" || f[4] != "o" {
			return Outcome{Status: Limit, Reason: "its status is " + f[4]}, nil
		}
		cost, err := strconv.ParseFloat(f[5], 64)
		return Outcome{Status: Optimal, Cost: cost}, err
	}
	return Outcome{}, errors.New("the solution has no status line")
}

// cbc runs COIN-OR's branch and cut with its defaults.
func cbc(path string) func(context.Context, string, time.Duration) (Outcome, error) {
	return func(ctx context.Context, lp string, limit time.Duration) (Outcome, error) {
		solution := lp + ".cbc"
		defer os.Remove(solution)
		out, err := exec.CommandContext(ctx, path, lp, "timeMode", "elapsed", "seconds", seconds(limit), "solve", "solution", solution).CombinedOutput()
		if err != nil {
			return Outcome{}, fmt.Errorf("%w: %s", err, tail(out))
		}
		data, err := os.ReadFile(solution)
		if err != nil {
			return Outcome{}, fmt.Errorf("no solution written: %s", tail(out))
		}
		return parseCbc(data)
	}
}

// parseCbc reads the first line of a solution: "Optimal - objective value 47.00000000", or another word for why not.
func parseCbc(data []byte) (Outcome, error) {
	line, _, _ := strings.Cut(string(data), "\n")
	rest, ok := strings.CutPrefix(line, "Optimal - objective value")
	if !ok {
		return Outcome{Status: Limit, Reason: "its status is " + strconv.Quote(line)}, nil
	}
	cost, err := strconv.ParseFloat(strings.TrimSpace(rest), 64)
	return Outcome{Status: Optimal, Cost: cost}, err
}

// node runs HiGHS as the npm package "highs", found where node finds modules or in the folder modules.
type node struct{ path, modules string }

// highsScript is run by node with the model's file and the limit in seconds as arguments; it prints one line of JSON.
const highsScript = `
const fs = require("fs");
const [file, limit] = process.argv.slice(1);
require("highs")().then(highs => {
  const model = fs.readFileSync(file, "utf8");
  highs.solve("Minimize\n c: x\nSubject To\n r: x >= 1.5\nGenerals\n x\nEnd\n", {output_flag: false}); // warms up
  const start = process.hrtime.bigint();
  const s = highs.solve(model, {time_limit: Number(limit), mip_rel_gap: 0, threads: 1, output_flag: false});
  const nanoseconds = Number(process.hrtime.bigint() - start);
  console.log(JSON.stringify({status: s.Status, cost: s.ObjectiveValue, nanoseconds}));
}).catch(e => { console.error(String(e)); process.exit(1); });
`

func (n node) solve(ctx context.Context, lp string, limit time.Duration) (Outcome, error) {
	cmd := n.command(ctx, "-e", highsScript, lp, seconds(limit))
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.Output()
	if err != nil {
		return Outcome{}, fmt.Errorf("%w: %s", err, tail(complaint.Bytes()))
	}
	return parseHighs(out)
}

func parseHighs(out []byte) (Outcome, error) {
	var s struct {
		Status      string
		Cost        *float64
		Nanoseconds int64
	}
	lines := bytes.Split(bytes.TrimSpace(out), []byte("\n"))
	if err := json.Unmarshal(lines[len(lines)-1], &s); err != nil {
		return Outcome{}, fmt.Errorf("answer %s: %w", tail(out), err)
	}
	o := Outcome{Status: Limit, Elapsed: time.Duration(s.Nanoseconds)}
	if s.Status != "Optimal" || s.Cost == nil {
		o.Reason = "its status is " + s.Status
		return o, nil
	}
	o.Status, o.Cost = Optimal, *s.Cost
	return o, nil
}

// version says which highs there is, and whether there is one at all.
func (n node) version(ctx context.Context) (string, bool) {
	const script = `const path = require("path");
let dir = path.dirname(require.resolve("highs"));
while (!require("fs").existsSync(path.join(dir, "package.json"))) dir = path.dirname(dir);
console.log("highs " + require(path.join(dir, "package.json")).version);`
	out, err := n.command(ctx, "-e", script).Output()
	return strings.TrimSpace(string(out)), err == nil
}

// command is node told where modules may be.
func (n node) command(ctx context.Context, args ...string) *exec.Cmd {
	cmd := exec.CommandContext(ctx, n.path, args...)
	paths := []string{os.Getenv("NODE_PATH")}
	if abs, err := filepath.Abs(n.modules); err == nil && n.modules != "" {
		paths = append(paths, filepath.Join(abs, "node_modules"))
	}
	cmd.Env = append(os.Environ(), "NODE_PATH="+strings.Trim(strings.Join(paths, string(os.PathListSeparator)), string(os.PathListSeparator)))
	return cmd
}

// firstLine gives the first line of what a program prints.
func firstLine(ctx context.Context, path string, args ...string) string {
	out, err := exec.CommandContext(ctx, path, args...).Output()
	if err != nil {
		return "version unknown"
	}
	line, _, _ := strings.Cut(string(out), "\n")
	return strings.TrimSpace(line)
}

// cbcVersion finds the version in what cbc prints when it starts.
func cbcVersion(ctx context.Context, path string) string {
	out, err := exec.CommandContext(ctx, path, "quit").Output()
	if err == nil {
		for line := range strings.Lines(string(out)) {
			if v, ok := strings.CutPrefix(strings.TrimSpace(line), "Version:"); ok {
				return "cbc " + strings.TrimSpace(v)
			}
		}
	}
	return "version unknown"
}

// tail gives the end of what a program printed, for a message.
func tail(out []byte) string {
	const most = 300
	text := strings.TrimSpace(string(out))
	return text[max(0, len(text)-most):]
}
