package page

import (
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"longpoint/cmd/longpoint/round"
	"longpoint/cmd/longpoint/sheet"
	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

var paperRoutes = []route{
	{method: "GET", path: "/paper/plan/{plan}/{piece}", do: (*call).planPaper, shop: true},
	{method: "GET", path: "/paper/run/{run}/{piece}", do: (*call).runPaper},
	{method: "GET", path: "/paper/job/{job}/ticket.pdf", do: (*call).ticketPaper},
	{method: "GET", path: "/paper/order/{piece}", do: (*call).orderPaper, shop: true},
}

// paper is a kind of paper and what it is called.
type paper struct{ Kind, Name string }

// papers are the kinds of paper that there are of a plan, and of a run.
var papers = map[string][]paper{
	"plan": {{"cuts", "Cut sheets"}, {"labels", "Labels"}, {"tickets", "Job tickets"}, {"orders", "Orders"}, {"summary", "The week's summary"}},
	"run":  {{"cuts", "Cut sheet of this run"}, {"labels", "Labels of this run"}, {"tickets", "Tickets of its jobs"}},
}

// kindOf reads which piece of paper is asked for.
func (c *call) kindOf(of string) (string, error) {
	kind, ok := strings.CutSuffix(c.r.PathValue("piece"), ".pdf")
	if !ok || !slices.ContainsFunc(papers[of], func(p paper) bool { return p.Kind == kind }) {
		return "", notFound("there is no such paper", "go back and choose one")
	}
	return kind, nil
}

// day is today's date on paper.
func (c *call) day() (model.Date, error) {
	return model.ParseDate(c.s.Book.Now().Format(time.DateOnly))
}

// printed sends pieces as one PDF file.
func (c *call) printed(name string, pieces []sheet.Piece) error {
	if len(pieces) == 0 {
		return usage("there is nothing to print", "choose another piece")
	}
	var pages []*sheet.Drawing
	for _, p := range pieces {
		pages = append(pages, p.Pages()...)
	}
	data, err := sheet.PDF(pieces[0].Title, pages)
	if err != nil {
		return err
	}
	c.w.Header().Set("Content-Type", "application/pdf")
	c.w.Header().Set("Content-Disposition", `inline; filename="`+name+`.pdf"`)
	http.ServeContent(c.w, c.r, "", noTime, bytes.NewReader(data))
	return nil
}

// planPaper prints of a plan.
func (c *call) planPaper() error {
	kind, err := c.kindOf("plan")
	if err != nil {
		return err
	}
	source, set, err := c.planSource(c.id)
	if err != nil {
		return err
	}
	if kind == "summary" {
		weeks, err := c.s.Book.Yields(c.ctx, book.ByWeek)
		if err != nil {
			return err
		}
		source.Weeks = sheet.WeeksOf(weeks, sheet.MostWeeks)
	}
	return c.pieces(source, kind, set, fmt.Sprintf("plan-%d-%s", c.id, kind))
}

// planSource makes ready to print a plan.
func (c *call) planSource(id int64) (*sheet.Source, sheet.Printing, error) {
	var set sheet.Printing
	w, d, err := round.Holding(c.ctx, c.s.Book, id, c.s.Right)
	if err != nil {
		return nil, set, err
	}
	set = sheet.PrintingOf(w.Printing)
	dated, err := c.day()
	if err != nil {
		return nil, set, err
	}
	source, err := sheet.NewSource(w, d, dated, set.Paper)
	return source, set, err
}

// pieces prints one kind of pieces.
func (c *call) pieces(source *sheet.Source, kind string, set sheet.Printing, name string) error {
	if typed := c.query("start"); typed != "" {
		if _, err := fmt.Sscanf(typed, "%d", &set.Labels.Start); err != nil {
			return usage(model.Quote(typed)+" is no number of a label", "count the labels that are gone from the first sheet, and add one")
		}
	}
	made, err := source.Pieces(kind, set)
	if err != nil {
		return err
	}
	if len(made) == 0 && source.OnlyChanged {
		return c.done(nil, runPath(c.id)+"?begin=1", "No label of this run has changed: those that are printed stay right.")
	}
	return c.printed(name, made)
}

// runPaper prints of a run: with changed only the labels of what is marked out otherwise since the last mishap.
func (c *call) runPaper() error {
	kind, err := c.kindOf("run")
	if err != nil {
		return err
	}
	d, err := c.s.Book.RunDocument(c.ctx, c.id)
	if err != nil {
		return err
	}
	source, set, err := c.runSource(d)
	if err != nil {
		return err
	}
	source.OnlyChanged = c.query("changed") != ""
	return c.pieces(source, kind, set, fmt.Sprintf("run-%d-%s", c.id, kind))
}

// runSource makes ready to print runs.
func (c *call) runSource(d *runs.Document) (*sheet.Source, sheet.Printing, error) {
	set := sheet.PrintingOf(d.Workshop.Printing)
	dated, err := c.day()
	if err != nil {
		return nil, set, err
	}
	source, err := sheet.RunSource(d, dated, set.Paper)
	return source, set, err
}

// ticketPaper prints the ticket of one job: of the open runs that it is in, or else of the last plan.
func (c *call) ticketPaper() error {
	name := c.r.PathValue("job")
	only := func(jobs []plan.JobCost) []plan.JobCost {
		return slices.DeleteFunc(slices.Clone(jobs), func(j plan.JobCost) bool { return j.Job != name })
	}
	runs, err := c.s.Book.RunDocument(c.ctx)
	if err != nil {
		return err
	}
	var source *sheet.Source
	var set sheet.Printing
	if runs.Plan.Jobs = only(runs.Plan.Jobs); len(runs.Plan.Jobs) > 0 {
		source, set, err = c.runSource(runs)
	} else {
		source, set, err = c.planSource(0)
		if err != nil {
			return err
		}
		one := *source.Plan
		one.Jobs = only(one.Jobs)
		source.Plan = &one
	}
	if err != nil {
		return err
	}
	return c.pieces(source, "tickets", set, "ticket")
}

// orderPaper prints an order.
func (c *call) orderPaper() error {
	var id int64
	if _, err := fmt.Sscanf(c.r.PathValue("piece"), "%d.pdf", &id); err != nil {
		return notFound("there is no such order", "go back and choose one")
	}
	o, err := c.s.Book.Purchase(c.ctx, id)
	if err != nil {
		return err
	}
	set := sheet.PrintingOf(c.workshop.Printing)
	dated, err := c.day()
	if err != nil {
		return err
	}
	source, err := sheet.OrderSource(c.workshop, dated, set.Paper)
	if err != nil {
		return err
	}
	order, err := sheet.OrderOf(c.workshop, o)
	if err != nil {
		return err
	}
	return c.printed(fmt.Sprintf("order-%d", id), []sheet.Piece{source.Order(order)})
}
