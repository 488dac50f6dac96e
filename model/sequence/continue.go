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
// not marked out yet; sticks are taken in the order that asks for least from the machine
// as it was left (nil: nobody knows how). Kept sticks stay as they are. False: no such run keeps equal sides of a frame together.
func Continue(w *model.Workshop, profile, order string, sticks []plan.Stick, old, rest []plan.Cut, from *plan.AtMachine) ([]plan.Stick, plan.Run, bool) {
	q := newRunProblem(w, profile, sticks)
	q.from = from
	if slices.ContainsFunc(old, func(c plan.Cut) bool { return c.Stop < 1 || c.Stop > q.problem.Stops }) {
		return nil, plan.Run{}, false
	}
	kept := map[int]bool{}
	for _, c := range old {
		kept[c.Stick] = true
	}
	steps, run, ok := q.ordered(sticks, q.joined(stepsOf(sticks, old), stepsOf(sticks, rest), order), order, kept)
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

// ordered plays the steps in the orders that leave kept sticks as they are marked out, and gives the best: the one with the fewest sticks taken up again, the one
// in the machine among them, which is not to be laid aside without need; then with the fewest settings from the stops as they stand, and then with the
// fewest sides set by their equals. Where the stick in the machine is not known, it is one of those that are begun. False: no such order is a run.
func (q *runProblem) ordered(sticks []plan.Stick, steps []step, order string, kept map[int]bool) (best []step, run stops.Plan, ok bool) {
	inHand := func(stick int) bool {
		s := sticks[stick]
		if q.from != nil {
			return s.From == plan.FromRack && s.ID == q.from.Stick
		}
		return slices.ContainsFunc(q.w.Rack, func(r model.Stick) bool { return s.From == plan.FromRack && r.ID == s.ID && r.Begun > 0 })
	}
	var least effort
	try := func(steps []step) (better bool) {
		played, may := q.played(steps, order)
		if !may {
			return false
		}
		e := q.effort(sticks, steps, played, inHand)
		if better = !ok || e.compare(least) < 0; better {
			best, run, least, ok = steps, played, e, true
		}
		return better
	}
	try(steps)
	if order == plan.StickByStick {
		q.arranged(blocksOf(steps), kept, try)
	} else if q.from != nil {
		standing := q.from.Stand.Stops()
		try(standingFirst(steps, func(s step) bool { return standing[s.side.Kind()] > 0 }))
	}
	return best, run, ok
}

// effort is what an order asks for from the stops as they stand before its first cut, as far as that is known.
type effort struct {
	again    int // sticks that are taken up again
	here     int // settings where nothing is cut that is still to come
	settings int
	byEquals int // sides that are cut from another setting than an equal that is cut already
}

func (e effort) compare(o effort) int {
	return cmp.Or(cmp.Compare(e.again, o.again), cmp.Compare(e.here, o.here), cmp.Compare(e.settings, o.settings), cmp.Compare(e.byEquals, o.byEquals))
}

// effort adds up what an order asks for.
func (q *runProblem) effort(sticks []plan.Stick, steps []step, played stops.Plan, inHand func(stick int) bool) effort {
	e := effort{again: played.PickUps, settings: played.Settings}
	seen := map[int]bool{}
	for i, s := range steps {
		if stick := s.part[0]; !seen[stick] && i > 0 && inHand(stick) {
			e.again++
		}
		seen[s.part[0]] = true
	}
	if q.from != nil {
		e.settings, e.byEquals = q.settingsFrom(steps)
		e.here, _ = q.settingsFrom(slices.DeleteFunc(slices.Clone(steps), func(s step) bool { return sticks[s.part[0]].From != plan.FromRack }))
	}
	return e
}

// settingsFrom counts the settings of steps from the stops as they stand, and the sides that are set by an equal.
func (q *runProblem) settingsFrom(steps []step) (settings, byEquals int) {
	stand := q.from.Stand.Clone()
	for _, s := range steps {
		placed, by := stand.Cut(s.stop, s.side)
		if placed {
			settings++
		}
		if by != "" {
			byEquals++
		}
	}
	return settings, byEquals
}

// standingFirst gives the steps at lengths that a stop stands at before the others, where each stick keeps its own order; else as they are.
func standingFirst(steps []step, stands func(step) bool) []step {
	passed := map[int]bool{}
	for _, s := range steps {
		if !stands(s) {
			passed[s.part[0]] = true
		} else if passed[s.part[0]] {
			return steps
		}
	}
	others := slices.DeleteFunc(slices.Clone(steps), stands)
	return append(slices.DeleteFunc(slices.Clone(steps), func(s step) bool { return !stands(s) }), others...)
}

// blocksOf divides steps into those that come off one stick without another between them.
func blocksOf(steps []step) (blocks [][]step) {
	for i, s := range steps {
		if i == 0 || steps[i-1].part[0] != s.part[0] {
			blocks = append(blocks, nil)
		}
		last := len(blocks) - 1
		blocks[last] = append(blocks[last], s)
	}
	return blocks
}

// Of so few blocks all orders are played; of more each is moved where that is better, over so many steps at most.
const (
	fewBlocks = 5
	mostMoved = 200_000
)

// arranged has try play blocks in other orders, those of one stick always as they come.
func (q *runProblem) arranged(blocks [][]step, kept map[int]bool, try func([]step) bool) {
	play := func(blocks [][]step) bool { return try(slices.Concat(blocks...)) || try(q.fitted(blocks, kept)) }
	if len(blocks) <= fewBlocks {
		var arrange func(done, left [][]step)
		arrange = func(done, left [][]step) {
			if len(left) == 0 {
				play(done)
			}
			for i, next := range left {
				if !slices.ContainsFunc(left[:i], func(earlier []step) bool { return earlier[0].part[0] == next[0].part[0] }) {
					arrange(append(slices.Clip(done), next), slices.Concat(left[:i], left[i+1:]))
				}
			}
		}
		arrange(nil, blocks)
		return
	}
	steps, work := 0, 0
	for _, b := range blocks {
		steps += len(b)
	}
	for better := true; better; {
		better = false
		for i := range blocks {
			others := slices.Concat(blocks[:i], blocks[i+1:])
			from, to := i, i // between the stick's own blocks
			own := func(n int) bool { return others[n][0].part[0] == blocks[i][0].part[0] }
			for from > 0 && !own(from-1) {
				from--
			}
			for to < len(others) && !own(to) {
				to++
			}
			for at := from; at <= to; at++ {
				if at == i || at > from && at < to && !shareKind(others[at-1], blocks[i]) && !shareKind(others[at], blocks[i]) {
					continue
				}
				if work += 2 * steps; work > mostMoved {
					return
				}
				if moved := slices.Insert(slices.Clone(others), at, blocks[i]); play(moved) {
					blocks, better = moved, true
					break
				}
			}
		}
	}
}

// shareKind tells whether two blocks have sides of one kind.
func shareKind(a, b []step) bool {
	return slices.ContainsFunc(a, func(s step) bool {
		return slices.ContainsFunc(b, func(o step) bool { return o.side.Kind() == s.side.Kind() })
	})
}

// fitted gives the steps of blocks with those of sticks that are not kept as they are best cut where they come: from the stops that stand at their lengths
// already, and those first, and last those of a length that the next block can begin with, where they may come in any order.
func (q *runProblem) fitted(blocks [][]step, kept map[int]bool) (steps []step) {
	for n, block := range blocks {
		if !kept[block[0].part[0]] {
			block = slices.Clone(block)
			stop := q.standsAfter(steps)
			for i := range block {
				if at, stands := stop[block[i].side.Kind()]; stands {
					block[i].stop = at
				}
			}
			if q.free(block, kept) {
				leave, leaves := plan.SideKind{}, false
				for _, s := range block {
					if n+1 < len(blocks) && stop[s.side.Kind()] == 0 && q.takenAtOnce(s, blocks[n+1], kept) {
						leave, leaves = s.side.Kind(), true
					}
				}
				rank := func(s step) int {
					switch kind := s.side.Kind(); {
					case stop[kind] > 0:
						return 0
					case leaves && kind == leave:
						return 2
					}
					return 1
				}
				slices.SortStableFunc(block, func(a, b step) int { return cmp.Compare(rank(a), rank(b)) })
			}
		}
		steps = append(steps, block...)
	}
	return steps
}

// takenAtOnce tells whether a block can begin with a side of the kind of another.
func (q *runProblem) takenAtOnce(s step, block []step, kept map[int]bool) bool {
	if !q.free(block, kept) {
		block = block[:1]
	}
	return shareKind([]step{s}, block)
}

// free tells whether the sides of a block may be cut in any order: its stick is not kept and has one part, and nothing on it is matched.
func (q *runProblem) free(block []step, kept map[int]bool) bool {
	if kept[block[0].part[0]] {
		return false
	}
	for _, p := range q.parts {
		if p.stick == block[0].part[0] && (p.matched || p.damageBefore != block[0].part[1]) {
			return false
		}
	}
	return true
}

// standsAfter gives which stop stands at a kind of side after some steps.
func (q *runProblem) standsAfter(steps []step) map[plan.SideKind]int {
	stand := plan.NewStanding(q.w.Machine)
	if q.from != nil {
		stand = q.from.Stand.Clone()
	}
	for _, s := range steps {
		stand.Cut(s.stop, s.side)
	}
	return stand.Stops()
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
