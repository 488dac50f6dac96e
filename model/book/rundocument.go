package book

import (
	"cmp"
	"context"
	"maps"
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
	Became   [][][]string    // what became of the sides of the profiles' sticks
	Changed  [][]bool        // the profiles' sticks that something else was marked out on since their run began
	Anew     [][][]bool      // of those the sides whose labels are others than when the run began, or of which there were none then
	Stand    []plan.Standing // what each profile's stops stand at now
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

// eachOpenRun gives the runs that are not finished, one after another.
func (t *transaction) eachOpenRun(do func(Run) error) error {
	open, err := t.openRuns()
	if err != nil {
		return err
	}
	for _, id := range open {
		r, err := t.run(id)
		if err != nil {
			return err
		}
		if err := do(r); err != nil {
			return err
		}
	}
	return nil
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
	w, err := t.workshop()
	if err != nil {
		return nil, err
	}
	jobs, sides := d.jobs()
	w.Jobs, err = t.jobsNamed(jobs, false)
	d.of(w, sides)
	return d, err
}

// jobs gives the jobs of the runs, and how many sides each has there.
func (d *RunDocument) jobs() (jobs []string, sides map[string]int) {
	sides = map[string]int{}
	for _, p := range d.Plan.Profiles {
		for _, s := range p.Sticks {
			for _, side := range s.Sides {
				if sides[side.Job]++; sides[side.Job] == 1 {
					jobs = append(jobs, side.Job)
				}
			}
		}
	}
	return jobs, sides
}

// of says of which workshop the runs are, whose jobs are those of the runs, with so many sides there.
func (d *RunDocument) of(w *model.Workshop, sides map[string]int) {
	d.Workshop = w
	for _, j := range w.Jobs {
		d.Plan.Jobs = append(d.Plan.Jobs, plan.JobCost{Job: j.ID, Customer: j.Customer, Due: j.Due.String(), Sides: sides[j.ID]})
	}
	d.Plan.Total.Grade = plan.Open
	d.Plan.Workshop, d.Plan.Unit = w.Name, w.Unit.String()
	d.Plan.Currency = plan.Currency{Code: w.Currency.Code, Decimals: w.Currency.Decimals}
}

// addRun adds a run to a document, as a profile of its plan.
func (t *transaction) addRun(d *RunDocument, r Run) error {
	by, err := t.runPlan(r.now(), r.Profile)
	if err != nil {
		return err
	}
	first, err := t.runPlan(r.Plan, r.Profile)
	if err != nil {
		return err
	}
	stand, err := t.standingBefore(r)
	if err == nil {
		d.add(r, by, first, stand)
	}
	return err
}

// add adds a run as a profile of the document's plan: as it is cut by now, having begun by first. stand is what was cut before it.
func (d *RunDocument) add(r Run, by, first *runPlan, stand plan.Standing) {
	p := by.ProfilePlan
	became, changed := r.lay(&p, stand)
	p.Figures = figuresOf(p.Sticks, became)
	anew := r.anew(&p, first, changed)
	d.Runs, d.Became, d.Changed, d.Anew = append(d.Runs, r), append(d.Became, became), append(d.Changed, changed), append(d.Anew, anew)
	d.Stand = append(d.Stand, stand)
	d.Plan.Only, d.Plan.Profiles = append(d.Plan.Only, r.Profile), append(d.Plan.Profiles, p)
	d.Plan.Total.Figures.Add(p.Figures)
}

// anew tells of which sides of a run's changed sticks there was no such label when the run began: all of a stick that has come into the run since, and else
// those that the plan which it began by has not under this number. Whether what changed in between was printed nobody knows, so none of it is left out.
func (r Run) anew(p *plan.ProfilePlan, first *runPlan, changed []bool) [][]bool {
	had := map[model.SideID]int{}
	for id, at := range first.at {
		had[id] = first.Run.Number(at.cut)
	}
	all := make([][]bool, len(p.Sticks))
	for i, s := range p.Sticks {
		all[i] = make([]bool, len(s.Sides))
	}
	for _, c := range p.Run.Cuts {
		s := p.Sticks[c.Stick]
		joined := slices.ContainsFunc(r.Sticks, func(h RunStick) bool { return h.Stick == s.ID && h.State != "returned" && h.joined })
		all[c.Stick][c.Side] = changed[c.Stick] && (joined || had[s.Sides[c.Side].SideID] != c.No)
	}
	return all
}

// now is the plan that what is left of a run is cut by.
func (r Run) now() int64 { return cmp.Or(r.Rest, r.Plan) }

// standingBefore gives what is cut of a run's frames in other runs. Nothing is known of the stops.
func (t *transaction) standingBefore(r Run) (plan.Standing, error) {
	w, err := t.workshop()
	if err != nil {
		return plan.Standing{}, err
	}
	stand := plan.NewStanding(w.Machine)
	jobs := map[string]bool{}
	for _, side := range r.sides() {
		if jobs[side.Job] {
			continue
		}
		jobs[side.Job] = true
		if err := t.each("SELECT job, frame, copy, ring, letter, long_point_nm FROM cut WHERE job = ? AND run <> ? AND spoilt = 0", []any{side.Job, r.ID}, func(scan func(...any) error) error {
			var s plan.Side
			err := scan(&s.Job, &s.Frame, &s.Copy, &s.Ring, &s.Letter, &s.LongPoint)
			stand.HasCut(s)
			return err
		}); err != nil {
			return stand, err
		}
	}
	return stand, nil
}

// lay lays out the sticks of a run and its cuts in the plan of its profile. Sticks come in the order in which they are first cut. stand follows what was
// cut.
func (r Run) lay(p *plan.ProfilePlan, stand plan.Standing) (became [][]string, changed []bool) {
	var all []laidCut
	sticks := make([]plan.Stick, len(r.Sticks))
	of := make([][]string, len(r.Sticks))
	for i, s := range r.Sticks {
		sides, parts := s.asCut()
		var ends []model.Length
		sticks[i], ends = s.asPlanned(sides)
		for k, side := range sides {
			all = append(all, laidCut{stick: i, side: k, part: parts[side.SideID], RunSide: side, left: ends[k]})
			of[i] = append(of[i], side.Became)
		}
	}
	for k, s := range r.awaited() {
		sticks, of = append(sticks, s), append(of, nil)
		for n, side := range s.Sides {
			w := r.Waiting[k].Sides[n]
			end := side.Slot().To
			all = append(all, laidCut{stick: len(sticks) - 1, side: n, RunSide: w, left: model.Stick{Length: s.Length, Damage: s.Damage}.SoundEnd(model.Span{To: end}) - end})
			of[len(of)-1] = append(of[len(of)-1], w.Became)
		}
	}
	returned := func(i int) bool { return i < len(r.Sticks) && r.Sticks[i].State == "returned" }
	slices.SortStableFunc(all, func(a, b laidCut) int {
		return cmp.Or(cmp.Compare(a.by.id, b.by.id), cmp.Compare(a.by.at[a.SideID].cut, b.by.at[b.SideID].cut))
	})
	asTold(all)
	place := map[int]int{}
	p.Sticks, p.Run.Cuts, p.Run.Settings = nil, nil, 0
	add := func(i int) {
		if _, there := place[i]; there || returned(i) {
			return
		}
		place[i] = len(p.Sticks)
		p.Sticks, became = append(p.Sticks, sticks[i]), append(became, of[i])
		changed = append(changed, i < len(r.Sticks) && r.Sticks[i].marked > 0)
	}
	var sides []RunSide
	for _, o := range all {
		sides = append(sides, o.RunSide)
	}
	cuts := cutsFrom(sides)
	for n, c := range cuts {
		all[n].cut = c
	}
	r.follow(sides, cuts, stand)
	for _, o := range r.inHandFirst(all) {
		c := o.cut
		if add(o.stick); returned(o.stick) {
			continue
		}
		c.Stick, c.Side, c.Left, c.No = place[o.stick], o.side, o.left, o.No
		p.Run.Cuts = append(p.Run.Cuts, c)
	}
	for i := range r.Sticks { // those that nothing is cut from
		add(i)
	}
	setAsTheyStand(p, became, stand)
	return became, changed
}

// laidCut is a cut of a run on its way to be laid out.
type laidCut struct {
	stick, side int // of the run's stick, and of those that are laid
	part        int // of the stick, from 0
	RunSide
	cut  plan.Cut
	left model.Length
}

// asTold puts what was cut off a part of a stick out of its turn before what is still to be cut there: it was cut where the stick then ended.
func asTold(all []laidCut) {
	for from := 0; from < len(all); {
		to := from + 1
		for to < len(all) && all[to].by == all[from].by && all[to].stick == all[from].stick && all[to].part == all[from].part {
			to++
		}
		slices.SortStableFunc(all[from:to], func(a, b laidCut) int { return a.compareTold(b.RunSide) })
		from = to
	}
}

// InHand is the stick that is in the machine, of which the last side is that was written down; empty: none is.
func (r Run) InHand() (stick string) {
	last := r.elsewhere
	for _, s := range r.Sticks {
		for _, side := range s.Sides {
			if side.told > last {
				last, stick = side.told, s.Stick
			}
		}
	}
	return stick
}

// inHandFirst has the stick in the machine, of which the last side is that was written down, finished before sticks that the plan cuts earlier and that have
// come only since that was made: where it would be next without them, it is.
func (r Run) inHandFirst(all []laidCut) []laidCut {
	last := slices.MaxFunc(append([]laidCut{{stick: -1}}, all...), func(a, b laidCut) int { return cmp.Compare(a.told, b.told) })
	late := func(o laidCut) bool {
		return o.Became == ToCut && r.Sticks[o.stick].late && !r.Sticks[o.stick].begun()
	}
	first := slices.IndexFunc(all, late)
	next := slices.IndexFunc(all, func(o laidCut) bool { return o.Became == ToCut && !late(o) })
	if first < 0 || next < first || all[next].stick != last.stick {
		return all
	}
	from, to := next, next+1
	for from > first && all[from-1].stick == last.stick {
		from--
	}
	for to < len(all) && all[to].stick == last.stick {
		to++
	}
	return slices.Concat(all[:first], all[from:to], all[first:from], all[to:])
}

// follow cuts what is cut in the order in which it was written down, by which the stops stand as they do. What was cut in another run since has moved
// them.
func (r Run) follow(sides []RunSide, cuts []plan.Cut, stand plan.Standing) {
	var told []int
	for n, s := range sides {
		if s.isCut() {
			told = append(told, n)
		}
	}
	slices.SortFunc(told, func(a, b int) int { return cmp.Compare(sides[a].told, sides[b].told) })
	for _, n := range told {
		s := sides[n]
		if s.told > r.elsewhere {
			stand.Cut(cuts[n].Stop, s.as)
		}
		if s.Became == Done {
			stand.HasCut(s.as)
		} else {
			stand.Spoilt(s.as)
		}
	}
}

// setAsTheyStand says before which of the cuts that are still to be made a stop is to be set, and by which finished side, whatever was cut out of its
// turn: from what the stops stand at, cut after cut as they are listed, and also where those are left out whose sticks are not here yet. The first of
// these sets its stop: nobody knows what will have been cut before.
func setAsTheyStand(p *plan.ProfilePlan, became [][]string, stand plan.Standing) {
	listed, here := stand.Clone(), stand.Clone()
	cut := func(state string, also plan.Standing) {
		for n := range p.Run.Cuts {
			if c := &p.Run.Cuts[n]; became[c.Stick][c.Side] == state {
				c.Placed, c.By = also.Cut(c.Stop, p.Sticks[c.Stick].Sides[c.Side])
			}
		}
	}
	for n := range p.Run.Cuts {
		p.Run.Cuts[n].By = ""
	}
	cut(ToCut, here)
	cut(Waits, here.Unknown())
	p.Run.Settings = 0
	for n := range p.Run.Cuts {
		c := &p.Run.Cuts[n]
		if state := became[c.Stick][c.Side]; state == ToCut || state == Waits {
			placed, _ := listed.Cut(c.Stop, p.Sticks[c.Stick].Sides[c.Side])
			c.Placed = c.Placed || placed
		}
		if c.Placed {
			p.Run.Settings++
		}
	}
}

// cutsFrom gives the cuts of a run's sides as their plans have them, plan after plan. But a plan of the rest begins with the stops where the last cuts
// by the plans before it have left them: one that stands at the first length it is wanted for is not placed, as long as no other was, and where
// that is another stop than the plan says, the two are called by each other's numbers.
func cutsFrom(sides []RunSide) (cuts []plan.Cut) {
	stands := map[int]plan.SideKind{} // by the number that a stop is called by
	for len(sides) > 0 {
		n := slices.IndexFunc(sides, func(s RunSide) bool { return s.by.id != sides[0].by.id })
		if n < 0 {
			n = len(sides)
		}
		names, placed := stopNames{called: map[int]int{}, met: map[int]bool{}}, false
		last := map[int]int64{} // what was told last of a stop
		now := maps.Clone(stands)
		for _, s := range sides[:n] {
			c := s.by.Run.Cuts[s.by.at[s.SideID].cut]
			if !names.met[c.Stop] && !placed && names.stand(c.Stop, s.as.Kind(), stands) {
				c.Placed = false
			}
			names.met[c.Stop], placed = true, placed || c.Placed
			c.Stop = names.of(c.Stop)
			cuts = append(cuts, c)
			if s.isCut() && s.told > last[c.Stop] {
				last[c.Stop], now[c.Stop] = s.told, s.as.Kind()
			}
		}
		stands, sides = now, sides[n:]
	}
	return cuts
}

// stopNames says what the stops of a plan of a run's rest are called in the run.
type stopNames struct {
	called map[int]int
	met    map[int]bool // stops of the plan
}

func (s stopNames) of(stop int) int { return cmp.Or(s.called[stop], stop) }

// stand tells whether a stop stands at a length already that a stop of the plan is wanted at first, and calls that so.
func (s stopNames) stand(stop int, at plan.SideKind, stands map[int]plan.SideKind) bool {
	for _, there := range slices.Sorted(maps.Keys(stands)) {
		other := there // the plan's stop that is called so
		for mine, name := range s.called {
			if name == there {
				other = mine
			}
		}
		if stands[there] == at && (other == stop || !s.met[other]) {
			s.called[other], s.called[stop] = s.of(stop), there
			return true
		}
	}
	return false
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
		end := side.Slot().To
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
	l := plan.Left{ID: s.offcutOf(n, of), Length: length, Becomes: plan.Waste}
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
