package book

import (
	"fmt"
	"slices"
	"strings"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/runs"
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
func GoOver(rest *runs.Rest, d *plan.Document, told func(Remade)) Change {
	return Change{"plan the rest", func(t *transaction) error {
		step, err := t.lastStep()
		if err != nil {
			return err
		}
		if step != rest.Step {
			return ErrMeanwhile
		}
		r, err := t.run(rest.Run)
		if err != nil {
			return err
		}
		g := &goingOver{transaction: t, run: r, over: rest.Over(r)}
		id, err := t.keep(g.over.Number(d), r.ID)
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
		left, coming := g.over.Coming(g.by.Sticks)
		g.told.Left, g.told.Coming = append(g.told.Left, left...), append(g.told.Coming, coming...)
		g.tellRemade()
		told(g.told)
		return t.nameOffcuts(r.ID)
	}}
}

// goingOver is a run on its way to another plan.
type goingOver struct {
	*transaction
	run  runs.Run
	over *runs.Over
	by   *runs.Plan // the plan, once it is kept
	told Remade
}

// takeOver has each stick of the plan cut by it from now on, and lays back those that nothing is cut from any more.
func (g *goingOver) takeOver() error {
	for i, s := range g.by.Sticks {
		if s.From != plan.FromRack {
			continue
		}
		at := slices.IndexFunc(g.run.Sticks, func(h runs.Stick) bool { return h.State == "open" && h.Stick == s.ID })
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
		g.told.Labels += len(s.Sides) + len(s.Keeps())
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

// keepOn has a stick in hand cut by the plan from now on, as its i-th stick.
func (g *goingOver) keepOn(s runs.Stick, i int) error {
	now := g.by.Sticks[i]
	earlier, err := g.settle(s)
	if err != nil {
		return err
	}
	changed, labels, names := g.over.OnStick(s, now)
	if changed {
		g.told.Changed = append(g.told.Changed, s.Stick)
	}
	g.told.Labels += labels
	marked := s.Marked
	if labels > 0 {
		marked = g.step
	}
	_, err = g.exec("UPDATE run_stick SET plan = ?, planned = ?, earlier = ?, gone_nm = ?, marked = ?, offcuts = ? WHERE run = ? AND number = ?",
		g.by.ID, i+1, earlier, s.Length-now.Length, marked, strings.Join(names, ","), g.run.ID, s.Number)
	return err
}

// settle puts what is cut from a stick into its first places, where it lies, and gives how many sides that is.
func (g *goingOver) settle(s runs.Stick) (earlier int, err error) {
	var cut []runs.Side
	for _, side := range s.Sides {
		if side.IsCut() {
			cut = append(cut, side)
		}
	}
	laid, _ := s.Laid(cut)
	for n, side := range cut { // upwards: a place is never taken that is still another's
		if _, err := g.exec("UPDATE cut SET place = ?, start_nm = ? WHERE run = ? AND number = ? AND place = ?", n+1, laid[n].Start, g.run.ID, s.Number, side.Place); err != nil {
			return 0, err
		}
	}
	return len(cut), nil
}

// letGo lays a stick back on the rack that nothing is cut from; one that is begun stays until the run is finished.
func (g *goingOver) letGo(s runs.Stick) error {
	here, wholly := s.Here()
	switch {
	case !slices.ContainsFunc(here, runs.Side.IsCut) && (s.Flaw == "" || s.WorthKeeping(model.Span{To: s.Length})):
		g.told.Left = append(g.told.Left, s.Stick)
		if _, err := g.exec("UPDATE run_stick SET planned = 0, offcuts = '' WHERE run = ? AND number = ?", g.run.ID, s.Number); err != nil {
			return err
		}
		return g.returnStick(g.run.ID, s)
	case wholly && len(here) == len(s.Sides): // it is cut as it was marked out
		return nil
	}
	g.told.Left = append(g.told.Left, s.Stick)
	end := s.CutEnd()
	if s.WorthKeeping(model.Span{From: end, To: s.Length}) {
		g.told.Labels++
	}
	earlier, err := g.settle(s)
	if err != nil {
		return err
	}
	_, err = g.exec("UPDATE run_stick SET planned = 0, earlier = ?, gone_nm = ?, marked = ?, offcuts = '' WHERE run = ? AND number = ?",
		earlier, max(end-s.Head-s.Repeat, 0), g.step, g.run.ID, s.Number)
	return err
}

// takeOffcut books the stick that a kept offcut is of, where it is one of a stick of this run: so it lies on the rack and can be taken.
func (g *goingOver) takeOffcut(name string) error {
	for _, s := range g.run.Sticks {
		if s.State == "open" && slices.Contains(s.Offcuts, name) {
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
