package examine

import (
	"context"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"time"

	"longpoint/cmd/longpoint/text"
	"longpoint/model"
	"longpoint/model/book"
)

// book looks at what a book alone has: a history, orders, runs and plans.
func (x *Shop) book(ctx context.Context, b *book.Book) error {
	ages, err := b.Ages(ctx)
	if err != nil {
		return err
	}
	x.ages(ages)
	for _, look := range []func(context.Context, *book.Book) error{x.orders, x.runs, x.unplanned} {
		if err := look(ctx, b); err != nil {
			return err
		}
	}
	return nil
}

// ages looks at how long things have been as they are.
func (x *Shop) ages(a book.Ages) {
	var unmeasured []string
	for _, s := range x.w.Rack {
		age, known := a.Sticks[s.ID]
		switch {
		case !known:
		case s.Offcut && x.ago(age.Since, daysOffcut):
			x.find("rack", x.discard(s.ID), "offcut %s of %s, %s long, lies there since %s and was never used", s.ID, s.Profile, s.Length.Near(x.w.Unit), x.date(age.Since)).Of = s.ID
		case age.AsBought && !age.Measured:
			unmeasured = append(unmeasured, s.ID)
		}
	}
	if len(unmeasured) > 0 {
		x.find("rack", fmt.Sprintf("rack measure %s %s LENGTH", x.Name, x.Word(unmeasured[0])), "%s never measured since they came: a stick is not always as long as its label",
			few(unmeasured, "stick", "sticks")).Of = unmeasured[0]
	}
	for _, supplier := range slices.Sorted(maps.Keys(a.Prices)) {
		if x.ago(a.Prices[supplier], daysPrices) {
			x.find("offers", fmt.Sprintf("prices %s FILE --supplier %s", x.Name, x.Word(supplier)), "the prices of %s are those of %s", supplier, x.date(a.Prices[supplier])).Of = supplier
		}
	}
	x.copies(a)
}

// copies looks at the copies of the book that lie in its folder.
func (x *Shop) copies(a book.Ages) {
	next := fmt.Sprintf("book backup %s %s", x.Name, x.Word(filepath.Join(filepath.Dir(x.Path), fmt.Sprintf("%s.copy", x.Day))))
	newest := book.Copy{}
	for _, c := range a.Copies {
		if c.Steps > newest.Steps {
			newest = c
		}
	}
	switch {
	case len(a.Copies) == 0:
		x.find("book", next, "no copy of the book lies in its folder; without one elsewhere it goes with the disk")
	case newest.Steps < a.Steps && x.ago(newest.Until, daysCopy):
		x.find("book", next, "the newest copy of the book in its folder, %s, ends on %s: %s were made since", newest.Path, x.date(newest.Until),
			text.Count(int(a.Steps-newest.Steps), "step", "steps"))
	}
}

// orders looks at orders that were not sent, or have not come.
func (x *Shop) orders(ctx context.Context, b *book.Book) error {
	all, err := b.Purchases(ctx, true)
	if err != nil {
		return err
	}
	for _, o := range all {
		switch {
		case o.Open:
			x.find("orders", fmt.Sprintf("order send %s %d", x.Name, o.ID), "order %d to %s is not sent yet", o.ID, o.Supplier).Of = fmt.Sprint(o.ID)
		case o.ShouldCome != "" && o.ShouldCome < x.Day:
			x.find("orders", fmt.Sprintf("receive %s %d", x.Name, o.ID), "order %d from %s was expected on %s and has not come", o.ID, o.Supplier, x.date(o.ShouldCome)).Of = fmt.Sprint(o.ID)
		}
	}
	return nil
}

// runs looks at runs that were left open.
func (x *Shop) runs(ctx context.Context, b *book.Book) error {
	open, err := b.OpenRuns(ctx)
	if err != nil {
		return err
	}
	for _, r := range open {
		if began := localDay(r.Started); x.ago(began, daysRun) {
			x.find("runs", fmt.Sprintf("finish %s %d", x.Name, r.ID), "run %d of %s is open since %s: its sticks are in hand, and its offcuts are on no rack", r.ID, r.Profile, x.date(began)).Of = fmt.Sprint(r.ID)
		}
	}
	return nil
}

// localDay gives the day of a step by this computer's clock.
func localDay(at string) string {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at // a day already
	}
	return t.Local().Format(time.DateOnly)
}

// unplanned looks for jobs that are due soon and in no plan that can still be cut.
func (x *Shop) unplanned(ctx context.Context, b *book.Book) error {
	planned := map[string]bool{}
	if _, d, err := b.Standing(ctx); err != nil {
		return err
	} else if d != nil {
		for _, pp := range d.Profiles {
			for _, s := range pp.Sticks {
				for _, side := range s.Sides {
					planned[side.Job] = true
				}
			}
		}
	}
	if d, _, err := b.Plan(ctx, 0); err == nil {
		for _, pp := range d.Profiles {
			for _, s := range pp.Sticks {
				for _, side := range s.Sides {
					planned[side.Job] = true
				}
			}
		}
	}
	var soon []string
	for _, j := range x.w.Jobs {
		if due := j.Due.String(); due != "" && due >= x.Day && !x.later(j.Due) && !planned[j.ID] {
			soon = append(soon, j.ID)
		}
	}
	if len(soon) > 0 {
		x.find("jobs", "plan "+x.Name, "%s: due within %d days and in no plan", few(soon, "job", "jobs"), daysSoon)
	}
	return nil
}

// later tells whether a day is more than daysSoon off.
func (x *Shop) later(day model.Date) bool {
	now, err := model.ParseDate(x.Day)
	return err != nil || day.After(now.AddDate(0, 0, daysSoon))
}
