package solver

import (
	"math/rand/v2"
	"slices"
)

// What is in this file is slow and plain: every pattern, every plan, in the problem's own units. The package is compared
// with it, and it shares no code with the package.

// vectors lists every pattern of kind k, the empty one first: quantities up to the demands that fit the stick.
func vectors(p Problem, k int) [][]int64 {
	list := [][]int64{nil}
	for _, it := range p.Items {
		var longer [][]int64
		for _, v := range list {
			room := p.Kinds[k].Length
			for j, q := range v {
				room -= q * p.Items[j].Length
			}
			for q := int64(0); q <= it.Demand && q*it.Length <= room; q++ {
				longer = append(longer, append(slices.Clone(v), q))
			}
		}
		list = longer
	}
	return list
}

// counts tells whether a stick of kind k cut by v counts in the condition.
func counts(c Condition, k int, v []int64) bool {
	if !c.AnyKind && c.Kind != k {
		return false
	}
	for _, h := range c.Holds {
		if v[h.Item] < h.Quantity {
			return false
		}
	}
	return true
}

// dualOf is the dual value of a pattern, the conditions it meets included.
func dualOf(m intDuals, conds []Condition, k int, v []int64) int64 {
	var sum int64
	for i, q := range v {
		sum += q * m.item[i]
	}
	for r, c := range conds {
		if counts(c, k, v) {
			sum += m.cond[r]
		}
	}
	return sum
}

// leftOver is what a plan has still to do: pieces of up to 4 items, sticks of up to 4 conditions.
type leftOver [8]int8

// leastCost is the cost of the cheapest plan that meets the conditions, sticks that nothing is cut from allowed. It
// reports false when there is none. At most 4 items and 4 conditions, with small demands and bounds.
func leastCost(p Problem, conds []Condition) (int64, bool) {
	var start leftOver
	for i, it := range p.Items {
		start[i] = int8(it.Demand)
	}
	for r, c := range conds {
		start[4+r] = int8(c.Bound)
	}
	best := map[leftOver]int64{start: 0}
	for k, kind := range p.Kinds {
		cuts := vectors(p, k)
		frontier := map[leftOver]int64{}
		for s, c := range best {
			frontier[s] = c
		}
		for n := int64(0); len(frontier) > 0 && (!kind.Limited || n < kind.Limit); n++ {
			next := map[leftOver]int64{}
			for s, cost := range frontier {
				for _, v := range cuts {
					if t, ok := cutOne(s, conds, k, v); ok {
						if known, ok := best[t]; !ok || cost+kind.Cost < known {
							best[t], next[t] = cost+kind.Cost, cost+kind.Cost
						}
					}
				}
			}
			frontier = next
		}
	}
	least, ok := int64(0), false
	for s, cost := range best {
		done := true
		for i := range p.Items {
			done = done && s[i] == 0
		}
		for r, c := range conds {
			done = done && (!c.AtLeast || s[4+r] == 0)
		}
		if done && (!ok || cost < least) {
			least, ok = cost, true
		}
	}
	return least, ok
}

// cutOne cuts one stick more. It reports false for a piece or a stick too many.
func cutOne(s leftOver, conds []Condition, k int, v []int64) (leftOver, bool) {
	for i, q := range v {
		if s[i] -= int8(q); s[i] < 0 {
			return s, false
		}
	}
	for r, c := range conds {
		if !counts(c, k, v) {
			continue
		}
		switch {
		case s[4+r] > 0:
			s[4+r]--
		case !c.AtLeast:
			return s, false
		}
	}
	return s, true
}

// tinyProblem draws a problem of up to 3 items and 3 kinds that leastCost can answer: with free sticks, equal items and
// kinds, limits of none and of very many, items nobody wants, and lengths with and without a common divisor.
func tinyProblem(r *rand.Rand) Problem {
	var p Problem
	unit := []int64{1, 1, 6, 7_777_777}[r.IntN(4)]
	money := []int64{1, 1, 3, 250}[r.IntN(4)]
	for range 1 + r.IntN(3) {
		k := Kind{Length: unit*(5+r.Int64N(16)) + r.Int64N(unit), Cost: money * r.Int64N(12)}
		if r.IntN(2) == 0 {
			k.Limited, k.Limit = true, []int64{0, 1, 2, 3, 1000, 1 << 40}[r.IntN(6)]
		}
		p.Kinds = append(p.Kinds, k)
	}
	for range 1 + r.IntN(3) {
		p.Items = append(p.Items, Item{Length: unit * (1 + r.Int64N(14)), Demand: r.Int64N(4)})
	}
	if r.IntN(4) == 0 {
		p.Kinds[len(p.Kinds)-1] = p.Kinds[0]
	}
	if r.IntN(4) == 0 {
		p.Items[len(p.Items)-1].Length = p.Items[0].Length
	}
	return p
}

// tinyConditions draws up to 4 conditions on plans for p, with dual values left at 0.
func tinyConditions(r *rand.Rand, p Problem) []Condition {
	var conds []Condition
	for range r.IntN(5) {
		c := Condition{AtLeast: r.IntN(2) == 0, Bound: r.Int64N(4)}
		if c.AnyKind = r.IntN(2) == 0; !c.AnyKind {
			c.Kind = r.IntN(len(p.Kinds))
		}
		for i, it := range p.Items {
			if it.Demand > 0 && r.IntN(2) == 0 {
				c.Holds = append(c.Holds, Take{i, 1 + r.Int64N(it.Demand)})
			}
		}
		conds = append(conds, c)
	}
	return conds
}
