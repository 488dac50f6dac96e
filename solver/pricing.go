package solver

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
)

// pricer finds a pattern of greatest value: a bounded knapsack, exactly, in integers. An item's value is its dual
// value. The work does not depend on the size of the capacity, only on how many different sums matter.
//
// It is a dynamic program over lists of nondominated states, partial patterns by length used and value (G. L.
// Nemhauser, Z. Ullmann, Management Science 15, 1969). It adds the items in order of falling value per length. It
// drops a state whose upper bound does not exceed the best pattern known: the fractional bound, where the capacity
// left is filled with what comes next and the last piece in part (G. B. Dantzig, Operations Research 5, 1957), or a
// tabulated completion bound.
//
// A branching condition on what a stick holds adds its dual value to every pattern that holds enough of each of its
// items. The items of conditions are added first. Until the last of them is in, a state also carries which conditions
// can still be met, and is compared only with states that agree on that.
type pricer struct {
	in             *instance
	allowed        []bool  // the items that a pattern may hold; nil: all
	creditKind     int     // the kind whose credit counts, where creditScale is not 0
	creditScale    int64   // value of a unit of credit; 0: no credit counts
	creditBonus    int64   // added to the credit of a pattern that earns one, whose sum is at least 0
	creditSlope    float64 // by how much the credit's value falls for a unit of length
	arena          []state
	list           []entry
	next           []entry
	spare          [][]entry // lists to use again
	order          []int
	pieces         []piece
	maxStates      int     // heuristic: the list is thinned to so many states; 0: never
	thinned        bool    // it was thinned, so that there may be a better pattern
	target         int64   // a pattern of this value is good enough
	half           bool    // keep states that can rise above midway between floor and best; otherwise: above best
	completion     []int64 // completion bounds, see tabulateCompletion; empty: none
	completionFrom int     // the first stage that they cover
	cells          int     // in a row of completion
	shift          uint    // a cell is 2^shift units of length
	floor          int64
	best           int64 // value of the best pattern so far; floor at first
	bestAt         int32 // its state; −1: none yet
	byStage        []int32
}

// state is a partial pattern: quantity of item was added to the state parent.
type state struct {
	used     int64
	value    int64
	parent   int32 // −1: none
	item     int32
	quantity int32
}

// entry is a state in the list: at is its place in the arena, the rest is a copy that lies at hand.
type entry struct {
	used, value int64
	at          int32
}

// piece is a number of pieces of one item, added as one. before… are sums over all pieces before it in the order.
type piece struct {
	item          int
	quantity      int64
	length, value int64
	density       float64
	beforeLength  int64
	beforeValue   int64
}

// conditionTerm is a branching condition as the pricer sees it: dual is added to a pattern that holds at least so
// many of each.
type conditionTerm struct {
	holds []Take
	dual  int64
}

// boundMargin is how far, relatively, an upper bound in floating point may lie below the threshold before its state
// is dropped. The bound is a sum of two products of numbers rounded at 2⁻⁵³, so it errs by less than 2⁻⁵⁰ of itself.
const boundMargin = 1.0 / (1 << 48)

// setKind makes the patterns those of kind k, with its credit times a scale; at 0 no credit counts.
func (p *pricer) setKind(k int, times int64) {
	p.allowed, p.creditKind, p.creditScale, p.creditBonus, p.creditSlope = p.in.allowed[k], k, 0, 0, 0
	if c := p.in.credit[k]; c.Num > 0 && times > 0 {
		p.creditScale = times
		p.creditSlope = float64(times) * float64(c.Num) / float64(c.Den) * float64(p.in.lengthUnit)
	}
}

// withCredit is a pattern's value with its credit.
func (p *pricer) withCredit(used, value int64) int64 {
	if p.creditScale == 0 {
		return value
	}
	if p.creditBonus != 0 {
		if !p.in.leavesCredit(p.creditKind, used) {
			return value
		}
		return value + max(0, p.creditScale*p.in.creditOf(p.creditKind, used)+p.creditBonus)
	}
	return value + p.creditScale*p.in.creditOf(p.creditKind, used)
}

// creditLine is a line above the credit's steps, at a pattern that uses so much: from there it falls by creditSlope.
// It is 0 where there is no credit.
func (p *pricer) creditLine(used int64) float64 {
	if p.creditScale == 0 {
		return 0
	}
	c := p.in.credit[p.creditKind]
	left := p.in.stickLength[p.creditKind] - used*p.in.lengthUnit + c.Extra
	if left < c.Keep {
		return 0
	}
	return max(0, p.creditSlope/float64(p.in.lengthUnit)*float64(left)+float64(p.creditBonus))
}

// bestPattern finds a pattern of great value among those above floor, for a stick with the given capacity, with at
// most avail of each item. It reports false when there is none. It is heuristic: it stops at a pattern of value
// target and thins long lists.
func (p *pricer) bestPattern(capacity int64, duals, avail []int64, floor, target int64) (total int64, take []Take, found bool) {
	p.target, p.maxStates = target, greedyStates
	p.solve(capacity, duals, avail, nil, floor, false)
	if p.bestAt < 0 {
		return floor, nil, false
	}
	return p.best, p.unwind(p.bestAt), true
}

// bestPatterns finds the pattern of greatest value for a stick with the given capacity, with at most avail of each
// item (nil: all that can be wanted), the conditions' terms included, if it is above floor. Further patterns above
// floor follow it, up to most in all, each with an item that none before has: the best that end in one item or
// another, in the order in which items are added. These are not all; some in the lower half between floor and the
// best may be missing.
//
// exact is false where there may be a better pattern than the first: with states not 0 (heuristic pricing) where the
// list was thinned, and where more than 64 terms have two items or more.
func (p *pricer) bestPatterns(capacity int64, duals, avail []int64, terms []conditionTerm, floor int64, most, states int) (total int64, takes [][]Take, exact bool) {
	p.target, p.maxStates = math.MaxInt64, states
	p.solve(capacity, duals, avail, terms, floor, true)
	if p.bestAt < 0 {
		return floor, nil, !p.thinned
	}
	takes = append(takes, p.unwind(p.bestAt))
	seen := map[int]bool{}
	for _, t := range takes[0] {
		seen[t.Item] = true
	}
	valueAt := func(at int32) int64 { return p.withCredit(p.arena[at].used, p.arena[at].value) }
	slices.SortStableFunc(p.byStage, func(a, b int32) int { return cmp.Compare(valueAt(b), valueAt(a)) })
	for _, at := range p.byStage {
		if len(takes) == most {
			break
		}
		if at == p.bestAt || valueAt(at) <= floor {
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
	return p.best, takes, !p.thinned
}

// solve finds best, bestAt and byStage, the best state of every stage.
func (p *pricer) solve(capacity int64, duals, avail []int64, terms []conditionTerm, floor int64, half bool) {
	if avail == nil {
		avail = p.in.maxDemand
	}
	p.arena = append(p.arena[:0], state{parent: -1, item: -1})
	p.list = append(p.list[:0], entry{at: 0})
	p.floor, p.best, p.bestAt, p.half = floor, floor, -1, half
	p.completion = p.completion[:0]
	p.byStage, p.thinned = p.byStage[:0], false
	var open []conditionTerm
	for _, e := range terms {
		if p.possible(e, capacity, avail) {
			open = append(open, e)
		}
	}
	p.note(0)

	special := conditionItems(open)
	p.order = p.order[:0]
	for i, u := range duals {
		if u > 0 && avail[i] > 0 && p.mayHold(i) && p.in.length[i] <= capacity && !slices.Contains(special, i) {
			p.order = append(p.order, i)
		}
	}
	density := func(i int) float64 { return float64(duals[i]) / float64(p.in.length[i]) }
	slices.SortFunc(p.order, func(x, y int) int {
		return cmp.Or(cmp.Compare(density(y), density(x)), cmp.Compare(p.in.length[y], p.in.length[x]), cmp.Compare(x, y))
	})
	p.pieces = p.pieces[:0]
	var sum piece
	for _, i := range p.order {
		most := min(avail[i], capacity/p.in.length[i])
		// Pieces of 1, 2, 4 … and a rest, which together make every quantity up to most.
		for step := int64(1); most > 0; step *= 2 {
			q := min(step, most)
			most -= q
			p.pieces = append(p.pieces, piece{i, q, q * p.in.length[i], q * duals[i], density(i), sum.beforeLength, sum.beforeValue})
			sum.beforeLength += q * p.in.length[i]
			sum.beforeValue += q * duals[i]
		}
	}
	p.pieces = append(p.pieces, sum) // the end
	if len(special) > 0 {
		p.addConditionItems(capacity, duals, avail, open, special)
	}
	for t := range len(p.pieces) - 1 {
		if len(p.list) > completionStates && len(p.completion) == 0 {
			p.tabulateCompletion(capacity, t+1)
		}
		p.addPiece(capacity, t)
		if p.maxStates > 0 && len(p.list) > p.maxStates {
			p.thin()
		}
		if len(p.list) == 0 || p.best >= p.target {
			break
		}
	}
}

// note records a state that may be the best.
func (p *pricer) note(at int32) {
	if w := p.withCredit(p.arena[at].used, p.arena[at].value); w > p.best {
		p.best, p.bestAt = w, at
	}
}

func (p *pricer) mayHold(i int) bool { return p.allowed == nil || p.allowed[i] }

// threshold is what a state must be able to exceed.
func (p *pricer) threshold() int64 {
	if p.half {
		return p.floor + (p.best-p.floor)/2
	}
	return p.best
}

// tabulateCompletion tabulates completion bounds: for every stage from first on and every free length in cells, the
// greatest value of the pieces from that stage on in that length, and of the credit for what they leave. Lengths of
// pieces are rounded down to cells and leftovers up, so that a bound is never too low.
func (p *pricer) tabulateCompletion(capacity int64, first int) {
	p.completionFrom, p.shift = first, 0
	for capacity>>p.shift >= completionCells {
		p.shift++
	}
	p.cells = int(capacity>>p.shift) + 1
	stages := len(p.pieces) - first // the last is the end, with nothing to come
	p.completion = slices.Grow(p.completion[:0], stages*p.cells)[:stages*p.cells]
	end := p.completion[(stages-1)*p.cells:]
	clear(end)
	if p.creditScale != 0 {
		for c := range end {
			end[c] = p.withCredit(capacity-min(capacity, int64(c+1)<<p.shift-1), 0)
		}
	}
	for t := stages - 2; t >= 0; t-- {
		later, now := p.completion[(t+1)*p.cells:(t+2)*p.cells], p.completion[t*p.cells:(t+1)*p.cells]
		l, u := int(p.pieces[first+t].length>>p.shift), p.pieces[first+t].value
		copy(now, later[:min(l, p.cells)])
		for c := l; c < p.cells; c++ {
			now[c] = max(later[c], later[c-l]+u)
		}
	}
}

// completionCells is the greatest number of cells. completionStates is how long the list must be for the table to
// pay.
const completionCells, completionStates = 1 << 12, 400

// possible tells whether any pattern can meet the condition.
func (p *pricer) possible(e conditionTerm, free int64, avail []int64) bool {
	for _, h := range e.holds {
		if avail[h.Item] < h.Quantity || !p.mayHold(h.Item) {
			return false
		}
		free -= h.Quantity * p.in.length[h.Item]
	}
	return free >= 0
}

// addPiece merges into the list, for every state, the state with piece t added.
func (p *pricer) addPiece(capacity int64, t int) {
	l, u, i, q := p.pieces[t].length, p.pieces[t].value, int32(p.pieces[t].item), int32(p.pieces[t].quantity)
	old, next := p.list, p.next[:0]
	last := int64(math.MinInt64) // value of the last state kept or dropped: later ones are longer and need a greater value
	threshold := p.threshold()
	stage, best := int32(-1), int64(0) // the new state of greatest value
	// fill is the piece in which the fractional filling of the free length ends. States come by rising length, so it
	// only moves back.
	rest := p.pieces[t+1:]
	fill := len(rest) - 1
	baseLength, baseValue := rest[0].beforeLength, rest[0].beforeValue
	var completion []int64 // by cells of free length; nil: no table
	if len(p.completion) > 0 && t+1 >= p.completionFrom {
		completion = p.completion[(t+1-p.completionFrom)*p.cells:][:p.cells]
	}
	shift := p.shift
	// With a credit, only pieces are worth adding whose value exceeds the credit that they use up: net is their
	// length, fillNet the piece in which the filling up to it ends.
	net, fillNet := int64(0), len(rest)-1
	if p.creditScale != 0 {
		z := 0
		for z < len(rest)-1 && rest[z].density > p.creditSlope {
			z++
		}
		net = rest[z].beforeLength
	}
	canImprove := func(used, value int64) bool { // above the threshold
		if completion != nil {
			return value+completion[(capacity-used)>>shift] > threshold
		}
		left := capacity - used + baseLength
		for fill > 0 && rest[fill].beforeLength > left {
			fill--
		}
		f := &rest[fill]
		ub := float64(value+f.beforeValue-baseValue) + f.density*float64(left-f.beforeLength)
		if p.creditScale != 0 {
			if credit := p.creditLine(used); credit > 0 {
				to := max(min(left, net), baseLength)
				for fillNet > 0 && rest[fillNet].beforeLength > to {
					fillNet--
				}
				f := &rest[fillNet]
				with := float64(value+f.beforeValue-baseValue) + f.density*float64(to-f.beforeLength) + credit - p.creditSlope*float64(to-baseLength)
				ub = max(ub, with+credit*boundMargin)
			}
		}
		return ub+math.Abs(ub)*boundMargin > float64(threshold)
	}
	// The states from fit on are too long for the piece.
	fit := len(old)
	for fit > 0 && old[fit-1].used > capacity-l {
		fit--
	}
	a, b := 0, 0
	for a < len(old) || b < fit {
		// Merge by length used: the old state a comes next, or old state b with the piece.
		if b >= fit || a < len(old) && (old[a].used < old[b].used+l || old[a].used == old[b].used+l && old[a].value >= old[b].value+u) {
			if w := old[a].value; w > last {
				last = w
				if canImprove(old[a].used, w) {
					next = append(next, old[a])
				}
			}
			a++
			continue
		}
		used, w := old[b].used+l, old[b].value+u
		if w > last {
			last = w
			value := p.withCredit(used, w)
			if value > p.best || canImprove(used, w) {
				at := int32(len(p.arena))
				p.arena = append(p.arena, state{used, w, old[b].at, i, q})
				next = append(next, entry{used, w, at})
				if value > p.best {
					p.best, p.bestAt = value, at
					threshold = p.threshold()
					if value >= p.target {
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

// greedyStates is how many states bestPattern keeps.
const greedyStates = 1 << 10

// thin drops half of the list or more: states whose value is hardly greater than a shorter state's.
func (p *pricer) thin() {
	p.thinned = true
	first, last := p.list[0].value, p.list[len(p.list)-1].value
	step := max(1, 2*((last-first)/int64(p.maxStates)))
	kept := p.list[:1]
	for _, e := range p.list[1:] {
		if e.value >= kept[len(kept)-1].value+step {
			kept = append(kept, e)
		}
	}
	p.list = kept
}

// conditionItems lists the items of the conditions, so that each condition is decided as early as possible.
func conditionItems(open []conditionTerm) []int {
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

// tagList is the nondominated states that have begun to meet, and not yet missed, one set of conditions. They are by rising length used
// and value.
type tagList struct {
	tag  uint64
	list []entry
}

// addConditionItems adds the items of conditions, each in every quantity, and leaves the nondominated states in
// p.list. Its upper bounds count every open condition of positive dual value as met.
func (p *pricer) addConditionItems(capacity int64, duals, avail []int64, open []conditionTerm, special []int) {
	terms := p.follow(open, special)
	density := make([]float64, len(special)+1) // greatest value per length from special t on, without conditions
	density[len(special)] = p.pieces[0].density
	for t := len(special) - 1; t >= 0; t-- {
		density[t] = max(density[t+1], float64(duals[special[t]])/float64(p.in.length[special[t]]))
	}
	now := []tagList{{0, append(p.spareList(len(p.list)), p.list...)}}
	var completion [][]int64 // of each stage, see completionOfSpecial; nil: none
	for t, i := range special {
		most := min(avail[i], capacity/p.in.length[i])
		if !p.mayHold(i) {
			most = 0
		}
		var laterDuals float64 // of the conditions of which no item is in yet
		for _, e := range terms {
			if e.first > t && e.dual > 0 {
				laterDuals += float64(e.dual)
			}
		}
		stage := &specialStage{item: i, length: p.in.length[i], dual: duals[i], capacity: capacity, density: density[t+1], best: -1}
		if completion == nil && held(now) > completionSpecial {
			completion = p.completionOfSpecial(capacity, duals, avail, special)
		}
		if completion != nil {
			stage.completion = completion[t+1]
		}
		var then []tagList
		at := map[uint64]int{}
		for _, g := range now {
			for q := int64(0); q <= most; q++ {
				tag, met, openDuals := settle(terms, t, Take{i, q}, g.tag, laterDuals)
				n, ok := at[tag]
				if !ok {
					n = len(then)
					at[tag] = n
					then = append(then, tagList{tag: tag})
				}
				then[n].list = p.mergeShifted(then[n].list, g.list, stage, q, met, openDuals)
			}
		}
		if stage.best >= 0 {
			p.byStage = append(p.byStage, stage.best)
		}
		for _, g := range now {
			p.spare = append(p.spare, g.list)
		}
		now = then
	}
	p.list = append(p.list[:0], now[0].list...) // at the end every condition is decided
	p.spare = append(p.spare, now[0].list)
}

// held is how many states there are.
func held(lists []tagList) (states int) {
	for _, l := range lists {
		states += len(l.list)
	}
	return states
}

// specialStage is what is the same for all states as one item of conditions is added.
type specialStage struct {
	item         int
	length, dual int64
	capacity     int64
	density      float64 // greatest value per length of what is still to come
	completion   []int64 // by cells of free length; nil: none
	best         int32   // the new state of greatest value; −1: none
}

// mergeShifted merges into a list the states of another with q of the stage's item added, which meets conditions of so great a dual value. It
// leaves out states that cannot rise above the threshold, openDuals being what conditions that are still open can add.
func (p *pricer) mergeShifted(into, from []entry, s *specialStage, q, met int64, openDuals float64) []entry {
	length, value := q*s.length, q*s.dual+met
	out := p.spareList(len(into) + len(from))
	last := int64(math.MinInt64)
	a := 0
	for _, e := range from {
		used, w := e.used+length, e.value+value
		if used > s.capacity {
			break
		}
		for ; a < len(into) && (into[a].used < used || into[a].used == used && into[a].value >= w); a++ {
			if into[a].value > last {
				last = into[a].value
				out = append(out, into[a])
			}
		}
		if w <= last {
			continue
		}
		last = w
		var ub float64
		if s.completion != nil {
			ub = float64(w) + openDuals + float64(s.completion[(s.capacity-used)>>p.shift])
		} else {
			ub = float64(w) + openDuals + s.density*float64(s.capacity-used) + p.creditLine(used)*(1+boundMargin)
		}
		if ub+math.Abs(ub)*boundMargin <= float64(p.threshold()) {
			continue
		}
		at := e.at
		if q > 0 {
			at = int32(len(p.arena))
			p.arena = append(p.arena, state{used, w, e.at, int32(s.item), int32(q)})
		}
		out = append(out, entry{used, w, at})
		// The state is a pattern as it stands: with nothing added, no open condition is met.
		p.note(at)
		if s.best < 0 || w > p.arena[s.best].value {
			s.best = at
		}
	}
	for ; a < len(into); a++ {
		if into[a].value > last {
			last = into[a].value
			out = append(out, into[a])
		}
	}
	if cap(into) > 0 { // or the spare lists would grow in number with every call
		p.spare = append(p.spare, into)
	}
	return out
}

// spareList gives an empty list with room for so many states.
func (p *pricer) spareList(room int) []entry {
	if n := len(p.spare); n > 0 {
		list := p.spare[n-1]
		p.spare = p.spare[:n-1]
		return slices.Grow(list[:0], room)
	}
	return make([]entry, 0, room)
}

// completionSpecial is how many states there must be, while the items of conditions are added, for completion bounds to pay.
const completionSpecial = 64

// completionOfSpecial tabulates completion bounds for the items of conditions and for all pieces after them. Dual values of conditions are not in them.
func (p *pricer) completionOfSpecial(capacity int64, duals, avail []int64, special []int) [][]int64 {
	p.tabulateCompletion(capacity, 0)
	out := make([][]int64, len(special)+1)
	out[len(special)] = p.completion[:p.cells]
	for t := len(special) - 1; t >= 0; t-- {
		now := slices.Clone(out[t+1])
		out[t] = now
		i := special[t]
		most := min(avail[i], capacity/p.in.length[i])
		if duals[i] <= 0 || !p.mayHold(i) {
			most = 0
		}
		for step := int64(1); most > 0; step *= 2 {
			q := min(step, most)
			most -= q
			l, u := int(q*p.in.length[i]>>p.shift), q*duals[i]
			for c := p.cells - 1; c >= l; c-- {
				now[c] = max(now[c], now[c-l]+u)
			}
		}
	}
	return out
}

// openTerm is a conditionTerm while the items of conditions are added.
type openTerm struct {
	conditionTerm
	first, final int    // the stages of its items, the first and the last
	bit          uint64 // in the tag; a term on one item needs none
}

// follow finds when each term is decided. Terms for which there is no tag left are never met, but bounds count them.
func (p *pricer) follow(open []conditionTerm, special []int) []openTerm {
	stage := map[int]int{} // by item
	for t, i := range special {
		stage[i] = t
	}
	var terms []openTerm
	tags := 0
	for _, e := range open {
		term := openTerm{conditionTerm: e, first: len(special), final: -1}
		for _, h := range e.holds {
			term.first, term.final = min(term.first, stage[h.Item]), max(term.final, stage[h.Item])
		}
		switch {
		case term.first >= term.final:
		case tags == maxTags:
			p.thinned = true
			term.first, term.final = len(special), -1
		default:
			term.bit = 1 << tags
			tags++
		}
		terms = append(terms, term)
	}
	return terms
}

// settle updates a state's tag as so much of an item is added at stage t. met is the sum of the dual values of the conditions
// that are now met; openDuals, which starts at laterDuals, that of the positive ones that still can be.
func settle(terms []openTerm, t int, take Take, tag uint64, laterDuals float64) (now uint64, met int64, openDuals float64) {
	openDuals = laterDuals
	for _, e := range terms {
		if t < e.first || t > e.final {
			continue
		}
		holds := t == e.first || tag&e.bit != 0
		for _, h := range e.holds {
			if h.Item == take.Item && take.Quantity < h.Quantity {
				holds = false
			}
		}
		tag &^= e.bit
		switch {
		case !holds:
		case t == e.final:
			met += e.dual
		default:
			tag |= e.bit
			openDuals += max(0, float64(e.dual))
		}
	}
	return tag, met, openDuals
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
	slices.SortFunc(take, func(a, b Take) int { return cmp.Compare(a.Item, b.Item) })
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

// maxDual is the greatest dual value an item may have, so that no pattern's value overflows, with room to spare.
func (in *instance) maxDual() int64 { return int64(1) << (60 - bits.Len64(uint64(in.maxPieces))) }
