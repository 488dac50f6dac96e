package stops

import "slices"

// moves adds to a list what can be done next. What is left out is never better than something listed.
func (t *table) moves(m mode, s *state, list []move) []move {
	if s.hand != 0 {
		if mv, ok := t.forced(m, s); ok {
			return append(list, mv)
		}
		list = t.movesFrom(m, s, source{from: inHand, rem: s.hand}, list)
		if m == finish {
			return list
		}
	}
	for ty, id := range t.types {
		if s.flat[ty] > 0 {
			list = t.movesFrom(m, s, source{from: fresh, rem: id, ty: int32(ty)}, list)
		}
	}
	for i, id := range s.asides {
		if i == 0 || s.asides[i-1] != id {
			list = t.movesFrom(m, s, source{from: laidAside, rem: id}, list)
		}
	}
	return list
}

// forced gives a cut from the stick in hand that does no harm, because its stop stands there: where a length is set once, or
// where the stick must be finished next anyway and the stop may go afterwards. To cut those pieces from a later setting
// would change no group and save nothing.
func (t *table) forced(m mode, s *state) (move, bool) {
	if m == aside || m == seldom || t.many {
		return move{}, false
	}
	r := t.rems[s.hand]
	for o := range r.options {
		op := &r.options[o]
		if i := s.at(op.length); i >= 0 && (m == once || t.harmless(s.set[i], op)) {
			return move{source: source{from: inHand, rem: s.hand}, option: int32(o), drop: none}, true
		}
	}
	return move{}, false
}

// harmless says that the stop may go after a cut.
func (t *table) harmless(st standing, op *option) bool {
	for _, lot := range op.lots {
		u := t.unit[lot.Class]
		if u == 0 || (st.cut[t.slot[lot.Class]]+int32(lot.Count))%u != 0 {
			return false
		}
	}
	return true
}

// movesFrom adds the cuts from one stick.
func (t *table) movesFrom(m mode, s *state, from source, list []move) []move {
	r := t.rems[from.rem]
	for o := range r.options {
		op := &r.options[o]
		mv := move{source: from, option: int32(o), drop: none}
		if i := s.at(op.length); i >= 0 {
			list = append(list, mv)
			list = t.splits(m, s, mv, op, s.set[i].cut, list)
			continue
		}
		mv.placed = true
		for _, drop := range t.drops(m, s, op.length) {
			mv.drop = drop
			list = append(list, mv)
			list = t.splits(m, s, mv, op, make([]int32, len(t.classesOf[op.length])), list)
		}
	}
	return list
}

// drops gives the lengths whose stop can go to a new length: only none where a stop is idle or in the way; empty where no
// stop may go.
func (t *table) drops(m mode, s *state, length int) []int32 {
	var free []int32
	inWay := 0
	for _, st := range s.set {
		may := t.mayLeave(m, s, st)
		switch {
		case t.near(int(st.length), length) && !may:
			return nil
		case t.near(int(st.length), length):
			inWay++
		case may:
			free = append(free, st.length)
		}
	}
	if len(s.set)-inWay < t.p.Stops {
		return []int32{none}
	}
	return free
}

// splits adds the cuts of a part of an option's pieces, the others being left for a later setting. Of amounts that differ by
// whole groups only the greatest is listed: the groups could be moved from the later setting to this one. Where the stick
// must be finished next, the stop has to go before that, so that what was cut must make up groups.
func (t *table) splits(m mode, s *state, mv move, op *option, cut []int32, list []move) []move {
	if m == once {
		return list
	}
	mv.take = make([]int32, len(op.lots))
	t.splitLots(m, s, mv, op, cut, 0, &list)
	return list
}

// splitLots chooses the amounts of the lots from one on.
func (t *table) splitLots(m mode, s *state, mv move, op *option, cut []int32, from int, list *[]move) {
	if from == len(op.lots) {
		var taken, rest int32
		for i, q := range mv.take {
			taken += q
			rest += int32(op.lots[i].Count) - q
		}
		if taken > 0 && rest > 0 {
			mv.take = slices.Clone(mv.take)
			*list = append(*list, mv)
		}
		return
	}
	lot := op.lots[from]
	least := int32(0)
	if u := t.unit[lot.Class]; u > 0 {
		least = max(0, int32(lot.Count)-u+1)
	}
	for q := int32(lot.Count); q >= least; q-- {
		if m != finish || t.many || t.whole(s, lot.Class, cut[t.slot[lot.Class]]+q) {
			mv.take[from] = q
			t.splitLots(m, s, mv, op, cut, from+1, list)
		}
	}
}
