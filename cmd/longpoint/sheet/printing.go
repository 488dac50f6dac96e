package sheet

import (
	"fmt"
	"strings"
	"time"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// Printing is how to print.
type Printing struct {
	Paper   Paper
	Tickets int // a page
	Labels  LabelSheet
}

// PrintingOf gives how a workshop prints and, where it does not say, how anybody does.
func PrintingOf(p model.Printing) Printing {
	s := Printing{Paper: A4, Tickets: 4, Labels: LabelSheet{LabelSheet: p.Labels, Start: 1}}
	if strings.EqualFold(p.Paper, Letter.Name) {
		s.Paper = Letter
	}
	if p.Labels.IsZero() {
		s.Labels.LabelSheet = PlainLabels
	}
	if p.Tickets > 0 {
		s.Tickets = p.Tickets
	}
	return s
}

// Pieces makes the pieces of one kind: cuts, sticks, labels, tickets, orders or summary.
func (s *Source) Pieces(kind string, set Printing) (pieces []Piece, err error) {
	defer func() {
		for i := range pieces {
			pieces[i].Kind = kind
		}
	}()
	one := func(p Piece, err error) ([]Piece, error) { return []Piece{p}, err }
	switch kind {
	case "cuts":
		if len(s.Plan.Profiles) > 0 {
			pieces = append(pieces, s.Cuts())
		}
	case "sticks":
		for i := range s.Plan.Profiles {
			pieces = append(pieces, s.Sticks(i))
		}
	case "labels":
		p, n, err := s.labelsOf(set.Labels)
		if err == nil && s.OnlyChanged && n == 0 {
			return nil, nil
		}
		return one(p, err)
	case "tickets":
		return s.Tickets(set.Tickets)
	case "orders":
		return s.Orders(), nil
	case "summary":
		return one(s.Summary())
	}
	return pieces, nil
}

// RunSource makes ready to print runs.
func RunSource(d *runs.Document, dated model.Date, paper Paper) (*Source, error) {
	s, err := NewSource(d.Workshop, d.Plan, dated, paper)
	if err != nil {
		return nil, err
	}
	numbers := make([]string, len(d.Runs))
	for i, r := range d.Runs {
		numbers[i] = fmt.Sprint(r.ID)
	}
	s.Progress = Progress{Of: "run " + joinAnd(numbers), Became: d.Became, Changed: d.Changed, Anew: d.Anew}
	return s, nil
}

// OrderSource makes ready to print orders of a book, which are of no plan.
func OrderSource(w *model.Workshop, dated model.Date, paper Paper) (*Source, error) {
	return NewSource(w, &plan.Document{Workshop: w.Name, Unit: w.Unit.String(), Currency: plan.Currency(w.Currency)}, dated, paper)
}

// OrderOf gives an order of the book as it is printed.
func OrderOf(w *model.Workshop, o book.Purchase) (Order, error) {
	var day model.Date
	var err error
	if o.Placed != "" {
		day, err = model.ParseDate(o.Placed)
	}
	out := Order{Number: fmt.Sprint(o.ID), Supplier: o.Supplier, Day: day, Expected: o.Expected, Delivery: o.Delivery}
	for _, l := range o.Lines {
		if sticks := l.Sticks - l.Gone; sticks > 0 {
			out.Lines = append(out.Lines, orderedLine(w, o.Supplier, l))
		}
	}
	return out, err
}

// orderedLine gives a line of an order with how it is sold, by the offer at which so many sticks cost just so much. Where there is
// no such offer any more, nothing is said of bundles and of the price of each.
func orderedLine(w *model.Workshop, supplier string, l book.PurchaseLine) plan.Purchase {
	line := plan.Purchase{Supplier: supplier, Profile: l.Profile, Length: l.Length, Count: l.Sticks, Cost: l.Cost}
	for _, o := range w.Offers {
		bundle := o.PerBundle()
		if o.Supplier != supplier || o.Profile != l.Profile || o.Length != l.Length || l.Sticks%bundle != 0 || o.Price*model.Money(l.Sticks/bundle) != l.Cost {
			continue
		}
		line.Price, line.Longest = o.Price, o.Longest
		if bundle > 1 {
			line.Bundle = bundle
		}
		return line
	}
	return line
}

// MostWeeks is how many weeks the yield is drawn of: half a year.
const MostWeeks = 26

// WeeksOf gives the last weeks, at most so many, up to the last of which a yield is known; those between in which nothing
// was finished have none. Yields are by ISO week, as in 2027-W06, in order.
func WeeksOf(yields []book.Yield, most int) (weeks []Week) {
	known := map[string]int64{}
	last := ""
	for _, y := range yields {
		if y.Of != "" && y.Yield > 0 {
			known[y.Of], last = y.Yield, y.Of
		}
	}
	if last == "" {
		return nil
	}
	var year, number int
	if _, err := fmt.Sscanf(last, "%d-W%d", &year, &number); err != nil {
		return nil // no name of a week
	}
	// The 4th of January is in the first week of its year (ISO 8601).
	day := time.Date(year, 1, 4+7*(number-1), 0, 0, 0, 0, time.UTC)
	for left := len(known); left > 0 && len(weeks) < most; day = day.AddDate(0, 0, -7) {
		year, number := day.ISOWeek()
		name := fmt.Sprintf("%04d-W%02d", year, number)
		if known[name] > 0 {
			left--
		}
		weeks = append([]Week{{Name: name, Yield: known[name]}}, weeks...)
	}
	return weeks
}

// WeekPlot draws the yield of past weeks.
func WeekPlot(weeks []Week, width float64) (Figure, error) {
	return (&Source{Weeks: weeks}).weekPlot(width)
}
