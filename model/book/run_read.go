package book

import (
	"fmt"
	"strings"

	"longpoint/model"
	"longpoint/model/runs"
)

// runPlan gives a plan of a profile; of one that has nothing to cut of it, an empty one.
func (t *transaction) runPlan(id int64, profile string) (*runs.Plan, error) {
	if p := t.runPlans[id]; p != nil && p.Name == profile {
		return p, nil
	}
	d, _, err := t.plan(id)
	if err != nil {
		return nil, err
	}
	p := runs.NewPlan(id, d, profile)
	if t.runPlans == nil {
		t.runPlans = map[int64]*runs.Plan{}
	}
	t.runPlans[id] = p
	return p, nil
}

// run reads a run, and its sides from its plans.
func (t *transaction) run(id int64) (r runs.Run, err error) {
	found, err := t.one(`SELECT id, plan, coalesce((SELECT max(id) FROM plan WHERE rest_of = run.id), 0), profile, started, finished, state,
		coalesce(blade, ''), strokes, chops, (SELECT coalesce(max(id), 0) FROM cut WHERE cut.run <> run.id) FROM run WHERE id = ?`, []any{id},
		&r.ID, &r.Plan, &r.Rest, &r.Profile, &r.Started, &r.Finished, &r.State, &r.Blade, &r.Strokes, &r.Chops, &r.Elsewhere)
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
func (t *transaction) readRunSticks(r *runs.Run) error {
	var plans []int64
	err := t.each(`SELECT r.number, r.stick, s.place, s.length_nm, r.flaw, r.state, r.kept_nm, r.waste_nm, r.earlier,
			r.gone_nm, r.head_nm, p.repeat_nm, p.keep_nm, s.lot, s.damage_nm, s.cost_minor, s.value_minor, r.marked, r.offcuts, coalesce(r.plan, ?1), coalesce(r.planned, r.number),
			EXISTS (SELECT 1 FROM change WHERE tab = 'run_stick' AND row = r.id AND step <= r.marked AND before IS NULL
				AND step > (SELECT min(step) FROM change WHERE tab = 'run' AND row = r.run AND before IS NULL)),
			EXISTS (SELECT 1 FROM change WHERE tab = 'run_stick' AND row = r.id AND before IS NULL
				AND step > (SELECT min(step) FROM change WHERE tab = 'plan' AND row = coalesce(r.plan, ?1) AND before IS NULL))
		FROM run_stick AS r JOIN stick AS s ON s.name = r.stick JOIN profile AS p ON p.name = s.profile WHERE r.run = ?2 ORDER BY r.number`, []any{r.Plan, r.ID}, func(scan func(...any) error) error {
		var s runs.Stick
		var by int64
		var value optionalInt
		var damage, offcuts string
		err := scan(&s.Number, &s.Stick, &s.Place, &s.Length, &s.Flaw, &s.State, &s.Kept, &s.Waste, &s.Earlier,
			&s.Gone, &s.Head, &s.Repeat, &s.Keep, &s.Lot, &damage, &s.Cost, &value, &s.Marked, &offcuts, &by, &s.Of, &s.Joined, &s.Late)
		if err != nil {
			return err
		}
		s.Late = s.Late && s.Joined
		if offcuts != "" {
			s.Offcuts = strings.Split(offcuts, ",")
		}
		s.Value = value.money()
		s.Damage, err = parseSpans(damage)
		r.Sticks, plans = append(r.Sticks, s), append(plans, by)
		return err
	})
	if err != nil {
		return err
	}
	for i, by := range plans {
		s := &r.Sticks[i]
		if s.By, err = t.runPlan(by, r.Profile); err != nil {
			return err
		}
		if s.Of > 0 && s.Of <= len(s.By.Sticks) { // beyond only in a book that the check finds damaged
			s.Planned = s.By.Sticks[s.Of-1]
		}
		if s.State != "cut" {
			continue
		}
		if err := t.each("SELECT name, parent, place, length_nm FROM stick WHERE parent = ? ORDER BY id", []any{s.Stick}, func(scan func(...any) error) error {
			var o runs.Offcut
			defer func() { s.Pieces = append(s.Pieces, o) }()
			return scan(&o.Name, &o.Of, &o.Place, &o.Length)
		}); err != nil {
			return err
		}
	}
	return nil
}

// fillSides fills in the sides of a run's sticks, each with what became of it: those that earlier plans had cut from it, then those of the
// plan that it is cut by.
func (t *transaction) fillSides(r *runs.Run) error {
	cuts, err := t.cutsOf(r)
	if err != nil {
		return err
	}
	for i := range r.Sticks {
		s := &r.Sticks[i]
		for place := 1; place <= s.Earlier; place++ {
			if c := cuts[[2]int{s.Number, place}]; c.By != nil { // else the book is damaged, as the check finds
				s.Sides = append(s.Sides, c)
			}
		}
		for n, side := range s.Planned.Sides {
			one, cut := cuts[[2]int{s.Number, s.Earlier + n + 1}]
			if !cut {
				side.Start += s.Gone
				one = s.By.Side(s.Earlier+n+1, side, runs.ToCut)
				if in, err := t.doneIn(side.SideID); err != nil {
					return err
				} else if in != 0 {
					one.Became = runs.Before
				}
			}
			s.Sides = append(s.Sides, one)
		}
		s.PutOff()
	}
	return nil
}

// cutsOf gives what was cut in a run, by the stick's number and the place on it.
func (t *transaction) cutsOf(r *runs.Run) (map[[2]int]runs.Side, error) {
	type row struct {
		runs.Side
		number int
		plan   int64
		start  optionalInt
	}
	var rows []row
	if err := t.each(`SELECT number, place, job, frame, copy, ring, letter, long_point_nm, became, coalesce(plan, ?), start_nm, id FROM cut WHERE run = ?`,
		[]any{r.Plan, r.ID}, func(scan func(...any) error) error {
			var c row
			defer func() { rows = append(rows, c) }()
			return scan(&c.number, &c.Place, &c.Job, &c.Frame, &c.Copy, &c.Ring, &c.Letter, &c.LongPoint, &c.Became, &c.plan, &c.start, &c.Told)
		}); err != nil {
		return nil, err
	}
	cuts := map[[2]int]runs.Side{}
	for _, c := range rows {
		by, err := t.runPlan(c.plan, r.Profile)
		if err != nil {
			return nil, err
		}
		if !c.CutBy(by) {
			continue // only in a book that the check finds damaged
		}
		if c.start.given {
			c.As.Start = model.Length(c.start.n)
		}
		cuts[[2]int{c.number, c.Place}] = c.Side
	}
	return cuts, nil
}
