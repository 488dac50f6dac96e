package text

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"longpoint/model"
	"longpoint/model/book"
	"longpoint/model/plan"
	"longpoint/model/planner"
	"longpoint/model/quote"
)

// BladeCaution stands under everything about blades.
const BladeCaution = "Caution: guillotine and saw blades cut to the bone even when the machine stands still. Lock the machine and, if it has " +
	"power, unplug it; wear cut-proof gloves; carry and store blades in their guards; change and set them only as the machine's manual says, and " +
	"leave it to trained people where local codes ask for that."

// Count gives "1 side" or "3 sides".
func Count(n int, one, several string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, several)
}

// JoinAnd gives "a", "a and b" or "a, b and c".
func JoinAnd(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// LocalTime gives a time of the book's as a day, as the shop writes days, and an hour by this computer's clock.
func LocalTime(at string, dates model.DateOrder) (day, clock string) {
	t, err := time.Parse(time.RFC3339, at)
	if err != nil {
		return at, ""
	}
	return t.Local().Format("Monday ") + dates.Write(model.Date{Time: t.Local()}), t.Local().Format("15:04")
}

// Step says which step one is, whose and what it did.
func Step(s book.Step, dates model.DateOrder) string {
	day, clock := LocalTime(s.At, dates)
	_, day, _ = strings.Cut(day, " ")
	return fmt.Sprintf("step %d, by %s on %s at %s: %s", s.ID, s.Who, day, clock, s.What)
}

// TookIn says what jobs are that were taken in: how many frames, from which size to which, and when they are due.
func TookIn(jobs []model.Job, unit model.Unit, dates model.DateOrder) string {
	frames := 0
	var sizes []model.Size
	var due []model.Date
	for _, j := range jobs {
		if !j.Due.IsZero() {
			due = append(due, j.Due)
		}
		for _, f := range j.Frames {
			frames += f.Quantity
			if s := f.Rings[0].Size; s.Height > 0 {
				sizes = append(sizes, s)
			}
		}
	}
	said := Count(frames, "frame", "frames")
	slices.SortStableFunc(sizes, func(a, b model.Size) int { return cmp.Compare(a.Width+a.Height, b.Width+b.Height) })
	said += between(", ", len(sizes), func(i int) string { return sizes[i].Width.Bare(unit) + " × " + sizes[i].Height.In(unit) })
	slices.SortFunc(due, func(a, b model.Date) int { return a.Compare(b.Time) })
	return said + between(", due ", len(due), func(i int) string { return dates.Write(due[i]) }) + "."
}

// between says from which to which some things go that are in order; nothing where there are none.
func between(lead string, n int, name func(int) string) string {
	switch {
	case n == 0:
		return ""
	case name(0) == name(n-1):
		return lead + name(0)
	}
	return lead + "from " + name(0) + " to " + name(n-1)
}

// QuotedFor says what the ways of a quotation are for where sides of the job are cut already; nothing where none is.
func QuotedFor(q *quote.Quotation) (said string) {
	if q.Cut > 0 {
		said = fmt.Sprintf("Of the %s %d are cut or in a run: \"what the job adds\" is for the %d that are left, and the other ways are for all %d.",
			Count(q.Sides, "side", "sides"), q.Cut, q.Sides-q.Cut, q.Sides)
	}
	if q.Gone > 0 {
		said = strings.TrimSpace(said + fmt.Sprintf(" %s of the job, of frames that are wholly cut or in a run, %s in none of the ways.",
			Count(q.Gone, "more side", "more sides"), map[bool]string{true: "is", false: "are"}[q.Gone == 1]))
	}
	return said
}

// Unspent says what the marginal cost is to the shop.
func Unspent(m quote.Marginal) string {
	if m.Ordered > 0 {
		return "what you would not have spent, had you said no before you ordered"
	}
	return "what you do not spend if you say no"
}

// JobAdds says what of what a job adds is for what, a sentence each: wood that is ordered for it, and delivery.
func JobAdds(m quote.Marginal, c model.Currency) (said []string) {
	if m.Ordered > 0 {
		said = append(said, "Of its mouldings sticks for "+m.Ordered.With(c)+", delivery included, are ordered for it and the jobs planned with it. They count as if they were still to be bought, at today's prices.")
	}
	switch unsent := m.Ordered - m.Sent; {
	case m.Sent > 0 && unsent > 0:
		said = append(said, m.Sent.With(c)+" of that is sent or here, and to be paid even if you say no; the rest is not sent and can still be changed.")
	case m.Sent > 0:
		said = append(said, "That is sent or here, and to be paid even if you say no: what no other job needs then stays on your rack.")
	case unsent > 0:
		said = append(said, "The order is not sent and can still be changed.")
	}
	switch {
	case m.Delivery > 0:
		said = append(said, m.Delivery.With(c)+" of what the job adds is delivery.")
	case m.Delivery < 0:
		said = append(said, "With the job an order is large enough to be delivered for "+(-m.Delivery).With(c)+" less, which is in it.")
	}
	switch {
	case m.NoJob > 0:
		said = append(said, m.NoJob.With(c)+" of it is for sticks that no job needs, bought to fill up an order or a bundle: their price less their worth on the rack.")
	case m.NoJob < 0:
		said = append(said, "With the job "+(-m.NoJob).With(c)+" less goes into sticks that no job needs and that fill up an order or a bundle, which is in it.")
	}
	return said
}

// noWorth says why sides have no worth.
var noWorth = map[string]string{
	quote.Together: "suppliers' terms bind profiles, which are planned together, so that no proof prices one profile's sides. Charge by 3 or 4",
	quote.ByLot:    "frames are matched by lot, and what a side is worth hangs on the lot. Charge by 3 or 4",
	quote.Absent:   "the plan has none",
}

// NoWorth says of which of a job's sides the proof gives no worth, and why, a sentence each. The ways are called by their numbers in the quotation.
func NoWorth(q *quote.Quotation) (said []string) {
	longer := q.DualValue.None
	var without []string
	for _, why := range []string{quote.Together, quote.ByLot, quote.Absent} {
		var names []string
		for _, p := range q.Profiles {
			if p.NoDualValue == why {
				longer -= p.Sides
				names = append(names, p.Name)
			}
		}
		if len(names) > 0 {
			without = append(without, fmt.Sprintf("Sides of %s have no worth: %s.", JoinAnd(names), noWorth[why]))
		}
	}
	if longer > 0 {
		said = append(said, fmt.Sprintf("It says nothing of %s, which are not in it.", Count(longer, "longer side", "longer sides")))
	}
	said = append(said, without...)
	if len(without) > 0 && q.DualValue.None < q.Sides {
		said = append(said, "They are not in the figure.")
	}
	return said
}

// OnTheWay says how many of the sticks that a plan counts as from the rack are still to come; "" where all are here.
func OnTheWay(d *plan.Document) string {
	n := 0
	for i := range d.Profiles {
		n += d.Profiles[i].OnTheWay()
	}
	switch n {
	case 0:
		return ""
	case 1:
		return "Of those from the rack 1 is still to come."
	}
	return fmt.Sprintf("Of those from the rack %d are still to come.", n)
}

// ForNoJob says what of a buy list no job needs; "" where all of it is for jobs.
func ForNoJob(lines []plan.Purchase, c model.Currency) string {
	var all model.Money
	var suppliers []string
	sticks := 0
	for _, l := range lines {
		n, cost := l.NoJob()
		if n > 0 && !slices.Contains(suppliers, l.Supplier) {
			suppliers = append(suppliers, l.Supplier)
		}
		sticks, all = sticks+n, all+cost
	}
	if sticks == 0 {
		return ""
	}
	are, they, fill, goes := "are", "they", "fill", "go"
	if sticks == 1 {
		are, they, fill, goes = "is", "it", "fills", "goes"
	}
	return fmt.Sprintf("Of that %s %s for no job, %s: %s %s up an order or a bundle of %s, and %s on the rack.",
		Count(sticks, "stick", "sticks"), are, all.With(c), they, fill, JoinAnd(suppliers), goes)
}

// Copied says which copy of a book is the newest that is known, and how much was done since.
func Copied(a book.Ages, dates model.DateOrder) string {
	newest := book.Copy{Steps: -1}
	for _, c := range a.Copies {
		if c.Steps > newest.Steps {
			newest = c
		}
	}
	switch since := a.Steps - newest.Steps; {
	case len(a.Copies) == 0:
		return "No copy of the book is known: neither in its folder nor where it is backed up by itself. Send one now and keep it elsewhere; without one the book goes with the disk"
	case since <= 0:
		return "The newest copy that is known, " + filepath.Base(newest.Path) + ", has all that was done in the book; it was checked when it was made"
	default:
		return fmt.Sprintf("The newest copy that is known, %s, goes up to %s and was checked when it was made; %s not in it. Send a new one when that is more than you would do again",
			filepath.Base(newest.Path), dates.Rewrite(newest.Until), Count(int(since), "later step is", "later steps are"))
	}
}

// JustUndone says of the very last step that it has taken one back, or nothing.
func JustUndone(standing, last book.Step) string {
	if last.ID == standing.ID {
		return ""
	}
	return fmt.Sprintf("step %d has just been taken back, by %s", last.Undoes, last.Who)
}

// UndoQuestion asks whether a step is to be taken back; last is the very last step, which may have taken back another.
func UndoQuestion(standing, last book.Step, dates model.DateOrder) string {
	just := JustUndone(standing, last)
	if just == "" {
		return "Take back " + Step(standing, dates) + "?"
	}
	return strings.ToUpper(just[:1]) + just[1:] + ". Take back as well " + Step(standing, dates) + "?"
}

// Lacks says what an open order is short of: of what its supplier asks, and of a free delivery.
func Lacks(o book.ShortOrder, c model.Currency) (said []string) {
	var parts []string
	if o.Money > 0 {
		parts = append(parts, o.Money.With(c))
	}
	if o.Sticks > 0 {
		parts = append(parts, Count(o.Sticks, "stick", "sticks"))
	}
	if len(parts) > 0 {
		said = append(said, fmt.Sprintf("Order %d lacks %s of what %s asks of one. Add to it, or let the next plan: what a plan buys goes into the open order.",
			o.Order, JoinAnd(parts), o.Supplier))
	}
	if o.ToFree > 0 {
		said = append(said, fmt.Sprintf("Order %d lacks %s to be delivered free: its delivery costs %s.", o.Order, o.ToFree.With(c), o.Delivery.With(c)))
	}
	return said
}

// ToFree says what an order in a plan lacks of a free delivery, or that it is free; empty: its supplier says nothing of that.
func ToFree(o plan.Order, c model.Currency) string {
	switch {
	case o.FreeFrom == 0:
		return ""
	case o.Delivery > 0:
		return fmt.Sprintf("From %s on %s delivers free: that is %s more.", o.FreeFrom.With(c), o.Supplier, (o.FreeFrom - o.Cost).With(c))
	}
	return fmt.Sprintf("Its delivery is free, as %s delivers free from %s on.", o.Supplier, o.FreeFrom.With(c))
}

// JobCosts says what is in a job's cost.
func JobCosts(d *plan.Document) string {
	c := model.Currency{Code: d.Currency.Code, Decimals: d.Currency.Decimals}
	said := "A job's cost is its part of its mouldings' costs, by the length of stick that its sides take"
	if delivery := d.Total.Figures.Delivery; delivery > 0 {
		said += fmt.Sprintf(". Delivery, %s, is in it", delivery.With(c))
	}
	if more := d.Shared() - d.Total.Figures.Cost; more > 0 {
		said += fmt.Sprintf(". Sticks bought for jobs that are still open count as what was paid for them and for their delivery: %s more than they are worth on the rack", more.With(c))
	}
	return said + "."
}

// Saving says what planning saved against first-fit, or why that cannot be said.
func Saving(d *plan.Document) string {
	c := model.Currency{Code: d.Currency.Code, Decimals: d.Currency.Decimals}
	f, ff := d.Total.Figures, d.Total.FirstFit
	if !ff.Complete && ff.LeftOver == 0 {
		return "First-fit does not come to what a supplier asks of an order, so the two cannot be compared."
	}
	if !ff.Complete {
		return fmt.Sprintf("First-fit finds no stick for %s, so the two cannot be compared.", Count(ff.LeftOver, "side", "sides"))
	}
	saved := ff.Figures.Cost - f.Cost
	if saved <= 0 {
		return "Here planning saves no money over first-fit."
	}
	if 2*(ff.Figures.Spare-f.Spare) > saved { // most of it is in what first-fit must buy and cuts nothing from
		return fmt.Sprintf("Planning saves %s. First-fit orders sticks that it cuts nothing from, for a bundle is not broken or a supplier asks for more; "+
			"so this is not what planning saves every week.", saved.With(c))
	}
	said := fmt.Sprintf("Planning saves %s: %.1f %% of what first-fit costs.", saved.With(c), 100*float64(saved)/float64(ff.Figures.Cost))
	if ff.Figures.Spare > f.Spare {
		said += fmt.Sprintf(" First-fit pays by the same rules, whole bundles and least orders included, but takes the cheapest price by length without asking what of a bundle "+
			"is left over: sticks worth %s on the rack, and %s in this plan. A part of the saving lies in that.", ff.Figures.Spare.With(c), f.Spare.With(c))
	}
	return said
}

// Gap gives a gap in per cent of the cost, rounded up, so that only no gap at all reads as none.
func Gap(gap, cost model.Money) string {
	if gap <= 0 || cost <= 0 {
		return "none"
	}
	return fmt.Sprintf("%.2f %%", math.Ceil(float64(gap)/float64(cost)*1e4)/1e2)
}

// grades says what each grade means.
var grades = map[plan.Grade]string{
	plan.Proven:   "The cost is proven: no plan for these jobs and sticks costs less, and the independent checker has seen the proof.",
	plan.Searched: "The search found that no plan costs less, and part of that is without a proof that the checker could see.",
	plan.Open:     "The search was stopped: the plan can be cut as it is, and a cheaper one may exist.",
}

// Grade says in a sentence or two what a plan's grade means.
func Grade(d *plan.Document) string {
	t := d.Total
	means := grades[t.Grade]
	if t.Grade == plan.Proven {
		return means
	}
	c := model.Currency{Code: d.Currency.Code, Decimals: d.Currency.Decimals}
	return means + fmt.Sprintf(" What is proven: no plan costs less than %s, which is %s below this one.", t.Bound.With(c), t.Gap.With(c))
}

// Leaves takes an error apart into errors a person can act on. What is not one is a fault of ours.
func Leaves(err error) []*model.Error {
	if e, ok := err.(*model.Error); ok {
		return []*model.Error{e}
	}
	if several, ok := err.(interface{ Unwrap() []error }); ok && len(several.Unwrap()) > 0 {
		var out []*model.Error
		for _, e := range several.Unwrap() {
			out = append(out, Leaves(e)...)
		}
		return out
	}
	if _, ok := errors.AsType[*model.Error](err); ok && errors.Unwrap(err) != nil {
		return Leaves(errors.Unwrap(err))
	}
	return []*model.Error{{
		Kind: model.Fault,
		What: "a fault of ours",
		Err:  err,
		Do:   "please report this line together with the command you typed",
	}}
}

// WhatItIs says what there is to know of a stick in a few words.
func WhatItIs(s book.RackStick) string {
	what := []string{}
	if s.Offcut {
		what = append(what, "offcut")
	}
	if s.State == "run" {
		what = append(what, "in a run")
	}
	if len(s.Damage) > 0 {
		what = append(what, "damaged")
	}
	if s.Lot != "" {
		what = append(what, "lot "+s.Lot)
	}
	return strings.Join(what, ", ")
}

// NextBest says what a next-best choice costs more.
func NextBest(n planner.NextBest, c model.Currency) string {
	switch {
	case n.Unknown:
		return "not known"
	case !n.Possible:
		return "none"
	case n.Grade != plan.Proven:
		return "≤ +" + n.More.In(c)
	}
	return "+" + n.More.In(c)
}
