package planner

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/sequence"
	"longpoint/model/stock"
	"longpoint/solver"
)

// Remade is a plan for the rest of a plan, after something has happened to it.
type Remade struct {
	Workshop  *model.Workshop // as stock.Midway gives it: what the plan is made from, and can be audited against
	Plan      *plan.Document
	Changes   Changes
	Anew      []string // profiles planned without regard to what is marked out
	Unmatched []string // what the plan cannot see to: frames of which a part is cut, matched by lot or stick
}

// Changes says how much of what was marked out is different now.
type Changes struct {
	Done    int `json:"sides_done"`     // cut and good
	Again   int `json:"sides_again"`    // cut and to be made again
	Kept    int `json:"sticks_kept"`    // sticks whose sides still to cut all stay where they are marked out; others may come after them
	Changed int `json:"sticks_changed"` // sticks with sides still to cut that do not, or that are no more
	Moved   int `json:"sides_moved"`    // sides still to cut that come off another stick or another place of it
}

// Remake plans the rest of a plan. It is as cheap as a plan made from nothing but what is left (stock.Midway), with the same bound
// and proof; among such plans it keeps sticks as they are marked out. No further stick could be kept besides those that
// are, if the time sufficed to try, but other sticks might be more. Of profiles that are planned together each keeps what it can while the
// others' plans are as they are. Sticks that hold sides of one frame that must match are kept together or not at all.
//
// Options.Until, Options.Profiles and Options.CutOrder are the plan's own. Errors are those of stock.Midway and of Make.
func Remake(ctx context.Context, w *model.Workshop, d *plan.Document, events []stock.Event, o Options) (*Remade, error) {
	a, err := stock.StateOf(w, d, events)
	if err != nil {
		return nil, err
	}
	if o.Until, err = d.UntilDay(); err != nil {
		return nil, err
	}
	o.Profiles, o.CutOrder = d.Only, ""
	if len(d.Profiles) > 0 {
		o.CutOrder = d.Profiles[0].Run.Order // of all
	}
	limit := o.withDefaults().TimeLimit
	ctx, o, stop := o.inTwo(ctx)
	defer stop()
	start := time.Now()
	fresh, err := Make(ctx, a.Now, o)
	if err != nil {
		return nil, err
	}
	profiles, err := prepare(a.Now, o)
	if err != nil {
		return nil, err
	}
	r := &remaking{State: a, o: o.withDefaults()}
	outcomes := make([]profileOutcome, len(fresh.Profiles))
	for n, p := range fresh.Profiles {
		outcomes[n].plan = p
		for _, line := range fresh.Buy {
			if line.Profile == p.Name {
				outcomes[n].lines = append(outcomes[n].lines, line)
			}
		}
	}
	// What can be kept is looked for about as long as the plan took, or a leastKeeping-th part of the limit: the plan is as cheap without.
	keeping, stop := context.WithTimeout(ctx, max(limit/leastKeeping, More(limit, time.Since(start))))
	defer stop()
	var anew []string
	for _, jp := range jointProblems(a.Now, profiles) {
		g := &jointPlan{jointProblem: jp}
		for _, pp := range jp.profiles {
			g.plans = append(g.plans, &outcomes[slices.Index(profiles, pp)])
		}
		if n := g.plans[0].plan.Together; n > 0 {
			g.gap = fresh.Together[n-1].Gap
		}
		names, err := r.keepAll(keeping, g)
		if err != nil {
			return nil, err
		}
		anew = append(anew, names...)
	}
	r.nameOffcuts(outcomes)
	next := *fresh
	next.Profiles = nil
	for _, one := range outcomes {
		next.Profiles = append(next.Profiles, one.plan)
	}
	next.Buy = buyList(a.Now, outcomes)
	next.Sum(a.Now)
	return &Remade{Workshop: a.Now, Plan: &next, Changes: r.changes(next.Profiles), Anew: inTableOrder(w, anew), Unmatched: UnmatchedFrames(a.Now, next.Profiles, nil)}, nil
}

// leastKeeping is the part of the time limit that may at least be taken to look for the sticks that can stay.
const leastKeeping = 5

// remaking looks for the sticks that can stay as they are marked out.
type remaking struct {
	*stock.State
	o Options
}

// jointPlan is the profiles of a joint problem and their plans, in the order of its profiles.
type jointPlan struct {
	*jointProblem
	plans []*profileOutcome
	all   []solution  // of the plans
	most  model.Money // what all of them cost, and may cost
	gap   model.Money // between that and the bound, of profiles that are bound together
}

// together says whether suppliers' terms bind several profiles.
func (g *jointPlan) together() bool { return len(g.profiles) > 1 }

// read turns the plans into solutions. False: the solutions do not cost what the plans do.
func (g *jointPlan) read() bool {
	g.all = nil
	for n, pp := range g.profiles {
		one := g.plans[n]
		g.most += one.plan.Figures.Cost
		sol, ok := pp.solutionOf(one.plan.Sticks, one.lines)
		if !ok {
			return false
		}
		g.all = append(g.all, sol)
	}
	return g.costs(g.all) == g.most
}

// costs returns what solutions cost together, or the greatest number where an order does not come to what its supplier asks.
func (g *jointPlan) costs(all []solution) model.Money {
	if _, choices := g.patternsAndChoices(all); !g.allowed(all, choices) {
		return math.MaxInt64
	}
	_, sum := g.figures(all)
	return sum
}

// figures sums up each profile's solution, with its share of the charges for delivery, and all of them.
func (g *jointPlan) figures(all []solution) (out []plan.Figures, sum model.Money) {
	for n, delivery := range g.deliveries(all) {
		f := g.profiles[n].figures(all[n], delivery)
		out = append(out, f)
		sum += f.Cost
	}
	return out, sum
}

// replaced is the group's solutions with another of its n-th profile.
func (g *jointPlan) replaced(n int, sol solution) []solution {
	all := slices.Clone(g.all)
	all[n] = sol
	return all
}

// dropTerms takes away the terms of those suppliers that the plans order from, so that one profile can order more or less from them while
// the others' orders stay. The offers stay, because the rack's value follows from them.
func (g *jointPlan) dropTerms(w *model.Workshop) {
	w.Suppliers = slices.DeleteFunc(slices.Clone(w.Suppliers), func(s model.Supplier) bool {
		_, sticks := g.orderTotal(g.all, s.Name)
		return sticks > 0
	})
}

// keepAll keeps what it can of one profile after another, while the plans of the others stay as they are by then. It returns the profiles
// that were planned without regard to what is marked out.
func (r *remaking) keepAll(ctx context.Context, g *jointPlan) (anew []string, err error) {
	if !g.read() {
		for _, pp := range g.profiles {
			anew = append(anew, pp.profile.Name)
		}
		return anew, nil
	}
	for n := range g.profiles {
		if err := r.keep(ctx, g, n); err != nil {
			return nil, err
		}
	}
	return nil, nil
}

// keep replaces the plan of the n-th profile by one of the same cost that keeps as many sticks as they are marked out as it can. Where it can
// keep none, the plan stays.
func (r *remaking) keep(ctx context.Context, g *jointPlan, n int) error {
	k := &keeper{remaking: r, g: g, n: n, t: g.profiles[n]}
	var sticks []*stock.MarkedStick
	for _, m := range r.Sticks {
		if _, ok := k.stick(m); ok && m.Profile.Name == k.t.profile.Name && len(m.ToCut()) > 0 {
			sticks = append(sticks, m)
		}
	}
	slices.SortStableFunc(sticks, func(a, b *stock.MarkedStick) int { return min(b.Cut(), 1) - min(a.Cut(), 1) }) // those that are begun first
	groups := k.t.heldTogether(sticks)
	for _, anyRun := range []bool{false, true} {
		k.anyRun = anyRun
		if err := k.keepOf(ctx, groups); err != nil {
			return err
		}
		if len(k.kept) > 0 {
			return k.merge(ctx)
		}
	}
	p := &g.plans[n].plan
	if laid, run, ok := sequence.Continue(k.t.w, p.Name, k.o.CutOrder, p.Sticks, nil, p.Run.Cuts, k.o.AtMachine); ok { // the stick in hand first
		p.Sticks, p.Run = laid, run
	}
	return nil
}

// keeper keeps the sticks of one profile.
type keeper struct {
	*remaking
	g        *jointPlan
	n        int // which of its profiles
	t        *profileProblem
	kept     []*stock.MarkedStick
	rest     *plan.Document // the plan of everything else
	solution solution       // the profile's, of both
	sticks   []plan.Stick   // of both, first those that are kept
	run      plan.Run
	anyRun   bool // where the kept sticks as they are marked out allow no run, their sides may be put in another order
}

// keepOf keeps the most that one of three ways finds: the groups from the first on, from the last on, and all but one, which is what most
// mishaps take.
func (k *keeper) keepOf(ctx context.Context, groups [][]*stock.MarkedStick) error {
	backward := slices.Clone(groups)
	slices.Reverse(backward)
	best, all := *k, len(slices.Concat(groups...))
	for n, way := range []func(*keeper) error{
		func(k *keeper) error { return k.add(ctx, groups) },
		func(k *keeper) error { return k.add(ctx, backward) },
		func(k *keeper) error { return k.addButOne(ctx, groups) },
	} {
		if n > 0 && all-len(best.kept) < 2 {
			break
		}
		now := *k
		if err := way(&now); err != nil {
			return err
		}
		if len(now.kept) > len(best.kept) {
			best = now
		}
	}
	*k = best
	return nil
}

// addButOne keeps all of these groups but one, or none.
func (k *keeper) addButOne(ctx context.Context, groups [][]*stock.MarkedStick) error {
	for n := range groups {
		if ok, err := k.try(ctx, slices.Concat(groups[:n], groups[n+1:])); ok || err != nil {
			return err
		}
	}
	return nil
}

// add keeps as many of these groups of sticks as it can at no greater cost, each group whole or not at all. It tries all of them together,
// and if that fails the first half and then the second. A group that cannot be kept now cannot be kept later: the more is kept, the less is
// left to choose.
func (k *keeper) add(ctx context.Context, groups [][]*stock.MarkedStick) error {
	if ok, err := k.try(ctx, groups); ok || err != nil || len(groups) < 2 {
		return err
	}
	half := len(groups) / 2
	if err := k.add(ctx, groups[:half]); err != nil {
		return err
	}
	return k.add(ctx, groups[half:])
}

// try keeps all of these groups besides what is kept, if that costs no more and they allow a run.
func (k *keeper) try(ctx context.Context, groups [][]*stock.MarkedStick) (ok bool, err error) {
	if len(groups) == 0 || ctx.Err() != nil {
		return false, nil
	}
	all := slices.Concat(k.kept, slices.Concat(groups...))
	var rest *plan.Document
	var sol solution
	for _, costsOnly := range []bool{true, false} { // the second time nothing is searched but how it is best cut
		if rest, err = k.planRest(ctx, all, costsOnly); err != nil {
			return false, err
		}
		if sol, ok = k.affords(all, rest); !ok {
			return false, nil
		}
	}
	more := *k
	more.kept, more.rest, more.solution = all, rest, sol
	if ok = more.keptRun() || k.anyRun; ok {
		*k = more
	}
	return ok, nil
}

// heldTogether groups the sticks that can only be kept together, because they hold sides of one frame that must match. It leaves out sticks
// that hold only some of the sides that must lie on one stick or come from one lot.
func (pp *profileProblem) heldTogether(sticks []*stock.MarkedStick) (groups [][]*stock.MarkedStick) {
	on := map[model.SideID]int{} // which stick a side is marked out on
	for n, m := range sticks {
		for _, s := range m.ToCut() {
			on[s.SideID] = n
		}
	}
	held, broken := newUnionFind(len(sticks)), make([]bool, len(sticks))
	bind := func(pieces []int, apart bool) {
		var at []int
		whole := true
		for _, p := range pieces {
			n, ok := on[pp.pieces[p].id]
			if whole = whole && ok; ok {
				at = append(at, n)
			}
		}
		for _, n := range at {
			held.join(at[0], n)
			broken[n] = broken[n] || !whole || !apart && n != at[0]
		}
	}
	for _, u := range pp.units {
		bind(u.pieces, false)
	}
	for _, b := range pp.bound {
		for _, ring := range b.rings {
			bind(ring, true)
		}
	}
	for _, set := range held.sets() {
		var one []*stock.MarkedStick
		for _, n := range set {
			one = append(one, sticks[n])
		}
		if !slices.ContainsFunc(set, func(n int) bool { return broken[n] }) {
			groups = append(groups, one)
		}
	}
	return groups
}

// affords returns the profile's solution made of kept sticks and a plan of the rest, if all profiles together then cost what they do now.
// It also tries with the bundles that are bought of the profile now, even if nothing is cut from them: an order may need them to reach its
// supplier's least.
func (k *keeper) affords(kept []*stock.MarkedStick, rest *plan.Document) (solution, bool) {
	if rest == nil {
		return solution{}, false
	}
	sol, ok := k.t.solutionOf(k.sticksWith(kept, rest), rest.Buy)
	if !ok {
		return solution{}, false
	}
	more := sol
	more.bundles = slices.Clone(sol.bundles)
	for n, have := range k.g.all[k.n].bundles {
		more.bundles[n] = max(more.bundles[n], have)
	}
	for _, sol := range []solution{sol, more} {
		if k.g.costs(k.g.replaced(k.n, sol)) == k.g.most {
			return sol, true
		}
	}
	return solution{}, false
}

// planRest plans the profile's sides that do not come off these sticks, and with costsOnly does no more than that. Nothing is verified: what the plan of both is
// made of is, at the end. It returns nil where they cannot be cut.
func (k *keeper) planRest(ctx context.Context, sticks []*stock.MarkedStick, costsOnly bool) (*plan.Document, error) {
	var spoken []model.SideID
	ids := map[string]bool{}
	for _, m := range sticks {
		ids[m.RackID] = true
		for _, s := range m.ToCut() {
			spoken = append(spoken, s.SideID)
		}
	}
	w := *k.Now
	w.Rack = slices.DeleteFunc(slices.Clone(w.Rack), func(s model.Stick) bool { return ids[s.ID] })
	w.Jobs = model.MarkCut(w.Jobs, spoken)
	if k.g.together() {
		k.g.dropTerms(&w)
	}
	o := k.o
	o.Profiles, o.CostsOnly, o.Verify, o.Progress = []string{k.t.profile.Name}, costsOnly, nil, nil
	d, err := Make(ctx, &w, o)
	if onlyCannotCut(err) {
		return nil, nil
	}
	return d, err
}

// sticksWith is these sticks as they are kept, and those of the plan of the rest.
func (k *keeper) sticksWith(kept []*stock.MarkedStick, rest *plan.Document) (all []plan.Stick) {
	for _, m := range kept {
		s, _ := k.stick(m)
		all = append(all, s)
	}
	for _, p := range rest.Profiles {
		all = append(all, p.Sticks...)
	}
	return all
}

// onlyCannotCut says whether an error is that something cannot be cut.
func onlyCannotCut(err error) bool {
	var all model.Errors
	if !errors.As(err, &all) {
		return false
	}
	return !slices.ContainsFunc(all, func(e *model.Error) bool { return e.Kind != model.CannotCut })
}

// merge makes one plan of the kept sticks and the plan of the rest. The certificate stays that of the plan made from nothing, because the
// cost is the same; the verifier checks it again with the new patterns, and where it rejects them the plan made from nothing stays.
func (k *keeper) merge(ctx context.Context) error {
	q := k.g.plans[k.n].plan
	q.Sticks, q.Run = k.sticks, k.run
	if k.anyRun && !k.keptRun() {
		k.t.findRun(&q, k.o.CutOrder)
	}
	for n := range q.Sticks { // the price of one may be that of another number
		if s := &q.Sticks[n]; s.From == plan.Bought {
			at := k.t.kinds[k.t.kindsOf(*s)[0]].supply
			s.Cost = k.t.supplies[at].price(k.solution.bundles[at]) / model.Money(k.t.supplies[at].bundle)
		}
	}
	all := k.g.replaced(k.n, k.solution)
	figures, sum := k.g.figures(all) // sum is what it was: k affords it
	if !k.g.together() {
		var err error
		if q.Cuts, err = solver.WithPlan(q.Cuts, k.g.restated(solver.Result{}, all)); err != nil {
			return nil
		}
		if k.o.Verify != nil {
			grade, lower, err := k.o.Verify(context.WithoutCancel(ctx), q.Cuts)
			if err != nil {
				return nil
			}
			q.Bound = max(0, min(model.Money(lower), sum))
			q.Gap = sum - q.Bound
			q.Grade = q.Grade.Worse(plan.Grade(grade))
		}
	}
	k.g.all = all
	*k.g.plans[k.n] = profileOutcome{plan: q, lines: k.t.purchases(k.solution)}
	for n, pp := range k.g.profiles {
		p := &k.g.plans[n].plan
		gap := p.Gap
		if k.g.together() {
			gap = min(k.g.gap, figures[n].Cost)
		}
		p.Figures, p.Gap, p.Bound = figures[n], gap, figures[n].Cost-gap
		p.Jobs = pp.jobShares(p.Shared())
	}
	return nil
}

// stick returns a kept stick as the new plan has it: with the sides that are still to be cut, each nearer the head by what is cut off already.
// False: they do not fit where they are marked out.
func (k *keeper) stick(m *stock.MarkedStick) (plan.Stick, bool) {
	if m.RackID == "" || m.Profile.Name != k.t.profile.Name {
		return plan.Stick{}, false
	}
	have := k.OnRack(m.RackID)
	s := ofRack(have)
	s.Cost = k.Now.StickValue(have)
	begins, took, next := m.SlotStarts(), m.Took(), m.Cut()
	var lefts []plan.Left
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

// kindsOf returns the kinds of a stick's sound parts, from its head on.
func (pp *profileProblem) kindsOf(s plan.Stick) (kinds []int) {
	for n, k := range pp.kinds {
		found := false
		if s.From == plan.Bought {
			found = k.bought() && pp.supplies[k.supply].list(pp.profile.Name) == s.List(pp.profile.Name)
		} else {
			found = slices.ContainsFunc(k.rack, func(r model.Stick) bool { return r.ID == s.ID })
		}
		if found {
			kinds = append(kinds, n)
		}
	}
	slices.SortFunc(kinds, func(a, b int) int { return cmp.Compare(pp.kinds[a].from, pp.kinds[b].from) })
	return kinds
}

// list names the price list.
func (s supply) list(profile string) plan.ListID {
	id := plan.ListID{Supplier: s.supplier, Profile: profile, Length: s.length, Longest: s.longest, Bundle: s.bundle}
	if id.Bundle == 1 {
		id.Bundle = 0
	}
	return id
}

// solutionOf reads sticks, and what is bought, as a solution. False: there are no such sticks or offers.
func (pp *profileProblem) solutionOf(sticks []plan.Stick, buy []plan.Purchase) (sol solution, ok bool) {
	sol = newSolution(pp)
	unit := map[model.SideID]int{}
	for n, u := range pp.units {
		for _, p := range u.pieces {
			unit[pp.pieces[p].id] = n
		}
	}
	lots := map[model.SideID]int{} // of the sides of rings that are bound
	for _, s := range sticks {
		parts, ok := pp.layoutsOf(s, unit, lots)
		if !ok {
			return sol, false
		}
		sol.layouts = append(sol.layouts, parts...)
	}
	for n, b := range pp.bound {
		for _, ring := range b.rings {
			lot, ok := lots[pp.pieces[ring[0]].id]
			for _, p := range ring {
				other, known := lots[pp.pieces[p].id]
				ok = ok && known && other == lot
			}
			at := slices.Index(b.lots, lot)
			if !ok || at < 0 {
				return sol, false
			}
			sol.rings[n][at]++
		}
	}
	for _, line := range buy {
		n := slices.IndexFunc(pp.supplies, func(s supply) bool { return s.list(pp.profile.Name) == line.List() })
		if n < 0 {
			return sol, false
		}
		sol.bundles[n] += int64(line.Bundles())
	}
	return sol, true
}

// layoutsOf returns the layout of each sound part of a stick that something is cut from. unit says which unit a side belongs to; the lots of
// sides that must come from one lot are noted in lots. False: the stick holds a side that is not to be cut, or a part of a unit.
func (pp *profileProblem) layoutsOf(s plan.Stick, unit map[model.SideID]int, lots map[model.SideID]int) (all []layout, ok bool) {
	n := 0
	for _, kind := range pp.kindsOf(s) {
		k := pp.kinds[kind]
		l := layout{kind: kind}
		missing := map[model.SideID]int{} // pieces of what has begun to lie here and must lie here whole
		for end := k.from + k.usable; n < len(s.Sides) && s.Sides[n].Start < end; n++ {
			side := s.Sides[n]
			u, ok := unit[side.SideID]
			if !ok {
				return nil, false
			}
			l.used += side.Takes
			id, key, pieces := pp.lyingWhole(side.SideID, pp.units[u], k.lot)
			if pp.units[u].bound != free {
				lots[side.SideID] = k.lot
			}
			if missing[id]--; missing[id] >= 0 {
				continue
			}
			missing[id] = pieces - 1
			i, ok := pp.item(key)
			if !ok {
				return nil, false
			}
			l.items = append(l.items, i)
		}
		for _, n := range missing {
			if n > 0 {
				return nil, false
			}
		}
		if len(l.items) > 0 {
			slices.Sort(l.items)
			all = append(all, l)
		}
	}
	return all, n == len(s.Sides)
}

// lyingWhole says what lies whole on the stick of some lot that a side lies on: the name of its first side or of its ring, its item, and its number of pieces.
func (pp *profileProblem) lyingWhole(side model.SideID, u unit, lot int) (id model.SideID, key itemKey, pieces int) {
	switch {
	case u.bound == free:
		return pp.pieces[u.pieces[0]].id, u.key(free), len(u.pieces)
	case lot != free && pp.lots[lot].name == alone:
		b := pp.bound[u.bound]
		return side.OfRing(), pp.itemsFrom(b, lot)[0], len(b.sides)
	}
	return side, u.key(lot), 1
}

// nameOffcuts names the kept offcuts. The offcut of a stick that was in the old plan keeps its name; the others get names that are free.
func (r *remaking) nameOffcuts(plans []profileOutcome) {
	old := map[string]string{} // by stick
	for _, m := range r.Sticks {
		if m.RackID != "" && m.Left.Becomes == plan.Kept {
			old[m.RackID] = m.Left.ID
		}
	}
	taken := map[string]bool{}
	for _, s := range r.Now.Rack {
		taken[s.ID] = true
	}
	var unnamed []*plan.Left
	for p := range plans {
		for n := range plans[p].plan.Sticks {
			s := &plans[p].plan.Sticks[n]
			for between := range s.Between {
				if s.Between[between].Becomes == plan.Kept {
					unnamed = append(unnamed, &s.Between[between])
				}
			}
			if s.Left.Becomes != plan.Kept {
				continue
			}
			if id := old[s.ID]; s.From != plan.Bought && id != "" && !taken[id] {
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
func (r *remaking) changes(plans []plan.ProfilePlan) (c Changes) {
	type mark struct {
		stick string
		start model.Length
	}
	now := map[model.SideID]mark{}
	for _, p := range plans {
		for _, s := range p.Sticks {
			if s.From == plan.Bought {
				continue
			}
			for _, side := range s.Sides {
				now[side.SideID] = mark{s.ID, side.Start}
			}
		}
	}
	for _, m := range r.Sticks {
		for n := range m.Cut() {
			if m.Became[n] == stock.Done {
				c.Done++
			} else {
				c.Again++
			}
		}
		moved := 0
		for _, side := range m.ToCut() {
			key := side.SideID
			if m.RackID == "" || now[key] != (mark{m.RackID, side.Start - m.Took()}) {
				moved++
			}
		}
		c.Moved += moved
		switch {
		case len(m.ToCut()) == 0:
		case moved == 0:
			c.Kept++
		default:
			c.Changed++
		}
	}
	return c
}

// UnmatchedFrames names the frames that are to be matched and of which a part is cut and good already (model.JobFrame.Cut): what a plan of
// the workshop cuts for them matches among itself, but the problem does not know what is cut. Where it is known from which lots a ring was cut
// (plan.Stick.LotName), it is named only if the rest comes from another, and with the lots.
func UnmatchedFrames(w *model.Workshop, plans []plan.ProfilePlan, cutFrom map[model.SideID][]string) []string {
	done := map[model.SideID]bool{} // rings
	for _, j := range w.Jobs {
		for _, f := range j.Frames {
			for _, c := range f.Cut {
				done[c.OfRing()] = true
			}
		}
	}
	var frames []string
	for _, p := range plans {
		profile, _ := w.ProfileByName(p.Name)
		for _, s := range p.Sticks {
			for _, side := range s.Sides {
				at := side.OfRing()
				n := slices.IndexFunc(w.Jobs, func(j model.Job) bool { return j.ID == side.Job })
				if !done[at] || w.MatchOf(w.Jobs[n], profile) == model.MatchFree {
					continue
				}
				if lots := cutFrom[at]; slices.Equal(lots, []string{s.LotName()}) {
					continue
				} else if w.MatchOf(w.Jobs[n], profile) == model.MatchLot && len(lots) > 0 {
					frames = append(frames, otherLot(at, lots, s))
				} else {
					frames = append(frames, fmt.Sprintf("job %s, frame %s, copy %d: a part of it is cut already, and the plan does not match the rest to that: see that it does",
						side.Job, side.Frame, side.Copy))
				}
				done[at] = false // each once
			}
		}
	}
	return frames
}

// otherLot says that the rest of a ring does not come from the lot that the other part was cut from, and what can be done.
func otherLot(ring model.SideID, lots []string, s plan.Stick) string {
	from := s.LotName()
	if s.From == plan.Bought {
		from = "new wood from " + s.Supplier
	}
	return fmt.Sprintf("job %s, frame %s, copy %d: what is cut of it is of %s, and the rest is to come from %s, for of that lot nothing is here that does: "+
		"order or find a stick of that lot, put it on the rack with the lot's name and plan again before you cut the rest; or say of the sides that are cut that they are torn, and all are cut anew from one lot",
		ring.Job, ring.Frame, ring.Copy, strings.Join(lots, " and "), from)
}

// keptRun finds the sticks and the run of the plan: first what is still to be cut of the old run, then the rest's run. False: every such
// run would split equal sides of a frame.
func (k *keeper) keptRun() (ok bool) {
	sticks := k.sticksWith(k.kept, k.rest)
	k.sticks = sticks
	old, ok := k.oldCuts(sticks)
	if !ok {
		return false
	}
	laid, run, ok := sequence.Continue(k.t.w, k.t.profile.Name, k.o.CutOrder, sticks, old, k.restCuts(), k.o.AtMachine)
	if ok {
		k.sticks, k.run = laid, run
	}
	return ok
}

// oldCuts returns those cuts of the old run that are still to be made from kept sticks, which come first in sticks. False: the old run does
// not cut each of their sides once, from the head on.
func (k *keeper) oldCuts(sticks []plan.Stick) (cuts []plan.Cut, ok bool) {
	place := map[*stock.MarkedStick]int{}
	for n, m := range k.kept {
		place[m] = n
	}
	var was []*stock.MarkedStick // the profile's sticks, as its run counts them
	for _, m := range k.Sticks {
		if m.Profile.Name == k.t.profile.Name {
			was = append(was, m)
		}
	}
	last := map[[2]int]int{} // by stick and the places of damage before its part: the number from 1 of the side that was cut last
	for _, c := range was[0].Plan.Run.Cuts {
		if c.Stick < 0 || c.Stick >= len(was) {
			return nil, false
		}
		n, kept := place[was[c.Stick]]
		side := c.Side - was[c.Stick].Cut()
		if !kept || side < 0 {
			continue
		}
		if side >= len(sticks[n].Sides) {
			return nil, false
		}
		part := [2]int{n, sticks[n].DamageBefore(sticks[n].Sides[side])}
		if last[part] > side {
			return nil, false
		}
		last[part] = side + 1
		cuts = append(cuts, plan.Cut{Stick: n, Side: side, Stop: c.Stop})
	}
	sides := 0
	for _, s := range sticks[:len(k.kept)] {
		sides += len(s.Sides)
	}
	return cuts, len(cuts) == sides
}

// restCuts gives the cuts of the rest's run. Its sticks come after the kept ones.
func (k *keeper) restCuts() (cuts []plan.Cut) {
	for _, rest := range k.rest.Profiles {
		for _, c := range rest.Run.Cuts {
			cuts = append(cuts, plan.Cut{Stick: len(k.kept) + c.Stick, Side: c.Side, Stop: c.Stop})
		}
	}
	return cuts
}
