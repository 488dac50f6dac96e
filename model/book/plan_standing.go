package book

import (
	"context"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
)

// Standing gives the shop as Rest does, and what of its last plan is marked out and not in a run yet: as a plan of that shop, with the sticks
// that have come under their own names. There is none where nothing of that plan was ordered or cut, for then nobody relies on it. A
// stick that is not as the plan has it any more, or of which a side is not wanted as it is, is left out.
func (b *Book) Standing(ctx context.Context) (w *model.Workshop, marked *plan.Document, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if w, _, err = t.rest(); err != nil {
			return err
		}
		var id int64
		found, err := t.one(`SELECT id FROM plan AS p WHERE rest_of IS NULL AND (EXISTS (SELECT 1 FROM run WHERE plan = p.id)
			OR EXISTS (SELECT 1 FROM purchase_line AS l JOIN purchase AS o ON o.id = l.purchase WHERE coalesce(l.plan, o.plan) = p.id))
			ORDER BY id DESC LIMIT 1`, nil, &id)
		if err != nil || !found {
			return err
		}
		marked, err = t.standing(w, id)
		return err
	})
	return w, marked, err
}

// standing makes a plan of this shop of what is left of a plan.
func (t *transaction) standing(w *model.Workshop, id int64) (*plan.Document, error) {
	was, _, err := t.plan(id)
	if err != nil {
		return nil, err
	}
	wanted, err := t.wanted()
	if err != nil {
		return nil, err
	}
	uncut := map[model.SideID]bool{}
	for _, j := range w.Jobs {
		all := map[model.SideID]model.Length{}
		if err := sidesOf(j, w, all); err != nil {
			return nil, err
		}
		for _, f := range j.Frames {
			for _, s := range f.Cut {
				delete(all, s)
			}
		}
		for s := range all {
			uncut[s] = true
		}
	}
	d := &plan.Document{Format: plan.Format, Workshop: w.Name, Unit: was.Unit, Currency: was.Currency, Buy: []plan.Purchase{}, Orders: []plan.Order{}}
	for _, one := range was.Profiles {
		by, err := t.runPlan(id, one.Name)
		if err != nil {
			return nil, err
		}
		names, err := t.nowCalled(by)
		if err != nil {
			return nil, err
		}
		p := by.Marked(w, names, func(s plan.Side) bool { return uncut[s.SideID] && wanted[s.SideID] == s.LongPoint })
		if len(p.Sticks) > 0 {
			d.Profiles = append(d.Profiles, p)
		}
	}
	if len(d.Profiles) == 0 {
		return nil, nil
	}
	return d, nil
}

// nowCalled gives the names of a plan's sticks as they are now, on the rack or on the way there; none for those that are not as the plan has them.
func (t *transaction) nowCalled(by *runs.Plan) ([]string, error) {
	places := make([]int, len(by.Sticks))
	for i := range places {
		places[i] = i
	}
	names := make([]string, len(by.Sticks))
	f, err := t.sticksFor(by.ProfilePlan, by.ID, places, true)
	if err != nil {
		return nil, err
	}
	for i, have := range f.sticks {
		if s := by.Sticks[i]; s.From != plan.FromRack || slices.Equal(have.Damage, s.Damage) {
			names[i] = have.Name
		}
	}
	return names, nil
}
