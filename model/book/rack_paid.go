package book

import (
	"errors"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// readPaid says of the sticks of the rack, here and on the way, what was paid for each, where it was bought by a plan for jobs of which sides of its
// profile are still to be cut: its part of its order's line, and of what the supplier charges for delivery, so that the parts add up. What is left over of an order once
// its jobs are cut is the rack's like any other stick. Where the plan cannot be read nothing is said.
func (t *transaction) readPaid(w *model.Workshop) error {
	type line struct{ order, number int64 }
	of := map[string]line{}
	if err := t.each(`SELECT s.name, d.purchase, s.line FROM stick AS s JOIN delivery AS d ON d.id = s.delivery WHERE s.state = 'rack' AND s.line IS NOT NULL`, nil, func(scan func(...any) error) error {
		var name string
		var l line
		err := scan(&name, &l.order, &l.number)
		of[name] = l
		return err
	}); err != nil {
		return err
	}
	orders, err := t.purchases(`state = 'placed' OR id IN (SELECT d.purchase FROM stick AS s JOIN delivery AS d ON d.id = s.delivery WHERE s.state = 'rack')`)
	if err != nil {
		return err
	}
	paid, onTop, wanted, plans := map[string]model.Money{}, map[line]model.Money{}, wantedProfiles(w), map[int64]*plan.Document{}
	for _, p := range orders {
		delivery := p.deliveryShares()
		for i, l := range p.Lines {
			if l.Plan == 0 || l.Sticks == 0 {
				continue
			}
			d, read := plans[l.Plan]
			if !read {
				d, _, err = t.plan(l.Plan)
				if _, said := errors.AsType[*model.Error](err); err != nil && !said {
					return err
				}
				plans[l.Plan] = d
			}
			if d != nil && slices.ContainsFunc(d.Buy, func(b plan.Purchase) bool {
				return b.Supplier == p.Supplier && b.Profile == l.Profile && slices.ContainsFunc(b.Jobs, func(job string) bool { return wanted[[2]string{job, l.Profile}] })
			}) {
				for n, part := range plan.Share(l.Cost+delivery[i], slices.Repeat([]model.Length{1}, l.Sticks)) {
					paid[p.stickName(l, n)] = part
					onTop[line{p.ID, int64(l.Number)}] = part // of one beyond what was ordered, as of the last
				}
			}
		}
	}
	for i := range w.Rack {
		s := &w.Rack[i]
		if s.Offcut {
			continue
		}
		there := false
		if s.Paid, there = paid[s.ID]; !there {
			s.Paid = onTop[of[s.ID]]
		}
	}
	return nil
}

// deliveryShares splits what the supplier charges for delivery over the lines of an order, by what they cost.
func (p Purchase) deliveryShares() []model.Money {
	costs := make([]model.Length, len(p.Lines))
	for i, l := range p.Lines {
		costs[i] = model.Length(l.Cost)
	}
	return plan.Share(p.Delivery, costs)
}

// wantedProfiles tells of which profiles sides of a job are still to be cut, by the names of both.
func wantedProfiles(w *model.Workshop) map[[2]string]bool {
	wanted := map[[2]string]bool{}
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			for _, r := range f.Rings {
				wanted[[2]string{j.ID, r.Profile}] = true
			}
		}
	}
	return wanted
}
