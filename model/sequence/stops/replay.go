package stops

import "slices"

// stop is one stop of the machine. length is none before it is first placed; idle says that nothing is cut from it where
// it is, because it was moved out of the way or because all of its length is cut.
type stop struct {
	length   int
	idle     bool
	standing int
}

// replay goes a way with the sticks and stops themselves.
func (t *table) replay(moves []move) Plan {
	var plan Plan
	s := t.start()
	stops := make([]stop, t.p.Stops)
	for i := range stops {
		stops[i] = stop{length: none, idle: true}
	}
	sticks := newSticks(t)
	settings := 0
	for _, mv := range moves {
		op := &t.rems[mv.rem].options[mv.option]
		stick, segment := sticks.take(mv, op)
		if mv.placed {
			n := t.chooseStop(stops, op.length, int(mv.drop))
			for i := range stops {
				if stops[i].length != none && t.near(stops[i].length, op.length) {
					stops[i].idle = true
				}
			}
			stops[n] = stop{length: op.length, standing: settings}
			settings++
		}
		n := slices.IndexFunc(stops, func(st stop) bool { return st.length == op.length && !st.idle })
		placed := mv.placed
		for i, lot := range op.lots {
			q := lot.Count
			if mv.take != nil {
				q = int(mv.take[i])
			}
			for range q {
				plan.Cuts = append(plan.Cuts, Cut{Stick: stick, Segment: segment, Class: lot.Class, Stop: n + 1,
					Placed: placed, Standing: stops[n].standing})
				placed = false
			}
		}
		s = t.apply(s, mv)
		sticks.put(s.hand)
		stops[n].idle = *t.leftOf(s, int32(op.length)) == 0
	}
	return plan
}

// chooseStop says which stop goes to a length: the one that leaves its own for it, else one in the way, else an idle one.
func (t *table) chooseStop(stops []stop, length, drop int) int {
	for _, fits := range []func(stop) bool{
		func(s stop) bool { return drop != none && s.length == drop && !s.idle },
		func(s stop) bool { return s.length != none && t.near(s.length, length) },
		func(s stop) bool { return s.idle },
	} {
		if i := slices.IndexFunc(stops, fits); i >= 0 {
			return i
		}
	}
	panic("stops: no stop is free")
}

// sticks are the sticks themselves: which are not taken yet, which are laid aside, and the one in hand with what is left
// of its segments.
type sticks struct {
	t     *table
	fresh [][]int         // by type
	aside map[int32][]int // by remainder
	hand  int
	rem   int32
	// segments are those that were not begun, by stick; begun is the one that was.
	segments []map[int32][]int
	begun    []int
}

func newSticks(t *table) *sticks {
	s := &sticks{t: t, fresh: make([][]int, len(t.types)), aside: map[int32][]int{}, hand: none,
		begun: make([]int, len(t.typeOf))}
	for i, ty := range t.typeOf {
		s.fresh[ty] = append(s.fresh[ty], i)
		byNumber := map[int32][]int{}
		for n, seg := range t.p.Sticks[i] {
			if id, ok := t.segment(seg, t.p.partOf(i, n)); ok {
				byNumber[id] = append(byNumber[id], n)
			}
		}
		s.segments = append(s.segments, byNumber)
	}
	return s
}

// take takes the stick of a move in hand and gives its number and that of the segment that is cut.
func (s *sticks) take(mv move, op *option) (stick, segment int) {
	if mv.from != inHand {
		if s.hand != none && s.rem != 0 {
			s.aside[s.rem] = append(s.aside[s.rem], s.hand)
		}
		if mv.from == fresh {
			s.hand, s.fresh[mv.ty] = s.fresh[mv.ty][0], s.fresh[mv.ty][1:]
		} else {
			s.hand, s.aside[mv.rem] = s.aside[mv.rem][0], s.aside[mv.rem][1:]
		}
	}
	if op.whole != none {
		id := s.t.rems[mv.rem].whole[op.whole]
		left := s.segments[s.hand]
		s.begun[s.hand], left[id] = left[id][0], left[id][1:]
	}
	return s.hand, s.begun[s.hand]
}

// put notes what is left of the stick in hand.
func (s *sticks) put(rem int32) { s.rem = rem }
