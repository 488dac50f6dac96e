package book

import (
	"cmp"
	"context"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// RunDocument is runs as a plan, each its profile, for everything that shows or prints a plan: their sticks under their own names and
// with their own lengths, what was cut and what is still to be, in the order of the cuts.
type RunDocument struct {
	Runs     []Run
	Workshop *model.Workshop // as it is, with the runs' jobs whatever their state
	Plan     *plan.Document
	Became   [][][]string // what became of the sides of the profiles' sticks
	Changed  [][]bool     // the profiles' sticks that were marked out last, where that was after their run began
}

// RunDocument gives runs as a plan, in the order of their numbers; of none, all that are open.
func (b *Book) RunDocument(ctx context.Context, ids ...int64) (d *RunDocument, err error) {
	err = b.read(ctx, func(t *transaction) error {
		if len(ids) == 0 {
			if ids, err = t.openRuns(); err != nil {
				return err
			}
		}
		d, err = t.runDocument(ids)
		return err
	})
	return d, err
}

// openRuns gives the numbers of the runs that are not finished.
func (t *transaction) openRuns() (open []int64, err error) {
	err = t.each("SELECT id FROM run WHERE state = 'open' ORDER BY id", nil, func(scan func(...any) error) error {
		var id int64
		defer func() { open = append(open, id) }()
		return scan(&id)
	})
	return open, err
}

// runDocument makes a plan of runs.
func (t *transaction) runDocument(ids []int64) (*RunDocument, error) {
	d := &RunDocument{Plan: &plan.Document{Format: plan.Format}}
	for _, id := range ids {
		r, err := t.run(id)
		if err != nil {
			return nil, err
		}
		if err := t.addRun(d, r); err != nil {
			return nil, err
		}
	}
	var jobs []string
	sides := map[string]int{}
	for _, p := range d.Plan.Profiles {
		for _, s := range p.Sticks {
			for _, side := range s.Sides {
				if sides[side.Job]++; sides[side.Job] == 1 {
					jobs = append(jobs, side.Job)
				}
			}
		}
	}
	var err error
	if d.Workshop, err = t.workshop(); err != nil {
		return nil, err
	}
	if d.Workshop.Jobs, err = t.jobsNamed(jobs, false); err != nil {
		return nil, err
	}
	for _, j := range d.Workshop.Jobs {
		d.Plan.Jobs = append(d.Plan.Jobs, plan.JobCost{Job: j.ID, Customer: j.Customer, Due: j.Due.String(), Sides: sides[j.ID]})
	}
	d.Plan.Total.Grade = plan.Open
	d.Plan.Workshop, d.Plan.Unit = d.Workshop.Name, d.Workshop.Unit.String()
	d.Plan.Currency = plan.Currency{Code: d.Workshop.Currency.Code, Decimals: d.Workshop.Currency.Decimals}
	return d, nil
}

// addRun adds a run to a document, as a profile of its plan.
func (t *transaction) addRun(d *RunDocument, r Run) error {
	by, err := t.runPlan(r.now(), r.Profile)
	if err != nil {
		return err
	}
	p := by.ProfilePlan
	became, changed := r.lay(&p)
	p.Figures = figuresOf(p.Sticks, became)
	d.Runs, d.Became, d.Changed = append(d.Runs, r), append(d.Became, became), append(d.Changed, changed)
	d.Plan.Only, d.Plan.Profiles = append(d.Plan.Only, r.Profile), append(d.Plan.Profiles, p)
	d.Plan.Total.Figures.Add(p.Figures)
	return nil
}

// now is the plan that what is left of a run is cut by.
func (r Run) now() int64 { return cmp.Or(r.Rest, r.Plan) }

// lay lays out the sticks of a run and its cuts in the plan of its profile. Sticks come in the order in which they are first cut.
func (r Run) lay(p *plan.ProfilePlan) (became [][]string, changed []bool) {
	type one struct {
		stick, side int // of the run's stick, and of those that are laid
		RunSide
		from plan.Side
		left model.Length
	}
	var all []one
	sticks := make([]plan.Stick, len(r.Sticks))
	of := make([][]string, len(r.Sticks))
	for i, s := range r.Sticks {
		sides, _ := s.here()
		var ends []model.Length
		sticks[i], ends = s.asPlanned(sides)
		for k, side := range sides {
			all = append(all, one{i, k, side, sticks[i].Sides[k], ends[k]})
			of[i] = append(of[i], side.Became)
		}
	}
	for k, s := range r.awaited() {
		sticks, of = append(sticks, s), append(of, nil)
		for n, side := range s.Sides {
			w := r.Waiting[k].Sides[n]
			end := slot(side) + side.Takes
			all = append(all, one{len(sticks) - 1, n, w, side, model.Stick{Length: s.Length, Damage: s.Damage}.SoundEnd(model.Span{To: end}) - end})
			of[len(of)-1] = append(of[len(of)-1], w.Became)
		}
	}
	returned := func(i int) bool { return i < len(r.Sticks) && r.Sticks[i].State == "returned" }
	slices.SortStableFunc(all, func(a, b one) int {
		return cmp.Or(cmp.Compare(a.by.id, b.by.id), cmp.Compare(a.by.at[a.SideID].cut, b.by.at[b.SideID].cut))
	})
	last := int64(0)
	for _, s := range r.Sticks {
		last = max(last, s.marked)
	}
	place := map[int]int{}
	p.Sticks, p.Run.Cuts, p.Run.Settings = nil, nil, 0
	add := func(i int) {
		if _, there := place[i]; there || returned(i) {
			return
		}
		place[i] = len(p.Sticks)
		p.Sticks, became = append(p.Sticks, sticks[i]), append(became, of[i])
		changed = append(changed, last > 0 && i < len(r.Sticks) && r.Sticks[i].marked == last)
	}
	for _, o := range all {
		if add(o.stick); returned(o.stick) {
			continue
		}
		c := o.by.Run.Cuts[o.by.at[o.SideID].cut]
		c.Stick, c.Side, c.Left, c.No = place[o.stick], o.side, o.left, o.No
		if c.Placed {
			p.Run.Settings++
		}
		p.Run.Cuts = append(p.Run.Cuts, c)
	}
	for i := range r.Sticks { // those that nothing is cut from
		add(i)
	}
	return became, changed
}

// asPlanned gives a stick of a run with these of its sides as a stick of a plan, and what is left of its sound part after each of them.
func (s RunStick) asPlanned(sides []RunSide) (plan.Stick, []model.Length) {
	laid, left := s.laid(sides)
	out := plan.Stick{ID: s.Stick, From: plan.FromRack, Place: s.Place, Lot: s.lot, Length: s.Length, Damage: s.damage, Cost: s.planned.Cost}
	for n, part := range left {
		out.Left = s.becomes(n, len(left), part.Length())
		if n < len(left)-1 {
			out.Between = append(out.Between, out.Left)
		}
	}
	ends := make([]model.Length, len(laid))
	for k, side := range laid {
		out.Sides = append(out.Sides, side.Side)
		end := slot(side.Side) + side.Takes
		ends[k] = s.Length - end
		for _, part := range left {
			if part.To >= end {
				ends[k] = part.To - end
				break
			}
		}
	}
	return out, ends
}

// becomes says what becomes, or became, of what is left of the n-th of so many sound parts.
func (s RunStick) becomes(n, of int, length model.Length) plan.Left {
	l := plan.Left{Length: length, Becomes: plan.Waste}
	if n < len(s.offcuts) {
		l.ID = s.offcuts[n]
	}
	if s.State == "cut" { // as it was written down when the run was finished
		at := slices.IndexFunc(s.kept, func(o Offcut) bool { return o.Name == l.ID })
		if at < 0 && n == of-1 { // what was measured at the tail has a name of its own where the plan kept nothing
			at = slices.IndexFunc(s.kept, func(o Offcut) bool { return !slices.Contains(s.offcuts, o.Name) })
		}
		if l.ID = ""; at >= 0 {
			l.ID, l.Length = s.kept[at].Name, s.kept[at].Length
		}
	}
	switch {
	case l.Length == 0:
		return plan.Left{Becomes: plan.Nothing}
	case l.ID != "":
		l.Becomes = plan.Kept
	}
	return l
}

// figuresOf sums up the sticks of a run. A side that is to be made again counts once.
func figuresOf(sticks []plan.Stick, became [][]string) (f plan.Figures) {
	f.RackSticks = len(sticks)
	for i, s := range sticks {
		f.RackValue += s.Cost
		f.UsedUp += s.Length
		for k, side := range s.Sides {
			if became[i][k] != Short && became[i][k] != Torn && became[i][k] != Unwanted {
				f.Sides++
				f.LongPoints += side.LongPoint
			}
		}
		for _, l := range append(slices.Clone(s.Between), s.Left) {
			if l.Becomes == plan.Kept {
				f.Kept, f.UsedUp, f.LongestOffcut = f.Kept+l.Length, f.UsedUp-l.Length, max(f.LongestOffcut, l.Length)
			}
		}
	}
	f.Derive()
	return f
}
