package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"longpoint/bench/chart"
	"longpoint/bench/workshop"
	"longpoint/model/plan"
)

// shopHeader is the columns of the table that "bench shop" writes.
var shopHeader = []string{"frames", "profiles", "seed", "sides", "sticks", "proven", "within_stick", "further", "seconds", "processor_s", "peak_mb"}

// shopRow is what was measured of one generated workshop.
type shopRow struct {
	Size    workshop.Size
	Sides   int64
	Sticks  int64
	Proven  int     // profiles
	Within  int     // profiles not proven, but no further from their bound than one stick costs
	Further int     // the other profiles
	Seconds float64 // on the clock
	Busy    float64 // seconds of all processors
	PeakMB  float64 // in units of 2^20 bytes
}

func (r shopRow) fields() []string {
	return []string{
		strconv.Itoa(r.Size.Frames), strconv.Itoa(r.Size.Profiles), strconv.FormatUint(r.Size.Seed, 10), strconv.FormatInt(r.Sides, 10),
		strconv.FormatInt(r.Sticks, 10), strconv.Itoa(r.Proven), strconv.Itoa(r.Within), strconv.Itoa(r.Further),
		strconv.FormatFloat(r.Seconds, 'f', 3, 64), strconv.FormatFloat(r.Busy, 'f', 3, 64), strconv.FormatFloat(r.PeakMB, 'f', 1, 64),
	}
}

func parseShopRow(f []string) (shopRow, error) {
	p := parser{}
	r := shopRow{
		Size:  workshop.Size{Frames: int(p.integer(f[0])), Profiles: int(p.integer(f[1])), Seed: uint64(p.integer(f[2]))},
		Sides: p.integer(f[3]), Sticks: p.integer(f[4]), Proven: int(p.integer(f[5])), Within: int(p.integer(f[6])), Further: int(p.integer(f[7])),
		Seconds: p.number(f[8]), Busy: p.number(f[9]), PeakMB: p.number(f[10]),
	}
	if p.err != nil {
		return r, fmt.Errorf("row of %s frames: %w", f[0], p.err)
	}
	return r, nil
}

// shopRun is one run of "bench shop".
type shopRun struct {
	measuring
	frames   []int
	profiles int
	seed     uint64
	limit    time.Duration
	pictures string // folder
}

func shopCommand() *cobra.Command {
	r := &shopRun{}
	cmd := r.command(&cobra.Command{
		Use:   "shop",
		Short: "Plan generated workshops of growing size with the program itself",
		Long: `Shop builds the program, makes up workshops of growing size, and plans each of them with "longpoint plan DIR --json" as
a framer would: seconds are of the whole process on the clock, reading, planning, checking and writing included, on as many
threads as the program takes; processor_s is what they took of all processors, which other work on the machine changes little. peak_mb is that process's memory in units of 2^20 bytes; the system counts the some 20 of
this command in where they are more. What is measured already is not measured again.`,
		Example: "  go run ./bench shop --frames 250,500,1000,2000 --profiles 40 --table shop.csv",
	}, "shop.csv", r.run)
	cmd.Flags().IntSliceVar(&r.frames, "frames", []int{125, 250, 500, 1000, 2000}, "frames of each workshop, quantities counted")
	cmd.Flags().IntVar(&r.profiles, "profiles", 40, "profiles of each workshop")
	cmd.Flags().Uint64Var(&r.seed, "seed", 1, "another one makes other workshops")
	cmd.Flags().DurationVar(&r.limit, "time-limit", 10*time.Second, "for each profile")
	cmd.Flags().StringVar(&r.pictures, "pictures", outFolder, "folder to draw "+shopTime+" and "+shopMemory+" in")
	return cmd
}

func (r *shopRun) run(ctx context.Context) error {
	if r.profiles < 1 {
		return fmt.Errorf("%d profiles; there must be at least one", r.profiles)
	}
	t, err := goOn(r.table, shopHeader, parseShopRow)
	if err != nil {
		return err
	}
	defer t.close()
	done := map[workshop.Size]bool{}
	for _, row := range t.rows {
		done[row.Size] = true
	}
	folder, err := os.MkdirTemp("", "bench-shop-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(folder)
	for _, frames := range r.frames {
		size := workshop.Size{Frames: frames, Profiles: r.profiles, Seed: r.seed}
		if frames < 1 || done[size] {
			continue
		}
		row, err := r.measure(ctx, longpoint{folder}, filepath.Join(folder, strconv.Itoa(frames)), size)
		if err != nil {
			return fmt.Errorf("workshop of %d frames: %w", frames, err)
		}
		if err := t.add(row); err != nil {
			return err
		}
		fmt.Fprintf(r.notes, "%d frames: %.2f s\n", frames, row.Seconds)
	}
	if err := writeShopSummary(r.out, t.rows); err != nil {
		return err
	}
	return drawShop(r.pictures, t.rows)
}

// measure makes up one workshop, plans it in a process of its own, and reads what came of it.
func (r *shopRun) measure(ctx context.Context, program longpoint, folder string, size workshop.Size) (shopRow, error) {
	row := shopRow{Size: size}
	if err := os.Mkdir(folder, 0o755); err != nil {
		return row, err
	}
	if err := workshop.Generate(size).Write(folder); err != nil {
		return row, err
	}
	var out bytes.Buffer
	took, err := program.run(ctx, &out, "plan", folder, "--json", "--time-limit", r.limit.String())
	if err != nil {
		return row, err
	}
	row.Seconds, row.Busy, row.PeakMB = took.seconds, took.busy, took.peakMB
	d, err := plan.Decode(out.Bytes())
	if err != nil {
		return row, err
	}
	row.count(d)
	return row, nil
}

// count adds up a plan.
func (row *shopRow) count(d *plan.Document) {
	dearest := map[string]int64{}
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			row.Sticks++
			row.Sides += int64(len(s.Sides))
			dearest[p.Name] = max(dearest[p.Name], int64(s.Cost))
		}
		switch {
		case p.Grade == plan.Proven:
			row.Proven++
		case int64(p.Gap) <= dearest[p.Name]:
			row.Within++
		default:
			row.Further++
		}
	}
}

// writeShopSummary writes a Markdown table with a line a workshop.
func writeShopSummary(w io.Writer, rows []shopRow) error {
	lines := [][]string{{"frames", "profiles", "sides", "sticks", "proven", "within one stick", "further", "seconds", "of processor", "peak MiB"}}
	for _, r := range rows {
		lines = append(lines, []string{
			fmt.Sprint(r.Size.Frames), fmt.Sprint(r.Size.Profiles), fmt.Sprint(r.Sides), fmt.Sprint(r.Sticks), fmt.Sprint(r.Proven),
			fmt.Sprint(r.Within), fmt.Sprint(r.Further), fmt.Sprintf("%.2f", r.Seconds), fmt.Sprintf("%.2f", r.Busy), fmt.Sprintf("%.0f", r.PeakMB),
		})
	}
	return writeMarkdown(w, lines)
}

// The pictures of workshops.
const (
	shopTime   = "shop-time.svg"
	shopMemory = "shop-memory.svg"
)

// drawShop draws time and memory against the number of frames, a line a number of profiles.
func drawShop(folder string, rows []shopRow) error {
	if len(rows) == 0 {
		return nil
	}
	sorted := slices.SortedStableFunc(slices.Values(rows), func(a, b shopRow) int {
		return cmp.Or(cmp.Compare(a.Size.Profiles, b.Size.Profiles), cmp.Compare(a.Size.Frames, b.Size.Frames))
	})
	var seconds, memory []chart.Curve
	for i, r := range sorted {
		if i == 0 || r.Size.Profiles != sorted[i-1].Size.Profiles {
			name := fmt.Sprintf("%d profiles", r.Size.Profiles)
			seconds, memory = append(seconds, chart.Curve{Name: name}), append(memory, chart.Curve{Name: name})
		}
		last := len(seconds) - 1
		seconds[last].Points = append(seconds[last].Points, chart.Point{X: float64(r.Size.Frames), Y: r.Seconds})
		memory[last].Points = append(memory[last].Points, chart.Point{X: float64(r.Size.Frames), Y: r.PeakMB})
	}
	return errors.Join(
		chart.Curves(filepath.Join(folder, shopTime), chart.Labels{Title: "Planning a whole workshop: time", X: "frames", Y: "time (s)"}, seconds),
		chart.Curves(filepath.Join(folder, shopMemory), chart.Labels{Title: "Planning a whole workshop: memory", X: "frames", Y: "memory (MiB)"}, memory),
	)
}
