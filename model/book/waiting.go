package book

import (
	"cmp"
	"fmt"
	"slices"

	"longpoint/model/plan"
)

// fillWaiting finds the sticks of an open run's plan that are not in hand, and what is to be cut from them.
func (t *transaction) fillWaiting(r *Run) error {
	if r.State != "open" {
		return nil
	}
	by, err := t.runPlan(r.now(), r.Profile)
	if err != nil {
		return err
	}
	for i, s := range by.Sticks {
		if slices.ContainsFunc(r.Sticks, func(h RunStick) bool { return h.by.id == by.id && h.of == i+1 }) {
			continue
		}
		a := Awaited{Stick: s.ID, Length: s.Length, Supplier: s.Supplier, of: i + 1}
		for n, side := range s.Sides {
			if in, err := t.doneIn(side.SideID); err != nil {
				return err
			} else if in == 0 {
				a.Sides = append(a.Sides, RunSide{n + 1, by.Run.Number(by.at[side.SideID].cut), side.SideID, side.LongPoint, Waits, side, by, 0})
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
		places[n] = a.of - 1
	}
	all, err := t.cameOf(r.Profile)
	if err != nil {
		return err
	}
	coming, err := t.comingOf(r.Profile)
	if err != nil {
		return err
	}
	here := len(all)
	all = append(all, coming...)
	for n, c := range assign(by.ProfilePlan, by.id, places, all) {
		a := &r.Waiting[n]
		if c >= 0 {
			a.Stick, a.Length, a.Order, a.Expected, a.Here = all[c].Name, all[c].Length, all[c].order, all[c].expected, c < here
			continue
		}
		if err := t.row(`SELECT ? OR EXISTS (SELECT 1 FROM purchase_line AS l JOIN purchase AS o ON o.id = l.purchase
			WHERE coalesce(l.plan, o.plan) = ? AND l.profile = ? AND o.supplier = ?)`, by.Sticks[a.of-1].From == plan.OnTheWay, by.id, r.Profile, a.Supplier).Scan(&a.Gone); err != nil {
			return err
		}
	}
	return nil
}

// comingOf gives the sticks of a profile that are ordered and not here yet.
func (t *transaction) comingOf(profile string) (coming []RackStick, err error) {
	open, err := t.purchases("state = ?", Placed)
	for _, p := range open {
		for _, l := range p.Lines {
			for n := range max(l.ToCome(), 0) {
				if l.Profile == profile {
					coming = append(coming, RackStick{Name: p.stickName(l, l.came()+n), Profile: profile, Length: l.Length, Supplier: p.Supplier,
						order: p.ID, plan: cmp.Or(l.Plan, p.Plan), expected: p.Expected})
				}
			}
		}
	}
	return coming, err
}

// takeIn takes those sticks into an open run that it waits for and that are here, and gives their names.
func (t *transaction) takeIn(r Run) (names []string, err error) {
	by, err := t.runPlan(r.now(), r.Profile)
	if err != nil || len(r.Waiting) == 0 {
		return nil, err
	}
	places := make([]int, len(r.Waiting))
	for n, a := range r.Waiting {
		places[n] = a.of - 1
	}
	came, err := t.cameOf(r.Profile)
	if err != nil {
		return nil, err
	}
	for n, c := range assign(by.ProfilePlan, by.id, places, came) {
		if c >= 0 {
			names = append(names, came[c].Name)
			if err := t.join(r.ID, by, places[n], came[c].Name, t.step); err != nil {
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
func (t *transaction) join(run int64, by *runPlan, place int, stick string, marked int64) error {
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
		"plan", by.id, "planned", place+1, "marked", marked); err != nil {
		return err
	}
	_, err := t.exec("UPDATE stick SET state = 'run' WHERE name = ?", stick)
	return err
}

// reason says for whom a stick is awaited: "new 2, 3000 mm, of order 3, expected 2027-03-18".
func (t *transaction) reason(a Awaited) string {
	text := fmt.Sprintf("%s, %s", a.Stick, t.in(a.Length))
	switch {
	case a.Here:
		return text + ", which is on the rack now"
	case a.Gone:
		return text + ", and what came of its order does not do for it"
	case a.Order == 0:
		return text + ", not ordered yet"
	case a.Expected != "":
		return text + fmt.Sprintf(", of order %d, expected %s", a.Order, a.Expected)
	}
	return text + fmt.Sprintf(", of order %d", a.Order)
}

// awaited gives the sticks that a run waits for as its plan has them, with what is still to be cut from them.
func (r Run) awaited() (sticks []plan.Stick) {
	for _, a := range r.Waiting {
		s := a.Sides[0].by.Sticks[a.of-1]
		if a.Order != 0 {
			s.ID, s.From, s.Supplier, s.Order, s.Expected = a.Stick, plan.OnTheWay, a.Supplier, fmt.Sprint(a.Order), a.Expected
			s.Left.Length, s.Length = s.Left.Length+a.Length-s.Length, a.Length
		}
		s.Sides = nil
		for _, side := range a.Sides {
			s.Sides = append(s.Sides, side.as)
		}
		sticks = append(sticks, s)
	}
	return sticks
}
