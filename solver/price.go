package solver

import (
	"math"
	"math/bits"
	"slices"
	"sort"
)

// pricer finds a pattern of greatest worth: a bounded knapsack, exactly, in integers, at any resolution.
//
// It keeps the undominated partial patterns, a list of (length used, worth) rising in both, and adds the items in order
// of falling worth per length (Nemhauser and Ullmann, Management Science 15, 1969), dropping what cannot rise above the
// best known: worth + (room left) × (best worth per length still to come). So the work does not depend on the size of
// the capacity, only on how many sums matter.
//
// Conditions of the search tree add a worth to every pattern that holds enough of each of their items. Their items come
// first, and a state then also carries which of the conditions begun are still met; states are compared only with states
// that agree on that, until the last item of the last condition is in.
type pricer struct {
	in    *instance
	arena []state
	list  []int32
	next  []int32
	order []int
	dens  []float64
}

// state is a partial pattern: quantity of item was added to the state parent.
type state struct {
	used     int64
	worth    int64
	parent   int32 // −1: none
	item     int32
	quantity int32
}

// bonus is a condition as the pricer sees it: worth is added to a pattern that holds at least so many of each.
type bonus struct {
	holds []Take
	worth int64
}

// keep is how far, relatively, an upper bound in floating point may lie below the floor before its state is dropped.
// The bound is a sum of two products of numbers rounded at 2⁻⁵³, so it errs by less than 2⁻⁵⁰ of itself.
const keep = 1.0 / (1 << 48)

// best finds the pattern of greatest worth among those worth more than floor, for a stick with the given room, with at
// most avail of each item (nil: the demands). It reports false when there is none. extras must be ≤ 64.
func (p *pricer) best(room int64, worth, avail []int64, extras []bonus, floor int64) (total int64, take []Take, found bool) {
	if avail == nil {
		avail = p.in.demand
	}
	p.arena = append(p.arena[:0], state{parent: -1, item: -1})
	p.list = append(p.list[:0], 0)
	top, topAt := floor, int32(-1)
	var base int64 // worth of conditions that every pattern meets
	var open []bonus
	for _, e := range extras {
		switch possible := p.possible(e, room, avail); {
		case len(e.holds) == 0:
			base += e.worth
		case possible:
			open = append(open, e)
		}
	}
	p.arena[0].worth = base
	if base > top {
		top, topAt = base, 0
	}

	special := p.specials(open)
	p.order = p.order[:0]
	for i, u := range worth {
		if u > 0 && avail[i] > 0 && p.in.length[i] <= room && !slices.Contains(special, i) {
			p.order = append(p.order, i)
		}
	}
	density := func(i int) float64 { return float64(worth[i]) / float64(p.in.length[i]) }
	sort.SliceStable(p.order, func(a, b int) bool {
		x, y := p.order[a], p.order[b]
		dx, dy := density(x), density(y)
		if dx != dy {
			return dx > dy
		}
		return p.in.length[x] > p.in.length[y]
	})
	p.dens = append(p.dens[:0], make([]float64, len(p.order)+1)...)
	for t := len(p.order) - 1; t >= 0; t-- {
		p.dens[t] = density(p.order[t])
	}
	if len(special) > 0 {
		top, topAt = p.addSpecials(room, worth, avail, open, special, top, topAt)
	}
	for t, i := range p.order {
		most := min(avail[i], room/p.in.length[i])
		// As many pieces of 1, 2, 4 … and the rest as make every quantity up to most.
		for step := int64(1); most > 0; step *= 2 {
			q := min(step, most)
			most -= q
			ahead := p.dens[t]
			if most == 0 {
				ahead = p.dens[t+1]
			}
			top, topAt = p.addPiece(room, i, q, worth[i]*q, ahead, top, topAt)
		}
		if len(p.list) == 0 {
			break
		}
	}
	if topAt < 0 {
		return floor, nil, false
	}
	return top, p.unwind(topAt), true
}

// possible tells whether a pattern could meet e at all.
func (p *pricer) possible(e bonus, room int64, avail []int64) bool {
	for _, h := range e.holds {
		if avail[h.Item] < h.Quantity {
			return false
		}
		room -= h.Quantity * p.in.length[h.Item]
	}
	return room >= 0
}

// addPiece merges into the list, for every state, the state with a piece more: q of item i, together worth u. ahead is
// the best worth per length of what comes after it. It returns the best state so far.
func (p *pricer) addPiece(room int64, i int, q, u int64, ahead float64, top int64, topAt int32) (int64, int32) {
	l := q * p.in.length[i]
	old := p.list
	next := p.next[:0]
	last := int64(math.MinInt64)
	floor := float64(top)
	a, b := 0, 0
	for a < len(old) || b < len(old) {
		// Which comes next by length used: the old state a, or old state b with the piece?
		takeOld := false
		if b >= len(old) {
			takeOld = true
		} else if used := p.arena[old[b]].used + l; used > room {
			b = len(old)
			continue
		} else if a < len(old) {
			s := &p.arena[old[a]]
			takeOld = s.used < used || s.used == used && s.worth >= p.arena[old[b]].worth+u
		}
		if takeOld {
			s := &p.arena[old[a]]
			if s.worth > last {
				ub := float64(s.worth) + ahead*float64(room-s.used)
				if ub+math.Abs(ub)*keep > floor {
					next = append(next, old[a])
				}
				last = s.worth
			}
			a++
			continue
		}
		s := p.arena[old[b]]
		used, w := s.used+l, s.worth+u
		if w > last {
			last = w
			if w > top {
				top, floor = w, float64(w)
				topAt = int32(len(p.arena))
				p.arena = append(p.arena, state{used, w, old[b], int32(i), int32(q)})
				next = append(next, topAt)
			} else if ub := float64(w) + ahead*float64(room-used); ub+math.Abs(ub)*keep > floor {
				p.arena = append(p.arena, state{used, w, old[b], int32(i), int32(q)})
				next = append(next, int32(len(p.arena)-1))
			}
		}
		b++
	}
	p.list, p.next = next, old
	return top, topAt
}

// specials lists the items of the conditions, so that conditions close as early as may be.
func (p *pricer) specials(open []bonus) []int {
	var list []int
	for _, e := range open {
		for _, h := range e.holds {
			if !slices.Contains(list, h.Item) {
				list = append(list, h.Item)
			}
		}
	}
	return list
}

// tagged is a state with the set of conditions that it has begun and not yet missed.
type tagged struct {
	at  int32
	tag uint64
}

// addSpecials puts in the items of conditions, each in every quantity, and leaves in p.list the undominated states. The
// bounds that drop states count every condition still open as met.
func (p *pricer) addSpecials(room int64, worth, avail []int64, open []bonus, special []int, top int64, topAt int32) (int64, int32) {
	place := map[int]int{} // where in special an item is
	for t, i := range special {
		place[i] = t
	}
	first, final := make([]int, len(open)), make([]int, len(open))
	for r, e := range open {
		first[r], final[r] = len(special), -1
		for _, h := range e.holds {
			first[r], final[r] = min(first[r], place[h.Item]), max(final[r], place[h.Item])
		}
	}
	ahead := make([]float64, len(special)+1) // best worth per length after special t, conditions apart
	ahead[len(special)] = p.dens[0]
	for t := len(special) - 1; t >= 0; t-- {
		ahead[t] = max(ahead[t+1], float64(worth[special[t]])/float64(p.in.length[special[t]]))
	}
	now := []tagged{{0, 0}}
	var then []tagged
	for t, i := range special {
		var hopes float64 // of the conditions that come later altogether
		for r, e := range open {
			if first[r] > t && e.worth > 0 {
				hopes += float64(e.worth)
			}
		}
		then = then[:0]
		for _, s := range now {
			from := p.arena[s.at]
			most := min(avail[i], (room-from.used)/p.in.length[i])
			for q := int64(0); q <= most; q++ {
				used, w, tag := from.used+q*p.in.length[i], from.worth+q*worth[i], s.tag
				hope := hopes
				for r, e := range open {
					if t < first[r] || t > final[r] {
						continue
					}
					met := t == first[r] || tag>>r&1 == 1
					for _, h := range e.holds {
						if h.Item == i && q < h.Quantity {
							met = false
						}
					}
					tag &^= 1 << r
					switch {
					case !met:
					case t == final[r]:
						w += e.worth
					default:
						tag |= 1 << r
						hope += max(0, float64(e.worth))
					}
				}
				ub := float64(w) + hope + ahead[t+1]*float64(room-used)
				if ub+math.Abs(ub)*keep <= float64(top) {
					continue
				}
				at := s.at
				if q > 0 || w != from.worth {
					at = int32(len(p.arena))
					p.arena = append(p.arena, state{used, w, s.at, int32(i), int32(q)})
				}
				then = append(then, tagged{at, tag})
				// A state is a pattern as it stands: with nothing more taken, no condition still open is met.
				if w > top {
					top, topAt = w, at
				}
			}
		}
		now, then = p.undominated(then), now
	}
	p.list = p.list[:0]
	for _, s := range now {
		if w := p.arena[s.at].worth; w > top {
			top, topAt = w, s.at
		}
		p.list = append(p.list, s.at)
	}
	return top, topAt
}

// undominated keeps, among states with the same tag, those with less length or more worth than any other.
func (p *pricer) undominated(list []tagged) []tagged {
	slices.SortFunc(list, func(x, y tagged) int {
		a, b := &p.arena[x.at], &p.arena[y.at]
		switch {
		case x.tag != y.tag:
			if x.tag < y.tag {
				return -1
			}
			return 1
		case a.used != b.used:
			if a.used < b.used {
				return -1
			}
			return 1
		case a.worth != b.worth:
			if a.worth > b.worth {
				return -1
			}
			return 1
		}
		return int(x.at) - int(y.at)
	})
	kept := list[:0]
	for _, s := range list {
		if n := len(kept); n > 0 && kept[n-1].tag == s.tag && p.arena[kept[n-1].at].worth >= p.arena[s.at].worth {
			continue
		}
		kept = append(kept, s)
	}
	return kept
}

// unwind lists what a state holds, in item order.
func (p *pricer) unwind(at int32) []Take {
	var take []Take
	for at >= 0 && p.arena[at].item >= 0 {
		s := &p.arena[at]
		if s.quantity > 0 {
			take = append(take, Take{int(s.item), int64(s.quantity)})
		}
		at = s.parent
	}
	sort.Slice(take, func(a, b int) bool { return take[a].Item < take[b].Item })
	merged := take[:0]
	for _, t := range take {
		if n := len(merged); n > 0 && merged[n-1].Item == t.Item {
			merged[n-1].Quantity += t.Quantity
			continue
		}
		merged = append(merged, t)
	}
	return merged
}

// maxWorth is the greatest worth an item may have, so that no pattern's worth overflows with room to spare.
func (in *instance) maxWorth() int64 { return int64(1) << (60 - bits.Len64(uint64(in.pieces))) }
