package book

import (
	"context"

	"longpoint/model"
	"longpoint/model/runs"
)

// WholeCosts gives what the moulding of each job comes to that is open or ready, where all of it is known: what its sides have that are cut, its part of what is
// left of the runs that are open, and its shares of the last plan for what no run has begun, as long as that plan is not out of date.
func (b *Book) WholeCosts(ctx context.Context) (map[string]model.Money, error) {
	return look(ctx, b, func(t *transaction) (map[string]model.Money, error) {
		jobs, err := t.jobStates("j.state IN ('open', 'ready')")
		if err != nil {
			return nil, err
		}
		whole, left := map[string]model.Money{}, map[string]int{}
		for _, j := range jobs {
			whole[j.Name], left[j.Name] = j.Cost, j.Sides-j.Cut
		}
		err = t.eachOpenRun(func(r runs.Run) error {
			for name := range left {
				in, err := t.jobRun(r, name)
				if err != nil {
					return err
				}
				whole[name] += max(0, in.Share-in.Charged)
				left[name] -= in.Sides - in.Cut
			}
			return nil
		})
		if err == nil {
			err = t.addPlanned(whole, left)
		}
		for name, sides := range left {
			if sides != 0 {
				delete(whole, name)
			}
		}
		return whole, err
	})
}

// addPlanned adds the jobs' shares of the last plan for the profiles of which no run has begun by it, and takes their sides off those that are left.
func (t *transaction) addPlanned(whole map[string]model.Money, left map[string]int) error {
	var id int64
	if found, err := t.one("SELECT id FROM plan WHERE rest_of IS NULL ORDER BY id DESC LIMIT 1", nil, &id); err != nil || !found {
		return err
	}
	d, _, err := t.plan(id)
	if err != nil {
		return err
	}
	news, err := t.since(d, id)
	if err != nil {
		return err
	}
	for _, n := range news {
		if n.Cut || n.Buy {
			return nil
		}
	}
	begun := map[string]bool{}
	if err := t.each("SELECT profile FROM run WHERE plan = ? AND "+hasBegun, []any{id}, func(scan func(...any) error) error {
		var name string
		defer func() { begun[name] = true }()
		return scan(&name)
	}); err != nil {
		return err
	}
	for _, p := range d.Profiles {
		for _, share := range p.Jobs {
			if _, open := left[share.Job]; open && !begun[p.Name] {
				whole[share.Job] += share.Cost
				left[share.Job] -= share.Sides
			}
		}
	}
	return nil
}
