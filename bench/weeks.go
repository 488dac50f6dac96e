package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"github.com/spf13/cobra"

	"longpoint/bench/chart"
	"longpoint/bench/record"
	"longpoint/bench/workshop"
	"longpoint/model/grouping"
	"longpoint/model/plan"
)

// weeksHeader is the columns of the table that "bench weeks" writes, one row a week. Money is in minor units, lengths in
// metres, yields in per cent. What begins with plan_ is of our plan and the rack it has left, with first_fit_ of first-fit by
// longest side and a rack of its own; same_rack_cost is what first-fit would cost from the rack that our plan was made for.
var weeksHeader = []string{"week", "from", "sides", "grade", "plan_cost", "same_rack_cost",
	"plan_paid", "plan_sticks", "plan_yield", "plan_rack_sticks", "plan_rack_m", "plan_rack_value",
	"first_fit_paid", "first_fit_sticks", "first_fit_yield", "first_fit_rack_sticks", "first_fit_rack_m", "first_fit_rack_value"}

// The pictures of weeks.
const (
	weeksMoney = "weeks-money.svg"
	weeksYield = "weeks-yield.svg"
	weeksRack  = "weeks-rack.svg"
)

// weeksSummary is the file beside the table that its summary is written to: what is added up over weeks is not in the table.
const weeksSummary = "weeks.md"

// weeksAnswer is what of "longpoint group --json" is read.
type weeksAnswer struct {
	Format    string              `json:"format"`
	Currency  plan.Currency       `json:"currency"`
	Rack      grouping.Rack       `json:"rack_before"`
	Groupings []grouping.Grouping `json:"groupings"`
}

// weeksRun is one run of "bench weeks".
type weeksRun struct {
	measuring
	size     workshop.Weeks
	limit    time.Duration
	pictures string // folder
}

func weeksCommand() *cobra.Command {
	r := &weeksRun{}
	cmd := r.command(&cobra.Command{
		Use:   "weeks",
		Short: "Cut week after week, the rack carried over, beside first-fit by longest side",
		Long: `Weeks makes up a workshop with jobs due over many weeks and has the program plan it week by week ("longpoint group DIR --by
week --json"), each week from the rack that the week before has left. First-fit by longest side cuts the same weeks with a rack of
its own. The table has a row a week; the summary says what each has paid in all, and what its rack is worth in the end. Everything
is invented; another seed makes another workshop.

It is an error when a week's plan costs more than first-fit would from the same rack, or when the lengths that came in, lie on
the rack and were used up do not add up. That all weeks together are cheaper is no promise: a week's plan knows nothing of the next.`,
		Example: "  go run ./bench weeks --weeks 200 --frames 12 --profiles 6 --seed 1",
	}, "weeks.csv", r.run)
	cmd.Flags().IntVar(&r.size.Weeks, "weeks", 200, "how many weeks")
	cmd.Flags().IntVar(&r.size.Frames, "frames", 12, "frames a week, quantities counted")
	cmd.Flags().IntVar(&r.size.Profiles, "profiles", 6, "profiles of the workshop")
	cmd.Flags().Uint64Var(&r.size.Seed, "seed", 1, "another one makes another workshop")
	cmd.Flags().IntVar(&r.size.OffcutShare, "offcut-share", 0, "what a kept offcut is worth to a plan, in `per cent` of the price of new moulding")
	cmd.Flags().DurationVar(&r.limit, "time-limit", 10*time.Second, "for each profile in each week")
	cmd.Flags().StringVar(&r.pictures, "pictures", outFolder, "folder to draw "+weeksMoney+", "+weeksYield+" and "+weeksRack+" in")
	cmd.Flags().Lookup("table").Usage = "CSV table to write"
	return cmd
}

func (r *weeksRun) run(ctx context.Context) error {
	if r.size.OffcutShare < 0 || r.size.OffcutShare > 100 {
		return errors.New("a kept offcut is worth from 0 to 100 per cent")
	}
	if r.size.Weeks < 1 || r.size.Frames < 1 || r.size.Profiles < 1 {
		return errors.New("there must be at least one week, one frame a week and one profile")
	}
	answer, err := r.plan(ctx)
	if err != nil {
		return err
	}
	rows, err := weeksRows(answer)
	if err != nil {
		return err
	}
	if err := record.Write(r.table, weeksHeader, rows); err != nil {
		return err
	}
	if err := drawWeeks(r.pictures, answer); err != nil {
		return err
	}
	var summary bytes.Buffer
	if err := writeWeeksSummary(&summary, answer); err != nil {
		return err
	}
	if err := record.WriteFile(filepath.Join(filepath.Dir(r.table), weeksSummary), summary.Bytes()); err != nil {
		return err
	}
	_, err = r.out.Write(summary.Bytes())
	return err
}

// plan makes up the workshop and has the program plan it.
func (r *weeksRun) plan(ctx context.Context) (*weeksAnswer, error) {
	folder, err := os.MkdirTemp("", "bench-weeks-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	shop := filepath.Join(folder, "shop")
	if err := os.Mkdir(shop, 0o755); err != nil {
		return nil, err
	}
	if err := workshop.GenerateWeeks(r.size).Write(shop); err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if _, err := (longpoint{folder}).run(ctx, &out, "group", shop, "--by", string(grouping.ByWeek), "--json", "--time-limit", r.limit.String()); err != nil {
		return nil, err
	}
	var answer weeksAnswer
	if err := json.Unmarshal(out.Bytes(), &answer); err != nil {
		return nil, err
	}
	if answer.Format != "longpoint-group/1" || len(answer.Groupings) != 1 || len(answer.Groupings[0].Batches) == 0 {
		return nil, fmt.Errorf("the program answers with %q and %d groupings", answer.Format, len(answer.Groupings))
	}
	return &answer, nil
}

// weeksRows gives the rows of the table, having held every week to what must be true of it.
func weeksRows(a *weeksAnswer) ([][]string, error) {
	g := a.Groupings[0]
	if !g.Complete {
		return nil, errors.New("first-fit does not get every week cut, so there is nothing to compare with")
	}
	var rows [][]string
	ours, theirs := a.Rack, a.Rack
	for n, b := range g.Batches {
		if err := errors.Join(balanced(ours, b.Plan), balanced(theirs, b.FirstFit)); err != nil {
			return nil, fmt.Errorf("week %d, from %s: %w", n+1, b.From, err)
		}
		ours, theirs = b.Plan.Rack, b.FirstFit.Rack
		if b.Plan.Figures.Cost > b.SameRack.Cost {
			return nil, fmt.Errorf("week %d, from %s: the plan costs %d and first-fit from the same rack %d", n+1, b.From, b.Plan.Figures.Cost, b.SameRack.Cost)
		}
		row := []string{strconv.Itoa(n + 1), b.From, strconv.Itoa(b.Plan.Figures.Sides), string(b.Grade),
			fmt.Sprint(int64(b.Plan.Figures.Cost)), fmt.Sprint(int64(b.SameRack.Cost))}
		for _, c := range []grouping.Cutting{b.Plan, b.FirstFit} {
			row = append(row, fmt.Sprint(int64(c.Figures.Paid())), strconv.Itoa(c.Figures.Sticks()), fmt.Sprintf("%.2f", percentOf(c.Figures)),
				strconv.Itoa(c.Rack.Sticks), fmt.Sprintf("%.3f", metres(c.Rack)), fmt.Sprint(int64(c.Rack.Value)))
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// balanced says whether what lay on the rack and was bought lies there now or is used up.
func balanced(before grouping.Rack, c grouping.Cutting) error {
	if in, out := before.Length+c.Bought, c.Rack.Length+c.Figures.UsedUp; in != out {
		return fmt.Errorf("%d nm of sticks came in and %d nm lie there or are used up", int64(in), int64(out))
	}
	return nil
}

func percentOf(f plan.Figures) float64 { return float64(f.Yield) / 10_000 }

func metres(r grouping.Rack) float64 { return float64(r.Length) / 1e9 }

// yieldWeeks is over how many weeks the picture of the yield looks back: one week alone goes up and down too much to read.
const yieldWeeks = 10

// drawWeeks draws what planning has saved so far, the yield and the rack, week by week.
func drawWeeks(folder string, a *weeksAnswer) error {
	unit := 1.0
	for range a.Currency.Decimals {
		unit *= 10
	}
	batches := a.Groupings[0].Batches
	saved := chart.Curve{Name: "saved"}
	yield, rack := make([]chart.Curve, 2), make([]chart.Curve, 2)
	net := make([]float64, len(batches))
	for i, name := range []string{"plan", "first-fit by longest side"} {
		yield[i].Name, rack[i].Name = name, name
		at := func(n int) grouping.Cutting { return []grouping.Cutting{batches[n].Plan, batches[n].FirstFit}[i] }
		paid, sign := 0.0, []float64{-1, 1}[i]
		for n := range batches {
			paid += float64(at(n).Figures.Paid())
			net[n] += sign * (paid - float64(at(n).Rack.Value))
			var longPoints, usedUp float64
			for back := max(0, n-yieldWeeks+1); back <= n; back++ {
				longPoints += float64(at(back).Figures.LongPoints)
				usedUp += float64(at(back).Figures.UsedUp)
			}
			week := float64(n + 1)
			yield[i].Points = append(yield[i].Points, chart.Point{X: week, Y: 100 * longPoints / usedUp})
			rack[i].Points = append(rack[i].Points, chart.Point{X: week, Y: metres(at(n).Rack)})
		}
	}
	for n := range batches {
		saved.Points = append(saved.Points, chart.Point{X: float64(n + 1), Y: net[n] / unit})
	}
	return errors.Join(
		chart.Lines(filepath.Join(folder, weeksMoney), chart.Labels{Title: "Saved so far against first-fit, racks counted",
			X: "week", Y: "money (" + a.Currency.Code + ")"}, []chart.Curve{saved}),
		chart.Lines(filepath.Join(folder, weeksYield), chart.Labels{Title: fmt.Sprintf("Yield of the last %d weeks", yieldWeeks), X: "week", Y: "yield (%)"}, yield),
		chart.Lines(filepath.Join(folder, weeksRack), chart.Labels{Title: "What lies on the rack", X: "week", Y: "length (m)"}, rack),
	)
}

// writeWeeksSummary writes a Markdown table with a line each for our plans and for first-fit, and in words what was saved.
func writeWeeksSummary(w io.Writer, a *weeksAnswer) error {
	g := a.Groupings[0]
	lines := [][]string{{"", "paid", "sticks", "yield %", "rack at the end, m", "its value", "net"}}
	for _, o := range []struct {
		name string
		grouping.Outcome
	}{{"plan", g.Plan}, {"first-fit", g.FirstFit}} {
		lines = append(lines, []string{o.name, a.money(int64(o.Figures.Paid())), strconv.Itoa(o.Figures.Sticks()),
			fmt.Sprintf("%.2f", percentOf(o.Figures)), fmt.Sprintf("%.1f", metres(o.Rack)), a.money(int64(o.Rack.Value)), a.money(int64(o.Net))})
	}
	if err := writeMarkdown(w, lines); err != nil {
		return err
	}
	proven, worst, weeksDearer := 0, 0, 0
	most := func(n int) int64 {
		return int64(g.Batches[n].Plan.Figures.Paid() - g.Batches[n].FirstFit.Figures.Paid())
	}
	for n, b := range g.Batches {
		if b.Grade == plan.Proven {
			proven++
		}
		if most(n) > most(worst) {
			worst = n
		}
		if most(n) > 0 {
			weeksDearer++
		}
	}
	saved := int64(g.FirstFit.Net - g.Plan.Net)
	_, err := fmt.Fprintf(w, `
%d weeks, %d of them proven; %s m of rack worth %s to begin with.
Saved against first-fit, the racks' values counted: %s, %.1f %% of what first-fit costs.
Weeks in which the plan paid more than first-fit did, each with its own rack: %d. The worst: week %d (from %s), %s more.
`, len(g.Batches), proven, fmt.Sprintf("%.1f", metres(a.Rack)), a.money(int64(a.Rack.Value)),
		a.money(saved), 100*float64(saved)/float64(g.FirstFit.Net), weeksDearer, worst+1, g.Batches[worst].From, a.money(most(worst)))
	return err
}

// money writes an amount with its currency.
func (a *weeksAnswer) money(m int64) string {
	sign := ""
	if m < 0 {
		sign, m = "-", -m
	}
	digits := fmt.Sprintf("%0*d", a.Currency.Decimals+1, m)
	if cut := len(digits) - a.Currency.Decimals; a.Currency.Decimals > 0 {
		digits = digits[:cut] + "." + digits[cut:]
	}
	return sign + digits + " " + a.Currency.Code
}
