package solver

import (
	"cmp"
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
	in      *instance
	arena   []state
	list    []int32
	next    []int32
	order   []int
	dens    []float64
	enough  int64   // a pattern worth this much is as good as any
	share   float64 // states that cannot rise above floor + share × (top − floor) are dropped
	floor   int64
	top     int64 // worth of the best pattern so far, floor at first
	topAt   int32 // its state; −1: none yet
	byStage []int32
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
// most avail of each item. It reports false when there is none. It stops at a pattern worth enough, though there may
// be a better one.
func (p *pricer) best(room int64, worth, avail []int64, floor, enough int64) (total int64, take []Take, found bool) {
	p.enough = enough
	p.run(room, worth, avail, nil, floor, 1)
	if p.topAt < 0 {
		return floor, nil, false
	}
	return p.top, p.unwind(p.topAt), true
}

// many finds the pattern of greatest worth for a stick with the given room, with at most avail of each item (nil: the
// demands) and what extras add, if it is worth more than floor; and behind it further patterns worth more than floor, up
// to most in all, each with an item that none before it has. At most 64 extras may hold two items or more. The further ones are the best that end in one item or another, in the order in which items are added,
// and not all there are: what lies in the lower half between floor and the best may be missing.
func (p *pricer) many(room int64, worth, avail []int64, extras []bonus, floor int64, most int) (total int64, takes [][]Take) {
	p.enough = math.MaxInt64
	p.run(room, worth, avail, extras, floor, 0.5)
	if p.topAt < 0 {
		return floor, nil
	}
	takes = append(takes, p.unwind(p.topAt))
	seen := map[int]bool{}
	for _, t := range takes[0] {
		seen[t.Item] = true
	}
	slices.SortStableFunc(p.byStage, func(a, b int32) int { return cmp.Compare(p.arena[b].worth, p.arena[a].worth) })
	for _, at := range p.byStage {
		if len(takes) == most {
			break
		}
		if at == p.topAt || p.arena[at].worth <= floor {
			continue
		}
		take := p.unwind(at)
		fresh := false
		for _, t := range take {
			fresh = fresh || !seen[t.Item]
			seen[t.Item] = true
		}
		if fresh {
			takes = append(takes, take)
		}
	}
	return p.top, takes
}

// run fills top, topAt and byStage, the best state of every stage.
func (p *pricer) run(room int64, worth, avail []int64, extras []bonus, floor int64, share float64) {
	if avail == nil {
		avail = p.in.demand
	}
	p.arena = append(p.arena[:0], state{parent: -1, item: -1})
	p.list = append(p.list[:0], 0)
	p.floor, p.top, p.topAt, p.share = floor, floor, -1, share
	p.byStage = p.byStage[:0]
	var open []bonus
	for _, e := range extras {
		switch {
		case len(e.holds) == 0:
			p.arena[0].worth += e.worth // every pattern meets it
		case p.possible(e, room, avail):
			open = append(open, e)
		}
	}
	p.see(0)

	special := specials(open)
	p.order = p.order[:0]
	for i, u := range worth {
		if u > 0 && avail[i] > 0 && p.in.length[i] <= room && !slices.Contains(special, i) {
			p.order = append(p.order, i)
		}
	}
	density := func(i int) float64 { return float64(worth[i]) / float64(p.in.length[i]) }
	slices.SortFunc(p.order, func(x, y int) int {
		return cmp.Or(cmp.Compare(density(y), density(x)), cmp.Compare(p.in.length[y], p.in.length[x]), cmp.Compare(x, y))
	})
	p.dens = append(p.dens[:0], make([]float64, len(p.order)+1)...)
	for t, i := range p.order {
		p.dens[t] = density(i)
	}
	if len(special) > 0 {
		p.addSpecials(room, worth, avail, open, special)
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
			p.addPiece(room, i, q, worth[i]*q, ahead)
		}
		if len(p.list) == 0 || p.top >= p.enough {
			break
		}
	}
}

// see takes note of a state that may be the best.
func (p *pricer) see(at int32) {
	if w := p.arena[at].worth; w > p.top {
		p.top, p.topAt = w, at
	}
}

// cut is what a state must be able to rise above.
func (p *pricer) cut() float64 {
	return float64(p.floor) + p.share*float64(p.top-p.floor)
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
// the best worth per length of what comes after it.
func (p *pricer) addPiece(room int64, i int, q, u int64, ahead float64) {
	l := q * p.in.length[i]
	old, next := p.list, p.next[:0]
	last := int64(math.MinInt64) // worth of the last state kept or dropped: what comes later is longer and must be worth more
	cut := p.cut()
	stage := int32(-1)
	a, b := 0, 0
	for a < len(old) || b < len(old) {
		// Which comes next by length used: the old state a, or old state b with the piece?
		takeOld := b >= len(old)
		if !takeOld {
			used := p.arena[old[b]].used + l
			if used > room {
				b = len(old)
				continue
			}
			if a < len(old) {
				s := &p.arena[old[a]]
				takeOld = s.used < used || s.used == used && s.worth >= p.arena[old[b]].worth+u
			}
		}
		if takeOld {
			s := &p.arena[old[a]]
			if s.worth > last {
				last = s.worth
				if ub := float64(s.worth) + ahead*float64(room-s.used); ub+math.Abs(ub)*keep > cut {
					next = append(next, old[a])
				}
			}
			a++
			continue
		}
		s := p.arena[old[b]]
		used, w := s.used+l, s.worth+u
		if w > last {
			last = w
			ub := float64(w) + ahead*float64(room-used)
			if w > p.top || ub+math.Abs(ub)*keep > cut {
				at := int32(len(p.arena))
				p.arena = append(p.arena, state{used, w, old[b], int32(i), int32(q)})
				next = append(next, at)
				if w > p.top {
					p.top, p.topAt = w, at
					cut = p.cut()
					if w >= p.enough {
						return
					}
				}
				stage = at // worths rise along the list
			}
		}
		b++
	}
	p.list, p.next = next, old
	if stage >= 0 {
		p.byStage = append(p.byStage, stage)
	}
}

// specials lists the items of the conditions, so that conditions close as early as may be.
func specials(open []bonus) []int {
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
func (p *pricer) addSpecials(room int64, worth, avail []int64, open []bonus, special []int) {
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
		stage := int32(-1)
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
				if ub+math.Abs(ub)*keep <= p.cut() {
					continue
				}
				at := s.at
				if q > 0 || w != from.worth {
					at = int32(len(p.arena))
					p.arena = append(p.arena, state{used, w, s.at, int32(i), int32(q)})
				}
				then = append(then, tagged{at, tag})
				// A state is a pattern as it stands: with nothing more taken, no condition still open is met.
				p.see(at)
				if stage < 0 || w > p.arena[stage].worth {
					stage = at
				}
			}
		}
		if stage >= 0 {
			p.byStage = append(p.byStage, stage)
		}
		now, then = p.undominated(then), now
	}
	p.list = p.list[:0]
	for _, s := range now {
		p.list = append(p.list, s.at)
	}
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
