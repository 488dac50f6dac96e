package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/grouping"
	"longpoint/model/plan"
)

// groupAnswer is what "longpoint group --json" prints. Lengths are whole nanometres, money minor units of the currency.
type groupAnswer struct {
	Format    string                 `json:"format"`
	Workshop  string                 `json:"workshop"`
	Until     string                 `json:"until,omitempty"`
	Only      []string               `json:"only,omitempty"`
	Currency  plan.Currency          `json:"currency"`
	Rack      grouping.Rack          `json:"rack_before"`
	Groupings []grouping.Grouping    `json:"groupings"`
	Jobs      []grouping.JobByPeriod `json:"jobs"`
	currency  model.Currency
	dates     model.DateOrder
}

// group is "longpoint group": the same jobs cut day by day, week by week and so on.
func (p *program) group() *cobra.Command {
	var (
		how     planning
		by      []string
		jsonOut bool
	)
	cmd := &cobra.Command{
		Use:   "group [DIR]",
		Short: "Compare cutting the jobs by day, week, fortnight or month",
		Long: `Plan the jobs of the workshop folder DIR as if they were cut day by day as they
fall due, then the same by calendar week, fortnight and month: each batch by
itself, from the rack that the batch before has left. The answer sets side by
side how many sticks are opened, what there is to pay and what the rack is worth
afterwards, and shows which jobs gain from waiting for others.

With one --by the batches are listed one by one. Nothing is written to DIR.`,
		Example: groupExample,
		Args:    arguments("DIR, the workshop's folder,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			periods, err := periodsOf(by)
			if err != nil {
				return err
			}
			workshop, options, err := how.read(cmd.Context(), p, args[0])
			if err != nil {
				return err
			}
			show := startProgress(p.stderr, workshop.Currency)
			options.Progress = show.update
			groupings, jobs, err := grouping.Compare(cmd.Context(), workshop, options, periods)
			show.stop()
			if err != nil {
				return err
			}
			c := workshop.Currency
			answer := groupAnswer{Format: "longpoint-group/1", Workshop: workshop.Name, Until: how.until, Only: how.profiles,
				Currency: plan.Currency{Code: c.Code, Decimals: c.Decimals}, Rack: grouping.RackOf(workshop), Groupings: groupings, Jobs: jobs, currency: c, dates: workshop.Habits.Dates}
			text := answer.page()
			if jsonOut {
				if text, err = asJSON(answer); err != nil {
					return err
				}
			}
			return p.show(text)
		},
	}
	how.addFlags(cmd)
	cmd.Flags().StringArrayVar(&by, "by", nil, "only this `period`: day, week, fortnight or month; may be repeated")
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the comparison as JSON, with every batch")
	return cmd
}

// periodsOf gives the periods that are named, all where none is, each once and the shortest first.
func periodsOf(names []string) ([]grouping.Period, error) {
	if len(names) == 0 {
		return grouping.Periods(), nil
	}
	var out []grouping.Period
	for _, name := range names {
		if !slices.Contains(grouping.Periods(), grouping.Period(name)) {
			return nil, usage(fmt.Sprintf("--by: there is no period %q", name), "write day, week, fortnight or month")
		}
	}
	for _, by := range grouping.Periods() {
		if slices.Contains(names, string(by)) {
			out = append(out, by)
		}
	}
	return out, nil
}

// page is the comparison for people.
func (a *groupAnswer) page() string {
	head := paragraph("Cutting together, "+plain(a.Workshop)+": "+scope(&plan.Document{Until: a.Until, Only: a.Only}, a.dates), "")
	if len(a.Groupings) == 0 || len(a.Groupings[0].Batches) == 0 {
		return head + "\nThere is nothing to cut.\n"
	}
	parts := []string{head, a.table().String() + paragraph("Sticks are those opened; an offcut counts again each time it is used. The "+
		"rack is worth "+a.Rack.Value.With(a.currency)+" before, and afterwards what stands there. Net is what is paid and what the rack has "+
		"lost in value; first-fit is the net of first-fit by longest side, with a rack of its own.", "")}
	if notes := a.notes(); notes != "" {
		parts = append(parts, notes)
	}
	if len(a.Groupings) == 1 {
		parts = append(parts, "The batches\n"+a.batches(a.Groupings[0]).String())
	} else {
		parts = append(parts, "What each job's moulding costs, by what it is cut with\n"+a.jobs().String()+a.waiting())
	}
	return strings.Join(parts, "\n")
}

// table is a row a period.
func (a *groupAnswer) table() *table {
	code := a.currency.Code
	t := &table{columns: []column{words("by"), numbers("batches"), numbers("sticks"), numbers("to pay " + code),
		numbers("rack " + code), numbers("net " + code), numbers("yield %"), numbers("first-fit")}}
	for _, g := range a.Groupings {
		firstFit := "-"
		if g.Complete {
			firstFit = g.FirstFit.Net.In(a.currency)
		}
		t.add(string(g.By), fmt.Sprint(len(g.Batches)), fmt.Sprint(g.Plan.Figures.Sticks()), g.Plan.Figures.Paid().In(a.currency),
			g.Plan.Rack.Value.In(a.currency), g.Plan.Net.In(a.currency), percent(g.Plan.Figures), firstFit)
	}
	return t
}

// notes says what is less than sure.
func (a *groupAnswer) notes() string {
	var b strings.Builder
	var stuck, above []string
	for _, g := range a.Groupings {
		if g.Grade != plan.Proven {
			b.WriteString(paragraph(fmt.Sprintf("By %s the plans are %s: together they may be dearer than need be by up to %s.", g.By, g.Grade,
				g.Gap.With(a.currency)), "  "))
		}
		switch {
		case !g.Complete:
			stuck = append(stuck, string(g.By))
		case g.Plan.Net > g.FirstFit.Net:
			above = append(above, string(g.By))
		}
	}
	if len(above) > 0 {
		b.WriteString(paragraph(fmt.Sprintf("By %s the net is above first-fit's. Each batch is planned as cheaply as it can be by itself, and not for what the next "+
			"one could do with what it leaves; offcut_share says what that is to be worth.", joinAnd(above)), "  "))
	}
	if len(stuck) > 0 {
		b.WriteString(paragraph(fmt.Sprintf("First-fit by %s does not get everything cut, so there is nothing to compare with.", joinAnd(stuck)), "  "))
	}
	return b.String()
}

// batches is a row a batch.
func (a *groupAnswer) batches(g grouping.Grouping) *table {
	code := a.currency.Code
	t := &table{columns: []column{days("from", a.dates), days("to", a.dates), numbers("jobs"), numbers("sticks"),
		numbers("to pay " + code), numbers("yield %"), numbers("on rack"), words("grade")}}
	for _, b := range g.Batches {
		f := b.Plan.Figures
		t.add(b.From, b.To, fmt.Sprint(b.Jobs), fmt.Sprint(f.Sticks()), f.Paid().In(a.currency), percent(f),
			fmt.Sprint(b.Plan.Rack.Sticks), string(b.Grade))
	}
	return t
}

// jobs is a row a job, a column a period.
func (a *groupAnswer) jobs() *table {
	t := &table{columns: []column{words("job"), days("due", a.dates)}}
	for _, g := range a.Groupings {
		t.columns = append(t.columns, numbers(string(g.By)+" "+a.currency.Code))
	}
	t.columns = append(t.columns, numbers("gains "+a.currency.Code))
	for _, j := range a.Jobs {
		row := []string{cell(j.Job, 12), j.Due}
		for _, c := range j.Costs {
			row = append(row, c.In(a.currency))
		}
		gains := ""
		if j.Gains > 0 {
			gains = j.Gains.In(a.currency)
		}
		t.add(append(row, gains)...)
	}
	return t
}

// waiting names the jobs that gain.
func (a *groupAnswer) waiting() string {
	var names []string
	for _, j := range a.Jobs {
		if j.Gains > 0 {
			names = append(names, plain(j.Job))
		}
	}
	if len(names) == 0 {
		return "No job's share is less when it is cut with more others.\n"
	}
	return paragraph(fmt.Sprintf("Waiting for others makes the share of %s less: %s. A share is of the batch's cost, which is credited with "+
		"what it leaves on the rack only as far as offcut_share says.", count(len(names), "job", "jobs"), joinAnd(names)), "")
}
