package sequence

import (
	"cmp"
	"fmt"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/sequence/stops"
)

// Memory holds the runs that were found, for the same sticks with equal sides are put in order more than once on the way to a plan.
// Where it is nil nothing is remembered. It must not be used from two goroutines at once.
type Memory map[string]stops.Plan

// PutInOrder finds the run of a profile's sticks, which stay as they are, and gives sticks and sides in its order. Sides of one kind
// change places for that, as far as matching lets them. lead is how far before its long point a side's share of the stick begins.
// Sticks that are bought are numbered anew.
func (m Memory) PutInOrder(w *model.Workshop, profile, order string, sticks []plan.Stick, lead func(plan.Side) model.Length) ([]plan.Stick, plan.Run) {
	q := newRunProblem(w, profile, sticks)
	laid, run := q.layOut(m.solve(q, order), order, sticks, lead)
	nameBought(laid)
	return laid, run
}

// Figures describes the run that PutInOrder finds, without its cuts.
func (m Memory) Figures(w *model.Workshop, profile, order string, sticks []plan.Stick) plan.Run {
	q := newRunProblem(w, profile, sticks)
	return q.figures(m.solve(q, order), order)
}

// Figures describes the run of sticks of which nothing is remembered.
func Figures(w *model.Workshop, profile, order string, sticks []plan.Stick) plan.Run {
	return Memory(nil).Figures(w, profile, order, sticks)
}

// nameBought numbers the sticks that are bought, as they come.
func nameBought(sticks []plan.Stick) {
	bought := 0
	for i := range sticks {
		if sticks[i].From == plan.Bought {
			bought++
			sticks[i].ID = fmt.Sprintf("new %d", bought)
		}
	}
}

// Other gives the figures of the order that a profile's run is not in, without its cuts.
func Other(w *model.Workshop, p *plan.ProfilePlan) plan.Run {
	order := plan.StopByStop
	if p.Run.Order == order {
		order = plan.StickByStick
	}
	return Figures(w, p.Name, order, p.Sticks)
}

// runProblem is a plan's sticks as a problem of package stops. Each sound part of a stick that something is cut from is a part of
// one there; they are cut one after another from its head on. Sides of one class may change places.
type runProblem struct {
	w       *model.Workshop
	profile string
	from    *plan.AtMachine // before the first cut; nil: nobody knows
	parts   []soundPart     // as first come
	classes []sideClass
	groups  [][]plan.Side // by class and ring, in the order in which they come
	ofClass [][]int       // indexes in groups
	problem stops.Problem
}

// sideClass is sides of one kind that may lie in each other's place: those of matched frames in no other's, and those of
// frames from one lot in others' of that lot.
type sideClass struct {
	plan.SideKind
	bound string
}

// soundPart is a sound part of a stick with its sides, in units that lie next to each other.
type soundPart struct {
	stick        int       // index in the plan's sticks
	damageBefore int       // how many places of damage come before it
	first        plan.Side // the one nearest the head
	units        []unit
	matched      bool // some unit is
}

// unit is the sides that a matched frame has next to each other, or one side of another.
type unit struct {
	sides   []classed // longest first
	matched bool
}

type classed struct {
	plan.Side
	class sideClass
}

// stopsOf returns how many stops a machine has and the least distance between two of them.
func stopsOf(m model.Machine) (count int, gap model.Length) {
	return max(m.Limits.Stops, 1), m.Limits.StopGap.Length
}

// newRunProblem makes the problem of a profile's sticks, which it does not change. Whatever their order is, the problem is the same but
// for which of the equal sides is which.
func newRunProblem(w *model.Workshop, profile string, sticks []plan.Stick) *runProblem {
	count, gap := stopsOf(w.Machine)
	q := &runProblem{w: w, profile: profile, parts: firstCome(partsInUse(newRules(w, profile, sticks), sticks)), problem: stops.Problem{Stops: count, Gap: int64(gap), Firm: true}}
	length := map[plan.SideKind]int{}
	class := map[sideClass]int{}
	type ringClass struct {
		ring  model.SideID
		class int
	}
	group := map[ringClass]int{}
	for _, p := range q.parts {
		var stick stops.Stick
		for _, u := range p.units {
			var seg stops.Segment
			for _, one := range u.sides {
				c, ok := class[one.class]
				if !ok {
					c = len(q.classes)
					class[one.class] = c
					q.classes = append(q.classes, one.class)
					q.ofClass = append(q.ofClass, nil)
					l, ok := length[one.Kind()]
					if !ok {
						l = len(length)
						length[one.Kind()] = l
						q.problem.Lengths = append(q.problem.Lengths, int64(one.LongPoint))
					}
					q.problem.Classes = append(q.problem.Classes, stops.Class{Length: l})
				}
				seg = append(seg, stops.Lot{Class: c, Count: 1})
				key := ringClass{one.OfRing(), c}
				g, ok := group[key]
				if !ok {
					g = len(q.groups)
					group[key] = g
					q.groups = append(q.groups, nil)
					q.ofClass[c] = append(q.ofClass[c], g)
				}
				q.groups[g] = append(q.groups[g], one.Side)
			}
			if len(stick) > 0 && !p.matched {
				stick[0] = append(stick[0], seg...) // free sides lie as they like
				continue
			}
			stick = append(stick, seg)
		}
		q.problem.Sticks = append(q.problem.Sticks, stick)
		part := stops.Part{Of: slices.IndexFunc(q.parts, func(other soundPart) bool { return other.stick == p.stick })}
		for _, other := range q.parts {
			if other.stick == p.stick && other.damageBefore < p.damageBefore {
				part.Before++
			}
		}
		q.problem.Parts = append(q.problem.Parts, part)
	}
	for c := range q.classes {
		for _, g := range q.ofClass[c] {
			q.problem.Classes[c].Groups = append(q.problem.Classes[c].Groups, len(q.groups[g]))
		}
	}
	return q
}

// rules say how the frames of a profile are matched.
type rules struct {
	byJob  map[string]model.Match
	joined map[model.SideID]bool // matched in pairs, and its lengths cannot all be set at once
}

// newRules reads the rules for the jobs on some sticks.
func newRules(w *model.Workshop, profile string, sticks []plan.Stick) rules {
	r := rules{map[string]model.Match{}, map[model.SideID]bool{}}
	p, _ := w.ProfileByName(profile)
	for _, job := range w.Jobs {
		r.byJob[job.ID] = w.MatchOf(job, p)
	}
	count, gap := stopsOf(w.Machine)
	kinds := map[model.SideID][]plan.SideKind{}
	for _, s := range sticks {
		for _, one := range s.Sides {
			if ring := one.OfRing(); r.byJob[one.Job] == model.MatchPair && !slices.Contains(kinds[ring], one.Kind()) {
				kinds[ring] = append(kinds[ring], one.Kind())
			}
		}
	}
	for ring, k := range kinds {
		slices.SortFunc(k, func(a, b plan.SideKind) int { return cmp.Compare(a.LongPoint, b.LongPoint) })
		r.joined[ring] = len(k) > count
		for n := 1; n < len(k); n++ {
			r.joined[ring] = r.joined[ring] || k[n].LongPoint-k[n-1].LongPoint < max(gap, 1)
		}
	}
	return r
}

// class is the class of a side on a stick.
func (r rules) class(s *plan.Stick, one plan.Side) sideClass {
	c := sideClass{SideKind: one.Kind()}
	switch r.byJob[one.Job] {
	case model.MatchStick, model.MatchPair:
		c.bound = fmt.Sprintf("ring %q %q %d %d", one.Job, one.Frame, one.Copy, one.Ring)
	case model.MatchLot:
		c.bound = s.LotName()
	}
	return c
}

// unit names the unit that a side belongs to on its part; empty: it lies by itself. Where a frame matched in pairs has lengths
// that cannot all be set at once, its pairs on one part lie next to each other: its equal sides could not be cut from one
// setting otherwise.
func (r rules) unit(one plan.Side) string {
	ring := fmt.Sprintf("%q %q %d %d", one.Job, one.Frame, one.Copy, one.Ring)
	switch r.byJob[one.Job] {
	case model.MatchStick:
		return ring
	case model.MatchPair:
		if r.joined[one.OfRing()] {
			return ring
		}
		return fmt.Sprintf("%s pair %d", ring, (int([]rune(one.Letter)[0])-'A')/2)
	}
	return ""
}

// partsInUse divides sticks into their sound parts, as far as something is cut from them.
func partsInUse(r rules, sticks []plan.Stick) []soundPart {
	var parts []soundPart
	for i := range sticks {
		s := &sticks[i]
		first := len(parts)
		units := map[string]int{}
		for _, one := range s.Sides {
			before := s.DamageBefore(one)
			n := slices.IndexFunc(parts[first:], func(p soundPart) bool { return p.damageBefore == before }) + first
			if n < first {
				n = len(parts)
				parts = append(parts, soundPart{stick: i, damageBefore: before, first: one})
			}
			p := &parts[n]
			name := r.unit(one)
			key := fmt.Sprintf("%d %s", before, name)
			u, ok := units[key]
			if !ok || name == "" {
				u = len(p.units)
				units[key] = u
				p.units = append(p.units, unit{matched: name != ""})
				p.matched = p.matched || name != ""
			}
			p.units[u].sides = append(p.units[u].sides, classed{one, r.class(s, one)})
		}
	}
	return parts
}

// firstCome puts parts in the order in which they come without a run: on a part the unit that takes most first, and of a unit
// the longest side; the parts by their longest sides, longest first, then by their second longest, and so on.
func firstCome(parts []soundPart) []soundPart {
	for _, p := range parts {
		for _, u := range p.units {
			slices.SortStableFunc(u.sides, classed.compare)
		}
		slices.SortStableFunc(p.units, unit.compare)
	}
	slices.SortStableFunc(parts, func(a, b soundPart) int {
		x, y := a.sides(), b.sides()
		return cmp.Or(slices.CompareFunc(x, y, classed.longer), slices.CompareFunc(x, y, classed.compare))
	})
	return parts
}

// sides lists a part's sides, unit by unit.
func (p soundPart) sides() []classed {
	var all []classed
	for _, u := range p.units {
		all = append(all, u.sides...)
	}
	return all
}

// longer compares sides by what they take, most first.
func (a classed) longer(b classed) int {
	return cmp.Or(cmp.Compare(b.Takes, a.Takes), cmp.Compare(b.LongPoint, a.LongPoint))
}

// compare tells all sides apart that may not lie in each other's place.
func (a classed) compare(b classed) int {
	return cmp.Or(a.longer(b), cmp.Compare(a.class.bound, b.class.bound))
}

// compare compares units by what they take, most first.
func (u unit) compare(v unit) int {
	takes := func(u unit) (takes, longPoints model.Length) {
		for _, s := range u.sides {
			takes += s.Takes
			longPoints += s.LongPoint
		}
		return takes, longPoints
	}
	ut, ul := takes(u)
	vt, vl := takes(v)
	return cmp.Or(cmp.Compare(vt, ut), cmp.Compare(vl, ul), slices.CompareFunc(u.sides, v.sides, classed.longer),
		slices.CompareFunc(u.sides, v.sides, classed.compare))
}

// solve finds the run of a problem, or remembers it.
func (m Memory) solve(q *runProblem, order string) (run stops.Plan) {
	key := fmt.Sprint(order, q.problem)
	run, known := m[key]
	switch {
	case known:
		return run
	case order == plan.StopByStop:
		run = stops.ByStop(q.problem)
	default:
		run = stops.ByStick(q.problem)
	}
	if m != nil {
		m[key] = run
	}
	return run
}

// figures describes a run without its cuts.
func (q *runProblem) figures(run stops.Plan, order string) plan.Run {
	var lengths []int
	for _, s := range q.problem.Sticks {
		for _, seg := range s {
			for _, lot := range seg {
				lengths = append(lengths, q.problem.Classes[lot.Class].Length)
			}
		}
	}
	return plan.Run{Order: order, Stops: q.problem.Stops, Settings: run.Settings, Least: run.Least, PickUps: run.PickUps,
		FirstCome: stops.FirstCome(q.problem, lengths)}
}

// layOut gives the plan's sticks in the run's order, with the sides from the head of each part on as they are cut, and
// describes the run. lead is how far before its long point a side's share of the stick begins.
func (q *runProblem) layOut(run stops.Plan, order string, from []plan.Stick, lead func(plan.Side) model.Length) ([]plan.Stick, plan.Run) {
	return q.lay(run, q.newAssigner(run).next, order, from, lead)
}

// lay does the same with sides that next returns, which is called for each cut of the run in turn.
func (q *runProblem) lay(run stops.Plan, next func(stops.Cut) plan.Side, order string, from []plan.Stick, lead func(plan.Side) model.Length) ([]plan.Stick, plan.Run) {
	r := q.figures(run, order)
	r.Cuts = make([]plan.Cut, 0, len(run.Cuts))
	place := q.places(run)
	sticks := make([]plan.Stick, len(from))
	for i, s := range from {
		s.Sides = nil
		sticks[place[i]] = s
	}
	cut := make([][]plan.Side, len(q.parts))
	at, behind := make([]model.Length, len(q.parts)), make([]model.Length, len(q.parts))
	before := make([]int, len(q.parts)) // sides of the stick's parts nearer its head
	count := make([]int, len(from))
	for _, n := range q.fromHead() {
		p := &q.parts[n]
		at[n] = p.first.Start - lead(p.first)
		behind[n] = from[p.stick].Length
		if p.damageBefore < len(from[p.stick].Damage) {
			behind[n] = from[p.stick].Damage[p.damageBefore].From
		}
		before[n] = count[p.stick]
		count[p.stick] += len(p.sides())
	}
	var all []plan.Side // as they are cut
	for _, c := range run.Cuts {
		s := next(c)
		all = append(all, s)
		s.Start = at[c.Stick] + lead(s)
		at[c.Stick] += s.Takes
		r.Cuts = append(r.Cuts, plan.Cut{Stick: place[q.parts[c.Stick].stick], Side: before[c.Stick] + len(cut[c.Stick]),
			Stop: c.Stop, Placed: c.Placed, Left: behind[c.Stick] - at[c.Stick]})
		cut[c.Stick] = append(cut[c.Stick], s)
	}
	stand := plan.NewStanding(q.w.Machine)
	if err := stand.HaveCut(q.w, q.profile); err != nil {
		panic(err) // no plan is made of a workshop with such a frame
	}
	for n, c := range run.Cuts {
		_, r.Cuts[n].By = stand.Cut(c.Stop, all[n])
	}
	for _, n := range q.fromHead() {
		s := &sticks[place[q.parts[n].stick]]
		s.Sides = append(s.Sides, cut[n]...)
	}
	return sticks, r
}

// fromHead lists the parts, those of a stick from its head on.
func (q *runProblem) fromHead() []int {
	list := make([]int, len(q.parts))
	for n := range list {
		list[n] = n
	}
	slices.SortFunc(list, func(a, b int) int {
		return cmp.Or(cmp.Compare(q.parts[a].stick, q.parts[b].stick), cmp.Compare(q.parts[a].damageBefore, q.parts[b].damageBefore))
	})
	return list
}

// places says where each of the plan's sticks comes when they are counted as they are first taken.
func (q *runProblem) places(run stops.Plan) map[int]int {
	place := map[int]int{}
	for _, c := range run.Cuts {
		stick := q.parts[c.Stick].stick
		if _, ok := place[stick]; !ok {
			place[stick] = len(place)
		}
	}
	return place
}
