package solver

import (
	"cmp"
	"math"
	"slices"
)

// choose picks the condition to branch on, with the at-most bound filled in. First how often a choice is made; then how
// many sticks of a kind are used;
// then how many sticks (of any kind, or of one) hold at least so many of one item; then of two items, three, and so on
// (Vanderbeck, Mathematical Programming 86, 1999): some such number is broken as long as the solution is. It reports
// false when the solution is whole.
func (s *search) choose(m *master) (cond, bool) {
	var parts []fraction
	sum := make([]float64, len(s.in.room))
	for j, c := range m.cols {
		x := m.x(j)
		sum[c.kind] += x
		if f := x - math.Floor(x+nought); f > nought {
			parts = append(parts, fraction{c, x})
		}
	}
	if c, ok := s.chooseChoice(m); ok {
		return c, true
	}
	if c, ok := s.chooseKind(sum); ok {
		return c, true
	}
	if len(parts) == 0 {
		return cond{}, false
	}
	for _, anyKind := range []bool{true, false} {
		if c, ok := s.chooseHolds(m, parts, anyKind); ok {
			return c, true
		}
	}
	return cond{}, false
}

// chooseChoice picks a choice that is made a broken number of times.
func (s *search) chooseChoice(m *master) (cond, bool) {
	best, at := 0.0, -1
	for j := range s.in.choices {
		if score := brokenness(m.times(j)); score > best {
			best, at = score, j
		}
	}
	if at < 0 {
		return cond{}, false
	}
	return cond{OnChoice: true, Choice: at, Bound: int64(math.Floor(m.times(at) + nought))}, true
}

// chooseOpen picks a choice that the node's conditions leave open, where the relaxation makes it a whole number of times.
func (s *search) chooseOpen(n *node, m *master) (cond, bool) {
	for j, c := range s.in.choices {
		low, high := int64(0), c.Most
		for _, x := range n.conds {
			switch {
			case !x.OnChoice || x.Choice != j:
			case x.AtLeast:
				low = max(low, x.Bound)
			default:
				high = min(high, x.Bound)
			}
		}
		if low < high {
			at := max(low, min(high-1, int64(math.Round(m.times(j)))))
			return cond{OnChoice: true, Choice: j, Bound: at}, true
		}
	}
	return cond{}, false
}

// mixed tells whether the relaxation uses a broken number of sticks of some kind, of several.
func (s *search) mixed(m *master) bool {
	if len(s.in.room) < 2 {
		return false
	}
	sum := make([]float64, len(s.in.room))
	for j, c := range m.cols {
		sum[c.kind] += m.x(j)
	}
	_, broken := s.chooseKind(sum)
	return broken
}

// chooseKind picks a kind whose number of sticks is broken.
func (s *search) chooseKind(sum []float64) (cond, bool) {
	best, at := 0.0, -1
	for k, n := range sum {
		// The dearer the kind, the more the split tells.
		if score := brokenness(n) * (1 + float64(s.in.cost[k])/float64(max(1, s.in.maxCost))); score > best {
			best, at = score, k
		}
	}
	if at < 0 {
		return cond{}, false
	}
	return cond{Kind: at, Bound: int64(math.Floor(sum[at] + nought))}, true
}

// fraction is a column whose value x is broken.
type fraction struct {
	c *column
	x float64
}

// brokenness is 0 for a whole number and greatest, ½, midway; what is within nought of whole counts as whole.
func brokenness(x float64) float64 {
	f := x - math.Floor(x)
	if f < nought || f > 1-nought {
		return 0
	}
	return min(f, 1-f)
}

// chooseHolds looks for the fewest items whose joint number of sticks is broken, over all kinds together or within one.
func (s *search) chooseHolds(m *master, parts []fraction, anyKind bool) (cond, bool) {
	kinds := []int{0}
	if !anyKind {
		kinds = kinds[:0]
		for _, p := range parts {
			if !slices.Contains(kinds, p.c.kind) {
				kinds = append(kinds, p.c.kind)
			}
		}
		slices.Sort(kinds)
	}
	var found cond
	bestScore := 0.0
	for _, k := range kinds {
		var mine []fraction
		for _, p := range parts {
			if anyKind || p.c.kind == k {
				mine = append(mine, p)
			}
		}
		c, score := s.split(mine, nil)
		if score > 0 && (bestScore == 0 || len(c) < len(found.Holds) || len(c) == len(found.Holds) && score > bestScore) {
			found = cond{Kind: k, AnyKind: anyKind, Holds: c}
			bestScore = score
		}
	}
	if bestScore == 0 {
		return cond{}, false
	}
	if anyKind {
		found.Kind = 0
	}
	slices.SortFunc(found.Holds, func(a, b Take) int { return cmp.Compare(a.Item, b.Item) })
	var n float64
	for j, c := range m.cols {
		if c.meets(&found) {
			n += m.x(j)
		}
	}
	if brokenness(n) == 0 {
		return cond{}, false
	}
	found.Bound = int64(math.Floor(n))
	return found, true
}

// split looks, among the broken columns that meet what is held so far, for one or two more items whose number is
// broken, and goes deeper when there are none.
func (s *search) split(parts []fraction, held []Take) ([]Take, float64) {
	if len(parts) < 2 {
		return nil, 0
	}
	levels := s.levels(parts, held)
	// Which levels every column reaches, and by how many sticks every level, and every two, are reached.
	n := len(levels)
	one, two := make([]float64, n), make([]float64, n*n)
	var reached []int
	for _, p := range parts {
		reached = reached[:0]
		for x, a := range levels {
			if p.c.holds(a.Item) >= a.Quantity {
				reached = append(reached, x)
			}
		}
		for t, x := range reached {
			one[x] += p.x
			for _, y := range reached[t+1:] {
				two[x*n+y] += p.x
			}
		}
	}
	var best []Take
	bestScore := 0.0
	try := func(sum float64, list ...Take) {
		// Among equals the first tried stands: the longest items.
		if score := brokenness(sum); score > bestScore*(1+nought) {
			best, bestScore = append(append([]Take(nil), held...), list...), score
		}
	}
	for x, a := range levels {
		try(one[x], a)
	}
	if bestScore > 0 {
		return best, bestScore
	}
	for x, a := range levels {
		for y := x + 1; y < n; y++ {
			if two[x*n+y] > 0 && a.Item != levels[y].Item {
				try(two[x*n+y], a, levels[y])
			}
		}
	}
	if bestScore > 0 {
		return best, bestScore
	}
	// No one and no two more: fix one that parts the columns and look among those that have it.
	for _, a := range levels {
		var with []fraction
		for _, p := range parts {
			if p.c.holds(a.Item) >= a.Quantity {
				with = append(with, p)
			}
		}
		if len(with) < len(parts) {
			if c, score := s.split(with, append(append([]Take(nil), held...), a)); score > 0 {
				return c, score
			}
		}
	}
	return nil, 0
}

// levels lists the quantities of items that tell the columns apart, leaving out items already held.
func (s *search) levels(parts []fraction, held []Take) []Take {
	var out []Take
	for _, p := range parts {
		for _, t := range p.c.take {
			if !slices.Contains(out, t) && !slices.ContainsFunc(held, func(h Take) bool { return h.Item == t.Item }) {
				out = append(out, t)
			}
		}
	}
	slices.SortFunc(out, func(a, b Take) int {
		return cmp.Or(cmp.Compare(s.in.length[b.Item], s.in.length[a.Item]), cmp.Compare(a.Item, b.Item), cmp.Compare(a.Quantity, b.Quantity))
	})
	return out
}
