package solver

import (
	"cmp"
	"context"
	"math/bits"
	"slices"
)

// reductionSteps bounds the steps of FewerPatterns: some tenths of a second.
const reductionSteps = 10_000_000

// maxCombined is how many patterns are combined at most. Six take the example of TestFewerPaperRolls to its least
// number of patterns, five do not.
const maxCombined = 6

// FewerPatterns gives a plan with the same sticks of each kind and the same pieces that has no more different
// patterns and costs no more. patterns is a plan of the problem and is not changed. Two to six patterns of one kind
// are combined at a time: it looks for one pattern less that cut the same pieces from as many sticks, until it finds
// none or has used up its steps (H. Foerster, G. Wäscher, International Journal of Production Research 38, 2000, do
// so with patterns that keep their counts; from memory). A plan with fewer patterns may still exist. When ctx ends it
// gives the plan that it has.
func FewerPatterns(ctx context.Context, p Problem, patterns []Pattern) []Pattern {
	plan := mergePatterns(patterns)
	f := patternReducer{ctx: ctx, p: p, stepsLeft: reductionSteps}
	for r := 2; r <= maxCombined; {
		if f.combine(&plan, r) {
			r = 2
		} else {
			r++
		}
	}
	return mergePatterns(plan)
}

// patternReducer is one run of FewerPatterns.
type patternReducer struct {
	ctx       context.Context
	p         Problem
	stepsLeft int // steps left
}

// combine replaces r patterns of one kind by r − 1, where it finds such.
func (f *patternReducer) combine(plan *[]Pattern, r int) bool {
	chosen := make([]int, 0, r)
	var choose func(from int) bool
	choose = func(from int) bool {
		if len(chosen) == r {
			return f.replace(plan, chosen)
		}
		for i := from; i < len(*plan); i++ {
			if len(chosen) > 0 && (*plan)[i].Kind != (*plan)[chosen[0]].Kind {
				break // the plan has its kinds in order
			}
			chosen = append(chosen, i)
			if choose(i + 1) {
				return true
			}
			chosen = chosen[:len(chosen)-1]
		}
		return false
	}
	return choose(0)
}

// replace cuts the pieces of the chosen patterns in one pattern less, where it finds a way.
func (f *patternReducer) replace(plan *[]Pattern, chosen []int) bool {
	if f.stepsLeft <= 0 || f.ctx.Err() != nil {
		return false
	}
	b := newPatternGroup(f, *plan, chosen)
	if !b.splitSticks(len(chosen)-1, b.sticks) {
		return false
	}
	var out []Pattern
	for i, pattern := range *plan {
		if !slices.Contains(chosen, i) {
			out = append(out, pattern)
		}
	}
	*plan = mergePatterns(append(out, b.patterns()...))
	return true
}

// patternGroup is the pieces and sticks of some patterns of one kind, to be cut in other patterns: count_j sticks
// alike, each with take_ji pieces of item i, so that Σ_j count_j take_ji = demand_i. Items are longest first.
type patternGroup struct {
	reducer    *patternReducer
	kind       int
	sticks     int64
	items      []int // indexes in Problem.Items
	demand     []int64
	cost       int64   // less the credits of the sticks as they were cut
	waste      int64   // of all sticks together
	lengthFrom []int64 // length of all pieces of the items from one on
	count      []int64
	take       [][]int64 // by pattern and place in items
	leftover   []int64   // of one stick of each pattern, as far as it is filled
}

func newPatternGroup(f *patternReducer, plan []Pattern, chosen []int) *patternGroup {
	b := &patternGroup{reducer: f, kind: plan[chosen[0]].Kind}
	demand := map[int]int64{}
	for _, c := range chosen {
		b.sticks += plan[c].Count
		rest := f.p.Kinds[b.kind].Length
		for _, t := range plan[c].Take {
			demand[t.Item] += t.Quantity * plan[c].Count
			rest -= t.Quantity * f.p.Items[t.Item].Length
		}
		b.waste += rest * plan[c].Count
		b.cost -= f.creditOf(b.kind, rest) * plan[c].Count
	}
	for i := range demand {
		b.items = append(b.items, i)
	}
	slices.SortFunc(b.items, func(x, y int) int {
		return cmp.Or(cmp.Compare(f.p.Items[y].Length, f.p.Items[x].Length), cmp.Compare(x, y))
	})
	for _, i := range b.items {
		b.demand = append(b.demand, demand[i])
	}
	b.lengthFrom = make([]int64, len(b.items)+1)
	for n := len(b.items) - 1; n >= 0; n-- {
		b.lengthFrom[n] = b.lengthFrom[n+1] + b.demand[n]*f.p.Items[b.items[n]].Length
	}
	return b
}

// creditOf is the credit of a stick of a kind of which so much is left.
func (f *patternReducer) creditOf(kind int, rest int64) int64 {
	c := f.p.Kinds[kind].Credit
	if c.Num == 0 || rest+c.Extra < c.Keep {
		return 0
	}
	high, low := bits.Mul64(uint64(c.Num), uint64(rest+c.Extra))
	amount, _ := bits.Div64(high, low, uint64(c.Den)) // no more than the stick's cost, and so within 64 bits
	return int64(amount)
}

// splitSticks splits the sticks over n more patterns, none with more sticks than the one before, and then assigns the
// pieces.
func (b *patternGroup) splitSticks(n int, sticks int64) bool {
	if n == 0 {
		if sticks > 0 {
			return false
		}
		b.take = make([][]int64, len(b.count))
		b.leftover = b.leftover[:0]
		for j := range b.count {
			b.take[j] = make([]int64, len(b.items))
			b.leftover = append(b.leftover, b.reducer.p.Kinds[b.kind].Length)
		}
		return b.assignItem(0)
	}
	most := sticks - int64(n-1)
	if len(b.count) > 0 {
		most = min(most, b.count[len(b.count)-1])
	}
	for c := most; c*int64(n) >= sticks && c > 0; c-- {
		b.count = append(b.count, c)
		if b.splitSticks(n-1, sticks-c) {
			return true
		}
		b.count = b.count[:len(b.count)-1]
	}
	return false
}

// assignItem assigns the pieces of the items from one on.
func (b *patternGroup) assignItem(item int) bool {
	for j, c := range b.count {
		// What the items still to come cannot fill is waste on every stick of the pattern.
		if b.leftover[j]*c-b.lengthFrom[item] > b.waste {
			return false
		}
	}
	if item == len(b.items) {
		var cost int64
		for j, c := range b.count {
			cost -= b.reducer.creditOf(b.kind, b.leftover[j]) * c
		}
		return cost <= b.cost
	}
	return b.assignQuantity(item, 0, b.demand[item])
}

// assignQuantity assigns the pieces of an item, of which so many are left, to the patterns from one on.
func (b *patternGroup) assignQuantity(item, pattern int, left int64) bool {
	if b.reducer.stepsLeft--; b.reducer.stepsLeft <= 0 {
		return false
	}
	length := b.reducer.p.Items[b.items[item]].Length
	last := pattern == len(b.count)-1
	for q := min(left/b.count[pattern], b.leftover[pattern]/length); q >= 0; q-- {
		after := left - q*b.count[pattern]
		if last && after > 0 {
			break
		}
		b.take[pattern][item] = q
		b.leftover[pattern] -= q * length
		if last && b.assignItem(item+1) || !last && b.assignQuantity(item, pattern+1, after) {
			return true
		}
		b.leftover[pattern] += q * length
	}
	return false
}

// patterns gives the patterns found.
func (b *patternGroup) patterns() []Pattern {
	var out []Pattern
	for j, count := range b.count {
		p := Pattern{Kind: b.kind, Count: count}
		for n, q := range b.take[j] {
			if q > 0 {
				p.Take = append(p.Take, Take{b.items[n], q})
			}
		}
		slices.SortFunc(p.Take, func(x, y Take) int { return cmp.Compare(x.Item, y.Item) })
		out = append(out, p)
	}
	return out
}
