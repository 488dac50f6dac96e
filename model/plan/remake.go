package plan

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/solver"
)

// Remade is a plan for the rest of a plan, after something has happened to it.
type Remade struct {
	Workshop *model.Workshop // as After gives it: what the plan is made from, and can be audited against
	Plan     *Document
	Changes  Changes
	Anew     []string // profiles planned without regard to what is marked out: with others, or with frames that are matched
	Minds    []string // what the plan cannot see to: frames of which a part is cut, matched by lot or stick
}

// Changes says how much of what was marked out is different now.
type Changes struct {
	Done    int `json:"sides_done"`     // cut and good
	Again   int `json:"sides_again"`    // cut and to be made again
	Kept    int `json:"sticks_kept"`    // sticks whose sides still to cut all stay where they are marked out; others may come after them
	Changed int `json:"sticks_changed"` // sticks with sides still to cut that do not, or that are no more
	Moved   int `json:"sides_moved"`    // sides still to cut that come off another stick or another place of it
}

// Remake plans the rest of a plan. It is as cheap as a plan made from nothing but what is left (After), with the same bound
// and proof; among such plans it keeps sticks as they are marked out. No further stick could be kept besides those that
// are, but other sticks might be more. Profiles that are planned together, and those with frames that must be matched, are
// planned as if nothing were marked out (Remade.Anew).
//
// Options.Until, Options.Profiles and Options.Order are the plan's own. Errors are those of After and of Make.
func Remake(ctx context.Context, w *model.Workshop, d *Document, events []Event, o Options) (*Remade, error) {
	a, err := midway(w, d, events)
	if err != nil {
		return nil, err
	}
	of, err := optionsOf(d)
	if err != nil {
		return nil, err
	}
	o.Until, o.Profiles, o.Order = of.Until, of.Profiles, of.Order
	fresh, err := Make(ctx, a.now, o)
	if err != nil {
		return nil, err
	}
	tasks, err := prepare(a.now, o)
	if err != nil {
		return nil, err
	}
	r := &remaking{middle: a, o: o.withDefaults()}
	outcomes := make([]profileOutcome, len(fresh.Profiles))
	for n, p := range fresh.Profiles {
		outcomes[n].plan = p
		for _, line := range fresh.Buy {
			if line.Profile == p.Name {
				outcomes[n].lines = append(outcomes[n].lines, line)
			}
		}
	}
	var anew []string
	for _, b := range batches(a.now, tasks) {
		for _, t := range b.tasks {
			if !b.holdable() {
				anew = append(anew, t.profile.Name)
				continue
			}
			if err := r.keep(ctx, b, &outcomes[slices.Index(tasks, t)]); err != nil {
				return nil, err
			}
		}
	}
	r.nameOffcuts(outcomes)
	next := *fresh
	next.Profiles = nil
	for _, one := range outcomes {
		next.Profiles = append(next.Profiles, one.plan)
	}
	next.Buy = buyList(a.now, outcomes)
	next.Orders, next.Jobs, next.Total = orders(a.now, next.Buy), jobCosts(a.now, next.Profiles), total(next.Profiles, next.Together)
	return &Remade{Workshop: a.now, Plan: &next, Changes: r.changes(next.Profiles), Anew: inTableOrder(w, anew), Minds: Minds(a.now, next.Profiles)}, nil
}

// holdable says whether sticks can be held to what is marked out: the profile stands alone, and each side may come off any stick.
func (b *batch) holdable() bool {
	return len(b.tasks) == 1 && len(b.tasks[0].bound) == 0 &&
		!slices.ContainsFunc(b.tasks[0].units, func(u unit) bool { return len(u.pieces) > 1 })
}

// remaking looks for the sticks that can stay as they are marked out.
type remaking struct {
	*middle
	o Options
}

// left is the sides that are still to be cut from the stick.
func (m *marked) left() []Side { return m.Sides[m.cut():] }

// keep changes the profile's plan for one of the same cost in which as much as may be is as it was. Where none can be had the
// plan stays.
func (r *remaking) keep(ctx context.Context, b *batch, one *profileOutcome) error {
	p := &one.plan
	k := &keeper{remaking: r, b: b, t: b.tasks[0], most: p.Figures.Cost}
	var sticks []*marked
	for _, m := range r.sticks {
		if _, ok := k.stick(m); ok && m.profile.Name == p.Name && len(m.left()) > 0 {
			sticks = append(sticks, m)
		}
	}
	slices.SortStableFunc(sticks, func(a, b *marked) int { return min(b.cut(), 1) - min(a.cut(), 1) }) // those that are begun first
	if err := k.add(ctx, sticks); err != nil {
		return err
	}
	if len(k.kept) == 0 {
		return nil
	}
	return k.merge(ctx, one)
}

// keeper keeps the sticks of one profile.
type keeper struct {
	*remaking
	b    *batch
	t    *task
	most model.Money // what the plan may cost
	kept []*marked
	rest *Document // the plan of everything else
}

// add keeps as many of the sticks as can be kept at no greater cost, besides those that are kept already: all, or else those
// that can of the first half and then of the second. One that cannot be kept now cannot be kept later either, for the more is
// kept, the less is left to choose.
func (k *keeper) add(ctx context.Context, sticks []*marked) error {
	if len(sticks) == 0 || ctx.Err() != nil {
		return nil
	}
	all := slices.Concat(k.kept, sticks)
	rest, cost, err := k.besides(ctx, all)
	switch {
	case err != nil:
		return err
	case rest != nil && cost <= k.most:
		k.kept, k.rest = all, rest
		return nil
	case len(sticks) == 1:
		return nil
	}
	half := len(sticks) / 2
	if err := k.add(ctx, sticks[:half]); err != nil {
		return err
	}
	return k.add(ctx, sticks[half:])
}

// besides plans everything but what comes off these sticks, and gives the cost of both together. Nil: that cannot be cut.
func (k *keeper) besides(ctx context.Context, sticks []*marked) (*Document, model.Money, error) {
	type frame struct{ job, frame string }
	spoken := map[frame][]model.CutSide{}
	ids := map[string]bool{}
	var cost model.Money
	for _, m := range sticks {
		ids[m.id] = true
		s, _ := k.stick(m)
		cost += s.Cost - s.Left.Worth
		for _, left := range s.Between {
			cost -= left.Worth
		}
		for _, s := range m.left() {
			key := frame{s.Job, s.Frame}
			spoken[key] = append(spoken[key], model.CutSide{Copy: s.Copy, Ring: s.Ring, Letter: s.Letter})
		}
	}
	w := *k.now
	w.Rack = slices.DeleteFunc(slices.Clone(w.Rack), func(s model.Stick) bool { return ids[s.ID] })
	w.Jobs = withCut(w.Jobs, func(job, name string) []model.CutSide { return spoken[frame{job, name}] })
	o := k.o
	o.Profiles, o.Progress = []string{k.t.profile.Name}, nil
	d, err := Make(ctx, &w, o)
	if cannot(err) {
		return nil, 0, nil
	}
	if err != nil {
		return nil, 0, err
	}
	return d, cost + d.Total.Figures.Cost, nil
}

// cannot says whether an error is that something cannot be cut.
func cannot(err error) bool {
	var all model.Errors
	if !errors.As(err, &all) {
		return false
	}
	return !slices.ContainsFunc(all, func(e *model.Error) bool { return e.Kind != model.CannotCut })
}

// onRack gives a stick of the rack as it is now.
func (a *middle) onRack(id string) model.Stick {
	return a.now.Rack[slices.IndexFunc(a.now.Rack, func(s model.Stick) bool { return s.ID == id })]
}

// merge makes one plan of the sticks that are kept and the plan of the rest. The certificate is that of the plan made from
// nothing, whose bound the cost still meets; the verifier looks at it again. What it does not accept is not taken. Where
// no run can be had with the kept sticks as they are marked out, their sides lie in another order.
func (k *keeper) merge(ctx context.Context, one *profileOutcome) error {
	p, q := &one.plan, one.plan
	q.Sticks = nil
	for _, m := range k.kept {
		s, _ := k.stick(m)
		q.Sticks = append(q.Sticks, s)
	}
	for _, rest := range k.rest.Profiles {
		q.Sticks = append(q.Sticks, rest.Sticks...)
	}
	if !k.keepRun(&q) {
		k.t.putInOrder(&q, k.o.Order)
	}
	c, ok := k.course(q.Sticks)
	if !ok {
		return nil
	}
	all := []course{c}
	q.Figures = k.t.figures(c, k.b.deliveries(all)[0])
	q.Jobs = k.t.jobShares(q.Figures.Cost)
	if q.Figures.Cost != p.Figures.Cost {
		return nil
	}
	cuts, ok := k.recut(p.Cuts, all)
	if !ok {
		return nil
	}
	q.Cuts = cuts
	if k.o.Verify != nil {
		grade, lower, err := k.o.Verify(context.WithoutCancel(ctx), cuts)
		if err != nil {
			return nil
		}
		q.Bound = max(0, min(model.Money(lower), q.Figures.Cost))
		q.Gap = q.Figures.Cost - q.Bound
		q.Grade = worse(p.Grade, Grade(grade))
	}
	*one = profileOutcome{plan: q, lines: k.t.purchases(c)}
	return nil
}

// stick is a kept stick as the new plan has it: the sides that are left, nearer the head by what is cut. False: they do not go
// where they are marked out.
func (k *keeper) stick(m *marked) (Stick, bool) {
	if m.id == "" || m.profile.Name != k.t.profile.Name {
		return Stick{}, false
	}
	have := k.onRack(m.id)
	s := Stick{ID: m.id, From: FromRack, Place: have.Place, Lot: have.Lot, Length: have.Length, Cost: k.now.StickValue(have)}
	for _, d := range have.Damage {
		s.Damage = append(s.Damage, Span(d))
	}
	begins, took, next := m.begins(), m.took(), m.cut()
	var lefts []Left
	for _, kind := range k.t.kindsOf(s) {
		part := k.t.kinds[kind]
		at := part.from
		for ; next < len(m.Sides) && begins[next]-took == at; next++ {
			side := m.Sides[next]
			side.Start -= took
			s.Sides = append(s.Sides, side)
			at += side.Takes
		}
		if at > part.from+part.usable {
			return s, false
		}
		lefts = append(lefts, k.t.left(part, at-part.from))
	}
	if len(lefts) == 0 || next < len(m.Sides) {
		return s, false
	}
	last := len(lefts) - 1
	s.Between, s.Left = lefts[:last:last], lefts[last]
	if last == 0 {
		s.Between = nil
	}
	return s, true
}

// kindsOf finds the kinds of a stick's sound parts, from its head on.
func (t *task) kindsOf(s Stick) (kinds []int) {
	for n, k := range t.kinds {
		found := false
		if s.From == Bought {
			found = k.bought() && t.supplies[k.supply].listOf(t.profile.Name) == listOf(t.profile.Name, s)
		} else {
			found = slices.ContainsFunc(k.rack, func(r model.Stick) bool { return r.ID == s.ID })
		}
		if found {
			kinds = append(kinds, n)
		}
	}
	slices.SortFunc(kinds, func(a, b int) int { return int(min(max(t.kinds[a].from-t.kinds[b].from, -1), 1)) })
	return kinds
}

func (s supply) listOf(profile string) boughtFrom {
	from := boughtFrom{s.supplier, profile, s.length, s.longest, s.bundle}
	if from.bundle == 1 {
		from.bundle = 0
	}
	return from
}

// course reads sticks, and what the plan of the rest buys, as a course.
func (k *keeper) course(sticks []Stick) (c course, ok bool) {
	c = newCourse(k.t)
	for _, s := range sticks {
		parts, ok := k.t.layoutsOf(s)
		if !ok {
			return c, false
		}
		c.layouts = append(c.layouts, parts...)
	}
	for _, line := range k.rest.Buy {
		n := slices.IndexFunc(k.t.supplies, func(s supply) bool { return line.isOf(k.t.profile.Name, s) })
		if n < 0 {
			return c, false
		}
		c.bundles[n] += int64(line.Bundles())
	}
	return c, true
}

// layoutsOf finds the kinds of a stick's parts and the items of its sides. Parts that nothing is cut from are left out.
func (t *task) layoutsOf(s Stick) (all []layout, ok bool) {
	n := 0
	for _, kind := range t.kindsOf(s) {
		l := layout{kind: kind}
		for end := t.kinds[kind].from + t.kinds[kind].usable; n < len(s.Sides) && s.Sides[n].Start < end; n++ {
			side := s.Sides[n]
			i := slices.IndexFunc(t.items, func(it item) bool { return it.need == side.Takes && it.longPoint == side.LongPoint })
			if i < 0 {
				return nil, false
			}
			l.items = append(l.items, i)
			l.used += side.Takes
		}
		if len(l.items) > 0 {
			slices.Sort(l.items)
			all = append(all, l)
		}
	}
	return all, n == len(s.Sides)
}

// recut puts other patterns and choices into a cuts document of this profile, with what they cost. False: it is of another making.
func (k *keeper) recut(cuts []byte, all []course) ([]byte, bool) {
	var doc, source map[string]json.RawMessage
	if json.Unmarshal(cuts, &doc) != nil {
		return nil, false
	}
	patterns, choices := k.b.solution(all)
	r := solver.Result{HasPlan: true, Patterns: patterns, Cost: k.b.cost(patterns, choices)}
	if len(k.b.problem.Choices) > 0 {
		r.Choices = choices
	}
	other, err := solver.Document(k.b.problem, r)
	if err != nil || json.Unmarshal(other, &source) != nil {
		return nil, false
	}
	for _, part := range []string{"patterns", "chosen", "cost"} {
		delete(doc, part)
		if value, ok := source[part]; ok {
			doc[part] = value
		}
	}
	out, err := json.Marshal(doc)
	return out, err == nil
}

// nameOffcuts names the kept offcuts: those of sticks that are as they were as before, the others as nobody is called.
func (r *remaking) nameOffcuts(plans []profileOutcome) {
	old := map[string]string{} // by stick
	for _, m := range r.sticks {
		if m.id != "" && m.Left.Becomes == Kept {
			old[m.id] = m.Left.ID
		}
	}
	taken := map[string]bool{}
	for _, s := range r.now.Rack {
		taken[s.ID] = true
	}
	var unnamed []*Left
	for p := range plans {
		for n := range plans[p].plan.Sticks {
			s := &plans[p].plan.Sticks[n]
			for between := range s.Between {
				if s.Between[between].Becomes == Kept {
					unnamed = append(unnamed, &s.Between[between])
				}
			}
			if s.Left.Becomes != Kept {
				continue
			}
			if id := old[s.ID]; s.From == FromRack && id != "" && !taken[id] {
				s.Left.ID = id
				taken[id] = true
				continue
			}
			unnamed = append(unnamed, &s.Left)
		}
	}
	n := 0
	for _, left := range unnamed {
		left.ID = ""
		for left.ID == "" || taken[left.ID] {
			n++
			left.ID = fmt.Sprintf("offcut %d", n)
		}
		taken[left.ID] = true
	}
}

// changes compares the plan with what was marked out.
func (r *remaking) changes(plans []ProfilePlan) (c Changes) {
	type mark struct {
		stick string
		start model.Length
	}
	now := map[sideKey]mark{}
	for _, p := range plans {
		for _, s := range p.Sticks {
			if s.From != FromRack {
				continue
			}
			for _, side := range s.Sides {
				now[sideKey{side.Job, side.Frame, side.Copy, side.Ring, side.Letter}] = mark{s.ID, side.Start}
			}
		}
	}
	for _, m := range r.sticks {
		for n := range m.cut() {
			if m.became[n] == Done {
				c.Done++
			} else {
				c.Again++
			}
		}
		moved := 0
		for _, side := range m.left() {
			key := sideKey{side.Job, side.Frame, side.Copy, side.Ring, side.Letter}
			if m.id == "" || now[key] != (mark{m.id, side.Start - m.took()}) {
				moved++
			}
		}
		c.Moved += moved
		switch {
		case len(m.left()) == 0:
		case moved == 0:
			c.Kept++
		default:
			c.Changed++
		}
	}
	return c
}

// Minds names the frames that are to be matched and of which a part is cut and good already (model.JobFrame.Cut): what a plan of
// the workshop cuts for them matches among itself, but the problem does not know what is cut.
func Minds(w *model.Workshop, plans []ProfilePlan) []string {
	type ring struct {
		job, frame string
		copy, ring int
	}
	done := map[ring]bool{}
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			for _, c := range f.Cut {
				done[ring{j.ID, f.ID, c.Copy, c.Ring}] = true
			}
		}
	}
	var minds []string
	for _, p := range plans {
		profile, _ := w.ProfileByName(p.Name)
		for _, s := range p.Sticks {
			for _, side := range s.Sides {
				at := ring{side.Job, side.Frame, side.Copy, side.Ring}
				n := slices.IndexFunc(w.Jobs, func(j model.Job) bool { return j.ID == side.Job })
				if !done[at] || w.MatchOf(w.Jobs[n], profile) == model.MatchFree {
					continue
				}
				done[at] = false // each once
				minds = append(minds, fmt.Sprintf("job %s, frame %s, copy %d: a part of it is cut already, and the plan does not match the rest to that: see that it does",
					side.Job, side.Frame, side.Copy))
			}
		}
	}
	return minds
}
