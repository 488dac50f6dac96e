package book

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// runPlan is a plan of a run's profile, with its sides and cuts to look up.
type runPlan struct {
	plan.ProfilePlan
	id int64
	at map[model.SideID]planned
}

// planned is where a plan has a side: on which stick and as which of its sides, from 0, and by which cut of its order, from 0.
type planned struct{ stick, side, cut int }

// newPlan gives what a document plans of a profile.
func newPlan(id int64, d *plan.Document, profile string) *runPlan {
	p := &runPlan{id: id, at: map[model.SideID]planned{}}
	p.Name = profile
	for _, one := range d.Profiles {
		if one.Name == profile {
			p.ProfilePlan = one
		}
	}
	if len(p.Run.Cuts) == 0 {
		p.Run = plan.AsTheyStand(p.Sticks)
	}
	for n, c := range p.Run.Cuts {
		p.at[p.Sticks[c.Stick].Sides[c.Side].SideID] = planned{c.Stick, c.Side, n}
	}
	return p
}

// side gives a side of the plan as one of a run, in its place on its stick.
func (p *runPlan) side(place int, side plan.Side, became string) RunSide {
	return RunSide{place, p.Run.Number(p.at[side.SideID].cut), side.SideID, side.LongPoint, became, side, p, 0}
}

// cutBy says by which plan a side was cut. It is false where the plan does not have the side.
func (s *RunSide) cutBy(p *runPlan) bool {
	at, there := p.at[s.SideID]
	if there {
		s.by, s.No, s.as = p, p.Run.Number(at.cut), p.Sticks[at.stick].Sides[at.side]
	}
	return there
}

// runPlan gives a plan of a profile; of one that has nothing to cut of it, an empty one.
func (t *transaction) runPlan(id int64, profile string) (*runPlan, error) {
	if p := t.runPlans[id]; p != nil && p.Name == profile {
		return p, nil
	}
	d, _, err := t.plan(id)
	if err != nil {
		return nil, err
	}
	p := newPlan(id, d, profile)
	if t.runPlans == nil {
		t.runPlans = map[int64]*runPlan{}
	}
	t.runPlans[id] = p
	return p, nil
}

// run reads a run, and its sides from its plans.
func (t *transaction) run(id int64) (r Run, err error) {
	found, err := t.one(`SELECT id, plan, coalesce((SELECT max(id) FROM plan WHERE rest_of = run.id), 0), profile, started, finished, state,
		coalesce(blade, ''), strokes, chops, (SELECT coalesce(max(id), 0) FROM cut WHERE cut.run <> run.id) FROM run WHERE id = ?`, []any{id},
		&r.ID, &r.Plan, &r.Rest, &r.Profile, &r.Started, &r.Finished, &r.State, &r.Blade, &r.Strokes, &r.Chops, &r.elsewhere)
	if err != nil {
		return r, err
	}
	if !found {
		return r, usageError(t.book.path, fmt.Sprintf("there is no run %d in the book", id), `see "longpoint run" for those that are open and "longpoint history" for the rest`)
	}
	if err := t.readRunSticks(&r); err != nil {
		return r, err
	}
	if err := t.fillSides(&r); err != nil {
		return r, err
	}
	return r, t.fillWaiting(&r)
}

// readRunSticks reads the sticks of a run, without their sides.
func (t *transaction) readRunSticks(r *Run) error {
	var plans []int64
	err := t.each(`SELECT r.number, r.stick, s.place, s.length_nm, r.flaw, r.state, r.kept_nm, r.waste_nm, r.earlier,
			r.gone_nm, r.head_nm, p.repeat_nm, p.keep_nm, s.lot, s.damage_nm, s.cost_minor, s.value_minor, r.marked, r.offcuts, coalesce(r.plan, ?1), coalesce(r.planned, r.number),
			EXISTS (SELECT 1 FROM change WHERE tab = 'run_stick' AND row = r.id AND step <= r.marked AND before IS NULL
				AND step > (SELECT min(step) FROM change WHERE tab = 'run' AND row = r.run AND before IS NULL)),
			EXISTS (SELECT 1 FROM change WHERE tab = 'run_stick' AND row = r.id AND before IS NULL
				AND step > (SELECT min(step) FROM change WHERE tab = 'plan' AND row = coalesce(r.plan, ?1) AND before IS NULL))
		FROM run_stick AS r JOIN stick AS s ON s.name = r.stick JOIN profile AS p ON p.name = s.profile WHERE r.run = ?2 ORDER BY r.number`, []any{r.Plan, r.ID}, func(scan func(...any) error) error {
		var s RunStick
		var by int64
		var value optionalInt
		var damage, offcuts string
		err := scan(&s.Number, &s.Stick, &s.Place, &s.Length, &s.Flaw, &s.State, &s.Kept, &s.Waste, &s.earlier,
			&s.gone, &s.head, &s.repeat, &s.keep, &s.lot, &damage, &s.cost, &value, &s.marked, &offcuts, &by, &s.of, &s.joined, &s.late)
		if err != nil {
			return err
		}
		s.late = s.late && s.joined
		if offcuts != "" {
			s.offcuts = strings.Split(offcuts, ",")
		}
		s.value = value.money()
		s.damage, err = parseSpans(damage)
		r.Sticks, plans = append(r.Sticks, s), append(plans, by)
		return err
	})
	if err != nil {
		return err
	}
	for i, by := range plans {
		s := &r.Sticks[i]
		if s.by, err = t.runPlan(by, r.Profile); err != nil {
			return err
		}
		if s.of > 0 && s.of <= len(s.by.Sticks) { // beyond only in a book that the check finds damaged
			s.planned = s.by.Sticks[s.of-1]
		}
		if s.State != "cut" {
			continue
		}
		if err := t.each("SELECT name, parent, place, length_nm FROM stick WHERE parent = ? ORDER BY id", []any{s.Stick}, func(scan func(...any) error) error {
			var o Offcut
			defer func() { s.kept = append(s.kept, o) }()
			return scan(&o.Name, &o.Of, &o.Place, &o.Length)
		}); err != nil {
			return err
		}
	}
	return nil
}

// fillSides fills in the sides of a run's sticks, each with what became of it: those that earlier plans had cut from it, then those of the
// plan that it is cut by.
func (t *transaction) fillSides(r *Run) error {
	cuts, err := t.cutsOf(r)
	if err != nil {
		return err
	}
	for i := range r.Sticks {
		s := &r.Sticks[i]
		for place := 1; place <= s.earlier; place++ {
			if c := cuts[[2]int{s.Number, place}]; c.by != nil { // else the book is damaged, as the check finds
				s.Sides = append(s.Sides, c)
			}
		}
		for n, side := range s.planned.Sides {
			one, cut := cuts[[2]int{s.Number, s.earlier + n + 1}]
			if !cut {
				side.Start += s.gone
				one = s.by.side(s.earlier+n+1, side, ToCut)
				if in, err := t.doneIn(side.SideID); err != nil {
					return err
				} else if in != 0 {
					one.Became = Before
				}
			}
			s.Sides = append(s.Sides, one)
		}
		s.putOff()
	}
	return nil
}

// cutsOf gives what was cut in a run, by the stick's number and the place on it.
func (t *transaction) cutsOf(r *Run) (map[[2]int]RunSide, error) {
	type row struct {
		RunSide
		number int
		plan   int64
		start  optionalInt
	}
	var rows []row
	if err := t.each(`SELECT number, place, job, frame, copy, ring, letter, long_point_nm, became, coalesce(plan, ?), start_nm, id FROM cut WHERE run = ?`,
		[]any{r.Plan, r.ID}, func(scan func(...any) error) error {
			var c row
			defer func() { rows = append(rows, c) }()
			return scan(&c.number, &c.Place, &c.Job, &c.Frame, &c.Copy, &c.Ring, &c.Letter, &c.LongPoint, &c.Became, &c.plan, &c.start, &c.told)
		}); err != nil {
		return nil, err
	}
	cuts := map[[2]int]RunSide{}
	for _, c := range rows {
		by, err := t.runPlan(c.plan, r.Profile)
		if err != nil {
			return nil, err
		}
		if !c.cutBy(by) {
			continue // only in a book that the check finds damaged
		}
		if c.start.given {
			c.as.Start = model.Length(c.start.n)
		}
		cuts[[2]int{c.number, c.Place}] = c.RunSide
	}
	return cuts, nil
}

// sides gives all sides of a run, those included that wait for their sticks.
func (r Run) sides() (all []RunSide) {
	for _, s := range r.Sticks {
		all = append(all, s.Sides...)
	}
	for _, s := range r.Waiting {
		all = append(all, s.Sides...)
	}
	return all
}

// Unplanned gives the sides of an open run that are not done and that nothing is marked out for: a mishap left them over, and there was no way to
// plan them anew.
func (r Run) Unplanned() (left []model.SideID) {
	settled := map[model.SideID]bool{}
	for _, side := range r.sides() {
		if side.Became != Short && side.Became != Torn && side.Became != PutOff {
			settled[side.SideID] = true
		}
	}
	for _, side := range r.sides() {
		if !settled[side.SideID] && !slices.Contains(left, side.SideID) {
			left = append(left, side.SideID)
		}
	}
	return left
}
