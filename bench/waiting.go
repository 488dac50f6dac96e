package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"time"

	"github.com/spf13/cobra"

	"longpoint/bench/chart"
	"longpoint/bench/workshop"
	"longpoint/model/folder"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/solver/check"
)

// waitingHeader is the columns of the table that "bench waiting" writes, one row a week. Costs are in minor units. What begins with to_ is the seconds
// until there was a plan for everything, until that plan was known to be within so much of the bound, and until it was proven; empty: never.
// gap_5 is the gap known after five seconds and gap the last one, as shares of the cost in millionths.
var waitingHeader = []string{"frames", "seed", "profiles", "sides", "cost", "bound", "grade", "to_plan", "to_1", "to_01", "to_proof", "gap_5", "gap", "seconds", "processor_s"}

// waitingRow is what was measured of one week.
type waitingRow struct {
	week                                workshop.Everything
	profiles, sides                     int64
	cost, bound                         int64
	grade                               string
	toPlan, toOne, toTenth, toProof     float64 // negative: never
	gapAtFive, gap, seconds, processorS float64
}

func (r waitingRow) fields() []string {
	seconds := func(s float64) string {
		if s < 0 {
			return ""
		}
		return strconv.FormatFloat(s, 'f', 3, 64)
	}
	return []string{strconv.Itoa(r.week.Frames), strconv.FormatUint(r.week.Seed, 10), strconv.FormatInt(r.profiles, 10), strconv.FormatInt(r.sides, 10),
		strconv.FormatInt(r.cost, 10), strconv.FormatInt(r.bound, 10), r.grade, seconds(r.toPlan), seconds(r.toOne), seconds(r.toTenth), seconds(r.toProof),
		strconv.FormatFloat(r.gapAtFive, 'f', 0, 64), strconv.FormatFloat(r.gap, 'f', 0, 64), seconds(r.seconds), seconds(r.processorS)}
}

func parseWaitingRow(f []string) (waitingRow, error) {
	p := parser{}
	seconds := func(s string) float64 {
		if s == "" {
			return -1
		}
		return p.number(s)
	}
	r := waitingRow{week: workshop.Everything{Frames: int(p.integer(f[0])), Seed: uint64(p.integer(f[1]))}, profiles: p.integer(f[2]), sides: p.integer(f[3]),
		cost: p.integer(f[4]), bound: p.integer(f[5]), grade: f[6], toPlan: seconds(f[7]), toOne: seconds(f[8]), toTenth: seconds(f[9]), toProof: seconds(f[10]),
		gapAtFive: p.number(f[11]), gap: p.number(f[12]), seconds: seconds(f[13]), processorS: seconds(f[14])}
	if p.err != nil {
		return r, fmt.Errorf("row of %s frames, seed %s: %w", f[0], f[1], p.err)
	}
	return r, nil
}

// waitingRun is one run of "bench waiting".
type waitingRun struct {
	measuring
	frames   []int
	seeds    int
	limit    time.Duration
	pictures string // folder
}

// waitingPicture is what "bench waiting" draws.
const waitingPicture = "waiting.svg"

func waitingCommand() *cobra.Command {
	r := &waitingRun{}
	cmd := r.command(&cobra.Command{
		Use:   "waiting",
		Short: "Say how long a shop waits for the first plan, a good one, and the proof",
		Long: `Waiting makes up weeks with everything on (suppliers' least orders and deliveries, bundles, price breaks, random lengths, credits for
offcuts, lots, matching, damage), plans each as "longpoint plan" does, and notes when there was a plan for everything, when it was known to be within 1 %
and 0.1 % of the bound, and when it was proven. What is measured already is not measured again.`,
		Example: "  go run ./bench waiting --frames 20,40,60 --seeds 20 --table waiting.csv",
	}, "waiting.csv", r.run)
	cmd.Flags().IntSliceVar(&r.frames, "frames", []int{20, 40, 60, 500}, "frames of each week, quantities counted")
	cmd.Flags().IntVar(&r.seeds, "seeds", 20, "weeks of each size, of seeds 1, 2, …; of those over 100 frames a tenth as many, but one at least")
	cmd.Flags().DurationVar(&r.limit, "time-limit", planner.DefaultTimeLimit, "for each week")
	cmd.Flags().StringVar(&r.pictures, "pictures", outFolder, "folder to draw "+waitingPicture+" in")
	return cmd
}

func (r *waitingRun) run(ctx context.Context) error {
	t, err := goOn(r.table, waitingHeader, parseWaitingRow)
	if err != nil {
		return err
	}
	defer t.close()
	done := map[workshop.Everything]bool{}
	for _, row := range t.rows {
		done[row.week] = true
	}
	for _, frames := range r.frames {
		seeds := r.seeds
		if frames > 100 {
			seeds = max(1, seeds/10)
		}
		for seed := range seeds {
			week := workshop.Everything{Frames: frames, Seed: uint64(seed + 1)}
			if done[week] {
				continue
			}
			row, err := measureWaiting(ctx, week, r.limit)
			if err != nil {
				return fmt.Errorf("week of %d frames, seed %d: %w", week.Frames, week.Seed, err)
			}
			if err := t.add(row); err != nil {
				return err
			}
			fmt.Fprintf(r.notes, "%d frames, seed %d: %s, gap %.3f %%, %.2f s\n", week.Frames, week.Seed, row.grade, row.gap/10_000, row.seconds)
		}
	}
	if err := writeWaitingSummary(r.out, t.rows); err != nil {
		return err
	}
	return drawWaiting(filepath.Join(r.pictures, waitingPicture), t.rows)
}

// measureWaiting plans one week.
func measureWaiting(ctx context.Context, week workshop.Everything, limit time.Duration) (waitingRow, error) {
	row := waitingRow{week: week, toPlan: -1, toOne: -1, toTenth: -1, toProof: -1, gapAtFive: 1e6}
	dir, err := os.MkdirTemp("", "bench-waiting-")
	if err != nil {
		return row, err
	}
	defer os.RemoveAll(dir)
	if err := workshop.GenerateEverything(week).Write(dir); err != nil {
		return row, err
	}
	before, start := processorTime(), time.Now()
	w, err := folder.Read(dir)
	if err != nil {
		return row, err
	}
	d, err := planner.Make(ctx, w, planner.Options{TimeLimit: limit, MadeWith: "bench", Progress: func(p planner.Progress) {
		row.note(p, time.Since(start).Seconds())
	}, Verify: func(ctx context.Context, cuts []byte) (string, int64, error) {
		report, err := check.Document(ctx, cuts)
		if err == nil && !report.OK() {
			err = errors.New(report.String())
		}
		return string(report.Grade), report.Bound, err
	}})
	if err != nil {
		return row, err
	}
	row.seconds, row.processorS = time.Since(start).Seconds(), processorTime()-before
	row.profiles, row.sides = int64(len(d.Profiles)), int64(d.Total.Figures.Sides)
	row.cost, row.bound, row.grade = int64(d.Total.Figures.Cost), int64(d.Total.Bound), string(d.Total.Grade)
	row.gap = share(d.Total.Gap, d.Total.Figures.Cost)
	if row.seconds < 5 {
		row.gapAtFive = row.gap
	}
	if d.Total.Grade == plan.Proven {
		row.toProof = row.seconds
	}
	return row, nil
}

// note takes down what is known after so many seconds.
func (r *waitingRow) note(p planner.Progress, seconds float64) {
	if !p.HasPlan {
		return
	}
	gap := share(p.Gap, p.Cost)
	for _, m := range []struct {
		at   *float64
		most float64
	}{{&r.toPlan, 1e6}, {&r.toOne, 1e4}, {&r.toTenth, 1e3}} {
		if *m.at < 0 && gap <= m.most {
			*m.at = seconds
		}
	}
	if seconds <= 5 {
		r.gapAtFive = gap
	}
}

// share is a gap as a share of the cost, in millionths.
func share[M ~int64](gap, cost M) float64 {
	if cost <= 0 {
		return 0
	}
	return 1e6 * float64(gap) / float64(cost)
}

// processorTime is the seconds of all processors that this process has had.
func processorTime() float64 {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

// writeWaitingSummary writes a Markdown table with a line a size.
func writeWaitingSummary(w io.Writer, rows []waitingRow) error {
	lines := [][]string{{"frames", "weeks", "first plan, s", "≤ 1 s", "to 1 %, s", "to 0.1 %, s", "≤ 0.1 % at 5 s", "proven", "widest gap %", "all of it, s", "of processor"}}
	var sizes []int
	for _, r := range rows {
		if !slices.Contains(sizes, r.week.Frames) {
			sizes = append(sizes, r.week.Frames)
		}
	}
	slices.Sort(sizes)
	for _, frames := range sizes {
		var plans, ones, tenths, all, processor []float64
		soon, atFive, proven, n, widest := 0, 0, 0, 0, 0.0
		for _, r := range rows {
			if r.week.Frames != frames {
				continue
			}
			n++
			plans, ones, tenths = append(plans, r.toPlan), append(ones, r.toOne), append(tenths, r.toTenth)
			all, processor = append(all, r.seconds), append(processor, r.processorS)
			soon += count(r.toPlan >= 0 && r.toPlan <= 1)
			atFive += count(r.gapAtFive <= 1e3)
			proven += count(r.toProof >= 0)
			widest = max(widest, r.gap/1e4)
		}
		lines = append(lines, []string{fmt.Sprint(frames), fmt.Sprint(n), spread(plans), fmt.Sprint(soon), spread(ones), spread(tenths), fmt.Sprint(atFive),
			fmt.Sprint(proven), fmt.Sprintf("%.3f", widest), spread(all), spread(processor)})
	}
	return writeMarkdown(w, lines)
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// spread gives the median and the greatest of seconds; where some are never, it says of how many.
func spread(seconds []float64) string {
	reached := slices.DeleteFunc(slices.Clone(seconds), func(s float64) bool { return s < 0 })
	if len(reached) == 0 {
		return "never"
	}
	slices.Sort(reached)
	text := fmt.Sprintf("%.2f, at most %.2f", median(reached), reached[len(reached)-1])
	if len(reached) < len(seconds) {
		text += fmt.Sprintf(" (%d of %d)", len(reached), len(seconds))
	}
	return text
}

// drawWaiting draws the share of the weeks that have come so far, against time.
func drawWaiting(path string, rows []waitingRow) error {
	if len(rows) == 0 {
		return nil
	}
	sets := []chart.Share{{Name: "a plan"}, {Name: "within 1 %"}, {Name: "within 0.1 %"}, {Name: "proven"}}
	for n, of := range []func(waitingRow) float64{func(r waitingRow) float64 { return r.toPlan }, func(r waitingRow) float64 { return r.toOne },
		func(r waitingRow) float64 { return r.toTenth }, func(r waitingRow) float64 { return r.toProof }} {
		sets[n].Total = len(rows)
		for _, r := range rows {
			if s := of(r); s >= 0 {
				sets[n].Values = append(sets[n].Values, max(s, 1e-3))
			}
		}
	}
	return chart.Shares(path, chart.Labels{Title: "Weeks with everything on: how long a shop waits", X: "time (s)", Y: "weeks (%)"}, sets)
}
