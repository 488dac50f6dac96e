package book

import (
	"errors"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// readPaid says of the sticks of the rack, here and on the way, what was paid for each, where it was bought by a plan for jobs of which sides of its
// profile are still to be cut: its part of its order's line, and of what the supplier charges for delivery. What is left over of an order once
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
	paid, wanted, plans := map[line]model.Money{}, wantedProfiles(w), map[int64]*plan.Document{}
	for _, p := range orders {
		all := p.goodsCost()
		for _, l := range p.Lines {
			at := line{p.ID, int64(l.Number)}
			for n := range l.ToCome() {
				of[p.stickName(l, l.came()+n)] = at
			}
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
				cost := l.Cost + share(p.Delivery, model.Length(l.Cost), model.Length(all))
				paid[at] = (cost + model.Money(l.Sticks)/2) / model.Money(l.Sticks)
			}
		}
	}
	for i := range w.Rack {
		if s := &w.Rack[i]; !s.Offcut {
			s.Paid = paid[of[s.ID]]
		}
	}
	return nil
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
