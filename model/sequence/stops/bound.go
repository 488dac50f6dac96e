package stops

import "slices"

// ahead is a cost that every way from a state to the end has still to pay. It never falls by more than a move costs.
func (t *table) ahead(m mode, s *state) cost {
	settings := s.waiting
	if m == finish {
		settings = max(settings, t.stickByStick(s))
	}
	return m.cost(settings, int32(len(s.asides)))
}

// stickByStick counts settings stick by stick, where each is finished before the next: a stick of d lengths finds at most so
// many of them set as there are stops, as go beside each other, and as another stick has or stand already.
func (t *table) stickByStick(s *state) int32 {
	var settings int32
	stands := func(l int32) bool { return s.at(int(l)) >= 0 }
	inHand := t.rems[s.hand].lengths
	for _, l := range inHand {
		if !stands(l) {
			settings++
		}
	}
	for ty, id := range t.types {
		count := s.flat[ty]
		if count == 0 {
			continue
		}
		shared := func(l int32) bool { return *t.holders(s, l) > 1 || slices.Contains(inHand, l) || stands(l) }
		lengths := t.rems[id].lengths
		settings += count * int32(len(lengths)-t.standTogether(lengths, shared))
	}
	return settings
}

// standTogether is how many of the lengths for which may holds can have a stop at the same time. They come by place.
func (t *table) standTogether(lengths []int32, may func(int32) bool) int {
	n := 0
	last := int32(none)
	for _, l := range lengths {
		if may(l) && (last == none || !t.near(int(last), int(l))) && n < t.p.Stops {
			n++
			last = l
		}
	}
	return n
}
