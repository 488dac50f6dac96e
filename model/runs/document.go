package runs

import (
	"cmp"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// Document is runs as a plan, each its profile, for everything that shows or prints a plan: their sticks under their own names and
// with their own lengths, what was cut and what is still to be, in the order of the cuts.
type Document struct {
	Runs     []Run
	Workshop *model.Workshop // as it is, with the runs' jobs whatever their state
	Plan     *plan.Document
	Became   [][][]string    // what became of the sides of the profiles' sticks
	Changed  [][]bool        // the profiles' sticks that something else was marked out on since their run began
	Anew     [][][]bool      // of those the sides whose labels are others than when the run began, or of which there were none then
	Stand    []plan.Standing // what each profile's stops stand at now
}

// Add adds a run as a profile of the document's plan: as it is cut by now, having begun by first. stand is what was cut before it.
func (d *Document) Add(r Run, by, first *Plan, stand plan.Standing) {
	p := by.ProfilePlan
	became, changed := r.lay(&p, stand)
	p.Figures = figuresOf(p.Sticks, became)
	anew := r.anew(&p, first, changed)
	d.Runs, d.Became, d.Changed, d.Anew = append(d.Runs, r), append(d.Became, became), append(d.Changed, changed), append(d.Anew, anew)
	d.Stand = append(d.Stand, stand)
	d.Plan.Only, d.Plan.Profiles = append(d.Plan.Only, r.Profile), append(d.Plan.Profiles, p)
	d.Plan.Total.Figures.Add(p.Figures)
}

// Jobs gives the jobs of the runs, and how many sides each has there.
func (d *Document) Jobs() (jobs []string, sides map[string]int) {
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

// Of says of which workshop the runs are, whose jobs are those of the runs, with so many sides there.
func (d *Document) Of(w *model.Workshop, sides map[string]int) {
	d.Workshop = w
	for _, j := range w.Jobs {
		d.Plan.Jobs = append(d.Plan.Jobs, plan.JobCost{Job: j.ID, Customer: j.Customer, Due: j.Due.String(), Sides: sides[j.ID]})
	}
	d.Plan.Total.Grade = plan.Open
	d.Plan.Workshop, d.Plan.Unit = w.Name, w.Unit.String()
	d.Plan.Currency = plan.Currency{Code: w.Currency.Code, Decimals: w.Currency.Decimals}
}

// anew tells of which sides of a run's changed sticks there was no such label when the run began: all of a stick that has come into the run since, and else
// those that the plan which it began by has not under this number. Whether what changed in between was printed nobody knows, so none of it is left out.
func (r Run) anew(p *plan.ProfilePlan, first *Plan, changed []bool) [][]bool {
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
		joined := slices.ContainsFunc(r.Sticks, func(h Stick) bool { return h.Stick == s.ID && h.State != "returned" && h.Joined })
		all[c.Stick][c.Side] = changed[c.Stick] && (joined || had[s.Sides[c.Side].SideID] != c.No)
	}
	return all
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
			all = append(all, laidCut{stick: i, side: k, part: parts[side.SideID], Side: side, left: ends[k]})
			of[i] = append(of[i], side.Became)
		}
	}
	for k, s := range r.awaited() {
		sticks, of = append(sticks, s), append(of, nil)
		for n, side := range s.Sides {
			w := r.Waiting[k].Sides[n]
			end := side.Slot().To
			all = append(all, laidCut{stick: len(sticks) - 1, side: n, Side: w, left: model.Stick{Length: s.Length, Damage: s.Damage}.SoundEnd(model.Span{To: end}) - end})
			of[len(of)-1] = append(of[len(of)-1], w.Became)
		}
	}
	returned := func(i int) bool { return i < len(r.Sticks) && r.Sticks[i].State == "returned" }
	slices.SortStableFunc(all, func(a, b laidCut) int {
		return cmp.Or(cmp.Compare(a.By.ID, b.By.ID), cmp.Compare(a.By.at[a.SideID].cut, b.By.at[b.SideID].cut))
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
		changed = append(changed, i < len(r.Sticks) && r.Sticks[i].Marked > 0)
	}
	var sides []Side
	for _, o := range all {
		sides = append(sides, o.Side)
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
	Side
	cut  plan.Cut
	left model.Length
}

// asTold puts what was cut off a part of a stick out of its turn before what is still to be cut there: it was cut where the stick then ended.
func asTold(all []laidCut) {
	for from := 0; from < len(all); {
		to := from + 1
		for to < len(all) && all[to].By == all[from].By && all[to].stick == all[from].stick && all[to].part == all[from].part {
			to++
		}
		slices.SortStableFunc(all[from:to], func(a, b laidCut) int { return a.compareTold(b.Side) })
		from = to
	}
}

// inHandFirst has the stick in the machine, of which the last side is that was written down, finished before sticks that the plan cuts earlier and that have
// come only since that was made: where it would be next without them, it is.
func (r Run) inHandFirst(all []laidCut) []laidCut {
	last := slices.MaxFunc(append([]laidCut{{stick: -1}}, all...), func(a, b laidCut) int { return cmp.Compare(a.Told, b.Told) })
	late := func(o laidCut) bool {
		return o.Became == ToCut && r.Sticks[o.stick].Late && !r.Sticks[o.stick].Begun()
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
func (r Run) follow(sides []Side, cuts []plan.Cut, stand plan.Standing) {
	var told []int
	for n, s := range sides {
		if s.IsCut() {
			told = append(told, n)
		}
	}
	slices.SortFunc(told, func(a, b int) int { return cmp.Compare(sides[a].Told, sides[b].Told) })
	for _, n := range told {
		s := sides[n]
		if s.Told > r.Elsewhere {
			stand.Cut(cuts[n].Stop, s.As)
		}
		if s.Became == Done {
			stand.HasCut(s.As)
		} else {
			stand.Spoilt(s.As)
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

// asPlanned gives a stick of a run with these of its sides as a stick of a plan, and what is left of its sound part after each of them.
func (s Stick) asPlanned(sides []Side) (plan.Stick, []model.Length) {
	laid, left := s.Laid(sides)
	out := plan.Stick{ID: s.Stick, From: plan.FromRack, Place: s.Place, Lot: s.Lot, Length: s.Length, Damage: s.Damage, Cost: s.Planned.Cost}
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
func (s Stick) becomes(n, of int, length model.Length) plan.Left {
	l := plan.Left{ID: s.OffcutOf(n, of), Length: length, Becomes: plan.Waste}
	if s.State == "cut" { // as it was written down when the run was finished
		at := slices.IndexFunc(s.Pieces, func(o Offcut) bool { return o.Name == l.ID })
		if at < 0 && n == of-1 { // what was measured at the tail has a name of its own where the plan kept nothing
			at = slices.IndexFunc(s.Pieces, func(o Offcut) bool { return !slices.Contains(s.Offcuts, o.Name) })
		}
		if l.ID = ""; at >= 0 {
			l.ID, l.Length = s.Pieces[at].Name, s.Pieces[at].Length
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
		for _, l := range s.Lefts() {
			if l.Becomes == plan.Kept {
				f.Kept, f.UsedUp, f.LongestOffcut = f.Kept+l.Length, f.UsedUp-l.Length, max(f.LongestOffcut, l.Length)
			}
		}
	}
	f.Derive()
	return f
}
