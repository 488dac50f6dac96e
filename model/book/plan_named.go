package book

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// Named gives a plan (0: the last) with its sticks under the names that they have, or will have when they are here: those that it buys are called by
// their order once that is sent, and cannot be changed any more. It is for paper only. Where of an order for it nothing does that is here or to come, the plan is of no use any more.
func (b *Book) Named(ctx context.Context, planID int64) (d *plan.Document, err error) {
	err = b.read(ctx, func(t *transaction) error {
		was, id, err := t.plan(planID)
		if err != nil {
			return err
		}
		named := *was
		named.Profiles = slices.Clone(was.Profiles)
		for i := range named.Profiles {
			if err := t.nameSticks(&named.Profiles[i], id); err != nil {
				return err
			}
		}
		d = &named
		return nil
	})
	return d, err
}

// nameSticks names the sticks of a profile's plan.
func (t *transaction) nameSticks(p *plan.ProfilePlan, id int64) error {
	places := make([]int, len(p.Sticks))
	for i := range places {
		places[i] = i
	}
	f, err := t.sticksFor(*p, id, places, true)
	if err != nil {
		return err
	}
	p.Sticks = slices.Clone(p.Sticks)
	for i, have := range f.sticks {
		s := &p.Sticks[i]
		if s.From != plan.Bought || have.unsent {
			continue
		}
		switch {
		case have.Name == "":
			if lost, err := t.notAsOrdered(*p, *s, id); err != nil || lost {
				return cmp.Or(err, error(&model.Error{Kind: model.CheckFailed, Where: model.Place{File: t.book.path},
					What: fmt.Sprintf("%s of plan %d, %s long, does not come as it was ordered: nothing that is here or to come does for it", s.ID, id, t.in(s.Length)), Do: planAgain}))
			}
		case have.toCome:
			s.ID, s.From, s.Order, s.Expected, s.Longest = have.Name, plan.OnTheWay, fmt.Sprint(have.order), have.expected, 0
		default:
			s.ID, s.From, s.Place, s.Lot, s.Longest = have.Name, plan.FromRack, have.Place, have.Lot, 0
		}
	}
	return nil
}

// notAsOrdered tells of a stick for which nothing is here or to come whether it was ordered, and no run has taken it.
func (t *transaction) notAsOrdered(p plan.ProfilePlan, s plan.Stick, id int64) (lost bool, err error) {
	err = t.row(`SELECT EXISTS (SELECT 1 FROM purchase_line AS l JOIN purchase AS o ON o.id = l.purchase
			WHERE coalesce(l.plan, o.plan) = ?1 AND l.profile = ?2 AND o.supplier = ?3 AND o.state <> 'cancelled')
		AND NOT EXISTS (SELECT 1 FROM run WHERE plan = ?1 AND profile = ?2 AND `+hasBegun+`)`, id, p.Name, s.Supplier).Scan(&lost)
	return lost, err
}
