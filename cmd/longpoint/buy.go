package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"longpoint/model"
	"longpoint/model/plan"
)

// buyAnswer is what "longpoint buy --json" prints. Lengths are whole nanometres, money minor units of the currency.
type buyAnswer struct {
	Format   string          `json:"format"`
	Workshop string          `json:"workshop"`
	Until    string          `json:"until,omitempty"`
	Only     []string        `json:"only,omitempty"`
	Currency plan.Currency   `json:"currency"`
	Grade    plan.Grade      `json:"grade"` // of the plan the list comes from
	Buy      []plan.Purchase `json:"buy"`
	Total    model.Money     `json:"total"`
}

// buy is "longpoint buy": what to order.
func (p *program) buy() *cobra.Command {
	var (
		how     planning
		jsonOut bool
	)
	cmd := &cobra.Command{
		Use:   "buy DIR",
		Short: "Say what to order for a workshop's jobs, from whom and what for",
		Long: `Plan the workshop folder DIR as "longpoint plan" does, and show only what to
order: supplier by supplier, how many sticks of which profile and length, what
they cost and which jobs they are for.`,
		Example: buyExample,
		Args:    arguments("DIR, the workshop's folder,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			d, err := how.make(cmd.Context(), p, args[0])
			if err != nil {
				return err
			}
			if jsonOut {
				text, err := asJSON(buyAnswer{Format: "longpoint-buy/1", Workshop: d.Workshop, Until: d.Until, Only: d.Only,
					Currency: d.Currency, Grade: d.Total.Grade, Buy: d.Buy, Total: d.Total.Figures.Purchases})
				if err != nil {
					return err
				}
				return p.show(text)
			}
			text, err := buyPage(d)
			if err != nil {
				return err
			}
			return p.show(text)
		},
	}
	how.addFlags(cmd)
	cmd.Flags().BoolVar(&jsonOut, "json", false, "the list as JSON, lengths in nanometres")
	return cmd
}

// buyPage is the order list for people, a table a supplier.
func buyPage(d *plan.Document) (string, error) {
	unit, err := unitOf(d)
	if err != nil {
		return "", err
	}
	c := currencyOf(d)
	parts := []string{paragraph("To order for "+plain(d.Workshop)+": "+scope(d), "")}
	switch {
	case len(d.Profiles) == 0:
		return parts[0] + "\nThere is nothing to cut.\n", nil
	case len(d.Buy) == 0:
		return parts[0] + "\nNothing: the rack has it all.\n", nil
	}
	for i := 0; i < len(d.Buy); {
		j := i
		for j < len(d.Buy) && d.Buy[j].Supplier == d.Buy[i].Supplier {
			j++
		}
		parts = append(parts, plain(d.Buy[i].Supplier)+"\n"+orderTable(d.Buy[i:j], unit, c).String())
		i = j
	}
	parts = append(parts, paragraph("In all: "+d.Total.Figures.Purchases.With(c)+".", ""))
	if d.Total.Grade != plan.Proven {
		parts = append(parts, paragraph(fmt.Sprintf("The plan behind this list is %s: a cheaper one may exist.", d.Total.Grade), ""))
	}
	return strings.Join(parts, "\n"), nil
}

// orderTable is what to order from one supplier.
func orderTable(lines []plan.Purchase, u model.Unit, c model.Currency) *table {
	const jobsWidth = 26
	t := &table{columns: []column{words("profile"), numbers("stick " + u.String()), numbers("sticks"),
		numbers("each " + c.Code), numbers("cost " + c.Code), words("for jobs")}}
	var total model.Money
	for _, l := range lines {
		total += l.Cost
		jobs := wrapList(l.Jobs, jobsWidth)
		t.add(cutShort(l.Profile, 14), near(l.Length, u), fmt.Sprint(l.Count), l.Price.In(c), l.Cost.In(c), jobs[0])
		for _, more := range jobs[1:] {
			t.add("", "", "", "", "", more)
		}
	}
	t.foot = []string{"all", "", "", "", total.In(c), ""}
	return t
}

// buyTable is the buy list as the plan shows it, all suppliers in one table.
func buyTable(d *plan.Document, u model.Unit, c model.Currency) string {
	if len(d.Buy) == 0 {
		return "Nothing: the rack has it all.\n"
	}
	t := &table{columns: []column{words("supplier"), words("profile"), numbers("stick " + u.String()), numbers("sticks"),
		numbers("each " + c.Code), numbers("cost " + c.Code)}}
	for _, l := range d.Buy {
		t.add(cutShort(l.Supplier, 26), cutShort(l.Profile, 14), near(l.Length, u), fmt.Sprint(l.Count), l.Price.In(c), l.Cost.In(c))
	}
	t.foot = []string{"all", "", "", "", "", d.Total.Figures.Purchases.In(c)}
	return t.String()
}

// wrapList sets names in lines of at most so many characters, at least one line.
func wrapList(names []string, width int) []string {
	lines := []string{""}
	for _, name := range names {
		name = cutShort(name, width)
		last := &lines[len(lines)-1]
		switch {
		case *last == "":
			*last = name
		case len([]rune(*last))+1+len([]rune(name)) <= width:
			*last += " " + name
		default:
			lines = append(lines, name)
		}
	}
	return lines
}
