package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"longpoint/bench/arcflow"
	"longpoint/bench/instances"
	"longpoint/bench/peer"
	"longpoint/bench/workshop"
	"longpoint/solver"
)

// peersHeader is the columns of the table that "bench peers" writes: a row an instance and program.
var peersHeader = []string{"file", "program", "status", "cost", "seconds", "start"}

// ours is what our own solver is called among the programs.
const ours = "longpoint"

// tooLarge is the status of a program whose model was not written.
const tooLarge = "too-large"

// mostArcs bounds the models: what is larger takes the programs longer than any limit only to read, and would fill
// the memory.
const mostArcs = 500_000

// wholeTolerance is how far from a whole number a general solver's cost may be. Costs are whole; the programs give
// them as floating-point numbers that meet their rows within 1e-6 or so.
const wholeTolerance = 1e-3

// peerRow is what one program made of one instance.
type peerRow struct {
	File    string
	Program string
	Status  string // "optimal", "limit", "failed" or tooLarge
	Cost    optionalCount
	Seconds float64 // in all
	Start   float64 // seconds that the program takes for next to nothing
}

// leastTime is the least time that counts, in seconds: what is shorter drowns in the noise of starting a process.
const leastTime = 1e-3

// time is what the instance itself took, in seconds.
func (r peerRow) time() float64 { return max(r.Seconds-r.Start, leastTime) }

func (r peerRow) solved() bool { return r.Status == string(peer.Optimal) }

func (r peerRow) fields() []string {
	cost := ""
	if r.Cost.Given {
		cost = strconv.FormatInt(r.Cost.Value, 10)
	}
	return []string{r.File, r.Program, r.Status, cost, strconv.FormatFloat(r.Seconds, 'f', 4, 64), strconv.FormatFloat(r.Start, 'f', 4, 64)}
}

func parsePeerRow(f []string) (peerRow, error) {
	p := parser{}
	r := peerRow{File: f[0], Program: f[1], Status: f[2], Cost: optionalCount{Given: f[3] != ""}, Seconds: p.number(f[4]), Start: p.number(f[5])}
	if r.Cost.Given {
		r.Cost.Value = p.integer(f[3])
	}
	if p.err != nil {
		return r, fmt.Errorf("row of %s and %s: %w", r.File, r.Program, p.err)
	}
	return r, nil
}

// peersRun is one run of "bench peers".
type peersRun struct {
	measuring
	choice  choice
	frames  []int // of generated weeks
	weeks   int   // of each size
	limit   time.Duration
	modules string
	picture string
}

func peersCommand() *cobra.Command {
	r := &peersRun{choice: choice{each: 3}}
	cmd := r.command(&cobra.Command{
		Use:   "peers",
		Short: "Solve the same instances with general-purpose solvers side by side",
		Long: `Peers solves every instance with our solver and with the general-purpose solvers found on this machine, one after
another, each on one thread and under the same limit: glpsol (Debian glpk-utils), cbc (Debian coinor-cbc) and highs (npm
install --prefix ` + outFolder + ` highs; a WebAssembly build run by node, which must be expected to be slower than a native
one). They get the textbook arc-flow model (Valério de Carvalho, 1999).

With --frames the instances are the profiles of weeks made up as for "waiting", whole: sticks of several lengths, few of some, bundles, prices that fall with
the number. What the model does not state, credits for offcuts and lots to match, is left out, and so are suppliers' terms.

Seconds are of whole processes on the clock, ours too, the reading of the model included; for highs without the start of
node. Start is what the same program takes for a single piece; it is taken off before times are compared, and what is
left counts as at least a millisecond. What is over within a second is run five times, and so is the start; the least
counts. Of ours only what the checker proves counts as solved. What is measured already is not measured again.`,
		Example: "  go run ./bench peers --each 3 --time-limit 60s --table peers.csv --picture peers.svg",
	}, "peers.csv", r.run)
	r.choice.flags(cmd)
	cmd.Flags().IntSliceVar(&r.frames, "frames", nil, "in place of instances, the profiles of generated weeks of so many frames")
	cmd.Flags().IntVar(&r.weeks, "weeks", 3, "weeks of each size, of seeds 1, 2, …")
	cmd.Flags().DurationVar(&r.limit, "time-limit", time.Minute, "for each instance and program, in whole seconds")
	cmd.Flags().StringVar(&r.modules, "modules", outFolder, "folder that holds node_modules with highs in it")
	cmd.Flags().StringVar(&r.picture, "picture", filepath.Join(outFolder, "peers.svg"), "performance profile to draw, .svg or .png")
	return cmd
}

func (r *peersRun) run(ctx context.Context) error {
	if r.limit < time.Second {
		return fmt.Errorf("time limit %v is below a second; the programs take whole seconds", r.limit)
	}
	all, err := r.load()
	if err != nil {
		return err
	}
	t, err := goOn(r.table, peersHeader, parsePeerRow)
	if err != nil {
		return err
	}
	defer t.close()
	programs := peer.Find(ctx, r.modules)
	for _, p := range programs {
		fmt.Fprintf(r.notes, "found %s: %s\n", p.Name, p.Version)
	}
	done := map[[2]string]bool{}
	for _, row := range t.rows {
		done[[2]string{row.File, row.Program}] = true
	}
	starts, err := r.starts(ctx, programs)
	if err != nil {
		return err
	}
	for i, in := range all {
		add := func(row peerRow) error {
			row.Start = starts[row.Program]
			fmt.Fprintf(r.notes, "%d/%d %s: %s %s, %.2f s\n", i+1, len(all), in.Name, row.Program, row.Status, row.Seconds)
			return t.add(row)
		}
		if err := r.measure(ctx, in, programs, done, add); err != nil {
			return err
		}
	}
	if err := writePeersSummary(r.out, t.rows); err != nil {
		return err
	}
	if err := drawPeers(r.picture, t.rows); err != nil {
		return err
	}
	return agree(all, t.rows)
}

// load gives the instances.
func (r *peersRun) load() (all []instances.Instance, err error) {
	if len(r.frames) == 0 {
		return r.choice.load(r.notes)
	}
	for _, frames := range r.frames {
		for seed := range r.weeks {
			week := workshop.Everything{Frames: frames, Seed: uint64(seed + 1)}
			own, others, err := weekProfiles(week)
			if err != nil {
				return nil, fmt.Errorf("week of %d frames, seed %d: %w", frames, week.Seed, err)
			}
			fmt.Fprintf(r.notes, "%d frames, seed %d: %d profiles, %d left out\n", frames, week.Seed, len(own), others)
			all = append(all, own...)
		}
	}
	return all, nil
}

// tries is how often a program is run that is over within shortTime, in seconds, and how often its start is measured. The
// least counts: noise only ever adds.
const tries, shortTime = 5, 1.0

// leastOf measures again what is over soon. What a try finds must be what the others find.
func leastOf(measure func() (peerRow, error)) (peerRow, error) {
	least, err := measure()
	if err != nil || !least.solved() || least.Seconds >= shortTime {
		return least, err
	}
	for range tries - 1 {
		row, err := measure()
		if err != nil {
			return row, err
		}
		if row.Status != least.Status || row.Cost != least.Cost {
			return row, fmt.Errorf("%s: %s says %s, %d, and then %s, %d", row.File, row.Program, least.Status, least.Cost.Value, row.Status, row.Cost.Value)
		}
		least.Seconds = min(least.Seconds, row.Seconds)
	}
	return least, nil
}

// starts gives the seconds that each program takes for a stick with one piece.
func (r *peersRun) starts(ctx context.Context, programs []peer.Program) (map[string]float64, error) {
	piece := instances.Instance{Name: "one piece", Problem: solver.Problem{
		Items: []solver.Item{{Length: 1, Demand: 1}}, Kinds: []solver.Kind{{Length: 1, Cost: 1}},
	}}
	starts := map[string]float64{}
	for range tries {
		add := func(row peerRow) error {
			if !row.solved() {
				return fmt.Errorf("%s does not even solve a stick with one piece: %s", row.Program, row.Status)
			}
			if least, ok := starts[row.Program]; !ok || row.Seconds < least {
				starts[row.Program] = row.Seconds
			}
			return nil
		}
		if err := r.measure(ctx, piece, programs, nil, add); err != nil {
			return nil, err
		}
	}
	return starts, nil
}

// measure gives add a row for our solver and for every program that has none yet.
func (r *peersRun) measure(ctx context.Context, in instances.Instance, programs []peer.Program, done map[[2]string]bool, add func(peerRow) error) error {
	if !done[[2]string{in.Name, ours}] {
		row, err := leastOf(func() (peerRow, error) { return r.measureOurs(ctx, in) })
		if err != nil {
			return err
		}
		if err := add(row); err != nil {
			return err
		}
	}
	folder, err := os.MkdirTemp("", "bench-peers-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	lp := filepath.Join(folder, "model.lp")
	var refused error
	for _, p := range programs {
		if done[[2]string{in.Name, p.Name}] {
			continue
		}
		if _, err := os.Stat(lp); err != nil && refused == nil {
			if refused, err = writeModel(lp, in); err != nil {
				return err
			}
		}
		row := peerRow{File: in.Name, Program: p.Name, Status: tooLarge}
		if refused == nil {
			if row, err = leastOf(func() (peerRow, error) { return runPeer(ctx, p, in, lp, r.limit) }); err != nil {
				return err
			}
		}
		if err := add(row); err != nil {
			return err
		}
	}
	return nil
}

// measureOurs solves an instance as "bench solve" does; only what the checker proves counts as optimal.
func (r *peersRun) measureOurs(ctx context.Context, in instances.Instance) (peerRow, error) {
	row := peerRow{File: in.Name, Program: ours, Status: string(peer.Limit)}
	a, lived, err := solveApart(ctx, task{Problem: in.Problem, Limit: r.limit})
	if ctx.Err() != nil {
		return row, ctx.Err()
	}
	row.Seconds = lived.Seconds()
	if err != nil {
		row.Status = string(peer.Failed)
		return row, nil
	}
	switch judged, _ := judge(ctx, in, a); {
	case judged.Status == proven && lived <= r.limit:
		row.Status, row.Cost = string(peer.Optimal), judged.Upper
	case judged.bad():
		row.Status = string(peer.Failed)
	}
	return row, nil
}

// writeModel writes the arc-flow model. refused is why it was not written, where that is no fault.
func writeModel(path string, in instances.Instance) (refused, err error) {
	m, err := arcflow.Build(in.Problem, mostArcs)
	if errors.Is(err, arcflow.ErrTooLarge) {
		return err, nil
	}
	if err != nil {
		return nil, err
	}
	f, err := os.Create(path)
	if err != nil {
		return nil, err
	}
	if err := m.WriteLP(f); err != nil {
		f.Close()
		return nil, err
	}
	return nil, f.Close()
}

func runPeer(ctx context.Context, p peer.Program, in instances.Instance, lp string, limit time.Duration) (peerRow, error) {
	row := peerRow{File: in.Name, Program: p.Name}
	o, err := p.Run(ctx, lp, limit)
	if err != nil {
		return row, err
	}
	row.Status, row.Seconds = string(o.Status), o.Elapsed.Seconds()
	if o.Status == peer.Optimal {
		whole := math.Round(o.Cost)
		if math.Abs(o.Cost-whole) > wholeTolerance {
			row.Status = string(peer.Failed)
			return row, nil
		}
		row.Cost = optionalCount{Value: int64(whole), Given: true}
	}
	return row, nil
}

// agree fails when two programs, or a program and what is published, give different least costs.
func agree(all []instances.Instance, rows []peerRow) error {
	known := map[string]instances.Known{}
	for _, in := range all {
		known[in.Name] = in.Known
	}
	first := map[string]peerRow{}
	var clashes []error
	for _, row := range rows {
		if !row.solved() {
			continue
		}
		if other, ok := first[row.File]; ok && other.Cost != row.Cost {
			clashes = append(clashes, fmt.Errorf("%s: %s says %d, %s says %d", row.File, other.Program, other.Cost.Value, row.Program, row.Cost.Value))
		} else if !ok {
			first[row.File] = row
		}
		if clash := known[row.File].Contradiction(row.Cost.Value, true, row.Cost.Value); clash != "" {
			clashes = append(clashes, fmt.Errorf("%s: %s: %s", row.File, row.Program, clash))
		}
	}
	return errors.Join(clashes...)
}
