package book

import (
	"fmt"
	"slices"

	"longpoint/model/plan"
	"longpoint/model/runs"
)

// fillWaiting finds the sticks of an open run's plan that are not in hand, and what is to be cut from them.
func (t *transaction) fillWaiting(r *runs.Run) error {
	if r.State != "open" {
		return nil
	}
	by, err := t.runPlan(r.Now(), r.Profile)
	if err != nil {
		return err
	}
	for i, s := range by.Sticks {
		if slices.ContainsFunc(r.Sticks, func(h runs.Stick) bool { return h.By.ID == by.ID && h.Of == i+1 }) {
			continue
		}
		a := runs.Awaited{Stick: s.ID, Length: s.Length, Supplier: s.Supplier, Of: i + 1}
		for n, side := range s.Sides {
			if in, err := t.doneIn(side.SideID); err != nil {
				return err
			} else if in == 0 {
				a.Sides = append(a.Sides, by.Side(n+1, side, runs.Waits))
			}
		}
		if len(a.Sides) > 0 {
			r.Waiting = append(r.Waiting, a)
		}
	}
	if len(r.Waiting) == 0 {
		return nil
	}
	places := make([]int, len(r.Waiting))
	for n, a := range r.Waiting {
		places[n] = a.Of - 1
	}
	f, err := t.sticksFor(by.ProfilePlan, by.ID, places, true)
	if err != nil {
		return err
	}
	for n, s := range f.sticks {
		a := &r.Waiting[n]
		if s.Name != "" {
			a.Stick, a.Length, a.Order, a.Expected, a.Here, a.Unsent = s.Name, s.Length, s.order, s.expected, !s.toCome, s.unsent
			continue
		}
		if err := t.row(`SELECT ? OR EXISTS (SELECT 1 FROM purchase_line AS l JOIN purchase AS o ON o.id = l.purchase
			WHERE coalesce(l.plan, o.plan) = ? AND l.profile = ? AND o.supplier = ?)`, by.Sticks[a.Of-1].From != plan.Bought, by.ID, r.Profile, a.Supplier).Scan(&a.Gone); err != nil {
			return err
		}
	}
	for _, g := range f.groups {
		if slices.ContainsFunc(g.places, func(n int) bool { return f.sticks[n].toCome }) {
			for _, n := range g.places {
				a := &r.Waiting[n]
				a.Together, a.Here = a.Here, false
			}
		}
	}
	return nil
}

// takeIn takes those sticks into an open run that it waits for and that are here, and gives their names.
func (t *transaction) takeIn(r runs.Run) (names []string, err error) {
	by, err := t.runPlan(r.Now(), r.Profile)
	if err != nil || len(r.Waiting) == 0 {
		return nil, err
	}
	places := make([]int, len(r.Waiting))
	for n, a := range r.Waiting {
		places[n] = a.Of - 1
	}
	f, err := t.sticksFor(by.ProfilePlan, by.ID, places, false)
	if err != nil {
		return nil, err
	}
	for n, s := range f.sticks {
		if s.Name != "" {
			names = append(names, s.Name)
			if err := t.join(r.ID, by, places[n], s.Name, t.step); err != nil {
				return nil, err
			}
		}
	}
	if len(names) == 0 {
		return nil, nil
	}
	t.tell("took %s into run %d", listed(names), r.ID)
	return names, t.nameOffcuts(r.ID)
}

// join takes a stick off the rack into a run, as a stick of a plan by its place there from 0. Its number in the run is that place counted
// from 1 or, where that is taken, the next.
func (t *transaction) join(run int64, by *runs.Plan, place int, stick string, marked int64) error {
	number := place + 1
	var taken bool
	var last int
	if err := t.row("SELECT EXISTS (SELECT 1 FROM run_stick WHERE run = ?1 AND number = ?2), (SELECT coalesce(max(number), 0) FROM run_stick WHERE run = ?1)",
		run, number).Scan(&taken, &last); err != nil {
		return err
	}
	if taken {
		number = last + 1
	}
	if _, err := t.insert("run_stick", "run", run, "number", number, "stick", stick, "head_nm", by.HeadTrim, "state", "open",
		"plan", by.ID, "planned", place+1, "marked", marked); err != nil {
		return err
	}
	_, err := t.exec("UPDATE stick SET state = 'run' WHERE name = ?", stick)
	return err
}

// reason says for whom a stick is awaited: "new 2, 3000 mm, of order 3, expected 2027-03-18".
func (t *transaction) reason(a runs.Awaited) string {
	text := fmt.Sprintf("%s, %s", a.Stick, t.in(a.Length))
	switch {
	case a.Here:
		return text + ", which is on the rack now"
	case a.Together:
		return text + ", which is here and is cut together with others that are not, for they are to be of one lot"
	case a.Gone:
		return text + ", and nothing that is here or to come does for it"
	case a.Order == 0:
		return text + ", not ordered yet"
	case a.Expected != "":
		return text + fmt.Sprintf(", of order %d, expected %s", a.Order, t.day(a.Expected))
	}
	return text + fmt.Sprintf(", of order %d", a.Order)
}
