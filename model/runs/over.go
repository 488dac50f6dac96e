package runs

import (
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
)

// Over is a run on its way to a plan of its rest, without the book: what is marked out on its sticks, and what of it is new in the plan.
type Over struct {
	run   Run
	next  int                       // number of a cut that no cut of the run ever had
	kept  map[string][]model.Length // what was to be kept of its sticks, by their names
	marks map[string]marks
	anew  map[model.SideID]bool // sides whose cuts have new numbers
}

// Over begins to take a run over to a plan of its rest.
func (rest *Rest) Over(r Run) *Over {
	o := &Over{run: r, next: 1, kept: rest.Kept, marks: marksOf(r), anew: map[model.SideID]bool{}}
	for _, side := range r.Sides() {
		o.next = max(o.next, side.No+1)
	}
	return o
}

// Number gives a plan of the rest whose cuts have their numbers: a side that stays on its stick keeps the number it has, others get the next that no cut
// of the run ever had.
func (o *Over) Number(d *plan.Document) *plan.Document {
	if len(d.Profiles) == 0 {
		return d
	}
	whole, p := *d, d.Profiles[0] // a document is not changed once it is made
	p.Run.Cuts = slices.Clone(p.Run.Cuts)
	for n := range p.Run.Cuts {
		c := &p.Run.Cuts[n]
		s := p.Sticks[c.Stick]
		if c.No = o.marks[s.ID].no[s.Sides[c.Side].SideID]; c.No == 0 {
			c.No, o.anew[s.Sides[c.Side].SideID] = o.next, true
			o.next++
		}
	}
	whole.Profiles = []plan.ProfilePlan{p}
	return &whole
}

// OnStick says of a stick in hand, as the plan has it, whether something else is marked out on it now, how many labels are to be printed for it, and what its offcuts
// are called already.
func (o *Over) OnStick(s Stick, now plan.Stick) (changed bool, labels int, names []string) {
	var sides []markedSide
	for _, side := range now.Sides {
		sides = append(sides, markedSide{side.SideID, side.Start + s.Length - now.Length})
		if o.anew[side.SideID] {
			labels++
		}
	}
	kept := now.Keeps()
	sameKept := slices.Equal(kept, o.kept[s.Stick])
	if !sameKept {
		labels += len(kept)
	}
	if changed = !sameKept || !slices.Equal(sides, o.marks[s.Stick].sides); !changed {
		names = keptNames(now, s.Offcuts)
	}
	return changed, labels, names
}

// Coming gives those of the sticks on the way that nothing is cut from by the sticks of the plan, and those that other sides are cut from than before.
func (o *Over) Coming(now []plan.Stick) (left, coming []string) {
	for _, a := range o.run.Waiting {
		if a.Order == 0 {
			continue
		}
		at := slices.IndexFunc(now, func(s plan.Stick) bool { return s.ID == a.Stick && s.From == plan.OnTheWay })
		if at < 0 {
			left = append(left, a.Stick)
			continue
		}
		stays := func(side plan.Side) bool { return o.marks[a.Stick].no[side.SideID] != 0 }
		if sides := now[at].Sides; len(sides) != len(a.Sides) || slices.ContainsFunc(sides, func(side plan.Side) bool { return !stays(side) }) {
			coming = append(coming, a.Stick)
		}
	}
	return left, coming
}

// marks is what is marked out on a stick: the numbers of the cuts by their sides, and where these lie.
type marks struct {
	sides []markedSide
	no    map[model.SideID]int
}

// markedSide is a side and where it lies on its stick.
type markedSide struct {
	model.SideID
	start model.Length
}

// marksOf gives what is marked out on a run's sticks.
func marksOf(r Run) map[string]marks {
	all := map[string]marks{}
	for _, s := range r.Sticks {
		if s.State != "open" {
			continue
		}
		m := marks{no: map[model.SideID]int{}}
		var sides []Side
		for _, side := range s.Sides {
			if side.Place <= s.Earlier {
				sides = append(sides, side)
			}
			if side.Became == ToCut || side.Became == PutOff {
				m.no[side.SideID] = side.No
			}
		}
		sides = append(sides, s.asMarked()...)
		laid, _ := s.Laid(sides)
		for n, side := range sides {
			if side.Became == ToCut {
				m.sides = append(m.sides, markedSide{side.SideID, laid[n].Start})
			}
		}
		all[s.Stick] = m
	}
	for _, a := range r.Waiting {
		m := marks{no: map[model.SideID]int{}}
		for _, side := range a.Sides {
			m.no[side.SideID] = side.No
		}
		all[a.Stick] = m
	}
	return all
}

// ToKeep gives what is to be kept of a run's sticks, as it is marked out.
func (r Run) ToKeep() map[string][]model.Length {
	all := map[string][]model.Length{}
	for _, s := range r.Sticks {
		if s.State != "open" {
			continue
		}
		for _, part := range s.Leaves() {
			if s.Keep > 0 && part.Length() >= s.Keep {
				all[s.Stick] = append(all[s.Stick], part.Length())
			}
		}
	}
	return all
}

// keptNames gives what is kept of a stick of a plan the names that it has, part by part: a flaw may have made a part more.
func keptNames(s plan.Stick, had []string) (names []string) {
	had = slices.DeleteFunc(slices.Clone(had), func(name string) bool { return name == "" })
	for _, left := range s.Lefts() {
		name := ""
		if left.Becomes == plan.Kept && len(had) > 0 {
			name, had = had[0], had[1:]
		}
		names = append(names, name)
	}
	return names
}
