package book

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
)

// Remade says what a run's going over to a plan of its rest changed.
type Remade struct {
	Run     int64    `json:"run"`
	Plan    int64    `json:"plan"`
	Changed []string `json:"changed"` // sticks in hand on which something else is marked out than before
	Joined  []string `json:"joined"`  // of those, sticks that came off the rack
	Left    []string `json:"left"`    // sticks that nothing more is cut from, those on the way too
	Coming  []string `json:"coming"`  // sticks on the way that other sides will be cut from than before
	Labels  int      `json:"labels"`  // that are to be printed: of sides with a new number or on another stick, and of offcuts of another length
	Buy     int      `json:"buy"`     // sticks to order
}

// ErrMeanwhile says that a run cannot go over to the plan of its rest, because the book is not as it was when that was planned.
var ErrMeanwhile = &model.Error{Kind: model.BadUsage, What: "somebody has changed the book while the rest of the run was planned", Do: `see "longpoint run" for how it stands now, and say it again`}

// GoOver makes a run go over to a plan of its rest. The rest is to be as RunRest gave it, with the same changes made before this one; told is given
// what is different then.
func GoOver(rest *RunRest, d *plan.Document, told func(Remade)) Change {
	return Change{"plan the rest", func(t *transaction) error {
		step, err := t.lastStep()
		if err != nil {
			return err
		}
		if step != rest.step {
			return ErrMeanwhile
		}
		r, err := t.run(rest.Run)
		if err != nil {
			return err
		}
		g := &goingOver{transaction: t, run: r, over: rest.over(r)}
		id, err := t.keep(g.over.number(d), r.ID)
		if err != nil {
			return err
		}
		if g.by, err = t.runPlan(id, r.Profile); err != nil {
			return err
		}
		g.told = Remade{Run: r.ID, Plan: id, Changed: []string{}, Joined: []string{}, Left: []string{}, Coming: []string{}}
		for _, l := range d.Buy {
			g.told.Buy += l.Count
		}
		if err := g.takeOver(); err != nil {
			return err
		}
		left, coming := g.over.coming(g.by.Sticks)
		g.told.Left, g.told.Coming = append(g.told.Left, left...), append(g.told.Coming, coming...)
		g.tellRemade()
		told(g.told)
		return t.nameOffcuts(r.ID)
	}}
}

// goingOver is a run on its way to another plan.
type goingOver struct {
	*transaction
	run  Run
	over *over
	by   *runPlan // the plan, once it is kept
	told Remade
}

// over is a run on its way to a plan of its rest, without the book: what is marked out on its sticks, and what of it is new in the plan.
type over struct {
	run   Run
	next  int                       // number of a cut that no cut of the run ever had
	kept  map[string][]model.Length // what was to be kept of its sticks, by their names
	marks map[string]marks
	anew  map[model.SideID]bool // sides whose cuts have new numbers
}

// over begins to take a run over to a plan of its rest.
func (rest *RunRest) over(r Run) *over {
	o := &over{run: r, next: 1, kept: rest.kept, marks: marksOf(r), anew: map[model.SideID]bool{}}
	for _, side := range r.sides() {
		o.next = max(o.next, side.No+1)
	}
	return o
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
		var sides []RunSide
		for _, side := range s.Sides {
			if side.Place <= s.earlier {
				sides = append(sides, side)
			}
			if side.Became == ToCut || side.Became == PutOff {
				m.no[side.SideID] = side.No
			}
		}
		sides = append(sides, s.asMarked()...)
		laid, _ := s.laid(sides)
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

// toKeep gives what is to be kept of a run's sticks, as it is marked out.
func toKeep(r Run) map[string][]model.Length {
	all := map[string][]model.Length{}
	for _, s := range r.Sticks {
		if s.State != "open" {
			continue
		}
		here, _ := s.here()
		_, left := s.laid(here)
		for _, part := range left {
			if s.keep > 0 && part.Length() >= s.keep {
				all[s.Stick] = append(all[s.Stick], part.Length())
			}
		}
	}
	return all
}

// number gives a plan of the rest whose cuts have their numbers: a side that stays on its stick keeps the number it has, others get the next that no cut
// of the run ever had.
func (o *over) number(d *plan.Document) *plan.Document {
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

// takeOver has each stick of the plan cut by it from now on, and lays back those that nothing is cut from any more.
func (g *goingOver) takeOver() error {
	for i, s := range g.by.Sticks {
		if s.From != plan.FromRack {
			continue
		}
		at := slices.IndexFunc(g.run.Sticks, func(h RunStick) bool { return h.State == "open" && h.Stick == s.ID })
		if at >= 0 {
			if err := g.keepOn(g.run.Sticks[at], i); err != nil {
				return err
			}
			continue
		}
		if err := g.takeOffcut(s.ID); err != nil {
			return err
		}
		if have, err := g.onRack(s.ID); err != nil || have.Profile != g.run.Profile {
			return fmt.Errorf("the plan of the rest cuts %s, which is not on the rack: %w", s.ID, err)
		}
		if err := g.join(g.run.ID, g.by, i, s.ID, g.step); err != nil {
			return err
		}
		g.told.Joined, g.told.Changed = append(g.told.Joined, s.ID), append(g.told.Changed, s.ID)
		g.told.Labels += len(s.Sides) + len(keptOf(s))
	}
	for _, s := range g.run.Sticks {
		if s.State == "open" && !slices.ContainsFunc(g.by.Sticks, func(p plan.Stick) bool { return p.ID == s.Stick && p.From == plan.FromRack }) {
			if err := g.letGo(s); err != nil {
				return err
			}
		}
	}
	return nil
}

// coming gives those of the sticks on the way that nothing is cut from by the sticks of the plan, and those that other sides are cut from than before.
func (o *over) coming(now []plan.Stick) (left, coming []string) {
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

// keepOn has a stick in hand cut by the plan from now on, as its i-th stick.
func (g *goingOver) keepOn(s RunStick, i int) error {
	now := g.by.Sticks[i]
	earlier, err := g.settle(s)
	if err != nil {
		return err
	}
	changed, labels, names := g.over.onStick(s, now)
	if changed {
		g.told.Changed = append(g.told.Changed, s.Stick)
	}
	g.told.Labels += labels
	marked := s.marked
	if labels > 0 {
		marked = g.step
	}
	_, err = g.exec("UPDATE run_stick SET plan = ?, planned = ?, earlier = ?, gone_nm = ?, marked = ?, offcuts = ? WHERE run = ? AND number = ?",
		g.by.id, i+1, earlier, s.Length-now.Length, marked, strings.Join(names, ","), g.run.ID, s.Number)
	return err
}

// onStick says of a stick in hand, as the plan has it, whether something else is marked out on it now, how many labels are to be printed for it, and what its offcuts
// are called already.
func (o *over) onStick(s RunStick, now plan.Stick) (changed bool, labels int, names []string) {
	var sides []markedSide
	for _, side := range now.Sides {
		sides = append(sides, markedSide{side.SideID, side.Start + s.Length - now.Length})
		if o.anew[side.SideID] {
			labels++
		}
	}
	kept := keptOf(now)
	sameKept := slices.Equal(kept, o.kept[s.Stick])
	if !sameKept {
		labels += len(kept)
	}
	if changed = !sameKept || !slices.Equal(sides, o.marks[s.Stick].sides); !changed {
		names = keptNames(now, s.offcuts)
	}
	return changed, labels, names
}

// keptOf gives what is to be kept of a stick of a plan.
func keptOf(s plan.Stick) (kept []model.Length) {
	for _, left := range append(slices.Clone(s.Between), s.Left) {
		if left.Becomes == plan.Kept {
			kept = append(kept, left.Length)
		}
	}
	return kept
}

// keptNames gives what is kept of a stick of a plan the names that it has, part by part: a flaw may have made a part more.
func keptNames(s plan.Stick, had []string) (names []string) {
	had = slices.DeleteFunc(slices.Clone(had), func(name string) bool { return name == "" })
	for _, left := range append(slices.Clone(s.Between), s.Left) {
		name := ""
		if left.Becomes == plan.Kept && len(had) > 0 {
			name, had = had[0], had[1:]
		}
		names = append(names, name)
	}
	return names
}

// settle puts what is cut from a stick into its first places, where it lies, and gives how many sides that is.
func (g *goingOver) settle(s RunStick) (earlier int, err error) {
	var cut []RunSide
	for _, side := range s.Sides {
		if side.isCut() {
			cut = append(cut, side)
		}
	}
	laid, _ := s.laid(cut)
	for n, side := range cut { // upwards: a place is never taken that is still another's
		if _, err := g.exec("UPDATE cut SET place = ?, start_nm = ? WHERE run = ? AND number = ? AND place = ?", n+1, laid[n].Start, g.run.ID, s.Number, side.Place); err != nil {
			return 0, err
		}
	}
	return len(cut), nil
}

// letGo lays a stick back on the rack that nothing is cut from; one that is begun stays until the run is finished.
func (g *goingOver) letGo(s RunStick) error {
	here, wholly := s.here()
	switch {
	case !slices.ContainsFunc(here, RunSide.isCut) && (s.Flaw == "" || s.worthKeeping(model.Span{To: s.Length})):
		g.told.Left = append(g.told.Left, s.Stick)
		if _, err := g.exec("UPDATE run_stick SET planned = 0, offcuts = '' WHERE run = ? AND number = ?", g.run.ID, s.Number); err != nil {
			return err
		}
		return g.returnStick(g.run.ID, s)
	case wholly && len(here) == len(s.Sides): // it is cut as it was marked out
		return nil
	}
	g.told.Left = append(g.told.Left, s.Stick)
	end := s.cutEnd()
	if s.worthKeeping(model.Span{From: end, To: s.Length}) {
		g.told.Labels++
	}
	earlier, err := g.settle(s)
	if err != nil {
		return err
	}
	_, err = g.exec("UPDATE run_stick SET planned = 0, earlier = ?, gone_nm = ?, marked = ?, offcuts = '' WHERE run = ? AND number = ?",
		earlier, max(end-s.head-s.repeat, 0), g.step, g.run.ID, s.Number)
	return err
}

// takeOffcut books the stick that a kept offcut is of, where it is one of a stick of this run: so it lies on the rack and can be taken.
func (g *goingOver) takeOffcut(name string) error {
	for _, s := range g.run.Sticks {
		if s.State == "open" && slices.Contains(s.offcuts, name) {
			return g.finishStick(g.run, s, nil, &Finished{})
		}
	}
	return nil
}

// tellRemade writes into the diary what is different.
func (g *goingOver) tellRemade() {
	text := fmt.Sprintf("run %d goes on by plan %d", g.run.ID, g.told.Plan)
	if len(g.told.Changed) > 0 {
		text += ", marked out anew: " + listed(g.told.Changed)
	}
	if len(g.told.Left) > 0 {
		text += ", nothing more from " + listed(g.told.Left)
	}
	if len(g.told.Coming) > 0 {
		text += ", other sides from " + listed(g.told.Coming)
	}
	g.tell("%s", text)
}
