package solver

import (
	"context"
	"math/bits"
	"slices"
)

// fewerWork bounds the steps of FewerPatterns: some tenths of a second.
const fewerWork = 10_000_000

// mostCombined is how many patterns are looked at together: six take the well-known example of TestFewerPaperRolls to its
// least, four do not.
const mostCombined = 6

// FewerPatterns gives a plan with the same sticks of each kind and the same pieces in no more different patterns, and no
// dearer; patterns is a plan of the problem and is not changed. It takes two to six patterns of one kind together and
// looks for one less that cut the same pieces from as many sticks, until there are none or its work is done (H. Foerster,
// G. Wäscher, International Journal of Production Research 38, 2000, do so with patterns that keep their counts; from memory). A
// plan with fewer patterns may exist still. When ctx ends it gives what it has.
func FewerPatterns(ctx context.Context, p Problem, patterns []Pattern) []Pattern {
	plan := tidy(patterns)
	f := fewer{ctx: ctx, p: p, work: fewerWork}
	for r := 2; r <= mostCombined; {
		if f.combine(&plan, r) {
			r = 2
		} else {
			r++
		}
	}
	return tidy(plan)
}

// fewer is the search for one pattern less.
type fewer struct {
	ctx  context.Context
	p    Problem
	work int // steps left
}

// combine replaces r patterns of one kind by one less, where it finds any.
func (f *fewer) combine(plan *[]Pattern, r int) bool {
	chosen := make([]int, 0, r)
	var choose func(from int) bool
	choose = func(from int) bool {
		if len(chosen) == r {
			return f.replace(plan, chosen)
		}
		for i := from; i < len(*plan); i++ {
			if len(chosen) > 0 && (*plan)[i].Kind != (*plan)[chosen[0]].Kind {
				break // a tidy plan has its kinds in order
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
func (f *fewer) replace(plan *[]Pattern, chosen []int) bool {
	if f.work <= 0 || f.ctx.Err() != nil {
		return false
	}
	b := newBatch(f, *plan, chosen)
	if !b.divide(len(chosen)-1, b.sticks) {
		return false
	}
	var out []Pattern
	for i, pattern := range *plan {
		if !slices.Contains(chosen, i) {
			out = append(out, pattern)
		}
	}
	*plan = tidy(append(out, b.patterns()...))
	return true
}

// batch is pieces to be cut from some sticks of one kind: count_j sticks alike, each with take_ji pieces of item i, so that
// Σ_j count_j take_ji = want_i. Items are longest first.
type batch struct {
	f      *fewer
	kind   int
	sticks int64
	items  []int // indexes in Problem.Items
	want   []int64
	cost   int64   // of the sticks as they were cut, less their credits
	waste  int64   // of all sticks together
	fill   []int64 // most that the items from one on can take of all sticks together
	count  []int64
	take   [][]int64 // by pattern and place in items
	rest   []int64   // of one stick of each pattern
}

func newBatch(f *fewer, plan []Pattern, chosen []int) *batch {
	b := &batch{f: f, kind: plan[chosen[0]].Kind}
	want := map[int]int64{}
	for _, c := range chosen {
		b.sticks += plan[c].Count
		rest := f.p.Kinds[b.kind].Length
		for _, t := range plan[c].Take {
			want[t.Item] += t.Quantity * plan[c].Count
			rest -= t.Quantity * f.p.Items[t.Item].Length
		}
		b.waste += rest * plan[c].Count
		b.cost -= f.credit(b.kind, rest) * plan[c].Count
	}
	for i := range want {
		b.items = append(b.items, i)
	}
	slices.SortFunc(b.items, func(x, y int) int {
		if f.p.Items[x].Length != f.p.Items[y].Length {
			return int(f.p.Items[y].Length - f.p.Items[x].Length)
		}
		return x - y
	})
	for _, i := range b.items {
		b.want = append(b.want, want[i])
	}
	b.fill = make([]int64, len(b.items)+1)
	for n := len(b.items) - 1; n >= 0; n-- {
		b.fill[n] = b.fill[n+1] + b.want[n]*f.p.Items[b.items[n]].Length
	}
	return b
}

// credit is what the rest of a stick of a kind is worth.
func (f *fewer) credit(kind int, rest int64) int64 {
	c := f.p.Kinds[kind].Credit
	if c.Num == 0 || rest+c.Extra < c.Keep {
		return 0
	}
	high, low := bits.Mul64(uint64(c.Num), uint64(rest+c.Extra))
	worth, _ := bits.Div64(high, low, uint64(c.Den)) // no more than the stick's cost, and so within 64 bits
	return int64(worth)
}

// divide shares the sticks among n more patterns, each with no more sticks than the one before, and cuts the pieces so.
func (b *batch) divide(n int, sticks int64) bool {
	if n == 0 {
		if sticks > 0 {
			return false
		}
		b.take = make([][]int64, len(b.count))
		b.rest = b.rest[:0]
		for j := range b.count {
			b.take[j] = make([]int64, len(b.items))
			b.rest = append(b.rest, b.f.p.Kinds[b.kind].Length)
		}
		return b.cut(0)
	}
	most := sticks - int64(n-1)
	if len(b.count) > 0 {
		most = min(most, b.count[len(b.count)-1])
	}
	for c := most; c*int64(n) >= sticks && c > 0; c-- {
		b.count = append(b.count, c)
		if b.divide(n-1, sticks-c) {
			return true
		}
		b.count = b.count[:len(b.count)-1]
	}
	return false
}

// cut gives the patterns their pieces of the items from one on.
func (b *batch) cut(item int) bool {
	for j, c := range b.count {
		// What the rest of the items cannot fill is wasted on every one of the pattern's sticks.
		if b.rest[j]*c-b.fill[item] > b.waste {
			return false
		}
	}
	if item == len(b.items) {
		var cost int64
		for j, c := range b.count {
			cost -= b.f.credit(b.kind, b.rest[j]) * c
		}
		return cost <= b.cost
	}
	return b.give(item, 0, b.want[item])
}

// give gives the patterns from one on their pieces of an item, of which so many are left to give.
func (b *batch) give(item, pattern int, left int64) bool {
	if b.f.work--; b.f.work <= 0 {
		return false
	}
	length := b.f.p.Items[b.items[item]].Length
	last := pattern == len(b.count)-1
	for q := min(left/b.count[pattern], b.rest[pattern]/length); q >= 0; q-- {
		after := left - q*b.count[pattern]
		if last && after > 0 {
			break
		}
		b.take[pattern][item] = q
		b.rest[pattern] -= q * length
		if last && b.cut(item+1) || !last && b.give(item, pattern+1, after) {
			return true
		}
		b.rest[pattern] += q * length
	}
	return false
}

// patterns gives what was found.
func (b *batch) patterns() []Pattern {
	var out []Pattern
	for j, count := range b.count {
		p := Pattern{Kind: b.kind, Count: count}
		for n, q := range b.take[j] {
			if q > 0 {
				p.Take = append(p.Take, Take{b.items[n], q})
			}
		}
		slices.SortFunc(p.Take, func(x, y Take) int { return x.Item - y.Item })
		out = append(out, p)
	}
	return out
}
