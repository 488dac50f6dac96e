package sequence

import (
	"cmp"
	"slices"

	"longpoint/model"
	"longpoint/model/plan"
	"longpoint/model/sequence/stops"
)

// step is a cut of a remade run before it is known where the stops are placed for it.
type step struct {
	part [2]int // index of the stick in the plan's, and how many places of damage lie before its sound part
	side plan.Side
	stop int // from 1
}

// tie is what sides have in common that must be cut from one setting: the ring and the kind, or the kind alone where each
// length is set once.
type tie struct {
	ring model.SideID
	kind plan.SideKind
}

func (s step) tie(order string) tie {
	if order == plan.StopByStop {
		return tie{kind: s.side.Kind()}
	}
	return tie{s.side.OfRing(), s.side.Kind()}
}

// Continue gives a remade plan, whose sticks are those that are kept and then the rest's, its run: old, the cuts of the old run
// that are still to be made of kept sticks, and then rest, those of the rest's run; both name sticks and sides as sticks has them. What of the
// rest must be cut from a setting of the old run is cut while that stands and lies nearest the head of its stick, for the rest is
// not marked out yet; other sticks of the rest are taken where a stop stands at a length of theirs, as stand has them before the first cut (nil: nobody knows). Kept sticks stay as they are. False: no such run keeps equal sides of a frame together.
func Continue(w *model.Workshop, profile, order string, sticks []plan.Stick, old, rest []plan.Cut, stand *plan.Standing) ([]plan.Stick, plan.Run, bool) {
	q := newRunProblem(w, profile, sticks)
	q.stand = stand
	if slices.ContainsFunc(old, func(c plan.Cut) bool { return c.Stop < 1 || c.Stop > q.problem.Stops }) {
		return nil, plan.Run{}, false
	}
	kept := map[int]bool{}
	for _, c := range old {
		kept[c.Stick] = true
	}
	steps, run, ok := q.inHandFirst(w, sticks, q.joined(stepsOf(sticks, old), stepsOf(sticks, rest), order), order, kept)
	if !ok {
		return nil, plan.Run{}, false
	}
	// The search is asked for its bound only. It holds for orders with no more pick-ups than the search has; for others it is
	// certain only that each length is set.
	run.Least = len(q.problem.Lengths)
	if found := Memory(nil).solve(q, order); run.PickUps <= found.PickUps {
		run.Least = found.Least
	}
	next := 0
	laid, laidRun := q.lay(run, func(stops.Cut) plan.Side { next++; return steps[next-1].side }, order, sticks,
		func(s plan.Side) model.Length { return (s.Takes - s.LongPoint) / 2 })
	nameBought(laid)
	return laid, laidRun, true
}

// stepsOf reads cuts of sticks as steps.
func stepsOf(sticks []plan.Stick, cuts []plan.Cut) (steps []step) {
	for _, c := range cuts {
		side := sticks[c.Stick].Sides[c.Side]
		steps = append(steps, step{[2]int{c.Stick, sticks[c.Stick].DamageBefore(side)}, side, c.Stop})
	}
	return steps
}

// joined puts the rest's steps among the old ones. A step that must be cut from the setting of an old one comes after it: where another stick is
// taken in hand anyway, if the setting stands until then, else at once. The other steps come at the end.
func (q *runProblem) joined(old, rest []step, order string) []step {
	standing, until := q.settings(old)
	last := map[tie]int{}
	for i, s := range old {
		last[s.tie(order)] = i
	}
	before := make([][]step, len(old)+1)
	for _, s := range rest {
		i, tied := last[s.tie(order)]
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

// inHandFirst plays steps as they are, or with those of a begun stick before all others, or from those on, where fewer sticks are then taken up
// again, or as many with fewer settings: the stick in the machine is not to be laid aside without need. Then it takes the sticks that are not kept
// elsewhere where that spares settings, or has a side cut from the setting that its equal was cut from. False: no such order is a run.
func (q *runProblem) inHandFirst(w *model.Workshop, sticks []plan.Stick, steps []step, order string, kept map[int]bool) (best []step, run stops.Plan, ok bool) {
	begun := map[int]bool{}
	for i, s := range sticks {
		begun[i] = slices.ContainsFunc(w.Rack, func(r model.Stick) bool { return s.From == plan.FromRack && r.ID == s.ID && r.Begun > 0 })
	}
	least, twins, settings := 0, 0, 0
	try := func(steps []step) {
		played, may := q.played(steps, order)
		again, seen := played.PickUps, map[int]bool{} // begun sticks that are taken up later
		for i, s := range steps {
			if stick := s.part[0]; begun[stick] && !seen[stick] && i > 0 {
				again++
			}
			seen[s.part[0]] = true
		}
		if !may || ok && again > least {
			return
		}
		apart, set := q.effort(steps, played)
		if !ok || cmp.Or(cmp.Compare(again, least), cmp.Compare(apart, twins), cmp.Compare(set, settings)) < 0 {
			best, run, least, twins, settings, ok = steps, played, again, apart, set, true
		}
	}
	try(steps)
	for i := range sticks {
		if begun[i] && order == plan.StickByStick {
			of := func(s step) bool { return s.part[0] == i }
			first := slices.DeleteFunc(slices.Clone(steps), func(s step) bool { return !of(s) })
			try(append(first, slices.DeleteFunc(slices.Clone(steps), of)...))
			at := slices.IndexFunc(steps, of) // with what must be cut from its settings; no stick's own order may change
			if at > 0 && !slices.ContainsFunc(steps[:at], func(s step) bool {
				return slices.ContainsFunc(steps[at:], func(other step) bool { return other.part[0] == s.part[0] })
			}) {
				try(slices.Concat(steps[at:], steps[:at]))
			}
		}
	}
	if ok && (len(kept) > 0 || q.stand != nil) && order == plan.StickByStick {
		q.moved(func() []step { return best }, kept, try)
	}
	return best, run, ok
}

// effort counts the sides that are cut from another setting than an equal that is cut already, and the settings, from the stops as they stand before the
// first cut, as far as that is known.
func (q *runProblem) effort(steps []step, played stops.Plan) (apart, settings int) {
	if q.stand == nil {
		return 0, played.Settings
	}
	stand := q.stand.Clone()
	for _, s := range steps {
		placed, by := stand.Cut(s.stop, s.side)
		if placed {
			settings++
		}
		if by != "" {
			apart++
		}
	}
	return apart, settings
}

// mostMoved bounds the steps that are played to find where a stick is best taken.
const mostMoved = 2_000_000

// moved tries each stick that is not kept, all of it, between any two others of the best steps so far, which try finds.
func (q *runProblem) moved(best func() []step, kept map[int]bool, try func([]step)) {
	done, work := map[int]bool{}, 0
	for i := len(best()) - 1; i >= 0; i-- {
		stick := best()[i].part[0]
		if kept[stick] || done[stick] {
			continue
		}
		done[stick] = true
		of := func(s step) bool { return s.part[0] == stick }
		others := slices.DeleteFunc(slices.Clone(best()), of)
		block := slices.DeleteFunc(slices.Clone(best()), func(s step) bool { return !of(s) })
		for at := range len(others) { // the machine is set for the first, but where it stands for another
			if at == 0 && q.stand == nil {
				continue
			}
			if work += len(others); work > mostMoved {
				return
			}
			if at == 0 || others[at-1].part[0] != others[at].part[0] {
				try(slices.Concat(others[:at], q.fitted(others[:at], block), others[at:]))
			}
		}
		i = len(best())
	}
}

// fitted gives a stick's steps as they are best cut after others: from the stops that stand at their lengths already, and those first where the stick has
// one part and nothing on it is matched.
func (q *runProblem) fitted(before, block []step) []step {
	stop := map[plan.SideKind]int{}
	if q.stand != nil && len(before) == 0 {
		stop = q.stand.Stops()
	}
	standing, until := q.settings(before)
	for i, s := range before {
		if until[standing[i]] == len(before) {
			stop[s.side.Kind()] = s.stop
		}
	}
	free := true
	for _, p := range q.parts {
		if p.stick == block[0].part[0] {
			free = free && !p.matched && p.damageBefore == block[0].part[1]
		}
	}
	block = slices.Clone(block)
	for i := range block {
		if at, stands := stop[block[i].side.Kind()]; stands {
			block[i].stop = at
		}
	}
	if free {
		slices.SortStableFunc(block, func(a, b step) int {
			_, x := stop[a.side.Kind()]
			_, y := stop[b.side.Kind()]
			switch {
			case x && !y:
				return -1
			case y && !x:
				return 1
			}
			return 0
		})
	}
	return block
}

// settings follows the stops: from which setting each step is cut, counted from 0, and before which step each setting goes.
func (q *runProblem) settings(steps []step) (standing, until []int) {
	type stand struct {
		setting int
		kind    plan.SideKind
	}
	stops := map[int]stand{} // those that stand somewhere
	for i, s := range steps {
		kind := s.side.Kind()
		if at, ok := stops[s.stop]; !ok || at.kind != kind {
			for n, other := range stops {
				apart := max(other.kind.LongPoint-kind.LongPoint, kind.LongPoint-other.kind.LongPoint)
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
func (q *runProblem) played(steps []step, order string) (run stops.Plan, ok bool) {
	part := map[[2]int]int{}
	for n, p := range q.parts {
		part[[2]int{p.stick, p.damageBefore}] = n
	}
	standing, _ := q.settings(steps)
	from := map[tie]int{}
	taken := map[int]bool{} // by stick
	hand := -1
	for i, s := range steps {
		if first, ok := from[s.tie(order)]; ok && first != standing[i] {
			return run, false
		}
		from[s.tie(order)] = standing[i]
		n, stick := part[s.part], s.part[0]
		if taken[stick] && stick != hand {
			run.PickUps++
		}
		hand, taken[stick] = stick, true
		placed := standing[i] == run.Settings
		if placed {
			run.Settings++
		}
		run.Cuts = append(run.Cuts, stops.Cut{Stick: n, Stop: s.stop, Placed: placed, Standing: standing[i]})
	}
	return run, true
}
