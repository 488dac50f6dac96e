package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/bench/workshop"
	"longpoint/model/plan"
)

// commandsHeader is the columns of the table that "bench commands" writes, one row a command of a shop.
var commandsHeader = []string{"shop", "seed", "command", "seconds", "processor_s"}

// The commands that are measured, in the order in which they are typed.
const (
	planOnce  = "plan"
	buyOnce   = "buy"
	quoteOnce = "quote"
	planAfter = "plan --after"
	tornInRun = "cut --became torn"
	planAgain = "plan, again"
)

// commandsRow is what one command took, as a whole process.
type commandsRow struct {
	shop    string // how many frames a generated week has, or the kind of a demo
	seed    uint64 // 0: of a demo
	command string
	seconds float64 // on the clock
	busy    float64 // seconds of all processors
}

func (r commandsRow) fields() []string {
	return []string{r.shop, strconv.FormatUint(r.seed, 10), r.command, strconv.FormatFloat(r.seconds, 'f', 3, 64), strconv.FormatFloat(r.busy, 'f', 3, 64)}
}

func parseCommandsRow(f []string) (commandsRow, error) {
	p := parser{}
	r := commandsRow{f[0], uint64(p.integer(f[1])), f[2], p.number(f[3]), p.number(f[4])}
	if p.err != nil {
		return r, fmt.Errorf("row of %s, seed %s, %s: %w", f[0], f[1], f[2], p.err)
	}
	return r, nil
}

// commandsRun is one run of "bench commands".
type commandsRun struct {
	measuring
	frames []int
	seeds  int
	kinds  []string
}

func commandsCommand() *cobra.Command {
	r := &commandsRun{}
	cmd := r.command(&cobra.Command{
		Use:   "commands",
		Short: "Say how long a shop waits for a quotation, an order and a plan after a mishap, beside a plan",
		Long: `Commands builds the program, makes up weeks with everything on, and types what a shop types: "plan", "buy", "quote" of the job
with the most sides, and, after half the sticks of the profile with the most sides are cut and the next side is torn, "plan --after" of the folder, and
"cut --became torn" and once more "plan" of a book in which everything that the plan buys has come. It does the same for the demo's kinds of shop. Seconds are of
the whole process on the clock, processor_s what it took of all processors. What is measured already is not measured again.`,
		Example: "  go run ./bench commands --frames 20,40,60 --seeds 5 --table commands.csv",
	}, "commands.csv", r.run)
	cmd.Flags().IntSliceVar(&r.frames, "frames", []int{20, 40, 60}, "frames of each week, quantities counted")
	cmd.Flags().IntVar(&r.seeds, "seeds", 5, "weeks of each size, of seeds 1, 2, …")
	cmd.Flags().StringSliceVar(&r.kinds, "kinds", []string{"everything", "small", "inches", "museum", "school", "cut-lengths"}, "the demo's kinds of shop")
	return cmd
}

// measuredShop is a shop that commands are measured in.
type measuredShop struct {
	name string
	seed uint64 // 0: of a demo
}

func (r *commandsRun) run(ctx context.Context) error {
	t, err := goOn(r.table, commandsHeader, parseCommandsRow)
	if err != nil {
		return err
	}
	defer t.close()
	work, err := os.MkdirTemp("", "bench-commands-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	for _, shop := range r.shops() {
		if slices.ContainsFunc(t.rows, func(row commandsRow) bool {
			return row.shop == shop.name && row.seed == shop.seed && row.command == planAgain
		}) {
			continue
		}
		t.rows = slices.DeleteFunc(t.rows, func(row commandsRow) bool { return row.shop == shop.name && row.seed == shop.seed }) // of a run that was stopped
		now, err := r.measure(ctx, work, shop)
		if err != nil {
			return fmt.Errorf("%s, seed %d: %w", shop.name, shop.seed, err)
		}
		for _, row := range now {
			if err := t.add(row); err != nil {
				return err
			}
			fmt.Fprintf(r.notes, "%s, seed %d, %s: %.2f s, %.2f of processor\n", row.shop, row.seed, row.command, row.seconds, row.busy)
		}
	}
	return writeCommandsSummary(r.out, t.rows)
}

// shops lists the shops: the demo's and the generated ones.
func (r *commandsRun) shops() (all []measuredShop) {
	for _, kind := range r.kinds {
		all = append(all, measuredShop{kind, 0})
	}
	for _, frames := range r.frames {
		for seed := range r.seeds {
			all = append(all, measuredShop{strconv.Itoa(frames) + " frames", uint64(seed + 1)})
		}
	}
	return all
}

// measure types every command in a new shop.
func (r *commandsRun) measure(ctx context.Context, work string, shop measuredShop) ([]commandsRow, error) {
	t := &typist{ctx: ctx, program: longpoint{work}, shop: shop}
	dir, err := os.MkdirTemp(work, "shop-")
	if err != nil {
		return nil, err
	}
	if shop.seed == 0 {
		t.typed("", "demo", dir, "--kind", shop.name)
	} else {
		frames, _, _ := strings.Cut(shop.name, " ")
		n, err := strconv.Atoi(frames)
		if err != nil {
			return nil, err
		}
		if err := workshop.GenerateEverything(workshop.Everything{Frames: n, Seed: shop.seed}).Write(dir); err != nil {
			return nil, err
		}
	}
	d := t.inFolder(dir, dir+".json", dir+".csv")
	t.inBook(dir, dir+".book", d)
	return t.rows, t.err
}

// typist types commands, until one fails.
type typist struct {
	ctx     context.Context
	program longpoint
	shop    measuredShop
	rows    []commandsRow
	err     error
}

// typed types a command and gives what it prints. Under a name it is measured.
func (t *typist) typed(name string, args ...string) []byte {
	if t.err != nil {
		return nil
	}
	var out bytes.Buffer
	took, err := t.program.run(t.ctx, &out, args...)
	if err != nil {
		t.err = err
		return nil
	}
	if name != "" {
		t.rows = append(t.rows, commandsRow{t.shop.name, t.shop.seed, name, took.seconds, took.busy})
	}
	return out.Bytes()
}

// inFolder plans, buys, quotes, and plans again after a side is torn. It gives the plan.
func (t *typist) inFolder(dir, planFile, events string) *plan.Document {
	t.typed(planOnce, "plan", dir, "--summary", "--out", planFile)
	t.typed(buyOnce, "buy", dir)
	if t.err != nil {
		return nil
	}
	data, err := os.ReadFile(planFile)
	if err != nil {
		t.err = err
		return nil
	}
	d, err := plan.Decode(data)
	if err == nil && len(d.Profiles) == 0 {
		err = errors.New("there is nothing to cut")
	}
	if t.err = err; err != nil {
		return nil
	}
	t.typed(quoteOnce, "quote", dir, "--job", largestJob(d))
	if t.err == nil {
		t.err = os.WriteFile(events, []byte(halfCut(largestProfile(d))), 0o644)
	}
	t.typed(planAfter, "plan", dir, "--last", planFile, "--after", events, "--summary")
	return d
}

// inBook has a shop's book plan, order, receive and cut half a profile, and tears a side.
func (t *typist) inBook(dir, book string, d *plan.Document) {
	t.typed("", "book", "new", book, "--from", dir)
	t.typed("", "plan", book, "--summary")
	if t.err == nil && len(d.Buy) > 0 {
		var orders []struct{ Purchase int64 }
		t.read(&orders, "order", book, "--json")
		for _, o := range orders {
			t.typed("", "order", "send", book, fmt.Sprint(o.Purchase))
			t.typed("", "receive", book, fmt.Sprint(o.Purchase))
		}
	}
	if t.err != nil {
		return
	}
	var run struct {
		Sticks []struct {
			Stick string
			Sides []struct{ No int }
		}
	}
	t.read(&run, "run", book, largestProfile(d).Name, "--json")
	if len(run.Sticks) == 0 {
		t.err = errors.Join(t.err, errors.New("the run has no stick"))
		return
	}
	half := len(run.Sticks) / 2
	if half > 0 {
		cut := []string{"cut", book}
		for _, s := range run.Sticks[:half] {
			cut = append(cut, s.Stick)
		}
		t.typed("", cut...)
	}
	torn := run.Sticks[half]
	t.typed(tornInRun, "cut", book, fmt.Sprintf("%s:%d", torn.Stick, torn.Sides[0].No), "--became", "torn")
	t.typed(planAgain, "plan", book, "--summary")
}

// read types a command and reads the JSON that it prints.
func (t *typist) read(into any, args ...string) {
	if out := t.typed("", args...); t.err == nil {
		t.err = json.Unmarshal(out, into)
	}
}

// largestJob is the job with the most sides.
func largestJob(d *plan.Document) (job string) {
	sides, most := map[string]int{}, 0
	for _, p := range d.Profiles {
		for _, s := range p.Sticks {
			for _, side := range s.Sides {
				if sides[side.Job]++; sides[side.Job] > most {
					job, most = side.Job, sides[side.Job]
				}
			}
		}
	}
	return job
}

// largestProfile is the profile with the most sides.
func largestProfile(d *plan.Document) plan.ProfilePlan {
	return slices.MaxFunc(d.Profiles, func(a, b plan.ProfilePlan) int { return a.Figures.Sides - b.Figures.Sides })
}

// halfCut is a table of what became of half the sticks of a profile, which are cut, and of the next side, which is torn.
func halfCut(p plan.ProfilePlan) string {
	var b strings.Builder
	b.WriteString("profile,stick,side,became\n")
	half := len(p.Sticks) / 2
	for _, s := range p.Sticks[:half] {
		fmt.Fprintf(&b, "%s,%s,all,done\n", p.Name, s.ID)
	}
	fmt.Fprintf(&b, "%s,%s,1,torn\n", p.Name, p.Sticks[half].ID)
	return b.String()
}

// A command may take mostPlans plans, unless a plan takes less than noticed seconds, and never over longestWait seconds.
const mostPlans, noticed, longestWait = 2, 0.3, 10

// writeCommandsSummary writes a Markdown table with a line a size or kind of shop and command.
func writeCommandsSummary(w io.Writer, rows []commandsRow) error {
	lines := [][]string{{"shop", "command", "shops", "seconds", "of processor", "plans", "over 2 plans", "over 10 s"}}
	plans := map[measuredShop]float64{} // what a plan takes of the processors
	var shops []string
	for _, r := range rows {
		if !slices.Contains(shops, r.shop) {
			shops = append(shops, r.shop)
		}
		if r.command == planOnce {
			plans[measuredShop{r.shop, r.seed}] = r.busy
		}
	}
	for _, shop := range shops {
		for _, command := range []string{planOnce, buyOnce, quoteOnce, planAfter, tornInRun, planAgain} {
			var seconds, busy, ratios []float64
			dear, long := 0, 0
			for _, r := range rows {
				if r.shop != shop || r.command != command {
					continue
				}
				plan := plans[measuredShop{shop, r.seed}]
				seconds, busy, ratios = append(seconds, r.seconds), append(busy, r.busy), append(ratios, r.busy/max(plan, 1e-3))
				dear += count(plan >= noticed && r.busy > mostPlans*plan)
				long += count(r.seconds > longestWait)
			}
			if len(seconds) == 0 {
				continue
			}
			lines = append(lines, []string{shop, command, fmt.Sprint(len(seconds)), spread(seconds), spread(busy), spread(ratios), fmt.Sprint(dear), fmt.Sprint(long)})
		}
	}
	return writeMarkdown(w, lines)
}
