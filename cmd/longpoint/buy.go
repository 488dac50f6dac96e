package main

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/planner"
)

// buyAnswer is what "longpoint buy --json" prints. Lengths are whole nanometres, money minor units of the currency.
type buyAnswer struct {
	Format   string        `json:"format"`
	Workshop string        `json:"workshop"`
	Until    string        `json:"until,omitempty"`
	On       string        `json:"on,omitempty"`
	Only     []string      `json:"only,omitempty"`
	Currency plan.Currency `json:"currency"`
	Grade    plan.Grade    `json:"grade"` // of the plan the list comes from
	Buy      []buyLine     `json:"buy"`
	Orders   []plan.Order  `json:"orders"`
	Total    model.Money   `json:"total"` // of all orders
}

// buyLine is a line of the buy list, and what it would cost more to do without it.
type buyLine struct {
	plan.Purchase
	NextBest *nextBest `json:"next_best,omitempty"` // absent: there is no other choice, unless it is not known
	Unknown  bool      `json:"next_best_unknown,omitempty"`
}

// nextBest is what the next-best choice costs more.
type nextBest struct {
	More  model.Money `json:"more"`
	Grade plan.Grade  `json:"grade"` // if it is not proven, there may be one that costs less more
}

// planShare is the part of the time limit that the plan itself may take, in per cent; the rest is for the next-best choices.
const planShare = 60

// buy is "longpoint buy": what to order.
func (p *program) buy() *cobra.Command {
	var (
		how     planning
		jsonOut bool
	)
	cmd := &cobra.Command{
		Use:   "buy [DIR]",
		Short: "Say what to order for a workshop's jobs, from whom and what for",
		Long: `Plan the workshop folder DIR as "longpoint plan" does, and show only what to
order: one order a supplier, with how many sticks of which profile and length,
what they cost, which jobs they are for and what is left over of them, and with
the supplier's delivery charge and least order. Next best is what it would cost
more to do without that line.`,
		Example: buyExample,
		Args:    arguments("DIR, the workshop's folder,"),
		RunE: func(cmd *cobra.Command, args []string) error {
			start, limit := time.Now(), how.timeLimit
			how.timeLimit = max(1, limit*planShare/100)
			d, w, options, err := how.makeFrom(cmd.Context(), p, args[0])
			if err != nil {
				return err
			}
			options.TimeLimit = planner.More(limit, time.Since(start))
			show := startProgress(p.stderr, w.Currency)
			options.Progress = show.update
			others, err := planner.NextBests(context.WithoutCancel(cmd.Context()), w, options, d)
			show.stop()
			if err != nil {
				return err
			}
			var text string
			if jsonOut {
				text, err = asJSON(newBuyAnswer(d, others))
			} else {
				text = buyPage(d, w.Unit, w.Habits.Dates, others)
			}
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

func newBuyAnswer(d *plan.Document, others []planner.NextBest) buyAnswer {
	a := buyAnswer{Format: "longpoint-buy/2", Workshop: d.Workshop, Until: d.Until, On: d.On, Only: d.Only, Currency: d.Currency,
		Grade: d.Total.Grade, Buy: []buyLine{}, Orders: d.Orders, Total: toPay(d)}
	for n, l := range d.Buy {
		line := buyLine{Purchase: l, Unknown: others[n].Unknown}
		if others[n].Possible {
			line.NextBest = &nextBest{More: others[n].More, Grade: others[n].Grade}
		}
		a.Buy = append(a.Buy, line)
	}
	return a
}

// toPay is what all orders come to, delivery included.
func toPay(d *plan.Document) model.Money { return d.Total.Figures.Purchases + d.Total.Figures.Delivery }

// buyPage is the orders for people, a table a supplier.
func buyPage(d *plan.Document, unit model.Unit, dates model.DateOrder, others []planner.NextBest) string {
	c := currencyOf(d)
	parts := []string{paragraph("To order for "+plain(d.Workshop)+": "+scope(d, dates), "")}
	switch {
	case len(d.Profiles) == 0:
		return parts[0] + "\nThere is nothing to cut.\n"
	case len(d.Buy) == 0:
		return parts[0] + "\nNothing: all of it is here or to come.\n"
	}
	i := 0
	for _, o := range d.Orders {
		j := i
		for j < len(d.Buy) && d.Buy[j].Supplier == o.Supplier {
			j++
		}
		parts = append(parts, plain(o.Supplier)+"\n"+orderTable(d.Buy[i:j], others[i:j], unit, c).String()+
			lineNotes(d.Buy[i:j], unit, c)+orderTerms(o, c))
		i = j
	}
	parts = append(parts, paragraph("In all: "+toPay(d).With(c)+". "+plain(text.ForNoJob(d.Buy, c)), "")+
		paragraph("Next best: what it would cost more to do without that line.", ""))
	if slices.ContainsFunc(others, func(n planner.NextBest) bool { return n.Possible && n.Grade != plan.Proven }) {
		parts = append(parts, paragraph("With ≤ before it a next-best choice may cost less more, for the search for it was stopped.", ""))
	}
	if slices.ContainsFunc(others, func(n planner.NextBest) bool { return n.Unknown }) {
		parts = append(parts, paragraph("Not known: the time was up before any plan without that line was found; --time-limit gives it more.", ""))
	}
	if d.Total.Grade != plan.Proven {
		parts = append(parts, paragraph(fmt.Sprintf("The plan behind this list is %s: a cheaper one may exist.", d.Total.Grade), ""))
	}
	return strings.Join(parts, "\n")
}

// orderTable is what to order from one supplier.
func orderTable(lines []plan.Purchase, others []planner.NextBest, u model.Unit, c model.Currency) *table {
	const jobsWidth, profileWidth = 15, 13
	t := &table{columns: []column{words("profile"), numbers("stick " + u.String()), numbers("sticks"),
		numbers("each " + c.Code), numbers("cost " + c.Code), words("for jobs"), numbers("next best")}}
	var total model.Money
	for n, l := range lines {
		total += l.Cost
		jobs := wrapList(l.Jobs, jobsWidth)
		t.add(cell(l.Profile, profileWidth), near(l.Length, u), fmt.Sprint(l.Count), eachOf(l, c), l.Cost.In(c), strings.Join(l.Jobs, " ")+fullCut+jobs[0], text.NextBest(others[n], c))
		for _, more := range jobs[1:] {
			t.add("", "", "", "", "", fullCut+more, "")
		}
	}
	t.foot = []string{"all", "", "", "", total.In(c), "", ""}
	return t
}

// eachOf is the price of one stick; of those in bundles the notes speak.
func eachOf(l plan.Purchase, c model.Currency) string {
	if l.Bundle > 0 {
		return ""
	}
	return l.Price.In(c)
}

// lineNotes says of the lines of a buy list what has no column: bundles, random lengths, sticks left over.
func lineNotes(lines []plan.Purchase, u model.Unit, c model.Currency) string {
	var b strings.Builder
	for _, l := range lines {
		var notes []string
		if l.Bundle > 0 {
			notes = append(notes, fmt.Sprintf("%s of %d at %s", count(l.Bundles(), "bundle", "bundles"), l.Bundle, l.Price.With(c)))
		}
		if l.Longest > 0 {
			notes = append(notes, fmt.Sprintf("%s or longer, as they come", l.Length.Near(u)))
		}
		if l.Spare > 0 {
			notes = append(notes, fmt.Sprintf("%s left over for the rack, worth %s", count(l.Spare, "stick", "sticks"), l.SpareValue.With(c)))
		}
		if len(notes) > 0 {
			b.WriteString(paragraph(fmt.Sprintf("%s, %s: %s.", plain(l.Profile), l.Length.Near(u), strings.Join(notes, "; ")), "  "))
		}
	}
	return b.String()
}

// orderTerms says what a supplier asks of an order, and what the order comes to then.
func orderTerms(o plan.Order, c model.Currency) string {
	var terms []string
	if o.LeastMoney > 0 {
		terms = append(terms, "at least "+o.LeastMoney.With(c))
	}
	if o.LeastSticks > 0 {
		terms = append(terms, "at least "+count(o.LeastSticks, "stick", "sticks"))
	}
	var said string
	if len(terms) > 0 {
		said = fmt.Sprintf("An order must come to %s, and this one has %s for %s. ", joinAnd(terms), count(o.Sticks, "stick", "sticks"), o.Cost.With(c))
	}
	if o.Delivery > 0 {
		said += fmt.Sprintf("With delivery at %s it comes to %s. ", o.Delivery.With(c), o.Total.With(c))
	}
	said += plain(text.ToFree(o, c))
	if said == "" {
		return ""
	}
	return paragraph(strings.TrimSpace(said), "")
}

// buyTable is the buy list as the plan shows it, all suppliers in one table.
func buyTable(d *plan.Document, u model.Unit, c model.Currency) string {
	if len(d.Buy) == 0 {
		return "Nothing: all of it is here or to come.\n"
	}
	t := &table{columns: []column{words("supplier"), words("profile"), numbers("stick " + u.String()), numbers("sticks"),
		numbers("each " + c.Code), numbers("cost " + c.Code)}}
	for _, l := range d.Buy {
		t.add(cell(l.Supplier, 26), cell(l.Profile, 14), near(l.Length, u), fmt.Sprint(l.Count), eachOf(l, c), l.Cost.In(c))
	}
	for _, o := range d.Orders {
		if o.Delivery > 0 {
			t.add(cell(o.Supplier, 26), "delivery", "", "", "", o.Delivery.In(c))
		}
	}
	t.foot = []string{"all", "", "", "", "", toPay(d).In(c)}
	said := t.String() + lineNotes(d.Buy, u, c)
	if none := text.ForNoJob(d.Buy, c); none != "" {
		said += paragraph(plain(none), "")
	}
	return said
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
