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
// best known even if the room left is filled with what comes next, the last piece in part (Dantzig, Operations Research
// 5, 1957). So the work does not depend on the size of the capacity, only on how many sums matter.
//
// Conditions of the search tree add a worth to every pattern that holds enough of each of their items. Their items come
// first, and a state then also carries which of the conditions begun are still met; states are compared only with states
// that agree on that, until the last item of the last condition is in.
type pricer struct {
	in      *instance
	may     []bool  // which items a pattern may hold; nil: all
	refunds int     // the kind whose credit counts, where refund is not 0
	refund  int64   // what a unit of credit is worth; 0: no credit counts
	slope   float64 // what the credit's worth falls by for a unit of length
	arena   []state
	list    []entry
	next    []entry
	order   []int
	pieces  []piece
	most    int     // the list is thinned to so many states; 0: never
	thinned bool    // it was, so that there may be a better pattern than top
	enough  int64   // a pattern worth this much is as good as any
	half    bool    // states are dropped that cannot rise above midway between floor and top; otherwise: above top
	outlook []int64 // see look; empty until it is worth its while
	from    int     // the first stage that outlook covers
	cells   int     // of a row of outlook
	shift   uint    // a cell is 2^shift units of length
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

// entry is a state in the list: at is its place in the arena, the rest is a copy that lies at hand.
type entry struct {
	used, worth int64
	at          int32
}

// piece is some of one item, added as one; before is the sum of all pieces before it in the order.
type piece struct {
	item          int
	quantity      int64
	length, worth int64
	dens          float64
	beforeLength  int64
	beforeWorth   int64
}

// bonus is a condition as the pricer sees it: worth is added to a pattern that holds at least so many of each.
type bonus struct {
	holds []Take
	worth int64
}

// keep is how far, relatively, an upper bound in floating point may lie below the floor before its state is dropped.
// The bound is a sum of two products of numbers rounded at 2⁻⁵³, so it errs by less than 2⁻⁵⁰ of itself.
const keep = 1.0 / (1 << 48)

// hold makes patterns those of kind k, its credit counted so many times over.
func (p *pricer) hold(k int, times int64) {
	p.may, p.refunds, p.refund, p.slope = p.in.may[k], k, 0, 0
	if c := p.in.credit[k]; c.Num > 0 && times > 0 {
		p.refund = times
		p.slope = float64(times) * float64(c.Num) / float64(c.Den) * float64(p.in.unit)
	}
}

// value is what a pattern is worth with its credit.
func (p *pricer) value(used, worth int64) int64 {
	if p.refund == 0 {
		return worth
	}
	return worth + p.refund*p.in.creditOf(p.refunds, used)
}

// atMost bounds from above what the credit of a pattern that uses so much or more is worth before the use beyond it is
// taken off at the slope; 0 where there is none.
func (p *pricer) atMost(used int64) float64 {
	if p.refund == 0 {
		return 0
	}
	c := p.in.credit[p.refunds]
	left := p.in.whole[p.refunds] - used*p.in.unit + c.Extra
	if left < c.Keep {
		return 0
	}
	return p.slope / float64(p.in.unit) * float64(left)
}

// best finds the pattern of greatest worth among those worth more than floor, for a stick with the given room, with at
// most avail of each item. It reports false when there is none. It stops at a pattern worth enough, and thins long
// lists, so that there may be a better one.
func (p *pricer) best(room int64, worth, avail []int64, floor, enough int64) (total int64, take []Take, found bool) {
	p.enough, p.most = enough, draftStates
	p.run(room, worth, avail, nil, floor, false)
	if p.topAt < 0 {
		return floor, nil, false
	}
	return p.top, p.unwind(p.topAt), true
}

// many finds the pattern of greatest worth for a stick with the given room, with at most avail of each item (nil: the
// demands) and what extras add, if it is worth more than floor. Where that took more than states (0: any number), or where
// more than 64 extras hold two items or more, exact is false and there may be a better one. Behind it come further
// patterns worth more than floor, up to most in all, each with an item that none before it has: the best that end in one
// item or another, in the order in which items are added. They are not all there are: what lies in the lower half
// between floor and the best may be missing.
func (p *pricer) many(room int64, worth, avail []int64, extras []bonus, floor int64, most, states int) (total int64, takes [][]Take, exact bool) {
	p.enough, p.most = math.MaxInt64, states
	p.run(room, worth, avail, extras, floor, true)
	if p.topAt < 0 {
		return floor, nil, !p.thinned
	}
	takes = append(takes, p.unwind(p.topAt))
	seen := map[int]bool{}
	for _, t := range takes[0] {
		seen[t.Item] = true
	}
	valueAt := func(at int32) int64 { return p.value(p.arena[at].used, p.arena[at].worth) }
	slices.SortStableFunc(p.byStage, func(a, b int32) int { return cmp.Compare(valueAt(b), valueAt(a)) })
	for _, at := range p.byStage {
		if len(takes) == most {
			break
		}
		if at == p.topAt || valueAt(at) <= floor {
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
	return p.top, takes, !p.thinned
}

// run fills top, topAt and byStage, the best state of every stage.
func (p *pricer) run(room int64, worth, avail []int64, extras []bonus, floor int64, half bool) {
	if avail == nil {
		avail = p.in.wanted
	}
	p.arena = append(p.arena[:0], state{parent: -1, item: -1})
	p.list = append(p.list[:0], entry{at: 0})
	p.floor, p.top, p.topAt, p.half = floor, floor, -1, half
	p.outlook = p.outlook[:0]
	p.byStage, p.thinned = p.byStage[:0], false
	var open []bonus
	for _, e := range extras {
		if p.possible(e, room, avail) {
			open = append(open, e)
		}
	}
	p.see(0)

	special := specials(open)
	p.order = p.order[:0]
	for i, u := range worth {
		if u > 0 && avail[i] > 0 && p.mayHold(i) && p.in.length[i] <= room && !slices.Contains(special, i) {
			p.order = append(p.order, i)
		}
	}
	density := func(i int) float64 { return float64(worth[i]) / float64(p.in.length[i]) }
	slices.SortFunc(p.order, func(x, y int) int {
		return cmp.Or(cmp.Compare(density(y), density(x)), cmp.Compare(p.in.length[y], p.in.length[x]), cmp.Compare(x, y))
	})
	p.pieces = p.pieces[:0]
	var sum piece
	for _, i := range p.order {
		most := min(avail[i], room/p.in.length[i])
		// As many pieces of 1, 2, 4 … and the rest as make every quantity up to most.
		for step := int64(1); most > 0; step *= 2 {
			q := min(step, most)
			most -= q
			p.pieces = append(p.pieces, piece{i, q, q * p.in.length[i], q * worth[i], density(i), sum.beforeLength, sum.beforeWorth})
			sum.beforeLength += q * p.in.length[i]
			sum.beforeWorth += q * worth[i]
		}
	}
	p.pieces = append(p.pieces, sum) // the end: nothing more to come
	if len(special) > 0 {
		p.addSpecials(room, worth, avail, open, special)
	}
	for t := range len(p.pieces) - 1 {
		if len(p.list) > outlookFrom && len(p.outlook) == 0 {
			p.look(room, t+1)
		}
		p.addPiece(room, t)
		if p.most > 0 && len(p.list) > p.most {
			p.thin()
		}
		if len(p.list) == 0 || p.top >= p.enough {
			break
		}
	}
}

// see takes note of a state that may be the best.
func (p *pricer) see(at int32) {
	if w := p.value(p.arena[at].used, p.arena[at].worth); w > p.top {
		p.top, p.topAt = w, at
	}
}

func (p *pricer) mayHold(i int) bool { return p.may == nil || p.may[i] }

// cut is what a state must be able to rise above.
func (p *pricer) cut() int64 {
	if p.half {
		return p.floor + (p.top-p.floor)/2
	}
	return p.top
}

// look works out what can still come: for every stage from first on and every room in cells, the greatest worth of the
// pieces from that stage on in that room and of the credit for what they leave of it, with all lengths rounded down to
// cells and what is left up. Rounding so only lets more fit, so that no state is dropped that could rise above the cut.
func (p *pricer) look(room int64, first int) {
	p.from, p.shift = first, 0
	for room>>p.shift >= outlookCells {
		p.shift++
	}
	p.cells = int(room>>p.shift) + 1
	stages := len(p.pieces) - first // the last is the end, with nothing to come
	p.outlook = slices.Grow(p.outlook[:0], stages*p.cells)[:stages*p.cells]
	end := p.outlook[(stages-1)*p.cells:]
	clear(end)
	if p.refund != 0 {
		for c := range end {
			end[c] = p.value(room-min(room, int64(c+1)<<p.shift-1), 0)
		}
	}
	for t := stages - 2; t >= 0; t-- {
		later, now := p.outlook[(t+1)*p.cells:(t+2)*p.cells], p.outlook[t*p.cells:(t+1)*p.cells]
		l, u := int(p.pieces[first+t].length>>p.shift), p.pieces[first+t].worth
		copy(now, later[:min(l, p.cells)])
		for c := l; c < p.cells; c++ {
			now[c] = max(later[c], later[c-l]+u)
		}
	}
}

// outlookCells is the greatest number of cells; outlookFrom is how long the list must be for the outlook to pay.
const outlookCells, outlookFrom = 1 << 12, 400

// possible tells whether a pattern could meet e at all.
func (p *pricer) possible(e bonus, room int64, avail []int64) bool {
	for _, h := range e.holds {
		if avail[h.Item] < h.Quantity || !p.mayHold(h.Item) {
			return false
		}
		room -= h.Quantity * p.in.length[h.Item]
	}
	return room >= 0
}

// addPiece merges into the list, for every state, the state with piece t more.
func (p *pricer) addPiece(room int64, t int) {
	l, u, i, q := p.pieces[t].length, p.pieces[t].worth, int32(p.pieces[t].item), int32(p.pieces[t].quantity)
	old, next := p.list, p.next[:0]
	last := int64(math.MinInt64) // worth of the last state kept or dropped: what comes later is longer and must be worth more
	cut := p.cut()
	stage, best := int32(-1), int64(0) // the new state of greatest value
	// fill is the piece that the room left of the state at hand ends in, when it is filled with the pieces after t. States
	// come by rising length, so it only moves back.
	rest := p.pieces[t+1:]
	fill := len(rest) - 1
	baseLength, baseWorth := rest[0].beforeLength, rest[0].beforeWorth
	var ahead []int64 // by cells of room left, when it is known
	if len(p.outlook) > 0 && t+1 >= p.from {
		ahead = p.outlook[(t+1-p.from)*p.cells:][:p.cells]
	}
	shift := p.shift
	// With credit, the room is worth filling only with pieces that are worth more than it falls by: net is the length up to
	// which they are, fillNet the piece that it is filled up to.
	net, fillNet := int64(0), len(rest)-1
	if p.refund != 0 {
		z := 0
		for z < len(rest)-1 && rest[z].dens > p.slope {
			z++
		}
		net = rest[z].beforeLength
	}
	rises := func(used, worth int64) bool { // above the cut
		if ahead != nil {
			return worth+ahead[(room-used)>>shift] > cut
		}
		left := room - used + baseLength
		for fill > 0 && rest[fill].beforeLength > left {
			fill--
		}
		f := &rest[fill]
		ub := float64(worth+f.beforeWorth-baseWorth) + f.dens*float64(left-f.beforeLength)
		if p.refund != 0 {
			if credit := p.atMost(used); credit > 0 {
				to := max(min(left, net), baseLength)
				for fillNet > 0 && rest[fillNet].beforeLength > to {
					fillNet--
				}
				f := &rest[fillNet]
				with := float64(worth+f.beforeWorth-baseWorth) + f.dens*float64(to-f.beforeLength) + credit - p.slope*float64(to-baseLength)
				ub = max(ub, with+credit*keep)
			}
		}
		return ub+math.Abs(ub)*keep > float64(cut)
	}
	// What is longer than this has no room for the piece.
	fit := len(old)
	for fit > 0 && old[fit-1].used > room-l {
		fit--
	}
	a, b := 0, 0
	for a < len(old) || b < fit {
		// Which comes next by length used: the old state a, or old state b with the piece?
		if b >= fit || a < len(old) && (old[a].used < old[b].used+l || old[a].used == old[b].used+l && old[a].worth >= old[b].worth+u) {
			if w := old[a].worth; w > last {
				last = w
				if rises(old[a].used, w) {
					next = append(next, old[a])
				}
			}
			a++
			continue
		}
		used, w := old[b].used+l, old[b].worth+u
		if w > last {
			last = w
			value := p.value(used, w)
			if value > p.top || rises(used, w) {
				at := int32(len(p.arena))
				p.arena = append(p.arena, state{used, w, old[b].at, i, q})
				next = append(next, entry{used, w, at})
				if value > p.top {
					p.top, p.topAt = value, at
					cut = p.cut()
					if value >= p.enough {
						return
					}
				}
				if stage < 0 || value >= best {
					stage, best = at, value
				}
			}
		}
		b++
	}
	p.list, p.next = next, old
	if stage >= 0 {
		p.byStage = append(p.byStage, stage)
	}
}

// draftStates is how many states a pattern for a draft is chosen from: no more than tell sums apart that matter there.
const draftStates = 1 << 10

// thin drops about half of the list or more: what is worth hardly more than a shorter state.
func (p *pricer) thin() {
	p.thinned = true
	first, last := p.list[0].worth, p.list[len(p.list)-1].worth
	step := max(1, 2*((last-first)/int64(p.most)))
	kept := p.list[:1]
	for _, e := range p.list[1:] {
		if e.worth >= kept[len(kept)-1].worth+step {
			kept = append(kept, e)
		}
	}
	p.list = kept
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

// maxTags is how many conditions on two items or more can be followed at once.
const maxTags = 64

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
	bit := make([]uint64, len(open)) // of the tag; a condition on one item needs none, it closes as it begins
	tags := 0
	for r, e := range open {
		first[r], final[r] = len(special), -1
		for _, h := range e.holds {
			first[r], final[r] = min(first[r], place[h.Item]), max(final[r], place[h.Item])
		}
		if first[r] < final[r] {
			if tags == maxTags {
				p.thinned = true // it is left out from here on
				first[r], final[r] = len(special), -1
				continue
			}
			bit[r] = 1 << tags
			tags++
		}
	}
	ahead := make([]float64, len(special)+1) // best worth per length after special t, conditions apart
	ahead[len(special)] = p.pieces[0].dens
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
			if !p.mayHold(i) {
				most = 0
			}
			for q := int64(0); q <= most; q++ {
				used, w, tag := from.used+q*p.in.length[i], from.worth+q*worth[i], s.tag
				hope := hopes
				for r, e := range open {
					if t < first[r] || t > final[r] {
						continue
					}
					met := t == first[r] || tag&bit[r] != 0
					for _, h := range e.holds {
						if h.Item == i && q < h.Quantity {
							met = false
						}
					}
					tag &^= bit[r]
					switch {
					case !met:
					case t == final[r]:
						w += e.worth
					default:
						tag |= bit[r]
						hope += max(0, float64(e.worth))
					}
				}
				ub := float64(w) + hope + ahead[t+1]*float64(room-used) + p.atMost(used)*(1+keep)
				if ub+math.Abs(ub)*keep <= float64(p.cut()) {
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
		p.list = append(p.list, entry{p.arena[s.at].used, p.arena[s.at].worth, s.at})
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
