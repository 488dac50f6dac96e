package plan

import (
	"slices"

	"longpoint/model"
	"longpoint/model/plan/order"
)

// step is a cut of a remade run before it is known where the stops are placed for it.
type step struct {
	part [2]int // index of the stick in the plan's, and how many places of damage lie before its sound part
	side Side
	stop int // from 1
}

// tie is what sides have in common that must be cut from one setting: the ring and the kind, or the kind alone where each
// length is set once.
type tie struct {
	ring model.SideID
	kind sideKind
}

func (s step) tie(how string) tie {
	if how == StopByStop {
		return tie{kind: s.side.kind()}
	}
	return tie{s.side.OfRing(), s.side.kind()}
}

// keepRun gives a remade plan, whose sticks are those that are kept and then the rest's, its run: the old one as far as it is
// still to be cut, then the rest's. What of the rest must be cut from a setting of the old run is cut while that stands and
// lies nearest the head of its stick, for the rest is not marked out yet. Kept sticks stay as they are. False, with the plan
// as it was: no such run keeps equal sides of a frame together.
func (k *keeper) keepRun(p *ProfilePlan) bool {
	q := newQueue(k.t.w, p.Name, p.Sticks)
	old, ok := k.oldSteps(p.Sticks)
	if !ok || slices.ContainsFunc(old, func(s step) bool { return s.stop < 1 || s.stop > q.problem.Stops }) {
		return false
	}
	steps := k.joined(q, old, k.restSteps(p.Sticks))
	run, ok := q.played(steps, k.o.Order)
	if !ok {
		return false
	}
	// The search is asked for its bound only. It holds for orders with no more pick-ups than the search has; for others it is
	// certain only that each length is set.
	run.Least = len(q.problem.Lengths)
	if found := q.run(k.o.Order); run.PickUps <= found.PickUps {
		run.Least = found.Least
	}
	next := 0
	p.Sticks, p.Run = q.lay(run, func(order.Cut) Side { next++; return steps[next-1].side }, k.o.Order, p.Sticks,
		func(s Side) model.Length { return (s.Takes - s.LongPoint) / 2 })
	nameBought(p.Sticks)
	return true
}

// oldSteps gives the cuts of the old run that are still to be made of kept sticks, the first of sticks. False: it does not cut
// each of their sides once, from the head on.
func (k *keeper) oldSteps(sticks []Stick) (steps []step, ok bool) {
	place := map[*marked]int{}
	for n, m := range k.kept {
		place[m] = n
	}
	var was []*marked // the profile's sticks, as its run counts them
	for _, m := range k.sticks {
		if m.profile.Name == k.t.profile.Name {
			was = append(was, m)
		}
	}
	last := map[[2]int]int{} // the number from 1 of a part's side that was cut last
	for _, c := range was[0].of.Run.Cuts {
		if c.Stick < 0 || c.Stick >= len(was) {
			return nil, false
		}
		n, kept := place[was[c.Stick]]
		side := c.Side - was[c.Stick].cut()
		if !kept || side < 0 {
			continue
		}
		if side >= len(sticks[n].Sides) {
			return nil, false
		}
		s := step{[2]int{n, sticks[n].runOf(sticks[n].Sides[side])}, sticks[n].Sides[side], c.Stop}
		if last[s.part] > side {
			return nil, false
		}
		last[s.part] = side + 1
		steps = append(steps, s)
	}
	sides := 0
	for _, s := range sticks[:len(k.kept)] {
		sides += len(s.Sides)
	}
	return steps, len(steps) == sides
}

// restSteps gives the cuts of the rest's run. Its sticks come after the kept ones.
func (k *keeper) restSteps(sticks []Stick) (steps []step) {
	for _, rest := range k.rest.Profiles {
		for _, c := range rest.Run.Cuts {
			s := &sticks[len(k.kept)+c.Stick]
			steps = append(steps, step{[2]int{len(k.kept) + c.Stick, s.runOf(s.Sides[c.Side])}, s.Sides[c.Side], c.Stop})
		}
	}
	return steps
}

// joined puts the rest's steps into the old ones where they are tied to one of them, the others behind. One that is tied comes
// where another stick is taken in hand anyway, if its setting stands until then, else at once.
func (k *keeper) joined(q *queue, old, rest []step) []step {
	standing, until := q.settings(old)
	last := map[tie]int{}
	for i, s := range old {
		last[s.tie(k.o.Order)] = i
	}
	before := make([][]step, len(old)+1)
	for _, s := range rest {
		i, tied := last[s.tie(k.o.Order)]
		if !tied {
			before[len(old)] = append(before[len(old)], s)
			continue
		}
		at := i + 1
		for at < until[standing[i]] && old[at].part == old[i].part {
			at++
		}
		if at < len(old) && old[at].part == old[i].part {
			at = i + 1
		}
		s.stop = old[i].stop
		before[at] = append(before[at], s)
	}
	var all []step
	for i, s := range old {
		all = append(append(all, before[i]...), s)
	}
	return append(all, before[len(old)]...)
}

// settings follows the stops: from which setting each step is cut, counted from 0, and before which step each setting goes.
func (q *queue) settings(steps []step) (standing, until []int) {
	type stand struct {
		setting int
		kind    sideKind
	}
	stops := map[int]stand{} // those that stand somewhere
	for i, s := range steps {
		kind := s.side.kind()
		if at, ok := stops[s.stop]; !ok || at.kind != kind {
			for n, other := range stops {
				apart := max(other.kind.longPoint-kind.longPoint, kind.longPoint-other.kind.longPoint)
				if n == s.stop || apart == 0 || int64(apart) < q.problem.Gap {
					until[other.setting] = i
					delete(stops, n)
				}
			}
			stops[s.stop] = stand{len(until), kind}
			until = append(until, len(steps))
		}
		standing = append(standing, stops[s.stop].setting)
	}
	return standing, until
}

// played gives the steps as cuts of a run. False: sides that are tied are not cut from one setting.
func (q *queue) played(steps []step, how string) (run order.Plan, ok bool) {
	part := map[[2]int]int{}
	for n, p := range q.parts {
		part[[2]int{p.stick, p.run}] = n
	}
	standing, _ := q.settings(steps)
	from := map[tie]int{}
	begun := make([]bool, len(q.parts))
	hand := -1
	for i, s := range steps {
		if first, ok := from[s.tie(how)]; ok && first != standing[i] {
			return run, false
		}
		from[s.tie(how)] = standing[i]
		n := part[s.part]
		if begun[n] && n != hand {
			run.PickUps++
		}
		hand, begun[n] = n, true
		placed := standing[i] == run.Settings
		if placed {
			run.Settings++
		}
		run.Cuts = append(run.Cuts, order.Cut{Stick: n, Stop: s.stop, Placed: placed, Standing: standing[i]})
	}
	return run, true
}
