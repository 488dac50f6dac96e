package stops

import (
	"cmp"
	"slices"
)

// inTurn gives an order of what holds together one after another: the groups that segments of several pieces bind to each other
// are done with before others are begun. That is an order where all lengths of such a lot of groups can be set at once, or
// where it has no more than one segment on each stick; then each length in turn is cut from all sticks. The order is not
// a good one, and keeps every segment whole where a search found none that does. Not ok: it is none.
func inTurn(p Problem) (plan Plan, ok bool) {
	t := &table{p: p}
	hand := none
	taken := map[int]bool{}
	for _, pieces := range bound(p) {
		lengths := lengthsOf(p, pieces)
		byStick := func(a, b piece) int { return cmp.Or(cmp.Compare(a.stick, b.stick), cmp.Compare(a.segment, b.segment)) }
		byLength := func(a, b piece) int {
			return cmp.Or(cmp.Compare(p.Classes[a.class].Length, p.Classes[b.class].Length), cmp.Compare(a.stick, b.stick))
		}
		together := t.allTogether(lengths)
		switch {
		case together:
			slices.SortStableFunc(pieces, byStick)
		case oneEach(p, pieces):
			slices.SortStableFunc(pieces, byLength)
		default:
			return Plan{}, false
		}
		standing := map[int]int{}
		for _, pc := range pieces {
			l := p.Classes[pc.class].Length
			c := Cut{Stick: pc.stick, Segment: pc.segment, Class: pc.class, Stop: 1}
			if together {
				c.Stop += slices.Index(lengths, l)
			}
			if _, set := standing[l]; !set {
				standing[l], c.Placed = plan.Settings, true
				plan.Settings++
			}
			c.Standing = standing[l]
			if taken[pc.stick] && pc.stick != hand {
				plan.PickUps++
			}
			taken[pc.stick], hand = true, pc.stick
			plan.Cuts = append(plan.Cuts, c)
		}
	}
	plan.Least = len(lengthsOf(p, allPieces(p)))
	return plan, true
}

// piece is one piece on its stick.
type piece struct{ stick, segment, class int }

func allPieces(p Problem) []piece {
	var all []piece
	for i, s := range p.Sticks {
		for n, seg := range s {
			for _, lot := range seg {
				for range lot.Count {
					all = append(all, piece{i, n, lot.Class})
				}
			}
		}
	}
	return all
}

// bound divides the pieces into those whose classes meet in a segment of a stick that has several, and those of the classes
// that are left, one by one.
func bound(p Problem) [][]piece {
	leader := make([]int, len(p.Classes))
	for c := range leader {
		leader[c] = c
	}
	find := func(c int) int {
		for leader[c] != c {
			c = leader[c]
		}
		return c
	}
	for _, s := range p.Sticks {
		if len(s) < 2 {
			continue
		}
		for _, seg := range s {
			for _, lot := range seg {
				leader[find(lot.Class)] = find(seg[0].Class)
			}
		}
	}
	byLeader := make([][]piece, len(p.Classes))
	for _, pc := range allPieces(p) {
		l := find(pc.class)
		byLeader[l] = append(byLeader[l], pc)
	}
	return slices.DeleteFunc(byLeader, func(pieces []piece) bool { return len(pieces) == 0 })
}

// lengthsOf lists the lengths of pieces.
func lengthsOf(p Problem, pieces []piece) []int {
	var lengths []int
	for _, pc := range pieces {
		lengths = append(lengths, p.Classes[pc.class].Length)
	}
	slices.Sort(lengths)
	return slices.Compact(lengths)
}

// allTogether says whether a stop can stand at each of the lengths at the same time.
func (t *table) allTogether(lengths []int) bool {
	for i, a := range lengths {
		for _, b := range lengths[:i] {
			if t.near(a, b) {
				return false
			}
		}
	}
	return len(lengths) <= t.p.Stops
}

// oneEach says whether the pieces are of no more than one segment of each stick that has several.
func oneEach(p Problem, pieces []piece) bool {
	at := map[int]int{}
	for _, pc := range pieces {
		if n, ok := at[pc.stick]; ok && n != pc.segment && len(p.Sticks[pc.stick]) > 1 {
			return false
		}
		at[pc.stick] = pc.segment
	}
	return true
}
