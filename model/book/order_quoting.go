package book

import (
	"context"
	"errors"
	"slices"
	"strconv"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// Ordered is a line of an order as far as none of its sticks has been used: those on the rack, and those that are to come.
type Ordered struct {
	Supplier string
	Profile  string
	Length   model.Length // of one stick
	Each     model.Money  // what one was ordered at, rounded up
	Cost     model.Money  // of those sticks, with their part of the delivery
	Sent     bool         // to the supplier; until then it can be changed
}

// ForQuotation gives what Rest does for the quotation of a job: as if nothing were ordered by the plans that the job is in, and nothing had come of it. So
// what the job adds to the plan is the same before and after it is ordered for. What was ordered by other plans counts as it stands: a job that came in
// later is to add what is still to be spent for it. It also gives the lines that do not count.
func (b *Book) ForQuotation(ctx context.Context, job string) (w *model.Workshop, lines []Ordered, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if t.unordered, err = t.orderedFor(job); err != nil {
			return err
		}
		t.quoting = true
		if lines, err = t.unusedLines(); err != nil {
			return err
		}
		w, _, err = t.rest()
		return err
	})
	return w, lines, err
}

// OfferAgain puts what was ordered on offer at what it was ordered at, where its supplier offers it no longer on a day: it could not be reckoned with
// otherwise.
func OfferAgain(w *model.Workshop, on model.Date, lines []Ordered) {
	for _, l := range lines {
		if !slices.ContainsFunc(w.OffersOf(l.Profile, on), func(o model.Offer) bool {
			return o.Supplier == l.Supplier && o.Length <= l.Length && max(o.Length, o.Longest) >= l.Length
		}) {
			w.Offers = append(slices.Clone(w.Offers), model.Offer{Supplier: l.Supplier, Profile: l.Profile, Length: l.Length, Price: l.Each})
		}
	}
}

// orderedFor gives the plans that a job is in and of which sticks are ordered that were not used yet.
func (t *transaction) orderedFor(job string) (plans []int64, err error) {
	orders, err := t.unusedOrders()
	if err != nil {
		return nil, err
	}
	seen := map[int64]bool{0: true}
	for _, p := range orders {
		for _, l := range p.Lines {
			if seen[l.Plan] {
				continue
			}
			seen[l.Plan] = true
			d, _, err := t.plan(l.Plan)
			if _, said := errors.AsType[*model.Error](err); err != nil && !said {
				return nil, err
			}
			if d != nil && slices.ContainsFunc(d.Jobs, func(c plan.JobCost) bool { return c.Job == job }) {
				plans = append(plans, l.Plan)
			}
		}
	}
	return plans, nil
}

// unusedOrders gives the orders of which sticks are to come or on the rack.
func (t *transaction) unusedOrders() ([]Purchase, error) {
	return t.purchases(`state = 'placed' OR id IN (SELECT d.purchase FROM stick AS s JOIN delivery AS d ON d.id = s.delivery WHERE s.state = 'rack')`)
}

// unused is how many sticks of a line are to come or on the rack.
func (t *transaction) unused(p Purchase, l PurchaseLine) (sticks int, err error) {
	err = t.row("SELECT count(*) FROM stick AS s JOIN delivery AS d ON d.id = s.delivery WHERE s.state = 'rack' AND d.purchase = ? AND s.line = ?",
		p.ID, l.Number).Scan(&sticks)
	if p.State == Placed {
		sticks += l.ToCome()
	}
	return sticks, err
}

// unusedLines gives the lines that do not count as ordered.
func (t *transaction) unusedLines() (lines []Ordered, err error) {
	orders, err := t.unusedOrders()
	if err != nil {
		return nil, err
	}
	for _, p := range orders {
		for _, l := range p.Lines {
			if !slices.Contains(t.unordered, l.Plan) || l.Sticks == 0 {
				continue
			}
			sticks, err := t.unused(p, l)
			if err != nil {
				return nil, err
			}
			if sticks = min(sticks, l.Sticks); sticks == 0 {
				continue
			}
			all := l.Cost + plan.Part(p.Delivery, model.Length(l.Cost), model.Length(p.goodsCost()))
			n, of := model.Money(sticks), model.Money(l.Sticks)
			lines = append(lines, Ordered{Supplier: p.Supplier, Profile: l.Profile, Length: l.Length, Each: (l.Cost + of - 1) / of,
				Cost: plan.Part(all, model.Length(n), model.Length(of)), Sent: !p.Open})
		}
	}
	return lines, nil
}

// joined gives the orders that what a plan buys goes into: those that are open, and for a quotation those too of which a part does not count. They were
// open when that part was ordered.
func (t *transaction) joined() ([]Purchase, error) {
	if !t.quoting || len(t.unordered) == 0 {
		return t.purchases("state = ? AND open", Placed)
	}
	return t.purchases(`state = 'placed' AND open OR state <> 'cancelled' AND id IN (SELECT o.id FROM purchase AS o JOIN purchase_line AS l ON l.purchase = o.id
		WHERE coalesce(l.plan, o.plan) IN (` + numbers(t.unordered) + `))`)
}

// kept gives what counts as ordered of an order: the lines that count, and for a quotation what was used already of the others, since its delivery is paid.
func (t *transaction) kept(p Purchase) ([]PurchaseLine, error) {
	lines := t.counted(p)
	for _, l := range p.Lines {
		if !t.quoting || !slices.Contains(t.unordered, l.Plan) {
			continue
		}
		unused, err := t.unused(p, l)
		if err != nil {
			return nil, err
		}
		if used := l.Sticks - l.Gone - unused; used > 0 {
			l.Cost = plan.Part(l.Cost, model.Length(used), model.Length(l.Sticks))
			l.Sticks = used
			lines = append(lines, l)
		}
	}
	return lines, nil
}

// numbers writes numbers as a list for a query.
func numbers(list []int64) string {
	var out []string
	for _, n := range list {
		out = append(out, strconv.FormatInt(n, 10))
	}
	return strings.Join(out, ", ")
}
